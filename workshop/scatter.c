/* SPDX-License-Identifier: ISC */
#include "scatter.h"

#include <math.h>
#include <string.h>

#include "wire.h"

const struct cw_scatter_info cw_scatter_info[CW_SCATTERS] = {
#define CW_SCATTER(ID, ...) [CW_SCATTER_##ID] = {__VA_ARGS__},
#include "scatter.def"
#undef CW_SCATTER
};

void cw_scatter_usual(const struct cw_setup *setup, struct cw_scatter *scatter)
{
    const double usual_gauge = 42.0;
    bool wound = setup->value[CW_P_COIL_FROM] == CW_FROM_WINDING;
    struct cw_diameter bare = cw_wire_bare(wound ? setup->value[CW_P_GAUGE] : usual_gauge);
    for (int i = 0; i < CW_SCATTERS; i++) {
        scatter->half[i] = cw_scatter_info[i].half;
    }
    scatter->half[CW_SCATTER_WIRE] = 50.0 * (bare.maximum - bare.minimum) / bare.nominal;
}

double cw_scatter_standard(enum cw_scatter_id id)
{
    return cw_scatter_info[id].shape == CW_SHAPE_LIMITS ? 1.0 / sqrt(3.0) : 0.5;
}

int cw_scatter_find(const char *word)
{
    for (int i = 0; i < CW_SCATTERS; i++) {
        if (strcmp(word, cw_scatter_info[i].word) == 0) {
            return i;
        }
    }
    return -1;
}
