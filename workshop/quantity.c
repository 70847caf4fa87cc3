/* SPDX-License-Identifier: ISC */
#include "quantity.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "choice.h"
#include "wire.h"

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
    [CW_UNIT_METRE] = {1, false, {{"m", 1}, {"cm", 0.01}, {"mm", 0.001}, {"ft", 0.3048}, {"um", 1e-6}, {"µm", 1e-6}}},
    [CW_UNIT_MM] = {1, false, {{"mm", 1}, {"cm", 10}, {"m", 1000}, {"in", 25.4}}},
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

/* Whether a comma at c parts thousands: three digits follow, and no fourth. */
static bool parts_thousands(const char *c)
{
    return *c == ',' && isdigit((unsigned char)c[1]) && isdigit((unsigned char)c[2]) && isdigit((unsigned char)c[3]) &&
           !isdigit((unsigned char)c[4]);
}

/* Whether the commas of a number part thousands: there are several, or the one is followed by three
 * digits and a unit in which thousands are common; else one is the decimal comma. */
static bool has_thousands(const char *text, enum cw_unit unit)
{
    const char *c = text + strspn(text, "0123456789");
    size_t lead = (size_t)(c - text), groups = 0;
    if (lead < 1 || lead > 3 || *text == '0') {
        return false;
    }
    for (; parts_thousands(c); c += 4) {
        groups++;
    }
    if (groups != 1 || *c == '.') {
        return groups > 0;
    }
    double factor;
    c = skip_spaces(c);
    bool ohms = (unit == CW_UNIT_KOHM || unit == CW_UNIT_MOHM) && is_unit(&units[unit], c, &factor);
    return ohms || ((unit == CW_UNIT_NONE || unit == CW_UNIT_HZ) && (*c == '\0' || is_unit(&units[unit], c, &factor)));
}

/* The power of ten that follows a number, 0 where none does: 1e3. */
static int exponent(const char **at)
{
    if (**at != 'e' && **at != 'E') {
        return 0;
    }
    const char *c = *at + 1;
    int sign = *c == '-' ? -1 : 1, power = 0;
    c += *c == '+' || *c == '-';
    if (!isdigit((unsigned char)*c)) {
        return 0;
    }
    for (; isdigit((unsigned char)*c); c++) {
        power = power < 1000 ? 10 * power + (*c - '0') : power;
    }
    *at = c;
    return sign * power;
}

/* A plain decimal number, whatever the locale: no infinity, NaN or hexadecimal, which no one means. Up
 * to 15 digits and 22 places are as exact as strtod()'s (one division of two exact numbers). */
static bool decimal(const char *text, enum cw_unit unit, double *number, const char **end)
{
    const char *c = text + (*text == '+' || *text == '-');
    bool thousands = has_thousands(c, unit), point = false, any = false;
    int places = 0;
    double digits = 0.0;
    if (c[0] == '0' && (c[1] == 'x' || c[1] == 'X')) {
        return false;
    }
    for (;; c++) {
        if (isdigit((unsigned char)*c)) {
            digits = 10.0 * digits + (*c - '0');
            places += point;
            any = true;
        } else if (thousands && *c == ',' && !point) {
            continue;
        } else if (!point && (*c == '.' || *c == ',') && (isdigit((unsigned char)c[1]) || (any && *c == '.'))) {
            point = true;
        } else {
            break;
        }
    }
    if (!any) {
        return false;
    }
    int power = exponent(&c) - places;
    double size = power < 0 ? digits / pow(10.0, -power) : digits * pow(10.0, power);
    *number = *text == '-' ? -size : size;
    *end = c;
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
    if (!decimal(start, unit, &number, &at)) {
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

bool cw_celsius_parse(const char *text, double *celsius)
{
    static const char *const tails[] = {"°C", "degC", "C"};
    char number[32];
    size_t length = strlen(text);
    for (size_t i = 0; i < sizeof tails / sizeof tails[0]; i++) {
        const size_t tail = strlen(tails[i]);
        if (length > tail && strcmp(text + length - tail, tails[i]) == 0) {
            length -= tail;
            break;
        }
    }
    if (length >= sizeof number) {
        return false;
    }
    memcpy(number, text, length);
    number[length] = '\0';
    return cw_quantity_parse(number, CW_UNIT_NONE, celsius);
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

/* What a parameter takes, for "expected ...": lists in words. */
static void describe(const struct cw_param_info *info, char *text, size_t size)
{
    if (info->flags & CW_TOGGLE) {
        snprintf(text, size, "on or off");
    } else if (info->flags & CW_ENUM) {
        cw_choice_list(info, text, size);
    } else {
        const char *unit = cw_unit_symbol(info->unit);
        snprintf(text, size, "%s from %.7g to %.7g%s%s", info->flags & CW_INTEGER ? "a whole number" : "a value",
                 info->minimum, info->maximum, *unit ? " " : "", unit);
    }
}

const char *cw_value_range(const struct cw_param_info *info, char *text, size_t size)
{
    char preset[64];
    cw_value_print(info, info->preset, preset, sizeof preset);
    if (info->flags & CW_TOGGLE) {
        snprintf(text, size, "On or off; default %s", preset);
    } else if (info->flags & CW_ENUM) {
        char list[CW_WHY_SIZE];
        snprintf(text, size, "%s; default %s", cw_choice_list(info, list, sizeof list), preset);
    } else {
        const char *unit = cw_unit_symbol(info->unit);
        snprintf(text, size, "%.7g to %.7g%s%s; default %s", info->minimum, info->maximum, *unit ? " " : "", unit,
                 preset);
    }
    return text;
}

/* The same where numbers stand for the entries, as in a preset. */
static void describe_numbers(const struct cw_param_info *info, char *text, size_t size)
{
    if (info->flags & CW_TOGGLE) {
        snprintf(text, size, "0 or 1 (off, on)");
    } else if (info->flags & CW_ENUM && info->point_count > 8) {
        snprintf(text, size, "%g (%s) to %g (%s) in half steps", info->minimum, info->points[0].label, info->maximum,
                 info->points[info->point_count - 1].label);
    } else if (info->flags & CW_ENUM) {
        size_t used = (size_t)snprintf(text, size, "one of");
        for (size_t i = 0; i < info->point_count && used < size; i++) {
            used += (size_t)snprintf(text + used, size - used, "%s %g (%s)", i ? "," : "", info->points[i].value,
                                     info->points[i].label);
        }
    } else {
        describe(info, text, size);
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
    describe_numbers(info, expected, sizeof expected);
    snprintf(why, CW_WHY_SIZE, "expected %s, found %.6g", expected, *value);
    return false;
}

static bool is_length(const char *text, double *metres)
{
    size_t length = strlen(text);
    return length > 1 && text[length - 1] == 'm' && cw_quantity_parse(text, CW_UNIT_METRE, metres);
}

/* Wire by its diameter in mm: the gauge whose bare wire is nearest, where that is within the half step
 * between two. */
static bool gauge_of_diameter(const struct cw_param_info *info, const char *text, double *gauge)
{
    const double half_step = 1.03;
    double metres, nearest = 0.0;
    if (info != &cw_param_info[CW_P_GAUGE] || !is_length(text, &metres) || !(metres > 0.0)) {
        return false;
    }
    for (size_t i = 0; i < info->point_count; i++) {
        double off = fabs(log(metres / cw_wire_bare(info->points[i].value).nominal));
        if (nearest == 0.0 || off < fabs(log(metres / cw_wire_bare(nearest).nominal))) {
            nearest = info->points[i].value;
        }
    }
    *gauge = nearest;
    return fabs(log(metres / cw_wire_bare(nearest).nominal)) <= log(half_step);
}

bool cw_value_note(const struct cw_param_info *info, const char *text, double value, char *note, size_t size)
{
    double gauge, metres;
    if (!gauge_of_diameter(info, text, &gauge) || gauge != value || !is_length(text, &metres)) {
        return false;
    }
    snprintf(note, size, "%.4g mm of bare wire is taken as AWG %g, which is %.4g mm", 1e3 * metres, gauge,
             1e3 * cw_wire_bare(gauge).nominal);
    return true;
}

/* A value that is no entry of the list, or no number: what was expected, and what may have been meant. */
static void refuse(const struct cw_param_info *info, const char *text, char why[CW_WHY_SIZE])
{
    char expected[CW_WHY_SIZE / 2], ask[CW_WHY_SIZE / 4] = "";
    describe(info, expected, sizeof expected);
    if (info->flags & CW_ENUM) {
        cw_choice_ask(info, text, ask, sizeof ask);
    }
    snprintf(why, CW_WHY_SIZE, "expected %s, found '%.32s'%s%s", expected, text, *ask ? ": " : "", ask);
}

bool cw_value_parse(const struct cw_param_info *info, const char *text, double *value, char why[CW_WHY_SIZE])
{
    double number;
    bool list = info->flags & CW_ENUM;
    bool read = (info->flags & CW_TOGGLE && toggle_word(text, &number)) ||
                (list ? cw_choice_read(info, text, &number) || gauge_of_diameter(info, text, &number)
                      : cw_quantity_parse(text, info->unit, &number));
    if (!read) {
        refuse(info, text, why);
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
        /* No exponents: they are not read by everybody. */
        snprintf(text, size, fabs(value) < 1e4 ? "%.4g%s%s" : "%.0f%s%s", value, *unit ? " " : "", unit);
    }
    return text;
}
