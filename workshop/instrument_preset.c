/* SPDX-License-Identifier: ISC */
#include "instrument_preset.h"

#include <complex.h>
#include <math.h>

#include "c_complex.h"
#include "circuit.h"
#include "coil.h"
#include "constants.h"
#include "least_squares.h"
#include "polynomial.h"
#include "transfer.h"

/* What is searched of a setup. */
static const enum cw_param_id searched[] = {CW_P_INDUCTANCE,  CW_P_CORE_SHARE,  CW_P_CORE_CORNER, CW_P_LOSS,
                                            CW_P_CAPACITANCE, CW_P_COVER_SHARE, CW_P_COVER_CORNER};
enum { SEARCHED = sizeof searched / sizeof searched[0], POINTS = 48, ROWS = 3 * POINTS + SEARCHED };

/* Where the errors are looked at. */
static const double LOW = 50.0, HIGH = 20e3, RESPONSE_HIGH = 10e3, IMPEDANCE_LOW = 100.0;

static double hz_of(int i) { return LOW * pow(HIGH / LOW, i / (POINTS - 1.0)); }

/* ---- a parameter and a number without ends ----------------------------------------------------- */

static double value_of(enum cw_param_id id, double x)
{
    const struct cw_param_info *info = &cw_param_info[id];
    double part = 1.0 / (1.0 + exp(-x));
    if (info->flags & CW_LOG) {
        return info->minimum * pow(info->maximum / info->minimum, part);
    }
    return info->minimum + part * (info->maximum - info->minimum);
}

static double number_of(enum cw_param_id id, double value)
{
    const struct cw_param_info *info = &cw_param_info[id];
    double part = (value - info->minimum) / (info->maximum - info->minimum);
    if (info->flags & CW_LOG) {
        part = log(value / info->minimum) / log(info->maximum / info->minimum);
    }
    part = fmin(fmax(part, 1e-3), 1.0 - 1e-3);
    return log(part / (1.0 - part));
}

/* ---- what the setup and the instrument do ------------------------------------------------------- */

struct wanted {
    const struct cw_setup *setup;
    double complex impedance[POINTS];
    double response[POINTS]; /* dB */
};

static struct cw_jack_load load_of(const struct cw_setup *s)
{
    const double *v = s->value;
    double picofarad = v[CW_P_CABLE_LENGTH] * v[CW_P_CABLE_CAPACITANCE] + v[CW_P_INPUT_CAPACITANCE];
    return (struct cw_jack_load){picofarad * 1e-12, v[CW_P_INPUT_RESISTANCE] * 1e6};
}

static struct wanted wanted_of(const struct cw_instrument *instrument, const struct cw_setup *setup)
{
    struct wanted wanted = {.setup = setup};
    struct cw_jack_load load = load_of(setup);
    for (int i = 0; i < POINTS; i++) {
        wanted.impedance[i] =
            cw_as_c(cw_instrument_impedance(instrument, (struct cw_standing){.leads = true}, hz_of(i)));
        double complex h =
            cw_as_c(cw_instrument_response(instrument, (struct cw_standing){false, 1.0, 1.0}, load, hz_of(i)));
        wanted.response[i] = 20.0 * log10(cabs(h));
    }
    return wanted;
}

/* Impedance as the logarithm of the ratio, response as a difference in dB over the EMF. */
static void errors(const struct wanted *wanted, const struct cw_setup *setup, double complex *impedance,
                   double *response)
{
    struct cw_pickup pickup;
    struct cw_transfer z, h;
    cw_coil_solve(setup, &pickup);
    pickup.constant_emf = true; /* the network alone */
    cw_circuit_impedance(setup, &pickup, &z);
    cw_circuit_transfer(setup, &pickup, CW_DRIVE_STRING, &h);
    for (int i = 0; i < POINTS; i++) {
        impedance[i] = clog(cw_as_c(cw_transfer_at(&z, hz_of(i))) / wanted->impedance[i]);
        response[i] = cw_transfer_db(&h, hz_of(i)) - 20.0 * log10(pickup.coil[0].emf) - wanted->response[i];
    }
}

static struct cw_setup setup_at(const struct cw_setup *base, const double *x)
{
    struct cw_setup setup = *base;
    for (int i = 0; i < SEARCHED; i++) {
        setup.value[searched[i]] = value_of(searched[i], x[i]);
    }
    return setup;
}

/* In units of 0.1 dB; a weak pull to the middle of each range keeps what does nothing where it is. */
static void residuals(const double *x, double *row, int rows, const void *of)
{
    const struct wanted *wanted = of;
    double complex impedance[POINTS];
    double response[POINTS];
    struct cw_setup setup = setup_at(wanted->setup, x);
    (void)rows;
    errors(wanted, &setup, impedance, response);
    for (int i = 0; i < POINTS; i++) {
        *row++ = 86.86 * creal(impedance[i]);
        *row++ = 86.86 * cimag(impedance[i]);
        *row++ = hz_of(i) <= RESPONSE_HIGH ? 20.0 * response[i] : 0.0;
    }
    for (int i = 0; i < SEARCHED; i++) {
        *row++ = 1e-3 * x[i];
    }
}

/* ---- the setup ---------------------------------------------------------------------------------- */

static void set(struct cw_setup *setup, enum cw_param_id id, double value)
{
    setup->value[id] = cw_param_clean(&cw_param_info[id], value, cw_param_info[id].preset);
}

static void set_parts(const struct cw_instrument *i, struct cw_setup *setup)
{
    bool tone = i->tone_cap > 0.0;
    set(setup, CW_P_COIL_FROM, CW_FROM_MEASURED);
    set(setup, CW_P_COILS, CW_COILS_ONE);
    set(setup, CW_P_SPLIT, 0.0);
    set(setup, CW_P_INDUCTANCE_AT, CW_BENCH_HZ);
    set(setup, CW_P_RESISTANCE, i->resistance * 1e-3);
    set(setup, CW_P_COVER, CW_COVER_BY_VALUES);
    set(setup, CW_P_VOLUME_POT, i->volume_pot * 1e-3);
    set(setup, CW_P_TONE_POT, tone ? i->tone_pot * 1e-3 : INFINITY); /* the nearest to no tone control */
    set(setup, CW_P_TONE_CAP, i->tone_cap * 1e9);
    set(setup, CW_P_VOLUME, 10.0);
    set(setup, CW_P_TONE, 10.0);
    set(setup, CW_P_TONE_AFTER_VOLUME, i->tone_after_volume ? 1.0 : 0.0);
    set(setup, CW_P_BLEED_CAP, i->bleed_cap * 1e12);
    set(setup, CW_P_BLEED_RESISTOR, i->bleed_resistor * 1e-3);
}

/* Where the search begins: the skin's part is the core's, the slow core's and the metal's is the cover's. */
static void begin(const struct cw_instrument *i, double *x)
{
    double henry = i->la + i->le + i->metal, root = i->le * i->per_k, slow = i->le * i->per_r;
    bool skin = root * sqrt(CW_TAU * 10e3) > slow * CW_TAU * 10e3;
    double core_corner = 1.0 / (CW_TAU * root * root), cover = skin ? i->metal : fmax(0.67 * i->le, i->metal);
    double cover_corner = skin || i->metal > i->le ? i->metal_corner : 1.0 / (1.5 * slow * CW_TAU);
    const double value[SEARCHED] = {cw_instrument_inductance(i, CW_BENCH_HZ).re,
                                    skin ? 100.0 * i->le / henry : 2.0,
                                    skin ? core_corner : 60e3,
                                    1e-3 / fmax(i->leak + CW_TAU * 3e3 * i->capacitance * i->loss_angle, 1e-7),
                                    i->capacitance * 1e12,
                                    fmax(100.0 * cover / henry, 1.0),
                                    cover_corner};
    for (int k = 0; k < SEARCHED; k++) {
        x[k] = number_of(searched[k], value[k]);
    }
}

struct cw_reduced cw_instrument_preset(const struct cw_instrument *instrument, struct cw_setup *setup)
{
    struct cw_reduced reduced = {0.0, 0.0};
    double x[SEARCHED], sum, response[POINTS];
    double complex impedance[POINTS];
    set_parts(instrument, setup);
    struct cw_setup base = *setup;
    const struct wanted wanted = wanted_of(instrument, &base);
    const struct cw_squares squares = {residuals, &wanted, SEARCHED, ROWS, 0.0};
    begin(instrument, x);
    if (!cw_squares_least(&squares, x, &sum)) {
        begin(instrument, x);
    }
    *setup = setup_at(&base, x);
    errors(&wanted, setup, impedance, response);
    for (int i = 0; i < POINTS; i++) {
        if (hz_of(i) >= IMPEDANCE_LOW) {
            reduced.impedance = fmax(reduced.impedance, fabs(8.686 * creal(impedance[i])));
        }
        if (hz_of(i) <= RESPONSE_HIGH) {
            reduced.response = fmax(reduced.response, fabs(response[i]));
        }
    }
    return reduced;
}
