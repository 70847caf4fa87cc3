/* SPDX-License-Identifier: ISC */
/* Fills in the live page's template. Every text that is not ours goes through page_escape.h. */
#include "live_page.h"

#include <string.h>

#include "audio.h"
#include "clip.h"
#include "message.h"
#include "page_escape.h"
#include "page_record.h"
#include "page_table.h"
#include "page_template.h"
#include "page_texts.h"
#include "pages.h"
#include "render.h"
#include "setup.h"

bool cw_live_page_can(void)
{
    if (cw_live_wasm_bytes == 0) {
        cw_error("a live page cannot be made: this program was built without the core as WebAssembly (for which the "
                 "build needs, by Debian's names, the packages clang, lld, wasi-libc and libclang-rt-dev-wasm32)");
    }
    return cw_live_wasm_bytes > 0;
}

/* ---- the recording ------------------------------------------------------------------------------ */

static bool read_blocks(struct cw_audio_in *in, struct cw_clip *clip)
{
    float block[CW_AUDIO_BLOCK];
    for (long n; clip->left > 0 && (n = cw_audio_read(in, block)) != 0;) {
        if (n < 0 || !cw_clip_add(clip, block, (size_t)n)) {
            return false;
        }
    }
    return true;
}

bool cw_live_take_read(const struct cw_audition *audition, const char *di, int channel, struct cw_live_take *take)
{
    long long most = CW_PAGE_SECONDS * (long long)audition->rate;
    struct cw_audio_in in = {0};
    struct cw_clip clip = {0};
    take->frames = audition->frames < most ? audition->frames : most;
    bool good = cw_audio_open(&in, di, channel) &&
                cw_clip_start(&clip, &take->clip, true, audition->rate, take->frames) && read_blocks(&in, &clip) &&
                cw_clip_finish(&clip);
    cw_clip_drop(&clip);
    cw_audio_close(&in);
    return good;
}

void cw_live_take_free(struct cw_live_take *take)
{
    cw_bytes_free(&take->clip);
    memset(take, 0, sizeof *take);
}

/* ---- the page ----------------------------------------------------------------------------------- */

struct source {
    const struct cw_audition *audition;
    const struct cw_live_take *take;
};

/* WebAssembly may run, and the worklet is a data: address, since scripts of a file have no other. */
static void policy(FILE *stream, const struct source *source)
{
    (void)source;
    cw_policy_print(stream, cw_live_css, cw_live_js, " 'wasm-unsafe-eval' data:");
}

static void title(FILE *stream, const struct source *source) { cw_print_html(stream, source->audition->title); }

static void style(FILE *stream, const struct source *source)
{
    (void)source;
    fputs((const char *)cw_live_css, stream);
}

static void script(FILE *stream, const struct source *source)
{
    (void)source;
    fputs((const char *)cw_live_js, stream);
}

static void summary(FILE *stream, const struct source *source)
{
    const struct cw_audition *audition = source->audition;
    fprintf(stream,
            "%.1f s at %g kHz through a pickup whose values you move, against %zu candidate%s. It is all in this page: "
            "the program's own model, and nothing is sent anywhere. ",
            (double)source->take->frames / audition->rate, audition->rate / 1000.0, audition->count - 1,
            audition->count == 2 ? "" : "s");
    if (audition->has_recorded) {
        fputs("What the recording went through is undone: <bdi>", stream);
        cw_print_html(stream, audition->recorded_label);
        fputs("</bdi>.", stream);
    } else {
        fputs("Nothing is undone: all is heard on top of the pickup that the recording was made with.", stream);
    }
}

static void clip(FILE *stream, const struct source *source)
{
    fputs("<p><audio controls preload=\"none\" src=\"data:audio/flac;base64,", stream);
    cw_base64_print(stream, source->take->clip.data, source->take->clip.count);
    fputs("\"></audio></p>", stream);
}

static void table(FILE *stream, const struct source *source) { cw_page_table_print(stream, source->audition); }

static void record(FILE *stream, const struct source *source)
{
    cw_page_record_print(
        stream, source->audition, source->take->frames,
        "the recording as FLAC of 24 bits, made by libsndfile and libFLAC; all else is made in the page");
}

static void notices(FILE *stream, const struct source *source)
{
    (void)source;
    fputs("<details><summary>Licences of what is compiled in</summary>\n<div class=\"notice\">", stream);
    cw_print_html(stream, (const char *)cw_live_notices);
    fputs("</div>\n</details>", stream);
}

static void core(FILE *stream, const struct source *source)
{
    (void)source;
    cw_base64_print(stream, cw_live_wasm, cw_live_wasm_bytes);
}

static void worklet(FILE *stream, const struct source *source)
{
    (void)source;
    cw_base64_print(stream, cw_live_worklet_js, strlen((const char *)cw_live_worklet_js));
}

/* ---- what the script reads ---------------------------------------------------------------------- */

static void print_values(FILE *stream, const struct cw_setup *setup)
{
    for (int i = 0; i < CW_PARAMS; i++) {
        fprintf(stream, "%s%.17g", i ? "," : "[", setup->value[i]);
    }
    fputc(']', stream);
}

/* Ports are told, so that the script knows no number of its own. */
static void print_ports(FILE *stream)
{
    fprintf(stream,
            "\"ports\":{\"first\":%d,\"last\":%d,\"listen\":%d,\"level_match\":%d,\"rec\":%d,\"a\":%d,\"b\":%d,"
            "\"params\":%d,\"cable_length\":%d,\"cable_capacitance\":%d}",
            CW_PORT_GLOBAL, CW_PORT_METER - 1, cw_port_of_global(CW_G_LISTEN), cw_port_of_global(CW_G_LEVEL_MATCH),
            cw_port_of_param(CW_REC, 0), cw_port_of_param(CW_A, 0), cw_port_of_param(CW_B, 0), CW_PARAMS,
            CW_P_CABLE_LENGTH, CW_P_CABLE_CAPACITANCE);
}

/* Of what is common to all sounds: as for the first candidate. */
static void print_globals(FILE *stream, const struct cw_audition *audition)
{
    static const enum cw_global_id told[] = {CW_G_UNDO_RECORDING, CW_G_BOOST_LIMIT, CW_G_MAINS, CW_G_STRING_PLACES};
    struct cw_controls controls = cw_sound_controls(audition, &audition->sound[1]);
    for (size_t i = 0; i < sizeof told / sizeof told[0]; i++) {
        fprintf(stream, "%s[%d,%.17g]", i ? "," : "", cw_port_of_global(told[i]), controls.global[told[i]]);
    }
}

static void data(FILE *stream, const struct source *source)
{
    const struct cw_audition *audition = source->audition;
    fprintf(stream, "{\"rate\":%d,\"frames\":%lld,\"undone\":%s,\"open\":[%d,%d,%d,%d],", audition->rate,
            source->take->frames, audition->has_recorded ? "true" : "false", CW_PAGE_COIL, CW_PAGE_SPLIT,
            CW_PAGE_CONTROLS, CW_PAGE_CABLE);
    print_ports(stream);
    fputs(",\"globals\":[", stream);
    print_globals(stream, audition);
    fputs("],\"recorded\":", stream);
    print_values(stream, &audition->sound[0].setup);
    fputs(",\"candidates\":[", stream);
    for (size_t i = 1; i < audition->count; i++) {
        const struct cw_sound *sound = &audition->sound[i];
        fprintf(stream, "%s\n{\"label\":", i > 1 ? "," : "");
        cw_print_json(stream, sound->label);
        fputs(",\"comment\":", stream);
        cw_print_json(stream, sound->comment ? sound->comment : "");
        fputs(",\"values\":", stream);
        print_values(stream, &sound->setup);
        fputc('}', stream);
    }
    fputs("\n]}", stream);
}

static const struct {
    const char *name;
    void (*print)(FILE *stream, const struct source *source);
} fields[] = {
    {"policy", policy},   {"title", title}, {"style", style},     {"script", script},
    {"summary", summary}, {"clip", clip},   {"table", table},     {"record", record},
    {"notices", notices}, {"core", core},   {"worklet", worklet}, {"data", data},
};

static void print_field(FILE *stream, const char *name, size_t length, const void *source)
{
    for (size_t i = 0; i < sizeof fields / sizeof fields[0]; i++) {
        if (strlen(fields[i].name) == length && strncmp(fields[i].name, name, length) == 0) {
            fields[i].print(stream, source);
        }
    }
}

void cw_live_page_write(FILE *stream, const struct cw_audition *audition, const struct cw_live_take *take)
{
    const struct source source = {audition, take};
    cw_template_print(stream, cw_live_html, print_field, &source);
}
