/* SPDX-License-Identifier: ISC */
#include "audible.h"

#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>

#include "numbers.h"

static const double FIRST_CAM = 3.0, CAM_STEP = 0.5, MATCHED_BELOW = 630.0, SILENT_DB = -200.0;

enum { STEPS = CW_AUDIBLE_STEPS };
static const double LOWEST = 20.0, OCTAVES = 9.965784284662087;

double cw_audible_cam(int band) { return FIRST_CAM + CAM_STEP * band; }

double cw_audible_hz(int band) { return (pow(10.0, cw_audible_cam(band) / 21.4) - 1.0) / 0.00437; }

static double step_hz(int step) { return LOWEST * exp2(OCTAVES * step / (STEPS - 1)); }

/* One band's filter over the frequencies. \return the sum of its weights */
static double filter_of(const double *hz, double centre, double *weight)
{
    double p = 4.0 * centre / (24.7 * (0.00437 * centre + 1.0)), all = 0.0;
    for (int i = 0; i < STEPS; i++) {
        double pg = p * fabs(hz[i] / centre - 1.0);
        weight[i] = pg < 40.0 ? (1.0 + pg) * exp(-pg) : 0.0;
        all += weight[i];
    }
    return all;
}

static double band_level(const double *power, const double *weight, double all)
{
    double sum = 0.0;
    for (int i = 0; i < STEPS; i++) {
        sum += weight[i] * power[i];
    }
    return sum > 1e-20 * all ? 10.0 * log10(sum / all) : SILENT_DB;
}

void cw_audible_see(double (*power)(const void *of, double hz), const void *of, struct cw_audible_seen *seen)
{
    for (int i = 0; i < STEPS; i++) {
        seen->power[i] = power(of, step_hz(i));
    }
}

void cw_audible_levels_seen(const struct cw_audible_seen *seen, int count, double (*level)[CW_AUDIBLE_BANDS])
{
    double hz[STEPS], weight[STEPS];
    for (int i = 0; i < STEPS; i++) {
        hz[i] = step_hz(i);
    }
    for (int band = 0; band < CW_AUDIBLE_BANDS; band++) {
        double all = filter_of(hz, cw_audible_hz(band), weight);
        for (int i = 0; i < count; i++) {
            level[i][band] = band_level(seen[i].power, weight, all);
        }
    }
}

void cw_audible_levels_of(double (*power)(const void *of, double hz), const void *of, double level[CW_AUDIBLE_BANDS])
{
    struct cw_audible_seen seen;
    double levels[1][CW_AUDIBLE_BANDS];
    cw_audible_see(power, of, &seen);
    cw_audible_levels_seen(&seen, 1, levels);
    memcpy(level, levels[0], sizeof levels[0]);
}

static double power_of(const void *transfer, double hz) { return cw_transfer_power(transfer, hz); }

void cw_audible_levels(const struct cw_transfer *h, double level[CW_AUDIBLE_BANDS])
{
    cw_audible_levels_of(power_of, h, level);
}

static bool silent(const double level[CW_AUDIBLE_BANDS])
{
    for (int i = 0; i < CW_AUDIBLE_BANDS; i++) {
        if (level[i] > SILENT_DB) {
            return false;
        }
    }
    return true;
}

struct cw_audible cw_audible_of(const double level[CW_AUDIBLE_BANDS], const double against[CW_AUDIBLE_BANDS])
{
    struct cw_audible audible = {0.0, 0.0, 0.0, 0.0};
    bool one = silent(level), other = silent(against);
    if (one || other) {
        audible.times = one == other ? 0.0 : HUGE_VAL;
        return audible;
    }
    int low = 0;
    for (; low < CW_AUDIBLE_BANDS && cw_audible_hz(low) < MATCHED_BELOW; low++) {
        audible.level += level[low] - against[low];
    }
    audible.level /= low;
    for (int i = 0; i < CW_AUDIBLE_BANDS; i++) {
        double d = level[i] - against[i] - audible.level;
        if (fabs(d) > fabs(audible.worst)) {
            audible.worst = d;
            audible.hz = cw_audible_hz(i);
        }
    }
    audible.times = fabs(audible.worst) / CW_AUDIBLE_DB;
    return audible;
}

struct cw_audible cw_audible_between(const struct cw_transfer *h, const struct cw_transfer *against)
{
    double level[CW_AUDIBLE_BANDS], other[CW_AUDIBLE_BANDS];
    cw_audible_levels(h, level);
    cw_audible_levels(against, other);
    return cw_audible_of(level, other);
}

const char *cw_audible_words(const struct cw_audible *audible, char *text, size_t size)
{
    /* A step of level alone is told from about 1 dB on (from memory). */
    const double least_level = 1.0;
    char hz[32], db[32];
    if (isinf(audible->times)) {
        snprintf(text, size, "yes: one of them is silent");
    } else if (audible->times >= 1.0) {
        snprintf(text, size, "%s: %s at %s", audible->times >= 2.0 ? "yes" : "perhaps",
                 cw_print_db(audible->worst, 1, db, sizeof db), cw_print_hz(audible->hz, hz, sizeof hz));
    } else if (fabs(audible->level) >= least_level) {
        snprintf(text, size, "level only: %s", cw_print_db(audible->level, 1, db, sizeof db));
    } else {
        snprintf(text, size, "no");
    }
    return text;
}
