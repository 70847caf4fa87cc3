/* SPDX-License-Identifier: ISC */
#include "session_text.h"

#include <assert.h>
#include <string.h>

#include "seal_mark.h"
#include "utf8.h"

static const struct {
    const char *key;
    size_t size;
    bool lines;
} row[CW_TEXTS] = {
    [CW_TEXT_RECORDED] = {"name_recorded", 96, false},
    [CW_TEXT_A] = {"name_a", 96, false},
    [CW_TEXT_B] = {"name_b", 96, false},
    [CW_TEXT_JOB] = {"job", 256, false},
    [CW_TEXT_NOTES] = {"notes", CW_TEXT_SIZE, true},
    [CW_TEXT_SEAL_RECORDED] = {"seal_recorded", CW_SEAL_MARK_TEXT, false},
    [CW_TEXT_SEAL_A] = {"seal_a", CW_SEAL_MARK_TEXT, false},
    [CW_TEXT_SEAL_B] = {"seal_b", CW_SEAL_MARK_TEXT, false},
};

size_t cw_session_text_size(enum cw_session_text which)
{
    assert((unsigned)which < CW_TEXTS);
    return row[which].size;
}

const char *cw_session_text_key(enum cw_session_text which)
{
    assert((unsigned)which < CW_TEXTS);
    return row[which].key;
}

/* C0, DEL; C1 is two bytes in UTF-8. */
static bool is_control(const char *at)
{
    const unsigned char c = (unsigned char)at[0], next = (unsigned char)at[1];
    return c < 0x20 || c == 0x7f || (c == 0xc2 && next >= 0x80 && next < 0xa0);
}

bool cw_session_text_valid(enum cw_session_text which, const char *text, size_t size)
{
    if (size == 0 || size > cw_session_text_size(which) || memchr(text, '\0', size) != text + size - 1) {
        return false;
    }
    while (*text) {
        const size_t length = cw_utf8_length(text);
        const bool breaks = row[which].lines && (*text == '\n' || *text == '\t');
        if (length == 0 || (is_control(text) && !breaks)) {
            return false;
        }
        text += length;
    }
    return true;
}
