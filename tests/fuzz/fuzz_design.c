/* SPDX-License-Identifier: ISC */
/* From any two setups to a filter: every pole inside the unit circle, every figure a number, and no
 * frequency above the boost limit, by a scan of its own. */
#include <math.h>
#include <string.h>

#include "biquad.h"
#include "circuit.h"
#include "coil.h"
#include "digital.h"
#include "figures.h"
#include "fuzz.h"
#include "setup.h"
#include "transfer.h"

static void setup_of(struct fuzz_bytes *bytes, struct cw_setup *setup)
{
    cw_setup_defaults(setup);
    unsigned count = fuzz_byte(bytes) % (CW_PARAMS + 8);
    for (unsigned i = 0; i < count && bytes->left; i++) {
        int at = fuzz_byte(bytes) % CW_PARAMS;
        const struct cw_param_info *info = &cw_param_info[at];
        double share = fuzz_word(bytes) / 65535.0;
        double value = info->flags & CW_LOG ? info->minimum * pow(info->maximum / info->minimum, share)
                                            : info->minimum + (info->maximum - info->minimum) * share;
        setup->value[at] = cw_param_clean(info, (double)(float)value, info->preset);
    }
}

static void require_figures(const struct cw_setup *setup)
{
    struct cw_figures figures;
    cw_figures_of(setup, 50.0, &figures);
    for (int i = 0; i < CW_METERS; i++) {
        FUZZ_REQUIRE(isfinite(figures.value[i]));
    }
}

static void require_stable(const struct cw_sections *s)
{
    FUZZ_REQUIRE(isfinite(s->gain) && s->count >= 0 && s->count <= CW_SECTIONS_MAX && isfinite(s->top));
    for (int i = 0; i < s->count; i++) {
        const struct cw_biquad *q = &s->section[i];
        FUZZ_REQUIRE(isfinite(q->b0) && isfinite(q->b1) && isfinite(q->b2));
        /* the triangle of a stable section */
        FUZZ_REQUIRE(fabs(q->a2) < 1.0 && fabs(q->a1) < 1.0 + q->a2);
    }
}

static void require_limit(const struct cw_sections *s, double rate, double limit_db)
{
    double most = pow(10.0, 0.1 * (limit_db + 0.05));
    for (int i = 0; i <= 400; i++) {
        double hz = fmin(4.0 * pow(rate / 8.0, i / 400.0), 0.5 * rate);
        FUZZ_REQUIRE(cw_sections_power(s, hz, rate) <= most);
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static const double rates[] = {44100, 48000, 96000, 8000, 384000, 88200, 22050, 192000};
    struct fuzz_bytes bytes = {data, size};
    double rate = rates[fuzz_byte(&bytes) % 8], limit_db = fuzz_byte(&bytes) % 61;
    unsigned undo = fuzz_byte(&bytes) & 1;
    struct cw_setup candidate, recorded;
    setup_of(&bytes, &candidate);
    setup_of(&bytes, &recorded);
    require_figures(&candidate);
    struct cw_pickup pickup;
    struct cw_transfer h, r;
    cw_coil_solve(&candidate, &pickup);
    cw_circuit_transfer(&candidate, &pickup, CW_DRIVE_STRING, &h);
    cw_coil_solve(&recorded, &pickup);
    cw_circuit_transfer(&recorded, &pickup, CW_DRIVE_STRING, &r);
    struct cw_sections sections;
    cw_digital_design(&h, undo ? &r : NULL, rate, limit_db, &sections);
    require_stable(&sections);
    require_limit(&sections, rate, limit_db);
    return 0;
}
