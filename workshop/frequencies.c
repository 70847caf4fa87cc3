/* SPDX-License-Identifier: ISC */
#include "frequencies.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "quantity.h"
#include "setup.h"

static bool allocate(struct cw_frequencies *list, size_t count)
{
    list->hz = calloc(count, sizeof *list->hz);
    list->count = list->hz ? count : 0;
    return list->hz != NULL;
}

void cw_frequencies_free(struct cw_frequencies *list)
{
    free(list->hz);
    memset(list, 0, sizeof *list);
}

bool cw_frequencies_third_octaves(struct cw_frequencies *list)
{
    static const double decade[10] = {20, 25, 31.5, 40, 50, 63, 80, 100, 125, 160};
    if (!allocate(list, 31)) {
        return false;
    }
    for (size_t i = 0; i < list->count; i++) {
        list->hz[i] = decade[i % 10] * (i < 10 ? 1.0 : i < 20 ? 10.0 : i < 30 ? 100.0 : 1000.0);
    }
    return true;
}

bool cw_frequencies_spread(struct cw_frequencies *list, double low, double high, size_t count)
{
    if (!allocate(list, count)) {
        return false;
    }
    for (size_t i = 0; i < count; i++) {
        list->hz[i] = count > 1 ? low * pow(high / low, (double)i / (double)(count - 1)) : low;
    }
    return true;
}

bool cw_frequencies_parse(struct cw_frequencies *list, const char *text, char *bad, size_t bad_size)
{
    size_t parts = 1;
    for (const char *c = text; *c; c++) {
        parts += *c == ',';
    }
    snprintf(bad, bad_size, "%s", parts > CW_FREQUENCIES_MAX ? "too many" : "out of memory");
    if (parts > CW_FREQUENCIES_MAX || !allocate(list, parts)) {
        return false;
    }
    for (size_t i = 0; i < parts; i++) {
        char part[40];
        size_t length = strcspn(text, ",");
        snprintf(part, sizeof part, "%.*s", (int)(length < sizeof part ? length : sizeof part - 1), text);
        if (!cw_quantity_parse(part, CW_UNIT_HZ, &list->hz[i]) || list->hz[i] < 0.01 || list->hz[i] > 1e6) {
            snprintf(bad, bad_size, "'%s'", part);
            cw_frequencies_free(list);
            return false;
        }
        text += length + (text[length] == ',');
    }
    return true;
}
