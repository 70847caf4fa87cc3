/* SPDX-License-Identifier: ISC */
#include "numbers.h"

#include <math.h>
#include <stdio.h>

const char *cw_print_hz(double hz, char *text, size_t size)
{
    if (hz >= 9995.0) {
        snprintf(text, size, "%.1f kHz", hz / 1000.0);
    } else if (hz >= 999.5) {
        snprintf(text, size, "%.2f kHz", hz / 1000.0);
    } else if (hz >= 99.95) {
        snprintf(text, size, "%.0f Hz", hz);
    } else {
        snprintf(text, size, "%.1f Hz", hz);
    }
    return text;
}

static const char *print_scaled(double value, const char *const units[3], char *text, size_t size)
{
    int at = value < 0.9995 ? 0 : value < 999.5 ? 1 : 2;
    snprintf(text, size, "%.3g %s", value * (at == 0 ? 1e3 : at == 1 ? 1.0 : 1e-3), units[at]);
    return text;
}

const char *cw_print_ohms(double kilohm, char *text, size_t size)
{
    static const char *const units[3] = {"Ω", "kΩ", "MΩ"};
    return print_scaled(kilohm, units, text, size);
}

const char *cw_print_farads(double nanofarad, char *text, size_t size)
{
    static const char *const units[3] = {"pF", "nF", "µF"};
    return print_scaled(nanofarad, units, text, size);
}

const char *cw_print_resonance(double hz, char *text, size_t size)
{
    if (hz > 0.0) {
        return cw_print_hz(hz, text, size);
    }
    snprintf(text, size, "none");
    return text;
}

const char *cw_print_peak(double hz, double db, char *text, size_t size)
{
    char at[32];
    if (hz > 0.0) {
        double shown = fabs(db) < 0.05 ? 0.0 : db; /* no sign of its own where it shows as zero */
        snprintf(text, size, "%s, %+.1f dB", cw_print_hz(hz, at, sizeof at), shown);
    } else {
        snprintf(text, size, "flat");
    }
    return text;
}
