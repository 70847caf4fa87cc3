/* SPDX-License-Identifier: ISC */
#include "numbers.h"

#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>

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

const char *cw_print_henry(double henry, char *text, size_t size)
{
    bool milli = fabs(henry) < 0.9995;
    snprintf(text, size, "%.3g %s", milli ? 1e3 * henry : henry, milli ? "mH" : "H");
    return text;
}

/* What a number shows as with so many decimals: no sign of its own where that is zero. */
static double shown(double number, int decimals) { return fabs(number) < 0.5 * pow(10.0, -decimals) ? 0.0 : number; }

const char *cw_print_plain(double number, int decimals, char *text, size_t size)
{
    snprintf(text, size, "%.*f", decimals, shown(number, decimals));
    return text;
}

const char *cw_print_signed(double number, int decimals, char *text, size_t size)
{
    double plain = shown(number, decimals);
    snprintf(text, size, plain > 0.0 ? "+%.*f" : "%.*f", decimals, plain);
    return text;
}

static const char *print_signed(double number, int decimals, const char *unit, char *text, size_t size)
{
    char plain[40];
    snprintf(text, size, "%s %s", cw_print_signed(number, decimals, plain, sizeof plain), unit);
    return text;
}

const char *cw_print_db(double db, int decimals, char *text, size_t size)
{
    if (isnan(db) || isinf(db)) {
        snprintf(text, size, "silent");
        return text;
    }
    return print_signed(db, fabs(db) >= 99.95 ? 0 : decimals, "dB", text, size);
}

const char *cw_print_percent(double of_100, int decimals, char *text, size_t size)
{
    snprintf(text, size, "%.*f %%", decimals, shown(of_100, decimals));
    return text;
}

const char *cw_print_percent_out(double of_100, char *text, size_t size)
{
    return cw_print_percent(of_100, of_100 < 0.95, text, size);
}

const char *cw_print_percent_change(double of_100, int decimals, char *text, size_t size)
{
    return print_signed(of_100, decimals, "%", text, size);
}

const char *cw_print_resonance(double hz, char *text, size_t size)
{
    if (hz > 0.0) {
        return cw_print_hz(hz, text, size);
    }
    snprintf(text, size, "none");
    return text;
}

const char *cw_print_peak_hz(double hz, char *text, size_t size)
{
    if (hz > 0.0) {
        return cw_print_hz(hz, text, size);
    }
    snprintf(text, size, "flat");
    return text;
}

const char *cw_print_peak(double hz, double db, char *text, size_t size)
{
    char at[32], height[32];
    cw_print_peak_hz(hz, at, sizeof at);
    snprintf(text, size, hz > 0.0 ? "%s, %s" : "%s", at, cw_print_db(db, 1, height, sizeof height));
    return text;
}

const char *cw_print_noise(double db, char *text, size_t size)
{
    if (db >= CW_CANCELS_DB) {
        return cw_print_db(db, 1, text, size);
    }
    snprintf(text, size, "cancels");
    return text;
}

const char *cw_print_csv_number(double number, double grain, char *text, size_t size)
{
    if (isnan(number)) {
        snprintf(text, size, "%s", "");
    } else if (isinf(number)) {
        snprintf(text, size, "%s", number < 0.0 ? "-inf" : "inf");
    } else {
        snprintf(text, size, "%.6g", fabs(number) < 1e-6 * fabs(grain) ? 0.0 : number);
    }
    return text;
}

const char *cw_true_minus(char *text, size_t size)
{
    static const char minus[] = "\xe2\x88\x92";
    for (char *at = text; *at; at++) {
        bool sign = *at == '-' && at[1] >= '0' && at[1] <= '9';
        size_t rest = strlen(at + 1);
        if (sign && (size_t)(at - text) + sizeof minus - 1 + rest < size) {
            memmove(at + sizeof minus - 1, at + 1, rest + 1);
            memcpy(at, minus, sizeof minus - 1);
            at += sizeof minus - 2;
        }
    }
    return text;
}
