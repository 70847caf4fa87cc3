/* SPDX-License-Identifier: ISC */
/* Fills in the page's template. Every text that is not ours goes through page_escape.h. */
#include "page.h"

#include <math.h>
#include <string.h>

#include "audible.h"
#include "bytes.h"
#include "page_data.h"
#include "page_escape.h"
#include "page_record.h"
#include "page_table.h"
#include "page_template.h"
#include "page_texts.h"
#include "recorded_loss.h"

static void policy(FILE *stream, const struct cw_audition *audition)
{
    (void)audition;
    cw_policy_print(stream, cw_listen_css, cw_listen_js, "");
}

static void title(FILE *stream, const struct cw_audition *audition) { cw_print_html(stream, audition->title); }

static void style(FILE *stream, const struct cw_audition *audition)
{
    (void)audition;
    fputs((const char *)cw_listen_css, stream);
}

static void script(FILE *stream, const struct cw_audition *audition)
{
    (void)audition;
    fputs((const char *)cw_listen_js, stream);
}

static void summary(FILE *stream, const struct cw_audition *audition)
{
    fprintf(stream, "%.1f s at %g kHz, as recorded and through %zu candidate%s. ",
            (double)audition->page_frames / audition->rate, audition->rate / 1000.0, audition->count - 1,
            audition->count == 2 ? "" : "s");
    if (audition->has_recorded) {
        fputs("What the recording went through is undone: <bdi>", stream);
        cw_print_html(stream, audition->recorded_label);
        fputs("</bdi>.", stream);
    } else {
        fputs("Nothing is undone: each candidate is heard on top of the pickup that the recording was made with.",
              stream);
    }
}

static void clips(FILE *stream, const struct cw_audition *audition)
{
    for (size_t i = 0; i < audition->count; i++) {
        const struct cw_sound *sound = &audition->sound[i];
        fputs("<p><strong><bdi>", stream);
        cw_print_html(stream, sound->label);
        fputs("</bdi></strong> <bdi>", stream);
        cw_print_html(stream, sound->comment ? sound->comment : "");
        fputs("</bdi><br><audio controls preload=\"none\" src=\"data:audio/flac;base64,", stream);
        cw_base64_print(stream, sound->clip.data, sound->clip.count);
        fputs("\"></audio></p>\n", stream);
    }
}

static void pictures(FILE *stream, const struct cw_audition *audition)
{
    for (size_t i = 0; i < audition->pictures; i++) {
        fputs("<img alt=\"Level against frequency, as a difference to the first candidate. The figures stand in the "
              "table below.\" src=\"data:image/png;base64,",
              stream);
        cw_base64_print(stream, audition->picture[i].data, audition->picture[i].count);
        fputs("\">\n", stream);
    }
}

static void plot_note(FILE *stream, const struct cw_audition *audition)
{
    fputs("Level at the amplifier, of the whole path from string to amplifier", stream);
    fputs(audition->has_recorded ? "; as recorded, of what the recording went through."
                                 : "; as recorded stands flat, since nothing is undone.",
          stream);
}

static void print_side(FILE *stream, const struct cw_audition *audition, const struct cw_pair *pair, size_t sound,
                       char side)
{
    fprintf(stream, "<button type=\"button\" data-sound=\"%zu\" data-a=\"%zu\" data-b=\"%zu\">%c: ", sound, pair->a,
            pair->b, side);
    cw_print_html(stream, audition->sound[sound].label);
    fputs("</button>", stream);
}

static void pairs(FILE *stream, const struct cw_audition *audition)
{
    if (!audition->pairs) {
        return;
    }
    fputs("<section aria-labelledby=\"pairs\">\n<h2 id=\"pairs\">Comparisons</h2>\n<ul class=\"pairs\">\n", stream);
    for (size_t i = 0; i < audition->pairs; i++) {
        const struct cw_pair *pair = &audition->pair[i];
        fputs("<li><strong><bdi>", stream);
        cw_print_html(stream, pair->label);
        fputs("</bdi></strong> <bdi class=\"soft\">", stream);
        cw_print_html(stream, pair->comment ? pair->comment : "");
        fputs("</bdi> <span class=\"sides\"><bdi>A: ", stream);
        cw_print_html(stream, audition->sound[pair->a].label);
        fputs("</bdi>; <bdi>B: ", stream);
        cw_print_html(stream, audition->sound[pair->b].label);
        fputs("</bdi></span>\n<div class=\"row\">", stream);
        print_side(stream, audition, pair, pair->a, 'A');
        print_side(stream, audition, pair, pair->b, 'B');
        fputs("</div></li>\n", stream);
    }
    fputs("</ul>\n</section>\n", stream);
}

static void print_level_notes(FILE *stream, const struct cw_audition *audition)
{
    fputs(audition->by_loudness
              ? "Levels are matched by loudness, to the quietest: nothing is raised. "
              : "Levels are matched by plain mean power, to the quietest, because the recording is too short or too "
                "quiet for a loudness measurement (0.4 s, \u221270 LUFS). ",
          stream);
    if (audition->page_lowered < 0.0) {
        fprintf(stream, "All sound in this page is lowered alike by %.1f dB so that none clips. ",
                -audition->page_lowered);
    }
    if (cw_audition_footings(audition) == 2) {
        fputs(
            "True level stands on two footings here: by winding, the EMF of its turns, core and magnet; by inductance, "
            "that of its square root. For the usual coils the two are within 1 dB. ",
            stream);
    }
    char lost[CW_LOSS_TEXT];
    if (cw_audition_loss(audition, lost)) {
        fputs(lost, stream);
    }
}

static void figure_note(FILE *stream, const struct cw_audition *audition)
{
    print_level_notes(stream, audition);
    double mains = audition->sound[audition->count - 1].mains;
    bool alike = true;
    for (size_t i = 1; i < audition->count; i++) {
        alike = alike && audition->sound[i].mains == mains;
    }
    fputs("Resonance and peak are of the candidate itself, loaded by controls, cable and input. Level: against the "
          "same setup unsplit. Hum, and buzz (its harmonics): against one coil alone, ",
          stream);
    if (alike) {
        fprintf(stream, "at %.0f Hz mains.", mains);
    } else {
        fputs("at the mains frequency that each file sets.", stream);
    }
    if (audition->count > 2) {
        fprintf(stream,
                " Heard: the auditory band that differs most from candidate 1, both at one level below 630 Hz; perhaps "
                "from %.1f dB, yes from %.1f dB on.",
                CW_AUDIBLE_DB, 2.0 * CW_AUDIBLE_DB);
    }
}

static void record(FILE *stream, const struct cw_audition *audition)
{
    cw_page_record_print(stream, audition, audition->page_frames,
                         "FLAC, 16 bits with dither, made by libsndfile and libFLAC");
}

static const struct {
    const char *name;
    void (*print)(FILE *stream, const struct cw_audition *audition);
} fields[] = {
    {"policy", policy},
    {"title", title},
    {"style", style},
    {"script", script},
    {"summary", summary},
    {"clips", clips},
    {"pictures", pictures},
    {"plot_note", plot_note},
    {"pairs", pairs},
    {"table", cw_page_table_print},
    {"figure_note", figure_note},
    {"record", record},
    {"data", cw_page_data_print},
};

static void print_field(FILE *stream, const char *name, size_t length, const void *audition)
{
    for (size_t i = 0; i < sizeof fields / sizeof fields[0]; i++) {
        if (strlen(fields[i].name) == length && strncmp(fields[i].name, name, length) == 0) {
            fields[i].print(stream, audition);
        }
    }
}

void cw_page_write(FILE *stream, const struct cw_audition *audition)
{
    cw_template_print(stream, cw_listen_html, print_field, audition);
}
