/* SPDX-License-Identifier: ISC */
#include "fit_verdict.h"

#include <math.h>

#include "fit_request.h"
#include "instrument.h"
#include "setup.h"

/* Tolerances from its mark at which a part is not the one that is marked: six standard deviations. */
static const double OFF_MARK = 3.0;

/* Chi-squared over degrees of freedom from which a fit is loose. */
static const double LOOSE = 1.5;

/* Standard deviations of what is left in smooth terms from which it is no noise. */
static const double NO_NOISE = 3.0;

int cw_fit_strange(const struct cw_instrument_fit *fit, enum cw_told_id id)
{
    const struct {
        enum cw_param_id param;
        double value;
    } held[] = {[CW_TOLD_RESISTANCE] = {CW_P_RESISTANCE, 1e-3 * fit->best.resistance},
                [CW_TOLD_L_120] = {CW_P_INDUCTANCE, cw_instrument_inductance(&fit->best, 120.0).re},
                [CW_TOLD_CAPACITANCE] = {CW_P_CAPACITANCE, 1e12 * fit->best.capacitance}};
    if (id != CW_TOLD_RESISTANCE && id != CW_TOLD_L_120 && id != CW_TOLD_CAPACITANCE) {
        return 0;
    }
    const struct cw_param_info *info = &cw_param_info[held[id].param];
    return (held[id].value > info->maximum) - (held[id].value < info->minimum);
}

double cw_fit_off_mark(const struct cw_instrument_request *request, const struct cw_instrument_fit *fit,
                       enum cw_told_id id)
{
    bool volume = id == CW_TOLD_VOLUME_POT, pot = id == CW_TOLD_TONE_POT;
    const struct cw_marked *mark = volume ? &request->volume_pot : pot ? &request->tone_pot : &request->tone_cap;
    double value = volume ? fit->best.volume_pot : pot ? fit->best.tone_pot : fit->best.tone_cap;
    return mark->value > 0.0 && id >= CW_TOLD_VOLUME_POT ? log(value / mark->value) / mark->tolerance : 0.0;
}

static bool any_strange(const struct cw_instrument_request *request, const struct cw_instrument_fit *fit)
{
    bool strange = false;
    for (int id = 0; id < CW_TOLD_VOLUME_POT; id++) {
        strange |= cw_fit_strange(fit, (enum cw_told_id)id) != 0;
    }
    for (int id = CW_TOLD_VOLUME_POT; id < CW_TOLD; id++) {
        strange |= fabs(cw_fit_off_mark(request, fit, (enum cw_told_id)id)) > OFF_MARK;
    }
    return strange;
}

enum cw_fit_verdict cw_fit_verdict_of(const struct cw_instrument_request *request, const struct cw_instrument_fit *fit)
{
    double noise = 0.0;
    for (int t = 0; t < request->takes; t++) {
        noise = fmax(noise, fit->noise_take[t]);
    }
    if (!(noise < CW_FIT_NOISE_MOST)) {
        return CW_FIT_NOISY;
    }
    if (!(fit->chi_square <= CW_FIT_DOUBTED)) {
        return CW_FIT_WRONG;
    }
    if (any_strange(request, fit)) {
        return CW_FIT_STRANGE;
    }
    if (fit->one_side > NO_NOISE) {
        return CW_FIT_ONE_SIDE;
    }
    return fit->chi_square <= LOOSE ? CW_FIT_EXPLAINED : CW_FIT_LOOSE;
}
