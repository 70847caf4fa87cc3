/* SPDX-License-Identifier: ISC */
/* The network against closed forms, published cases and an independent solution.
 *
 * Sources: the series resonant low-pass is textbook (f0 and Q from the standard form
 * s^2 + s w0/Q + w0^2). The figures in the tables below were computed in double precision from
 * V/E = Z_L / (Z_coil + Z_L) and from Kirchhoff's laws for two coupled coils, apart from this
 * program; they are given with the digits that were kept. That a tap which keeps half of coil two
 * leaves three quarters of the level is common practice, no source, and arithmetic. */
#include <complex.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "circuit.h"
#include "coil.h"
#include "constants.h"
#include "core.h"
#include "polynomial.h"
#include "setup.h"
#include "setups.h"
#include "split_kind.h"
#include "transfer.h"
#include "within.h"

typedef double complex cplx;

/* So large, in ohm, that it is not there: 1e-9 of nothing at the impedances met here. */
static const double NOT_THERE = 1e18;

static cplx response(const struct cw_transfer *h, double hz)
{
    struct cw_complex v = cw_transfer_at(h, hz);
    return v.re + I * v.im;
}

static double db(cplx v) { return 20 * log10(cabs(v)); }

static void assert_within(double value, double expected, double tolerance, const char *what, int line)
{
    if (!(fabs(value - expected) <= tolerance)) {
        print_error("line %d: %s is %.9g, expected %.9g within %g\n", line, what, value, expected, tolerance);
        fail();
    }
}
#define WITHIN(value, expected, tolerance) assert_within(value, expected, tolerance, #value, __LINE__)

/* ---- setups ----------------------------------------------------------------------------------- */

/* Nothing connected but what a case adds: no tone branch, no cable, no pot. */
static struct cw_setup bare_setup(void)
{
    struct cw_setup s;
    cw_setup_defaults(&s);
    s.value[CW_P_TONE_CAP] = 0;
    s.value[CW_P_CABLE_LENGTH] = 0;
    s.value[CW_P_INPUT_CAPACITANCE] = 0;
    s.value[CW_P_VOLUME_POT] = NOT_THERE / 1e3;
    s.value[CW_P_INPUT_RESISTANCE] = NOT_THERE / 1e6;
    return s;
}

static struct cw_pickup one_coil(double ohm, double henry, double farad, double loss)
{
    struct cw_pickup p = {.coils = CW_COILS_ONE};
    p.coil[0] = (struct cw_coil){.emf = 1, .resistance = ohm, .inductance = henry, .capacitance = farad, .loss = loss};
    return p;
}

static struct cw_transfer signal_of(const struct cw_setup *s, const struct cw_pickup *p)
{
    struct cw_transfer h;
    cw_circuit_transfer(s, p, CW_DRIVE_STRING, &h);
    return h;
}

/* ---- closed forms ----------------------------------------------------------------------------- */

/* One coil, capacitance and resistance to earth: H = K w0^2 / (s^2 + s w0/Q + w0^2). */
static void second_order_closed_form(void **state)
{
    (void)state;
    struct rng rng = {1};
    double worst = 0;
    for (int i = 0; i < 200; i++) {
        double ohm = rng_log(&rng, 200, 40e3), henry = rng_log(&rng, 0.2, 20), own = rng_log(&rng, 5e-12, 1e-9);
        double pot = rng_log(&rng, 25e3, 2e6), input = rng_log(&rng, 1e4, 1e7), cable = rng_between(&rng, 0, 9e-9);
        struct cw_setup s = bare_setup();
        s.value[CW_P_VOLUME_POT] = pot / 1e3;
        s.value[CW_P_INPUT_RESISTANCE] = input / 1e6;
        s.value[CW_P_CABLE_LENGTH] = 10;
        s.value[CW_P_CABLE_CAPACITANCE] = cable * 1e12 / 10;
        struct cw_pickup p = one_coil(ohm, henry, own, NOT_THERE);
        struct cw_transfer h = signal_of(&s, &p);
        double load = pot * input / (pot + input), farad = own + cable;
        double w0 = sqrt((1 + ohm / load) / (henry * farad));
        double q = sqrt(henry * farad * (1 + ohm / load)) / (ohm * farad + henry / load);
        double gain = load / (load + ohm);
        for (double hz = 20; hz <= 20000; hz *= 1.1) {
            cplx p_s = I * CW_TAU * hz;
            cplx expected = gain * w0 * w0 / (p_s * p_s + p_s * w0 / q + w0 * w0);
            worst = worse(worst, cabs(response(&h, hz) / expected - 1));
        }
    }
    print_message("second-order closed form: worst relative error %.2g\n", worst);
    assert_true(worst <= 1e-9);
}

/* The check case: R 6 kohm, L 2.5 H, C 620 pF, load 200 kohm. */
static void second_order_check_case(void **state)
{
    (void)state;
    struct cw_setup s = bare_setup();
    s.value[CW_P_VOLUME_POT] = 250;
    s.value[CW_P_INPUT_RESISTANCE] = 1;
    s.value[CW_P_CABLE_LENGTH] = 5;
    s.value[CW_P_CABLE_CAPACITANCE] = 100;
    struct cw_pickup p = one_coil(6e3, 2.5, 120e-12, NOT_THERE);
    struct cw_transfer h = signal_of(&s, &p);
    struct cw_roots roots;
    assert_true(cw_transfer_roots(&h, &roots));
    /* The two poles of the resonance are the slowest of those that are there. */
    double w0 = 0, q = 0;
    for (int i = 0; i < roots.poles; i++) {
        double size = hypot(roots.pole[i].re, roots.pole[i].im);
        if (roots.pole[i].im > 0) {
            w0 = size;
            q = size / (-2 * roots.pole[i].re);
        }
    }
    WITHIN(w0 * 1e3, 4102.73, 0.005);
    WITHIN(q, 2.46339, 5e-6);
    WITHIN(db(response(&h, 0)), -0.2567, 5e-5);
    struct cw_peak peak = cw_transfer_peak(&h);
    WITHIN(peak.hz, 3930.07, 0.05);
    WITHIN(peak.db, 8.0134, 5e-5);
}

static void impedance_check_values(void **state)
{
    (void)state;
    struct cw_setup s = bare_setup();
    struct cw_pickup p = one_coil(6e3, 2.5, 120e-12, NOT_THERE);
    struct cw_transfer z;
    cw_circuit_impedance(&s, &p, &z);
    const struct {
        double hz, ohm, ohm_step, degree;
    } row[] = {{100, 6202.94, 0.005, 14.645}, {1000, 17016.2, 0.05, 68.832}, {5000, 111844, 0.5, 83.791}};
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        cplx v = response(&z, row[i].hz);
        WITHIN(cabs(v), row[i].ohm, row[i].ohm_step);
        WITHIN(carg(v) * 360 / CW_TAU, row[i].degree, 5e-4);
    }
    WITHIN(cw_circuit_dc_resistance(&s, &p), 6e3, 1e-6);
    WITHIN(cw_circuit_lead_inductance(&s, &p, 120), 2.5, 1e-12);
}

/* ---- table of loaded cases -------------------------------------------------------------------- */

static void loaded_cases(void **state)
{
    (void)state;
    const struct {
        double ohm, henry, loss; /* of the coil, 120 pF */
        double pots, tone;       /* kohm, rotation; pots 0: the bare coil into 10 Mohm, no cable */
        double dc, peak_hz, peak_db, db[4];
    } row[] = {
        {6e3, 2.5, 0, 0, 10, -0.005, 9185, 25.04, {0.098, 0.971, 3.034, 14.262}},
        {6e3, 2.5, 0, 250, 10, -0.257, 3683, 3.791, {-0.041, 3.046, 0.425, -14.531}},
        {6e3, 2.5, 0, 250, 0, -0.257, 612, 4.408, {-3.642, -25.696, -34.804, -46.943}},
        {8e3, 4.5, 0, 500, 10, -0.206, 2865, 5.806, {0.492, 5.682, -5.663, -20.107}},
        {8e3, 4.5, 300e3, 500, 10, -0.206, 2552, 2.697, {0.349, 2.143, -6.142, -17.761}},
    };
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        struct cw_setup s = bare_setup();
        if (row[i].pots > 0) {
            s.value[CW_P_VOLUME_POT] = s.value[CW_P_TONE_POT] = row[i].pots;
            s.value[CW_P_TONE_CAP] = 22;
            s.value[CW_P_TONE] = row[i].tone;
            s.value[CW_P_CABLE_LENGTH] = 5;
            s.value[CW_P_CABLE_CAPACITANCE] = 100;
            s.value[CW_P_INPUT_RESISTANCE] = 1;
        } else {
            s.value[CW_P_INPUT_RESISTANCE] = 10;
        }
        struct cw_pickup p = one_coil(row[i].ohm, row[i].henry, 120e-12, row[i].loss > 0 ? row[i].loss : NOT_THERE);
        struct cw_transfer h = signal_of(&s, &p);
        struct cw_peak peak = cw_transfer_peak(&h);
        WITHIN(db(response(&h, 0)), row[i].dc, 5.1e-4);
        WITHIN(peak.hz, row[i].peak_hz, 1.0); /* these were read off a grid */
        WITHIN(peak.db + row[i].dc, row[i].peak_db, 5.1e-3 + 5e-4);
        static const double hz[] = {1000, 3000, 5000, 10000};
        for (int k = 0; k < 4; k++) {
            WITHIN(db(response(&h, hz[k])), row[i].db[k], 5.1e-4);
        }
    }
}

/* ---- splits ----------------------------------------------------------------------------------- */

/* Two equal coils of 2 H and 4 kohm, mutual inductance 0.28 H, series-aiding, nothing connected. */
static struct cw_pickup equal_pair(void)
{
    struct cw_pickup p = {.coils = CW_COILS_SERIES, .mutual = 0.28};
    p.coil[0] = p.coil[1] = (struct cw_coil){.emf = 0.5, .resistance = 4e3, .inductance = 2, .loss = NOT_THERE};
    return p;
}

static struct cw_setup split_setup(enum cw_split_by by)
{
    struct cw_setup s = bare_setup();
    s.value[CW_P_COILS] = CW_COILS_SERIES;
    s.value[CW_P_SPLIT] = 1;
    s.value[CW_P_SPLIT_BY] = by;
    return s;
}

static cplx driven(const struct cw_setup *s, enum cw_drive drive, double hz)
{
    struct cw_pickup p = equal_pair();
    struct cw_transfer h;
    cw_circuit_transfer(s, &p, drive, &h);
    return response(&h, hz);
}

static double level_db(const struct cw_setup *s, double hz)
{
    return db(driven(s, CW_DRIVE_STRING, hz)) - db(driven(s, CW_DRIVE_UNSPLIT, hz));
}

static double hum_db(const struct cw_setup *s, double hz)
{
    return db(driven(s, CW_DRIVE_HUM, hz)) - db(driven(s, CW_DRIVE_ONE_COIL, hz));
}

static void tapped_split(void **state)
{
    (void)state;
    const struct {
        double kept, level, henry, hum;
    } row[] = {{0, -6.021, 2.000, 0},
               {25, -4.082, 2.265, -2.50},
               {50, -2.499, 2.780, -6.02},
               {75, -1.160, 3.545, -12.04},
               {100, 0, 4.560, -INFINITY}};
    struct cw_pickup p = equal_pair();
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        struct cw_setup s = split_setup(CW_SPLIT_TAPPED);
        s.value[CW_P_SPLIT_KEEP] = row[i].kept;
        for (double hz = 50; hz <= 5000; hz *= 10) { /* a tap scales evenly, treble and mains alike */
            WITHIN(level_db(&s, hz), row[i].level, 5.1e-4);
            if (row[i].kept < 100) {
                WITHIN(hum_db(&s, hz), row[i].hum, 5.1e-3);
            } else {
                assert_true(hum_db(&s, hz) < -200);
            }
        }
        WITHIN(cw_circuit_lead_inductance(&s, &p, 120), row[i].henry, 5.1e-4);
        WITHIN(cw_circuit_dc_resistance(&s, &p), 4e3 * (1 + row[i].kept / 100), 1e-6);
    }
    struct cw_setup s = split_setup(CW_SPLIT_TAPPED);
    s.value[CW_P_SPLIT_KEEP] = 50;
    WITHIN(level_db(&s, 100), 20 * log10(0.75), 1e-9);
    s.value[CW_P_SPLIT_KEEP] = 100.0 / 3;
    WITHIN(level_db(&s, 100), 20 * log10(2.0 / 3), 1e-9);
}

/* With constant capacitance the resonance rises as one over the root of the inductance. */
static void tapped_split_moves_resonance(void **state)
{
    (void)state;
    const double kept[] = {0, 25, 50, 75}, ratio[] = {1.5100, 1.4189, 1.2807, 1.1342};
    for (int i = 0; i < 4; i++) {
        struct cw_setup s = split_setup(CW_SPLIT_TAPPED), full = bare_setup();
        s.value[CW_P_CABLE_LENGTH] = full.value[CW_P_CABLE_LENGTH] = 10;
        s.value[CW_P_SPLIT_KEEP] = kept[i];
        struct cw_pickup p = equal_pair();
        p.coil[0].resistance = p.coil[1].resistance = 1; /* a sharp peak lies at the undamped resonance */
        full.value[CW_P_COILS] = CW_COILS_SERIES;
        struct cw_transfer h = signal_of(&s, &p), h_full = signal_of(&full, &p);
        WITHIN(cw_transfer_peak(&h).hz / cw_transfer_peak(&h_full).hz, ratio[i], 1.5e-4);
    }
}

static void resistor_split_level(void **state)
{
    (void)state;
    static const double hz[] = {100, 500, 1000, 3000, 5000};
    const struct {
        double kohm, level[5];
    } row[] = {{2.2, {-3.49, -4.95, -6.22, -7.16, -7.27}},
               {4.7, {-2.33, -3.44, -4.99, -6.87, -7.15}},
               {10, {-1.36, -1.92, -3.10, -5.99, -6.76}},
               {22, {-.70, -.89, -1.39, -3.98, -5.49}}};
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        struct cw_setup s = split_setup(CW_SPLIT_R);
        s.value[CW_P_SPLIT_RESISTOR] = row[i].kohm;
        for (int k = 0; k < 5; k++) {
            WITHIN(level_db(&s, hz[k]), row[i].level[k], 5.1e-3);
        }
    }
}

static void resistor_split_hum(void **state)
{
    (void)state;
    static const double hz[] = {50, 100, 1000};
    const struct {
        double kohm, hum[3]; /* the first row is a coil two shorted by a wire */
    } row[] = {{1e-6, {.03, .12, 1.04}},
               {2.2, {-3.71, -3.46, .52}},
               {4.7, {-6.63, -6.31, -.24}},
               {10, {-10.75, -10.39, -2.04}},
               {22, {-16.12, -15.74, -5.76}}};
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        struct cw_setup s = split_setup(CW_SPLIT_R);
        s.value[CW_P_SPLIT_RESISTOR] = row[i].kohm;
        for (int k = 0; k < 3; k++) {
            WITHIN(hum_db(&s, hz[k]), row[i].hum[k], 5.1e-3);
        }
    }
}

/* A coil two that is shorted still loads coil one; one that is disconnected does not. */
static void shorted_is_not_removed(void **state)
{
    (void)state;
    struct cw_setup shorted = split_setup(CW_SPLIT_R), removed = split_setup(CW_SPLIT_TAPPED);
    shorted.value[CW_P_SPLIT_RESISTOR] = 1e-6;
    removed.value[CW_P_SPLIT_KEEP] = 0;
    WITHIN(level_db(&shorted, 100), -6.12, 5.1e-3);
    WITHIN(level_db(&shorted, 3000), -7.31, 5.1e-3);
    WITHIN(level_db(&removed, 100), -6.02, 5.1e-3);
    WITHIN(level_db(&removed, 3000), -6.02, 5.1e-3);
    struct cw_pickup p = equal_pair();
    struct cw_transfer z;
    cw_circuit_impedance(&shorted, &p, &z);
    WITHIN(cimag(response(&z, 10000)) / (CW_TAU * 10000), 1.961, 5.1e-4); /* L (1 - k^2) */
}

static void capacitor_split_resonates(void **state)
{
    (void)state;
    struct cw_setup s = split_setup(CW_SPLIT_C);
    s.value[CW_P_SPLIT_CAPACITOR] = 10;
    WITHIN(level_db(&s, 1000), 6.24, 5.1e-3);
    WITHIN(level_db(&s, 3000), -9.38, 5.1e-3);
    s.value[CW_P_SPLIT_CAPACITOR] = 22;
    WITHIN(level_db(&s, 500), 2.35, 5.1e-3);
    WITHIN(level_db(&s, 1000), -7.81, 5.1e-3);
}

/* ---- an independent solution ------------------------------------------------------------------ */

static cplx across(double henry, double loss, double w) { return 1 / (1 / loss + 1 / (I * w * henry)); }

/* Open-circuit voltage and impedance of a pickup, from Kirchhoff's laws: the currents of the two
 * inductors' windings and of their losses are kept apart, and solved for numerically. */
struct thevenin {
    cplx volt, ohm;
};

/* Solve a x = b for up to six unknowns by elimination with row exchange. */
static void solve(int n, cplx a[6][6], cplx *x)
{
    for (int c = 0; c < n; c++) {
        int best = c;
        for (int r = c + 1; r < n; r++) {
            best = cabs(a[r][c]) > cabs(a[best][c]) ? r : best;
        }
        for (int k = 0; k < n; k++) {
            cplx t = a[c][k];
            a[c][k] = a[best][k];
            a[best][k] = t;
        }
        cplx t = x[c];
        x[c] = x[best];
        x[best] = t;
        for (int r = 0; r < n; r++) {
            if (r == c) {
                continue;
            }
            cplx f = a[r][c] / a[c][c];
            for (int k = c; k < n; k++) {
                a[r][k] -= f * a[c][k];
            }
            x[r] -= f * x[c];
        }
    }
    for (int c = 0; c < n; c++) {
        x[c] /= a[c][c];
    }
}

static cplx split_admittance(const struct cw_setup *s, double w)
{
    double ohm = s->value[CW_P_SPLIT_RESISTOR] * 1e3, farad = s->value[CW_P_SPLIT_CAPACITOR] * 1e-9;
    switch ((enum cw_split_by)(int)s->value[CW_P_SPLIT_BY]) { /* no default: the compiler names a new kind */
    case CW_SPLIT_R:
    case CW_SPLIT_TAPPED_R: return 1 / ohm;
    case CW_SPLIT_C: return I * w * farad;
    case CW_SPLIT_RC_SERIES: return 1 / (ohm + 1 / (I * w * farad));
    case CW_SPLIT_RC_PARALLEL: return 1 / ohm + I * w * farad;
    case CW_SPLIT_TAPPED: break;
    }
    return 0;
}

/* L(s) of a coil. */
static cplx inductance_of(const struct cw_coil *coil, double w)
{
    cplx sum = coil->inductance;
    for (int i = 0; i < CW_BRANCHES; i++) {
        double henry = coil->branch[i].inductance;
        sum += henry > 0 ? across(henry, coil->branch[i].resistance, w) / (I * w) : 0;
    }
    return sum;
}

/* What the core takes off the EMF of each coil: (L(0) - L(s)) L(0)^-1 e, of the pickup before any split. */
static void emf_taken(const struct cw_pickup *p, double w, cplx taken[2])
{
    double l[2] = {0, 0}, m = p->mutual, e1 = p->coil[0].emf, e2 = p->coil[1].emf;
    for (int i = 0; i < 2; i++) {
        l[i] = p->coil[i].inductance + p->coil[i].branch[0].inductance + p->coil[i].branch[1].inductance;
        taken[i] = p->constant_emf ? 0 : l[i] - inductance_of(&p->coil[i], w);
    }
    bool one = p->coils == CW_COILS_ONE;
    taken[0] *= one ? e1 / l[0] : (l[1] * e1 - m * e2) / (l[0] * l[1] - m * m);
    taken[1] *= one ? 0 : (l[0] * e2 - m * e1) / (l[0] * l[1] - m * m);
}

static struct cw_coil kept_of(struct cw_coil coil, double k)
{
    coil.emf *= k;
    coil.resistance *= k;
    coil.inductance *= k * k;
    coil.loss *= k * k;
    coil.tail *= k * k;
    coil.capacitance = k > 0 ? coil.capacitance / (k * k) : 0;
    for (int i = 0; i < CW_BRANCHES; i++) {
        coil.branch[i].inductance *= k * k;
        coil.branch[i].resistance *= k * k;
    }
    return coil;
}

/* Across the inductors of two coils: their losses, and their tails as A' tail A, A the inverse of the inductances that
 * do not lose. */
static void conductances(const struct cw_coil *one, const struct cw_coil *two, double m, double g[2][2])
{
    double l1 = one->inductance, l2 = two->inductance, d = l1 * l2 - m * m;
    const double a[2][2] = {{l2 / d, -m / d}, {-m / d, l1 / d}}, tail[2] = {one->tail, two->tail};
    for (int i = 0; i < 2; i++) {
        for (int k = 0; k < 2; k++) {
            g[i][k] = a[0][i] * tail[0] * a[0][k] + a[1][i] * tail[1] * a[1][k];
        }
    }
    g[0][0] += 1 / one->loss;
    g[1][1] += 1 / two->loss;
}

/* Voltage at hot for a load admittance there and a current driven into it. Unknowns: v hot,
 * v junction, branch currents j1, j2 (upwards through EMF and R), winding currents i1, i2. */
static cplx hot_voltage(const struct cw_setup *s, const struct cw_pickup *p, cplx load, double w)
{
    bool two = p->coils != CW_COILS_ONE, series = p->coils == CW_COILS_SERIES;
    struct cw_coil a = p->coil[0], b = p->coil[1];
    double m = p->mutual;
    cplx shunt_one = 0, shunt_two = 0, taken[2];
    emf_taken(p, w, taken);
    if (series && s->value[CW_P_SPLIT] > 0) {
        bool one = s->value[CW_P_SPLIT_COIL] == CW_SPLIT_COIL_ONE;
        *(one ? &shunt_one : &shunt_two) = split_admittance(s, w);
        if (s->value[CW_P_SPLIT_BY] == CW_SPLIT_TAPPED || s->value[CW_P_SPLIT_BY] == CW_SPLIT_TAPPED_R) {
            double k = s->value[CW_P_SPLIT_KEEP] / 100;
            *(one ? &a : &b) = kept_of(one ? a : b, k);
            taken[one ? 0 : 1] *= k;
            two = k > 0;
            m *= k;
            taken[0] = one && !two ? taken[1] : taken[0];
            a = one && !two ? b : a; /* nothing of coil one is kept: coil two alone */
        }
    }
    cplx x1l = I * w * inductance_of(&a, w), x2l = I * w * inductance_of(&b, w), xm = I * w * m;
    if (!two) {
        double loss = 1 / (1 / a.loss + a.tail / (a.inductance * a.inductance));
        cplx z = a.resistance + x1l * loss / (x1l + loss);
        cplx emf = a.emf - taken[0] * loss / (x1l + loss);
        return (emf / z) / (1 / z + load + I * w * a.capacitance);
    }
    /* The voltage across an inductor, positive downwards, is u1 = -jw (L1 i1 + M i2) for currents
     * upwards; what stands across it carries j - i = -g u. What the core takes off the EMF is inside of it. */
    double g[2][2];
    conductances(&a, &b, m, g);
    enum { VH, VJ, J1, J2, I1, I2 };
    cplx e[6][6] = {{0}}, x[6] = {0};
    double below_one = series ? 1 : 0; /* coil one stands on the junction, or on earth */
    /* Coil one: vh - v_below = e1 - R j1 - (L1 i1 + M i2) */
    e[0][VH] = 1, e[0][VJ] = -below_one, e[0][J1] = a.resistance, e[0][I1] = x1l, e[0][I2] = xm;
    x[0] = a.emf - taken[0], x[2] = g[0][0] * taken[0] + g[0][1] * taken[1];
    /* Coil two from earth to the junction, or to hot. */
    e[1][series ? VJ : VH] = 1, e[1][J2] = b.resistance, e[1][I2] = x2l, e[1][I1] = xm;
    x[1] = b.emf - taken[1], x[3] = g[1][0] * taken[0] + g[1][1] * taken[1];
    e[2][J1] = 1, e[2][I1] = -1 - g[0][0] * x1l - g[0][1] * xm, e[2][I2] = -g[0][0] * xm - g[0][1] * x2l;
    e[3][J2] = 1, e[3][I2] = -1 - g[1][1] * x2l - g[1][0] * xm, e[3][I1] = -g[1][1] * xm - g[1][0] * x1l;
    cplx c1 = I * w * a.capacitance + shunt_one, c2 = I * w * b.capacitance + shunt_two;
    if (series) {
        e[4][J1] = 1, e[4][VH] = -(load + c1), e[4][VJ] = c1;
        e[5][J2] = 1, e[5][J1] = -1, e[5][VJ] = -(c1 + c2), e[5][VH] = c1;
    } else {
        e[4][J1] = 1, e[4][J2] = 1, e[4][VH] = -(load + c1 + I * w * b.capacitance);
        e[5][VJ] = 1;
    }
    solve(6, e, x);
    return x[VH];
}

static double track(const struct cw_setup *s, double x)
{
    double half = s->value[CW_P_TAPER] / 100, base = pow(1 / half - 1, 2);
    if (s->value[CW_P_TRACK] == CW_TRACK_EXPONENTIAL) {
        return (pow(base, x) - 1) / (base - 1);
    }
    return x <= .5 ? half * x / .5 : half + (1 - half) * (x - .5) / .5;
}

static cplx independent(const struct cw_setup *s, const struct cw_pickup *p, double hz)
{
    double w = CW_TAU * hz, share = track(s, s->value[CW_P_VOLUME] / 10), turn = track(s, s->value[CW_P_TONE] / 10);
    double pot = s->value[CW_P_VOLUME_POT] * 1e3;
    cplx tone = 1 / (turn * s->value[CW_P_TONE_POT] * 1e3 + 1 / (I * w * s->value[CW_P_TONE_CAP] * 1e-9));
    double farad = s->value[CW_P_CABLE_LENGTH] * s->value[CW_P_CABLE_CAPACITANCE] + s->value[CW_P_INPUT_CAPACITANCE];
    bool after = s->value[CW_P_TONE_AFTER_VOLUME] > 0;
    cplx low =
        1 / (share * pot) + 1 / (s->value[CW_P_INPUT_RESISTANCE] * 1e6) + I * w * farad * 1e-12 + (after ? tone : 0);
    cplx top = (1 - share) * pot;
    if (s->value[CW_P_BLEED_CAP] > 0) {
        cplx bleed = s->value[CW_P_BLEED_RESISTOR] * 1e3 + 1 / (I * w * s->value[CW_P_BLEED_CAP] * 1e-12);
        top = top * bleed / (top + bleed);
    }
    cplx load = 1 / (top + 1 / low) + (after ? 0 : tone);
    return hot_voltage(s, p, load, w) / (1 + top * low);
}

/* Random setups over the whole ranges, against a numerical solution of Kirchhoff's equations. */
static void agrees_with_kirchhoff(void **state)
{
    (void)state;
    struct rng rng = {3};
    double worst = 0;
    for (int i = 0; i < 800; i++) {
        struct cw_setup s;
        struct cw_pickup p;
        setups_random(&rng, i, &s);
        cw_coil_solve(&s, &p);
        p.constant_emf = i % 3 == 0;
        struct cw_transfer h = signal_of(&s, &p);
        for (double hz = 20; hz <= 20000; hz *= 1.3) {
            double error = cabs(response(&h, hz) / independent(&s, &p, hz) - 1);
            if (!(error <= 1e-9)) {
                print_error("at %g Hz: relative error %g\n  %s\n", hz, error, setups_describe(&s));
                fail();
            }
            worst = worse(worst, error);
        }
    }
    print_message("800 random networks: worst relative error %.2g\n", worst);
}

/* Split settings do nothing to one coil and to coils in parallel. */
static void split_acts_on_series_only(void **state)
{
    (void)state;
    struct rng rng = {4};
    for (int i = 0; i < 64; i++) {
        struct cw_setup s;
        struct cw_pickup p;
        setups_random(&rng, i % 2, &s);
        cw_coil_solve(&s, &p);
        s.value[CW_P_SPLIT] = 1;
        struct cw_transfer split = signal_of(&s, &p), full;
        cw_circuit_transfer(&s, &p, CW_DRIVE_UNSPLIT, &full);
        for (double hz = 20; hz <= 20000; hz *= 10) {
            assert_true(response(&split, hz) == response(&full, hz));
        }
    }
}

/* Both ends, the middle and the linear law, against the formula's own values. */
static void taper_law(void **state)
{
    (void)state;
    const struct {
        double half, quarter, three_quarters;
    } row[] = {{.10, .02500, .32500}, {.15, .04437, .40144}, {.20, .06667, .46667}, {.5, .25, .75}};
    const enum cw_track exponential = CW_TRACK_EXPONENTIAL;
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        WITHIN(cw_circuit_track(exponential, 0, row[i].half), 0, 0);
        WITHIN(cw_circuit_track(exponential, 1, row[i].half), 1, 1e-12);
        WITHIN(cw_circuit_track(exponential, .5, row[i].half), row[i].half, 1e-12);
        WITHIN(cw_circuit_track(exponential, .25, row[i].half), row[i].quarter, 5.1e-6);
        WITHIN(cw_circuit_track(exponential, .75, row[i].half), row[i].three_quarters, 5.1e-6);
    }
    for (double half = .49; half < .5; half += 1e-4) { /* no jump on the way to linear */
        WITHIN(cw_circuit_track(exponential, .25, half), .25, .012);
        WITHIN(cw_circuit_track(exponential, .5, half), half, 1e-9);
    }
    WITHIN(cw_circuit_track(exponential, .3, .5 - 1e-9), .3, 1e-6);
}

/* Two straight pieces: by hand, and how far above the exponential law they stand, in dB. */
static void track_of_two_pieces(void **state)
{
    (void)state;
    const enum cw_track pieces = CW_TRACK_TWO_PIECES;
    WITHIN(cw_circuit_track(pieces, 0, .1), 0, 0);
    WITHIN(cw_circuit_track(pieces, .25, .1), .05, 1e-12);
    WITHIN(cw_circuit_track(pieces, .5, .1), .1, 1e-12);
    WITHIN(cw_circuit_track(pieces, .75, .1), .55, 1e-12);
    WITHIN(cw_circuit_track(pieces, 1, .1), 1, 0);
    WITHIN(cw_circuit_track(pieces, .3, .5), .3, 1e-12);
    const double at[] = {.7, .8, .25}, above[] = {5.0, 3.9, 6.0};
    for (int i = 0; i < 3; i++) {
        double ratio = cw_circuit_track(pieces, at[i], .1) / cw_circuit_track(CW_TRACK_EXPONENTIAL, at[i], .1);
        WITHIN(20 * log10(ratio), above[i], .05);
    }
}

/* The values at the leads are met by the two coils in series. */
static void leads_are_met(void **state)
{
    (void)state;
    struct rng rng = {5};
    for (int i = 0; i < 100; i++) {
        struct cw_setup s;
        struct cw_pickup p;
        setups_random(&rng, 2, &s);
        s.value[CW_P_SECOND_TURNS] = 100;
        s.value[CW_P_SPLIT] = 0;
        cw_coil_solve(&s, &p);
        WITHIN(cw_circuit_dc_resistance(&s, &p) / (1e3 * s.value[CW_P_RESISTANCE]), 1, 1e-12);
        WITHIN(cw_circuit_lead_inductance(&s, &p, s.value[CW_P_INDUCTANCE_AT]) / s.value[CW_P_INDUCTANCE], 1, 1e-12);
        /* Each has the EMF of the square root of its inductance over the reference coil's. */
        double each = sqrt(cw_coil_inductance_at(&p.coil[0], 120) / setups_reference_henry());
        WITHIN((p.coil[0].emf + p.coil[1].emf) / pow(10, s.value[CW_P_SENSITIVITY] / 20) / (2 * each), 1, 1e-7);
        /* Two equal coils in series are one coil with the values at the leads, and with the EMF of both. */
        struct cw_setup one = s;
        struct cw_pickup single;
        one.value[CW_P_COILS] = CW_COILS_ONE;
        cw_coil_solve(&one, &single);
        single.coil[0].emf = p.coil[0].emf + p.coil[1].emf;
        struct cw_transfer pair = signal_of(&s, &p), alone = signal_of(&one, &single);
        for (double hz = 20; hz <= 20000; hz *= 3) {
            assert_true(cabs(response(&pair, hz) / response(&alone, hz) - 1) < 1e-9);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(second_order_closed_form),
        cmocka_unit_test(second_order_check_case),
        cmocka_unit_test(impedance_check_values),
        cmocka_unit_test(loaded_cases),
        cmocka_unit_test(tapped_split),
        cmocka_unit_test(tapped_split_moves_resonance),
        cmocka_unit_test(resistor_split_level),
        cmocka_unit_test(resistor_split_hum),
        cmocka_unit_test(shorted_is_not_removed),
        cmocka_unit_test(capacitor_split_resonates),
        cmocka_unit_test(agrees_with_kirchhoff),
        cmocka_unit_test(split_acts_on_series_only),
        cmocka_unit_test(taper_law),
        cmocka_unit_test(track_of_two_pieces),
        cmocka_unit_test(leads_are_met),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
