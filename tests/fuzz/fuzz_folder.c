/* SPDX-License-Identifier: ISC */
/* --force on a directory of earlier results: whatever its contents.txt says, and whatever links and devices
 * stand in it, a file that no list describes by its digest is never lost. Input: a byte that says what stands
 * there, and contents.txt. */
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "folder.h"
#include "fuzz.h"

static void put(const char *path, const void *bytes, size_t size)
{
    FILE *file = fopen(path, "wb");
    FUZZ_REQUIRE(file && fwrite(bytes, 1, size, file) == size && fclose(file) == 0);
}

int LLVMFuzzerInitialize(int *argc, char ***argv)
{
    (void)argc;
    (void)argv;
    fuzz_enter_scratch();
    return 0;
}

/* Does the list hold this text? */
static int named(const uint8_t *data, size_t size, const char *text)
{
    size_t length = strlen(text);
    for (size_t i = 0; i + length <= size; i++) {
        if (memcmp(data + i, text, length) == 0) {
            return 1;
        }
    }
    return 0;
}

/* SHA-256 of "x", by sha256sum. */
#define X_DIGEST "2d711642b726b04401627ca9fbac32f5c8530fb1903cc4db02258717921a4881"

static void set_up(uint8_t kind, const uint8_t *data, size_t size)
{
    mkdir("outside", 0777);
    mkdir("results", 0777);
    put("outside/mine", "x", 1);
    put("results/own", "x", 1);
    if (kind & 2) {
        FUZZ_REQUIRE(symlink("../outside", "results/deep") == 0);
    } else {
        mkdir("results/deep", 0777);
        put("results/deep/mine", "x", 1);
    }
    if (kind & 4) {
        FUZZ_REQUIRE(symlink("../outside/mine", "results/link") == 0);
    }
    if (kind & 8) {
        FUZZ_REQUIRE(mkfifo("results/pipe", 0666) == 0);
    }
    if ((kind & 48) == 48) {
        FUZZ_REQUIRE(symlink("/dev/zero", "results/contents.txt") == 0);
    } else {
        put("results/contents.txt", data, size);
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    if (size < 2) {
        return 0;
    }
    uint8_t kind = *data++;
    set_up(kind, data, --size);
    struct cw_folder folder;
    if (cw_folder_open(&folder, "results", true)) {
        const char *path = cw_folder_file(&folder, "new");
        FUZZ_REQUIRE(path);
        FUZZ_REQUIRE((kind & 14) == 0 && (kind & 48) != 48);
        put(path, "y", 1);
        if (kind & 1) {
            FUZZ_REQUIRE(cw_folder_commit(&folder) && access("results/new", F_OK) == 0);
        } else {
            cw_folder_abandon(&folder);
            FUZZ_REQUIRE(access("results/own", F_OK) == 0);
        }
    }
    FUZZ_REQUIRE(access("outside/mine", F_OK) == 0);
    FUZZ_REQUIRE(access("results/own", F_OK) == 0 || named(data, size, X_DIGEST "  own\n"));
    FUZZ_REQUIRE((kind & 2) || access("results/deep/mine", F_OK) == 0 || named(data, size, X_DIGEST "  deep/mine\n"));
    fuzz_clear_scratch(NULL, 0);
    return 0;
}
