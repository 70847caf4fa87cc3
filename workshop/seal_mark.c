/* SPDX-License-Identifier: ISC */
#include "seal_mark.h"

#include <stdio.h>
#include <string.h>

#include "seal_schema.h"

const char *cw_seal_mark_print(const struct cw_setup *setup, const char fingerprint[CW_SHA256_TEXT],
                               const char *revision, char text[CW_SEAL_MARK_TEXT])
{
    char digest[CW_SHA256_TEXT];
    cw_schema_digest(setup, digest);
    snprintf(text, CW_SEAL_MARK_TEXT, "%d %s %s %s", CW_SEAL_SCHEMA, digest, fingerprint, revision);
    return text;
}

/* A digest and the blank behind it. */
static bool take_digest(const char **text, char hex[CW_SHA256_TEXT])
{
    const size_t digits = CW_SHA256_TEXT - 1;
    if (strspn(*text, "0123456789abcdef") != digits || (*text)[digits] != ' ') {
        return false;
    }
    snprintf(hex, CW_SHA256_TEXT, "%.*s", (int)digits, *text);
    *text += digits + 1;
    return true;
}

static bool read_mark(const char *text, struct cw_seal_mark *mark)
{
    char schema[16];
    const int length = snprintf(schema, sizeof schema, "%d ", CW_SEAL_SCHEMA);
    if (strncmp(text, schema, (size_t)length) != 0) {
        return false;
    }
    text += length;
    if (!take_digest(&text, mark->digest) || !take_digest(&text, mark->fingerprint) || !cw_revision_is(text)) {
        return false;
    }
    snprintf(mark->revision, sizeof mark->revision, "%s", text);
    return true;
}

enum cw_seal_standing cw_seal_mark_judge(const char *text, const struct cw_setup *setup, struct cw_seal_mark *mark)
{
    static const struct cw_seal_mark none;
    char digest[CW_SHA256_TEXT];
    const char *symbol;
    *mark = none;
    if (!*text) {
        return CW_SEAL_NONE;
    }
    if (!read_mark(text, mark)) {
        *mark = none;
        return CW_SEAL_UNREAD;
    }
    cw_schema_digest(setup, digest);
    return strcmp(digest, mark->digest) == 0 && cw_seal_fits(setup, &symbol) ? CW_SEAL_HOLDS : CW_SEAL_CHANGED;
}
