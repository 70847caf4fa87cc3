/* SPDX-License-Identifier: ISC */
#define _POSIX_C_SOURCE 200809L /* fmemopen() */

#include "minisign.h"

#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "escape.h"
#include "input.h"
#include "message.h"

enum { ID_BYTES = 8, LINE = 1024, SIGNATURE_BYTES = 2 + ID_BYTES + crypto_sign_BYTES, FILE_MOST = 1 << 16 };
enum { KEY_BYTES = 2 + ID_BYTES + crypto_sign_PUBLICKEYBYTES };

/* The parts of a signature's file. */
struct signed_file {
    unsigned char signature[SIGNATURE_BYTES], global[crypto_sign_BYTES];
    char trusted[LINE];
};

static bool decode(const char *text, unsigned char *bytes, size_t count)
{
    size_t found;
    return sodium_base642bin(bytes, count, text, strlen(text), NULL, &found, NULL, sodium_base64_VARIANT_ORIGINAL) ==
               0 &&
           found == count;
}

static bool next_line(FILE *file, char line[LINE])
{
    if (!fgets(line, LINE, file)) {
        return false;
    }
    line[strcspn(line, "\r\n")] = '\0';
    return true;
}

/* The first lines of a file. \return false after a message where it cannot be read; what it lacks is empty */
static bool read_lines(const char *path, const char *expected, char (*line)[LINE], int count)
{
    size_t length;
    char *text = cw_input_text(path, expected, FILE_MOST, &length);
    FILE *file = text ? fmemopen(text, length, "r") : NULL;
    if (text && !file) {
        cw_error_memory();
    }
    for (int i = 0; file && i < count && next_line(file, line[i]); i++) {
    }
    bool good = file != NULL;
    if (file) {
        fclose(file);
    }
    free(text);
    return good;
}

static bool read_key(const char *name, unsigned char key[KEY_BYTES])
{
    char line[2][LINE] = {""}; /* of which the first is a comment */
    snprintf(line[1], LINE, "%s", name);
    /* What is a key is none of a file's name: a file of that name may come with the seal. */
    if (!decode(name, key, KEY_BYTES)) {
        line[1][0] = '\0';
        if (!read_lines(name, "a public key of minisign", line, 2)) {
            return false;
        }
    }
    if (!decode(line[1], key, KEY_BYTES) || memcmp(key, "Ed", 2) != 0) {
        cw_error_at(name, 0, "expected a public key of minisign, found none");
        return false;
    }
    return true;
}

static bool read_signature(const char *path, struct signed_file *out)
{
    static const char mark[] = "trusted comment: ";
    char line[4][LINE] = {""};
    if (!read_lines(path, "a signature of minisign", line, 4)) {
        return false;
    }
    bool good = decode(line[1], out->signature, SIGNATURE_BYTES) &&
                (memcmp(out->signature, "Ed", 2) == 0 || memcmp(out->signature, "ED", 2) == 0) &&
                strncmp(line[2], mark, sizeof mark - 1) == 0 && decode(line[3], out->global, crypto_sign_BYTES);
    if (!good) {
        cw_error_at(path, 0, "expected a signature of minisign, found none");
        return false;
    }
    memcpy(out->trusted, line[2] + sizeof mark - 1, LINE - sizeof mark + 1);
    return true;
}

/* The signature is over the file itself, or over its BLAKE2b. */
static bool is_of_file(const char *path, const unsigned char *bytes, size_t length, const struct signed_file *in,
                       const unsigned char *key)
{
    unsigned char hash[crypto_generichash_BYTES_MAX];
    if (memcmp(in->signature, "ED", 2) == 0) {
        crypto_generichash(hash, sizeof hash, bytes, length, NULL, 0);
        bytes = hash;
        length = sizeof hash;
    }
    bool good = crypto_sign_verify_detached(in->signature + 2 + ID_BYTES, bytes, length, key + 2 + ID_BYTES) == 0;
    if (!good) {
        cw_error_at(path, 0, "the signature is not of this file: it was changed after it was signed");
    }
    return good;
}

static bool is_of_comment(const char *path, const struct signed_file *in, const unsigned char *key)
{
    unsigned char both[crypto_sign_BYTES + LINE];
    size_t length = strlen(in->trusted);
    memcpy(both, in->signature + 2 + ID_BYTES, crypto_sign_BYTES);
    memcpy(both + crypto_sign_BYTES, in->trusted, length);
    if (crypto_sign_verify_detached(in->global, both, crypto_sign_BYTES + length, key + 2 + ID_BYTES) == 0) {
        return true;
    }
    cw_error_at(path, 0, "the trusted comment was changed after it was signed");
    return false;
}

bool cw_minisign_verify(const char *key_name, const char *path, const void *bytes, size_t length, const char *signature,
                        char comment[CW_COMMENT_TEXT])
{
    unsigned char key[KEY_BYTES];
    struct signed_file in;
    if (sodium_init() < 0) {
        cw_error("libsodium cannot be used here");
        return false;
    }
    if (!read_key(key_name, key) || !read_signature(signature, &in)) {
        return false;
    }
    if (memcmp(in.signature + 2, key + 2, ID_BYTES) != 0) {
        cw_error_at(signature, 0, "the signature is of another key");
        return false;
    }
    if (!is_of_file(path, bytes, length, &in, key) || !is_of_comment(signature, &in, key)) {
        return false;
    }
    cw_text_fit(in.trusted, comment, CW_COMMENT_TEXT);
    return true;
}
