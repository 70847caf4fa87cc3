/* SPDX-License-Identifier: ISC */
#include "fit_problem.h"

#include <complex.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "c_complex.h"
#include "constants.h"
#include "fit_request.h"
#include "one_port.h"

/* Where skin and eddy are counted, radians per second. */
static const double W0 = CW_TAU * 20e3;

/* What pickups are like, wide enough to be no evidence (common practice, no source). The leak is what a core's or
 * metal's loss may differ from the model's form. */
static const struct cw_fit_expected usual[CW_FIT_FIRST_SETTING] = {
    [CW_FIT_LOG_RESISTANCE] = {9.0, 3.0},    /* 8 kohm */
    [CW_FIT_LOG_INDUCTANCE] = {1.4, 2.0},    /* 4 H */
    [CW_FIT_LOG_CAPACITANCE] = {-22.6, 2.0}, /* 150 pF */
    [CW_FIT_LOSS_ANGLE] = {0.015, 0.01},     [CW_FIT_LEAK] = {0.2, 0.8},
    [CW_FIT_LOGIT_METAL] = {-2.5, 1.0},      [CW_FIT_LOG_METAL_CORNER] = {8.3, 0.8}, /* 4 kHz */
};

/* What is not there: a value that stays where it is and does nothing. */
static const struct cw_fit_expected nothing = {-20.0, 1e-3}, no_leak = {0.0, 1e-3};

/* The forms of a core: share, skin, its time and eddy as they are expected. */
static const struct cw_fit_expected core_usual[CW_FIT_CORES][4] = {
    [CW_FIT_CORE_SKIN] = {{0.0, 1.2}, {0.0, 1.0}, {7.0, 1.2}, {-20.0, 1e-3}},
    [CW_FIT_CORE_SLOW] = {{-0.8, 0.8}, {-20.0, 1e-3}, {7.0, 1e-3}, {-0.6, 0.8}},
    [CW_FIT_CORE_BOTH] = {{-0.7, 1.5}, {-0.5, 1.2}, {7.0, 1.2}, {-2.0, 2.0}},
    [CW_FIT_CORE_NONE] = {{-20.0, 1e-3}, {-20.0, 1e-3}, {7.0, 1e-3}, {-20.0, 1e-3}},
};

enum cw_fit_core cw_fit_core_of(int form) { return (enum cw_fit_core)(form % CW_FIT_CORES); }
bool cw_fit_has_metal(int form) { return form % CW_FIT_WITHOUT_LEAK >= CW_FIT_CORES; }
bool cw_fit_has_leak(int form) { return form < CW_FIT_WITHOUT_LEAK; }

/* ---- from values to the circuit --------------------------------------------------------------- */

struct cw_instrument cw_fit_instrument_at(const struct cw_instrument_request *request, const double *p)
{
    double henry = exp(p[CW_FIT_LOG_INDUCTANCE]), metal = henry / (1.0 + exp(-p[CW_FIT_LOGIT_METAL]));
    double core = henry - metal, le = core / (1.0 + exp(-p[CW_FIT_LOGIT_SHARE]));
    return (struct cw_instrument){
        .resistance = exp(p[CW_FIT_LOG_RESISTANCE]),
        .la = core - le,
        .le = le,
        .per_k = exp(p[CW_FIT_LOG_SKIN]) / (le * sqrt(W0)),
        .skin_time = exp(p[CW_FIT_LOG_SKIN_TIME]) / W0,
        .per_r = exp(p[CW_FIT_LOG_EDDY]) / (le * W0),
        .metal = metal,
        .metal_corner = exp(p[CW_FIT_LOG_METAL_CORNER]),
        .leak = 1e-6 * p[CW_FIT_LEAK],
        .capacitance = exp(p[CW_FIT_LOG_CAPACITANCE]),
        .loss_angle = p[CW_FIT_LOSS_ANGLE],
        .volume_pot = exp(p[CW_FIT_LOG_VOLUME_POT]),
        .tone_pot = exp(p[CW_FIT_LOG_TONE_POT]),
        .tone_cap = request->tone_cap.value > 0.0 ? exp(p[CW_FIT_LOG_TONE_CAP]) : 0.0,
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

struct cw_standing cw_fit_standing_of(const struct cw_instrument_take *take, const double *p, int *next)
{
    struct cw_standing standing = {take->leads, 1.0, 1.0};
    if (!take->leads) {
        standing.volume = share_of(take->volume, p, next);
        standing.tone = share_of(take->tone, p, next);
    }
    return standing;
}

/* ---- the problem ------------------------------------------------------------------------------ */

/* (z - CW_FIT_SERIES_OHM)/(z + CW_FIT_SERIES_OHM), with one real division. */
static double complex g_of(double complex z)
{
    double re = creal(z) + CW_FIT_SERIES_OHM, im = cimag(z), share = 2.0 * CW_FIT_SERIES_OHM / (re * re + im * im);
    return 1.0 - share * re + I * (share * im);
}

/* Rows of the expectations, those of the values after them, and the ohmmeter's come after the curves'. */
static void expectations(const struct cw_fit_problem *problem, const struct cw_instrument *instrument, const double *p,
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

void cw_fit_residuals(const double *p, double *row, int rows, const void *of)
{
    const struct cw_fit_problem *problem = of;
    struct cw_instrument instrument = cw_fit_instrument_at(problem->request, p);
    int next = CW_FIT_FIRST_SETTING;
    (void)rows;
    for (int t = 0; t < problem->request->takes; t++) {
        struct cw_standing standing = cw_fit_standing_of(&problem->request->take[t], p, &next);
        for (int i = 0; i < problem->points[t]; i++) {
            const struct cw_fit_point *point = &problem->point[t][i];
            double complex z =
                cw_as_c(cw_instrument_loaded(&instrument, standing, problem->request->load[t], point->hz));
            double complex off = (g_of(z) - cw_as_c(point->g)) / point->sigma;
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
    return hypot(share, CW_FIT_MISFIT) *
           cabs(2.0 * CW_FIT_SERIES_OHM * z / ((z + CW_FIT_SERIES_OHM) * (z + CW_FIT_SERIES_OHM))) / sqrt(2.0);
}

/* Every nth point where there are too many. */
static int take_points(const struct cw_one_port *curve, const double *guess, struct cw_fit_point *point)
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
            point[taken++] = (struct cw_fit_point){from->hz, sigma_of(z, error), cw_of_c(g_of(z))};
        }
    }
    return taken;
}

static struct cw_fit_expected marked(struct cw_marked part)
{
    return (struct cw_fit_expected){log(part.value > 0.0 ? part.value : 1.0), 0.5 * part.tolerance};
}

/* A track's share at a rotation is a third of it below the middle of a tapered one, and may be three times as much. */
static void expect_setting(struct cw_fit_problem *problem, double rotation)
{
    if (!at_an_end(rotation)) {
        double x = 0.1 * rotation, share = 0.25 * x + 0.75 * x * x * x;
        problem->expected[problem->count++] = (struct cw_fit_expected){log(share / (1.0 - share)), 1.2};
    }
}

void cw_fit_problem_close(struct cw_fit_problem *problem)
{
    for (int t = 0; t < CW_FIT_TAKES; t++) {
        free(problem->point[t]);
    }
}

bool cw_fit_problem_open(const struct cw_instrument_request *request, const double noise[][CW_FIT_POINTS], int form,
                         struct cw_fit_problem *problem)
{
    *problem = (struct cw_fit_problem){.request = request, .count = CW_FIT_FIRST_SETTING};
    memcpy(problem->expected, usual, sizeof usual);
    memcpy(&problem->expected[CW_FIT_LOGIT_SHARE], core_usual[cw_fit_core_of(form)], sizeof core_usual[0]);
    if (!cw_fit_has_metal(form)) {
        problem->expected[CW_FIT_LOGIT_METAL] = nothing;
    }
    if (!cw_fit_has_leak(form)) {
        problem->expected[CW_FIT_LEAK] = no_leak;
    }
    problem->expected[CW_FIT_LOG_VOLUME_POT] = marked(request->volume_pot);
    problem->expected[CW_FIT_LOG_TONE_POT] = marked(request->tone_pot);
    problem->expected[CW_FIT_LOG_TONE_CAP] = marked(request->tone_cap);
    for (int t = 0; t < request->takes; t++) {
        problem->point[t] = calloc(CW_FIT_POINTS, sizeof *problem->point[t]);
        if (!problem->point[t]) {
            cw_fit_problem_close(problem);
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
