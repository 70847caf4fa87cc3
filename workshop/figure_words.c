/* SPDX-License-Identifier: ISC */
#include "figure_words.h"

#include <math.h>
#include <stdio.h>

#include "numbers.h"

const char *const cw_figure_row_name[CW_FIGURE_ROWS] = {[CW_ROW_DC_RESISTANCE] = "DC resistance",
                                                        [CW_ROW_INDUCTANCE] = "Inductance",
                                                        [CW_ROW_RESONANCE] = "Resonance",
                                                        [CW_ROW_PEAK_HZ] = "Peak at",
                                                        [CW_ROW_PEAK] = "Peak height",
                                                        [CW_ROW_SHARE] = "Split level",
                                                        [CW_ROW_LEVEL] = "in decibels",
                                                        [CW_ROW_HUM] = "Hum / one coil",
                                                        [CW_ROW_BUZZ] = "Buzz / one coil",
                                                        [CW_ROW_FILL] = "Former filled"};

void cw_words_db(double db, char *text, size_t size)
{
    cw_print_db(db, fabs(db) > 99.9 ? 0 : 1, text, size);
    cw_true_minus(text, size);
}

void cw_words_share(double of_100, char *text, size_t size) { cw_print_percent(of_100, 0, text, size); }

/* Hum or buzz. */
static void noise(double db, char *text, size_t size)
{
    cw_print_noise(db, text, size);
    cw_true_minus(text, size);
}

static bool is_of_two_coils(enum cw_figure_row row)
{
    return row == CW_ROW_SHARE || row == CW_ROW_LEVEL || row == CW_ROW_HUM || row == CW_ROW_BUZZ;
}

void cw_words_figure(const struct cw_setup *setup, const struct cw_figures *figures, enum cw_figure_row row, char *text,
                     size_t size)
{
    const double *v = figures->value;
    snprintf(text, size, "\xe2\x80\x93");
    if (setup->value[CW_P_COILS] == CW_COILS_ONE && is_of_two_coils(row)) {
        return;
    }
    switch (row) {
    case CW_ROW_DC_RESISTANCE: cw_print_ohms(v[CW_M_DC_RESISTANCE], text, size); break;
    case CW_ROW_INDUCTANCE: cw_print_henry(v[CW_M_LEAD_INDUCTANCE], text, size); break;
    case CW_ROW_RESONANCE: cw_print_resonance(v[CW_M_RESONANCE], text, size); break;
    case CW_ROW_PEAK_HZ: cw_print_peak_hz(v[CW_M_PEAK_FREQUENCY], text, size); break;
    case CW_ROW_PEAK:
        if (v[CW_M_PEAK_FREQUENCY] > 0.0) {
            cw_words_db(v[CW_M_PEAK_HEIGHT], text, size);
        }
        break;
    case CW_ROW_SHARE: cw_words_share(100.0 * pow(10.0, v[CW_M_LEVEL] / 20.0), text, size); break;
    case CW_ROW_LEVEL: cw_words_db(v[CW_M_LEVEL], text, size); break;
    case CW_ROW_HUM: noise(v[CW_M_HUM], text, size); break;
    case CW_ROW_BUZZ: noise(v[CW_M_BUZZ], text, size); break;
    case CW_ROW_FILL:
    default:
        if (v[CW_M_FILL] > 0.0) {
            cw_words_share(v[CW_M_FILL], text, size);
        }
        break;
    }
}

/* ", peak 2.70 kHz" or ", flat"; its height stands among the figures. */
static void cable_peak(double hz, char *text, size_t size)
{
    char at[32];
    if (hz > 0.0) {
        snprintf(text, size, ", peak %s", cw_print_hz(hz, at, sizeof at));
    } else {
        snprintf(text, size, ", flat");
    }
}

void cw_words_cable(const struct cw_setup *setup, const struct cw_figures *figures, const struct cw_no_cable *bare,
                    enum cw_detail detail, char *text, size_t size)
{
    const double *v = figures->value;
    double metres = setup->value[CW_P_CABLE_LENGTH];
    char bare_hz[32], loaded[32], peak[48] = "", bare_peak[48] = "";
    cw_print_resonance(v[CW_M_RESONANCE], loaded, sizeof loaded);
    cw_print_resonance(bare->hz, bare_hz, sizeof bare_hz);
    if (detail == CW_FULL) {
        cable_peak(v[CW_M_PEAK_FREQUENCY], peak, sizeof peak);
        cable_peak(bare->peak.hz, bare_peak, sizeof bare_peak);
    }
    snprintf(text, size, "%.3g m, %.0f pF: %s%s%s; no cable: %s%s", metres,
             metres * setup->value[CW_P_CABLE_CAPACITANCE], detail == CW_BRIEF ? "" : "resonance ", loaded, peak,
             bare_hz, bare_peak);
}

void cw_words_cable_plainly(const struct cw_figures *figures, const struct cw_no_cable *bare, char *text, size_t size)
{
    double hz = figures->value[CW_M_RESONANCE];
    char loaded[32], alone[32];
    if (!(bare->hz > 0.0)) {
        snprintf(text, size, "This pickup does not ring: a cable only takes treble away.");
        return;
    }
    cw_print_hz(bare->hz, alone, sizeof alone);
    double percent = hz > 0.0 ? round(100.0 * (1.0 - hz / bare->hz)) : 100.0;
    if (!(hz > 0.0)) {
        snprintf(text, size, "With no cable the pickup rings at %s; with this one it does not ring any more.", alone);
    } else if (percent < 1.0) {
        snprintf(text, size, "With no cable the pickup rings at %s; this one changes that by less than 1 %%.", alone);
    } else {
        snprintf(
            text, size,
            "With no cable the pickup rings at %s; with this one at %s, which is %.0f %% lower: darker and fuller.",
            alone, cw_print_hz(hz, loaded, sizeof loaded), percent);
    }
}
