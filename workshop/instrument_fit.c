/* SPDX-License-Identifier: ISC */
#include "instrument_fit.h"

#include <complex.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "c_complex.h"
#include "constants.h"
#include "least_squares.h"
#include "polynomial.h"
#include "statistics.h"

/* What is searched. Logarithms where a value is above 0 and well told; plain numbers where it may be nothing, so
 * that an estimate near nothing has an interval as any other. */
enum value {
    LOG_RESISTANCE,
    LOG_INDUCTANCE, /* of all parts at 0 Hz */
    LOGIT_SHARE,    /* Le of La + Le */
    LOG_SKIN,       /* Le sqrt(w0)/K */
    LOG_EDDY,       /* Le w0/R */
    LOG_CAPACITANCE,
    LOSS_ANGLE,
    LEAK,        /* microsiemens */
    LOGIT_METAL, /* share of the inductance */
    LOG_METAL_CORNER,
    LOG_VOLUME_POT,
    LOG_TONE_POT,
    LOG_TONE_CAP,
    FIRST_SETTING
};

/* Where skin and eddy are counted, radians per second. */
static const double W0 = CW_TAU * 20e3;

/* The usual series resistor, ohm: only the weights depend on it. */
static const double Z0 = 1e5;

/* What the circuit itself is out by, a share of the impedance, one standard deviation. */
static const double MISFIT = 1e-3;

/* Expected before anything is measured, with a standard deviation: what pickups are like, wide enough to be no
 * evidence (common practice, no source). The leak is what a core's or metal's loss may differ from the model's form. */
struct expected {
    double middle, spread;
};
static const struct expected usual[FIRST_SETTING] = {
    [LOG_RESISTANCE] = {9.0, 3.0},    /* 8 kohm */
    [LOG_INDUCTANCE] = {1.4, 2.0},    /* 4 H */
    [LOG_CAPACITANCE] = {-22.6, 2.0}, /* 150 pF */
    [LOSS_ANGLE] = {0.015, 0.01},     [LEAK] = {0.2, 0.8},
    [LOGIT_METAL] = {-2.5, 1.0},      [LOG_METAL_CORNER] = {8.3, 0.8}, /* 4 kHz */
};

/* What is not there: a value that stays where it is and does nothing. */
static const struct expected nothing = {-20.0, 1e-3}, no_leak = {0.0, 1e-3};

/* The forms of a core: share, skin and eddy as they are expected. */
enum core { CORE_SKIN, CORE_SLOW, CORE_BOTH, CORE_NONE, CORES };
static const struct expected core_usual[CORES][3] = {
    [CORE_SKIN] = {{0.0, 1.2}, {0.0, 1.0}, {-20.0, 1e-3}},
    [CORE_SLOW] = {{-0.8, 0.8}, {-20.0, 1e-3}, {-0.6, 0.8}},
    [CORE_BOTH] = {{-0.7, 1.5}, {-0.5, 1.2}, {-2.0, 2.0}},
    [CORE_NONE] = {{-20.0, 1e-3}, {-20.0, 1e-3}, {-20.0, 1e-3}},
};

/* A form is a core, with or without metal, with or without a leak: in this order. */
enum { WITHOUT_LEAK = 2 * CORES };
static enum core core_of(int form) { return (enum core)(form % CORES); }
static bool has_metal(int form) { return form % WITHOUT_LEAK >= CORES; }
static bool has_leak(int form) { return form < WITHOUT_LEAK; }

/* ---- from values to the circuit --------------------------------------------------------------- */

static struct cw_instrument instrument_at(const struct cw_instrument_request *request, const double *p)
{
    double henry = exp(p[LOG_INDUCTANCE]), metal = henry / (1.0 + exp(-p[LOGIT_METAL]));
    double core = henry - metal, le = core / (1.0 + exp(-p[LOGIT_SHARE]));
    return (struct cw_instrument){
        .resistance = exp(p[LOG_RESISTANCE]),
        .la = core - le,
        .le = le,
        .per_k = exp(p[LOG_SKIN]) / (le * sqrt(W0)),
        .per_r = exp(p[LOG_EDDY]) / (le * W0),
        .metal = metal,
        .metal_corner = exp(p[LOG_METAL_CORNER]),
        .leak = 1e-6 * p[LEAK],
        .capacitance = exp(p[LOG_CAPACITANCE]),
        .loss_angle = p[LOSS_ANGLE],
        .volume_pot = exp(p[LOG_VOLUME_POT]),
        .tone_pot = exp(p[LOG_TONE_POT]),
        .tone_cap = request->tone_cap.value > 0.0 ? exp(p[LOG_TONE_CAP]) : 0.0,
        .bleed_cap = request->bleed_cap,
        .bleed_resistor = request->bleed_resistor,
        .tone_after_volume = request->tone_after_volume,
    };
}

static bool at_an_end(double rotation) { return rotation <= 0.0 || rotation >= 10.0; }

/* The share of a track: at an end that end, else what is searched, the next of the settings. */
static double share_of(double rotation, const double *p, int *next)
{
    if (at_an_end(rotation)) {
        return rotation > 0.0 ? 1.0 : 0.0;
    }
    return 1.0 / (1.0 + exp(-p[(*next)++]));
}

/* \p next is the first setting of this take; moves on to that of the next. */
static struct cw_standing standing_of(const struct cw_instrument_take *take, const double *p, int *next)
{
    struct cw_standing standing = {take->leads, 1.0, 1.0};
    if (!take->leads) {
        standing.volume = share_of(take->volume, p, next);
        standing.tone = share_of(take->tone, p, next);
    }
    return standing;
}

/* ---- the problem ------------------------------------------------------------------------------ */

/* One frequency of a take: G and its standard deviation in each part. */
struct point {
    double hz, sigma;
    double complex g;
};

struct problem {
    const struct cw_instrument_request *request;
    int count; /* of values */
    int rows;
    int points[CW_FIT_TAKES];
    struct point *point[CW_FIT_TAKES];
    struct expected expected[CW_FIT_VALUES];
};

/* (z - Z0)/(z + Z0), with one real division. */
static double complex g_of(double complex z)
{
    double re = creal(z) + Z0, im = cimag(z), share = 2.0 * Z0 / (re * re + im * im);
    return 1.0 - share * re + I * (share * im);
}

/* Rows of the expectations, those of the values after them, and the ohmmeter's come after the curves'. */
static void expectations(const struct problem *problem, const struct cw_instrument *instrument, const double *p,
                         double *row)
{
    const struct cw_instrument_request *request = problem->request;
    for (int i = 0; i < problem->count; i++) {
        row[i] = (p[i] - problem->expected[i].middle) / problem->expected[i].spread;
    }
    row[problem->count] = 0.0;
    if (request->dc_ohm > 0.0) {
        double ohm = instrument->resistance;
        if (!request->dc_leads) {
            ohm = 1.0 / (1.0 / ohm + 1.0 / instrument->volume_pot);
        }
        row[problem->count] = log(ohm / request->dc_ohm) / (0.5 * request->dc_error);
    }
}

static void residuals(const double *p, double *row, int rows, const void *of)
{
    const struct problem *problem = of;
    struct cw_instrument instrument = instrument_at(problem->request, p);
    int next = FIRST_SETTING;
    (void)rows;
    for (int t = 0; t < problem->request->takes; t++) {
        struct cw_standing standing = standing_of(&problem->request->take[t], p, &next);
        for (int i = 0; i < problem->points[t]; i++) {
            const struct point *point = &problem->point[t][i];
            double complex z =
                cw_as_c(cw_instrument_loaded(&instrument, standing, problem->request->load[t], point->hz));
            double complex off = (g_of(z) - point->g) / point->sigma;
            *row++ = creal(off);
            *row++ = cimag(off);
        }
    }
    expectations(problem, &instrument, p, row);
}

static bool in_span(const struct cw_one_port_point *point)
{
    return point->hz >= CW_FIT_LOW_HZ && point->hz <= CW_FIT_HIGH_HZ;
}

/* A share of Z, a standard deviation of both parts together, as one of each part of G. */
static double sigma_of(double complex z, double share)
{
    return hypot(share, MISFIT) * cabs(2.0 * Z0 * z / ((z + Z0) * (z + Z0))) / sqrt(2.0);
}

/* Every nth point where there are too many. */
static int take_points(const struct cw_one_port *curve, const double *guess, struct point *point)
{
    size_t inside = 0, every, seen = 0;
    int taken = 0;
    for (size_t i = 0; i < curve->count; i++) {
        inside += in_span(&curve->point[i]);
    }
    every = inside / CW_FIT_POINTS + 1;
    for (size_t i = 0; i < curve->count; i++) {
        const struct cw_one_port_point *from = &curve->point[i];
        if (in_span(from) && seen++ % every == 0) {
            double complex z = from->re + I * from->im;
            double error = from->error > 0.0 ? from->error : guess[taken];
            point[taken++] = (struct point){from->hz, sigma_of(z, error), g_of(z)};
        }
    }
    return taken;
}

static struct expected marked(struct cw_marked part)
{
    return (struct expected){log(part.value > 0.0 ? part.value : 1.0), 0.5 * part.tolerance};
}

/* A track's share at a rotation is a third of it below the middle of a tapered one, and may be three times as much. */
static void expect_setting(struct problem *problem, double rotation)
{
    if (!at_an_end(rotation)) {
        double x = 0.1 * rotation, share = 0.25 * x + 0.75 * x * x * x;
        problem->expected[problem->count++] = (struct expected){log(share / (1.0 - share)), 1.2};
    }
}

static void close_problem(struct problem *problem)
{
    for (int t = 0; t < CW_FIT_TAKES; t++) {
        free(problem->point[t]);
    }
}

static bool open_problem(const struct cw_instrument_request *request, const double noise[][CW_FIT_POINTS], int form,
                         struct problem *problem)
{
    *problem = (struct problem){.request = request, .count = FIRST_SETTING};
    memcpy(problem->expected, usual, sizeof usual);
    memcpy(&problem->expected[LOGIT_SHARE], core_usual[core_of(form)], sizeof core_usual[0]);
    if (!has_metal(form)) {
        problem->expected[LOGIT_METAL] = nothing;
    }
    if (!has_leak(form)) {
        problem->expected[LEAK] = no_leak;
    }
    problem->expected[LOG_VOLUME_POT] = marked(request->volume_pot);
    problem->expected[LOG_TONE_POT] = marked(request->tone_pot);
    problem->expected[LOG_TONE_CAP] = marked(request->tone_cap);
    for (int t = 0; t < request->takes; t++) {
        problem->point[t] = calloc(CW_FIT_POINTS, sizeof *problem->point[t]);
        if (!problem->point[t]) {
            close_problem(problem);
            return false;
        }
        problem->points[t] = take_points(request->take[t].curve, noise[t], problem->point[t]);
        problem->rows += 2 * problem->points[t];
        if (!request->take[t].leads) {
            expect_setting(problem, request->take[t].volume);
            expect_setting(problem, request->take[t].tone);
        }
    }
    problem->rows += problem->count + 1;
    return true;
}

/* ---- where to begin ---------------------------------------------------------------------------- */

/* The take in which the pickup shows best. */
static int clearest(const struct cw_instrument_request *request)
{
    int best = 0;
    double most = -1.0;
    for (int t = 0; t < request->takes; t++) {
        const struct cw_instrument_take *take = &request->take[t];
        double clear = request->load[t].ohm > 0.0 ? 0.0 : take->leads ? 100.0 : take->volume + take->tone;
        if (clear > most) {
            most = clear;
            best = t;
        }
    }
    return best;
}

/* Resistance from the lowest points, inductance from those near 120 Hz, capacitance from where Z is largest. */
static void begin(const struct problem *problem, double *p)
{
    int best = clearest(problem->request), n = problem->points[best];
    const struct point *point = problem->point[best];
    double re[5] = {0.0}, henry[5] = {0.0}, top = 0.0, top_hz = 5e3;
    int at = 0;
    for (int i = 0; i < n; i++) {
        double complex z = Z0 * (1.0 + point[i].g) / (1.0 - point[i].g);
        if (i < 5) {
            re[i] = creal(z);
        }
        if (point[i].hz > 100.0 && at < 5) {
            henry[at++] = cimag(z) / (CW_TAU * point[i].hz);
        }
        if (point[i].hz > 800.0 && cabs(z) > top) {
            top = cabs(z);
            top_hz = point[i].hz;
        }
    }
    cw_sort(re, 5);
    cw_sort(henry, 5);
    for (int i = 0; i < problem->count; i++) {
        p[i] = problem->expected[i].middle;
    }
    double l = fmin(fmax(henry[2], 0.2), 20.0), w = CW_TAU * top_hz;
    p[LOG_RESISTANCE] = log(fmin(fmax(re[2], 300.0), 40e3));
    p[LOG_INDUCTANCE] = log(l);
    p[LOG_CAPACITANCE] = log(fmin(fmax(1.2 / (w * w * l) - problem->request->load[best].farad, 10e-12), 2e-9));
}

/* \p from: there instead, but for what that form has not, or this. */
static bool search(const struct problem *problem, const double *from, enum value other, double *p, double *sum)
{
    const struct cw_squares squares = {residuals, problem, problem->count, problem->rows};
    begin(problem, p);
    if (from) {
        memcpy(p, from, (size_t)problem->count * sizeof *p);
        p[other] = problem->expected[other].middle;
    }
    return cw_squares_least(&squares, p, sum);
}

/* ---- noise ------------------------------------------------------------------------------------- */

static bool states_errors(const struct cw_one_port *curve)
{
    for (size_t i = 0; i < curve->count; i++) {
        if (!(curve->point[i].error > 0.0)) {
            return false;
        }
    }
    return true;
}

/* How residuals scatter near a point, from neighbour to neighbour, whatever the circuit leaves of them: the middle of
 * their differences, over what it is for normal ones of deviation 1. */
static double scatter_near(const double *row, int points, int at)
{
    static const double middle_of_normal = 0.6744897501960817;
    enum { NEAR = 20 };
    double difference[4 * NEAR];
    size_t n = 0;
    for (int i = at - NEAR > 0 ? at - NEAR : 1; i < points && i < at + NEAR; i++) {
        for (int part = 0; part < 2; part++) {
            difference[n++] = fabs(row[2 * i + part] - row[2 * i - 2 + part]) / sqrt(2.0);
        }
    }
    if (n < 8) {
        return 1.0;
    }
    cw_sort(difference, n);
    return cw_quantile(difference, n, 0.5) / middle_of_normal;
}

/* What the curves' scatter shows of their errors. */
static bool learn_noise(const struct problem *problem, const double *p, double noise[][CW_FIT_POINTS])
{
    double *row = malloc((size_t)problem->rows * sizeof *row);
    if (!row) {
        return false;
    }
    residuals(p, row, problem->rows, problem);
    const double *at = row;
    for (int t = 0; t < problem->request->takes; t++) {
        for (int i = 0; i < problem->points[t]; i++) {
            noise[t][i] = hypot(noise[t][i], MISFIT) * scatter_near(at, problem->points[t], i);
        }
        at += 2 * problem->points[t];
    }
    free(row);
    return true;
}

/* ---- the answer -------------------------------------------------------------------------------- */

/* The middle of a take's errors, as a share of the source: G is twice that, each of its parts has half the square. */
static double noise_of(const struct problem *problem, int take)
{
    double share[CW_FIT_POINTS];
    size_t count = (size_t)problem->points[take];
    for (size_t i = 0; i < count; i++) {
        share[i] = problem->point[take][i].sigma / sqrt(2.0);
    }
    cw_sort(share, count);
    return cw_quantile(share, count, 0.5);
}

/* The sum of squares of a row's smoothest terms, every \p stride th number of it: each is 1 of noise alone (the cosines
 * are orthonormal: Ahmed, Natarajan and Rao, IEEE Trans. Comput. C-23, 1974). */
static double smooth_terms(const double *row, int points, int stride, int terms)
{
    double sum = 0.0;
    for (int k = 0; k < terms; k++) {
        double term = 0.0;
        for (int i = 0; i < points; i++) {
            term += row[stride * i] * cos(0.5 * CW_TAU * k * (i + 0.5) / points);
        }
        sum += term * term * (k > 0 ? 2.0 : 1.0) / points;
    }
    return sum;
}

/* By how much what is left of the curves goes one way over stretches of them: what a wrong circuit leaves is smooth,
 * noise has a share of each term. Against the chi-squared distribution of the terms, in its standard deviations; that a
 * fit takes some of them for itself is left aside. */
static double one_side_of(const struct problem *problem, const double *row)
{
    enum { TERMS = 8 };
    double sum = 0.0, count = 0.0;
    for (int t = 0; t < problem->request->takes; t++) {
        int points = problem->points[t], terms = points < TERMS ? points : TERMS;
        sum += smooth_terms(row, points, 2, terms) + smooth_terms(row + 1, points, 2, terms);
        count += 2.0 * terms;
        row += 2 * points;
    }
    return (sum - count) / sqrt(2.0 * fmax(count, 1.0));
}

static bool judge(const struct problem *problem, const double *p, struct cw_instrument_fit *fit)
{
    double *row = malloc((size_t)problem->rows * sizeof *row), all = 0.0;
    if (!row) {
        return false;
    }
    residuals(p, row, problem->rows, problem);
    const double *at = row;
    for (int t = 0; t < problem->request->takes; t++) {
        double sum = 0.0;
        for (int i = 0; i < 2 * problem->points[t]; i++, at++) {
            sum += *at * *at;
        }
        fit->chi_take[t] = sum / fmax(2.0 * problem->points[t], 1.0);
        fit->noise_take[t] = noise_of(problem, t);
        all += sum;
    }
    fit->freedom = problem->rows - 2 * problem->count - 1;
    fit->chi_square = all / fmax(fit->freedom, 1.0);
    fit->one_side = one_side_of(problem, row);
    free(row);
    return true;
}

/* The logarithm of how likely a form makes the takes (Laplace's approximation: Kass and Raftery, JASA 90, 1995, 4.1):
 * its least squares, and how much of what was expected is left. -INFINITY where it does not fit at all. */
static double fit_form(const struct cw_instrument_request *request, const double noise[][CW_FIT_POINTS], int form,
                       const double *from, struct cw_instrument_form *fitted)
{
    struct problem problem;
    double sum, volume, likely = -INFINITY;
    if (!open_problem(request, noise, form, &problem)) {
        return likely;
    }
    const struct cw_squares squares = {residuals, &problem, problem.count, problem.rows};
    fitted->leak = has_leak(form);
    fitted->count = problem.count;
    if (search(&problem, from, has_leak(form) ? LOGIT_METAL : LEAK, fitted->at, &sum) &&
        cw_squares_covariance(&squares, fitted->at, fitted->covariance, &volume)) {
        likely = 0.5 * (volume - sum);
        for (int i = 0; i < problem.count; i++) {
            likely -= log(problem.expected[i].spread);
        }
    }
    close_problem(&problem);
    return likely;
}

/* What a form may be behind the likeliest, in logarithms, and still lead without its leak: that can gain no more than
 * the leak's range was too wide by. */
static const double NO_HOPE = 14.0;

static bool fit_forms(const struct cw_instrument_request *request, struct cw_instrument_fit *fit)
{
    double likely[CW_FIT_FORMS] = {0.0}, sum = 0.0;
    for (int i = 0; i < CW_FIT_FORMS; i++) {
        int back = i - (has_leak(i) ? CORES : WITHOUT_LEAK); /* the form that this one begins at */
        const double *from = back < 0 || isinf(likely[back]) ? NULL : fit->form[back].at;
        bool hopeless = !has_leak(i) && likely[back] < likely[fit->likeliest] - NO_HOPE;
        likely[i] = hopeless ? -INFINITY : fit_form(request, fit->noise, i, from, &fit->form[i]);
        fit->likeliest = likely[i] > likely[fit->likeliest] ? i : fit->likeliest;
        fit->likeliest_leaky = has_leak(i) ? fit->likeliest : fit->likeliest_leaky;
    }
    for (int i = 0; i < CW_FIT_FORMS; i++) {
        fit->form[i].weight = exp(likely[i] - likely[fit->likeliest]);
        sum += fit->form[i].weight;
    }
    for (int i = 0; i < CW_FIT_FORMS; i++) {
        fit->form[i].weight /= sum;
    }
    return isfinite(likely[fit->likeliest]);
}

static bool learn(const struct cw_instrument_request *request, double noise[][CW_FIT_POINTS])
{
    struct problem problem;
    double at[CW_FIT_VALUES], sum;
    if (!open_problem(request, noise, CORES + CORE_BOTH, &problem)) {
        return false;
    }
    bool good = search(&problem, NULL, LEAK, at, &sum) && learn_noise(&problem, at, noise);
    close_problem(&problem);
    return good;
}

static bool finish(const struct cw_instrument_request *request, struct cw_instrument_fit *fit)
{
    const struct cw_instrument_form *form = &fit->form[fit->likeliest];
    struct problem problem;
    int next = FIRST_SETTING;
    if (!open_problem(request, fit->noise, fit->likeliest, &problem)) {
        return false;
    }
    bool good = judge(&problem, form->at, fit);
    close_problem(&problem);
    fit->metal = has_metal(fit->likeliest);
    fit->best = instrument_at(request, form->at);
    for (int t = 0; t < request->takes; t++) {
        fit->standing[t] = standing_of(&request->take[t], form->at, &next);
    }
    return good;
}

bool cw_instrument_fit_of(const struct cw_instrument_request *request, struct cw_instrument_fit *fit)
{
    memset(fit, 0, sizeof *fit);
    for (int t = 0; t < request->takes; t++) {
        for (int i = 0; i < CW_FIT_POINTS; i++) {
            fit->noise[t][i] = 5e-3;
        }
        fit->noise_guessed |= !states_errors(request->take[t].curve);
    }
    return (!fit->noise_guessed || learn(request, fit->noise)) && fit_forms(request, fit) && finish(request, fit);
}

/* ---- figures ----------------------------------------------------------------------------------- */

/* What a figure is asked of; of a response also where. */
struct asked {
    enum cw_told_id id; /* CW_TOLD: a response */
    bool leads;
    struct cw_jack_load load;
    double hz;
};

/* In the form in which it is nearly normal: logarithms, of the loss its conductance, dB. */
static double figure_of(const struct cw_instrument *i, const struct asked *asked)
{
    struct cw_standing full = {asked->leads, 1.0, 1.0};
    switch (asked->id) {
    case CW_TOLD_RESISTANCE: return log(i->resistance);
    case CW_TOLD_L_120: return log(cw_instrument_inductance(i, 120.0).re);
    case CW_TOLD_L_3K: return log(cw_instrument_inductance(i, 3000.0).re);
    case CW_TOLD_LOSS: return cw_instrument_loss(i, 3000.0);
    case CW_TOLD_CAPACITANCE: return log(i->capacitance);
    case CW_TOLD_VOLUME_POT: return log(i->volume_pot);
    case CW_TOLD_TONE_POT: return log(i->tone_pot);
    case CW_TOLD_TONE_CAP: return log(i->tone_cap);
    case CW_TOLD: break;
    }
    return 20.0 * log10(cabs(cw_as_c(cw_instrument_response(i, full, asked->load, asked->hz))));
}

/* By differences in the values of the fit; the settings have no part in a figure. */
static void slope_of(const struct cw_instrument_request *request, const double *at, const struct asked *asked,
                     double slope[FIRST_SETTING])
{
    double p[CW_FIT_VALUES];
    memcpy(p, at, sizeof p);
    for (int i = 0; i < FIRST_SETTING; i++) {
        static const double step = 1e-5;
        p[i] = at[i] + step;
        struct cw_instrument above = instrument_at(request, p);
        p[i] = at[i] - step;
        struct cw_instrument below = instrument_at(request, p);
        p[i] = at[i];
        slope[i] = (figure_of(&above, asked) - figure_of(&below, asked)) / (2.0 * step);
    }
}

/* Standard deviation; \p bold: were the leak known. */
static double deviation(const double *covariance, int n, const double *slope, bool bold)
{
    double sum = 0.0, with_leak = 0.0;
    for (int i = 0; i < FIRST_SETTING; i++) {
        for (int k = 0; k < FIRST_SETTING; k++) {
            sum += slope[i] * covariance[i * n + k] * slope[k];
        }
        with_leak += slope[i] * covariance[i * n + LEAK];
    }
    double known = bold ? with_leak * with_leak / covariance[LEAK * n + LEAK] : 0.0;
    return sqrt(fmax(sum - known, 0.0));
}

/* Two standard deviations by which the model itself misses, from a simulated population (make check-fit judges another
 * one): of a core with skin effect what the form has of it in excess at low frequencies, where a rod's loss falls
 * faster than the form's; more where metal is. None is below 0.05 %. Of the loss its conductance. */
static double figure_floor(enum cw_told_id id, int form)
{
    static const double plain[CW_TOLD] = {5e-4, 5e-4, 1e-3, 0.01e-6, 5e-4, 5e-4, 5e-4, 5e-4};
    bool skin = core_of(form) == CORE_SKIN || core_of(form) == CORE_BOTH;
    double floor = skin && id == CW_TOLD_RESISTANCE ? 2e-3 : skin && id == CW_TOLD_L_120 ? 1.5e-3 : plain[id];
    return has_metal(form) && id < CW_TOLD_VOLUME_POT ? 2.0 * floor : floor;
}

/* Of a response what those of resistance, inductance and capacitance are worth there. */
static double floor_of(const struct asked *asked, const double *slope, int form)
{
    if (asked->id != CW_TOLD) {
        return figure_floor(asked->id, form);
    }
    return hypot(slope[LOG_RESISTANCE] * figure_floor(CW_TOLD_RESISTANCE, form),
                 hypot(slope[LOG_INDUCTANCE] * figure_floor(CW_TOLD_L_3K, form),
                       slope[LOG_CAPACITANCE] * figure_floor(CW_TOLD_CAPACITANCE, form)));
}

/* Whose interval: every form's, as likely as each is; of those with a leak; of those, were the leak known. */
enum sure { SURE_ALL, SURE_WITH_LEAK, SURE_BOLD };

/* Half of the interval: what the takes leave of each form, and what the forms differ by. */
static double width_of(const struct cw_instrument_request *request, const struct cw_instrument_fit *fit,
                       const struct asked *asked, enum sure sure)
{
    static const double of_95 = 1.96;
    int forms = sure == SURE_ALL ? CW_FIT_FORMS : WITHOUT_LEAK;
    double at = figure_of(&fit->best, asked), sum = 0.0, weights = 0.0, slope[FIRST_SETTING];
    for (int i = 0; i < forms; i++) {
        weights += fit->form[i].weight;
    }
    for (int i = 0; i < forms; i++) {
        const struct cw_instrument_form *form = &fit->form[i];
        if (form->weight > 1e-3 * weights) {
            struct cw_instrument other = instrument_at(request, form->at);
            slope_of(request, form->at, asked, slope);
            double sigma = deviation(form->covariance, form->count, slope, sure == SURE_BOLD);
            double off = figure_of(&other, asked) - at;
            sum += form->weight / weights * (sigma * sigma * fmax(fit->chi_square, 1.0) + off * off);
        }
    }
    slope_of(request, fit->form[fit->likeliest].at, asked, slope);
    return hypot(of_95 * sqrt(sum), floor_of(asked, slope, fit->likeliest));
}

/* That half, and whether it would be half as wide or less by the model's form alone: then it is not made narrower by
 * forms that deny the exchange of one value for another. */
static double honest_width(const struct cw_instrument_request *request, const struct cw_instrument_fit *fit,
                           const struct asked *asked, bool *by_form)
{
    double wide = width_of(request, fit, asked, SURE_WITH_LEAK);
    *by_form = width_of(request, fit, asked, SURE_BOLD) < 0.5 * wide;
    return *by_form ? wide : width_of(request, fit, asked, SURE_ALL);
}

static bool has(const struct cw_instrument_request *request, enum cw_told_id id)
{
    bool controls = false;
    for (int t = 0; t < request->takes; t++) {
        controls |= !request->take[t].leads;
    }
    bool tone = id == CW_TOLD_TONE_POT || id == CW_TOLD_TONE_CAP;
    return id < CW_TOLD_VOLUME_POT || (controls && !(tone && request->tone_cap.value <= 0.0));
}

/* The width that a mark alone gives, or beyond which a figure is of no use. */
static double idle_width(const struct cw_instrument_request *request, enum cw_told_id id)
{
    switch (id) {
    case CW_TOLD_VOLUME_POT: return 0.7 * request->volume_pot.tolerance;
    case CW_TOLD_TONE_POT: return 0.7 * request->tone_pot.tolerance;
    case CW_TOLD_TONE_CAP: return 0.7 * request->tone_cap.tolerance;
    default: return 0.3;
    }
}

bool cw_instrument_told(const struct cw_instrument_request *request, const struct cw_instrument_fit *fit,
                        enum cw_told_id id, struct cw_told *told)
{
    const struct asked asked = {.id = id};
    double at = figure_of(&fit->best, &asked), idle = idle_width(request, id);
    double width = honest_width(request, fit, &asked, &told->by_form);
    if (id == CW_TOLD_LOSS) {
        told->value = at > 0.0 ? 1.0 / at : INFINITY;
        told->low = 1.0 / fmax(at + width, 1e-12);
        told->high = at > width ? 1.0 / (at - width) : INFINITY;
        told->marked_only = width > idle * at;
    } else {
        told->value = exp(at);
        told->low = exp(at - width);
        told->high = exp(at + width);
        told->marked_only = width > idle;
    }
    return has(request, id);
}

struct cw_told cw_instrument_told_response(const struct cw_instrument_request *request,
                                           const struct cw_instrument_fit *fit, bool leads, struct cw_jack_load load,
                                           double hz)
{
    const struct asked asked = {CW_TOLD, leads, load, hz};
    bool by_form;
    double at = figure_of(&fit->best, &asked), width = honest_width(request, fit, &asked, &by_form);
    return (struct cw_told){at, at - width, at + width, false, by_form};
}

double cw_instrument_after(const struct cw_instrument_request *request, const struct cw_instrument_fit *fit,
                           const struct cw_instrument_take *more, enum cw_told_id id)
{
    struct cw_instrument_take take[CW_FIT_TAKES];
    struct cw_instrument_request longer = *request;
    struct problem problem;
    const struct asked asked = {.id = id};
    double noise[CW_FIT_TAKES][CW_FIT_POINTS], slope[FIRST_SETTING], width = INFINITY;
    struct cw_instrument_form after = fit->form[fit->likeliest_leaky];
    if (request->takes >= CW_FIT_TAKES) {
        return width;
    }
    memcpy(noise, fit->noise, sizeof noise);
    memcpy(take, request->take, (size_t)request->takes * sizeof *take);
    take[request->takes] = *more;
    take[request->takes].curve = request->take[0].curve;
    memcpy(noise[request->takes], fit->noise[0], sizeof noise[0]);
    longer.take = take;
    longer.takes = request->takes + 1;
    if (!open_problem(&longer, noise, fit->likeliest_leaky, &problem)) {
        return width;
    }
    for (int i = after.count; i < problem.count; i++) {
        after.at[i] = problem.expected[i].middle;
    }
    const struct cw_squares squares = {residuals, &problem, problem.count, problem.rows};
    if (cw_squares_covariance(&squares, after.at, after.covariance, NULL)) {
        slope_of(request, after.at, &asked, slope);
        width = hypot(1.96 * deviation(after.covariance, problem.count, slope, false),
                      floor_of(&asked, slope, fit->likeliest));
    }
    close_problem(&problem);
    return id == CW_TOLD_LOSS ? width / fmax(figure_of(&fit->best, &asked), 1e-9) : width;
}
