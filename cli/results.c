/* SPDX-License-Identifier: ISC */
/* The audition's table of figures. */
#include "results.h"
#include "numbers.h"

#include <math.h>

#include "setup.h"
#include "show.h"

/* Empty where there is no figure; "-inf" for the level of silence. */
static void print_number(FILE *stream, bool known, double value, int decimals)
{
    fputc(',', stream);
    if (known && isfinite(value)) {
        char text[40];
        fputs(cw_print_plain(value, decimals, text, sizeof text), stream);
    } else if (known) {
        fputs("-inf", stream);
    }
}

static void print_figures(FILE *stream, const struct cw_sound *sound)
{
    static const struct {
        enum cw_meter_id meter;
        int decimals;
    } columns[] = {{CW_M_RESONANCE, 1},     {CW_M_SPLIT_RESONANCE, 1}, {CW_M_PEAK_FREQUENCY, 1}, {CW_M_PEAK_HEIGHT, 2},
                   {CW_M_DC_RESISTANCE, 3}, {CW_M_LEAD_INDUCTANCE, 3}, {CW_M_LEVEL, 2},          {CW_M_HUM, 2},
                   {CW_M_BUZZ, 2}};
    for (size_t i = 0; i < sizeof columns / sizeof columns[0]; i++) {
        print_number(stream, sound->has_figures, sound->figures.value[columns[i].meter], columns[i].decimals);
    }
}

void cw_results_write(FILE *stream, const struct cw_audition *audition)
{
    fputs(
        "name,label,loudness_lufs,true_peak_dbtp,sample_peak_dbfs,rms_dbfs,true_level_gain_db,matched_gain_db,"
        "resonance_hz,split_resonance_hz,peak_hz,peak_db,dc_resistance_kohm,lead_inductance_h,level_db,hum_db,buzz_db,"
        "tone_db,tone_predicted_db,tone_error_db,level_by,mains_hz,sha256,program,differs_db,differs_hz,times_"
        "noticeable\n",
        stream);
    for (size_t i = 0; i < audition->count; i++) {
        const struct cw_sound *sound = &audition->sound[i];
        fprintf(stream, "%s,", sound->name);
        cw_print_csv(stream, sound->label);
        print_number(stream, true, sound->levels.loudness, 2);
        print_number(stream, true, sound->levels.true_peak, 2);
        print_number(stream, true, sound->levels.sample_peak, 2);
        print_number(stream, true, sound->levels.rms, 2);
        print_number(stream, true, audition->true_lowered, 2);
        print_number(stream, true, sound->matched_gain + audition->matched_lowered, 2);
        print_figures(stream, sound);
        print_number(stream, sound->has_tone, sound->tone_level, 4);
        print_number(stream, sound->has_tone, sound->tone_predicted, 4);
        print_number(stream, sound->has_tone, sound->tone_level - sound->tone_predicted, 4);
        const char *level_by = i == 0 ? "" : cw_sound_is_wound(sound) ? "winding" : "inductance";
        fprintf(stream, ",%s", level_by);
        print_number(stream, i > 0, sound->mains, 0);
        fprintf(stream, ",%s,coilwright " CW_VERSION, sound->digest);
        print_number(stream, sound->has_apart, sound->apart.worst, 2);
        print_number(stream, sound->has_apart, sound->apart.hz, 0);
        print_number(stream, sound->has_apart, sound->apart.times, 2);
        fputc('\n', stream);
    }
}
