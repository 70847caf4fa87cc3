/* SPDX-License-Identifier: ISC */
/* The window without a window: its values, its curves, its habits, its picture. The curves are
 * judged by what `coilwright response` prints, the figures by what the plugin reports. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include <cmocka.h>

#include "acts.h"
#include "circuit.h"
#include "coil.h"
#include "control.h"
#include "draw.h"
#include "figure_words.h"
#include "figures.h"
#include "hint.h"
#include "history.h"
#include "host.h"
#include "layout.h"
#include "model.h"
#include "numbers.h"
#include "pages.h"
#include "plot_model.h"
#include "rect.h"
#include "search.h"
#include "setup.h"
#include "setups.h"
#include "spectrum.h"
#include "split_kind.h"
#include "split_solve.h"
#include "split_words.h"
#include "transfer.h"
#include "usual.h"
#include "view.h"
#include "view_items.h"
#include "view_menu.h"
#include "view_state.h"
#include "within.h"
#include "words.h"

/* What the view told its host. */
static struct {
    int writes, port, touches, held, held_port;
    float value;
    bool touched_wrong; /* written while another port, or none, was held */
} told;

static void write_port(void *data, int port, float value)
{
    (void)data;
    told.writes++;
    told.port = port;
    told.value = value;
    told.touched_wrong |= told.held != 1 || told.held_port != port;
}

static void touch_port(void *data, int port, bool held)
{
    (void)data;
    told.touches++;
    told.held += held ? 1 : -1;
    told.held_port = port;
}

static struct cw_view *view;
static uint32_t now;

static int set_up(void **state)
{
    (void)state;
    view = calloc(1, sizeof *view);
    memset(&told, 0, sizeof told);
    now = 1000;
    cw_view_init(view, &(struct cw_view_host){write_port, touch_port, NULL});
    return view ? 0 : 1;
}

static int tear_down(void **state)
{
    (void)state;
    free(view);
    /* Whatever was done, no control is left held, and nothing was written that was not held. */
    return told.held != 0 || told.touched_wrong;
}

static double value_at(int port) { return cw_model_value(&view->model, port); }
static int a(int id) { return cw_port_of_param(CW_A, id); }
static int b(int id) { return cw_port_of_param(CW_B, id); }
static int global(enum cw_global_id id) { return cw_port_of_global(id); }
static const struct cw_param_info *info_of(int port)
{
    struct cw_control control;
    return cw_control_of(port, &control) ? control.info : NULL;
}

/* A value a host sent. */
static void hear(int port, double value) { cw_view_port(view, port, (double)(float)value); }

static struct cw_item item(enum cw_item_kind kind, int id)
{
    int at = cw_layout_find(&view->layout, kind, id);
    if (at < 0) {
        fail_msg("item %d %d is not shown", (int)kind, id);
    }
    return view->layout.item[at];
}

static bool shown(enum cw_item_kind kind, int id) { return cw_layout_find(&view->layout, kind, id) >= 0; }

static void event(struct cw_event e)
{
    e.time = now += 20;
    cw_view_event(view, &e);
}

static void later(void) { now += 1000; }

static void move(double x, double y, bool fine)
{
    event((struct cw_event){.kind = CW_EVENT_MOVE, .x = x, .y = y, .fine = fine});
}

static void click_at(double x, double y, int button)
{
    event((struct cw_event){.kind = CW_EVENT_PRESS, .x = x, .y = y, .button = button});
    event((struct cw_event){.kind = CW_EVENT_RELEASE, .x = x, .y = y, .button = button});
}

static void click(struct cw_item it)
{
    later();
    click_at(it.box.x + 6, it.box.y + it.box.h / 2, 1);
}

static void drag(struct cw_item it, double dx, bool fine)
{
    double x = it.track.x + 5, y = it.box.y + 5;
    later();
    event((struct cw_event){.kind = CW_EVENT_PRESS, .x = x, .y = y, .button = 1, .fine = fine});
    for (int i = 1; i <= 4; i++) {
        move(x + dx * i / 4, y, fine);
    }
    event((struct cw_event){.kind = CW_EVENT_RELEASE, .x = x + dx, .y = y, .button = 1});
}

static void wheel(struct cw_item it, int steps, bool fine)
{
    event(
        (struct cw_event){.kind = CW_EVENT_WHEEL, .x = it.box.x + 5, .y = it.box.y + 5, .wheel = steps, .fine = fine});
}

static void key(enum cw_key k) { event((struct cw_event){.kind = CW_EVENT_KEY, .key = k}); }

static void type(const char *text)
{
    for (; *text; text++) {
        struct cw_event e = {.kind = CW_EVENT_KEY, .key = CW_KEY_TEXT};
        e.text[0] = *text;
        event(e);
    }
}

static void focus(struct cw_item it) { view->focus = (struct cw_ref){it.kind, it.id}; }

/* --- one control --- */

static void test_slider_places(void **state)
{
    (void)state;
    for (int port = CW_PORT_GLOBAL; port < CW_PORT_METER; port++) {
        const struct cw_param_info *info = info_of(port);
        if (info->flags & CW_TOGGLE || info->point_count) {
            continue;
        }
        within(cw_control_at(info, 0.0, false), info->minimum, 1e-9, info->symbol);
        within(cw_control_at(info, 1.0, false), info->maximum, 1e-9, info->symbol);
        for (double share = 0.0; share <= 1.0; share += 0.01) {
            double value = cw_control_at(info, share, false), fine = cw_control_at(info, share, true);
            within(cw_control_share(info, value), share, 0.01, info->symbol);
            within(cw_control_share(info, fine), share, 0.002, info->symbol);
            assert_true(cw_param_clean(info, value, NAN) == value);
        }
    }
    /* Logarithmic where the table says so: the middle is the geometric mean. */
    within(cw_control_at(&cw_param_info[CW_P_VOLUME_POT], 0.5, true), sqrt(25.0 * 2000.0), 0.1, "middle of a pot");
    within(cw_control_at(&cw_param_info[CW_P_CABLE_LENGTH], 0.5, false), 15.0, 1e-9, "middle of a cable");
}

static void test_steps_reach_both_ends(void **state)
{
    (void)state;
    for (int port = CW_PORT_GLOBAL; port < CW_PORT_METER; port++) {
        const struct cw_param_info *info = info_of(port);
        for (int fine = 0; fine <= 1; fine++) {
            double value = info->preset;
            int steps = 0;
            for (; value < info->maximum && steps < 2000; steps++) {
                double next = cw_control_step(info, value, 1, fine);
                if (!(next > value)) {
                    fail_msg("%s: a step up from %.9g leads to %.9g", info->symbol, value, next);
                }
                value = next;
            }
            for (; value > info->minimum && steps < 4000; steps++) {
                double next = cw_control_step(info, value, -1, fine);
                if (!(next < value)) {
                    fail_msg("%s: a step down from %.9g leads to %.9g", info->symbol, value, next);
                }
                value = next;
            }
            within(value, info->minimum, 0.0, info->symbol);
        }
    }
    within(cw_control_step(&cw_param_info[CW_P_CABLE_LENGTH], 5.0, 1, false), 5.5, 1e-12, "a step of cable");
    within(cw_control_step(&cw_param_info[CW_P_CABLE_LENGTH], 5.0, 1, true), 5.05, 1e-12, "a fine step of cable");
}

/* --- the model --- */

static void test_figures_are_the_plugins(void **state)
{
    (void)state;
    struct rng rng = {442};
    struct host *host = host_new(48000.0);
    float silence[64] = {0};
    for (int round = 0; round < 40; round++) {
        for (int port = CW_PORT_GLOBAL; port < CW_PORT_METER; port++) {
            double value = setups_value(&rng, info_of(port));
            host_set(host, host_symbol(host, (size_t)port), (float)value);
            hear(port, value);
        }
        /* The plugin works its figures out one setup at a time. */
        for (int i = 0; i < 400; i++) {
            host_run(host, silence, silence, 64, 64);
        }
        cw_view_prepare(view);
        for (int port = CW_PORT_METER; port < CW_PORT_STATUS; port++) {
            const char *symbol = host_symbol(host, (size_t)port);
            double said = (double)host_get(host, symbol);
            double mine =
                view->model.figures[(port - CW_PORT_METER) / CW_METERS].value[(port - CW_PORT_METER) % CW_METERS];
            within(mine, said, 1e-5 * fmax(1.0, fabs(said)), symbol);
        }
    }
    host_free(host);
}

/* The values of a preset, by way of lilv, and the curves that the program prints for it. */
static int compare_with_program(const char *preset, const char *options, bool against)
{
    char command[512], line[512];
    struct host *host = host_new(48000.0);
    assert_true(host_load_preset(host, preset));
    for (int port = CW_PORT_GLOBAL; port < CW_PORT_METER; port++) {
        hear(port, (double)host_get(host, host_symbol(host, (size_t)port)));
    }
    host_free(host);
    view->kind = against ? CW_VIEW_RECORDED : CW_VIEW_LEVEL;
    cw_view_prepare(view);
    const char *program = getenv("CW_PROGRAM");
    snprintf(command, sizeof command, "%s response %s --csv --points %d %s", program ? program : "build/coilwright",
             preset, CW_PLOT_POINTS, options);
    FILE *table = popen(command, "r");
    assert_non_null(table);
    assert_non_null(fgets(line, sizeof line, table));
    int points = 0;
    for (double hz, first, second; points < CW_PLOT_POINTS && fgets(line, sizeof line, table); points++) {
        assert_int_equal(sscanf(line, "%lf,%lf,%lf", &hz, &first, &second), 3);
        within_share(cw_plot_hz(points), hz, 1e-9, "frequency");
        within(view->plot.curve[0].value[points], first, 0.01, "curve of A");
        within(view->plot.curve[1].value[points], second, 0.01, "curve of B");
    }
    assert_int_equal(pclose(table), 0);
    return points;
}

static void test_curves_are_the_programs(void **state)
{
    (void)state;
    static const char *const presets[] = {
        "compare-cables",       "compare-full-tapped-split", "compare-tapped-resistor-split",
        "compare-treble-bleed", "compare-series-parallel",   "winding-compare-core"};
    for (size_t i = 0; i < sizeof presets / sizeof presets[0]; i++) {
        char path[128];
        snprintf(path, sizeof path, "presets/%s.ttl", presets[i]);
        assert_int_equal(compare_with_program(path, "", false), CW_PLOT_POINTS);
    }
}

static void test_difference_is_the_programs(void **state)
{
    (void)state;
    assert_int_equal(compare_with_program("presets/session-job-12.ttl", "--recorded presets/session-job-12.ttl", true),
                     CW_PLOT_POINTS);
}

/* Marks of a chosen string: two equal coils 18 mm apart, both whole, move as sin(2 pi f x1 / c) + sin(2 pi f x2 / c),
 * on the lowest string with its null at 2967 Hz (its 36th partial), by the textbook's ideal string. Nothing is marked
 * for the mean of six, or with the places off. */
static void test_partials_of_a_string(void **state)
{
    (void)state;
    enum { LOWEST = 6 };
    const double pitch = 440.0 * pow(2.0, -29.0 / 12.0), speed = 2.0 * 0.648 * pitch;
    hear(cw_port_of_param(CW_A, CW_P_COILS), CW_COILS_SERIES);
    hear(cw_port_of_param(CW_A, CW_P_COIL_DISTANCE), 18);
    hear(cw_port_of_param(CW_A, CW_P_SCALE_LENGTH), 648);
    hear(cw_port_of_param(CW_A, CW_P_BRIDGE_DISTANCE), 45);
    hear(cw_port_of_global(CW_G_STRING_PLACES), 1);
    cw_view_prepare(view);
    assert_int_equal(view->plot.partials[0].count, 0);
    hear(cw_port_of_param(CW_A, CW_P_STRING), LOWEST);
    cw_view_prepare(view);
    const struct cw_plot_partials *marks = &view->plot.partials[0];
    assert_int_equal(view->plot.partials[1].count, 0);
    assert_int_equal(marks->count, (int)(20000.0 / pitch));
    assert_non_null(strstr(view->plot.curve[marks->curve].label, "string 6"));
    for (int n = 1; n <= marks->count; n++) {
        const double hz = n * pitch, w = 2.0 * 3.14159265358979 * hz / speed;
        const double moves = 20.0 * log10(fabs(0.5 * (sin(0.036 * w) + sin(0.054 * w))));
        within(marks->hz[n - 1], hz, 1e-9 * hz, "partial");
        if (moves > -60.0) {
            within(marks->value[n - 1] - cw_model_level(&view->model, CW_A, hz), moves, 1e-3, "its level");
        }
    }
    assert_true(marks->value[35] < cw_model_level(&view->model, CW_A, marks->hz[35]) - 40.0);
    view->plot_stale = true;
    view->kind = CW_VIEW_RECORDED; /* one coil in the middle recorded it: what it lost is divided out */
    hear(cw_port_of_param(CW_REC, CW_P_BRIDGE_DISTANCE), 45);
    cw_view_prepare(view);
    const double hz = marks->hz[0], w = 2.0 * 3.14159265358979 * hz / speed;
    within(marks->value[0],
           cw_model_level(&view->model, CW_A, hz) - cw_model_level(&view->model, CW_REC, hz) +
               20.0 * log10(0.5 * (sin(0.036 * w) + sin(0.054 * w)) / sin(0.045 * w)),
           1e-3, "against the recording");
    hear(cw_port_of_global(CW_G_STRING_PLACES), 0);
    cw_view_prepare(view);
    assert_int_equal(view->plot.partials[0].count, 0);
}

/* With the coils in their places, what is shown against the recording is what the plugin plays. */
static void test_places_are_shown_as_heard(void **state)
{
    (void)state;
    enum { LENGTH = 1 << 15 };
    static float response[LENGTH];
    struct host *host = host_new(48000.0);
    assert_true(host_load_preset(host, "presets/job-12-resistor-split.ttl"));
    host_set(host, "rec_coils", CW_COILS_SERIES);
    host_set(host, "string_places", 1);
    host_set(host, "boost_limit", 60);
    host_set(host, "listen", CW_LISTEN_A);
    for (int port = CW_PORT_GLOBAL; port < CW_PORT_METER; port++) {
        hear(port, (double)host_get(host, host_symbol(host, (size_t)port)));
    }
    view->kind = CW_VIEW_RECORDED;
    cw_view_prepare(view);
    host_impulse(host, response, LENGTH);
    for (int i = 0; i < CW_PLOT_POINTS && cw_plot_hz(i) < 15000.0; i += 10) {
        within(view->plot.curve[0].value[i], spectrum_db(response, LENGTH, cw_plot_hz(i), 48000.0), 0.02, "as heard");
    }
    double with = view->plot.curve[0].value[500];
    hear(cw_port_of_global(CW_G_STRING_PLACES), 0);
    cw_view_prepare(view);
    assert_true(fabs(with - view->plot.curve[0].value[500]) > 1.0);
    host_free(host);
}

static void test_what_the_plot_holds(void **state)
{
    (void)state;
    cw_view_prepare(view);
    assert_int_equal(view->plot.count, 3);
    hear(a(CW_P_SPLIT), 1); /* one coil: nothing to split */
    cw_view_prepare(view);
    assert_int_equal(view->plot.count, 3);
    hear(a(CW_P_COILS), CW_COILS_SERIES);
    cw_view_prepare(view);
    assert_int_equal(view->plot.count, 4);
    const struct cw_plot_curve *split = &view->plot.curve[0], *full = &view->plot.curve[3];
    assert_string_equal(full->label, "A, unsplit");
    assert_true(full->faint);
    /* Half of coil two kept: three quarters of the EMF, -2.5 dB where the coil alone decides. */
    within(split->value[0] - full->value[0], 20.0 * log10(0.75), 0.1, "level of the split");
    assert_true(split->peak && split->peak_hz > 1000.0);
    within(cw_plot_value(split, split->peak_hz), split->peak_value, 0.01, "the marker on the curve");
    /* Two splits of one pickup have one unsplit curve, two pickups have two. */
    hear(b(CW_P_COILS), CW_COILS_SERIES);
    hear(b(CW_P_SPLIT), 1);
    hear(b(CW_P_SPLIT_KEEP), 20);
    cw_view_prepare(view);
    assert_int_equal(view->plot.count, 4);
    assert_string_equal(view->plot.curve[3].label, "A and B, unsplit");
    hear(b(CW_P_CABLE_LENGTH), 10);
    cw_view_prepare(view);
    assert_int_equal(view->plot.count, 5);
    assert_string_equal(view->plot.curve[4].label, "B, unsplit");
    click(item(CW_ITEM_VIEW, CW_VIEW_B_TO_A));
    cw_view_prepare(view);
    assert_int_equal(view->plot.count, 1);
    const struct cw_path *path = view->model.path;
    within(view->plot.curve[0].value[400], path[CW_B].db[400] - path[CW_A].db[400], 1e-12, "B against A");
}

/* A pickup whose former cannot hold the turns is marked, and said so in words at the foot. */
static void test_full_former(void **state)
{
    (void)state;
    struct cw_hint hint;
    cw_hint_of(view, &hint);
    assert_false(hint.trouble);
    assert_false(shown(CW_ITEM_FIGURE, CW_ROW_FILL));
    hear(b(CW_P_COIL_FROM), CW_FROM_WINDING);
    hear(b(CW_P_GAUGE), 38);
    hear(b(CW_P_TURNS), 14000);
    cw_view_prepare(view);
    assert_true(shown(CW_ITEM_FIGURE, CW_ROW_FILL));
    double fill = view->model.figures[CW_B].value[CW_M_FILL];
    assert_true(fill > 100.0);
    char expected[32];
    snprintf(expected, sizeof expected, "%.0f %%", fill);
    cw_hint_of(view, &hint);
    assert_true(hint.trouble && strstr(hint.name, "B") && strstr(hint.meaning, expected));
    hear(b(CW_P_TURNS), 500);
    cw_view_prepare(view);
    cw_hint_of(view, &hint);
    assert_false(hint.trouble);
}

/* The level read out at a few frequencies is that of the path's own transfer function. */
static void test_level_at(void **state)
{
    (void)state;
    hear(b(CW_P_CABLE_LENGTH), 12);
    cw_view_prepare(view);
    struct cw_pickup pickup;
    struct cw_transfer h;
    cw_coil_solve(&view->model.controls.setup[CW_B], &pickup);
    cw_circuit_transfer(&view->model.controls.setup[CW_B], &pickup, CW_DRIVE_STRING, &h);
    for (double hz = 20.0; hz <= 20000.0; hz *= 1.37) {
        within(cw_model_level(&view->model, CW_B, hz), cw_transfer_db(&h, hz), 0.01, "level at a frequency");
    }
    within(cw_model_level(&view->model, CW_B, 20000.0), cw_transfer_db(&h, 20000.0), 1e-9, "level at the end");
}

/* Large values are written out, small ones as they are typed. */
static void test_values_in_words(void **state)
{
    (void)state;
    static const struct {
        int id;
        double value;
        const char *text;
    } words[] = {{CW_P_TURNS, 14000, "14000"},
                 {CW_P_TURNS, 9999, "9999"},
                 {CW_P_TURNS, 10550, "10550"},
                 {CW_P_LOSS, 10000, "10000 k\xce\xa9"},
                 {CW_P_RESISTANCE, 8.25, "8.25 k\xce\xa9"},
                 {CW_P_CORE, CW_CORE_AIR, "Air"}};
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
        char text[64];
        assert_string_equal(cw_control_print(&cw_param_info[words[i].id], words[i].value, text, sizeof text),
                            words[i].text);
    }
}

/* Each row of the table tells its own figure. */
static void test_figures_in_words(void **state)
{
    (void)state;
    struct cw_figures f = {{0}};
    f.value[CW_M_DC_RESISTANCE] = 7.456;
    f.value[CW_M_LEAD_INDUCTANCE] = 3.934;
    f.value[CW_M_RESONANCE] = 3081.0;
    f.value[CW_M_PEAK_FREQUENCY] = 2744.0;
    f.value[CW_M_PEAK_HEIGHT] = 4.71;
    f.value[CW_M_LEVEL] = -6.0206;
    f.value[CW_M_HUM] = -8.04;
    f.value[CW_M_BUZZ] = 1.26;
    f.value[CW_M_FILL] = 95.4;
    static const char *const expected[CW_FIGURE_ROWS] = {"7.46 k\xce\xa9",
                                                         "3.93 H",
                                                         "3.08 kHz",
                                                         "2.74 kHz",
                                                         "+4.7 dB",
                                                         "50 %",
                                                         "\xe2\x88\x92"
                                                         "6.0 dB",
                                                         "\xe2\x88\x92"
                                                         "8.0 dB",
                                                         "+1.3 dB",
                                                         "95 %"};
    char text[64];
    struct cw_setup pair;
    cw_setup_defaults(&pair);
    pair.value[CW_P_COILS] = CW_COILS_SERIES;
    for (int row = 0; row < CW_FIGURE_ROWS; row++) {
        cw_words_figure(&pair, &f, (enum cw_figure_row)row, text, sizeof text);
        assert_string_equal(text, expected[row]);
    }
    f.value[CW_M_RESONANCE] = f.value[CW_M_PEAK_FREQUENCY] = f.value[CW_M_FILL] = 0.0;
    f.value[CW_M_HUM] = cw_meter_info[CW_M_HUM].minimum;
    f.value[CW_M_LEVEL] = -0.004;
    static const char *const none[CW_FIGURE_ROWS] = {
        [CW_ROW_RESONANCE] = "none", [CW_ROW_PEAK_HZ] = "flat", [CW_ROW_PEAK] = "\xe2\x80\x93",
        [CW_ROW_LEVEL] = "0.0 dB",   [CW_ROW_HUM] = "cancels",  [CW_ROW_FILL] = "\xe2\x80\x93"};
    for (int row = 0; row < CW_FIGURE_ROWS; row++) {
        if (none[row]) {
            cw_words_figure(&pair, &f, (enum cw_figure_row)row, text, sizeof text);
            assert_string_equal(text, none[row]);
        }
    }
    /* one coil: no split, nothing to cancel */
    pair.value[CW_P_COILS] = CW_COILS_ONE;
    cw_words_figure(&pair, &f, CW_ROW_HUM, text, sizeof text);
    assert_string_equal(text, "\xe2\x80\x93");
}

/* Twice the cable in words, against the second-order low-pass of a coil: with nothing but L, C and
 * the cable the resonance goes by 1 / sqrt(C) and the level far above it by 1 / C. */
static void test_twice_the_cable_in_words(void **state)
{
    (void)state;
    char text[400], loaded[24], bare[24];
    hear(b(CW_P_CABLE_LENGTH), 10);
    for (int which = CW_A; which <= CW_B; which++) {
        hear(cw_port_of_param((enum cw_which)which, CW_P_VOLUME_POT), 2000);
        hear(cw_port_of_param((enum cw_which)which, CW_P_TONE_POT), 2000);
        hear(cw_port_of_param((enum cw_which)which, CW_P_INPUT_RESISTANCE), 10);
        hear(cw_port_of_param((enum cw_which)which, CW_P_INPUT_CAPACITANCE), 0);
        hear(cw_port_of_param((enum cw_which)which, CW_P_LOSS), 10000);
    }
    cw_view_prepare(view);
    assert_true(cw_words_resonance_of_b(&view->model, text, sizeof text));
    int percent = 0;
    assert_int_equal(sscanf(text, "resonance %d %% lower", &percent), 1);
    within(percent, 100.0 * (1.0 - sqrt((120.0 + 500.0) / (120.0 + 1000.0))), 1.0,
           "resonance of twice the cable, in words");
    cw_words_level_of_b(&view->model, 20000.0, text, sizeof text);
    assert_int_equal(strncmp(text, "\xe2\x88\x92", 3), 0);
    within(atof(text + 3), 20.0 * log10((120.0 + 1000.0) / (120.0 + 500.0)), 0.2,
           "level far above the resonance, in words");
    cw_words_cable(&view->model.controls.setup[CW_B], &view->model.figures[CW_B], &view->model.path[CW_B].no_cable,
                   CW_FULL, text, sizeof text);
    cw_print_hz(1.0 / (2 * acos(-1.0) * sqrt(4.5 * 1120e-12)), loaded, sizeof loaded);
    cw_print_hz(1.0 / (2 * acos(-1.0) * sqrt(4.5 * 120e-12)), bare, sizeof bare);
    double hz_loaded = 0, hz_bare = 0;
    double peak = 0;
    assert_int_equal(
        sscanf(text, "10 m, 1000 pF: resonance %lf kHz, peak %lf kHz; no cable: %lf kHz", &hz_loaded, &peak, &hz_bare),
        3);
    assert_true(peak > 0.9 * hz_loaded && peak < hz_loaded);
    within_share(hz_loaded, atof(loaded), 0.03, "resonance with the cable");
    within_share(hz_bare, atof(bare), 0.03, "resonance without");
    hear(b(CW_P_CABLE_LENGTH), 5);
    cw_view_prepare(view);
    assert_true(cw_words_resonance_of_b(&view->model, text, sizeof text));
    assert_string_equal(text, "same resonance");
    cw_words_level_of_b(&view->model, 4000.0, text, sizeof text);
    assert_string_equal(text, "0.0 dB");
}

/* A report may lag behind a change by a moment, and then counts. */
static void test_reports(void **state)
{
    (void)state;
    int meter = cw_port_of_meter(CW_A, CW_M_RESONANCE);
    double *resonance = &view->model.figures[CW_A].value[CW_M_RESONANCE], before = *resonance;
    view->model.now = 10.0;
    hear(a(CW_P_CABLE_LENGTH), 20.0);
    cw_view_prepare(view);
    double after = *resonance;
    assert_true(after < 0.7 * before);
    view->model.now = 10.1;
    hear(meter, before);
    within(*resonance, after, 0.0, "a late report");
    view->model.now = 10.5;
    hear(meter, 1234.0);
    within(*resonance, 1234.0, 0.0, "a report");
    hear(meter, NAN);
    within(*resonance, 1234.0, 0.0, "a report that is no number");
}

static void test_any_float(void **state)
{
    (void)state;
    static const double odd[] = {1e38, -1e38, INFINITY, -INFINITY, NAN, 0.0, -0.0, 0.5};
    for (size_t i = 0; i < sizeof odd / sizeof odd[0]; i++) {
        for (int port = 0; port < CW_PORTS; port++) {
            hear(port, odd[i]);
        }
        cw_view_prepare(view);
        for (int port = CW_PORT_GLOBAL; port < CW_PORT_METER; port++) {
            assert_true(value_at(port) >= (double)(float)info_of(port)->minimum &&
                        value_at(port) <= (double)(float)info_of(port)->maximum);
        }
    }
    assert_int_equal(told.writes, 0);
}

/* --- habits --- */

/* Every control of every page of every setup, by every way to move it. */
static void move_every_way(struct cw_item it, int *moved)
{
    const struct cw_param_info *info = info_of(it.id);
    double middle = info->flags & CW_TOGGLE || info->point_count == 2 ? info->minimum
                                                                      : cw_control_step(info, info->minimum, 1, false);
    bool slider = it.kind == CW_ITEM_SLIDER || it.kind == CW_ITEM_CABLE;
    for (int way = 0; way < 6; way++) {
        hear(it.id, middle);
        double before = value_at(it.id), wanted = NAN;
        /* Where a value decides what is shown, the item may be gone or elsewhere for a moment. */
        if (!shown(it.kind, it.id)) {
            return;
        }
        it = item(it.kind, it.id);
        told.writes = 0;
        if (way == 0) {
            wheel(it, 1, false);
            wanted = cw_control_step(info, before, 1, false);
        } else if (way == 1) {
            focus(it);
            key(CW_KEY_RIGHT);
            wanted = cw_control_step(info, before, 1, false);
        } else if (way == 2 && slider) {
            drag(it, 80, false);
            wanted = told.value > before ? (double)told.value : NAN;
        } else if (way == 2) {
            click(it);
            if (it.kind == CW_ITEM_LIST) {
                struct cw_rect menu;
                const struct cw_param_info *list;
                assert_true(cw_view_menu(view, &menu, &list));
                assert_ptr_equal(list, info);
                click_at(menu.x + 9, menu.y + 4 + CW_MENU_ROW * ((double)info->point_count - 0.5), 1);
            }
            wanted = info->maximum;
            if (before == wanted) { /* a list of two: the middle is the end */
                continue;
            }
        } else if (way == 3) {
            focus(it);
            key(CW_KEY_END);
            wanted = info->maximum;
            if (before == wanted) {
                continue;
            }
        } else if (way == 4 && slider) {
            later();
            click_at(it.track.x + 5, it.box.y + 5, 1);
            click_at(it.track.x + 5, it.box.y + 5, 1);
            wanted = info->preset;
            if (before == wanted) {
                continue;
            }
        } else if (way == 5 && slider) {
            char text[40];
            snprintf(text, sizeof text, "%.9g", info->maximum);
            focus(it);
            type(text);
            key(CW_KEY_ENTER);
            wanted = info->maximum;
        } else {
            continue;
        }
        if (told.writes < 1 || told.port != it.id ||
            !(fabs((double)told.value - wanted) <= 1e-6 * fmax(1.0, fabs(wanted)))) {
            fail_msg("port %d (%s), way %d from %g: %d writes, the last %g to port %d, expected %g", it.id,
                     info->symbol, way, before, told.writes, (double)told.value, told.port, wanted);
        }
        within(value_at(it.id), (double)told.value, 0.0, "the control after its own change");
        moved[it.id]++;
    }
    hear(it.id, info->preset);
}

static void test_every_control_every_way(void **state)
{
    (void)state;
    int moved[CW_PORTS] = {0};
    view->unlinked = true; /* a cable that is moved would turn to its setup */
    for (int round = 0; round < 12; round++) {
        for (int which = 0; which < CW_SETUPS; which++) {
            /* Every kind of wiring, so that everything applies at some time. */
            hear(cw_port_of_param((enum cw_which)which, CW_P_COILS), round % 2 ? CW_COILS_SERIES : CW_COILS_ONE);
            hear(cw_port_of_param((enum cw_which)which, CW_P_COIL_FROM), round / 2 % 2);
            hear(cw_port_of_param((enum cw_which)which, CW_P_SPLIT_BY), round % 5);
            hear(cw_port_of_param((enum cw_which)which, CW_P_BLEED_CAP), 300);
            hear(cw_port_of_param((enum cw_which)which, CW_P_CORE_SHARE), 40);
            hear(cw_port_of_param((enum cw_which)which, CW_P_COVER), CW_COVER_BY_VALUES);
            click(item(CW_ITEM_TAB, which));
            for (int page = 0; page < CW_PAGES; page++) {
                if (!shown(CW_ITEM_PAGE, page)) {
                    continue;
                }
                click(item(CW_ITEM_PAGE, page));
                assert_int_equal(view->page, page);
                struct cw_layout before = view->layout;
                for (int i = 0; i < before.count; i++) {
                    enum cw_item_kind kind = before.item[i].kind;
                    bool port = kind == CW_ITEM_SLIDER || kind == CW_ITEM_LIST || kind == CW_ITEM_TOGGLE ||
                                kind == CW_ITEM_CABLE;
                    if (port && shown(kind, before.item[i].id)) {
                        double kept = value_at(before.item[i].id);
                        move_every_way(item(kind, before.item[i].id), moved);
                        hear(before.item[i].id, kept);
                    }
                }
            }
        }
    }
    for (int port = CW_PORT_GLOBAL; port < CW_PORT_METER; port++) {
        if (moved[port] == 0 && port != global(CW_G_LISTEN)) {
            fail_msg("%s can be reached nowhere", info_of(port)->symbol);
        }
    }
}

static void test_listening(void **state)
{
    (void)state;
    click(item(CW_ITEM_LISTEN, CW_LISTEN_B));
    assert_int_equal(told.port, global(CW_G_LISTEN));
    assert_true(told.value == CW_LISTEN_B);
    type("r");
    assert_true(told.value == CW_LISTEN_RECORDED);
    type("A");
    assert_true(told.value == CW_LISTEN_A);
    type("x");
    assert_true(told.value == CW_LISTEN_B);
    type("x");
    assert_true(told.value == CW_LISTEN_A);
    wheel(item(CW_ITEM_LISTEN, CW_LISTEN_A), 1, false);
    assert_true(told.value == CW_LISTEN_B);
    type("m");
    assert_int_equal(told.port, global(CW_G_LEVEL_MATCH));
    assert_true(told.value == 1.0f);
    type("u");
    assert_int_equal(told.port, global(CW_G_UNDO_RECORDING));
    assert_true(told.value == 0.0f);
}

/* With one coil a split brings the second; the split goes, the coils stay. */
static void test_split_button(void **state)
{
    (void)state;
    click(item(CW_ITEM_SPLIT, CW_B));
    assert_true(value_at(b(CW_P_COILS)) == CW_COILS_SERIES && value_at(b(CW_P_SPLIT)) == 1.0);
    assert_true(value_at(a(CW_P_SPLIT)) == 0.0);
    assert_int_equal(view->shown, CW_B);
    assert_int_equal(view->page, CW_PAGE_SPLIT);
    assert_true(shown(CW_ITEM_SLIDER, b(CW_P_SPLIT_KEEP)));
    wheel(item(CW_ITEM_SPLIT, CW_B), 1, false);
    assert_true(value_at(b(CW_P_SPLIT)) == 1.0);
    type("s");
    assert_true(value_at(b(CW_P_COILS)) == CW_COILS_SERIES && value_at(b(CW_P_SPLIT)) == 0.0);
}

static void test_copying(void **state)
{
    (void)state;
    hear(a(CW_P_INDUCTANCE), 2.5);
    hear(b(CW_P_CABLE_LENGTH), 12);
    struct cw_setup first = view->model.controls.setup[CW_A], second = view->model.controls.setup[CW_B];
    click(item(CW_ITEM_ACTION, CW_ACTION_SWAP));
    assert_memory_equal(&view->model.controls.setup[CW_A], &second, sizeof second);
    assert_memory_equal(&view->model.controls.setup[CW_B], &first, sizeof first);
    assert_int_equal(told.writes, 4);
    click(item(CW_ITEM_ACTION, CW_ACTION_COPY));
    assert_memory_equal(&view->model.controls.setup[CW_B], &second, sizeof second);
    click(item(CW_ITEM_ACTION, CW_ACTION_RECORD));
    assert_memory_equal(&view->model.controls.setup[CW_REC], &second, sizeof second);
    assert_int_equal(told.writes, 4 + 2 + 1);
}

static void undo(void) { key(CW_KEY_UNDO); }
static void redo(void) { key(CW_KEY_REDO); }

/* --- finding a split --- */

/* Until nothing more is found; in so many slices of work. */
static int look_for_splits(void)
{
    int slices = 0;
    do {
        view->dirty = 0;
        cw_view_idle(view);
        slices++;
    } while (view->dirty != 0);
    return slices;
}

/* What is listed is what the solver gives, it keeps what was asked for, a click takes it over in one step. */
static void test_find_a_split(void **state)
{
    (void)state;
    hear(b(CW_P_COILS), CW_COILS_SERIES);
    click(item(CW_ITEM_TAB, CW_B));
    click(item(CW_ITEM_PAGE, CW_PAGE_SPLIT));
    click(item(CW_ITEM_ACTION, CW_ACTION_FIND));
    assert_true(view->search.open && view->search.percent == 75);
    assert_true(look_for_splits() >= CW_SPLIT_KINDS); /* not all in one, which would hold the window up */
    assert_true(view->search.count >= CW_SPLIT_KINDS);
    const struct cw_setup before = view->model.controls.setup[CW_B];
    struct cw_rect row = cw_search_part_box(&view->layout, CW_SEARCH_ROW, 2);
    const struct cw_split_solution third = view->search.found[2];
    struct cw_hint hint;
    move(row.x + 30, row.y + 4, false);
    cw_hint_of(view, &hint);
    assert_string_equal(hint.name, cw_split_kind[third.by].brief);
    click_at(row.x + 30, row.y + 4, 1);
    assert_true(view->model.path[CW_B].split || cw_split_acts(&view->model.controls.setup[CW_B]));
    assert_true(cw_search_in_force(&view->search, &view->model.controls, 2));
    cw_view_prepare(view);
    within(view->model.figures[CW_B].value[CW_M_LEVEL], 20.0 * log10(0.75), 0.6, "the level that was asked for");
    undo();
    assert_memory_equal(&view->model.controls.setup[CW_B], &before, sizeof before);
    /* Another level by key; the first row by Enter; another cable has it looked for anew. */
    key(CW_KEY_RIGHT);
    assert_int_equal(view->search.percent, 80);
    look_for_splits();
    key(CW_KEY_DOWN);
    key(CW_KEY_ENTER);
    assert_true(cw_search_in_force(&view->search, &view->model.controls, 1));
    look_for_splits();
    assert_int_equal(view->search.slice, CW_SEARCH_SLICES);
    hear(b(CW_P_CABLE_LENGTH), 9);
    cw_view_idle(view);
    assert_int_equal(view->search.slice, 1);
    look_for_splits();
    int shortened;
    for (int i = 0; i < 2; i++) {
        cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, 720 << i, 480 << i);
        cairo_t *cr = cairo_create(surface);
        cw_view_size(view, 720 << i, 480 << i);
        cw_view_prepare(view);
        shortened = cw_draw(cr, view, 1, CW_DIRTY_ALL);
        if (getenv("CW_UI_PICTURES")) {
            cairo_surface_write_to_png(surface, i ? "/tmp/window-find-2.png" : "/tmp/window-find-1.png");
        }
        cairo_destroy(cr);
        cairo_surface_destroy(surface);
        assert_int_equal(shortened, 0);
    }
    for (int i = 0; i < 40; i++) {
        key(CW_KEY_DOWN);
    }
    assert_int_equal(view->search.row, view->search.count - 1);
    key(CW_KEY_ESCAPE);
    assert_false(view->search.open);
}

/* A row of the program's table, up to the distance by ear; the words after them may hold commas. */
static void read_split(char *line, char *cell[32])
{
    for (int i = 0; i < 32; i++) {
        cell[i] = line;
        line = strchr(line, ',');
        assert_non_null(line);
        *line++ = '\0';
    }
}

/* A number beside the program's, where the kind has it. */
static void same_part(unsigned has, double value, const char *cell, const char *what)
{
    if (has) {
        within_share(value, atof(cell), 1e-5, what);
    } else {
        assert_string_equal(cell, "");
    }
}

static void same_split(const struct cw_split_solution *listed, char *const cell[32])
{
    const double *value = listed->rounded.value;
    const unsigned parts = cw_split_parts_of(listed->by);
    assert_string_equal(cw_split_kind[listed->by].brief, cell[1]);
    assert_string_equal(cw_split_coil_name(listed->reduced), cell[2]);
    same_part(parts & CW_PART_KEEP, value[CW_P_SPLIT_KEEP], cell[5], "share kept");
    same_part(parts & CW_PART_RESISTOR, value[CW_P_SPLIT_RESISTOR], cell[6], "resistor");
    same_part(parts & CW_PART_CAPACITOR, value[CW_P_SPLIT_CAPACITOR], cell[7], "capacitor");
    within(listed->after.level, atof(cell[10]), 1e-3, "level");
    within(listed->after.hum, atof(cell[17]), 1e-3, "hum");
    within(listed->ear.is.times, atof(cell[31]), 1e-3, "by ear");
}

/* The window's list is the program's: the same answers in the same order, those that reach the level. */
static void test_splits_are_the_programs(void **state)
{
    (void)state;
    static const char *const presets[] = {"job-12-long-cable", "job-12-volume-down"};
    const char *program = getenv("CW_PROGRAM");
    for (size_t i = 0; i < sizeof presets / sizeof presets[0]; i++) {
        char path[128], command[512], line[2048], *cell[32];
        struct host *host = host_new(48000.0);
        snprintf(path, sizeof path, "presets/%s.ttl", presets[i]);
        assert_true(host_load_preset(host, path));
        for (int port = CW_PORT_GLOBAL; port < CW_PORT_METER; port++) {
            hear(port, (double)host_get(host, host_symbol(host, (size_t)port)));
        }
        host_free(host);
        click(item(CW_ITEM_TAB, CW_A));
        click(item(CW_ITEM_PAGE, CW_PAGE_SPLIT));
        click(item(CW_ITEM_ACTION, CW_ACTION_FIND));
        look_for_splits();
        snprintf(command, sizeof command, "%s split %s --level %d --reduce either --csv",
                 program ? program : "build/coilwright", path, view->search.percent);
        FILE *table = popen(command, "r");
        assert_non_null(table);
        int rows = 0;
        for (int at = 0; fgets(line, sizeof line, table); at++) {
            if (at >= 3) { /* below the heading, full and one coil alone */
                read_split(line, cell);
                if (strcmp(cell[3], "yes") == 0) {
                    assert_true(rows < view->search.count);
                    same_split(&view->search.found[rows++], cell);
                }
            }
        }
        assert_int_equal(pclose(table), 0);
        assert_int_equal(rows, view->search.count);
        assert_true(rows >= CW_SPLIT_KINDS);
        key(CW_KEY_ESCAPE);
    }
}

/* --- the large view --- */

static cairo_surface_t *draw(double width, double height, double scale, int *shortened);

/* Nothing of it is cut at any size; the pointer reaches what is seen there; text is four times as large at 1920x1080.
 */
static void test_large(void **state)
{
    (void)state;
    static const double sizes_of_it[][2] = {{720, 480}, {1280, 720}, {1920, 1080}};
    hear(b(CW_P_CABLE_LENGTH), 29.95);
    type("l");
    assert_true(view->large);
    for (size_t i = 0; i < 3; i++) {
        int shortened;
        cairo_surface_t *surface = draw(sizes_of_it[i][0], sizes_of_it[i][1], 1, &shortened);
        char path[64];
        snprintf(path, sizeof path, "/tmp/window-large-%d.png", (int)i);
        if (getenv("CW_UI_PICTURES")) {
            cairo_surface_write_to_png(surface, path);
        }
        cairo_surface_destroy(surface);
        assert_int_equal(shortened, 0);
    }
    within(view->zoom, 4.0, 1e-12, "times as large");
    struct cw_rect a_button = item(CW_ITEM_LISTEN, CW_LISTEN_B).box;
    click_at(4 * (a_button.x + 3), 4 * (a_button.y + 3), 1);
    assert_true(value_at(global(CW_G_LISTEN)) == CW_LISTEN_B);
    struct cw_item cable = item(CW_ITEM_CABLE, b(CW_P_CABLE_LENGTH));
    later();
    click_at(4 * (cable.track.x + cable.track.w / 3), 4 * (cable.track.y + 6), 1);
    within(value_at(cable.id), 10.0, 1e-6, "the cable");
    type("L");
    assert_true(!view->large && view->zoom == 1.0 && shown(CW_ITEM_TAB, CW_A));
}

/* --- taking back --- */

/* A swap is one step, a drag is one, a run of wheel steps is one; what the host moves is in none of them. */
static void test_undo(void **state)
{
    (void)state;
    hear(a(CW_P_INDUCTANCE), 2.5);
    hear(b(CW_P_CABLE_LENGTH), 12);
    undo();
    assert_int_equal(told.writes, 0);
    const struct cw_controls first = view->model.controls;
    click(item(CW_ITEM_ACTION, CW_ACTION_SWAP));
    const struct cw_controls swapped = view->model.controls;
    drag(item(CW_ITEM_CABLE, b(CW_P_CABLE_LENGTH)), 37, false);
    const struct cw_controls dragged = view->model.controls;
    for (int i = 0; i < 5; i++) {
        wheel(item(CW_ITEM_CABLE, b(CW_P_CABLE_LENGTH)), 1, false);
    }
    const struct cw_controls turned = view->model.controls;
    undo();
    assert_memory_equal(&view->model.controls.setup, &dragged.setup, sizeof first.setup);
    hear(a(CW_P_TONE), 4); /* the host's automation */
    click(item(CW_ITEM_ACTION, CW_ACTION_UNDO));
    click(item(CW_ITEM_ACTION, CW_ACTION_UNDO));
    assert_true(value_at(a(CW_P_TONE)) == 4.0);
    hear(a(CW_P_TONE), first.setup[CW_A].value[CW_P_TONE]);
    assert_memory_equal(&view->model.controls.setup, &first.setup, sizeof first.setup);
    assert_null(cw_history_last(&view->history));
    redo();
    assert_memory_equal(&view->model.controls.setup, &swapped.setup, sizeof first.setup);
    click(item(CW_ITEM_ACTION, CW_ACTION_REDO));
    redo();
    redo();
    assert_memory_equal(&view->model.controls.setup, &turned.setup, sizeof first.setup);
    /* What is done anew ends what could be done again; a drag there and back is no step. */
    undo();
    later();
    struct cw_item trim = item(CW_ITEM_SLIDER, global(CW_G_TRIM));
    wheel(trim, 1, false);
    assert_null(cw_history_next(&view->history));
    const struct cw_step *last = cw_history_last(&view->history);
    later();
    event((struct cw_event){.kind = CW_EVENT_PRESS, .x = trim.track.x + 9, .y = trim.box.y + 5, .button = 1});
    move(trim.track.x + 29, trim.box.y + 5, false);
    undo(); /* not while it is held */
    move(trim.track.x + 9, trim.box.y + 5, false);
    event((struct cw_event){.kind = CW_EVENT_RELEASE, .x = trim.track.x + 9, .y = trim.box.y + 5, .button = 1});
    assert_ptr_equal(cw_history_last(&view->history), last);
    /* What only says what is heard is not taken back. */
    type("b");
    undo();
    assert_true(value_at(global(CW_G_LISTEN)) == CW_LISTEN_B && value_at(trim.id) == 0.0);
}

/* More steps than are kept: the oldest are forgotten, the rest come back one by one. */
static void test_undo_is_bounded(void **state)
{
    (void)state;
    for (int i = 0; i < CW_HISTORY_STEPS + 20; i++) {
        later();
        later();
        wheel(item(CW_ITEM_CABLE, b(CW_P_CABLE_LENGTH)), i % 2 ? 1 : -1, false);
    }
    int back = 0;
    while (cw_history_last(&view->history)) {
        undo();
        back++;
    }
    assert_int_equal(back, CW_HISTORY_STEPS);
    while (cw_history_next(&view->history)) {
        redo();
        back--;
    }
    assert_int_equal(back, 0);
    within(value_at(b(CW_P_CABLE_LENGTH)), 5.0, 1e-6, "an even number of steps there and back");
}

/* What is heard and what is edited are one, whichever is chosen and by whom, until they are parted. */
static void test_link(void **state)
{
    (void)state;
    click(item(CW_ITEM_TAB, CW_B));
    assert_true(value_at(global(CW_G_LISTEN)) == CW_LISTEN_B);
    hear(global(CW_G_LISTEN), CW_LISTEN_A);
    assert_int_equal(view->shown, CW_A);
    type("r");
    assert_int_equal(view->shown, CW_REC);
    click(item(CW_ITEM_LISTEN, CW_LISTEN_A));
    /* What it was recorded through is edited while a candidate is heard: there alone it does something. */
    click(item(CW_ITEM_TAB, CW_REC));
    assert_true(view->shown == CW_REC && value_at(global(CW_G_LISTEN)) == CW_LISTEN_A);
    click(item(CW_ITEM_LISTEN, CW_LISTEN_A));
    assert_int_equal(view->shown, CW_A);
    wheel(item(CW_ITEM_CABLE, b(CW_P_CABLE_LENGTH)), 1, false);
    assert_true(view->shown == CW_B && value_at(global(CW_G_LISTEN)) == CW_LISTEN_B);
    /* A page comes back with the setup that has it. */
    hear(b(CW_P_COIL_FROM), CW_FROM_WINDING);
    click(item(CW_ITEM_PAGE, CW_PAGE_WINDING));
    type("a");
    assert_int_equal(view->page, CW_PAGE_COIL);
    type("b");
    assert_int_equal(view->page, CW_PAGE_WINDING);
    click(item(CW_ITEM_LINK, 0));
    type("a");
    assert_true(view->shown == CW_B && value_at(global(CW_G_LISTEN)) == CW_LISTEN_A);
    click(item(CW_ITEM_TAB, CW_REC));
    assert_true(value_at(global(CW_G_LISTEN)) == CW_LISTEN_A);
    click(item(CW_ITEM_LINK, 0));
    assert_int_equal(view->shown, CW_A);
}

static void test_fine(void **state)
{
    (void)state;
    struct cw_item trim = item(CW_ITEM_SLIDER, global(CW_G_TRIM));
    drag(trim, 40, false);
    double coarse = value_at(trim.id);
    hear(trim.id, 0);
    drag(trim, 40, true);
    within(value_at(trim.id), coarse / 10.0, 0.06, "a fine drag");
    hear(trim.id, 0);
    wheel(trim, 1, true);
    within(value_at(trim.id), 0.05, 1e-6, "a fine step");
}

/* Usual values catch a drag, with the key for fine ones none does; between them any value can be had. */
static void test_catches(void **state)
{
    (void)state;
    struct cw_item cable = item(CW_ITEM_CABLE, b(CW_P_CABLE_LENGTH));
    double y = cable.track.y + 6, metre = cable.track.w / 30.0;
    int whole = 0, other = 0;
    later();
    event((struct cw_event){.kind = CW_EVENT_PRESS, .x = cable.track.x + 5 * metre, .y = y, .button = 1});
    for (double x = 5.0; x < 9.0; x += 0.05) {
        move(cable.track.x + x * metre, y, false);
        double value = value_at(cable.id), off = fabs(x - round(x)) * metre;
        assert_true(off > 3.9 || value == round(value));
        assert_true(off < 4.1 || fabs(value - x) < 0.06);
        (value == round(value) ? &whole : &other)[0]++;
    }
    assert_true(whole > 10 && other > 10);
    move(cable.track.x + 6.0 * metre, y, false);
    move(cable.track.x + 6.0 * metre + 10, y, true); /* finely: one pixel on, no catch */
    assert_true(value_at(cable.id) > 6.0 && value_at(cable.id) < 6.0 + 1.5 / metre);
    event((struct cw_event){.kind = CW_EVENT_RELEASE, .x = cable.track.x, .y = y, .button = 1});
    /* Pots and capacitors as they are sold. */
    static const struct {
        int id;
        double near, caught;
    } parts[] = {{CW_P_VOLUME_POT, 253, 250},      {CW_P_TONE_POT, 990, 1000},      {CW_P_TONE_CAP, 46.6, 47},
                 {CW_P_SPLIT_RESISTOR, 6.85, 6.8}, {CW_P_SPLIT_KEEP, 74.4, 75},     {CW_P_VOLUME, 6.95, 7},
                 {CW_P_BLEED_CAP, 1205, 1200},     {CW_P_SPLIT_CAPACITOR, 118, 120}};
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
        const struct cw_param_info *info = &cw_param_info[parts[i].id];
        double value = -1.0;
        assert_true(cw_usual_near(info, cw_control_share(info, parts[i].near), 4.0 / 160.0, &value));
        within_share(value, parts[i].caught, 1e-9, info->symbol);
    }
    double kept = 42.0;
    assert_false(cw_usual_near(&cw_param_info[CW_P_VOLUME_POT], 0.0, 0.01, &kept)); /* 25k is none */
    assert_false(cw_usual_near(&cw_param_info[CW_P_INDUCTANCE], 0.5, 1.0, &kept));
    assert_false(cw_usual_near(&cw_global_info[CW_G_TRIM], 0.5, 1.0, &kept));
    assert_true(kept == 42.0);
}

static void test_cable_follows_the_pointer(void **state)
{
    (void)state;
    struct cw_item cable = item(CW_ITEM_CABLE, b(CW_P_CABLE_LENGTH));
    double y = cable.track.y + 6;
    later();
    /* By its end, without a jump. */
    double end = cable.track.x + cable.track.w * 5.0 / 30.0;
    event((struct cw_event){.kind = CW_EVENT_PRESS, .x = end + 6, .y = y, .button = 1});
    within(value_at(cable.id), 5.0, 0.0, "taking hold");
    assert_int_equal(told.held, 1);
    move(end + 6 + cable.track.w * 5.0 / 30.0, y, false);
    within(value_at(cable.id), 10.0, 1e-6, "twice the cable");
    /* The host's word on what is held is passed over, not on others. */
    hear(cable.id, 3);
    within(value_at(cable.id), 10.0, 1e-6, "the control held");
    hear(a(CW_P_CABLE_LENGTH), 3);
    within(value_at(a(CW_P_CABLE_LENGTH)), 3.0, 0.0, "another control");
    event((struct cw_event){.kind = CW_EVENT_RELEASE, .x = end, .y = y, .button = 1});
    assert_int_equal(told.held, 0);
    /* To where it is clicked. */
    later();
    click_at(cable.track.x + cable.track.w * 0.8, y, 1);
    within(value_at(cable.id), 24.0, 0.11, "a click on the cable");
}

static void test_typing(void **state)
{
    (void)state;
    static const struct {
        int id;
        const char *text;
        double value;
    } good[] = {
        {CW_P_VOLUME_POT, "250k", 250}, {CW_P_VOLUME_POT, "0.5 Mohm", 500},  {CW_P_TONE_CAP, "47n", 47},
        {CW_P_TONE_CAP, "4n7", 4.7},    {CW_P_CABLE_LENGTH, "10 ft", 3.048}, {CW_P_CABLE_LENGTH, "6,5 m", 6.5},
        {CW_P_RESISTANCE, "8,2k", 8.2}, {CW_P_INDUCTANCE, "3H", 3},          {CW_P_INPUT_CAPACITANCE, ".1nF", 100},
        {CW_P_TAPER, "50%", 50}};
    for (size_t i = 0; i < sizeof good / sizeof good[0]; i++) {
        view->page = good[i].id == CW_P_INDUCTANCE || good[i].id == CW_P_RESISTANCE ? CW_PAGE_COIL
                     : cw_param_info[good[i].id].group == CW_GROUP_CABLE            ? CW_PAGE_CABLE
                                                                                    : CW_PAGE_CONTROLS;
        cw_view_size(view, 900, 600);
        focus(item(CW_ITEM_SLIDER, a(good[i].id)));
        key(CW_KEY_ENTER);
        assert_true(view->edit.fresh);
        type(good[i].text);
        key(CW_KEY_ENTER);
        within_share(value_at(a(good[i].id)), good[i].value, 1e-6, good[i].text);
        assert_int_equal(view->edit.what.kind, CW_ITEM_NONE);
    }
    /* What is wrong stays, with words; Escape leaves the old value. */
    struct cw_hint hint;
    told.writes = 0;
    focus(item(CW_ITEM_SLIDER, a(CW_P_TAPER)));
    type("99");
    type("x");
    key(CW_KEY_ENTER);
    cw_hint_of(view, &hint);
    assert_true(hint.trouble && strstr(hint.meaning, "expected") && strstr(hint.meaning, "99x"));
    key(CW_KEY_BACKSPACE);
    key(CW_KEY_ENTER); /* out of range */
    assert_int_equal(view->edit.what.id, a(CW_P_TAPER));
    key(CW_KEY_ESCAPE);
    assert_int_equal(view->edit.what.kind, CW_ITEM_NONE);
    assert_int_equal(told.writes, 0);
    /* Right-click, and a click on the figure itself; Tab takes the value along. */
    struct cw_item taper = item(CW_ITEM_SLIDER, a(CW_P_TAPER));
    later();
    click_at(taper.box.x + 4, taper.box.y + 4, 3);
    assert_int_equal(view->edit.what.id, taper.id);
    key(CW_KEY_ESCAPE);
    later();
    click_at(taper.box.x + taper.box.w - 8, taper.box.y + taper.box.h - 8, 1);
    assert_int_equal(view->edit.what.id, taper.id);
    type("33");
    key(CW_KEY_TAB);
    within(value_at(taper.id), 33.0, 0.0, "a value left with Tab");
    /* A text longer than its room. */
    focus(item(CW_ITEM_SLIDER, a(CW_P_TAPER)));
    for (int i = 0; i < 200; i++) {
        type("7");
    }
    key(CW_KEY_ENTER);
    key(CW_KEY_ESCAPE);
}

static void test_menu_by_keys(void **state)
{
    (void)state;
    focus(item(CW_ITEM_LIST, a(CW_P_COILS)));
    key(CW_KEY_ENTER);
    assert_int_equal(view->menu.row, CW_COILS_ONE);
    key(CW_KEY_DOWN);
    key(CW_KEY_DOWN);
    key(CW_KEY_DOWN);
    key(CW_KEY_UP);
    key(CW_KEY_ENTER);
    assert_true(told.value == CW_COILS_SERIES && told.port == a(CW_P_COILS));
    told.writes = 0;
    key(CW_KEY_ENTER);
    key(CW_KEY_ESCAPE);
    assert_int_equal(view->menu.what.kind, CW_ITEM_NONE);
    click(item(CW_ITEM_LIST, a(CW_P_COILS)));
    click_at(1, 1, 1); /* beside it */
    assert_int_equal(view->menu.what.kind, CW_ITEM_NONE);
    assert_int_equal(told.writes, 0);
}

static void test_tab_reaches_everything(void **state)
{
    (void)state;
    int count = view->layout.count;
    bool reached[CW_ITEMS_MOST] = {false};
    for (int i = 0; i < count; i++) {
        key(CW_KEY_TAB);
        assert_true(view->focus.kind != CW_ITEM_FIGURE);
        reached[cw_layout_find(&view->layout, view->focus.kind, view->focus.id)] = true;
    }
    for (int i = 0; i < count; i++) {
        assert_true(reached[i] || view->layout.item[i].kind == CW_ITEM_FIGURE);
    }
    struct cw_ref here = view->focus;
    key(CW_KEY_TAB);
    assert_false(cw_ref_same(here, view->focus));
    key(CW_KEY_BACK_TAB);
    assert_true(cw_ref_same(here, view->focus));
}

/* A row of figures that says nothing of any setup does not stand there. */
static void test_rows_that_say_something(void **state)
{
    (void)state;
    assert_false(shown(CW_ITEM_FIGURE, CW_ROW_SHARE) || shown(CW_ITEM_FIGURE, CW_ROW_LEVEL) ||
                 shown(CW_ITEM_FIGURE, CW_ROW_HUM) || shown(CW_ITEM_FIGURE, CW_ROW_BUZZ) ||
                 shown(CW_ITEM_FIGURE, CW_ROW_FILL));
    assert_true(shown(CW_ITEM_FIGURE, CW_ROW_RESONANCE));
    hear(b(CW_P_COILS), CW_COILS_PARALLEL);
    assert_true(shown(CW_ITEM_FIGURE, CW_ROW_HUM) && !shown(CW_ITEM_FIGURE, CW_ROW_SHARE));
    hear(b(CW_P_COILS), CW_COILS_SERIES);
    hear(b(CW_P_SPLIT), 1);
    assert_true(shown(CW_ITEM_FIGURE, CW_ROW_SHARE) && shown(CW_ITEM_FIGURE, CW_ROW_LEVEL));
    /* What B changes stands there at the smallest size as well. */
    cw_view_size(view, 720, 480);
    assert_true(view->layout.against.h > 20.0);
}

/* Only what does something is shown. */
static void test_what_applies(void **state)
{
    (void)state;
    assert_false(shown(CW_ITEM_PAGE, CW_PAGE_WINDING));
    assert_true(shown(CW_ITEM_SLIDER, a(CW_P_INDUCTANCE)));
    assert_false(shown(CW_ITEM_SLIDER, a(CW_P_COUPLING)));
    hear(a(CW_P_COIL_FROM), CW_FROM_WINDING);
    assert_false(shown(CW_ITEM_SLIDER, a(CW_P_INDUCTANCE)));
    assert_true(shown(CW_ITEM_SLIDER, a(CW_P_SENSITIVITY)));
    click(item(CW_ITEM_PAGE, CW_PAGE_WINDING));
    assert_true(shown(CW_ITEM_LIST, a(CW_P_GAUGE)));
    /* The page goes with what it stood for. */
    hear(a(CW_P_COIL_FROM), CW_FROM_MEASURED);
    assert_int_equal(view->page, CW_PAGE_COIL);
    hear(a(CW_P_COILS), CW_COILS_SERIES);
    assert_true(shown(CW_ITEM_SLIDER, a(CW_P_COUPLING)));
    click(item(CW_ITEM_PAGE, CW_PAGE_SPLIT));
    for (int by = 0; by < CW_SPLIT_KINDS; by++) {
        bool tap = by == CW_SPLIT_TAPPED || by == CW_SPLIT_TAPPED_R;
        hear(a(CW_P_SPLIT_BY), by);
        assert_int_equal(shown(CW_ITEM_SLIDER, a(CW_P_SPLIT_KEEP)), tap);
        assert_int_equal(shown(CW_ITEM_SLIDER, a(CW_P_SPLIT_RESISTOR)), by != CW_SPLIT_TAPPED && by != CW_SPLIT_C);
        assert_int_equal(shown(CW_ITEM_SLIDER, a(CW_P_SPLIT_CAPACITOR)), !tap && by != CW_SPLIT_R);
    }
    hear(a(CW_P_COILS), CW_COILS_PARALLEL);
    assert_false(shown(CW_ITEM_LIST, a(CW_P_SPLIT_BY)));
    click(item(CW_ITEM_PAGE, CW_PAGE_CONTROLS));
    assert_false(shown(CW_ITEM_SLIDER, a(CW_P_BLEED_RESISTOR)));
    hear(a(CW_P_BLEED_CAP), 100);
    assert_true(shown(CW_ITEM_SLIDER, a(CW_P_BLEED_RESISTOR)));
}

/* --- the picture --- */

static const struct {
    double width, height, scale;
} sizes[] = {{720, 480, 1},    {720, 480, 2},  {1120, 720, 1},  {1280, 720, 1},
             {1000, 560, 1.5}, {1440, 960, 1}, {1920, 1080, 1}, {300, 200, 1}};
enum { SIZES = sizeof sizes / sizeof sizes[0] };

static cairo_surface_t *draw(double width, double height, double scale, int *shortened)
{
    cw_view_size(view, width, height);
    cw_view_prepare(view);
    cairo_surface_t *surface =
        cairo_image_surface_create(CAIRO_FORMAT_RGB24, (int)(width * scale), (int)(height * scale));
    cairo_t *cr = cairo_create(surface);
    *shortened = cw_draw(cr, view, scale, CW_DIRTY_ALL);
    assert_int_equal(cairo_status(cr), CAIRO_STATUS_SUCCESS);
    cairo_destroy(cr);
    cairo_surface_flush(surface);
    return surface;
}

/* In every state no word is cut and no two controls lie over one another. */
static void look_at_pages(void)
{
    for (int which = 0; which < CW_SETUPS; which++) {
        for (int page = 0; page < CW_PAGES; page++) {
            view->shown = (enum cw_which)which;
            view->page = (enum cw_page)page;
            for (int i = 0; i < SIZES; i++) {
                int shortened;
                cairo_surface_destroy(draw(sizes[i].width, sizes[i].height, sizes[i].scale, &shortened));
                if (shortened) {
                    fail_msg("%gx%g, page %s: %d texts cut", sizes[i].width, sizes[i].height, cw_page_name[page],
                             shortened);
                }
                for (int k = 0; k < view->layout.count; k++) {
                    struct cw_rect p = view->layout.item[k].box,
                                   region = view->layout.region[view->layout.item[k].region];
                    assert_true(p.x >= region.x - 0.01 && p.y >= region.y - 0.01 &&
                                p.x + p.w <= region.x + region.w + 0.01 && p.y + p.h <= region.y + region.h + 0.01);
                    for (int m = 0; m < k; m++) {
                        struct cw_rect q = view->layout.item[m].box;
                        assert_false(p.x < q.x + q.w - 0.01 && q.x < p.x + p.w - 0.01 && p.y < q.y + q.h - 0.01 &&
                                     q.y < p.y + p.h - 0.01);
                    }
                }
            }
        }
    }
}

static void test_nothing_is_cut(void **state)
{
    (void)state;
    look_at_pages();
    for (int which = 0; which < CW_SETUPS; which++) {
        hear(cw_port_of_param((enum cw_which)which, CW_P_COILS), CW_COILS_SERIES);
    }
    look_at_pages();
    for (int which = 0; which < CW_SETUPS; which++) {
        hear(cw_port_of_param((enum cw_which)which, CW_P_COIL_FROM), CW_FROM_WINDING);
        hear(cw_port_of_param((enum cw_which)which, CW_P_SPLIT_BY), CW_SPLIT_RC_PARALLEL);
        hear(cw_port_of_param((enum cw_which)which, CW_P_BLEED_CAP), 5000);
        hear(cw_port_of_param((enum cw_which)which, CW_P_FORMER), CW_FORMER_TALL);
        hear(cw_port_of_param((enum cw_which)which, CW_P_POTTING), CW_POTTING_MIXED);
    }
    look_at_pages();
    /* The widest figures. */
    for (int which = 0; which < CW_SETUPS; which++) {
        hear(cw_port_of_param((enum cw_which)which, CW_P_CABLE_LENGTH), 29.95);
        hear(cw_port_of_param((enum cw_which)which, CW_P_CABLE_CAPACITANCE), 300);
        hear(cw_port_of_param((enum cw_which)which, CW_P_TURNS), 15000);
    }
    look_at_pages();
    for (int listen = CW_LISTEN_RECORDED; listen <= CW_LISTEN_B; listen++) {
        hear(global(CW_G_LISTEN), listen);
        hear(global(CW_G_ENABLED), listen % 2);
        look_at_pages();
    }
}

/* Relative luminance of a pixel, and contrast of two: WCAG 2.1 (W3C, 2018), "relative luminance" and "contrast
 * ratio". */
static double luminance(uint32_t pixel)
{
    static const double weight[3] = {0.0722, 0.7152, 0.2126};
    double sum = 0.0;
    for (int i = 0; i < 3; i++) {
        double c = (pixel >> 8 * i & 255) / 255.0;
        sum += weight[i] * (c <= 0.03928 ? c / 12.92 : pow((c + 0.055) / 1.055, 2.4));
    }
    return sum;
}

/* Of the brightest and the darkest pixel of an item, away from its round corners. */
static double contrast_of(cairo_surface_t *surface, struct cw_rect box)
{
    double most = 0.0, least = 1.0;
    for (int y = (int)box.y + 4; y < (int)(box.y + box.h) - 4; y++) {
        const unsigned char *row =
            cairo_image_surface_get_data(surface) + (size_t)y * (size_t)cairo_image_surface_get_stride(surface);
        for (int x = (int)box.x + 4; x < (int)(box.x + box.w) - 4; x++) {
            double l = luminance(((const uint32_t *)(const void *)row)[x]);
            most = fmax(most, l);
            least = fmin(least, l);
        }
    }
    return (most + 0.05) / (least + 0.05);
}

/* A control that does nothing stands back, and can still be read: level AA asks for 4.5 : 1 (WCAG 2.1, 1.4.3). */
static void test_idle_stands_back(void **state)
{
    (void)state;
    int idle = 0, acts = 0;
    hear(a(CW_P_COILS), CW_COILS_SERIES);
    for (int page = 0; page < CW_PAGES; page++) {
        view->page = (enum cw_page)page;
        int shortened;
        cairo_surface_t *surface = draw(1120, 720, 1, &shortened);
        for (int i = 0; i < view->layout.count; i++) {
            const struct cw_item *item = &view->layout.item[i];
            if (item->region != CW_REGION_PANEL || item->kind != CW_ITEM_SLIDER) {
                continue;
            }
            double contrast = contrast_of(surface, item->box);
            if (cw_control_idle(&view->model.controls, item->id) != CW_ACTS) {
                idle++;
                assert_true(contrast >= 4.5 && contrast < 6.5);
            } else {
                acts++;
                assert_true(contrast > 10.0);
            }
        }
        cairo_surface_destroy(surface);
    }
    assert_true(idle >= 1 && acts >= 10);
}

/* The hint of every item has its words, and they fit at the smallest size. */
/* The first words stay while the pointer only passes; they go once something was used. */
static void test_opening_words(void **state)
{
    (void)state;
    struct cw_hint opening, hint;
    cw_hint_of(view, &opening);
    assert_non_null(strstr(opening.meaning, "Drag cable B"));
    for (int i = 0; i < view->layout.count; i++) {
        struct cw_rect box = view->layout.item[i].box;
        move(box.x + 2, box.y + 2, false);
        cw_hint_of(view, &hint);
        assert_string_equal(hint.meaning, opening.meaning);
    }
    struct cw_item button = item(CW_ITEM_LISTEN, CW_LISTEN_B);
    move(button.box.x + 2, button.box.y + 2, false);
    click(button);
    cw_hint_of(view, &hint);
    assert_string_equal(hint.name, cw_global_info[CW_G_LISTEN].points[CW_LISTEN_B].label);
}

static void test_hints(void **state)
{
    (void)state;
    view->used = true;
    hear(a(CW_P_COIL_FROM), CW_FROM_WINDING);
    hear(a(CW_P_COILS), CW_COILS_SERIES);
    hear(a(CW_P_BLEED_CAP), 100);
    for (int page = 0; page < CW_PAGES; page++) {
        for (int by = 0; by < CW_SPLIT_KINDS; by++) {
            hear(a(CW_P_SPLIT_BY), by);
            view->page = (enum cw_page)page;
            cw_view_size(view, 720, 480);
            for (int i = 0; i < view->layout.count; i++) {
                struct cw_hint hint;
                int shortened;
                struct cw_rect box = view->layout.item[i].box;
                move(box.x + 2, box.y + 2, false);
                cw_hint_of(view, &hint);
                assert_true(hint.name[0] && hint.meaning[0] && hint.keys[0]);
                if (by > 0 && view->layout.item[i].region != CW_REGION_PANEL) {
                    continue;
                }
                cairo_surface_destroy(draw(720, 480, 1, &shortened));
                if (shortened) {
                    fail_msg("the hint of %s is cut: %s / %s", hint.name, hint.meaning, hint.keys);
                }
            }
        }
    }
}

/* The thing under the pointer is explained, also after the keys were used; then keys lead again. */
static void test_hint_follows_what_moved_last(void **state)
{
    (void)state;
    struct cw_hint by_key, by_pointer;
    hear(a(CW_P_COILS), CW_COILS_SERIES); /* every row says something */
    hear(a(CW_P_SPLIT), 1);
    key(CW_KEY_TAB);
    cw_hint_of(view, &by_key);
    static const enum cw_meter_id meter[] = {CW_M_DC_RESISTANCE,
                                             CW_M_LEAD_INDUCTANCE,
                                             CW_M_RESONANCE,
                                             CW_M_PEAK_FREQUENCY,
                                             CW_M_PEAK_HEIGHT,
                                             CW_M_LEVEL,
                                             CW_M_LEVEL,
                                             CW_M_BUZZ,
                                             CW_M_HUM};
    static const enum cw_figure_row rows[] = {CW_ROW_DC_RESISTANCE, CW_ROW_INDUCTANCE, CW_ROW_RESONANCE,
                                              CW_ROW_PEAK_HZ,       CW_ROW_PEAK,       CW_ROW_SHARE,
                                              CW_ROW_LEVEL,         CW_ROW_BUZZ,       CW_ROW_HUM};
    struct cw_item hum = item(CW_ITEM_FIGURE, CW_ROW_HUM);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct cw_item row = item(CW_ITEM_FIGURE, (int)rows[i]);
        move(row.box.x + 5, row.box.y + 5, false);
        cw_hint_of(view, &by_pointer);
        assert_string_equal(by_pointer.name, cw_meter_info[meter[i]].name);
    }
    key(CW_KEY_BACK_TAB);
    key(CW_KEY_TAB);
    struct cw_hint again;
    cw_hint_of(view, &again);
    assert_string_equal(again.name, by_key.name);
    /* A figure is looked at, not pressed. */
    struct cw_ref before = view->focus;
    click(hum);
    wheel(hum, 1, false);
    assert_true(cw_ref_same(before, view->focus));
    assert_int_equal(told.writes, 0);
}

/* The window closes while a control is held. */
static void test_closed_while_held(void **state)
{
    (void)state;
    struct cw_item trim = item(CW_ITEM_SLIDER, global(CW_G_TRIM));
    event((struct cw_event){.kind = CW_EVENT_PRESS, .x = trim.track.x + 5, .y = trim.box.y + 5, .button = 1});
    assert_int_equal(told.held, 1);
    cw_view_close(view);
    assert_int_equal(told.held, 0);
    cw_view_close(view);
    assert_int_equal(told.touches, 2);
}

/* The crosshair: frequency under the pointer, and the level of each curve in the words below. */
static void test_crosshair(void **state)
{
    (void)state;
    int shortened;
    struct cw_hint hint;
    view->used = true;
    hear(b(CW_P_CABLE_LENGTH), 12);
    cairo_surface_destroy(draw(720, 480, 2, &shortened));
    struct cw_rect plot = view->layout.region[CW_REGION_PLOT];
    move(plot.x + view->frame.x + view->frame.width / 2, plot.y + 30, false);
    cw_view_prepare(view);
    assert_true(view->plot.crosshair);
    within(view->plot.crosshair_hz, sqrt(20.0 * 20000.0), 1e-6, "the middle of the plot");
    cw_hint_of(view, &hint);
    char expected[64];
    snprintf(expected, sizeof expected, "B %+.1f dB", cw_plot_value(&view->plot.curve[1], view->plot.crosshair_hz));
    assert_string_equal(hint.name, "632 Hz");
    assert_non_null(strstr(hint.meaning, expected));
    event((struct cw_event){.kind = CW_EVENT_LEAVE});
    cw_view_prepare(view);
    assert_false(view->plot.crosshair);
}

/* What is drawn piece by piece is what is drawn at once. */
static void test_pieces_make_the_whole(void **state)
{
    (void)state;
    int shortened;
    for (int i = 0; i < 4; i++) {
        double scale = sizes[i].scale;
        cairo_surface_t *pieces = draw(sizes[i].width, sizes[i].height, scale, &shortened);
        hear(b(CW_P_CABLE_LENGTH), 3.0 + i);
        move(view->layout.region[CW_REGION_PLOT].x + 200, view->layout.region[CW_REGION_PLOT].y + 60, false);
        cw_view_prepare(view);
        cairo_t *cr = cairo_create(pieces);
        for (int region = 0; region < CW_REGIONS; region++) {
            cw_draw(cr, view, scale, 1u << region);
        }
        cairo_destroy(cr);
        cairo_surface_flush(pieces);
        cairo_surface_t *whole = draw(sizes[i].width, sizes[i].height, scale, &shortened);
        size_t bytes = (size_t)cairo_image_surface_get_stride(whole) * (size_t)cairo_image_surface_get_height(whole);
        assert_memory_equal(cairo_image_surface_get_data(pieces), cairo_image_surface_get_data(whole), bytes);
        cairo_surface_destroy(pieces);
        cairo_surface_destroy(whole);
    }
}

/* Nothing is to be drawn again where nothing changed. */
static void test_no_change_no_drawing(void **state)
{
    (void)state;
    cw_view_prepare(view);
    view->dirty = 0;
    for (int port = CW_PORT_GLOBAL; port < CW_PORT_METER; port++) {
        hear(port, value_at(port));
    }
    view->model.now = 100.0;
    for (int which = 0; which < CW_SETUPS; which++) {
        for (int id = 0; id < CW_METERS; id++) {
            hear(cw_port_of_meter((enum cw_which)which, id), view->model.figures[which].value[id]);
        }
    }
    cw_view_prepare(view);
    assert_int_equal(view->dirty, 0);
    struct cw_item button = item(CW_ITEM_LISTEN, CW_LISTEN_A);
    move(button.box.x + 3, button.box.y + 3, false);
    view->dirty = 0;
    move(button.box.x + 5, button.box.y + 5, false);
    assert_int_equal(view->dirty, 0);
    hear(a(CW_P_CABLE_LENGTH), 7);
    assert_int_equal(view->dirty, CW_DIRTY_ALL);
}

#define WITH_VIEW(test) cmocka_unit_test_setup_teardown(test, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        WITH_VIEW(test_slider_places),
        WITH_VIEW(test_steps_reach_both_ends),
        WITH_VIEW(test_figures_are_the_plugins),
        WITH_VIEW(test_curves_are_the_programs),
        WITH_VIEW(test_partials_of_a_string),
        WITH_VIEW(test_places_are_shown_as_heard),
        WITH_VIEW(test_difference_is_the_programs),
        WITH_VIEW(test_what_the_plot_holds),
        WITH_VIEW(test_figures_in_words),
        WITH_VIEW(test_twice_the_cable_in_words),
        WITH_VIEW(test_full_former),
        WITH_VIEW(test_level_at),
        WITH_VIEW(test_values_in_words),
        WITH_VIEW(test_reports),
        WITH_VIEW(test_any_float),
        WITH_VIEW(test_every_control_every_way),
        WITH_VIEW(test_listening),
        WITH_VIEW(test_split_button),
        WITH_VIEW(test_copying),
        WITH_VIEW(test_large),
        WITH_VIEW(test_find_a_split),
        WITH_VIEW(test_splits_are_the_programs),
        WITH_VIEW(test_undo),
        WITH_VIEW(test_undo_is_bounded),
        WITH_VIEW(test_link),
        WITH_VIEW(test_fine),
        WITH_VIEW(test_catches),
        WITH_VIEW(test_cable_follows_the_pointer),
        WITH_VIEW(test_typing),
        WITH_VIEW(test_menu_by_keys),
        WITH_VIEW(test_tab_reaches_everything),
        WITH_VIEW(test_rows_that_say_something),
        WITH_VIEW(test_what_applies),
        WITH_VIEW(test_nothing_is_cut),
        WITH_VIEW(test_idle_stands_back),
        WITH_VIEW(test_opening_words),
        WITH_VIEW(test_hints),
        WITH_VIEW(test_hint_follows_what_moved_last),
        WITH_VIEW(test_closed_while_held),
        WITH_VIEW(test_crosshair),
        WITH_VIEW(test_pieces_make_the_whole),
        WITH_VIEW(test_no_change_no_drawing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
