/* SPDX-License-Identifier: ISC */
#include "fit_figures.h"

#include <complex.h>
#include <math.h>
#include <string.h>

#include "c_complex.h"
#include "fit_problem.h"
#include "fit_request.h"
#include "least_squares.h"

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
                     double slope[CW_FIT_FIRST_SETTING])
{
    double p[CW_FIT_VALUES];
    memcpy(p, at, sizeof p);
    for (int i = 0; i < CW_FIT_FIRST_SETTING; i++) {
        static const double step = 1e-5;
        p[i] = at[i] + step;
        struct cw_instrument above = cw_fit_instrument_at(request, p);
        p[i] = at[i] - step;
        struct cw_instrument below = cw_fit_instrument_at(request, p);
        p[i] = at[i];
        slope[i] = (figure_of(&above, asked) - figure_of(&below, asked)) / (2.0 * step);
    }
}

/* Standard deviation; \p bold: were the leak known. */
static double deviation(const double *covariance, int n, const double *slope, bool bold)
{
    double sum = 0.0, with_leak = 0.0;
    for (int i = 0; i < CW_FIT_FIRST_SETTING; i++) {
        for (int k = 0; k < CW_FIT_FIRST_SETTING; k++) {
            sum += slope[i] * covariance[i * n + k] * slope[k];
        }
        with_leak += slope[i] * covariance[i * n + CW_FIT_LEAK];
    }
    double known = bold ? with_leak * with_leak / covariance[CW_FIT_LEAK * n + CW_FIT_LEAK] : 0.0;
    return sqrt(fmax(sum - known, 0.0));
}

/* Two standard deviations by which the model itself misses. In a simulated population its forms meet the instruments
 * (make check-fit judges another one): what is left is the least that is quoted of any figure, 0.05 %, of the loss as a
 * conductance. */
static double figure_floor(enum cw_told_id id) { return id == CW_TOLD_LOSS ? 0.01e-6 : 5e-4; }

/* Of a response what those of resistance, inductance and capacitance are worth there. */
static double floor_of(const struct asked *asked, const double *slope)
{
    if (asked->id != CW_TOLD) {
        return figure_floor(asked->id);
    }
    return hypot(slope[CW_FIT_LOG_RESISTANCE] * figure_floor(CW_TOLD_RESISTANCE),
                 hypot(slope[CW_FIT_LOG_INDUCTANCE] * figure_floor(CW_TOLD_L_3K),
                       slope[CW_FIT_LOG_CAPACITANCE] * figure_floor(CW_TOLD_CAPACITANCE)));
}

/* Whose interval: every form's, as likely as each is; of those with a leak; of those, were the leak known. */
enum sure { SURE_ALL, SURE_WITH_LEAK, SURE_BOLD };

/* Half of the interval: what the takes leave of each form, and what the forms differ by. */
static double width_of(const struct cw_instrument_request *request, const struct cw_instrument_fit *fit,
                       const struct asked *asked, enum sure sure)
{
    static const double of_95 = 1.96;
    int forms = sure == SURE_ALL ? CW_FIT_FORMS : CW_FIT_WITHOUT_LEAK;
    double at = figure_of(&fit->best, asked), sum = 0.0, weights = 0.0, slope[CW_FIT_FIRST_SETTING];
    for (int i = 0; i < forms; i++) {
        weights += fit->form[i].weight;
    }
    for (int i = 0; i < forms; i++) {
        const struct cw_instrument_form *form = &fit->form[i];
        if (form->weight > 1e-3 * weights) {
            struct cw_instrument other = cw_fit_instrument_at(request, form->at);
            slope_of(request, form->at, asked, slope);
            double sigma = deviation(form->covariance, form->count, slope, sure == SURE_BOLD);
            double off = figure_of(&other, asked) - at;
            sum += form->weight / weights * (sigma * sigma * fmax(fit->chi_square, 1.0) + off * off);
        }
    }
    slope_of(request, fit->form[fit->likeliest].at, asked, slope);
    return hypot(of_95 * sqrt(sum), floor_of(asked, slope));
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
    struct cw_fit_problem problem;
    const struct asked asked = {.id = id};
    double noise[CW_FIT_TAKES][CW_FIT_POINTS], slope[CW_FIT_FIRST_SETTING], width = INFINITY;
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
    if (!cw_fit_problem_open(&longer, noise, fit->likeliest_leaky, &problem)) {
        return width;
    }
    for (int i = after.count; i < problem.count; i++) {
        after.at[i] = problem.expected[i].middle;
    }
    const struct cw_squares squares = {cw_fit_residuals, &problem, problem.count, problem.rows, 0.0};
    if (cw_squares_covariance(&squares, after.at, after.covariance, NULL)) {
        slope_of(request, after.at, &asked, slope);
        width = hypot(1.96 * deviation(after.covariance, problem.count, slope, false), floor_of(&asked, slope));
    }
    cw_fit_problem_close(&problem);
    return id == CW_TOLD_LOSS ? width / fmax(figure_of(&fit->best, &asked), 1e-9) : width;
}
