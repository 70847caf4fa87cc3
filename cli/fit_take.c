/* SPDX-License-Identifier: ISC */
#include "fit_take.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "digest_file.h"
#include "input.h"
#include "message.h"
#include "one_port.h"
#include "quantity.h"
#include "setup.h"

/* A curve of the most points has some 10 MB. */
enum { MOST_BYTES = 16 << 20, LEAST_POINTS = 20 };

/* ---- the words behind @ -------------------------------------------------------------------------- */

static bool rotation(const char *word, double *to)
{
    if (strcmp(word, "half") == 0) {
        *to = 5.0;
        return true;
    }
    return cw_quantity_parse(word, CW_UNIT_NONE, to) && *to >= 0.0 && *to <= 10.0;
}

static bool take_word(const char *word, struct cw_fit_take *take)
{
    if (strcmp(word, "leads") == 0) {
        return take->leads = true;
    }
    if (strncmp(word, "volume=", 7) == 0) {
        return rotation(word + 7, &take->volume) && take->volume > 0.0;
    }
    return strncmp(word, "tone=", 5) == 0 && rotation(word + 5, &take->tone);
}

/* The words begin at the last @ that one of them follows; a file's name may have others. */
static char *words_of(char *path)
{
    char *found = NULL;
    for (char *at = strchr(path, '@'); at; at = strchr(at + 1, '@')) {
        bool ours =
            strncmp(at + 1, "leads", 5) == 0 || strncmp(at + 1, "volume=", 7) == 0 || strncmp(at + 1, "tone=", 5) == 0;
        found = ours && !found ? at : found;
    }
    return found;
}

bool cw_fit_take_name(const char *text, struct cw_fit_take *take)
{
    if (strlen(text) >= sizeof take->path) {
        cw_error_at(text, 0, "expected a name of at most %zu bytes", sizeof take->path - 1);
        return false;
    }
    memcpy(take->path, text, strlen(text) + 1);
    take->volume = take->tone = 10.0;
    char *words = words_of(take->path);
    if (!words) {
        return true;
    }
    *words++ = '\0';
    for (char *word = strtok(words, ",@"); word; word = strtok(NULL, ",@")) {
        if (!take_word(word, take)) {
            cw_error_at(take->path, 0,
                        "expected @leads, @tone=0, @volume=half or rotations up to 10 (volume above 0), found '%s'",
                        word);
            return false;
        }
    }
    if (take->path[0] == '\0') {
        cw_error_at(text, 0, "expected a file's name before @");
        return false;
    }
    if (take->leads && (take->volume < 10.0 || take->tone < 10.0)) {
        cw_error_at(take->path, 0, "expected @leads alone: at the pickup's own leads no control has a part");
        return false;
    }
    return true;
}

/* ---- the file ------------------------------------------------------------------------------------ */

/* A file whose name says Touchstone has an option line, or nobody knows what its numbers are. */
static bool is_what_it_says(const struct cw_fit_take *take)
{
    static const char *const touchstone[] = {".s1p", ".z1p", ".y1p"};
    const char *ending = strrchr(take->path, '.');
    for (int i = 0; ending && take->curve.reference == 0.0 && i < 3; i++) {
        if (strcasecmp(ending, touchstone[i]) == 0) {
            cw_error_at(take->path, 0,
                        "expected an option line (such as # Hz Z RI R 1) before the first number of a %s",
                        touchstone[i]);
            return false;
        }
    }
    return true;
}

bool cw_fit_take_usable(const struct cw_fit_take *take)
{
    size_t inside = 0;
    for (size_t i = 0; i < take->curve.count; i++) {
        double hz = take->curve.point[i].hz;
        inside += hz >= CW_FIT_LOW_HZ && hz <= CW_FIT_HIGH_HZ;
    }
    if (inside < LEAST_POINTS) {
        cw_error_at(take->path, 0, "expected at least %d points between %.0f Hz and %.0f kHz, found %zu", LEAST_POINTS,
                    CW_FIT_LOW_HZ, 1e-3 * CW_FIT_HIGH_HZ, inside);
    }
    return inside >= LEAST_POINTS;
}

/* What is at hand beside a curve and taken for one. */
static const char *other_kind(const char *text, size_t length)
{
    static const char *const sound[] = {"RIFF", "fLaC", "FORM"};
    for (int i = 0; i < 3; i++) {
        if (length > 4 && memcmp(text, sound[i], 4) == 0) {
            return "a recording: coilwright measure makes a curve of it";
        }
    }
    static const char by_exciter[] = "# exciter coil to jack";
    bool exciter = length > sizeof by_exciter && memcmp(text, by_exciter, sizeof by_exciter - 1) == 0;
    return exciter ? "the response by an exciter coil: --exciter takes it" : NULL;
}

bool cw_fit_take_read(const char *name, struct cw_fit_take *take)
{
    size_t length = 0;
    struct cw_one_port_error error;
    if (!cw_fit_take_name(name, take)) {
        return false;
    }
    char *text = cw_input_text(take->path, "a curve", MOST_BYTES, &length);
    if (!text) {
        return false;
    }
    const char *other = other_kind(text, length);
    if (other) {
        cw_error_at(take->path, 0, "expected an impedance curve, found %s", other);
        free(text);
        return false;
    }
    bool good = cw_one_port_parse(text, length, &take->curve, &error);
    if (!good) {
        cw_error_at(take->path, (unsigned)error.line, "%s", error.why);
    }
    free(text);
    if (good && take->curve.coarse) {
        cw_error_at(take->path, 0, "is given as S of %.4g ohm, which leaves fewer than four digits of high impedances",
                    take->curve.reference);
    }
    good = good && is_what_it_says(take);
    if (good && take->curve.assumed) {
        cw_error_at(take->path, 0, "no heading says what the columns are: taken as Hz, ohm and degrees");
    }
    return good && cw_fit_take_usable(take) && cw_digest_file(take->path, take->digest);
}

bool cw_fit_take_same(const struct cw_fit_take *a, const struct cw_fit_take *b)
{
    bool same = a->curve.count == b->curve.count;
    for (size_t i = 0; same && i < a->curve.count; i++) {
        const struct cw_one_port_point *one = &a->curve.point[i], *other = &b->curve.point[i];
        same = one->hz == other->hz && one->re == other->re && one->im == other->im;
    }
    return same;
}

const char *cw_fit_take_words(const struct cw_fit_take *take, char *text, size_t size)
{
    if (take->leads) {
        snprintf(text, size, "at the leads");
    } else {
        snprintf(text, size, "volume %.3g, tone %.3g", take->volume, take->tone);
    }
    return text;
}

void cw_fit_take_free(struct cw_fit_take *take) { cw_one_port_free(&take->curve); }
