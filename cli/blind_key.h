/* SPDX-License-Identifier: ISC */
/** \file blind_key.h
 * The key of a letter: a text file that stays with the sender until the answers are in. Its SHA-256 is printed
 * in the letter, so that it cannot be changed afterwards; a line of random digits keeps it from being guessed.
 */
#ifndef CW_BLIND_KEY_H
#define CW_BLIND_KEY_H

#include <stdbool.h>
#include <stdio.h>

#include "letter.h"
#include "sha256.h"

#ifdef __cplusplus
extern "C" {
#endif

enum { CW_KEY_LABEL = 200, CW_SALT_WORDS = 8 };

/** A candidate as the key names it. */
struct cw_key_candidate {
    char digest[CW_SHA256_TEXT]; /**< of its settings */
    char label[CW_KEY_LABEL];
};

struct cw_key {
    struct cw_letter letter;
    uint32_t salt[CW_SALT_WORDS];
    char recording[CW_SHA256_TEXT]; /**< digest of the recording's file */
    struct cw_key_candidate candidate[CW_LETTER_CANDIDATES];
    bool has_reference;
    struct cw_key_candidate reference; /**< of "nearer" */
};

/** Print the key's text. */
void cw_key_print(FILE *stream, const struct cw_key *key);

/** SHA-256 of the key's text. Reports and returns false when out of memory. */
bool cw_key_digest(const struct cw_key *key, char text[CW_SHA256_TEXT]);

/** Read a key's file. Reports what is wrong with it and returns false. \param digest of the file; NULL for nowhere */
bool cw_key_read(const char *path, struct cw_key *key, char digest[CW_SHA256_TEXT]);

#ifdef __cplusplus
}
#endif
#endif
