/* SPDX-License-Identifier: ISC */
#include "defaults.h"

#include <string.h>

#include "acts.h"
#include "message.h"
#include "quantity.h"
#include "table.h"
#include "wrap.h"

/* The places of the coils on the string are heard where they are asked for only. */
static bool unsaid(const struct cw_setup *setup, const bool given[CW_PARAMS], int id)
{
    return !given[id] && cw_param_info[id].group != CW_GROUP_STRING &&
           cw_param_idle(setup, (enum cw_param_id)id) == CW_ACTS;
}

static bool is_load(int id)
{
    return cw_param_info[id].group == CW_GROUP_CONTROLS || cw_param_info[id].group == CW_GROUP_CABLE;
}

void cw_defaults_print(FILE *stream, const struct cw_setup *setup, const bool given[CW_PARAMS])
{
    char text[1000] = "Not given, so at its default: ", value[64];
    size_t used = strlen(text), load = 0, coil = 0;
    for (int i = 0; i < CW_PARAMS && used < sizeof text; i++) {
        if (!unsaid(setup, given, i)) {
            continue;
        }
        if (is_load(i)) {
            cw_value_print(&cw_param_info[i], setup->value[i], value, sizeof value);
            used += (size_t)snprintf(text + used, sizeof text - used, "%s%s %s", load++ ? ", " : "",
                                     cw_param_info[i].name, value);
        } else {
            coil++;
        }
    }
    if (coil && used < sizeof text) {
        snprintf(text + used, sizeof text - used, "%s%zu values of the coil", load ? "; " : "", coil);
    }
    if (load || coil) {
        cw_wrap(stream, text, 0, 4, CW_TABLE_WIDTH);
    }
}

void cw_defaults_name(const char *name, const char *prefix, const struct cw_setup *setup, const bool given[CW_PARAMS])
{
    enum { NAMED = 3 };
    const char *symbol[NAMED] = {0};
    size_t count = 0;
    /* Cable and pots before the coil: they are what a file from elsewhere leaves out. */
    for (int load = 1; load >= 0; load--) {
        for (int i = 0; i < CW_PARAMS; i++) {
            if (unsaid(setup, given, i) && is_load(i) == (load == 1) && count++ < NAMED) {
                symbol[count - 1] = cw_param_info[i].symbol;
            }
        }
    }
    if (count == 0) {
        return;
    }
    char list[160], more[32] = "";
    int used = 0;
    for (size_t i = 0; i < NAMED && symbol[i]; i++) {
        used += snprintf(list + used, sizeof list - (size_t)used, "%s%s%s", i ? ", " : "", prefix, symbol[i]);
    }
    if (count > NAMED) {
        snprintf(more, sizeof more, " and %zu more", count - NAMED);
    }
    cw_error_at(name, 0, "does not set %s%s: at their defaults", list, more);
}
