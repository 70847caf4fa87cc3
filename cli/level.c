/* SPDX-License-Identifier: ISC */
#include "level.h"

#include <ebur128.h>
#include <math.h>
#include <pthread.h>
#include <string.h>

#include "message.h"

/* libebur128 keeps constants in variables that every start sets anew. */
static pthread_mutex_t library = PTHREAD_MUTEX_INITIALIZER;

double cw_from_db(double db) { return pow(10.0, db / 20.0); }

static double to_db(double amplitude) { return amplitude > 0.0 ? 20.0 * log10(amplitude) : -HUGE_VAL; }

bool cw_meter_start(struct cw_meter *meter, int rate)
{
    memset(meter, 0, sizeof *meter);
    pthread_mutex_lock(&library);
    ebur128_state *state = ebur128_init(1, (unsigned long)rate, EBUR128_MODE_I);
    pthread_mutex_unlock(&library);
    if (!state) {
        cw_error_memory();
        return false;
    }
    meter->state = state;
    cw_true_peak_start(&meter->true_peak, rate);
    return true;
}

bool cw_meter_add(struct cw_meter *meter, const float *samples, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        double x = (double)samples[i];
        meter->power += x * x;
        meter->peak = fabs(x) > meter->peak ? fabs(x) : meter->peak;
    }
    meter->count += n;
    cw_true_peak_add(&meter->true_peak, samples, n);
    if (ebur128_add_frames_float(meter->state, samples, n) != EBUR128_SUCCESS) {
        cw_error_memory();
        return false;
    }
    return true;
}

bool cw_meter_finish(struct cw_meter *meter, struct cw_levels *levels)
{
    pthread_mutex_lock(&library);
    bool good = ebur128_loudness_global(meter->state, &levels->loudness) == EBUR128_SUCCESS;
    pthread_mutex_unlock(&library);
    if (!good) {
        cw_error_memory();
    }
    levels->true_peak = to_db(cw_true_peak_finish(&meter->true_peak));
    levels->sample_peak = to_db(meter->peak);
    levels->rms = meter->count ? to_db(sqrt(meter->power / (double)meter->count)) : -HUGE_VAL;
    cw_meter_drop(meter);
    return good;
}

void cw_meter_drop(struct cw_meter *meter)
{
    if (meter->state) {
        ebur128_state *state = meter->state;
        ebur128_destroy(&state);
    }
    memset(meter, 0, sizeof *meter);
}

static double measure_of(const struct cw_levels *levels, bool by_loudness)
{
    return by_loudness ? levels->loudness : levels->rms;
}

bool cw_level_match(const struct cw_levels *const *levels, size_t count, double *gain)
{
    bool by_loudness = true;
    for (size_t i = 0; i < count; i++) {
        if (isfinite(levels[i]->rms) && !isfinite(levels[i]->loudness)) {
            by_loudness = false;
        }
    }
    double quietest = HUGE_VAL;
    for (size_t i = 0; i < count; i++) {
        double measure = measure_of(levels[i], by_loudness);
        if (isfinite(measure)) {
            quietest = fmin(quietest, measure);
        }
    }
    for (size_t i = 0; i < count; i++) {
        double measure = measure_of(levels[i], by_loudness);
        gain[i] = isfinite(measure) ? quietest - measure : 0.0;
    }
    return by_loudness;
}
