/* SPDX-License-Identifier: ISC */
#include "page_data.h"

#include <math.h>

#include "curve.h"
#include "level.h"
#include "numbers.h"
#include "page_escape.h"
#include "slope.h"

enum { POINTS = 181 }; /* 60 steps a decade */
static const double HZ_LOW = 20.0, DECADES = 3.0;

static double hz_of(int point) { return HZ_LOW * pow(10.0, DECADES * point / (POINTS - 1)); }

static void print_frequencies(FILE *stream)
{
    for (int i = 0; i < POINTS; i++) {
        fprintf(stream, "%s%.1f", i ? "," : "", hz_of(i));
    }
}

/* The level of a sound at each frequency; of the recording, of what it went through, or flat. */
static void print_curve(FILE *stream, const struct cw_audition *audition, size_t index)
{
    struct cw_curve curve;
    bool flat = index == 0 && !audition->has_recorded;
    if (!flat) {
        cw_curve_init(&curve, &audition->sound[index].setup, NULL);
    }
    struct cw_slope slope;
    bool sloped = cw_sound_slope(audition, &audition->sound[index], audition->rate, &slope);
    for (int i = 0; i < POINTS; i++) {
        double db = flat ? 0.0 : cw_curve_db(&curve, hz_of(i));
        db += sloped ? 10.0 * log10(cw_slope_power(&slope, hz_of(i))) : 0.0;
        fputs(i ? "," : "", stream);
        if (isfinite(db)) {
            char text[40];
            fputs(cw_print_plain(db, 2, text, sizeof text), stream);
        } else {
            fputs("null", stream);
        }
    }
}

void cw_page_data_print(FILE *stream, const struct cw_audition *audition)
{
    fprintf(stream, "{\"rate\":%d,\"frames\":%lld,\"hz\":[", audition->rate, audition->page_frames);
    print_frequencies(stream);
    fputs("],\"sounds\":[", stream);
    for (size_t i = 0; i < audition->count; i++) {
        const struct cw_sound *sound = &audition->sound[i];
        fprintf(stream, "%s\n{\"label\":", i ? "," : "");
        cw_print_json(stream, sound->label);
        fputs(",\"comment\":", stream);
        cw_print_json(stream, sound->comment ? sound->comment : "");
        fprintf(stream, ",\"match\":%.6f,\"db\":[", cw_from_db(sound->matched_gain));
        print_curve(stream, audition, i);
        fputs("]}", stream);
    }
    fputs("\n]}", stream);
}
