/* SPDX-License-Identifier: ISC */
#include "take_words.h"

#include <math.h>

#include "show.h"
#include "wrap.h"

static void print_db(FILE *stream, const char *what, double db)
{
    if (isfinite(db)) {
        fprintf(stream, ", %s %.0f dB", what, db);
    } else {
        fprintf(stream, ", %s nothing", what);
    }
}

bool cw_take_words_print(FILE *stream, const char *name, const struct cw_take_figures *figures, int bits)
{
    struct cw_take_word words[CW_TAKE_WORDS];
    size_t count = cw_take_check_words(figures, bits, words);
    bool trouble = false;
    cw_print_shown(stream, name);
    fprintf(stream, ": %.1f s at %.0f Hz", figures->seconds, figures->rate);
    print_db(stream, "peak", figures->peak);
    print_db(stream, "playing", figures->playing);
    print_db(stream, "mains hum", figures->hum);
    fputc('\n', stream);
    for (size_t i = 0; i < count; i++) {
        fputs(words[i].trouble ? "  ! " : "    ", stream);
        cw_wrap(stream, words[i].text, 4, 4, 80);
        trouble = trouble || words[i].trouble;
    }
    fputs(trouble ? "Better made anew.\n" : "Fit to compare candidates with.\n", stream);
    return trouble;
}
