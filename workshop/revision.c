/* SPDX-License-Identifier: ISC */
#include "revision.h"

#include <stdio.h>
#include <string.h>

static const char letters[] = "ABCDEFGHJKLMNPRTUVWY";

bool cw_revision_is(const char *revision)
{
    size_t length = strlen(revision);
    return (length == 1 || length == 2) && strspn(revision, letters) == length;
}

bool cw_revision_next(const char *revision, char next[CW_REVISION_TEXT])
{
    const char last = letters[sizeof letters - 2];
    size_t length = strlen(revision);
    snprintf(next, CW_REVISION_TEXT, "%s", revision);
    for (size_t i = length; i-- > 0;) {
        if (revision[i] != last) {
            next[i] = strchr(letters, revision[i])[1];
            return true;
        }
        next[i] = letters[0];
    }
    snprintf(next, CW_REVISION_TEXT, "%.*s", (int)length + 1, "AAA");
    return length == 1;
}
