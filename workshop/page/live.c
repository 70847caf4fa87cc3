/* SPDX-License-Identifier: ISC */
#include "live.h"

#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>

#include "acts.h"
#include "circuit.h"
#include "coil.h"
#include "control.h"
#include "curve.h"
#include "escape.h"
#include "figure_words.h"
#include "figures.h"
#include "no_cable.h"
#include "numbers.h"
#include "pages.h"
#include "paper.h"
#include "places.h"
#include "preset_text.h"
#include "quantity.h"
#include "settings_text.h"
#include "setup.h"
#include "slope.h"
#include "transfer.h"
#include "voice.h"

enum { VOICE_BYTES = 1 << 18, NAME_BYTES = CW_SETTINGS_NAME_BYTES };

/* Of one instance: WebAssembly gives each its own. */
static struct {
    double rate;
    struct cw_controls controls;
    bool moved;            /* the voice has not seen them yet */
    bool stale[CW_SETUPS]; /* what follows is to be worked out anew */
    struct cw_curve curve[CW_SETUPS];
    struct cw_figures figures[CW_SETUPS];
    struct cw_no_cable no_cable[CW_SETUPS];
    struct cw_pickup pickup[CW_SETUPS];
    struct cw_transfer sum[CW_SETUPS], apart[CW_SETUPS]; /* of both coils, and of one against the other */
    struct cw_place_means means[CW_SETUPS];
    bool sloped[CW_SETUPS];
    struct cw_slope slope[CW_SETUPS];
    int port[CW_PAGE_MOST];
    float audio[CW_LIVE_FRAMES];
    char text[CW_LIVE_TEXT];
} live;

static _Alignas(CW_VOICE_ALIGNMENT) unsigned char voice_memory[VOICE_BYTES];

static struct cw_voice *voice(void) { return (struct cw_voice *)(void *)voice_memory; }

/* ---- controls and sound ------------------------------------------------------------------------- */

int cw_live_start(double rate)
{
    if (cw_voice_size() > sizeof voice_memory) {
        return 0;
    }
    live.rate = rate;
    cw_controls_defaults(&live.controls);
    cw_voice_init(voice(), rate);
    live.moved = true;
    for (int i = 0; i < CW_SETUPS; i++) {
        live.stale[i] = true;
    }
    return 1;
}

static double *value_of(const struct cw_control *control)
{
    return control->global ? &live.controls.global[control->id]
                           : &live.controls.setup[control->which].value[control->id];
}

double cw_live_set(int port, double value)
{
    struct cw_control control;
    if (!cw_control_of(port, &control)) {
        return 0.0;
    }
    double *place = value_of(&control);
    *place = cw_param_clean(control.info, value, *place);
    live.moved = true;
    /* The coils' places and what was recorded go into every curve that is heard through them. */
    for (int i = 0; i < CW_SETUPS; i++) {
        live.stale[i] = live.stale[i] || control.global || (int)control.which == i || control.which == CW_REC;
    }
    return *place;
}

double cw_live_value(int port)
{
    struct cw_control control;
    return cw_control_of(port, &control) ? *value_of(&control) : 0.0;
}

float *cw_live_audio(void) { return live.audio; }

static double as_port(double value) { return (double)(float)value; }

static void hand_over(void)
{
    struct cw_controls heard = live.controls;
    for (int i = 0; i < CW_GLOBALS; i++) {
        heard.global[i] = as_port(heard.global[i]);
    }
    for (int which = 0; which < CW_SETUPS; which++) {
        for (int i = 0; i < CW_PARAMS; i++) {
            heard.setup[which].value[i] = as_port(heard.setup[which].value[i]);
        }
    }
    cw_voice_set(voice(), &heard);
    live.moved = false;
}

void cw_live_run(int frames)
{
    if (live.moved) {
        hand_over();
    }
    if (frames > 0 && frames <= CW_LIVE_FRAMES) {
        cw_voice_process(voice(), live.audio, live.audio, (size_t)frames);
    }
}

void cw_live_rest(void) { cw_voice_reset(voice()); }

/* ---- words -------------------------------------------------------------------------------------- */

char *cw_live_text(void) { return live.text; }

static const char *say(const char *words)
{
    snprintf(live.text, sizeof live.text, "%s", words);
    return live.text;
}

static const char *minus(void) { return cw_true_minus(live.text, sizeof live.text); }

const char *cw_live_describe(int port)
{
    struct cw_control control;
    if (!cw_control_of(port, &control)) {
        return say("null");
    }
    const struct cw_param_info *info = control.info;
    char range[CW_WHY_SIZE];
    struct cw_paper paper = {.text = live.text, .size = sizeof live.text};
    cw_paper_print(&paper, "{\"symbol\":\"%s%s\",\"name\":\"%s\",\"kind\":\"%s\",\"unit\":\"%s\",\"points\":[",
                   control.global ? "" : cw_setup_prefix[control.which], info->symbol, info->name,
                   info->flags & CW_TOGGLE ? "switch"
                   : info->point_count > 0 ? "list"
                                           : "number",
                   cw_unit_symbol(info->unit));
    for (size_t i = 0; i < info->point_count; i++) {
        cw_paper_print(&paper, "%s[%.17g,\"%s\"]", i ? "," : "", info->points[i].value, info->points[i].label);
    }
    cw_paper_print(&paper, "],\"meaning\":\"%s\",\"range\":\"%s\"}", info->meaning,
                   cw_value_range(info, range, sizeof range));
    return live.text;
}

const char *cw_live_print(int port)
{
    struct cw_control control;
    if (!cw_control_of(port, &control)) {
        return say("");
    }
    cw_control_print(control.info, *value_of(&control), live.text, sizeof live.text);
    return minus();
}

const char *cw_live_idle(int port)
{
    struct cw_control control;
    if (!cw_control_of(port, &control) || control.global) {
        return say("");
    }
    return say(cw_idle_words(cw_param_idle(&live.controls.setup[control.which], (enum cw_param_id)control.id)));
}

int cw_live_read(int port)
{
    struct cw_control control;
    char why[CW_WHY_SIZE];
    double value;
    if (!cw_control_of(port, &control)) {
        return 0;
    }
    if (!cw_value_parse(control.info, live.text, &value, why)) {
        say(why);
        return 0;
    }
    cw_live_set(port, value);
    return 1;
}

/* ---- sliders and pages -------------------------------------------------------------------------- */

double cw_live_share(int port)
{
    struct cw_control control;
    return cw_control_of(port, &control) ? cw_control_share(control.info, *value_of(&control)) : 0.0;
}

double cw_live_at(int port, double share)
{
    struct cw_control control;
    return cw_control_of(port, &control) ? cw_control_at(control.info, share, false) : 0.0;
}

double cw_live_step(int port, int steps, int fine)
{
    struct cw_control control;
    return cw_control_of(port, &control) ? cw_control_step(control.info, *value_of(&control), steps, fine != 0) : 0.0;
}

int cw_live_pages(void) { return CW_PAGES; }

const char *cw_live_page_name(int page) { return say(page >= 0 && page < CW_PAGES ? cw_page_name[page] : ""); }

int cw_live_page(int page)
{
    const struct cw_setup *setup = &live.controls.setup[CW_A];
    bool there = page >= 0 && page < CW_PAGES && cw_page_applies((enum cw_page)page, setup);
    int count = there ? cw_page_ports((enum cw_page)page, CW_A, setup, live.port) : 0, kept = 0;
    for (int i = 0; i < count; i++) { /* nothing is learned here of what is played */
        if (live.port[i] != cw_port_of_global(CW_G_LEVEL_BY_PLAYED)) {
            live.port[kept++] = live.port[i];
        }
    }
    return kept;
}

const int *cw_live_ports(void) { return live.port; }

/* ---- curves and figures ------------------------------------------------------------------------- */

static bool slope_of(int which, struct cw_slope *slope)
{
    const struct cw_controls *c = &live.controls;
    return which != CW_REC && c->global[CW_G_STRING_PLACES] > 0.0 && c->global[CW_G_UNDO_RECORDING] > 0.0 &&
           cw_slope_between(&c->setup[which], &c->setup[CW_REC], &live.means[which], &live.means[CW_REC], live.rate,
                            slope);
}

/* The index of a setup that is up to date; any number is taken for one. */
static int ready(int which)
{
    int index = which >= 0 && which < CW_SETUPS ? which : CW_A;
    const struct cw_setup *setup = &live.controls.setup[index];
    if (live.stale[index]) {
        struct cw_pickup *pickup = &live.pickup[index];
        cw_coil_solve(setup, pickup);
        cw_circuit_transfer(setup, pickup, CW_DRIVE_STRING, &live.sum[index]);
        cw_circuit_transfer(setup, pickup, CW_DRIVE_HUM, &live.apart[index]);
        cw_curve_init(&live.curve[index], setup, NULL);
        cw_figures_of(setup, live.controls.global[CW_G_MAINS], &live.figures[index]);
        live.no_cable[index] = cw_no_cable_of(setup, pickup);
        live.sloped[index] = slope_of(index, &live.slope[index]);
        live.stale[index] = false;
    }
    return index;
}

double cw_live_db(int which, double hz)
{
    int i = ready(which);
    return cw_curve_db(&live.curve[i], hz) + (live.sloped[i] ? 10.0 * log10(cw_slope_power(&live.slope[i], hz)) : 0.0);
}

int cw_live_string(int which)
{
    int i = ready(which);
    return live.controls.global[CW_G_STRING_PLACES] > 0.0 ? (int)live.controls.setup[i].value[CW_P_STRING] : 0;
}

/* Of a string 1 to 6, from 0. */
static int string_index(int string) { return string < 1 ? 0 : string > CW_STRINGS ? CW_STRINGS - 1 : string - 1; }

double cw_live_pitch(int string) { return cw_string_pitch(string_index(string)); }

double cw_live_partial(int which, int string, double hz)
{
    int i = ready(which);
    return cw_curve_db(&live.curve[i], hz) +
           10.0 * log10(cw_place_partial(&live.controls.setup[i], &live.pickup[i], &live.sum[i], &live.apart[i],
                                         string_index(string), hz));
}

int cw_live_figures(void) { return CW_FIGURE_ROWS; }

static bool is_row(int row) { return row >= 0 && row < CW_FIGURE_ROWS; }

const char *cw_live_figure_name(int row) { return say(is_row(row) ? cw_figure_row_name[row] : ""); }

const char *cw_live_figure(int which, int row)
{
    int i = ready(which);
    say("");
    if (is_row(row)) {
        cw_words_figure(&live.controls.setup[i], &live.figures[i], (enum cw_figure_row)row, live.text,
                        sizeof live.text);
    }
    return live.text;
}

const char *cw_live_cable(int which)
{
    int i = ready(which);
    cw_words_cable(&live.controls.setup[i], &live.figures[i], &live.no_cable[i], CW_FULL, live.text, sizeof live.text);
    return live.text;
}

const char *cw_live_cable_plainly(int which)
{
    int i = ready(which);
    cw_words_cable_plainly(&live.figures[i], &live.no_cable[i], live.text, sizeof live.text);
    return live.text;
}

/* ---- what goes back to the builder -------------------------------------------------------------- */

static const char *name_of(char name[NAME_BYTES]) { return cw_text_fit(live.text, name, NAME_BYTES); }

const char *cw_live_preset(void)
{
    char name[NAME_BYTES];
    const struct cw_setup *const setups[CW_SETUPS] = {[CW_A] = &live.controls.setup[CW_A]};
    cw_preset_text(name_of(name), NULL, setups, NULL, live.text, sizeof live.text);
    return live.text;
}

const char *cw_live_settings(void)
{
    char name[NAME_BYTES];
    cw_settings_text(name_of(name), &live.controls.setup[CW_A], live.text, sizeof live.text);
    return live.text;
}
