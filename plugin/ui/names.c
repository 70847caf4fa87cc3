/* SPDX-License-Identifier: ISC */
#include "names.h"

#include <string.h>

_Static_assert((int)CW_TEXT_RECORDED == (int)CW_REC && (int)CW_TEXT_A == (int)CW_A && (int)CW_TEXT_B == (int)CW_B,
               "names stand in the order of the setups");

const char *const cw_names_label[CW_NAMES] = {"Name of the recording", "Name of A", "Name of B", "Job", "Notes"};

const char *cw_names_set(struct cw_names *names, enum cw_session_text which, const char *text)
{
    text += strspn(text, " ");
    size_t length = strlen(text);
    while (length > 0 && text[length - 1] == ' ') {
        length--;
    }
    char name[CW_TEXT_SIZE];
    if (length >= cw_session_text_size(which)) {
        return "expected a shorter text";
    }
    memcpy(name, text, length);
    name[length] = '\0';
    if (!cw_session_text_valid(which, name, length + 1)) {
        return "expected letters that can be shown";
    }
    memcpy(names->text[which], name, length + 1);
    names->changed |= 1u << which;
    return NULL;
}

void cw_names_swap(struct cw_names *names)
{
    char a[CW_TEXT_SIZE];
    memcpy(a, names->text[CW_TEXT_A], sizeof a);
    memcpy(names->text[CW_TEXT_A], names->text[CW_TEXT_B], sizeof a);
    memcpy(names->text[CW_TEXT_B], a, sizeof a);
    names->changed |= 1u << CW_TEXT_A | 1u << CW_TEXT_B;
}
