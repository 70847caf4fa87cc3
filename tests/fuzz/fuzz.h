/* SPDX-License-Identifier: ISC */
/** \file fuzz.h
 * What the fuzz targets share: a file made of the input, and what must hold.
 *
 * Each fuzz_NAME.c defines LLVMFuzzerTestOneInput() of libFuzzer (LLVM documentation, "libFuzzer - a
 * library for coverage-guided fuzz testing").
 */
#ifndef FUZZ_H
#define FUZZ_H

#include <stddef.h>
#include <stdint.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);
int LLVMFuzzerInitialize(int *argc, char ***argv);

/** Name of a file in memory that holds the bytes; valid until the next call. */
const char *fuzz_file(const uint8_t *data, size_t size);

/** A new empty directory in memory, for targets that write files; it becomes the current one. */
void fuzz_enter_scratch(void);

/** Remove everything in the current directory that fuzz_enter_scratch() made but names on the list. */
void fuzz_clear_scratch(const char *const *keep, size_t count);

/** Ends the program with a message, which libFuzzer takes for a crash. */
#define FUZZ_REQUIRE(condition)                                                                                        \
    do {                                                                                                               \
        if (!(condition)) {                                                                                            \
            fuzz_broken(#condition, __FILE__, __LINE__);                                                               \
        }                                                                                                              \
    } while (0)
void fuzz_broken(const char *condition, const char *file, int line);

/** Input taken apart byte by byte; zeros where it has ended. */
struct fuzz_bytes {
    const uint8_t *at;
    size_t left;
};
uint8_t fuzz_byte(struct fuzz_bytes *bytes);
/** 0 to below 65536. */
unsigned fuzz_word(struct fuzz_bytes *bytes);
/** Any float at all. */
float fuzz_float(struct fuzz_bytes *bytes);

#endif
