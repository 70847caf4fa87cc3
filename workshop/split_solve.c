/* SPDX-License-Identifier: ISC */
#include "split_solve.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>

#include "brightness.h"
#include "circuit.h"
#include "coil.h"
#include "constants.h"
#include "figures.h"
#include "places.h"
#include "resonance.h"
#include "split_ear.h"
#include "split_kind.h"
#include "transfer.h"

enum {
    SCAN = 28,   /* places looked at along the one part, or along the resistor of two */
    FAMILY = 49, /* values of one part looked at where there are two */
    PARTS_MOST = 2
};

static const double LEVEL_TOLERANCE = 1e-6; /* dB */

/* What stays the same while parts are tried. */
struct problem {
    const struct cw_split_wish *wish;
    struct cw_setup setup; /* with the kind and the coil that are tried */
    struct cw_pickup pickup;
    const struct cw_partials *partials; /* of the strings over the coils */
    double full_level, full_balance;
    enum cw_param_id part[PARTS_MOST]; /* what the kind leaves to be chosen */
    int parts;
};

static struct cw_transfer response_of(const struct cw_setup *setup, const struct cw_pickup *pickup, enum cw_drive drive)
{
    struct cw_transfer h;
    cw_circuit_transfer(setup, pickup, drive, &h);
    return h;
}

/* ---- figures ------------------------------------------------------------------------------- */

/* The response against unsplit, from 80 Hz to 8 kHz. */
enum { AGAINST_STEPS = 120 };

static double against_hz(int step) { return 80.0 * pow(100.0, step / (double)AGAINST_STEPS); }

static void find_lift(const double *db, struct cw_split_figures *figures)
{
    figures->lift_db = -HUGE_VAL;
    for (int i = 0; i <= AGAINST_STEPS; i++) {
        if (db[i] > figures->lift_db) {
            figures->lift_db = db[i];
            figures->lift_hz = against_hz(i);
        }
    }
}

/* The deepest place that has higher ground on both sides. */
static void find_hole(const double *db, struct cw_split_figures *figures)
{
    const double least = 3.0;
    double after[AGAINST_STEPS + 1], before = -HUGE_VAL;
    after[AGAINST_STEPS] = db[AGAINST_STEPS];
    for (int i = AGAINST_STEPS - 1; i >= 0; i--) {
        after[i] = fmax(after[i + 1], db[i]);
    }
    figures->hole_db = figures->hole_hz = 0.0;
    for (int i = 0; i <= AGAINST_STEPS; i++) {
        before = fmax(before, db[i]);
        if (fmin(before, after[i]) - db[i] >= least && db[i] < figures->hole_db) {
            figures->hole_db = db[i];
            figures->hole_hz = against_hz(i);
        }
    }
}

static void compare_with_full(const struct cw_transfer *h, const struct cw_transfer *full,
                              struct cw_split_figures *figures)
{
    double db[AGAINST_STEPS + 1];
    for (int i = 0; i <= AGAINST_STEPS; i++) {
        db[i] = cw_transfer_db(h, against_hz(i)) - cw_transfer_db(full, against_hz(i));
    }
    find_lift(db, figures);
    find_hole(db, figures);
}

/* A split does not move the coils. */
static void partials_of(const struct cw_setup *setup, struct cw_partials *partials)
{
    struct cw_places places;
    cw_places_of(setup, &places);
    cw_partials_of(&places, partials);
}

/* Brightness under the strings, and what the other choice of coil would give. */
static void find_balance(const struct cw_setup *setup, const struct cw_partials *partials,
                         struct cw_split_figures *figures)
{
    struct cw_setup full = *setup;
    struct cw_brightness_change change;
    full.value[CW_P_SPLIT] = 0.0;
    cw_brightness_change_of(setup, &full, partials, &change);
    figures->balance = change.db;
    figures->balance_low = change.low;
    figures->balance_high = change.high;
    figures->balance_other = change.other;
}

static void figures_of(const struct cw_setup *setup, const struct cw_split_wish *wish,
                       const struct cw_partials *partials, struct cw_split_figures *figures)
{
    struct cw_pickup pickup;
    struct cw_figures meters;
    cw_coil_solve(setup, &pickup);
    cw_figures_of(setup, wish->mains, &meters);
    struct cw_transfer h = response_of(setup, &pickup, CW_DRIVE_STRING);
    struct cw_transfer full = response_of(setup, &pickup, CW_DRIVE_UNSPLIT);
    figures->level = cw_measure_db(&wish->measure, &h) - cw_measure_db(&wish->measure, &full);
    find_balance(setup, partials, figures);
    figures->resonance = meters.value[CW_M_RESONANCE];
    figures->split_resonance = meters.value[CW_M_SPLIT_RESONANCE];
    figures->peak_hz = meters.value[CW_M_PEAK_FREQUENCY];
    figures->peak_db = meters.value[CW_M_PEAK_HEIGHT];
    figures->hum = meters.value[CW_M_HUM];
    figures->buzz = meters.value[CW_M_BUZZ];
    compare_with_full(&h, &full, figures);
}

void cw_split_figures_of(const struct cw_setup *setup, const struct cw_split_wish *wish,
                         struct cw_split_figures *figures)
{
    struct cw_partials partials;
    partials_of(setup, &partials);
    figures_of(setup, wish, &partials, figures);
}

double cw_split_level_error(const struct cw_split_wish *wish, const struct cw_split_figures *figures)
{
    return figures->level - wish->level;
}

/* How far a balance or a resonance is from what is wanted. */
static double tone_error(const struct cw_split_wish *wish, double balance, double resonance)
{
    double error = 0.0;
    if (wish->tone == CW_TONE_BALANCE) {
        error = balance - wish->tone_value;
    } else if (wish->tone == CW_TONE_RESONANCE) {
        error = resonance > 0.0 ? 12.0 * log2(resonance / wish->tone_value) : -120.0;
    }
    return wish->tone_at_most && error < 0.0 ? 0.0 : error;
}

double cw_split_tone_error(const struct cw_split_wish *wish, const struct cw_split_figures *figures)
{
    return tone_error(wish, figures->balance, figures->resonance);
}

/* ---- trials -------------------------------------------------------------------------------- */

/* The parameters of a kind's parts; the last is the outer one of a search among pairs. */
static int parts_of(enum cw_split_by by, enum cw_param_id part[PARTS_MOST])
{
    static const struct {
        unsigned part;
        enum cw_param_id id;
    } row[] = {{CW_PART_RESISTOR, CW_P_SPLIT_RESISTOR},
               {CW_PART_CAPACITOR, CW_P_SPLIT_CAPACITOR},
               {CW_PART_KEEP, CW_P_SPLIT_KEEP}};
    int count = 0;
    for (size_t i = 0; i < sizeof row / sizeof row[0] && count < PARTS_MOST; i++) {
        if (cw_split_parts_of(by) & row[i].part) {
            part[count++] = row[i].id;
        }
    }
    return count;
}

bool cw_split_has_two_parts(enum cw_split_by by)
{
    enum cw_param_id part[PARTS_MOST];
    return parts_of(by, part) == 2;
}

/* A part's value at a share u of its range, on the scale that a knob has. */
static double value_at(enum cw_param_id id, double u)
{
    const struct cw_param_info *info = &cw_param_info[id];
    double value = info->flags & CW_LOG ? info->minimum * pow(info->maximum / info->minimum, u)
                                        : info->minimum + (info->maximum - info->minimum) * u;
    return fmin(fmax(value, info->minimum), info->maximum);
}

static double share_at(enum cw_param_id id, double value)
{
    const struct cw_param_info *info = &cw_param_info[id];
    return info->flags & CW_LOG ? log(value / info->minimum) / log(info->maximum / info->minimum)
                                : (value - info->minimum) / (info->maximum - info->minimum);
}

static double level_error(struct problem *problem, enum cw_param_id id, double u)
{
    problem->setup.value[id] = value_at(id, u);
    struct cw_transfer h = response_of(&problem->setup, &problem->pickup, CW_DRIVE_STRING);
    double db = cw_measure_db(&problem->wish->measure, &h) - problem->full_level - problem->wish->level;
    return db > -300.0 ? db : -300.0; /* a recording can fall below its gate */
}

/* The tone of the setup as it stands. */
static double tone_now(const struct problem *problem)
{
    if (problem->wish->tone == CW_TONE_ANY) {
        return 0.0;
    }
    struct cw_transfer h = response_of(&problem->setup, &problem->pickup, CW_DRIVE_STRING);
    bool balance = problem->wish->tone == CW_TONE_BALANCE;
    return tone_error(problem->wish,
                      balance ? cw_brightness(&problem->setup, problem->partials) - problem->full_balance : 0.0,
                      balance ? 0.0 : cw_resonance_of(&problem->setup, &h).hz);
}

/* The same for coils that are known. */
static double corner_hz(const struct cw_setup *setup, const struct cw_pickup *pickup)
{
    unsigned parts = cw_split_parts_of((enum cw_split_by)(int)setup->value[CW_P_SPLIT_BY]);
    double ohm = setup->value[CW_P_SPLIT_RESISTOR] * 1e3, farad = setup->value[CW_P_SPLIT_CAPACITOR] * 1e-9;
    if (!(parts & CW_PART_KEEP)) {
        return 1.0 / (CW_TAU * ohm * farad);
    }
    double share = setup->value[CW_P_SPLIT_KEEP] * 0.01;
    double henry = pickup->coil[setup->value[CW_P_SPLIT_COIL] > 0.0 ? 0 : 1].inductance * share * share;
    return parts & CW_PART_RESISTOR ? ohm / (CW_TAU * henry) : 1.0 / (CW_TAU * sqrt(henry * farad));
}

double cw_split_corner_hz(const struct cw_setup *setup)
{
    struct cw_pickup pickup;
    cw_coil_solve(setup, &pickup);
    return corner_hz(setup, &pickup);
}

/* How far a pair's corner is from where both parts do some of the work, octaves. */
static double corner_miss(const struct problem *problem)
{
    bool tapped = cw_split_kind[(int)problem->setup.value[CW_P_SPLIT_BY]].tapped;
    double wanted = tapped ? CW_SPLIT_TAP_CORNER_HZ : CW_SPLIT_CORNER_HZ;
    return fabs(log2(corner_hz(&problem->setup, &problem->pickup) / wanted));
}

/* ---- one part ------------------------------------------------------------------------------ */

/* Where a level is met along one part, and where it is missed least. */
struct roots {
    int count;
    double u[CW_SPLIT_ROOTS];
    double nearest, nearest_error;
};

/* False position with the Illinois change between two places where the error has different signs. */
static double refine(struct problem *problem, enum cw_param_id id, double a, double fa, double b, double fb)
{
    double u = 0.5 * (a + b);
    int side = 0;
    for (int i = 0; i < 80 && fabs(b - a) > 1e-12; i++) {
        u = i % 4 == 3 ? 0.5 * (a + b) : (fa * b - fb * a) / (fa - fb); /* halving bounds the steps */
        double f = level_error(problem, id, u);
        if (fabs(f) < LEVEL_TOLERANCE) {
            break;
        }
        if (f * fb > 0.0) {
            b = u;
            fb = f;
            fa *= side == -1 ? 0.5 : 1.0;
            side = -1;
        } else {
            a = u;
            fa = f;
            fb *= side == 1 ? 0.5 : 1.0;
            side = 1;
        }
    }
    return u;
}

/* Golden section for the least miss between two places. */
static void refine_nearest(struct problem *problem, enum cw_param_id id, double lo, double hi, struct roots *roots)
{
    const double golden = 0.6180339887498949;
    for (int i = 0; i < 30; i++) {
        double a = hi - golden * (hi - lo), b = lo + golden * (hi - lo);
        if (fabs(level_error(problem, id, a)) < fabs(level_error(problem, id, b))) {
            hi = b;
        } else {
            lo = a;
        }
    }
    double u = 0.5 * (lo + hi), error = fabs(level_error(problem, id, u));
    if (error < roots->nearest_error - 1e-3) { /* an end of the range is not left for nothing */
        roots->nearest = u;
        roots->nearest_error = error;
    }
}

static void scan(struct problem *problem, enum cw_param_id id, double lo, double hi, int steps, struct roots *roots)
{
    double before = 0.0, width = (hi - lo) / (steps - 1);
    *roots = (struct roots){.nearest_error = HUGE_VAL};
    for (int i = 0; i < steps; i++) {
        double u = lo + width * i, f = level_error(problem, id, u);
        if (fabs(f) < roots->nearest_error) {
            roots->nearest = u;
            roots->nearest_error = fabs(f);
        }
        bool met = f == 0.0 || (i > 0 && f * before < 0.0);
        if (met && roots->count < CW_SPLIT_ROOTS) {
            roots->u[roots->count++] = f == 0.0 ? u : refine(problem, id, u - width, before, u, f);
        }
        before = f;
    }
}

/* ---- two parts ----------------------------------------------------------------------------- */

/* A pair of parts, as shares of their ranges. */
struct pair {
    bool found;
    double share[PARTS_MOST];
    double tone, corner;
};

static void set_pair(struct problem *problem, const struct pair *pair)
{
    for (int i = 0; i < PARTS_MOST; i++) {
        problem->setup.value[problem->part[i]] = value_at(problem->part[i], pair->share[i]);
    }
}

/* The pair that has these shares of the outer part and the other. */
static struct pair judge(struct problem *problem, int outer, double share, double other)
{
    struct pair pair = {.found = true};
    pair.share[outer] = share;
    pair.share[1 - outer] = other;
    set_pair(problem, &pair);
    pair.tone = tone_now(problem);
    pair.corner = corner_miss(problem);
    return pair;
}

/* The tone comes first; among those that meet it, the corner. */
static bool is_better(const struct pair *a, const struct pair *b)
{
    if (!b->found) {
        return true;
    }
    bool a_met = fabs(a->tone) <= CW_SPLIT_TONE_MET / 2, b_met = fabs(b->tone) <= CW_SPLIT_TONE_MET / 2;
    if (a_met && b_met) {
        return a->corner < b->corner;
    }
    return a_met || b_met ? a_met : fabs(a->tone) < fabs(b->tone);
}

static void keep_better(struct pair *best, struct pair found)
{
    if (is_better(&found, best)) {
        *best = found;
    }
}

/* The share of the other part that meets the level with a share of the outer one, looked for around
 * two shares that do so nearby. */
static bool follow(struct problem *problem, int outer, double share, double near_a, double near_b, double *other)
{
    enum cw_param_id id = problem->part[1 - outer];
    double margin = fabs(near_a - near_b) + 0.02;
    double lo = fmax(0.0, fmin(near_a, near_b) - margin), hi = fmin(1.0, fmax(near_a, near_b) + margin);
    struct roots roots;
    problem->setup.value[problem->part[outer]] = value_at(problem->part[outer], share);
    scan(problem, id, lo, hi, 9, &roots);
    double expected = 0.5 * (near_a + near_b), best = HUGE_VAL;
    *other = expected;
    for (int i = 0; i < roots.count; i++) {
        if (fabs(roots.u[i] - expected) < best) {
            best = fabs(roots.u[i] - expected);
            *other = roots.u[i];
        }
    }
    return roots.count > 0;
}

/* Between two pairs that lie on either side of the wanted tone: halving along the outer part. */
static void meet_tone(struct problem *problem, int outer, struct pair a, struct pair b, struct pair *best)
{
    for (int i = 0; i < 24; i++) {
        double share = 0.5 * (a.share[outer] + b.share[outer]), other;
        if (!follow(problem, outer, share, a.share[1 - outer], b.share[1 - outer], &other)) {
            break;
        }
        struct pair middle = judge(problem, outer, share, other);
        keep_better(best, middle);
        if (fabs(middle.tone) < 1e-4) {
            break;
        }
        if ((middle.tone > 0.0) == (a.tone > 0.0)) {
            a = middle;
        } else {
            b = middle;
        }
    }
}

/* Every share of the outer part, with those of the other that meet the level. */
static void search_family(struct problem *problem, int outer, struct pair *best, struct pair *nearest)
{
    struct pair before[CW_SPLIT_ROOTS];
    int count_before = 0;
    double least = HUGE_VAL;
    for (int i = 0; i < FAMILY; i++) {
        double share = i / (FAMILY - 1.0);
        struct roots roots;
        problem->setup.value[problem->part[outer]] = value_at(problem->part[outer], share);
        scan(problem, problem->part[1 - outer], 0.0, 1.0, SCAN, &roots);
        if (roots.nearest_error < least) {
            least = roots.nearest_error;
            *nearest = judge(problem, outer, share, roots.nearest);
        }
        for (int r = 0; r < roots.count; r++) {
            struct pair here = judge(problem, outer, share, roots.u[r]);
            keep_better(best, here);
            if (count_before == roots.count && here.tone * before[r].tone < 0.0) {
                meet_tone(problem, outer, before[r], here, best);
            }
            before[r] = here;
        }
        count_before = roots.count;
    }
}

/* Where the pairs that meet the level turn back in one direction, they do not in the other. */
static struct pair search_pairs(struct problem *problem)
{
    struct pair best = {.found = false}, nearest = {.found = false};
    search_family(problem, 1, &best, &nearest);
    if (!best.found || fabs(best.tone) > CW_SPLIT_TONE_MET / 2) {
        search_family(problem, 0, &best, &nearest);
    }
    return best.found ? best : nearest;
}

/* ---- rounding ------------------------------------------------------------------------------ */

/* Miss of a rounded setup: the level counts full, the tone half. */
static double miss_of(struct problem *problem, const struct cw_setup *setup)
{
    enum cw_param_id id = problem->part[0];
    problem->setup = *setup;
    double level = fabs(level_error(problem, id, share_at(id, setup->value[id])));
    return level + 0.5 * fabs(tone_now(problem));
}

static double clean(enum cw_param_id id, double value) { return cw_param_clean(&cw_param_info[id], value, value); }

/* The better of the two preferred values around an exact one, all else as in `setup`. */
static double round_part(struct problem *problem, enum cw_param_id id, enum cw_series series, struct cw_setup *setup)
{
    double exact = setup->value[id], miss[2];
    double value[2] = {clean(id, cw_series_below(series, exact)), clean(id, cw_series_above(series, exact))};
    for (int i = 0; i < 2; i++) {
        setup->value[id] = value[i];
        miss[i] = miss_of(problem, setup);
    }
    setup->value[id] = value[miss[1] < miss[0]];
    return fmin(miss[0], miss[1]);
}

/* With two parts the level is met again for each capacitor near the exact one, so that the
 * resistor's rounding can be small: three preferred capacitors either way. */
static void round_pair(struct problem *problem, struct cw_setup *setup)
{
    const struct cw_setup exact = *setup;
    double centre = share_at(CW_P_SPLIT_RESISTOR, exact.value[CW_P_SPLIT_RESISTOR]);
    double capacitor = cw_series_below(problem->wish->capacitors, exact.value[CW_P_SPLIT_CAPACITOR]);
    round_part(problem, CW_P_SPLIT_CAPACITOR, problem->wish->capacitors, setup);
    double least = round_part(problem, CW_P_SPLIT_RESISTOR, problem->wish->resistors, setup);
    for (int i = 0; i < 2; i++) {
        capacitor = cw_series_below(problem->wish->capacitors, capacitor * 0.999);
    }
    for (int i = 0; i < 6; i++, capacitor = cw_series_above(problem->wish->capacitors, capacitor * 1.001)) {
        struct cw_setup trial = exact;
        double resistor;
        trial.value[CW_P_SPLIT_CAPACITOR] = clean(CW_P_SPLIT_CAPACITOR, capacitor);
        problem->setup = trial;
        double share = share_at(CW_P_SPLIT_CAPACITOR, trial.value[CW_P_SPLIT_CAPACITOR]);
        if (!follow(problem, 1, share, centre, centre, &resistor)) {
            continue;
        }
        trial.value[CW_P_SPLIT_RESISTOR] = value_at(CW_P_SPLIT_RESISTOR, resistor);
        double miss = round_part(problem, CW_P_SPLIT_RESISTOR, problem->wish->resistors, &trial);
        if (miss < least - 1e-9) {
            least = miss;
            *setup = trial;
        }
    }
}

/* Whole turns where the turns are known, else whole percent. */
static void round_tap(const struct problem *problem, struct cw_split_solution *solution)
{
    double *keep = &solution->rounded.value[CW_P_SPLIT_KEEP];
    if (problem->pickup.turns > 0.0) {
        struct cw_winding winding;
        cw_coil_winding(&solution->exact, solution->reduced == CW_SPLIT_COIL_TWO ? 1 : 0, &winding);
        double turns = floor(winding.turns + 0.5);
        solution->turns = turns;
        solution->turns_kept = floor(*keep * 0.01 * turns + 0.5);
        *keep = 100.0 * solution->turns_kept / turns;
    } else {
        *keep = floor(*keep + 0.5);
    }
}

/* Of a part across a tap two preferred values are tried, and the turns, which follow in small steps,
 * meet the level again with each. */
static void round_tapped_pair(struct problem *problem, enum cw_series series, struct cw_split_solution *solution)
{
    const struct cw_split_solution exact = *solution;
    enum cw_param_id id = problem->part[0];
    double least = HUGE_VAL, centre = share_at(CW_P_SPLIT_KEEP, exact.exact.value[CW_P_SPLIT_KEEP]);
    double value[2] = {cw_series_below(series, exact.exact.value[id]), cw_series_above(series, exact.exact.value[id])};
    for (int i = 0; i < 2; i++) {
        struct cw_split_solution trial = exact;
        double keep;
        trial.rounded.value[id] = clean(id, value[i]);
        problem->setup = trial.rounded;
        if (follow(problem, 0, share_at(id, trial.rounded.value[id]), centre, centre, &keep)) {
            trial.rounded.value[CW_P_SPLIT_KEEP] = value_at(CW_P_SPLIT_KEEP, keep);
        }
        round_tap(problem, &trial);
        double miss = miss_of(problem, &trial.rounded);
        if (miss < least) {
            least = miss;
            *solution = trial;
        }
    }
}

static void round_solution(struct problem *problem, struct cw_split_solution *solution)
{
    enum cw_param_id first = problem->part[0];
    enum cw_series series = first == CW_P_SPLIT_CAPACITOR ? problem->wish->capacitors : problem->wish->resistors;
    solution->rounded = solution->exact;
    if (first == CW_P_SPLIT_KEEP) {
        round_tap(problem, solution);
    } else if (problem->parts == 1) {
        round_part(problem, first, series, &solution->rounded);
    } else if (problem->part[1] == CW_P_SPLIT_KEEP) {
        round_tapped_pair(problem, series, solution);
    } else {
        round_pair(problem, &solution->rounded);
    }
}

/* ---- the answer ---------------------------------------------------------------------------- */

/* The setup of the problem as it stands becomes a solution. */
static void add_solution(struct problem *problem, struct cw_split_answer *answer)
{
    struct cw_split_solution *solution = &answer->solution[answer->count++];
    *solution = (struct cw_split_solution){
        .by = (enum cw_split_by)(int)problem->setup.value[CW_P_SPLIT_BY],
        .reduced = (enum cw_split_coil)(int)problem->setup.value[CW_P_SPLIT_COIL],
        .exact = problem->setup,
    };
    round_solution(problem, solution);
    figures_of(&solution->exact, problem->wish, problem->partials, &solution->before);
    figures_of(&solution->rounded, problem->wish, problem->partials, &solution->after);
    solution->reached = fabs(cw_split_level_error(problem->wish, &solution->before)) <= CW_SPLIT_REACHED_DB;
    solution->tone_met = fabs(cw_split_tone_error(problem->wish, &solution->before)) <= CW_SPLIT_TONE_MET;
}

static void solve_one_part(struct problem *problem, struct cw_split_answer *answer)
{
    enum cw_param_id id = problem->part[0];
    struct roots roots;
    scan(problem, id, 0.0, 1.0, 4 * SCAN - 3, &roots);
    if (roots.count == 0) {
        double step = 1.0 / (4 * SCAN - 4);
        refine_nearest(problem, id, fmax(0.0, roots.nearest - step), fmin(1.0, roots.nearest + step), &roots);
        roots.count = 1;
        roots.u[0] = roots.nearest;
    }
    for (int i = 0; i < roots.count; i++) {
        problem->setup.value[id] = value_at(id, roots.u[i]);
        add_solution(problem, answer);
    }
}

static void solve_two_parts(struct problem *problem, struct cw_split_answer *answer)
{
    struct pair pair = search_pairs(problem);
    set_pair(problem, &pair);
    add_solution(problem, answer);
}

static void set_up(struct problem *problem, const struct cw_setup *candidate, const struct cw_split_wish *wish,
                   enum cw_split_coil reduced)
{
    problem->wish = wish;
    problem->setup = *candidate;
    problem->setup.value[CW_P_SPLIT] = 1.0;
    problem->setup.value[CW_P_SPLIT_COIL] = reduced;
    cw_coil_solve(&problem->setup, &problem->pickup);
    struct cw_transfer full = response_of(&problem->setup, &problem->pickup, CW_DRIVE_UNSPLIT);
    problem->full_level = cw_measure_db(&wish->measure, &full);
    struct cw_setup unsplit = problem->setup;
    unsplit.value[CW_P_SPLIT] = 0.0;
    problem->full_balance = wish->tone == CW_TONE_BALANCE ? cw_brightness(&unsplit, problem->partials) : 0.0;
}

static void solve_coil(const struct cw_setup *candidate, const struct cw_split_wish *wish,
                       const struct cw_partials *partials, enum cw_split_coil reduced, struct cw_split_answer *answer)
{
    for (int by = 0; by < CW_SPLIT_KINDS; by++) {
        if (!(wish->kinds & 1u << by)) {
            continue;
        }
        struct problem problem = {.partials = partials};
        set_up(&problem, candidate, wish, reduced);
        problem.setup.value[CW_P_SPLIT_BY] = by;
        problem.parts = parts_of((enum cw_split_by)by, problem.part);
        if (problem.parts == 2) {
            solve_two_parts(&problem, answer);
        } else {
            solve_one_part(&problem, answer);
        }
    }
}

static double rank_of(const struct cw_split_solution *solution, const struct cw_split_wish *wish, int place)
{
    double order = place * 1e-6;
    double level = fabs(cw_split_level_error(wish, &solution->after));
    if (wish->tone != CW_TONE_ANY) {
        return level + fabs(cw_split_tone_error(wish, &solution->after)) + order;
    }
    /* Farther than any that reaches: no distance comes to that. */
    const double beyond = 1e6;
    return (solution->reached ? 0.0 : beyond) + solution->ear.is.times + order;
}

/* Put in order by insertion: there are few. */
void cw_split_rank(struct cw_split_solution *solution, int count, const struct cw_split_wish *wish)
{
    double key[CW_SPLIT_SOLUTIONS];
    assert(count <= CW_SPLIT_SOLUTIONS);
    for (int i = 0; i < count; i++) {
        key[i] = rank_of(&solution[i], wish, i);
    }
    for (int i = 1; i < count; i++) {
        for (int k = i; k > 0 && key[k] < key[k - 1]; k--) {
            struct cw_split_solution other = solution[k];
            double value = key[k];
            solution[k] = solution[k - 1];
            key[k] = key[k - 1];
            solution[k - 1] = other;
            key[k - 1] = value;
        }
    }
}

/* The pickup unsplit is the same for all. */
static void hear(struct cw_split_answer *answer)
{
    struct cw_split_full full;
    cw_split_full_of(&answer->full, &full);
    for (int i = -1; i < answer->count;) {
        const struct cw_setup *setups[CW_SPLIT_EARS];
        struct cw_split_ear ear[CW_SPLIT_EARS];
        int first = i, count = 0;
        for (; count < CW_SPLIT_EARS && i < answer->count; i++) {
            setups[count++] = i < 0 ? &answer->plain : &answer->solution[i].rounded;
        }
        cw_split_ears_of(setups, count, &full, ear);
        for (int k = 0; k < count; k++) {
            *(first + k < 0 ? &answer->plain_ear : &answer->solution[first + k].ear) = ear[k];
        }
    }
}

void cw_split_solve(const struct cw_setup *candidate, const struct cw_split_wish *wish, struct cw_split_answer *answer)
{
    answer->count = 0;
    answer->full = answer->plain = *candidate;
    answer->full.value[CW_P_SPLIT] = 0.0;
    answer->plain.value[CW_P_SPLIT] = 1.0;
    answer->plain.value[CW_P_SPLIT_BY] = CW_SPLIT_TAPPED;
    answer->plain.value[CW_P_SPLIT_KEEP] = 0.0;
    if (!(wish->coils & 1u << (int)answer->plain.value[CW_P_SPLIT_COIL])) {
        answer->plain.value[CW_P_SPLIT_COIL] = 1.0 - answer->plain.value[CW_P_SPLIT_COIL];
    }
    struct cw_partials partials;
    partials_of(candidate, &partials);
    figures_of(&answer->full, wish, &partials, &answer->full_figures);
    figures_of(&answer->plain, wish, &partials, &answer->plain_figures);
    for (int coil = CW_SPLIT_COIL_TWO; coil <= CW_SPLIT_COIL_ONE; coil++) {
        if (wish->coils & 1u << coil) {
            solve_coil(candidate, wish, &partials, (enum cw_split_coil)coil, answer);
        }
    }
    hear(answer);
    cw_split_rank(answer->solution, answer->count, wish);
}
