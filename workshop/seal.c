/* SPDX-License-Identifier: ISC */
#include "seal.h"

#include <ctype.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "acceptance.h"
#include "attributes.h"
#include "bench_load.h"
#include "coil.h"
#include "day.h"
#include "escape.h"
#include "leads.h"
#include "scatter.h"
#include "seal_schema.h"
#include "wind_search.h"

const struct cw_seal_figure_info cw_seal_figure_info[CW_SEAL_FIGURES] = {
    [CW_SEAL_RESISTANCE] = {"resistance", "ohm", "DC resistance at 20 °C"},
    [CW_SEAL_INDUCTANCE] = {"inductance", "H", "Inductance at 120 Hz"},
    [CW_SEAL_CAPACITANCE] = {"capacitance", "F", "Winding capacitance"},
    [CW_SEAL_UNLOADED] = {"unloaded", "Hz", "Resonance with nothing connected"},
    [CW_SEAL_BENCH] = {"bench", "Hz", "Resonance in 470 pF and 1 MΩ, split off"},
    [CW_SEAL_RESONANCE] = {"resonance", "Hz", "Resonance as set"},
    [CW_SEAL_PEAK_HZ] = {"peak", "Hz", "Peak at"},
    [CW_SEAL_PEAK] = {"peak_height", "dB", "Peak"},
    [CW_SEAL_EMF] = {"emf", "dB", "EMF"},
};

const struct cw_seal_figure_info cw_seal_limit_info[CW_BENCH_READINGS] = {
    [CW_READING_RESISTANCE] = {"resistance", "ohm", "DC resistance at 20 °C"},
    [CW_READING_INDUCTANCE] = {"inductance", "H", "Inductance at 120 Hz"},
    [CW_READING_RESONANCE] = {"bench", "Hz", "Resonance in 470 pF and 1 MΩ, split off"},
};

void cw_seal_figures(const struct cw_setup *setup, double figure[CW_SEAL_FIGURES])
{
    static const enum cw_lead_id lead[CW_SEAL_FIGURES] = {
        [CW_SEAL_RESISTANCE] = CW_LEAD_RESISTANCE,
        [CW_SEAL_INDUCTANCE] = CW_LEAD_INDUCTANCE,
        [CW_SEAL_CAPACITANCE] = CW_LEAD_CAPACITANCE,
        [CW_SEAL_UNLOADED] = CW_LEAD_UNLOADED,
        [CW_SEAL_RESONANCE] = CW_LEAD_RESONANCE,
        [CW_SEAL_PEAK_HZ] = CW_LEAD_PEAK_HZ,
        [CW_SEAL_PEAK] = CW_LEAD_PEAK,
        [CW_SEAL_EMF] = CW_LEAD_EMF,
    };
    struct cw_lead_values values;
    struct cw_setup whole = cw_bench_setup(setup);
    struct cw_pickup pickup;
    cw_lead_values_of(setup, NULL, &values);
    cw_coil_solve(&whole, &pickup);
    for (int i = 0; i < CW_SEAL_FIGURES; i++) {
        figure[i] = i == CW_SEAL_BENCH ? cw_bench_resonance(&whole, &pickup) : values.value[lead[i]];
    }
}

/* ---- out ---- */

const char *cw_seal_figure_print(enum cw_seal_figure figure, double value, char text[CW_VALUE_TEXT])
{
    bool db = strcmp(cw_seal_figure_info[figure].unit, "dB") == 0;
    double shown = db && fabs(value) < 0.0005 ? 0.0 : value;
    snprintf(text, CW_VALUE_TEXT, db ? "%.3f" : "%.5g", shown);
    return text;
}

struct out {
    char *text;
    size_t used;
};

static void add(struct out *out, const char *format, ...) CW_PRINTF(2, 3);

static void add(struct out *out, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    int length = vsnprintf(out->text + out->used, CW_SEAL_TEXT - out->used, format, arguments);
    va_end(arguments);
    size_t left = CW_SEAL_TEXT - out->used - 1;
    out->used += length < 0 ? 0 : (size_t)length < left ? (size_t)length : left;
}

static void add_words(struct out *out, const struct cw_seal *seal)
{
    add(out, "program %s\ntitle %s\nrevision %s\nstatus %s\ndate %s\nbecause %s\ndecided %s\nbefore %s\n",
        seal->program, seal->title, seal->revision, seal->status, seal->date, seal->because, seal->decided,
        seal->before);
}

static void digest(const char *text, size_t length, char hex[CW_SHA256_TEXT])
{
    unsigned char bytes[CW_SHA256_BYTES];
    cw_sha256(text, length, bytes);
    cw_sha256_print(bytes, hex);
}

const char *cw_seal_limits_words(const struct cw_seal *seal)
{
    const struct cw_setup *setup = &seal->setup;
    if (setup->value[CW_P_COIL_FROM] == CW_FROM_MEASURED) {
        return "about the values of a coil as they were given";
    }
    return cw_wind_is_calibrated(setup) ? "computed, calibrated on coils that were measured"
                                        : "COMPUTED, until a first coil was measured";
}

size_t cw_seal_print(struct cw_seal *seal, char text[CW_SEAL_TEXT])
{
    struct out out = {text, cw_schema_print(&seal->setup, text)};
    char value[CW_VALUE_TEXT];
    for (int i = 0; i < CW_BENCH_READINGS; i++) {
        add(&out, "limit %s %.4g %.4g %s\n", cw_seal_limit_info[i].name, seal->limit[i].low, seal->limit[i].high,
            cw_seal_limit_info[i].unit);
    }
    for (int i = 0; i < CW_SEAL_FIGURES; i++) {
        add(&out, "figure %s %s %s\n", cw_seal_figure_info[i].name,
            cw_seal_figure_print((enum cw_seal_figure)i, seal->figure[i], value), cw_seal_figure_info[i].unit);
    }
    add_words(&out, seal);
    digest(text, out.used, seal->fingerprint);
    add(&out, "fingerprint %s\n", seal->fingerprint);
    if (seal->journal_count > 0) {
        char line[CW_SEAL_LINE];
        add(&out, "%s", cw_seal_journal_line(seal, line));
    }
    return out.used;
}

const char *cw_seal_journal_line(const struct cw_seal *seal, char text[CW_SEAL_LINE])
{
    snprintf(text, CW_SEAL_LINE, "journal %zu %s\n", seal->journal_count, seal->journal_head);
    return text;
}

/* ---- in ---- */

struct in {
    const char *at, *end;
    struct cw_seal_fault *fault;
    char line[CW_SEAL_LINE];
};

static bool wrong(struct in *in, const char *expected)
{
    snprintf(in->fault->why, sizeof in->fault->why, "expected %s, found '%.80s'", expected, in->line);
    return false;
}

/* The next line, without its end. */
static bool next(struct in *in, const char *expected)
{
    const char *lf = in->at < in->end ? memchr(in->at, '\n', (size_t)(in->end - in->at)) : NULL;
    size_t length = lf ? (size_t)(lf - in->at) : 0;
    in->fault->line++;
    in->line[0] = '\0';
    if (!lf || length >= sizeof in->line || memchr(in->at, '\0', length)) {
        return wrong(in, expected);
    }
    memcpy(in->line, in->at, length);
    in->line[length] = '\0';
    in->at = lf + 1;
    return true;
}

/* A number as it is printed, and nothing else behind it. */
static bool number(const char **text, double *value)
{
    char *end;
    if (isspace((unsigned char)**text)) {
        return false;
    }
    *value = strtod(*text, &end);
    bool good = end != *text && isfinite(*value);
    *text = end;
    return good;
}

static bool behind(const char **text, const char *word)
{
    size_t length = strlen(word);
    bool good = strncmp(*text, word, length) == 0;
    *text += good ? length : 0;
    return good;
}

static bool read_parameter(struct in *in, int i, struct cw_setup *setup)
{
    char expected[160];
    snprintf(expected, sizeof expected, "parameter %s", cw_schema[i].symbol);
    if (!next(in, expected)) {
        return false;
    }
    const char *text = in->line;
    int id = cw_param_find(cw_schema[i].symbol);
    if (id < 0) {
        return wrong(in, "a parameter that this program knows");
    }
    bool good = behind(&text, expected) && behind(&text, " ") && number(&text, &setup->value[id]) &&
                (*cw_schema[i].unit ? behind(&text, " ") && strcmp(text, cw_schema[i].unit) == 0 : *text == '\0');
    double clean = cw_param_clean(&cw_param_info[id], setup->value[id], NAN);
    good = good && fabs(clean - setup->value[id]) <= 1e-6 * fabs(clean);
    setup->value[id] = clean;
    return good || wrong(in, expected);
}

static bool read_limit(struct in *in, int i, struct cw_limits *limits)
{
    char expected[64];
    snprintf(expected, sizeof expected, "limit %s", cw_seal_limit_info[i].name);
    if (!next(in, expected)) {
        return false;
    }
    const char *text = in->line;
    bool good = behind(&text, expected) && behind(&text, " ") && number(&text, &limits->low) && behind(&text, " ") &&
                number(&text, &limits->high) && behind(&text, " ") && strcmp(text, cw_seal_limit_info[i].unit) == 0;
    return (good && limits->low >= 0.0 && limits->low <= limits->high) || wrong(in, expected);
}

static bool read_figure(struct in *in, int i, double *figure)
{
    char expected[64];
    snprintf(expected, sizeof expected, "figure %s", cw_seal_figure_info[i].name);
    if (!next(in, expected)) {
        return false;
    }
    const char *text = in->line;
    return (behind(&text, expected) && behind(&text, " ") && number(&text, figure) && behind(&text, " ") &&
            strcmp(text, cw_seal_figure_info[i].unit) == 0) ||
           wrong(in, expected);
}

static bool read_word(struct in *in, const char *name, char *to, size_t size)
{
    if (!next(in, name)) {
        return false;
    }
    char shown[CW_SEAL_LINE];
    const char *text = in->line;
    if (!behind(&text, name) || !behind(&text, " ") || strlen(text) >= size) {
        return wrong(in, name);
    }
    if (strspn(text, " ") == strlen(text)) {
        return wrong(in, "a word or more behind it");
    }
    if (strcmp(cw_show(text, shown, sizeof shown), text) != 0) { /* no seal is written so */
        return wrong(in, "a text without control characters");
    }
    memcpy(to, text, strlen(text) + 1);
    return true;
}

/* Of something else, or "-" for nothing. */
static bool is_digest(const char *text)
{
    return strcmp(text, "-") == 0 ||
           (strlen(text) == CW_SHA256_TEXT - 1 && strspn(text, "0123456789abcdef") == CW_SHA256_TEXT - 1);
}

static bool read_digest(struct in *in, const char *name, char to[CW_SHA256_TEXT])
{
    return read_word(in, name, to, CW_SHA256_TEXT) && (is_digest(to) || wrong(in, "a SHA-256, or - for nothing"));
}

static bool read_words(struct in *in, struct cw_seal *seal)
{
    return read_word(in, "program", seal->program, sizeof seal->program) &&
           read_word(in, "title", seal->title, sizeof seal->title) &&
           read_word(in, "revision", seal->revision, sizeof seal->revision) &&
           (cw_revision_is(seal->revision) || wrong(in, "revision, one or two of its letters")) &&
           read_word(in, "status", seal->status, sizeof seal->status) &&
           read_word(in, "date", seal->date, sizeof seal->date) &&
           (cw_date_is(seal->date) || wrong(in, "date, a day as 2026-11-26")) &&
           read_word(in, "because", seal->because, sizeof seal->because) && read_digest(in, "decided", seal->decided) &&
           read_digest(in, "before", seal->before);
}

static bool read_head(struct in *in)
{
    double version;
    if (!next(in, "coilwright seal")) {
        return false;
    }
    const char *text = in->line;
    if (!behind(&text, "coilwright seal ") || !number(&text, &version) || *text) {
        return wrong(in, "coilwright seal");
    }
    return version == CW_SEAL_SCHEMA || wrong(in, "schema 1 (a later one takes a later version of this program)");
}

/* Where it was noted, if that follows; then the end. */
static bool read_journal(struct in *in, struct cw_seal *seal)
{
    static const char expected[] = "journal, a number and a head, or the end";
    const size_t digits = sizeof seal->journal_head - 1;
    double count;
    if (in->at != in->end) {
        if (!next(in, expected)) {
            return false;
        }
        const char *text = in->line;
        if (!behind(&text, "journal ") || !number(&text, &count) || !(count >= 1.0 && count <= 1e15) ||
            count != floor(count) || !behind(&text, " ") || strlen(text) != digits ||
            strspn(text, "0123456789abcdef") != digits) {
            return wrong(in, expected);
        }
        seal->journal_count = (size_t)count;
        memcpy(seal->journal_head, text, digits + 1);
    }
    if (in->at != in->end) {
        in->fault->line++;
        snprintf(in->line, sizeof in->line, "more");
        return wrong(in, "the end");
    }
    return true;
}

bool cw_seal_read(const char *text, size_t length, struct cw_seal *seal, struct cw_seal_fault *fault)
{
    struct in in = {text, text + length, fault, ""};
    char found[CW_SHA256_TEXT];
    *fault = (struct cw_seal_fault){0, ""};
    memset(seal, 0, sizeof *seal);
    cw_setup_defaults(&seal->setup);
    bool good = read_head(&in);
    for (int i = 0; i < cw_schema_rows && good; i++) {
        good = read_parameter(&in, i, &seal->setup);
    }
    for (int i = 0; i < CW_BENCH_READINGS && good; i++) {
        good = read_limit(&in, i, &seal->limit[i]);
    }
    for (int i = 0; i < CW_SEAL_FIGURES && good; i++) {
        good = read_figure(&in, i, &seal->figure[i]);
    }
    good = good && read_words(&in, seal);
    size_t sealed = (size_t)(in.at - text);
    good = good && read_word(&in, "fingerprint", seal->fingerprint, sizeof seal->fingerprint);
    good = good && read_journal(&in, seal);
    if (good) {
        digest(text, sealed, found);
        seal->holds = strcmp(found, seal->fingerprint) == 0;
    }
    return good;
}

/* ---- judging ---- */

bool cw_seal_same(enum cw_seal_figure figure, double now, double sealed)
{
    bool db = strcmp(cw_seal_figure_info[figure].unit, "dB") == 0;
    return fabs(now - sealed) <= (db ? CW_SEAL_TOLERANCE_DB : CW_SEAL_TOLERANCE * fabs(sealed));
}

void cw_seal_limits(const struct cw_setup *setup, struct cw_limits limit[CW_BENCH_READINGS])
{
    struct cw_scatter scatter;
    cw_scatter_usual(setup, &scatter);
    cw_coil_limits(setup, &scatter, limit);
}

static bool near(double now, double sealed) { return fabs(now - sealed) <= CW_SEAL_TOLERANCE_LIMIT * fabs(now); }

bool cw_seal_same_limits(const struct cw_limits *now, const struct cw_limits *sealed)
{
    return near(now->low, sealed->low) && near(now->high, sealed->high);
}

bool cw_seal_matches(const char *fingerprint, const char *paper, bool *is_one)
{
    enum { LEAST = 16, MOST = CW_SHA256_TEXT - 1 };
    int count = 0;
    bool same = true;
    *is_one = true;
    for (; *paper; paper++) {
        if (*paper == ' ' || *paper == ':' || *paper == '-') {
            continue;
        }
        if (!isxdigit((unsigned char)*paper) || count == MOST) {
            *is_one = false;
            return false;
        }
        same = same && tolower((unsigned char)*paper) == fingerprint[count];
        count++;
    }
    *is_one = count >= LEAST;
    return same && *is_one;
}
