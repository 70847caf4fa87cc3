/* SPDX-License-Identifier: ISC */
/* The window beside the sound: two instances of the plugin on audio threads of their own, their two
 * windows turned and drawn on a third thread, as hosts do, and values between them as a host hands them over,
 * one atomic word a port. What the window does not share, it cannot disturb: the sound is the same to the
 * bit as without a window. tests/test_threads.sh runs it under ThreadSanitizer. */
#include <math.h>
#include <pthread.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cairo.h>
#include <cmocka.h>
#include <lv2/data-access/data-access.h>
#include <lv2/instance-access/instance-access.h>

#include "draw.h"
#include "host.h"
#include "instance.h"
#include "layout.h"
#include "pages.h"
#include "partner.h"
#include "session_text.h"
#include "setup.h"
#include "shelf.h"
#include "view.h"
#include "view_state.h"

enum { PAIRS = 2, BLOCK = 64, BLOCKS = 1500, SIDE = 700 };

/* One instance, its window, and the host's words between them. */
struct pair {
    struct host *host;
    _Atomic float port[CW_PORTS]; /* control inputs from the window, meters to it */
    _Atomic int written;          /* how often the window wrote */
    _Atomic bool playing;
    float out[BLOCKS * BLOCK];
};

static float noise[BLOCK];
static int looked; /* how often a window saw sound; of the windows' thread */

static void *play(void *data)
{
    struct pair *p = data;
    for (int i = 0; i < BLOCKS; i++) {
        host_exchange(p->host, p->port);
        host_run(p->host, noise, p->out + (size_t)i * BLOCK, BLOCK, BLOCK);
    }
    p->playing = false;
    return NULL;
}

static void write_port(void *data, int port, float value)
{
    struct pair *p = data;
    p->port[port] = value;
    p->written++;
}

static void touch_port(void *data, int port, bool held)
{
    (void)data;
    (void)port;
    (void)held;
}

/* Some click, drag or key anywhere in the window. */
static struct cw_event some_event(uint32_t *seed, int i)
{
    struct cw_event event = {.kind = (enum cw_event_kind)(host_random(seed) % 6), .button = 1};
    event.x = host_random_unit(seed) * SIDE;
    event.y = host_random_unit(seed) * SIDE;
    event.wheel = host_random(seed) % 2 ? 1 : -1;
    event.key = (enum cw_key)(CW_KEY_TAB + host_random(seed) % 12);
    event.time = (uint32_t)i * 50;
    return event;
}

static void tell_meters(struct cw_view *view, struct pair *p)
{
    for (int port = CW_PORT_METER; port < CW_PORTS; port++) {
        cw_view_port(view, port, (double)p->port[port]);
    }
}

static struct cw_view *view_new(struct pair *p)
{
    struct cw_view *view = calloc(1, sizeof *view);
    const struct cw_view_host host = {write_port, touch_port, p};
    cw_view_init(view, &host);
    cw_view_size(view, SIDE, SIDE);
    return view;
}

static struct host *whose_data; /* of any instance: they have one descriptor */

static const void *data_access(const char *uri)
{
    return lilv_instance_get_extension_data(host_instance(whose_data), uri);
}

/* The window's way past the ports: it looks at the sound and keeps names. */
static struct cw_partner *partner_new(struct pair *p)
{
    struct cw_partner *partner = calloc(1, sizeof *partner);
    LV2_Extension_Data_Feature access = {data_access};
    const LV2_Feature features[] = {{LV2_INSTANCE_ACCESS_URI, lilv_instance_get_handle(host_instance(p->host))},
                                    {LV2_DATA_ACCESS_URI, &access}};
    const LV2_Feature *const list[] = {&features[0], &features[1], NULL};
    assert_non_null(partner);
    cw_partner_open(partner, list);
    assert_non_null(partner->live);
    return partner;
}

/* What a host does beside: it saves the session, restores it, and a window changes a name, or the notes. */
static void keep_session(struct pair *p, struct cw_view *view, struct shelf *learned, int i)
{
    struct shelf now;
    if (i % 5 == 0) {
        assert_int_equal(shelf_restore(p->host, learned), LV2_STATE_SUCCESS);
    } else if (i % 5 == 1) {
        shelf_save(p->host, &now);
        shelf_clear(&now);
    } else if (i % 5 == 2) {
        view->names.text[CW_A][0] = (char)('a' + i % 26);
        view->names.changed |= 1u << CW_A;
    } else if (i % 5 == 3) {
        memset(view->names.text[CW_TEXT_NOTES], 'a' + i % 26, CW_TEXT_SIZE - 1);
        view->names.changed |= 1u << CW_TEXT_NOTES;
        view->page = i % 2 ? CW_JOB_PAGE : CW_PAGE_COIL;
        cw_view_size(view, SIDE, SIDE);
    }
}

/* Both windows, in turn. */
static void *turn(void *data)
{
    struct pair **pair = data;
    struct cw_view *view[PAIRS];
    struct cw_partner *partner[PAIRS];
    struct shelf learned;
    cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, SIDE, SIDE);
    uint32_t seed = 11;
    for (int i = 0; i < PAIRS; i++) {
        view[i] = view_new(pair[i]);
        partner[i] = partner_new(pair[i]);
    }
    shelf_save(pair[0]->host, &learned);
    for (int i = 0; pair[i % PAIRS]->playing || i < 50; i++) {
        struct cw_view *v = view[i % PAIRS];
        struct cw_event event = some_event(&seed, i);
        cw_view_event(v, &event);
        tell_meters(v, pair[i % PAIRS]);
        keep_session(pair[i % PAIRS], v, &learned, i / PAIRS);
        v->model.now = 0.1 * i;
        cw_partner_sync(partner[i % PAIRS], v);
        looked += partner[i % PAIRS]->heard > 0;
        cw_view_prepare(v);
        cairo_t *cr = cairo_create(surface);
        cw_draw(cr, v, 1.0, CW_DIRTY_ALL);
        cairo_destroy(cr);
    }
    for (int i = 0; i < PAIRS; i++) {
        cw_partner_close(partner[i], view[i]);
        free(partner[i]);
        free(view[i]);
    }
    shelf_clear(&learned);
    cairo_surface_destroy(surface);
    return NULL;
}

static struct pair *pair_new(void)
{
    struct pair *p = calloc(1, sizeof *p);
    assert_non_null(p);
    p->host = host_new(48000);
    assert_non_null(p->host);
    for (size_t port = CW_PORT_GLOBAL; port < CW_PORT_METER; port++) {
        p->port[port] = host_get(p->host, host_symbol(p->host, port));
    }
    p->playing = true;
    return p;
}

static void pair_free(struct pair *p)
{
    host_free(p->host);
    free(p);
}

static int make_noise(void **state)
{
    uint32_t seed = 3;
    (void)state;
    for (int i = 0; i < BLOCK; i++) {
        noise[i] = (float)(host_random_unit(&seed) - 0.5);
    }
    return 0;
}

/* Five seconds, so that there is something to save. */
static void learn(struct pair *p)
{
    p->port[CW_PORT_GLOBAL + CW_G_LEVEL_MATCH] = 1.0f;
    host_set(p->host, "level_match", 1);
    for (int i = 0; i < 5 * 48000 / BLOCK; i++) {
        host_run(p->host, noise, p->out, BLOCK, BLOCK);
    }
    assert_true(host_get(p->host, "match_by") == 1.0f);
}

static void test_windows_beside_sound(void **state)
{
    (void)state;
    struct pair *pair[PAIRS];
    pthread_t audio[PAIRS], window;
    for (int i = 0; i < PAIRS; i++) {
        pair[i] = pair_new();
        learn(pair[i]);
        whose_data = pair[i]->host;
        assert_int_equal(pthread_create(&audio[i], NULL, play, pair[i]), 0);
    }
    assert_int_equal(pthread_create(&window, NULL, turn, pair), 0);
    pthread_join(window, NULL);
    assert_true(looked > 0);
    for (int i = 0; i < PAIRS; i++) {
        pthread_join(audio[i], NULL);
        assert_true(pair[i]->written > 0);
        for (int n = 0; n < BLOCKS * BLOCK; n++) {
            assert_true(isfinite(pair[i]->out[n]));
        }
        pair_free(pair[i]);
    }
}

/* A window that is only looked at changes no sample. */
static void *look(void *data)
{
    struct pair *p = data;
    struct cw_view *view = view_new(p);
    for (int i = 0; p->playing || i < 10; i++) {
        tell_meters(view, p);
        cw_view_prepare(view);
    }
    free(view);
    return NULL;
}

static void test_looking_changes_nothing(void **state)
{
    (void)state;
    struct pair *alone = pair_new(), *seen = pair_new();
    alone->port[CW_PORT_PARAM + CW_PARAMS + CW_P_TONE] = seen->port[CW_PORT_PARAM + CW_PARAMS + CW_P_TONE] = 4.0f;
    play(alone);
    pthread_t audio, window;
    assert_int_equal(pthread_create(&window, NULL, look, seen), 0);
    assert_int_equal(pthread_create(&audio, NULL, play, seen), 0);
    pthread_join(audio, NULL);
    pthread_join(window, NULL);
    assert_memory_equal(alone->out, seen->out, sizeof alone->out);
    pair_free(alone);
    pair_free(seen);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_windows_beside_sound),
        cmocka_unit_test(test_looking_changes_nothing),
    };
    return cmocka_run_group_tests(tests, make_noise, NULL);
}
