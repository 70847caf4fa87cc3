/* SPDX-License-Identifier: ISC */
#include "words.h"

#include "numbers.h"

#include <math.h>
#include <stdio.h>

void cw_words_db(double db, char *text, size_t size)
{
    double shown = fabs(db) < 0.05 ? 0.0 : db;
    snprintf(text, size, fabs(shown) > 99.9 ? "%s%.0f dB" : "%s%.1f dB",
             shown < 0   ? "\xe2\x88\x92"
             : shown > 0 ? "+"
                         : "",
             fabs(shown));
}

void cw_words_resonance(double hz, char *text, size_t size)
{
    if (hz > 0.0) {
        cw_print_hz(hz, text, size);
    } else {
        snprintf(text, size, "no peak");
    }
}

void cw_words_share(double of_100, char *text, size_t size) { snprintf(text, size, "%.0f %%", of_100); }

/* The model reports no less than this: the two coils cancel. */
static void cancelled(double db, char *text, size_t size)
{
    if (db <= cw_meter_info[CW_M_HUM].minimum + 0.05) {
        snprintf(text, size, "cancels");
    } else {
        cw_words_db(db, text, size);
    }
}

void cw_words_figure(const struct cw_figures *figures, enum cw_figure_row row, char *text, size_t size)
{
    const double *v = figures->value;
    snprintf(text, size, "\xe2\x80\x93");
    switch (row) {
    case CW_ROW_DC_RESISTANCE: snprintf(text, size, "%.2f k\xce\xa9", v[CW_M_DC_RESISTANCE]); break;
    case CW_ROW_INDUCTANCE: snprintf(text, size, "%.3g H", v[CW_M_LEAD_INDUCTANCE]); break;
    case CW_ROW_RESONANCE: cw_words_resonance(v[CW_M_RESONANCE], text, size); break;
    case CW_ROW_PEAK:
        if (v[CW_M_RESONANCE] > 0.0) {
            cw_words_db(v[CW_M_PEAK], text, size);
        }
        break;
    case CW_ROW_SHARE: cw_words_share(100.0 * pow(10.0, v[CW_M_LEVEL] / 20.0), text, size); break;
    case CW_ROW_LEVEL: cw_words_db(v[CW_M_LEVEL], text, size); break;
    case CW_ROW_HUM: cancelled(v[CW_M_HUM], text, size); break;
    case CW_ROW_BUZZ: cancelled(v[CW_M_BUZZ], text, size); break;
    case CW_ROW_FILL:
    default:
        if (v[CW_M_FILL] > 0.0) {
            cw_words_share(v[CW_M_FILL], text, size);
        }
        break;
    }
}

void cw_words_cable(const struct cw_model *model, enum cw_which which, bool brief, char *text, size_t size)
{
    const struct cw_setup *s = &model->controls.setup[which];
    const struct cw_path *path = &model->path[which];
    double metres = s->value[CW_P_CABLE_LENGTH];
    char bare[24], loaded[24];
    cw_words_resonance(path->bare_hz, bare, sizeof bare);
    cw_words_resonance(path->peak.hz, loaded, sizeof loaded);
    snprintf(text, size, brief ? "%.3g m, %.0f pF: %s%s; no cable: %s" : "%.3g m, %.0f pF: %s%s; with no cable: %s",
             metres, metres * s->value[CW_P_CABLE_CAPACITANCE], brief || path->peak.hz <= 0.0 ? "" : "resonance ",
             loaded, bare);
}

bool cw_words_resonance_of_b(const struct cw_model *model, char *text, size_t size)
{
    double a = model->path[CW_A].peak.hz, b = model->path[CW_B].peak.hz;
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
