/* SPDX-License-Identifier: ISC */
#include "inspection.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "bench_load.h"
#include "circuit.h"
#include "constants.h"
#include "revise.h"
#include "sheet.h"
#include "spread.h"
#include "statistics.h"
#include "wire.h"

/* Half widths of meters, of 1, as the sheet has them. */
static const double meter[CW_BENCH_READINGS] = {CW_METER_RESISTANCE, CW_METER_INDUCTANCE, CW_METER_RESONANCE};

/* Of each cause: what moves, by how much in one unit, and how much of it is plausible. */
static const struct {
    enum cw_vary vary[2];
    double least, most;
} cause_info[CW_CAUSES] = {
    [CW_CAUSE_TURNS] = {{CW_VARY_TURNS_ONE, CW_VARY_TURNS_TWO}, -40.0, 40.0},
    [CW_CAUSE_WIRE] = {{CW_VARY_WIRE, CW_VARY_WIRE}, -30.0, 30.0},
    [CW_CAUSE_TEMPERATURE] = {{CW_VARY_TEMPERATURE, CW_VARY_TEMPERATURE}, -15.0, 20.0},
    [CW_CAUSE_CORE] = {{CW_VARY_CORE, CW_VARY_CORE}, -60.0, 60.0},
    [CW_CAUSE_TIGHTNESS] = {{CW_VARY_PACKING_ONE, CW_VARY_PACKING_TWO}, -25.0, 25.0},
    [CW_CAUSE_SHORT] = {{CW_VARY_TURNS_ONE, CW_VARY_TURNS_TWO}, -20.0, 0.0},
};

/* ---- the design ---- */

/* The three readings of a pickup that is off, as logarithms over the design's. */
static void logarithms(const struct cw_spread *spread, const double nominal[CW_BENCH_READINGS],
                       const struct cw_deviation *deviation, double log_ratio[CW_BENCH_READINGS])
{
    struct cw_setup setup;
    struct cw_pickup pickup;
    cw_spread_make(spread, deviation, &setup, &pickup);
    log_ratio[CW_READING_RESISTANCE] = log(cw_circuit_dc_resistance(&setup, &pickup) / nominal[0]);
    log_ratio[CW_READING_INDUCTANCE] = log(cw_circuit_lead_inductance(&setup, &pickup, CW_BENCH_HZ) / nominal[1]);
    log_ratio[CW_READING_RESONANCE] = log(cw_bench_resonance(&setup, &pickup) / nominal[2]);
}

/* A layer that is closed on itself is missing at 120 Hz; at the resonance it is the loaded secondary of a transformer,
 * and flattens the top that a sweep shows and draws it down: by its share of the turns at least (an estimate, for
 * layers of a few per cent), and by how much more depends on how near it lies to the rest. */
static const double drawn_down = 0.01, drawn_down_most = 0.4;

/* A cause of two sizes explains more by chance: it has to stand out by what chance does to two in one of 200. */
static double second_size(void) { return cw_chi_square_quantile(0.995, 2.0) - cw_chi_square_quantile(0.99, 1.0); }

/* Where one unit of each cause leads. */
static void find_ways(struct cw_inspection *inspection)
{
    struct cw_scatter one;
    struct cw_spread spread;
    for (int i = 0; i < CW_SCATTERS; i++) {
        one.half[i] = 1.0;
    }
    cw_spread_start(&spread, &inspection->whole, &one);
    for (int cause = 0; cause < CW_CAUSE_MODE; cause++) {
        struct cw_deviation off = {{0.0}};
        off.of[cause_info[cause].vary[0]] = off.of[cause_info[cause].vary[1]] = 1.0;
        logarithms(&spread, inspection->nominal, &off, inspection->way[cause]);
    }
    inspection->way[CW_CAUSE_SHORT][CW_READING_RESONANCE] += drawn_down;
}

/* Of a spool or a lot the whole batch is off alike; each coil's own is averaged. Meters are off alike too. */
static void covariance_of(const struct cw_inspection *inspection, const struct cw_scatter *scatter, size_t coils,
                          double covariance[CW_BENCH_READINGS][CW_BENCH_READINGS])
{
    struct cw_spread spread;
    cw_spread_start(&spread, &inspection->whole, scatter);
    memset(covariance, 0, sizeof(double) * CW_BENCH_READINGS * CW_BENCH_READINGS);
    for (int vary = 0; vary < CW_VARIES; vary++) {
        enum cw_scatter_id cause = cw_vary_cause((enum cw_vary)vary);
        struct cw_deviation off = {{0.0}};
        double way[CW_BENCH_READINGS];
        if (cw_scatter_info[cause].place != CW_PLACE_COIL || cause == CW_SCATTER_WIRE) {
            continue;
        }
        bool own = cause == CW_SCATTER_TURNS || cause == CW_SCATTER_PACKING;
        off.of[vary] = cw_scatter_standard(cause) / (own ? sqrt((double)coils) : 1.0);
        logarithms(&spread, inspection->nominal, &off, way);
        for (int i = 0; i < CW_BENCH_READINGS * CW_BENCH_READINGS; i++) {
            covariance[i / CW_BENCH_READINGS][i % CW_BENCH_READINGS] +=
                way[i / CW_BENCH_READINGS] * way[i % CW_BENCH_READINGS];
        }
    }
    for (int i = 0; i < CW_BENCH_READINGS; i++) {
        covariance[i][i] += 0.25 * meter[i] * meter[i];
    }
}

/* By cofactors: it is 3 x 3 and far from singular, for the meters. */
static void invert(double a[3][3], double inverse[3][3])
{
    double determinant = 0.0;
    for (int i = 0; i < 3; i++) {
        for (int k = 0; k < 3; k++) {
            int r0 = (i + 1) % 3, r1 = (i + 2) % 3, c0 = (k + 1) % 3, c1 = (k + 2) % 3;
            inverse[k][i] = a[r0][c0] * a[r1][c1] - a[r0][c1] * a[r1][c0];
        }
    }
    for (int k = 0; k < 3; k++) {
        determinant += a[0][k] * inverse[k][0];
    }
    for (int i = 0; i < 9; i++) {
        inverse[i / 3][i % 3] /= determinant;
    }
}

/* What a meter in parallel mode reads over the series inductance: (R^2 + X^2) / X^2, X with the coil's capacitance
 * left out, which is no matter at 120 Hz. */
static double parallel_over_series(double ohm, double henry, double hz)
{
    double x = CW_TAU * hz * henry;
    return (ohm * ohm + x * x) / (x * x);
}

void cw_inspection_start(struct cw_inspection *inspection, const struct cw_setup *setup,
                         const struct cw_scatter *scatter, const struct cw_limits limits[CW_BENCH_READINGS],
                         size_t coils)
{
    double covariance[CW_BENCH_READINGS][CW_BENCH_READINGS];
    inspection->whole = cw_bench_setup(setup);
    cw_coil_solve(&inspection->whole, &inspection->pickup);
    cw_bench_nominal(setup, inspection->nominal);
    memcpy(inspection->limits, limits, sizeof inspection->limits);
    find_ways(inspection);
    covariance_of(inspection, scatter, coils, covariance);
    invert(covariance, inspection->inverse);
    inspection->wire = scatter->half[CW_SCATTER_WIRE];
    for (int i = 0; i < CW_BENCH_READINGS; i++) { /* limits are even: a root of three of them is a standard deviation */
        double wire = inspection->wire / sqrt(3.0) * inspection->way[CW_CAUSE_WIRE][i];
        inspection->reading_sd[i] = hypot(sqrt(covariance[i][i]), wire);
    }
    inspection->parallel_mode = log(parallel_over_series(inspection->nominal[CW_READING_RESISTANCE],
                                                         inspection->nominal[CW_READING_INDUCTANCE], CW_BENCH_HZ));
}

/* ---- one coil ---- */

/* Of two inductances that read the same in parallel mode, the one nearer to the design's. */
static double series_of(const struct cw_inspection *inspection, const struct cw_coil_reading *reading)
{
    double ohm = isnan(reading->resistance) ? inspection->nominal[CW_READING_RESISTANCE] : reading->resistance;
    double x = CW_TAU * reading->hz, root = reading->inductance * reading->inductance - 4.0 * ohm * ohm / (x * x);
    double middle = 0.5 * reading->inductance, half = 0.5 * sqrt(fmax(root, 0.0));
    double nominal = inspection->nominal[CW_READING_INDUCTANCE];
    return fabs(middle - half - nominal) < fabs(middle + half - nominal) ? middle - half : middle + half;
}

static double at_120_hz(const struct cw_inspection *inspection, const struct cw_coil_reading *reading)
{
    double henry = reading->parallel_mode ? series_of(inspection, reading) : reading->inductance;
    return henry * inspection->nominal[CW_READING_INDUCTANCE] /
           cw_circuit_lead_inductance(&inspection->whole, &inspection->pickup, reading->hz);
}

void cw_inspection_judge(const struct cw_inspection *inspection, const struct cw_coil_reading *reading,
                         struct cw_coil_judged *judged)
{
    const double open_celsius = 5.0;
    bool said = !isnan(reading->celsius);
    double *value = judged->value;
    int read = 0;
    value[CW_READING_RESISTANCE] = reading->resistance / (said ? cw_wire_resistance_ratio(reading->celsius) : 1.0);
    value[CW_READING_INDUCTANCE] = isnan(reading->inductance) ? NAN : at_120_hz(inspection, reading);
    value[CW_READING_RESONANCE] = reading->resonance;
    judged->coil = CW_VERDICT_PASS;
    for (int i = 0; i < CW_BENCH_READINGS; i++) {
        double open = i == CW_READING_RESISTANCE && !said ? cw_wire_resistance_ratio(20.0 + open_celsius) - 1.0 : 0.0;
        judged->expanded[i] = isnan(value[i]) ? NAN : hypot(meter[i], open) * value[i];
        judged->reading[i] = cw_judge(inspection->limits[i], value[i], judged->expanded[i]);
        if (!isnan(value[i])) {
            judged->coil = judged->reading[i] > judged->coil ? judged->reading[i] : judged->coil;
            read++;
        }
    }
    judged->coil = read == 0 ? CW_VERDICT_CLOSE : judged->coil;
}

/* ---- the batch ---- */

static double product(const struct cw_inspection *inspection, const double a[CW_BENCH_READINGS],
                      const double b[CW_BENCH_READINGS])
{
    double sum = 0.0;
    for (int i = 0; i < CW_BENCH_READINGS; i++) {
        for (int k = 0; k < CW_BENCH_READINGS; k++) {
            sum += a[i] * inspection->inverse[i][k] * b[k];
        }
    }
    return sum;
}

/* Take as much of a way out as is within two bounds and leaves least. \return how much */
static double take_out(const struct cw_inspection *inspection, const double way[CW_BENCH_READINGS], double least,
                       double most, double left[CW_BENCH_READINGS])
{
    double along = product(inspection, way, way);
    double size = along > 0.0 ? fmin(fmax(product(inspection, way, left) / along, least), most) : 0.0;
    for (int i = 0; i < CW_BENCH_READINGS; i++) {
        left[i] -= size * way[i];
    }
    return size;
}

/* What is left of the means once a cause (CW_CAUSES: none), at the size that explains them best within what is
 * plausible, is taken out of them, and beside it wire that is within its limits: these are hard, and between them any
 * diameter is as likely. One after the other until it settles. */
static double unexplained(const struct cw_inspection *inspection, const double off[CW_BENCH_READINGS], int cause,
                          double *size)
{
    static const double resonance_way[CW_BENCH_READINGS] = {[CW_READING_RESONANCE] = 1.0};
    const double *wire_way = inspection->way[CW_CAUSE_WIRE];
    double left[CW_BENCH_READINGS], wire = 0.0, down = 0.0;
    *size = 0.0;
    memcpy(left, off, sizeof left);
    if (cause == CW_CAUSE_MODE) {
        left[CW_READING_INDUCTANCE] -= inspection->parallel_mode;
        *size = exp(inspection->parallel_mode);
    }
    for (int round = 0; round < 50; round++) {
        if (cause < CW_CAUSE_MODE) {
            *size += take_out(inspection, inspection->way[cause], cause_info[cause].least - *size,
                              cause_info[cause].most - *size, left);
        }
        if (cause == CW_CAUSE_SHORT) {
            down += take_out(inspection, resonance_way, -drawn_down_most - down, -down, left);
        }
        if (cause != CW_CAUSE_WIRE) {
            wire += take_out(inspection, wire_way, -inspection->wire - wire, inspection->wire - wire, left);
        }
    }
    return product(inspection, left, left) + (cause == CW_CAUSE_SHORT ? second_size() : 0.0);
}

void cw_inspection_diagnose(const struct cw_inspection *inspection, const double mean[CW_BENCH_READINGS],
                            struct cw_diagnosis *diagnosis)
{
    /* A cause is looked for where it explains the means better than wire within its limits and scatter alone, by what
     * chance does in one of a hundred for a single question. The causes are some two questions: 1.7 % of sound batches
     * are accused (10 000 simulated). What is off in no known way is found by the three readings together. */
    const double stands_out = cw_chi_square_quantile(0.99, 1.0),
                 accuse = cw_chi_square_quantile(0.999, CW_BENCH_READINGS), beside = cw_chi_square_quantile(0.95, 1.0),
                 freedom = CW_BENCH_READINGS - 1.0;
    double off[CW_BENCH_READINGS], left[CW_CAUSES], least = HUGE_VAL;
    *diagnosis = (struct cw_diagnosis){.likely = CW_CAUSES};
    for (int i = 0; i < CW_BENCH_READINGS; i++) {
        off[i] = log(mean[i] / inspection->nominal[i]);
        diagnosis->off[i] = mean[i] / inspection->nominal[i] - 1.0;
    }
    double none, sound = unexplained(inspection, off, CW_CAUSES, &none);
    for (int cause = 0; cause < CW_CAUSES; cause++) {
        left[cause] = unexplained(inspection, off, cause, &diagnosis->size[cause]);
        least = fmin(least, left[cause]);
    }
    diagnosis->accused = sound > accuse || sound - least > stands_out;
    /* A large fault leaves the straight way that it is looked for on: four fifths of it are enough, and what is left
     * then blurs what stands beside it (R. T. Birge, Phys. Rev. 40, 1932). */
    bool explained = least < fmax(accuse, 0.2 * sound);
    for (int cause = 0; cause < CW_CAUSES && diagnosis->accused && explained; cause++) {
        diagnosis->named[cause] = left[cause] <= least + beside * fmax(1.0, least / freedom);
        diagnosis->likely = left[cause] == least ? cause : diagnosis->likely;
    }
}

/* ---- words ---- */

const char *cw_cause_words(enum cw_cause cause, double size, char *text, size_t size_of_text)
{
    static const struct {
        const char *less, *more;
    } words[CW_CAUSES] = {
        [CW_CAUSE_TURNS] = {"%.1f %% too few turns", "%.1f %% too many turns"},
        [CW_CAUSE_WIRE] = {"wire %.1f %% thin", "wire %.1f %% thick"},
        [CW_CAUSE_TEMPERATURE] = {"the coil %.0f °C colder than said", "the coil %.0f °C warmer than said"},
        [CW_CAUSE_CORE] = {"another core or magnet: inductance %.1f %% low",
                           "another core or magnet: inductance %.1f %% high"},
        [CW_CAUSE_TIGHTNESS] = {"wound loose: packing %.0f %% less", "wound tight: packing %.0f %% more"},
        [CW_CAUSE_SHORT] = {"a layer shorted: %.1f %% of the turns", "no layer shorted (%.1f %%)"},
        [CW_CAUSE_MODE] = {"", "the meter in parallel mode: it reads %.1f times the inductance"},
    };
    snprintf(text, size_of_text, size < 0.0 ? words[cause].less : words[cause].more, fabs(size));
    return text;
}

const char *cw_cause_parted_by(enum cw_cause cause)
{
    static const char *const words[CW_CAUSES] = {
        [CW_CAUSE_TURNS] = "weigh the wire, or count",
        [CW_CAUSE_WIRE] = "measure the wire's diameter, or the resistance of a known length",
        [CW_CAUSE_TEMPERATURE] = "let it lie for an hour and read again with a thermometer beside it",
        [CW_CAUSE_CORE] = "read the inductance with a core or magnet of the first coil",
        [CW_CAUSE_TIGHTNESS] = "measure the depth of the winding",
        [CW_CAUSE_SHORT] = "look how high the resonance stands: a short flattens it",
        [CW_CAUSE_MODE] = "set the meter to series mode and read again",
    };
    return words[cause];
}
