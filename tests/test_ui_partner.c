/* SPDX-License-Identifier: ISC */
/* The window's way to the plugin's instance, with the plugin itself at the other end: names to and fro, what is
 * heard behind the curves; and a host that offers no way. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <lv2/data-access/data-access.h>
#include <lv2/instance-access/instance-access.h>

#include "constants.h"
#include "deaf_host.h"
#include "draw.h"
#include "host.h"
#include "instance.h"
#include "layout.h"
#include "live.h"
#include "partner.h"
#include "plot_model.h"
#include "session_text.h"
#include "setup.h"
#include "view.h"
#include "view_state.h"

enum { RATE = 48000 };

static struct host *host;
static struct cw_view view;
static struct cw_partner partner;

static const void *data_access(const char *uri) { return lilv_instance_get_extension_data(host_instance(host), uri); }

static void open_window(bool instance, bool data)
{
    static LV2_Extension_Data_Feature access = {data_access};
    const LV2_Feature instance_feature = {LV2_INSTANCE_ACCESS_URI, lilv_instance_get_handle(host_instance(host))};
    const LV2_Feature data_feature = {LV2_DATA_ACCESS_URI, &access};
    const LV2_Feature *features[3] = {NULL};
    int count = 0;
    if (instance) {
        features[count++] = &instance_feature;
    }
    if (data) {
        features[count++] = &data_feature;
    }
    cw_view_init(&view, &deaf_host);
    cw_partner_open(&partner, features);
    cw_partner_sync(&partner, &view);
}

static int begin(void **state)
{
    (void)state;
    host = host_new(RATE);
    return host ? 0 : 1;
}

static int end(void **state)
{
    (void)state;
    host_free(host);
    return 0;
}

static void key(enum cw_key which, const char *text)
{
    struct cw_event event = {.kind = CW_EVENT_KEY, .key = which};
    strcpy(event.text, text);
    cw_view_event(&view, &event);
}

static void type(const char *text)
{
    for (; *text; text++) {
        key(CW_KEY_TEXT, (char[]){*text, '\0'});
    }
    key(CW_KEY_ENTER, "");
}

static void assert_kept(enum cw_session_text which, const char *expected)
{
    char text[CW_TEXT_SIZE];
    const struct cw_instance_interface *of = data_access(CW_INSTANCE_URI);
    of->text(lilv_instance_get_handle(host_instance(host)), which, text);
    assert_string_equal(text, expected);
}

static void test_names_to_and_fro(void **state)
{
    (void)state;
    const struct cw_instance_interface *of = data_access(CW_INSTANCE_URI);
    LV2_Handle handle = lilv_instance_get_handle(host_instance(host));
    of->set_text(handle, CW_TEXT_B, "Vintage");
    open_window(true, true);
    assert_true(view.names.kept);
    assert_string_equal(view.names.text[CW_B], "Vintage"); /* was there before the window */
    key(CW_KEY_TEXT, "n");
    type("  Job 12, tap 49 % ");
    cw_partner_sync(&partner, &view);
    assert_kept(CW_TEXT_A, "Job 12, tap 49 %");
    of->set_text(handle, CW_TEXT_A, "From a session");
    cw_partner_sync(&partner, &view);
    assert_string_equal(view.names.text[CW_A], "From a session");

    /* Swapped, taken back, done again: the names go with the controls. */
    cw_view_port(&view, cw_port_of_param(CW_A, CW_P_TONE), 3.0);
    view.focus = (struct cw_ref){CW_ITEM_ACTION, CW_ACTION_SWAP};
    key(CW_KEY_ENTER, "");
    assert_string_equal(view.names.text[CW_B], "From a session");
    view.focus = (struct cw_ref){CW_ITEM_ACTION, CW_ACTION_UNDO};
    key(CW_KEY_ENTER, "");
    assert_string_equal(view.names.text[CW_A], "From a session");
    view.focus = (struct cw_ref){CW_ITEM_ACTION, CW_ACTION_REDO};
    key(CW_KEY_ENTER, "");
    assert_string_equal(view.names.text[CW_B], "From a session");
    cw_partner_close(&partner, &view); /* and the last is handed over */
    assert_kept(CW_TEXT_B, "From a session");
    assert_kept(CW_TEXT_A, "Vintage");
}

static void click_page(int page)
{
    view.focus = (struct cw_ref){CW_ITEM_PAGE, page};
    key(CW_KEY_ENTER, "");
}

/* Typed on their page, kept by the plugin, taken back and done again; notes have lines, and grow. */
static void test_job_and_notes(void **state)
{
    (void)state;
    const struct cw_instance_interface *of = data_access(CW_INSTANCE_URI);
    LV2_Handle handle = lilv_instance_get_handle(host_instance(host));
    of->set_text(handle, CW_TEXT_NOTES, "From the bench");
    open_window(true, true);
    click_page(CW_JOB_PAGE);
    view.focus = (struct cw_ref){CW_ITEM_WORDS, CW_TEXT_JOB};
    key(CW_KEY_ENTER, "");
    type("Order 17");
    view.focus = (struct cw_ref){CW_ITEM_WORDS, CW_TEXT_NOTES};
    key(CW_KEY_ENTER, "");
    struct cw_event line = {.kind = CW_EVENT_KEY, .key = CW_KEY_ENTER, .fine = true};
    cw_view_event(&view, &line);
    type("6.8k is too dark");
    cw_partner_sync(&partner, &view);
    assert_kept(CW_TEXT_JOB, "Order 17");
    assert_kept(CW_TEXT_NOTES, "From the bench\n6.8k is too dark");
    key(CW_KEY_UNDO, "");
    cw_partner_sync(&partner, &view);
    assert_kept(CW_TEXT_NOTES, "From the bench");
    assert_kept(CW_TEXT_JOB, "Order 17");
    key(CW_KEY_UNDO, "");
    cw_partner_sync(&partner, &view);
    assert_kept(CW_TEXT_JOB, "");
    key(CW_KEY_REDO, "");
    key(CW_KEY_REDO, "");
    cw_partner_sync(&partner, &view);
    assert_kept(CW_TEXT_JOB, "Order 17");
    assert_kept(CW_TEXT_NOTES, "From the bench\n6.8k is too dark");
    /* Enter in the job ends it; Escape leaves what was there. */
    view.focus = (struct cw_ref){CW_ITEM_WORDS, CW_TEXT_JOB};
    key(CW_KEY_ENTER, "");
    key(CW_KEY_TEXT, "x");
    key(CW_KEY_ESCAPE, "");
    cw_partner_sync(&partner, &view);
    assert_kept(CW_TEXT_JOB, "Order 17");
    /* What a session brings stands there at once, and is no step. */
    of->set_text(handle, CW_TEXT_JOB, "Order 18");
    cw_partner_sync(&partner, &view);
    assert_string_equal(view.names.text[CW_TEXT_JOB], "Order 18");
    cw_partner_close(&partner, &view);
}

/* A name is taken back like a value, and with it nothing else. */
static void test_a_name_is_taken_back(void **state)
{
    (void)state;
    open_window(true, true);
    key(CW_KEY_TEXT, "n");
    type("One");
    key(CW_KEY_TEXT, "n");
    type("Two");
    key(CW_KEY_UNDO, "");
    assert_string_equal(view.names.text[CW_A], "One");
    key(CW_KEY_UNDO, "");
    assert_string_equal(view.names.text[CW_A], "");
    key(CW_KEY_REDO, "");
    cw_partner_sync(&partner, &view);
    assert_kept(CW_TEXT_A, "One");
    /* A press that takes the typed name over and swaps is one step. */
    cw_view_port(&view, cw_port_of_param(CW_A, CW_P_TONE), 3.0);
    key(CW_KEY_TEXT, "n");
    for (const char *c = "Three"; *c; c++) {
        key(CW_KEY_TEXT, (char[]){*c, '\0'});
    }
    const struct cw_item *swap = &view.layout.item[cw_layout_find(&view.layout, CW_ITEM_ACTION, CW_ACTION_SWAP)];
    struct cw_event press = {.kind = CW_EVENT_PRESS, .button = 1, .x = swap->box.x + 5, .y = swap->box.y + 5};
    cw_view_event(&view, &press);
    assert_string_equal(view.names.text[CW_B], "Three");
    key(CW_KEY_UNDO, "");
    assert_string_equal(view.names.text[CW_A], "One");
    assert_string_equal(view.names.text[CW_B], "");
    key(CW_KEY_REDO, "");
    assert_string_equal(view.names.text[CW_A], "");
    assert_string_equal(view.names.text[CW_B], "Three");
    cw_partner_close(&partner, &view);
}

/* The longest notes are drawn as far as there is room, and typed no further than they are kept. */
static void test_the_longest_notes(void **state)
{
    (void)state;
    open_window(true, true);
    click_page(CW_JOB_PAGE);
    view.focus = (struct cw_ref){CW_ITEM_WORDS, CW_TEXT_NOTES};
    key(CW_KEY_ENTER, "");
    for (int i = 0; i < CW_TEXT_SIZE; i++) {
        key(CW_KEY_TEXT, i % 7 == 6 ? " " : i % 80 > 40 ? "w" : "\xc3\xa9");
    }
    static const double size[][2] = {{720, 480}, {1280, 720}, {1920, 1080}};
    for (int typed = 1; typed >= 0; typed--) {
        for (int i = 0; i < 3; i++) {
            cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, (int)size[i][0], (int)size[i][1]);
            cairo_t *cr = cairo_create(surface);
            cw_view_size(&view, size[i][0], size[i][1]);
            cw_view_prepare(&view);
            cw_draw(cr, &view, 1.0, CW_DIRTY_ALL);
            cairo_destroy(cr);
            cairo_surface_destroy(surface);
        }
        key(CW_KEY_ENTER, "");
    }
    assert_true(strlen(view.names.text[CW_TEXT_NOTES]) > CW_TEXT_SIZE - 8);
    cw_partner_sync(&partner, &view);
    assert_kept(CW_TEXT_NOTES, view.names.text[CW_TEXT_NOTES]);
    cw_partner_close(&partner, &view);
}

/* A name that cannot be kept stays where it is typed, with what is wrong; Escape leaves the old one. */
static void test_names_that_are_none(void **state)
{
    (void)state;
    open_window(true, true);
    key(CW_KEY_TEXT, "n");
    key(CW_KEY_TEXT, "\x1b");
    key(CW_KEY_ENTER, "");
    assert_true(view.edit.why[0] != '\0');
    key(CW_KEY_ESCAPE, "");
    assert_int_equal(view.edit.what.kind, CW_ITEM_NONE);
    assert_string_equal(view.names.text[CW_A], "");
    key(CW_KEY_TEXT, "n");
    for (int i = 0; i < 200; i++) {
        key(CW_KEY_TEXT, "\xc3\xa9");
    }
    key(CW_KEY_ENTER, "");
    cw_partner_sync(&partner, &view);
    assert_string_equal(view.edit.why, "");
    assert_kept(CW_TEXT_A, view.names.text[CW_A]);
    assert_int_equal(strlen(view.names.text[CW_A]) % 2, 0); /* whole characters */
    cw_partner_close(&partner, &view);
}

static void test_a_host_without_a_way(void **state)
{
    (void)state;
    for (int ways = 0; ways < 3; ways++) {
        open_window(ways == 1, ways == 2);
        assert_false(view.names.kept);
        key(CW_KEY_TEXT, "n");
        type("Here only");
        cw_partner_sync(&partner, &view);
        assert_string_equal(view.names.text[CW_A], "Here only");
        assert_false(view.ground_shown);
        cw_partner_close(&partner, &view);
        assert_kept(CW_TEXT_A, "");
    }
}

static void play_tone(double hz, double amplitude)
{
    static float x[RATE / 4], y[RATE / 4];
    for (int i = 0; i < RATE / 4; i++) {
        x[i] = (float)(amplitude * sin(CW_TAU * hz * i / RATE));
    }
    host_run(host, x, y, RATE / 4, 64);
}

static int highest(const double height[CW_PLOT_POINTS])
{
    int top = 0;
    for (int i = 0; i < CW_PLOT_POINTS; i++) {
        top = height[i] > height[top] ? i : top;
    }
    return top;
}

/* A tone stands at its place and at its level: a sine of full scale is 0 dB. */
static void test_what_is_heard_stands_behind_the_curves(void **state)
{
    (void)state;
    static const double tones[] = {110.0, 1000.0, 6000.0};
    host_set(host, "listen", 0);
    host_set(host, "trim", -12);
    open_window(true, true);
    for (int i = 0; i < 3; i++) {
        play_tone(tones[i], 0.1);
        view.model.now += 10.0; /* what was before has fallen away */
        cw_partner_sync(&partner, &view);
        assert_true(view.ground_shown);
        for (int side = 0; side < 2; side++) {
            const int top = highest(view.ground.height[side]);
            assert_true(fabs(log2(cw_plot_hz(top) / tones[i])) < 0.2);
            const double db = CW_LIVE_FOOT_DB + (CW_LIVE_TOP_DB - CW_LIVE_FOOT_DB) * view.ground.height[side][top];
            assert_float_equal(db, side == 0 ? -20.0 : -32.0, 3.0); /* some of it lies in the bands beside */
        }
    }
    cw_view_prepare(&view);
    assert_non_null(view.plot.ground);
    /* Playing stops: it falls away, and then the plot is left alone. */
    for (int i = 0; i < 12; i++) {
        view.model.now += 1.0;
        cw_partner_sync(&partner, &view);
    }
    assert_false(view.ground_shown);
    view.dirty = 0;
    view.model.now += 1.0;
    cw_partner_sync(&partner, &view);
    assert_int_equal(view.dirty, 0);
    cw_partner_close(&partner, &view);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(test_names_to_and_fro, begin, end),
        cmocka_unit_test_setup_teardown(test_job_and_notes, begin, end),
        cmocka_unit_test_setup_teardown(test_a_name_is_taken_back, begin, end),
        cmocka_unit_test_setup_teardown(test_the_longest_notes, begin, end),
        cmocka_unit_test_setup_teardown(test_names_that_are_none, begin, end),
        cmocka_unit_test_setup_teardown(test_a_host_without_a_way, begin, end),
        cmocka_unit_test_setup_teardown(test_what_is_heard_stands_behind_the_curves, begin, end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
