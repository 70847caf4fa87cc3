/* SPDX-License-Identifier: ISC */
/* The blind choice in the window: what is heard is what was drawn, the window does not tell which, nothing is
 * counted before its end, and afterwards all is as it was. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cairo.h>
#include <cmocka.h>

#include "blind.h"
#include "draw.h"
#include "entropy.h"
#include "layout.h"
#include "names.h"
#include "session_text.h"
#include "setup.h"
#include "view.h"
#include "view_blind.h"
#include "view_state.h"

enum { WIDE = 720, HIGH = 480 };

static float port[CW_PORTS];

static void write_port(void *data, int at, float value)
{
    (void)data;
    port[at] = value;
}

static void touch_port(void *data, int at, bool held)
{
    (void)data;
    (void)at;
    (void)held;
}

static double heard(void) { return (double)port[cw_port_of_global(CW_G_LISTEN)]; }

static void begin(struct cw_view *view)
{
    const struct cw_view_host host = {write_port, touch_port, NULL};
    memset(port, 0, sizeof port);
    cw_view_init(view, &host);
    cw_view_size(view, WIDE, HIGH);
    cw_view_port(view, cw_port_of_param(CW_B, CW_P_TONE), 2.0);
    cw_view_port(view, cw_port_of_global(CW_G_LISTEN), CW_LISTEN_B);
    cw_names_set(&view->names, CW_TEXT_B, "Darker");
}

static bool click(struct cw_view *view, enum cw_blind_button button)
{
    const int at = cw_layout_find(&view->layout, CW_ITEM_BLIND, button);
    if (at < 0) {
        return false;
    }
    struct cw_event event = {.kind = CW_EVENT_PRESS, .button = 1};
    static uint32_t time;
    event.time = time += 1000;
    event.x = view->layout.item[at].box.x + 5;
    event.y = view->layout.item[at].box.y + 5;
    cw_view_event(view, &event);
    event.kind = CW_EVENT_RELEASE;
    cw_view_event(view, &event);
    return true;
}

static void key(struct cw_view *view, const char *text)
{
    struct cw_event event = {.kind = CW_EVENT_KEY};
    strcpy(event.text, text);
    cw_view_event(view, &event);
}

static void test_what_is_drawn_is_heard(void **state)
{
    (void)state;
    static struct cw_view view;
    begin(&view);
    click(&view, CW_BLIND_BEGIN);
    assert_true(heard() == CW_LISTEN_RECORDED);
    assert_true(port[cw_port_of_global(CW_G_LEVEL_MATCH)] == 1.0f);
    click(&view, CW_BLIND_8);
    for (int i = 0; i < 8; i++) {
        const bool x_is_b = i % 3 == 0;
        assert_int_equal(view.blind.state, CW_BLIND_DRAWING);
        assert_true(heard() == CW_LISTEN_RECORDED); /* between trials */
        click(&view, CW_BLIND_X);                   /* nothing is drawn yet */
        assert_true(heard() == CW_LISTEN_RECORDED);
        cw_view_drawn(&view, x_is_b);
        click(&view, CW_BLIND_X);
        assert_true(heard() == (x_is_b ? CW_LISTEN_B : CW_LISTEN_A));
        click(&view, CW_BLIND_PREFER_X); /* Y was not heard yet */
        assert_int_equal(view.blind.done, i);
        key(&view, "y");
        assert_true(heard() == (x_is_b ? CW_LISTEN_A : CW_LISTEN_B));
        for (const char *c = "abrmsunv"; *c; c++) { /* letters that would tell or change something */
            key(&view, (char[]){*c, '\0'});
        }
        assert_true(heard() == (x_is_b ? CW_LISTEN_A : CW_LISTEN_B));
        click(&view, x_is_b ? CW_BLIND_PREFER_Y : CW_BLIND_PREFER_X); /* A always */
    }
    char text[200], meaning[200];
    assert_int_equal(view.blind.state, CW_BLIND_DONE);
    cw_blind_result(&view.blind, text, meaning, sizeof text);
    assert_string_equal(text, "A was preferred 8 times, B 0 times");
    assert_non_null(strstr(meaning, "0.78 %")); /* 2 / 2^8 */
    click(&view, CW_BLIND_END);
    assert_true(heard() == CW_LISTEN_B);
    assert_true(port[cw_port_of_global(CW_G_LEVEL_MATCH)] == 0.0f);
    assert_true(cw_layout_find(&view.layout, CW_ITEM_LISTEN, CW_LISTEN_A) >= 0);
}

/* Whoever leaves before the end that he chose learns nothing; without an end chosen he gets the evidence. */
static void test_nothing_is_told_before(void **state)
{
    (void)state;
    static struct cw_view view;
    for (int open = 0; open < 2; open++) {
        begin(&view);
        click(&view, CW_BLIND_BEGIN);
        click(&view, open ? CW_BLIND_OPEN : CW_BLIND_12);
        for (int i = 0; i < 5; i++) {
            cw_view_drawn(&view, false);
            click(&view, CW_BLIND_X);
            click(&view, CW_BLIND_Y);
            click(&view, CW_BLIND_PREFER_X);
        }
        click(&view, CW_BLIND_END);
        assert_int_equal(view.blind.state, open ? CW_BLIND_DONE : CW_BLIND_OFF);
    }
    /* (10.5 + 2^6 B(1, 6) P(Beta(1, 6) > 1/2)) / 2: 10.5 for 5 of 5, 1/6 for 0 of 5 by the same formula. */
    assert_true(fabs(cw_blind_evidence(&view.blind) - 0.5 * (10.5 + 1.0 / 6.0)) < 1e-9);
    cw_view_close(&view);
    assert_true(heard() == CW_LISTEN_B);
}

static cairo_surface_t *picture(struct cw_view *view)
{
    cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, WIDE, HIGH);
    cairo_t *cr = cairo_create(surface);
    cw_view_prepare(view);
    assert_int_equal(cw_draw(cr, view, 1.0, CW_DIRTY_ALL), 0); /* no text is cut */
    cairo_destroy(cr);
    cairo_surface_flush(surface);
    return surface;
}

/* The window is the same to the pixel whichever stands behind X. */
static void test_the_window_does_not_tell(void **state)
{
    (void)state;
    static struct cw_view view;
    static const enum cw_blind_button press[] = {CW_BLIND_X, CW_BLIND_Y};
    for (int i = 0; i < 2; i++) {
        cairo_surface_t *seen[2];
        for (int x_is_b = 0; x_is_b < 2; x_is_b++) {
            begin(&view);
            click(&view, CW_BLIND_BEGIN);
            click(&view, CW_BLIND_OPEN);
            cw_view_drawn(&view, x_is_b != 0);
            click(&view, press[i]);
            cw_view_port(&view, cw_port_of_meter(CW_B, CW_M_RESONANCE), 1234.0);
            seen[x_is_b] = picture(&view);
        }
        assert_memory_equal(cairo_image_surface_get_data(seen[0]), cairo_image_surface_get_data(seen[1]),
                            (size_t)cairo_image_surface_get_stride(seen[0]) * HIGH);
        cairo_surface_destroy(seen[0]);
        cairo_surface_destroy(seen[1]);
    }
}

static void test_the_coin_is_fair(void **state)
{
    (void)state;
    int heads = 0;
    for (int i = 0; i < 4000; i++) {
        bool coin;
        assert_true(cw_entropy_coin(&coin));
        heads += coin;
    }
    assert_true(abs(heads - 2000) < 190); /* six standard deviations */
}

/* A host's automation or its generic view moves what a trial holds: it is put back, the trial does not count, and the
 * window says so. An echo of the window's own word is no move. */
static void test_the_host_upsets_a_trial(void **state)
{
    static const int ports[] = {CW_G_LISTEN, CW_G_LEVEL_MATCH, CW_G_ENABLED};
    static const double moved[] = {CW_LISTEN_B, 0, 0};
    (void)state;
    static struct cw_view view;
    begin(&view);
    view.model.now = 100.0;
    click(&view, CW_BLIND_BEGIN);
    click(&view, CW_BLIND_8);
    for (int i = 0; i < 3; i++) {
        cw_view_drawn(&view, false);
        click(&view, CW_BLIND_X);
        cw_view_port(&view, cw_port_of_global(CW_G_LISTEN), CW_LISTEN_RECORDED); /* late echo */
        assert_int_equal(view.blind.state, CW_BLIND_TRIAL);
        assert_true(heard() == CW_LISTEN_A);
        assert_true(view.model.controls.global[CW_G_LISTEN] == CW_LISTEN_A);
        view.model.now += 10.0;
        cw_view_port(&view, cw_port_of_global((enum cw_global_id)ports[i]), moved[i]);
        assert_int_equal(view.blind.state, CW_BLIND_DRAWING);
        assert_int_equal(view.blind.done, 0);
        assert_int_equal(view.blind.spoilt, i + 1);
        assert_true(heard() == CW_LISTEN_RECORDED);
        assert_true(port[cw_port_of_global(CW_G_LEVEL_MATCH)] == 1.0f);
        assert_true(view.model.controls.global[CW_G_ENABLED] == 1.0);
        view.model.now += 10.0;
    }
    cw_view_drawn(&view, true);
    view.model.now += 10.0;
    cw_view_port(&view, cw_port_of_param(CW_B, CW_P_TONE), 7.0); /* what is compared */
    assert_int_equal(view.blind.spoilt, 4);
    click(&view, CW_BLIND_END);
    cw_view_port(&view, cw_port_of_global(CW_G_LISTEN), CW_LISTEN_A); /* all is the host's again */
    assert_true(view.model.controls.global[CW_G_LISTEN] == CW_LISTEN_A);
    assert_true(port[cw_port_of_global(CW_G_LISTEN)] == CW_LISTEN_B);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_what_is_drawn_is_heard),   cmocka_unit_test(test_nothing_is_told_before),
        cmocka_unit_test(test_the_window_does_not_tell), cmocka_unit_test(test_the_coin_is_fair),
        cmocka_unit_test(test_the_host_upsets_a_trial),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
