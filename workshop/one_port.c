/* SPDX-License-Identifier: ISC */
#include "one_port.h"

#include <complex.h>
#include <ctype.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "attributes.h"

enum { WORD = 40, WORDS = 16 };
static const double DEGREE = 0.017453292519943295769;

/* What the numbers of a text mean. */
enum kind { KIND_S, KIND_Y, KIND_Z };
enum form { FORM_DB, FORM_MA, FORM_RI };
/* What a table's heading says; 0 and false where it says nothing of it. */
struct heading {
    double unit, scale; /* Hz for 1 of its frequencies, ohm for 1 of its values */
    bool cartesian, polar;
};

/* What may say it, from the least believed to the most: a remark, a line of words, words in columns. */
enum rank { NOTHING, REMARK, LINE, HEADING };

struct reading {
    enum kind kind;
    enum form form;
    double unit;      /* Hz for 1 of the first column */
    double scale;     /* ohm for 1 of a table's values */
    double reference; /* ohm */
    bool version_2, table;
    struct heading heading;
    enum rank rank; /* of the line that said it */
    struct cw_one_port *curve;
    struct cw_one_port_error *error;
    size_t line, room;
};

bool cw_one_port_fault(struct cw_one_port_error *error, size_t line, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(error->why, sizeof error->why, format, arguments);
    va_end(arguments);
    error->line = line;
    return false;
}

void cw_one_port_free(struct cw_one_port *curve)
{
    free(curve->point);
    memset(curve, 0, sizeof *curve);
}

/* ---- lines and words ------------------------------------------------------------------------ */

/* A line cut into words. */
struct words {
    int count;
    char word[WORDS][WORD];
};

/* Cuts at any of the separators. Returns false where there are too many words or one is too long. */
static bool cut(const char *from, size_t length, const char *separators, struct words *to)
{
    to->count = 0;
    for (size_t at = 0; at < length;) {
        size_t end = at;
        while (end < length && from[end] != '\0' && !strchr(separators, from[end])) {
            end++;
        }
        if (end > at) {
            if (to->count == WORDS || end - at >= WORD) {
                return false;
            }
            memcpy(to->word[to->count], from + at, end - at);
            to->word[to->count++][end - at] = '\0';
        }
        at = end + 1;
    }
    return true;
}

/* A whole word as a finite number; the locale does not matter since a comma is put right before. */
static bool number(const char *word, double *value)
{
    char *end;
    if (!*word || word[strspn(word, "0123456789+-.eE")] != '\0') {
        return false;
    }
    *value = strtod(word, &end);
    return *end == '\0' && isfinite(*value);
}

/* Takes the next line, without its end, and moves on. Returns its length. */
static size_t next_line(const char **text, size_t *left, const char **line)
{
    *line = *text;
    size_t length = 0;
    while (length < *left && (*text)[length] != '\n' && (*text)[length] != '\r') {
        length++;
    }
    size_t step = length;
    if (step < *left) {
        step += (*text)[step] == '\r' && step + 1 < *left && (*text)[step + 1] == '\n' ? 2 : 1;
    }
    *text += step;
    *left -= step;
    return length;
}

/* ---- points --------------------------------------------------------------------------------- */

static double complex pair_of(enum form form, double a, double b)
{
    switch (form) {
    case FORM_DB: return pow(10.0, a / 20.0) * cexp(I * b * DEGREE);
    case FORM_MA: return a * cexp(I * b * DEGREE);
    case FORM_RI: break;
    }
    return a + I * b;
}

static double complex ohm_of(const struct reading *r, double complex value)
{
    double norm = r->version_2 ? 1.0 : r->reference;
    switch (r->kind) {
    case KIND_S: return r->reference * (1.0 + value) / (1.0 - value);
    case KIND_Y: return norm / value;
    case KIND_Z: break;
    }
    return norm * value * r->scale;
}

static bool add_point(struct reading *r, const struct words *w)
{
    struct cw_one_port *curve = r->curve;
    double v[3];
    for (int i = 0; i < 3; i++) {
        if (i >= w->count || !number(w->word[i], &v[i])) {
            return cw_one_port_fault(r->error, r->line, "expected three numbers, found '%s'",
                                     i < w->count ? w->word[i] : "the end of the line");
        }
    }
    if (w->count > 3) {
        return cw_one_port_fault(r->error, r->line, "expected a one-port with three numbers a line, found %d",
                                 w->count);
    }
    if (r->table && r->form == FORM_MA && !(v[1] >= 0.0 && fabs(v[2]) <= 360.0)) {
        return cw_one_port_fault(
            r->error, r->line,
            "expected ohm and degrees, found %s and %s; a heading such as Hz,Re,Im says that they are real and "
            "imaginary part",
            w->word[1], w->word[2]);
    }
    double hz = v[0] * r->unit;
    if (!(hz > 0.0 && hz < 1e12)) {
        return hz == 0.0 || cw_one_port_fault(r->error, r->line, "expected a frequency above 0, found %g Hz", hz);
    }
    if (curve->count > 0 && hz <= curve->point[curve->count - 1].hz) {
        return cw_one_port_fault(r->error, r->line, "expected rising frequencies, found %g Hz after %g Hz", hz,
                                 curve->point[curve->count - 1].hz);
    }
    double complex value = pair_of(r->form, v[1], v[2]), z = ohm_of(r, value);
    if (!isfinite(creal(z)) || !isfinite(cimag(z))) {
        return cw_one_port_fault(r->error, r->line, "expected a finite impedance, found %s %s", w->word[1], w->word[2]);
    }
    if (curve->count == r->room) {
        size_t room = r->room ? 2 * r->room : 256;
        void *more = room <= 2 * CW_ONE_PORT_MAX ? realloc(curve->point, room * sizeof *curve->point) : NULL;
        if (!more) {
            return cw_one_port_fault(r->error, r->line, "expected at most %d points", CW_ONE_PORT_MAX);
        }
        curve->point = more;
        r->room = room;
    }
    curve->coarse = curve->coarse || (r->kind == KIND_S && cabs(1.0 - value) < 1e-3);
    curve->point[curve->count++] = (struct cw_one_port_point){hz, creal(z), cimag(z), 0.0};
    return true;
}

static bool finish(struct reading *r, bool good)
{
    if (good && r->curve->count == 0) {
        r->line = 0;
        good = cw_one_port_fault(
            r->error, r->line,
            "expected an impedance curve (Touchstone, or an analyser's table), found no point of one");
    }
    if (!good) {
        cw_one_port_free(r->curve);
    }
    return good;
}

static struct reading begin(struct cw_one_port *curve, struct cw_one_port_error *error)
{
    memset(curve, 0, sizeof *curve);
    memset(error, 0, sizeof *error);
    return (struct reading){
        .unit = 1e9, .scale = 1.0, .reference = 50.0, .form = FORM_MA, .curve = curve, .error = error};
}

/* ---- Touchstone ----------------------------------------------------------------------------- */

static bool take_word(const char *word, struct reading *r)
{
    static const struct {
        const char *word;
        int what; /* 0 unit, 1 kind, 2 form */
        double value;
    } known[] = {{"hz", 0, 1.0},   {"khz", 0, 1e3},  {"mhz", 0, 1e6},    {"ghz", 0, 1e9},    {"s", 1, KIND_S},
                 {"y", 1, KIND_Y}, {"z", 1, KIND_Z}, {"db", 2, FORM_DB}, {"ma", 2, FORM_MA}, {"ri", 2, FORM_RI}};
    for (size_t i = 0; i < sizeof known / sizeof known[0]; i++) {
        if (strcasecmp(word, known[i].word) == 0) {
            r->unit = known[i].what == 0 ? known[i].value : r->unit;
            r->kind = known[i].what == 1 ? (enum kind)known[i].value : r->kind;
            r->form = known[i].what == 2 ? (enum form)known[i].value : r->form;
            return true;
        }
    }
    return false;
}

static bool take_options(struct reading *r, const struct words *w)
{
    for (int i = 0; i < w->count; i++) {
        if (strcasecmp(w->word[i], "r") == 0) {
            if (++i >= w->count || !number(w->word[i], &r->reference) || !(r->reference > 0.0)) {
                return cw_one_port_fault(r->error, r->line, "expected a resistance above 0 after R in the option line");
            }
        } else if (!take_word(w->word[i], r)) {
            return cw_one_port_fault(
                r->error, r->line,
                "expected Hz, kHz, MHz, GHz, S, Y, Z, DB, MA, RI or R in the option line, found '%s'", w->word[i]);
        }
    }
    return true;
}

/* Keywords of version 2; what does not change a one-port is passed over. */
static bool take_keyword(struct reading *r, const struct words *w, bool *ended)
{
    double value = 0.0;
    if (strcasecmp(w->word[0], "[version]") == 0) {
        if (w->count < 2 || !number(w->word[1], &value) || value < 2.0 || value >= 3.0) {
            return cw_one_port_fault(r->error, r->line, "expected version 2, found '%s'",
                                     w->count < 2 ? "nothing" : w->word[1]);
        }
        r->version_2 = true;
    } else if (strcasecmp(w->word[0], "[number") == 0 && w->count >= 4 && strcasecmp(w->word[2], "ports]") == 0) {
        if (!number(w->word[3], &value) || value != 1.0) {
            return cw_one_port_fault(r->error, r->line, "expected one port, found '%s'", w->word[3]);
        }
    } else if (strcasecmp(w->word[0], "[reference]") == 0) {
        if (w->count < 2 || !number(w->word[1], &r->reference) || !(r->reference > 0.0)) {
            return cw_one_port_fault(r->error, r->line, "expected a resistance above 0 after [Reference] on its line");
        }
    }
    *ended = strcasecmp(w->word[0], "[end]") == 0;
    return true;
}

/* "! +-0.3 %" behind a point. */
static void take_error(const char *comment, size_t size, struct cw_one_port *curve)
{
    struct words w;
    double percent;
    bool stated = cut(comment, size, " \t!", &w) && w.count == 2 && strncmp(w.word[0], "+-", 2) == 0 &&
                  strcmp(w.word[1], "%") == 0 && number(w.word[0] + 2, &percent);
    if (stated && percent > 0.0 && percent < 1e6) {
        curve->point[curve->count - 1].error = 0.01 * percent;
    }
}

bool cw_touchstone_parse(const char *text, size_t length, struct cw_one_port *curve, struct cw_one_port_error *error)
{
    struct reading r = begin(curve, error);
    bool good = true, ended = false, options = false;
    while (good && !ended && length > 0) {
        const char *line;
        size_t size = next_line(&text, &length, &line);
        const char *comment = memchr(line, '!', size);
        struct words w;
        r.line++;
        if (!cut(line, comment ? (size_t)(comment - line) : size, " \t#", &w)) {
            good = cw_one_port_fault(r.error, r.line, "expected at most %d words of at most %d characters", WORDS,
                                     WORD - 1);
        } else if (memchr(line, '#', comment ? (size_t)(comment - line) : size)) {
            good = options || take_options(&r, &w); /* later option lines do not count */
            options = true;
        } else if (w.count > 0 && w.word[0][0] == '[') {
            good = take_keyword(&r, &w, &ended);
        } else if (w.count > 0) {
            size_t before = curve->count;
            good = add_point(&r, &w);
            if (good && comment && curve->count > before) {
                take_error(comment, size - (size_t)(comment - line), curve);
            }
        }
    }
    curve->reference = r.reference;
    return finish(&r, good);
}

const char *cw_touchstone_line(const struct cw_one_port_point *point, char *text, size_t size)
{
    char error[24] = "";
    if (point->error > 0.0) {
        snprintf(error, sizeof error, " ! +-%.2g %%", 100.0 * point->error);
    }
    snprintf(text, size, "%.9g %.12g %.12g%s\n", point->hz, point->re, point->im, error);
    return text;
}

/* ---- tables --------------------------------------------------------------------------------- */

static bool contains(const char *line, size_t length, const char *word)
{
    size_t size = strlen(word);
    for (size_t i = 0; i + size <= length; i++) {
        if (strncasecmp(line + i, word, size) == 0) {
            return true;
        }
    }
    return false;
}

static bool contains_any(const char *line, size_t length, const char *const *words)
{
    while (*words && !contains(line, length, *words)) {
        words++;
    }
    return *words != NULL;
}

static struct heading heading_of(const char *line, size_t length)
{
    static const char *const kilo[] = {"kohm", "k\xce\xa9", "k\xe2\x84\xa6", NULL};
    static const char *const ohm[] = {"ohm", "\xce\xa9", "\xe2\x84\xa6", NULL};
    static const char *const parts[] = {"imag", "im(", "im ", "im,", "im;", "im\t", "react", NULL};
    static const char *const angle[] = {"deg", "phase", "angle", "arg", "\xc2\xb0", NULL};
    struct heading said = {0};
    said.unit = contains(line, length, "mhz")   ? 1e6
                : contains(line, length, "khz") ? 1e3
                : contains(line, length, "hz")  ? 1.0
                                                : 0.0;
    said.scale = contains_any(line, length, kilo) ? 1e3 : contains_any(line, length, ohm) ? 1.0 : 0.0;
    said.cartesian = contains_any(line, length, parts) || (length > 3 && strncasecmp(line + length - 2, "im", 2) == 0);
    said.polar = !said.cartesian && contains_any(line, length, angle);
    return said;
}

/* Names in one line and units in the next are one heading. \return false where they say different things */
static bool join(struct heading *said, const struct heading *before)
{
    if ((said->unit > 0.0 && before->unit > 0.0 && said->unit != before->unit) ||
        (said->scale > 0.0 && before->scale > 0.0 && said->scale != before->scale) ||
        (said->cartesian && before->polar) || (said->polar && before->cartesian)) {
        return false;
    }
    said->unit = said->unit > 0.0 ? said->unit : before->unit;
    said->scale = said->scale > 0.0 ? said->scale : before->scale;
    said->cartesian = said->cartesian || before->cartesian;
    said->polar = said->polar || before->polar;
    return true;
}

static enum rank rank_of(const char *line, size_t length)
{
    int parted = 0;
    for (size_t i = 0; i < length; i++) {
        parted += line[i] == '\t' || line[i] == ';' || line[i] == ',';
    }
    return strchr("#*!", line[0]) ? REMARK : parted < 2 ? LINE : HEADING;
}

/* A heading says units and whether the columns are real and imaginary part. What is said elsewhere counts where there
 * is no heading: a remark may tell of kHz, and mean the generator's. */
static bool take_heading(struct reading *r, const char *line, size_t length)
{
    static const char *const radians[] = {"(rad", "radian", "[rad", " rad", NULL};
    const enum rank rank = rank_of(line, length);
    if (rank < r->rank) {
        return true;
    }
    if (contains_any(line, length, radians)) {
        return cw_one_port_fault(r->error, r->line, "expected degrees, found radians in the heading");
    }
    struct heading said = heading_of(line, length);
    if (r->rank == HEADING && !join(&said, &r->heading)) {
        return cw_one_port_fault(r->error, r->line, "expected one heading, found a second one of other columns");
    }
    r->heading = said;
    r->rank = rank;
    r->unit = said.unit > 0.0 ? said.unit : 1.0;
    r->scale = said.scale > 0.0 ? said.scale : 1.0;
    r->form = said.cartesian ? FORM_RI : FORM_MA;
    r->curve->assumed = !said.cartesian && !said.polar;
    return true;
}

/* How the columns are parted: by tab or semicolon where the line has one; else by a comma where three
 * numbers come of it, else by blanks. A comma that parts no columns is a decimal one. */
static bool cut_row(const char *line, size_t length, struct words *w)
{
    bool decimal_comma = memchr(line, ';', length) || memchr(line, '\t', length);
    if (!decimal_comma) {
        double value;
        bool good = cut(line, length, ", ", w);
        bool point = memchr(line, '.', length) != NULL;
        if (good && w->count == 3 && number(w->word[0], &value)) {
            return true;
        }
        decimal_comma = !point;
    }
    if (!cut(line, length, ";\t ", w)) {
        return false;
    }
    for (int i = 0; decimal_comma && i < w->count; i++) {
        char *comma = strchr(w->word[i], ',');
        if (comma) {
            *comma = '.';
        }
    }
    return true;
}

bool cw_impedance_table_parse(const char *text, size_t length, struct cw_one_port *curve,
                              struct cw_one_port_error *error)
{
    struct reading r = begin(curve, error);
    r.kind = KIND_Z;
    r.version_2 = r.table = true;
    r.unit = 1.0;
    curve->assumed = true;
    bool good = true;
    while (good && length > 0) {
        const char *line;
        size_t size = next_line(&text, &length, &line), blank = 0;
        struct words w;
        double value;
        r.line++;
        while (blank < size && isspace((unsigned char)line[blank])) {
            blank++;
        }
        line += blank;
        size -= blank;
        bool comment = size > 0 && strchr("#*\"!", line[0]);
        if (size == 0) {
            continue;
        }
        if (comment || isalpha((unsigned char)line[0])) {
            if (curve->count == 0 && (contains(line, size, "hz") || contains(line, size, "freq"))) {
                good = take_heading(&r, line, size);
            }
        } else if (!cut_row(line, size, &w) || w.count == 0 || !number(w.word[0], &value)) {
            good = cw_one_port_fault(r.error, r.line, "expected frequency and impedance in three columns");
        } else {
            good = add_point(&r, &w);
        }
    }
    curve->reference = 0.0;
    return finish(&r, good);
}

/* Is there an option line or a version in front of the first number? */
static bool is_touchstone(const char *text, size_t length)
{
    while (length > 0) {
        const char *line;
        size_t size = next_line(&text, &length, &line);
        struct words w;
        if (size == 0 || !cut(line, size, " \t", &w) || w.count == 0) {
            continue;
        }
        if (contains(line, size, "[version]")) {
            return true;
        }
        struct reading r = {.unit = 0.0};
        if (w.word[0][0] == '#') {
            bool glued = w.word[0][1] != '\0';
            return glued ? take_word(w.word[0] + 1, &r)
                         : w.count == 1 || take_word(w.word[1], &r) || !strcasecmp(w.word[1], "r");
        }
        if (isdigit((unsigned char)w.word[0][0])) {
            return false;
        }
    }
    return false;
}

bool cw_one_port_parse(const char *text, size_t length, struct cw_one_port *curve, struct cw_one_port_error *error)
{
    static const char mark[] = "\xef\xbb\xbf"; /* of UTF-8, as spreadsheets put it before a table */
    if (length >= 3 && memcmp(text, mark, 3) == 0) {
        text += 3;
        length -= 3;
    }
    return is_touchstone(text, length) ? cw_touchstone_parse(text, length, curve, error)
                                       : cw_impedance_table_parse(text, length, curve, error);
}
