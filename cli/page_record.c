/* SPDX-License-Identifier: ISC */
#include "page_record.h"

#include "page_escape.h"
#include "take_check.h"

static void print_digest(FILE *stream, const char *label, const char *digest)
{
    fputs("<dt><bdi>", stream);
    cw_print_html(stream, label);
    fprintf(stream, "</bdi></dt><dd><code>%s</code></dd>\n", digest);
}

/* What is wrong with the recording, in words. */
static void print_trouble(FILE *stream, const struct cw_audition *audition)
{
    struct cw_take_figures figures;
    struct cw_take_word words[CW_TAKE_WORDS];
    cw_take_check_figures(&audition->check, &figures);
    size_t count = cw_take_check_words(&figures, audition->bits, words);
    for (size_t i = 0; i < count; i++) {
        if (words[i].trouble) {
            fputs("; <strong>", stream);
            cw_print_html(stream, words[i].text);
            fputs("</strong>", stream);
        }
    }
}

void cw_page_record_print(FILE *stream, const struct cw_audition *audition, long long frames, const char *sound)
{
    fputs("<dl class=\"record\">\n<dt>Program</dt><dd>coilwright " CW_VERSION "</dd>\n<dt>Recording</dt><dd><bdi>",
          stream);
    cw_print_html(stream, audition->title);
    fprintf(stream, "</bdi>, %.1f s at %d Hz", (double)audition->frames / audition->rate, audition->rate);
    if (frames < audition->frames) {
        fprintf(stream, ", of which this page holds the first %.1f s", (double)frames / audition->rate);
    }
    print_trouble(stream, audition);
    fputs("</dd>\n<dt>Undone</dt><dd><bdi>", stream);
    cw_print_html(stream, audition->has_recorded ? audition->recorded_label : "nothing");
    fprintf(stream, "</bdi></dd>\n<dt>Sound</dt><dd>%s</dd>\n</dl>\n", sound);
    fputs("<details><summary>SHA-256 of the recording's file and of each candidate's settings</summary>\n<dl "
          "class=\"record\">\n",
          stream);
    print_digest(stream, audition->title, audition->sound[0].digest);
    for (size_t i = 1; i < audition->count; i++) {
        print_digest(stream, audition->sound[i].label, audition->sound[i].digest);
    }
    fputs("</dl>\n</details>\n", stream);
}
