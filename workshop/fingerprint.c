/* SPDX-License-Identifier: ISC */
#include "fingerprint.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static int by_symbol(const void *a, const void *b)
{
    return strcmp(cw_param_info[*(const int *)a].symbol, cw_param_info[*(const int *)b].symbol);
}

/* Nine digits always do (IEEE 754). */
const char *cw_canonical_value(double value, char text[CW_VALUE_TEXT])
{
    float stored = (float)value;
    int digits = 1;
    do {
        snprintf(text, CW_VALUE_TEXT, "%.*g", digits, stored == 0.0f ? 0.0 : (double)stored);
    } while (digits++ < 9 && strtof(text, NULL) != stored);
    snprintf(text, CW_VALUE_TEXT, "%.15g", strtod(text, NULL)); /* the same digits, without an exponent */
    return text;
}

const char *cw_canonical_text(const struct cw_setup *setup, char text[CW_CANONICAL_TEXT])
{
    int order[CW_PARAMS];
    size_t at = (size_t)snprintf(text, CW_CANONICAL_TEXT, "coilwright setup 1\n");
    for (int i = 0; i < CW_PARAMS; i++) {
        order[i] = i;
    }
    qsort(order, CW_PARAMS, sizeof *order, by_symbol);
    for (int i = 0; i < CW_PARAMS && at < CW_CANONICAL_TEXT; i++) {
        const struct cw_param_info *info = &cw_param_info[order[i]];
        const char *unit = cw_unit_symbol(info->unit);
        char value[CW_VALUE_TEXT];
        cw_canonical_value(setup->value[order[i]], value);
        at += (size_t)snprintf(text + at, CW_CANONICAL_TEXT - at, "%s %s%s%s\n", info->symbol, value, *unit ? " " : "",
                               unit);
    }
    return text;
}

void cw_fingerprint(const struct cw_setup *setup, unsigned char digest[CW_SHA256_BYTES])
{
    char text[CW_CANONICAL_TEXT];
    cw_canonical_text(setup, text);
    cw_sha256(text, strlen(text), digest);
}
