/* SPDX-License-Identifier: ISC */
#include "seals.h"

#include <stdio.h>
#include <string.h>

bool cw_seal_texts_same(const struct cw_seal_texts *a, const struct cw_seal_texts *b)
{
    for (int which = 0; which < CW_SETUPS; which++) {
        if (strcmp(a->of[which], b->of[which]) != 0) {
            return false;
        }
    }
    return true;
}

bool cw_seals_any(const struct cw_seals *seals)
{
    for (int which = 0; which < CW_SETUPS; which++) {
        if (seals->text.of[which][0]) {
            return true;
        }
    }
    return false;
}

void cw_seals_take(struct cw_seals *seals, const struct cw_seal_texts *text, bool handed)
{
    for (int which = 0; which < CW_SETUPS; which++) {
        if (!handed && strcmp(seals->text.of[which], text->of[which]) != 0) {
            seals->changed |= 1u << which;
        }
    }
    seals->text = *text;
}

void cw_seals_copy(struct cw_seals *seals, enum cw_which from, enum cw_which to)
{
    struct cw_seal_texts text = seals->text;
    memcpy(text.of[to], text.of[from], sizeof text.of[to]);
    cw_seals_take(seals, &text, false);
}

void cw_seals_swap(struct cw_seals *seals)
{
    struct cw_seal_texts text = seals->text;
    memcpy(text.of[CW_A], seals->text.of[CW_B], sizeof text.of[CW_A]);
    memcpy(text.of[CW_B], seals->text.of[CW_A], sizeof text.of[CW_B]);
    cw_seals_take(seals, &text, false);
}

void cw_seals_judge(struct cw_seals *seals, const struct cw_setup setup[CW_SETUPS])
{
    for (int which = 0; which < CW_SETUPS; which++) {
        const char *text = seals->text.of[which];
        if (strcmp(seals->judged[which].text, text) != 0 ||
            !cw_setup_equal(&seals->judged[which].setup, &setup[which])) {
            seals->standing[which] = cw_seal_mark_judge(text, &setup[which], &seals->mark[which]);
            memcpy(seals->judged[which].text, text, sizeof seals->judged[which].text);
            seals->judged[which].setup = setup[which];
        }
    }
}

void cw_seals_words(const struct cw_seals *seals, enum cw_which which, int digits, char *text, size_t size)
{
    const struct cw_seal_mark *mark = &seals->mark[which];
    switch (seals->standing[which]) {
    case CW_SEAL_HOLDS: snprintf(text, size, "%s %.*s", mark->revision, digits, mark->fingerprint); break;
    case CW_SEAL_CHANGED: snprintf(text, size, "changed"); break;
    case CW_SEAL_UNREAD: snprintf(text, size, "unknown"); break;
    case CW_SEAL_NONE:
    default: text[0] = '\0'; break;
    }
}
