/* SPDX-License-Identifier: ISC */
#include "clipping.h"

#include <math.h>

static const float FULL_SCALE = 0.99885f; /* -0.01 dB */
enum { RUN = 3 };

void cw_clipping_add(struct cw_clipping *clipping, const float *samples, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        float x = samples[i];
        if (fabsf(x) < FULL_SCALE) {
            clipping->run = 0;
        } else if (clipping->run > 0 && x == clipping->last) {
            clipping->run++;
            clipping->samples += clipping->run == RUN ? RUN : clipping->run > RUN;
            clipping->places += clipping->run == RUN;
            clipping->run = clipping->run > RUN ? RUN + 1 : clipping->run;
        } else {
            clipping->run = 1;
        }
        clipping->last = x;
    }
}
