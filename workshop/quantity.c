/* SPDX-License-Identifier: ISC */
#include "quantity.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct scale {
    const char *text;
    double factor;
};

/* SI prefixes that parts are marked with. Capital K is common on schematics; both code points of
 * the micro sign are. */
static const struct scale prefixes[] = {{"p", 1e-12}, {"n", 1e-9}, {"u", 1e-6}, {"µ", 1e-6}, {"μ", 1e-6},
                                        {"m", 1e-3},  {"k", 1e3},  {"K", 1e3},  {"M", 1e6},  {"G", 1e9}};

/* How a unit may be written, and its size in SI. */
struct unit_words {
    double si;     /**< the table's unit in SI */
    bool prefixed; /**< whether a prefix may stand before the unit, or alone */
    struct scale word[6];
};

static const struct unit_words units[CW_UNITS] = {
    [CW_UNIT_NONE] = {1, false, {{NULL, 0}}},
    [CW_UNIT_DB] = {1, false, {{"dB", 1}, {"db", 1}}},
    [CW_UNIT_HZ] = {1, true, {{"Hz", 1}, {"hz", 1}}},
    [CW_UNIT_PERCENT] = {1, false, {{"%", 1}}},
    [CW_UNIT_HENRY] = {1, true, {{"H", 1}}},
    [CW_UNIT_KOHM] = {1e3, true, {{"ohm", 1}, {"ohms", 1}, {"Ohm", 1}, {"Ω", 1}, {"Ω", 1}, {"R", 1}}},
    [CW_UNIT_MOHM] = {1e6, true, {{"ohm", 1}, {"ohms", 1}, {"Ohm", 1}, {"Ω", 1}, {"Ω", 1}, {"R", 1}}},
    [CW_UNIT_PF] = {1e-12, true, {{"F", 1}}},
    [CW_UNIT_NF] = {1e-9, true, {{"F", 1}}},
    [CW_UNIT_PF_PER_M] = {1e-12, true, {{"F/m", 1}, {"F/ft", 1 / 0.3048}}},
    [CW_UNIT_METRE] = {1, false, {{"m", 1}, {"cm", 0.01}, {"mm", 0.001}, {"ft", 0.3048}}},
};

enum { WORDS = sizeof units[0].word / sizeof units[0].word[0] };

static const char *skip_spaces(const char *text)
{
    while (*text == ' ') {
        text++;
    }
    return text;
}

static bool is_unit(const struct unit_words *unit, const char *text, double *factor)
{
    for (int i = 0; i < WORDS && unit->word[i].text; i++) {
        if (strcmp(unit->word[i].text, text) == 0) {
            *factor = unit->word[i].factor;
            return true;
        }
    }
    return false;
}

static const struct scale *prefix_of(const char *text)
{
    for (size_t i = 0; i < sizeof prefixes / sizeof prefixes[0]; i++) {
        if (strncmp(text, prefixes[i].text, strlen(prefixes[i].text)) == 0) {
            return &prefixes[i];
        }
    }
    return NULL;
}

/* A plain decimal number: strtod() also knows infinity, NaN and hexadecimal, which no one means. */
static bool decimal(const char *text, double *number, const char **end)
{
    const char *c = text;
    if (*c == '+' || *c == '-') {
        c++;
    }
    if (!isdigit((unsigned char)*c) && !(*c == '.' && isdigit((unsigned char)c[1]))) {
        return false;
    }
    if (c[0] == '0' && (c[1] == 'x' || c[1] == 'X')) {
        return false;
    }
    char *stop;
    *number = strtod(text, &stop);
    *end = stop;
    return isfinite(*number);
}

/* Digits after a prefix or R that stands for the decimal point, as printed on parts: 4k7, 2R2
 * (IEC 60062). Adds them to the number. */
static bool fraction(const char *text, double *number, const char **end)
{
    double digits = 0, place = 0.1;
    const char *c = text;
    for (; isdigit((unsigned char)*c); c++, place /= 10) {
        digits += place * (*c - '0');
    }
    *end = c;
    *number += digits;
    return c != text;
}

bool cw_quantity_parse(const char *text, enum cw_unit unit, double *value)
{
    const struct unit_words *words = &units[unit];
    const char *start = skip_spaces(text), *at;
    double number, factor;
    if (!decimal(start, &number, &at)) {
        return false;
    }
    bool whole = strspn(start, "0123456789") == (size_t)(at - start);
    at = skip_spaces(at);
    if (*at == '\0') {
        *value = number;
        return true;
    }
    if (is_unit(words, at, &factor)) {
        *value = number * (factor / words->si);
        return true;
    }
    if (!words->prefixed) {
        return false;
    }
    const struct scale *prefix = prefix_of(at);
    bool ohms = *at == 'R' && (unit == CW_UNIT_KOHM || unit == CW_UNIT_MOHM);
    if (!prefix && !ohms) {
        return false;
    }
    double scale = prefix ? prefix->factor : 1.0;
    at += prefix ? strlen(prefix->text) : 1;
    if (whole && isdigit((unsigned char)*at)) {
        fraction(at, &number, &at);
    }
    at = skip_spaces(at);
    factor = 1.0;
    if (*at && !is_unit(words, at, &factor)) {
        return false;
    }
    *value = number * (scale * factor / words->si);
    return true;
}

static bool same_word(const char *a, const char *b)
{
    for (; *a && *b; a++, b++) {
        if (tolower((unsigned char)*a) != tolower((unsigned char)*b)) {
            return false;
        }
    }
    return *a == *b;
}

static bool toggle_word(const char *text, double *value)
{
    static const char *const on[] = {"on", "yes", "true"}, *const off[] = {"off", "no", "false"};
    for (int i = 0; i < 3; i++) {
        if (same_word(text, on[i]) || same_word(text, off[i])) {
            *value = same_word(text, on[i]) ? 1.0 : 0.0;
            return true;
        }
    }
    return false;
}

static bool point_label(const struct cw_param_info *info, const char *text, double *value)
{
    for (size_t i = 0; i < info->point_count; i++) {
        if (same_word(text, info->points[i].label)) {
            *value = info->points[i].value;
            return true;
        }
    }
    return false;
}

/* What a parameter takes, for "expected ...". */
static void describe(const struct cw_param_info *info, char *text, size_t size)
{
    if (info->flags & CW_TOGGLE) {
        snprintf(text, size, "0 or 1 (off, on)");
    } else if (info->flags & CW_ENUM && info->point_count > 6) {
        snprintf(text, size, "one of %g (%s) to %g (%s) in half steps", info->minimum, info->points[0].label,
                 info->maximum, info->points[info->point_count - 1].label);
    } else if (info->flags & CW_ENUM) {
        size_t used = (size_t)snprintf(text, size, "one of");
        for (size_t i = 0; i < info->point_count && used < size; i++) {
            used += (size_t)snprintf(text + used, size - used, "%s %g (%s)", i ? "," : "", info->points[i].value,
                                     info->points[i].label);
        }
    } else {
        const char *unit = cw_unit_symbol(info->unit);
        snprintf(text, size, "%s from %g to %g%s%s", info->flags & CW_INTEGER ? "a whole number" : "a value",
                 info->minimum, info->maximum, *unit ? " " : "", unit);
    }
}

bool cw_value_check(const struct cw_param_info *info, double *value, char why[CW_WHY_SIZE])
{
    /* A host keeps a port in single precision: 0.01 comes back as 0.0099999998. */
    double slack = 1e-6 * fmax(fabs(info->minimum), fabs(info->maximum));
    if (info->flags & CW_LOG) {
        slack = 1e-6 * fabs(*value);
    }
    double clean = cw_param_clean(info, *value, NAN);
    bool toggle_ok = !(info->flags & CW_TOGGLE) || *value == 0.0 || *value == 1.0;
    if (isfinite(*value) && toggle_ok && fabs(clean - *value) <= slack) {
        *value = clean;
        return true;
    }
    char expected[CW_WHY_SIZE - 40];
    describe(info, expected, sizeof expected);
    snprintf(why, CW_WHY_SIZE, "expected %s, found %.6g", expected, *value);
    return false;
}

bool cw_value_parse(const struct cw_param_info *info, const char *text, double *value, char why[CW_WHY_SIZE])
{
    double number;
    bool read = (info->flags & CW_TOGGLE && toggle_word(text, &number)) || point_label(info, text, &number) ||
                cw_quantity_parse(text, info->unit, &number);
    if (!read) {
        char expected[CW_WHY_SIZE - 60];
        describe(info, expected, sizeof expected);
        snprintf(why, CW_WHY_SIZE, "expected %s, found '%.32s'", expected, text);
        return false;
    }
    if (!cw_value_check(info, &number, why)) {
        return false;
    }
    *value = number;
    return true;
}

const char *cw_value_print(const struct cw_param_info *info, double value, char *text, size_t size)
{
    for (size_t i = 0; i < info->point_count; i++) {
        if (info->points[i].value == value) {
            snprintf(text, size, "%s", info->points[i].label);
            return text;
        }
    }
    if (info->flags & CW_TOGGLE) {
        snprintf(text, size, "%s", value > 0 ? "on" : "off");
    } else {
        const char *unit = cw_unit_symbol(info->unit);
        snprintf(text, size, "%.4g%s%s", value, *unit ? " " : "", unit);
    }
    return text;
}
