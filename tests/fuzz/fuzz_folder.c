/* SPDX-License-Identifier: ISC */
/* --force on a directory of earlier results: whatever its contents.txt says, a file that no list
 * names is never lost. Input: contents.txt. */
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

/* Does the list name the file or the directory that it is in? The answer is generous: any line that
 * begins so. */
static int named(const uint8_t *data, size_t size, const char *name)
{
    size_t length = strlen(name);
    for (size_t i = 0; i + length <= size; i++) {
        if (memcmp(data + i, name, length) == 0) {
            return 1;
        }
    }
    return 0;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    if (size == 0) {
        return 0;
    }
    mkdir("outside", 0777);
    mkdir("results", 0777);
    mkdir("results/deep", 0777);
    put("outside/mine", "x", 1);
    put("results/own", "x", 1);
    put("results/deep/own2", "x", 1);
    put("results/contents.txt", data, size);
    struct cw_folder folder;
    if (cw_folder_open(&folder, "results", true)) {
        const char *path = cw_folder_file(&folder, "new");
        FUZZ_REQUIRE(path);
        put(path, "y", 1);
        if (data[0] & 1) {
            FUZZ_REQUIRE(cw_folder_commit(&folder) && access("results/new", F_OK) == 0);
        } else {
            cw_folder_abandon(&folder);
            FUZZ_REQUIRE(access("results/own", F_OK) == 0);
        }
    }
    FUZZ_REQUIRE(access("outside/mine", F_OK) == 0);
    FUZZ_REQUIRE(access("results/own", F_OK) == 0 || named(data, size, "own"));
    FUZZ_REQUIRE(access("results/deep/own2", F_OK) == 0 || named(data, size, "deep/own2"));
    fuzz_clear_scratch(NULL, 0);
    return 0;
}
