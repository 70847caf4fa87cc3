/* SPDX-License-Identifier: ISC */
#include "wind_search.h"

#include <math.h>
#include <string.h>

#include "circuit.h"
#include "coil.h"
#include "core.h"
#include "measurement.h"
#include "resonance.h"
#include "transfer.h"

const double cw_wish_step[CW_WISHES] = {
    [CW_WISH_RESONANCE] = 0.05, [CW_WISH_PEAK] = CW_AUDIBLE_DB, [CW_WISH_LEVEL] = 1.0, [CW_WISH_RESISTANCE] = 0.05};

static const enum cw_param_id axis_param[CW_AXES] = {
    [CW_AXIS_COILS] = CW_P_COILS,       [CW_AXIS_SPLIT] = CW_P_SPLIT,
    [CW_AXIS_SPLIT_BY] = CW_P_SPLIT_BY, [CW_AXIS_FORMER] = CW_P_FORMER,
    [CW_AXIS_CORE] = CW_P_CORE,         [CW_AXIS_COVER] = CW_P_COVER,
    [CW_AXIS_GAUGE] = CW_P_GAUGE,       [CW_AXIS_INSULATION] = CW_P_INSULATION,
    [CW_AXIS_POTTING] = CW_P_POTTING,   [CW_AXIS_MAGNET] = CW_P_MAGNET,
};

enum cw_param_id cw_wind_axis_param(enum cw_wind_axis_id axis) { return axis_param[axis]; }

bool cw_wind_is_calibrated(const struct cw_setup *setup)
{
    static const enum cw_param_id factor[] = {CW_P_RESISTANCE_CAL, CW_P_INDUCTANCE_CAL, CW_P_CAPACITANCE_CAL,
                                              CW_P_LOSS_CAL};
    for (size_t i = 0; i < sizeof factor / sizeof factor[0]; i++) {
        if (setup->value[factor[i]] != 100.0) {
            return true;
        }
    }
    return false;
}

/* ---- what is sought, and where ------------------------------------------------------------------ */

static bool stays(enum cw_wind_axis_id axis, bool calibrated)
{
    switch (axis) {
    case CW_AXIS_COILS:
    case CW_AXIS_SPLIT:
    case CW_AXIS_SPLIT_BY: return true;
    case CW_AXIS_GAUGE:
    case CW_AXIS_INSULATION: return false;
    default: return calibrated;
    }
}

static void fill_axis(struct cw_wind_search *search, enum cw_wind_axis_id id, bool calibrated)
{
    const struct cw_param_info *info = &cw_param_info[axis_param[id]];
    struct cw_wind_axis *axis = &search->axis[id];
    double own = search->base.value[axis_param[id]];
    for (size_t i = 0; i < info->point_count && axis->count < CW_AXIS_MOST && !stays(id, calibrated); i++) {
        double value = info->points[i].value;
        if (id != CW_AXIS_COVER || value != CW_COVER_BY_VALUES || own == value) {
            axis->value[axis->count++] = value;
        }
    }
    if (axis->count == 0) {
        axis->value[axis->count++] = own;
    }
}

void cw_wind_search_init(struct cw_wind_search *search, const struct cw_setup *base)
{
    memset(search, 0, sizeof *search);
    search->base = *base;
    search->base.value[CW_P_COIL_FROM] = CW_FROM_WINDING;
    search->turns_low = cw_param_info[CW_P_TURNS].minimum;
    search->turns_high = cw_param_info[CW_P_TURNS].maximum;
    search->second_low = search->second_high = base->value[CW_P_SECOND_TURNS];
    for (int i = 0; i < CW_AXES; i++) {
        fill_axis(search, (enum cw_wind_axis_id)i, cw_wind_is_calibrated(base));
    }
    cw_band_grid_init(&search->grid);
}

static void transfer_of(const struct cw_setup *setup, struct cw_pickup *pickup, struct cw_transfer *h)
{
    cw_coil_solve(setup, pickup);
    cw_circuit_transfer(setup, pickup, CW_DRIVE_STRING, h);
}

void cw_wind_target_bands(struct cw_wind_target *target, const struct cw_setup *setup)
{
    struct cw_pickup pickup;
    struct cw_transfer h;
    transfer_of(setup, &pickup, &h);
    cw_audible_levels(&h, target->level);
    target->has_bands = true;
}

/* ---- the combinations ---------------------------------------------------------------------------- */

size_t cw_wind_kinds(const struct cw_wind_search *search)
{
    size_t kinds = 1;
    for (int i = 0; i < CW_AXES; i++) {
        kinds *= (size_t)search->axis[i].count;
    }
    return kinds;
}

void cw_wind_kind(const struct cw_wind_search *search, size_t kind, struct cw_setup *setup)
{
    *setup = search->base;
    for (int i = CW_AXES - 1; i >= 0; i--) {
        const struct cw_wind_axis *axis = &search->axis[i];
        setup->value[axis_param[i]] = axis->value[kind % (size_t)axis->count];
        kind /= (size_t)axis->count;
    }
}

double cw_wind_room(const struct cw_wind_search *search, const struct cw_setup *setup)
{
    struct cw_winding winding;
    cw_coil_winding(setup, 0, &winding);
    double most = fmin(search->turns_high, winding.fits);
    if (setup->value[CW_P_COILS] != CW_COILS_ONE) {
        most = fmin(most, floor(winding.fits / fmax(0.01 * setup->value[CW_P_SECOND_TURNS], 1.0)));
    }
    return most;
}

void cw_wind_setup(const struct cw_wind_search *search, const struct cw_wind_found *found, struct cw_setup *setup)
{
    cw_wind_kind(search, found->kind, setup);
    setup->value[CW_P_TURNS] = found->turns;
    setup->value[CW_P_SECOND_TURNS] = found->second;
}

/* ---- how near ------------------------------------------------------------------------------------ */

/* The largest miss to either side, times just noticeable; up is brighter. Misses that follow no turns count for both.
 */
struct miss {
    double up, down;
};

static void add_miss(struct miss *miss, double times)
{
    miss->up = fmax(miss->up, times);
    miss->down = fmax(miss->down, -times);
}

/* Bands by which the level is matched: below 630 Hz, as audible.h has it. */
static int matched_bands(void)
{
    int low = 0;
    while (cw_audible_hz(low) < 630.0) {
        low++;
    }
    return low;
}

static double mean_level(const double level[CW_AUDIBLE_BANDS], int low)
{
    double sum = 0.0;
    for (int i = 0; i < low; i++) {
        sum += level[i];
    }
    return sum / low;
}

static void miss_bands(const struct cw_wind_target *target, const double level[CW_AUDIBLE_BANDS], double off,
                       struct miss *miss)
{
    for (int i = 0; i < CW_AUDIBLE_BANDS; i++) {
        add_miss(miss, (level[i] - target->level[i] - off) / CW_AUDIBLE_DB);
    }
}

/* Figures of a response; more turns make the resonance fall, level and resistance rise. */
static double miss_wishes(const struct cw_wind_search *search, const struct cw_setup *setup,
                          const struct cw_pickup *pickup, const struct cw_transfer *h,
                          const double power[CW_BAND_GRID_POINTS], double off, struct miss *miss)
{
    const struct cw_wind_target *target = &search->target;
    double aside = 0.0;
    if (target->wished[CW_WISH_RESONANCE]) {
        double hz = cw_resonance_of(setup, h).hz;
        add_miss(miss, log(fmax(hz, 1.0) / target->wish[CW_WISH_RESONANCE]) / cw_wish_step[CW_WISH_RESONANCE]);
    }
    if (target->wished[CW_WISH_RESISTANCE]) {
        double ohm = cw_circuit_dc_resistance(setup, pickup);
        add_miss(miss, -log(ohm / target->wish[CW_WISH_RESISTANCE]) / cw_wish_step[CW_WISH_RESISTANCE]);
    }
    if (target->wished[CW_WISH_LEVEL]) {
        add_miss(miss, -(off - target->wish[CW_WISH_LEVEL]) / cw_wish_step[CW_WISH_LEVEL]);
    }
    if (target->wished[CW_WISH_PEAK]) {
        aside = fabs(cw_band_grid_peak(power, cw_transfer_power(h, 0.0)) - target->wish[CW_WISH_PEAK]) /
                cw_wish_step[CW_WISH_PEAK];
    }
    return aside;
}

double cw_wind_miss(const struct cw_wind_search *search, const struct cw_setup *setup, double *off_level, double *tilt)
{
    const struct cw_wind_target *target = &search->target;
    struct cw_pickup pickup;
    struct cw_transfer h;
    double power[CW_BAND_GRID_POINTS], level[CW_AUDIBLE_BANDS];
    struct miss miss = {0.0, 0.0};
    int low = matched_bands();
    transfer_of(setup, &pickup, &h);
    cw_band_grid_power(&search->grid, &h, power);
    cw_band_grid_levels(&search->grid, power, level);
    double off = mean_level(level, low) - (target->has_bands ? mean_level(target->level, low) : 0.0);
    if (target->has_bands) {
        miss_bands(target, level, off, &miss);
    }
    double aside = miss_wishes(search, setup, &pickup, &h, power, off, &miss);
    if (off_level) {
        *off_level = off - (target->wished[CW_WISH_LEVEL] ? target->wish[CW_WISH_LEVEL] : 0.0);
    }
    if (tilt) {
        *tilt = miss.up - miss.down;
    }
    return fmax(aside, fmax(miss.up, miss.down));
}

/* ---- the turns ----------------------------------------------------------------------------------- */

/* One combination under way: the best so far. */
struct trial {
    const struct cw_wind_search *search;
    struct cw_setup setup;
    double most;
    struct cw_wind_found best;
};

static double try_turns(struct trial *trial, double turns, double second)
{
    double tilt, off;
    trial->setup.value[CW_P_TURNS] = fmin(fmax(round(turns), trial->search->turns_low), trial->most);
    trial->setup.value[CW_P_SECOND_TURNS] = second;
    double times = cw_wind_miss(trial->search, &trial->setup, &off, &tilt);
    if (times < trial->best.times) {
        trial->best.times = times;
        trial->best.off_level = off;
        trial->best.turns = trial->setup.value[CW_P_TURNS];
        trial->best.second = second;
    }
    return tilt;
}

/* Bisect for the turns at which the tilt turns round, in so few steps that try_around() finds the rest. */
static void bisect(struct trial *trial, double low, double high, double second)
{
    for (int i = 0; i < 6; i++) {
        double middle = sqrt(low * high);
        if (try_turns(trial, middle, second) > 0.0) {
            low = middle;
        } else {
            high = middle;
        }
    }
}

/* A few turns over the whole range first: where more than one stretch turns round, each is bisected. */
static void scan(struct trial *trial, double second)
{
    enum { SCANNED = 6 };
    double low = trial->search->turns_low, ratio = pow(trial->most / low, 1.0 / (SCANNED - 1)), before = 0.0;
    for (int i = 0; i < SCANNED; i++) {
        double turns = low * pow(ratio, i), tilt = try_turns(trial, turns, second);
        if (i > 0 && before > 0.0 && tilt <= 0.0) {
            bisect(trial, turns / ratio, turns, second);
        }
        before = tilt;
        if (ratio <= 1.0) {
            return;
        }
    }
}

static bool better(struct trial *trial, double turns)
{
    double before = trial->best.times;
    try_turns(trial, turns, trial->best.second);
    return trial->best.times < before;
}

/* From the best on, in steps of turns that are halved down to the last one; on as long as one side is better. */
static void descend(struct trial *trial, double step, double last)
{
    double at = trial->best.turns;
    for (bool ended = false; !ended; at = trial->best.turns) {
        if (better(trial, at + step) || better(trial, at - step)) {
            double onward = trial->best.turns > at ? step : -step;
            while (better(trial, trial->best.turns + onward)) {
            }
        } else {
            ended = step <= last;
            step = fmax(last, floor(0.5 * step));
        }
    }
}

static bool start(const struct cw_wind_search *search, size_t kind, struct trial *trial)
{
    trial->search = search;
    cw_wind_kind(search, kind, &trial->setup);
    trial->setup.value[CW_P_SECOND_TURNS] = search->second_high;
    trial->most = cw_wind_room(search, &trial->setup);
    trial->best = (struct cw_wind_found){.kind = kind, .times = HUGE_VAL};
    return trial->most >= search->turns_low;
}

/* Whether a magnet changes no more than the level, and so what is heard of it once levels are matched. */
static bool level_alone(const struct cw_wind_search *search, const struct cw_setup *setup)
{
    return setup->value[CW_P_CORE] != CW_CORE_MAGNET_RODS && !search->target.wished[CW_WISH_LEVEL];
}

/* Of the magnets that are tried, that whose level is nearest. */
static void choose_magnet(const struct cw_wind_search *search, struct cw_wind_found *found)
{
    size_t first = found->kind;
    for (int i = 1; i < search->axis[CW_AXIS_MAGNET].count; i++) {
        struct cw_wind_found other = *found;
        struct cw_setup setup;
        other.kind = first + (size_t)i;
        cw_wind_setup(search, &other, &setup);
        other.times = cw_wind_miss(search, &setup, &other.off_level, NULL);
        if (fabs(other.off_level) < fabs(found->off_level)) {
            *found = other;
        }
    }
}

bool cw_wind_solve(const struct cw_wind_search *search, size_t kind, struct cw_wind_found *found)
{
    struct trial trial;
    bool fits = start(search, kind, &trial), alone = level_alone(search, &trial.setup);
    *found = trial.best;
    if (!fits || (alone && kind % (size_t)search->axis[CW_AXIS_MAGNET].count > 0)) {
        return false;
    }
    scan(&trial, fmin(fmax(100.0, search->second_low), search->second_high));
    /* where the tilt turns round bands at both ends may be missed: the least miss is then elsewhere */
    descend(&trial, round(0.08 * trial.best.turns), round(0.01 * trial.best.turns));
    *found = trial.best;
    if (alone) {
        choose_magnet(search, found);
    }
    return found->times < HUGE_VAL;
}

/* Turns about those at hand, for other turns of coil two. */
static void try_second(struct trial *trial, double second)
{
    const struct cw_wind_search *search = trial->search;
    double turns = trial->best.turns;
    bisect(trial, fmax(0.8 * turns, search->turns_low), fmin(1.25 * turns, trial->most),
           fmin(fmax(second, search->second_low), search->second_high));
}

/* Coil two: over its limits first, then about the best. */
static void solve_second(struct trial *trial)
{
    enum { GRID = 7, HALVINGS = 5 };
    double low = trial->search->second_low, step = (trial->search->second_high - low) / (GRID - 1);
    for (int i = 0; i < GRID; i++) {
        try_second(trial, low + i * step);
    }
    for (int i = 0; i < HALVINGS; i++) {
        double middle = trial->best.second;
        step *= 0.5;
        try_second(trial, middle - step);
        try_second(trial, middle + step);
    }
}

void cw_wind_polish(const struct cw_wind_search *search, struct cw_wind_found *found)
{
    struct trial trial;
    if (!start(search, found->kind, &trial)) {
        return;
    }
    trial.best = *found;
    if (search->second_high > search->second_low && trial.setup.value[CW_P_COILS] != CW_COILS_ONE) {
        solve_second(&trial);
    }
    descend(&trial, fmax(1.0, round(0.02 * trial.best.turns)), 1.0);
    *found = trial.best;
}

/* ---- what it is worth ----------------------------------------------------------------------------- */

static void bands_of(const struct cw_setup *setup, const struct cw_pickup *pickup, double level[CW_AUDIBLE_BANDS])
{
    struct cw_transfer h;
    cw_circuit_transfer(setup, pickup, CW_DRIVE_STRING, &h);
    cw_audible_levels(&h, level);
}

/* A coil with its resistance, inductance, capacitance or loss that many times as great. */
static void scale_coil(struct cw_coil *coil, int what, double by)
{
    double inductor = what == 1 ? by : 1.0, loss = what == 3 ? by : 1.0;
    coil->resistance *= what == 0 ? by : 1.0;
    coil->inductance *= inductor;
    coil->capacitance *= what == 2 ? by : 1.0;
    coil->loss *= inductor * loss;
    coil->tail *= inductor / loss;
    for (int i = 0; i < CW_BRANCHES; i++) {
        coil->branch[i].inductance *= inductor;
        coil->branch[i].resistance *= inductor * loss;
    }
}

/* The same by the readings behind the calibration, as a square. */
static double known_squares(const struct cw_setup *setup, const struct cw_known *known,
                            const double level[CW_AUDIBLE_BANDS])
{
    double squares = 0.0;
    for (int reading = 0; known->given && reading < CW_READINGS; reading++) {
        double worst = 0.0;
        for (int sign = -1; sign <= 1; sign += 2) {
            struct cw_setup moved = cw_known_moved(known, setup, (enum cw_reading_id)reading, sign);
            struct cw_pickup pickup;
            double other[CW_AUDIBLE_BANDS];
            cw_coil_solve(&moved, &pickup);
            bands_of(&moved, &pickup, other);
            worst = fmax(worst, fabs(cw_audible_of(other, level).worst));
        }
        squares += worst * worst;
    }
    return squares;
}

double cw_wind_uncertainty(const struct cw_setup *setup, const struct cw_known *known)
{
    struct cw_uncertainty u;
    struct cw_pickup pickup;
    double level[CW_AUDIBLE_BANDS], squares = 0.0;
    cw_coil_uncertainty(setup, &u);
    cw_coil_solve(setup, &pickup);
    bands_of(setup, &pickup, level);
    const double off[] = {u.resistance, u.inductance, u.capacitance, u.loss};
    for (int what = 0; what < (int)(sizeof off / sizeof off[0]); what++) {
        struct cw_pickup moved = pickup;
        double other[CW_AUDIBLE_BANDS];
        scale_coil(&moved.coil[0], what, 1.0 + off[what]);
        scale_coil(&moved.coil[1], what, 1.0 + off[what]);
        moved.mutual *= what == 1 ? 1.0 + off[what] : 1.0;
        bands_of(setup, &moved, other);
        double worst = cw_audible_of(other, level).worst;
        squares += worst * worst;
    }
    return sqrt(squares + known_squares(setup, known, level));
}

void cw_wind_figures(const struct cw_setup *setup, double figure[CW_WISHES])
{
    struct cw_pickup pickup;
    struct cw_transfer h;
    double level[CW_AUDIBLE_BANDS];
    transfer_of(setup, &pickup, &h);
    struct cw_resonance resonance = cw_resonance_of(setup, &h);
    cw_audible_levels(&h, level);
    figure[CW_WISH_RESONANCE] = resonance.hz;
    figure[CW_WISH_PEAK] = cw_peak_of(&h, &resonance).db;
    figure[CW_WISH_LEVEL] = mean_level(level, matched_bands());
    figure[CW_WISH_RESISTANCE] = cw_circuit_dc_resistance(setup, &pickup);
}
