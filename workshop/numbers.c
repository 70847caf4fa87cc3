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

const char *cw_print_resonance(double hz, char *text, size_t size)
{
    if (hz > 0.0) {
        return cw_print_hz(hz, text, size);
    }
    snprintf(text, size, "none");
    return text;
}

const char *cw_print_db(double db, int decimals, char *text, size_t size)
{
    double least = 0.5 * pow(10.0, -decimals);
    if (!isfinite(db)) {
        snprintf(text, size, "silent");
    } else {
        snprintf(text, size, fabs(db) < least ? "%.*f dB" : "%+.*f dB", decimals, fabs(db) < least ? 0.0 : db);
    }
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

const char *cw_print_peak(double hz, double db, char *text, size_t size)
{
    char at[32], height[32];
    if (hz > 0.0) {
        snprintf(text, size, "%s, %s", cw_print_hz(hz, at, sizeof at), cw_print_db(db, 1, height, sizeof height));
    } else {
        snprintf(text, size, "flat");
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
