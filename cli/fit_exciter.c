/* SPDX-License-Identifier: ISC */
#include "fit_exciter.h"

#include <math.h>
#include <stdlib.h>

#include "digest_file.h"
#include "input.h"
#include "message.h"
#include "numbers.h"
#include "one_port.h"

enum { MOST_BYTES = 1 << 20 };

/* The EMF is told against what it is here. */
static const double REFERENCE_HZ = 200.0;

bool cw_fit_exciter_read(const char *name, struct cw_exciter *exciter, struct cw_fit_take *take)
{
    struct cw_one_port_error error;
    size_t length = 0;
    if (!cw_fit_take_name(name, take)) {
        return false;
    }
    char *text = cw_input_text(take->path, "a response by an exciter coil", MOST_BYTES, &length);
    if (!text) {
        return false;
    }
    bool good = cw_exciter_parse(text, length, exciter, &error);
    free(text);
    if (!good) {
        cw_error_at(take->path, (unsigned)error.line, "%s", error.why);
        return false;
    }
    if (!cw_exciter_impedance(exciter, &take->curve)) {
        cw_error_memory();
        return false;
    }
    return cw_fit_take_usable(take) && cw_digest_file(take->path, take->digest);
}

/* The point next to a frequency. */
static size_t nearest(const struct cw_exciter *exciter, double hz)
{
    size_t best = 0;
    for (size_t i = 1; i < exciter->count; i++) {
        best = fabs(log(exciter->point[i].hz / hz)) < fabs(log(exciter->point[best].hz / hz)) ? i : best;
    }
    return best;
}

void cw_fit_exciter_print(const struct cw_exciter *exciter, const struct cw_instrument *instrument,
                          struct cw_standing standing, FILE *stream)
{
    static const double asked[] = {1000.0, 2000.0, 3000.0, 4000.0, 6000.0, 10000.0};
    fprintf(stream, "EMF through core and cover, by the exciter, against %.0f Hz (± noise of the takes, 95 %%):\n",
            REFERENCE_HZ);
    for (size_t i = 0; i < sizeof asked / sizeof asked[0]; i++) {
        size_t at = nearest(exciter, asked[i]);
        const struct cw_exciter_point *p = &exciter->point[at];
        double error, fall = cw_exciter_emf(exciter, instrument, standing, at, REFERENCE_HZ, &error);
        char hz[24];
        if (isfinite(fall) && fabs(log(p->hz / asked[i])) < 0.05) {
            fprintf(stream, "  %-8s  %6.2f ±%.2f dB\n", cw_print_hz(p->hz, hz, sizeof hz), fall, 1.96 * error);
        }
    }
}
