/* SPDX-License-Identifier: ISC */
#include "digest_file.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>

#include "message.h"

bool cw_digest_file(const char *path, char text[CW_SHA256_TEXT])
{
    unsigned char bytes[4096], digest[CW_SHA256_BYTES];
    struct cw_sha256 sha;
    FILE *file = fopen(path, "rb");
    if (!file) {
        cw_error_at(path, 0, "cannot read: %s", strerror(errno));
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
