/* SPDX-License-Identifier: ISC */
#include "words.h"

#include <math.h>
#include <stdio.h>

#include "figure_words.h"
#include "figures.h"
#include "setup.h"

bool cw_words_resonance_of_b(const struct cw_model *model, char *text, size_t size)
{
    double a = model->figures[CW_A].value[CW_M_RESONANCE], b = model->figures[CW_B].value[CW_M_RESONANCE];
    if (!(a > 0.0 && b > 0.0)) {
        return false;
    }
    double percent = round(100.0 * (b / a - 1.0));
    if (percent == 0.0) {
        snprintf(text, size, "same resonance");
    } else {
        snprintf(text, size, "resonance %.0f %% %s", fabs(percent), percent < 0.0 ? "lower" : "higher");
    }
    return true;
}

void cw_words_level_of_b(const struct cw_model *model, double hz, char *text, size_t size)
{
    double db = cw_model_level(model, CW_B, hz) - cw_model_level(model, CW_A, hz);
    if (isfinite(db)) {
        cw_words_db(db, text, size);
    } else {
        snprintf(text, size, "\xe2\x80\x93");
    }
}
