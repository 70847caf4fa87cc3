/* SPDX-License-Identifier: ISC */
/** \file fit_problem.h
 * A fit of a closed instrument as a problem of least squares: what is searched, what is expected of it before anything
 * is measured, and by how much curves and expectations are missed. Only the fit's own files use it.
 *
 * Threading class: functions that allocate where they open; not the audio thread.
 */
#ifndef CW_FIT_PROBLEM_H
#define CW_FIT_PROBLEM_H

#include <stdbool.h>

#include "fit_request.h"
#include "instrument.h"
#include "polynomial.h"

#ifdef __cplusplus
extern "C" {
#endif

/** What is searched. Logarithms where a value is above 0 and well told; plain numbers where it may be nothing, so
 * that an estimate near nothing has an interval as any other. */
enum cw_fit_value {
    CW_FIT_LOG_RESISTANCE,
    CW_FIT_LOG_INDUCTANCE, /* of all parts at 0 Hz */
    CW_FIT_LOGIT_SHARE,    /* Le of La + Le */
    CW_FIT_LOG_SKIN,       /* Le sqrt(w0)/K */
    CW_FIT_LOG_SKIN_TIME,  /* T w0 */
    CW_FIT_LOG_EDDY,       /* Le w0/R */
    CW_FIT_LOG_CAPACITANCE,
    CW_FIT_LOSS_ANGLE,
    CW_FIT_LEAK,        /* microsiemens */
    CW_FIT_LOGIT_METAL, /* share of the inductance */
    CW_FIT_LOG_METAL_CORNER,
    CW_FIT_LOG_VOLUME_POT,
    CW_FIT_LOG_TONE_POT,
    CW_FIT_LOG_TONE_CAP,
    CW_FIT_FIRST_SETTING
};

/** The usual series resistor, ohm: only the weights depend on it. */
#define CW_FIT_SERIES_OHM 1e5

/** What the circuit itself is out by, a share of the impedance, one standard deviation. */
#define CW_FIT_MISFIT 1e-3

/** The forms of a core: with skin effect, with little of it, with both, one that loses nothing. */
enum cw_fit_core { CW_FIT_CORE_SKIN, CW_FIT_CORE_SLOW, CW_FIT_CORE_BOTH, CW_FIT_CORE_NONE, CW_FIT_CORES };

/** A form is a core, with or without metal, with or without a leak: in this order. */
enum { CW_FIT_WITHOUT_LEAK = 2 * CW_FIT_CORES };

enum cw_fit_core cw_fit_core_of(int form);
bool cw_fit_has_metal(int form);
bool cw_fit_has_leak(int form);

/** Expected before anything is measured. */
struct cw_fit_expected {
    double middle, spread; /**< spread: one standard deviation */
};

/** One frequency of a take: G and its standard deviation in each part. */
struct cw_fit_point {
    double hz, sigma;
    struct cw_complex g;
};

/** The problem of one form. Rows: the curves' parts, take by take, the expectations, the ohmmeter's reading. */
struct cw_fit_problem {
    const struct cw_instrument_request *request;
    int count; /**< of values */
    int rows;
    int points[CW_FIT_TAKES];
    struct cw_fit_point *point[CW_FIT_TAKES];
    struct cw_fit_expected expected[CW_FIT_VALUES];
};

/** Open the problem of a form. \param noise share of the voltage behind the jig's resistor, at points that state no
 * error \return false where memory ran out: there is nothing to close */
bool cw_fit_problem_open(const struct cw_instrument_request *request, const double noise[][CW_FIT_POINTS], int form,
                         struct cw_fit_problem *problem);

void cw_fit_problem_close(struct cw_fit_problem *problem);

/** The rows of a problem \p of for values \p p; a cw_residuals. */
void cw_fit_residuals(const double *p, double *row, int rows, const void *of);

/** The circuit of values. */
struct cw_instrument cw_fit_instrument_at(const struct cw_instrument_request *request, const double *p);

/** How the controls of a take stood. \param next the first setting of this take; moves on to that of the next */
struct cw_standing cw_fit_standing_of(const struct cw_instrument_take *take, const double *p, int *next);

#ifdef __cplusplus
}
#endif
#endif
