/* SPDX-License-Identifier: ISC */
#include "digest_file.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "input.h"
#include "message.h"

enum { PIPE_MOST = 1 << 26 };

static bool digest_pipe(const char *path, char text[CW_SHA256_TEXT])
{
    unsigned char digest[CW_SHA256_BYTES];
    size_t length;
    char *bytes = cw_input_text(path, "a file", PIPE_MOST, &length);
    if (bytes) {
        cw_sha256(bytes, length, digest);
        cw_sha256_print(digest, text);
    }
    free(bytes);
    return bytes != NULL;
}

bool cw_digest_file(const char *path, char text[CW_SHA256_TEXT])
{
    struct stat status;
    unsigned char bytes[4096], digest[CW_SHA256_BYTES];
    struct cw_sha256 sha;
    if (stat(path, &status) == 0 && S_ISFIFO(status.st_mode)) {
        return digest_pipe(path, text);
    }
    FILE *file = cw_input_open(path, "a file");
    if (!file) {
        return false;
    }
    cw_sha256_start(&sha);
    for (size_t n; (n = fread(bytes, 1, sizeof bytes, file)) > 0;) {
        cw_sha256_add(&sha, bytes, n);
    }
    bool good = !ferror(file);
    if (!good) {
        cw_error_at(path, 0, "cannot read: %s", strerror(errno));
    }
    fclose(file);
    cw_sha256_finish(&sha, digest);
    cw_sha256_print(digest, text);
    return good;
}
