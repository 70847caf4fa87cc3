/* SPDX-License-Identifier: ISC */
#include "exciter.h"

#include <complex.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "c_complex.h"
#include "constants.h"

static const char HEADING[] = "frequency_hz,magnitude_db,phase_degrees,error_percent,added_farad";

/* An impedance with a larger error than this says nothing, and the error of a small one is no longer a share of it. */
static const double WIDEST = 0.3;

/* ---- text ---------------------------------------------------------------------------------------- */

const char *cw_exciter_head(const struct cw_exciter *exciter, char *text, size_t size)
{
    snprintf(text, size, "# at the jack: %.9g ohm, %.9g farad\n%s\n", exciter->load.ohm, exciter->load.farad, HEADING);
    return text;
}

const char *cw_exciter_line(const struct cw_exciter *exciter, size_t at, bool loaded, char *text)
{
    const struct cw_exciter_point *p = &exciter->point[at];
    double complex t = cw_as_c(loaded ? p->loaded : p->bare);
    double error = 100.0 * (loaded ? p->loaded_error : p->bare_error);
    snprintf(text, CW_EXCITER_LINE, "%.9g,%.6f,%.5f,%.3g,%.9g\n", p->hz, 20.0 * log10(cabs(t)),
             carg(t) * 360.0 / CW_TAU, error, loaded ? exciter->added : 0.0);
    return text;
}

/* A text under way. */
struct reading {
    struct cw_exciter *exciter;
    struct cw_one_port_error *error;
    size_t line, loaded; /* points with the capacitor so far */
};

enum { HZ, DB, DEGREES, PERCENT, FARAD, COLUMNS };

/* Five numbers and nothing behind them. */
static bool numbers(const char *line, double v[COLUMNS])
{
    for (int i = 0; i < COLUMNS; i++) {
        char *end;
        v[i] = strtod(line, &end);
        if (end == line || !isfinite(v[i]) || *end != (i + 1 < COLUMNS ? ',' : '\0')) {
            return false;
        }
        line = end + 1;
    }
    return true;
}

static bool believable(const double v[COLUMNS])
{
    return v[HZ] > 0.0 && v[HZ] < 1e6 && fabs(v[DB]) < 400.0 && v[PERCENT] >= 0.0 && v[FARAD] >= 0.0 && v[FARAD] < 1e-3;
}

static bool add_bare(struct reading *r, const double v[COLUMNS], struct cw_complex t)
{
    struct cw_exciter *e = r->exciter;
    if (r->loaded > 0 || (e->count > 0 && v[HZ] <= e->point[e->count - 1].hz)) {
        return cw_one_port_fault(r->error, r->line,
                                 "expected rising frequencies, all without the capacitor before those with it");
    }
    if (e->count == CW_EXCITER_POINTS) {
        return cw_one_port_fault(r->error, r->line, "expected at most %d frequencies", CW_EXCITER_POINTS);
    }
    e->point[e->count++] = (struct cw_exciter_point){v[HZ], t, {0.0, 0.0}, 0.01 * v[PERCENT], 0.0};
    return true;
}

static bool add_loaded(struct reading *r, const double v[COLUMNS], struct cw_complex t)
{
    struct cw_exciter *e = r->exciter;
    struct cw_exciter_point *p = r->loaded < e->count ? &e->point[r->loaded] : NULL;
    if (!p || fabs(v[HZ] / p->hz - 1.0) > 1e-8 || (r->loaded > 0 && v[FARAD] != e->added)) {
        return cw_one_port_fault(
            r->error, r->line, "expected the same frequencies with one capacitor as without it, found %g Hz with %g F",
            v[HZ], v[FARAD]);
    }
    e->added = v[FARAD];
    p->loaded = t;
    p->loaded_error = 0.01 * v[PERCENT];
    r->loaded++;
    return true;
}

/* What stands at the jack, behind the words for it. */
static bool take_load(struct reading *r, const char *text)
{
    char *unit, *end = NULL;
    double ohm = strtod(text, &unit), farad = strncmp(unit, " ohm, ", 6) == 0 ? strtod(unit + 6, &end) : -1.0;
    if (!(ohm > 0.0 && farad >= 0.0 && farad < 1e-3) || strcmp(end, " farad") != 0) {
        return cw_one_port_fault(r->error, r->line, "expected a resistance above 0 and a capacitance at the jack");
    }
    r->exciter->load = (struct cw_jack_load){farad, ohm};
    return true;
}

static bool take_line(struct reading *r, const char *line)
{
    static const char jack[] = "# at the jack: ";
    double v[COLUMNS];
    if (strncmp(line, jack, strlen(jack)) == 0) {
        return take_load(r, line + strlen(jack));
    }
    if (line[0] == '#' || line[0] == '\0' || strcmp(line, HEADING) == 0) {
        return true;
    }
    if (!numbers(line, v) || !believable(v)) {
        return cw_one_port_fault(r->error, r->line, "expected %s, as coilwright measure --exciter writes them",
                                 HEADING);
    }
    double complex t = pow(10.0, v[DB] / 20.0) * cexp(I * CW_TAU * v[DEGREES] / 360.0);
    struct cw_complex split = {creal(t), cimag(t)};
    return v[FARAD] > 0.0 ? add_loaded(r, v, split) : add_bare(r, v, split);
}

bool cw_exciter_parse(const char *text, size_t length, struct cw_exciter *exciter, struct cw_one_port_error *error)
{
    struct reading r = {exciter, error, 0, 0};
    memset(exciter, 0, sizeof *exciter);
    memset(error, 0, sizeof *error);
    for (size_t at = 0; at < length;) {
        char line[CW_EXCITER_LINE];
        size_t end = at;
        while (end < length && text[end] != '\n') {
            end++;
        }
        size_t size = end - at;
        r.line++;
        if (size >= sizeof line || memchr(text + at, '\0', size)) {
            return cw_one_port_fault(r.error, r.line, "expected lines of text of at most %d characters",
                                     CW_EXCITER_LINE - 1);
        }
        memcpy(line, text + at, size);
        line[size > 0 && line[size - 1] == '\r' ? size - 1 : size] = '\0';
        if (!take_line(&r, line)) {
            return false;
        }
        at = end + 1;
    }
    r.line = 0;
    if (exciter->count < 2 || r.loaded != exciter->count) {
        return cw_one_port_fault(
            r.error, r.line,
            "expected as many frequencies with a capacitor as without it, found %zu and %zu: one load tells "
            "nothing absolute",
            r.loaded, exciter->count);
    }
    return exciter->load.ohm > 0.0 ||
           cw_one_port_fault(r.error, r.line, "expected what stands at the jack (# at the jack: ...)");
}

/* ---- what it says -------------------------------------------------------------------------------- */

bool cw_exciter_impedance(const struct cw_exciter *exciter, struct cw_one_port *curve)
{
    memset(curve, 0, sizeof *curve);
    curve->reference = 1.0;
    curve->point = calloc(exciter->count, sizeof *curve->point);
    for (size_t i = 0; curve->point && i < exciter->count; i++) {
        const struct cw_exciter_point *p = &exciter->point[i];
        double complex ratio = cw_as_c(p->bare) / cw_as_c(p->loaded), more = ratio - 1.0;
        double complex z = more / (I * CW_TAU * p->hz * exciter->added);
        double error = hypot(p->bare_error, p->loaded_error) * cabs(ratio) / cabs(more);
        if (error < WIDEST && isfinite(creal(z)) && isfinite(cimag(z))) {
            curve->point[curve->count++] = (struct cw_one_port_point){p->hz, creal(z), cimag(z), fmax(error, 1e-12)};
        }
    }
    return curve->point != NULL;
}

/* What the response without the capacitor leaves when j omega and the circuit are taken out. */
static double left_of(const struct cw_exciter *exciter, const struct cw_instrument *instrument,
                      struct cw_standing standing, size_t at)
{
    const struct cw_exciter_point *p = &exciter->point[at];
    double complex circuit = cw_as_c(cw_instrument_response(instrument, standing, exciter->load, p->hz));
    return cabs(cw_as_c(p->bare)) / (cabs(circuit) * p->hz);
}

double cw_exciter_emf(const struct cw_exciter *exciter, const struct cw_instrument *instrument,
                      struct cw_standing standing, size_t at, double reference, double *error)
{
    const double near = 0.25 * log(2.0), in_db = 20.0 / log(10.0);
    double sum = 0.0, weights = 0.0;
    for (size_t i = 0; i < exciter->count; i++) {
        const struct cw_exciter_point *p = &exciter->point[i];
        if (fabs(log(p->hz / reference)) <= near) {
            double weight = 1.0 / fmax(p->bare_error * p->bare_error, 1e-12);
            sum += weight * log(left_of(exciter, instrument, standing, i));
            weights += weight;
        }
    }
    *error = in_db * hypot(exciter->point[at].bare_error, 1.0 / sqrt(weights));
    return in_db * (log(left_of(exciter, instrument, standing, at)) - sum / weights);
}
