/* SPDX-License-Identifier: ISC */
#include "known.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "coil.h"
#include "core.h"

enum cw_param_id cw_known_param(const struct cw_setup *setup, enum cw_reading_id id)
{
    static const enum cw_param_id winding[CW_READINGS] = {[CW_READ_RESISTANCE] = CW_P_RESISTANCE_CAL,
                                                          [CW_READ_INDUCTANCE] = CW_P_INDUCTANCE_CAL,
                                                          [CW_READ_RESONANCE] = CW_P_CAPACITANCE_CAL,
                                                          [CW_READ_PEAK] = CW_P_LOSS_CAL};
    static const enum cw_param_id measured[CW_READINGS] = {[CW_READ_RESISTANCE] = CW_P_RESISTANCE,
                                                           [CW_READ_INDUCTANCE] = CW_P_INDUCTANCE,
                                                           [CW_READ_RESONANCE] = CW_P_CAPACITANCE,
                                                           [CW_READ_PEAK] = CW_P_LOSS};
    return (setup->value[CW_P_COIL_FROM] == CW_FROM_WINDING ? winding : measured)[id];
}

struct cw_setup cw_known_moved(const struct cw_known *known, const struct cw_setup *setup, enum cw_reading_id reading,
                               double sign)
{
    struct cw_setup moved = *setup;
    for (int i = 0; i < CW_READINGS; i++) {
        enum cw_param_id id = cw_known_param(setup, (enum cw_reading_id)i);
        const struct cw_param_info *info = &cw_param_info[id];
        double value = setup->value[id] * exp(sign * known->shift[reading][i]);
        moved.value[id] = fmin(fmax(value, info->minimum), info->maximum);
    }
    return moved;
}

static bool same_coil(const struct cw_setup *was, const struct cw_setup *is)
{
    struct cw_pickup a, b;
    cw_coil_solve(was, &a);
    cw_coil_solve(is, &b);
    bool same = was->value[CW_P_COIL_FROM] == is->value[CW_P_COIL_FROM] && a.coils == b.coils && a.mutual == b.mutual;
    for (int i = 0; i < 2; i++) {
        const struct cw_coil *one = &a.coil[i], *other = &b.coil[i];
        same = same && one->resistance == other->resistance && one->inductance == other->inductance &&
               one->capacitance == other->capacitance && one->loss == other->loss && one->tail == other->tail;
        for (int k = 0; k < CW_BRANCHES; k++) {
            same = same && one->branch[k].inductance == other->branch[k].inductance &&
                   one->branch[k].resistance == other->branch[k].resistance;
        }
    }
    return same;
}

void cw_known_follow(struct cw_known *known, const struct cw_setup *was, const struct cw_setup *is)
{
    if (!known->given || same_coil(was, is)) {
        return;
    }
    if (was->value[CW_P_COIL_FROM] == CW_FROM_WINDING && is->value[CW_P_COIL_FROM] == CW_FROM_WINDING) {
        known->variant = true;
    } else {
        *known = (struct cw_known){.given = false};
    }
}

/* ---- as text ---- */

/* Shifts stand in millionths: whole numbers look the same in every locale. */
static const double part = 1e-6;

static const char *const word[2] = {"coil", "variant"};

const char *cw_known_print(const struct cw_known *known, char text[CW_KNOWN_TEXT])
{
    size_t used = 0;
    text[0] = '\0';
    if (!known->given) {
        return text;
    }
    used = (size_t)snprintf(text, CW_KNOWN_TEXT, "%s", word[known->variant]);
    for (int i = 0; i < CW_READINGS * CW_READINGS; i++) {
        double shift = known->shift[i / CW_READINGS][i % CW_READINGS];
        shift = fmin(fmax(shift, -CW_KNOWN_SHIFT_MAX), CW_KNOWN_SHIFT_MAX);
        used += (size_t)snprintf(text + used, CW_KNOWN_TEXT - used, "%s%ld", i % CW_READINGS ? " " : "; ",
                                 lround(shift / part));
    }
    return text;
}

/* A whole number without anything before it. \return behind it, NULL where there is none in range */
static const char *whole(const char *text, double *number)
{
    bool negative = *text == '-';
    double sum = 0.0;
    const char *digits = text + negative;
    const char *end = digits + strspn(digits, "0123456789");
    if (end == digits || end - digits > 7) {
        return NULL;
    }
    for (const char *c = digits; c < end; c++) {
        sum = 10.0 * sum + (*c - '0');
    }
    *number = negative ? -sum : sum;
    return sum * part <= CW_KNOWN_SHIFT_MAX ? end : NULL;
}

static bool read_rows(const char *text, struct cw_known *known)
{
    for (int i = 0; i < CW_READINGS * CW_READINGS; i++) {
        const char *between = i % CW_READINGS ? " " : "; ";
        size_t length = strlen(between);
        double number;
        if (strncmp(text, between, length) != 0 || !(text = whole(text + length, &number))) {
            return false;
        }
        known->shift[i / CW_READINGS][i % CW_READINGS] = number * part;
    }
    return *text == '\0';
}

bool cw_known_read(const char *text, struct cw_known *known)
{
    *known = (struct cw_known){.given = true};
    size_t coil = strlen(word[0]), variant = strlen(word[1]);
    known->variant = strncmp(text, word[1], variant) == 0;
    bool good = known->variant || strncmp(text, word[0], coil) == 0;
    good = good && read_rows(text + (known->variant ? variant : coil), known);
    if (!good) {
        *known = (struct cw_known){.given = false};
    }
    return good;
}
