/* SPDX-License-Identifier: ISC */
#include "names.h"

#include <string.h>

#include "session_text.h"

_Static_assert((int)CW_TEXT_RECORDED == (int)CW_REC && (int)CW_TEXT_A == (int)CW_A && (int)CW_TEXT_B == (int)CW_B,
               "names stand in the order of the setups");

const char *cw_names_set(struct cw_names *names, enum cw_which which, const char *text)
{
    text += strspn(text, " ");
    size_t length = strlen(text);
    while (length > 0 && text[length - 1] == ' ') {
        length--;
    }
    char name[CW_NAME_SIZE];
    if (length >= sizeof name) {
        return "expected a shorter name";
    }
    memcpy(name, text, length);
    name[length] = '\0';
    if (!cw_session_text_valid((enum cw_session_text)which, name, length + 1)) {
        return "expected a name of letters that can be shown";
    }
    memcpy(names->text[which], name, length + 1);
    names->changed |= 1u << which;
    return NULL;
}

void cw_names_swap(struct cw_names *names)
{
    char a[CW_NAME_SIZE];
    memcpy(a, names->text[CW_A], sizeof a);
    memcpy(names->text[CW_A], names->text[CW_B], sizeof a);
    memcpy(names->text[CW_B], a, sizeof a);
    names->changed |= 1u << CW_A | 1u << CW_B;
}
