/* SPDX-License-Identifier: ISC */
#include "instrument_fit.h"

#include <math.h>
#include <string.h>

#include "fit_left.h"
#include "fit_problem.h"
#include "fit_request.h"
#include "fit_search.h"
#include "least_squares.h"
#include "one_port.h"

static bool states_errors(const struct cw_one_port *curve)
{
    for (size_t i = 0; i < curve->count; i++) {
        if (!(curve->point[i].error > 0.0)) {
            return false;
        }
    }
    return true;
}

/* The logarithm of how likely a form makes the takes (Laplace's approximation: Kass and Raftery, JASA 90, 1995, 4.1):
 * its least squares, and how much of what was expected is left. -INFINITY where it does not fit at all. */
static double fit_form(const struct cw_instrument_request *request, const double noise[][CW_FIT_POINTS], int form,
                       const double *from, struct cw_instrument_form *fitted)
{
    struct cw_fit_problem problem;
    double sum, volume, likely = -INFINITY;
    if (!cw_fit_problem_open(request, noise, form, &problem)) {
        return likely;
    }
    const struct cw_squares squares = {cw_fit_residuals, &problem, problem.count, problem.rows, 0.0};
    fitted->leak = cw_fit_has_leak(form);
    fitted->count = problem.count;
    if (cw_fit_search(&problem, from, cw_fit_has_leak(form) ? CW_FIT_LOGIT_METAL : CW_FIT_LEAK, fitted->at, &sum) &&
        cw_squares_covariance(&squares, fitted->at, fitted->covariance, &volume)) {
        likely = 0.5 * (volume - sum);
        for (int i = 0; i < problem.count; i++) {
            likely -= log(problem.expected[i].spread);
        }
    }
    cw_fit_problem_close(&problem);
    return likely;
}

/* What a form may be behind the likeliest, in logarithms, and still lead without its leak: that can gain no more than
 * the leak's range was too wide by. */
static const double NO_HOPE = 14.0;

static bool fit_forms(const struct cw_instrument_request *request, struct cw_instrument_fit *fit)
{
    double likely[CW_FIT_FORMS] = {0.0}, sum = 0.0;
    for (int i = 0; i < CW_FIT_FORMS; i++) {
        int back = i - (cw_fit_has_leak(i) ? CW_FIT_CORES : CW_FIT_WITHOUT_LEAK); /* the form that this one begins at */
        const double *from = back < 0 || isinf(likely[back]) ? NULL : fit->form[back].at;
        bool hopeless = !cw_fit_has_leak(i) && likely[back] < likely[fit->likeliest] - NO_HOPE;
        likely[i] = hopeless ? -INFINITY : fit_form(request, fit->noise, i, from, &fit->form[i]);
        fit->likeliest = likely[i] > likely[fit->likeliest] ? i : fit->likeliest;
        fit->likeliest_leaky = cw_fit_has_leak(i) ? fit->likeliest : fit->likeliest_leaky;
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
    struct cw_fit_problem problem;
    double at[CW_FIT_VALUES], sum;
    if (!cw_fit_problem_open(request, noise, CW_FIT_CORES + CW_FIT_CORE_BOTH, &problem)) {
        return false;
    }
    bool good = cw_fit_search(&problem, NULL, CW_FIT_LEAK, at, &sum) && cw_fit_learn_noise(&problem, at, noise);
    cw_fit_problem_close(&problem);
    return good;
}

static bool finish(const struct cw_instrument_request *request, struct cw_instrument_fit *fit)
{
    const struct cw_instrument_form *form = &fit->form[fit->likeliest];
    struct cw_fit_problem problem;
    int next = CW_FIT_FIRST_SETTING;
    if (!cw_fit_problem_open(request, fit->noise, fit->likeliest, &problem)) {
        return false;
    }
    bool good = cw_fit_judge(&problem, form->at, fit);
    cw_fit_problem_close(&problem);
    fit->metal = cw_fit_has_metal(fit->likeliest);
    fit->best = cw_fit_instrument_at(request, form->at);
    for (int t = 0; t < request->takes; t++) {
        fit->standing[t] = cw_fit_standing_of(&request->take[t], form->at, &next);
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
