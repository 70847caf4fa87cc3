/* SPDX-License-Identifier: ISC */
#include "match_takes.h"

#include <stdio.h>

#include "message.h"
#include "numbers.h"
#include "table.h"
#include "take.h"
#include "take_load.h"
#include "wrap.h"

bool cw_match_takes(const char *mine, const char *theirs, int channel, const struct cw_setup *setup,
                    struct cw_tone *tone)
{
    struct cw_take one = {0}, other = {0};
    struct cw_tone_bands bands;
    bool good = cw_take_load(&one, mine, channel, NULL) && cw_take_load(&other, theirs, channel, NULL);
    if (good) {
        int heard = cw_tone_compare(&one, &other, &bands);
        good = heard >= CW_TONE_LEAST;
        if (good) {
            cw_tone_fit(setup, &bands, tone);
        } else {
            cw_error_at(theirs, 0, "expected sound in at least %d auditory bands of both recordings, found %d",
                        CW_TONE_LEAST, heard);
        }
    }
    cw_take_free(&one);
    cw_take_free(&other);
    return good;
}

void cw_match_takes_print(FILE *stream, const struct cw_tone *tone)
{
    char text[3][32], db[3][32], level[32], left[32];
    const struct cw_tone_figure *r = &tone->resonance, *p = &tone->peak, *l = &tone->inductance;
    cw_wrap_format(
        stream, CW_TABLE_WIDTH,
        "Theirs by its recording: resonance %s (%s to %s), peak %s (%s to %s), inductance %.2f H (%.2f to %.2f%s).",
        cw_print_resonance(r->value, text[0], sizeof text[0]), cw_print_resonance(r->low, text[1], sizeof text[1]),
        cw_print_resonance(r->high, text[2], sizeof text[2]), cw_print_db(p->value, 1, db[0], sizeof db[0]),
        cw_print_db(p->low, 1, db[1], sizeof db[1]), cw_print_db(p->high, 1, db[2], sizeof db[2]), l->value, l->low,
        l->high, tone->open_low || tone->open_high ? ", where the search ends" : "");
    cw_wrap_format(
        stream, CW_TABLE_WIDTH,
        "Level %s over mine; %s of the difference are left unexplained (root mean square); the response is unsure by "
        "%.1f dB in a band.",
        cw_print_db(tone->level, 1, level, sizeof level), cw_print_db(tone->left, 1, left, sizeof left), tone->unsure);
    cw_wrap_format(
        stream, CW_TABLE_WIDTH,
        "How little this proves: the same phrase by the same hand is taken to differ by 1.5 dB a band and to lean by "
        "1.5 dB an octave in the treble (our own choice, and in the intervals); strings, pick, the coil's place and "
        "height, controls and cable change a spectrum as a pickup does; all that is taken for the "
        "pickup here. Inductance and loss alone are fitted, with your guitar's controls and cable. A measurement at "
        "the jack (measure) says far more.");
    fputc('\n', stream);
}
