/* SPDX-License-Identifier: ISC */
/* memfd_create() and nftw() are extensions. */
#define _GNU_SOURCE

#include <fcntl.h>
#include <ftw.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <unistd.h>

#include "fuzz.h"

/* The program's own stderr is closed while a target runs; this one is libFuzzer's report. */
void fuzz_broken(const char *condition, const char *file, int line)
{
    fprintf(stderr, "%s:%d: does not hold: %s\n", file, line, condition);
    abort();
}

const char *fuzz_file(const uint8_t *data, size_t size)
{
    static int descriptor = -1;
    static char path[64];
    if (descriptor < 0) {
        descriptor = memfd_create("fuzz", 0);
        FUZZ_REQUIRE(descriptor >= 0);
        snprintf(path, sizeof path, "/proc/self/fd/%d", descriptor);
    }
    FUZZ_REQUIRE(pwrite(descriptor, data, size, 0) == (ssize_t)size && ftruncate(descriptor, (off_t)size) == 0);
    return path;
}

static char scratch[64];

static int remove_entry(const char *path, const struct stat *status, int kind, struct FTW *walk)
{
    (void)status;
    (void)kind;
    return walk->level == 0 ? 0 : remove(path);
}

static void remove_scratch(void)
{
    nftw(scratch, remove_entry, 8, FTW_DEPTH | FTW_PHYS);
    rmdir(scratch);
}

void fuzz_enter_scratch(void)
{
    snprintf(scratch, sizeof scratch, "%s/coilwright-fuzz-XXXXXX", access("/dev/shm", W_OK) == 0 ? "/dev/shm" : "/tmp");
    FUZZ_REQUIRE(mkdtemp(scratch) && chdir(scratch) == 0);
    atexit(remove_scratch);
}

static const char *const *kept;
static size_t kept_count;

static int remove_stranger(const char *path, const struct stat *status, int kind, struct FTW *walk)
{
    (void)status;
    (void)kind;
    bool keep = walk->level == 0;
    for (size_t i = 0; i < kept_count; i++) {
        keep = keep || (walk->level == 1 && strcmp(path + walk->base, kept[i]) == 0);
    }
    return keep ? 0 : remove(path);
}

void fuzz_clear_scratch(const char *const *keep, size_t count)
{
    kept = keep;
    kept_count = count;
    nftw(scratch, remove_stranger, 8, FTW_DEPTH | FTW_PHYS);
}

uint8_t fuzz_byte(struct fuzz_bytes *bytes)
{
    if (bytes->left == 0) {
        return 0;
    }
    bytes->left--;
    return *bytes->at++;
}

unsigned fuzz_word(struct fuzz_bytes *bytes)
{
    unsigned low = fuzz_byte(bytes);
    return low | (unsigned)fuzz_byte(bytes) << 8;
}

float fuzz_float(struct fuzz_bytes *bytes)
{
    uint32_t bits = fuzz_word(bytes);
    bits |= (uint32_t)fuzz_word(bytes) << 16;
    float value;
    memcpy(&value, &bits, sizeof value);
    return value;
}
