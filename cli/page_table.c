/* SPDX-License-Identifier: ISC */
#include "page_table.h"

#include <math.h>
#include <string.h>

#include "audible.h"
#include "numbers.h"
#include "page_escape.h"
#include "setup.h"

enum { CELL_BYTES = 64 };

static void print_decimal(char cell[CELL_BYTES], double value, int decimals)
{
    cw_print_plain(value, decimals, cell, CELL_BYTES);
    cw_true_minus(cell, CELL_BYTES);
}

static void print_level(char cell[CELL_BYTES], double db)
{
    if (isfinite(db)) {
        print_decimal(cell, db, 1);
    } else {
        snprintf(cell, CELL_BYTES, "silent");
    }
}

static void loudness(char cell[CELL_BYTES], const struct cw_sound *sound) { print_level(cell, sound->levels.loudness); }
static void match(char cell[CELL_BYTES], const struct cw_sound *sound) { print_level(cell, sound->matched_gain); }

static void level_by(char cell[CELL_BYTES], const struct cw_sound *sound)
{
    snprintf(cell, CELL_BYTES, "%s", cw_sound_is_wound(sound) ? "winding" : "inductance");
}

static void resonance(char cell[CELL_BYTES], const struct cw_sound *sound)
{
    cw_print_resonance(sound->figures.value[CW_M_RESONANCE], cell, CELL_BYTES);
}

static void peak(char cell[CELL_BYTES], const struct cw_sound *sound)
{
    const double *v = sound->figures.value;
    cw_print_peak(v[CW_M_PEAK_FREQUENCY], v[CW_M_PEAK_HEIGHT], cell, CELL_BYTES);
    cw_true_minus(cell, CELL_BYTES);
}

static void resistance(char cell[CELL_BYTES], const struct cw_sound *sound)
{
    print_decimal(cell, sound->figures.value[CW_M_DC_RESISTANCE], 2);
}

static void inductance(char cell[CELL_BYTES], const struct cw_sound *sound)
{
    print_decimal(cell, sound->figures.value[CW_M_LEAD_INDUCTANCE], 2);
}

static void split_level(char cell[CELL_BYTES], const struct cw_sound *sound)
{
    print_decimal(cell, sound->figures.value[CW_M_LEVEL], 1);
}

static void hum(char cell[CELL_BYTES], const struct cw_sound *sound)
{
    cw_print_noise(sound->figures.value[CW_M_HUM], cell, CELL_BYTES);
    cw_true_minus(cell, CELL_BYTES);
}

static void buzz(char cell[CELL_BYTES], const struct cw_sound *sound)
{
    cw_print_noise(sound->figures.value[CW_M_BUZZ], cell, CELL_BYTES);
    cw_true_minus(cell, CELL_BYTES);
}

/* Against the first candidate, once both are equally loud. */
static void heard(char cell[CELL_BYTES], const struct cw_sound *sound)
{
    if (sound->has_apart) {
        cw_audible_words(&sound->apart, cell, CELL_BYTES);
    }
    cw_true_minus(cell, CELL_BYTES);
}

static const struct {
    const char *name, *unit;
    bool figure; /* worked out of the setup: empty where there is none */
    void (*print)(char cell[CELL_BYTES], const struct cw_sound *sound);
} columns[] = {
    {"Loudness", "LUFS", false, loudness},
    {"Match", "dB", false, match},
    {"Resonance", "", true, resonance},
    {"Peak", "", true, peak},
    {"Resistance", "kΩ", true, resistance},
    {"Inductance", "H", true, inductance},
    {"Level, split", "dB", true, split_level},
    {"Hum", "", true, hum},
    {"Buzz", "", true, buzz},
    {"Heard against 1?", "", true, heard},
    {"Level by", "", true, level_by},
};
enum { COLUMNS = sizeof columns / sizeof columns[0] };

/* The last column is there only where true levels stand on two footings. */
static int columns_of(const struct cw_audition *audition)
{
    return cw_audition_footings(audition) == 2 ? COLUMNS : COLUMNS - 1;
}

/* A unit stays on the line of its number. */
static void keep_units(char cell[CELL_BYTES])
{
    static const char space[] = "\xc2\xa0", *const unit[] = {" dB", " Hz", " kHz"};
    for (size_t i = 0; i < sizeof unit / sizeof unit[0]; i++) {
        for (char *at = cell; (at = strstr(at, unit[i])) != NULL && strlen(cell) + 1 < CELL_BYTES; at += sizeof space) {
            memmove(at + sizeof space - 1, at + 1, strlen(at + 1) + 1);
            memcpy(at, space, sizeof space - 1);
        }
    }
}

static void print_row(FILE *stream, const struct cw_sound *sound, int count)
{
    fputs("<tr><th scope=\"row\"><bdi>", stream);
    cw_print_html(stream, sound->label);
    fputs("</bdi></th>", stream);
    for (int i = 0; i < count; i++) {
        char cell[CELL_BYTES] = "";
        if (!columns[i].figure || sound->has_figures) {
            columns[i].print(cell, sound);
        }
        keep_units(cell);
        fprintf(stream, "<td data-label=\"%s%s%s\">%s</td>", columns[i].name, *columns[i].unit ? ", " : "",
                columns[i].unit, cell);
    }
    fputs("</tr>\n", stream);
}

void cw_page_table_print(FILE *stream, const struct cw_audition *audition)
{
    int count = columns_of(audition);
    fputs("<table class=\"cards\">\n<thead><tr><td></td>", stream);
    for (int i = 0; i < count; i++) {
        fprintf(stream, "<th scope=\"col\">%s%s%s</th>", columns[i].name, *columns[i].unit ? "<br>" : "",
                columns[i].unit);
    }
    fputs("</tr></thead>\n<tbody>\n", stream);
    for (size_t i = 0; i < audition->count; i++) {
        print_row(stream, &audition->sound[i], count);
    }
    fputs("</tbody>\n</table>\n", stream);
}
