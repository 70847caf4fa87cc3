/* SPDX-License-Identifier: ISC */
/* The window tells whether each setup is still what was sealed: a preset with a seal, read by lilv into the plugin
 * itself; a control changed and taken back; copies and swaps; a preset that was edited in a host and saved again. */
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cairo.h>
#include <cmocka.h>
#include <lilv/lilv.h>
#include <lv2/atom/atom.h>
#include <lv2/data-access/data-access.h>
#include <lv2/instance-access/instance-access.h>
#include <lv2/state/state.h>

#include "blind.h"
#include "deaf_host.h"
#include "draw.h"
#include "hint.h"
#include "host.h"
#include "instance.h"
#include "layout.h"
#include "model.h"
#include "partner.h"
#include "preset_text.h"
#include "seal.h"
#include "seal_mark.h"
#include "seals.h"
#include "session_text.h"
#include "setup.h"
#include "view.h"
#include "view_blind.h"
#include "view_change.h"
#include "view_items.h"
#include "view_state.h"

enum { RATE = 48000 };

static struct host *host;
static struct cw_view view;
static struct cw_partner partner;
static struct cw_seal seal;
static char text[CW_SEAL_TEXT];

static const void *data_access(const char *uri) { return lilv_instance_get_extension_data(host_instance(host), uri); }

/* The window on the plugin's instance, told of every control, as a host does. */
static void open_window(void)
{
    static LV2_Extension_Data_Feature access = {data_access};
    const LV2_Feature instance = {LV2_INSTANCE_ACCESS_URI, lilv_instance_get_handle(host_instance(host))};
    const LV2_Feature data = {LV2_DATA_ACCESS_URI, &access};
    const LV2_Feature *const features[] = {&instance, &data, NULL};
    cw_view_init(&view, &deaf_host);
    cw_partner_open(&partner, features);
    cw_partner_sync(&partner, &view);
    for (size_t i = 0; i < host_ports(host); i++) {
        const struct cw_place place = cw_place_find(host_symbol(host, i));
        if (place.found && !place.global) {
            cw_view_port(&view, cw_port_of_param(place.which, place.index),
                         (double)host_get(host, host_symbol(host, i)));
        }
    }
    cw_view_prepare(&view);
}

static enum cw_seal_standing standing(enum cw_which which)
{
    cw_view_prepare(&view);
    return view.model.seals.standing[which];
}

static void assert_standings(enum cw_seal_standing recorded, enum cw_seal_standing a, enum cw_seal_standing b)
{
    assert_int_equal(standing(CW_REC), recorded);
    assert_int_equal(standing(CW_A), a);
    assert_int_equal(standing(CW_B), b);
}

static void press(int action)
{
    struct cw_event enter = {.kind = CW_EVENT_KEY, .key = CW_KEY_ENTER};
    view.focus = (struct cw_ref){CW_ITEM_ACTION, action};
    cw_view_event(&view, &enter);
    cw_partner_sync(&partner, &view);
}

static void turn(enum cw_which which, int id, enum cw_key way)
{
    struct cw_event step = {.kind = CW_EVENT_KEY, .key = way};
    cw_view_show(&view, which);
    view.focus = (struct cw_ref){CW_ITEM_SLIDER, cw_port_of_param(which, id)};
    cw_view_event(&view, &step);
}

static void assert_kept(enum cw_session_text which, const char *expected)
{
    char kept[CW_TEXT_SIZE];
    const struct cw_instance_interface *of = data_access(CW_INSTANCE_URI);
    of->text(lilv_instance_get_handle(host_instance(host)), which, kept);
    assert_string_equal(kept, expected);
}

/* --- presets --- */

static void set_port(const char *symbol, void *data, const void *value, uint32_t size, uint32_t type)
{
    (void)size;
    host_set(data, symbol, (float)host_number(value, type));
}

static const void *port_value(const char *symbol, void *data, uint32_t *size, uint32_t *type)
{
    static float value[CW_PORTS];
    static int next;
    float *place = &value[next++ % CW_PORTS];
    *place = host_get(data, symbol);
    *size = sizeof *place;
    *type = host_map()->map(host_map()->handle, LV2_ATOM__Float);
    return place;
}

static void restore(struct host *into, const char *path)
{
    LilvState *state = lilv_state_new_from_file(host_world(), host_map(), NULL, path);
    assert_non_null(state);
    lilv_state_restore(state, host_instance(into), set_port, into, 0, NULL);
    lilv_state_free(state);
}

/* A preset of A, as coilwright seal writes it, in a file. */
static void write_preset(const char *path, bool sealed)
{
    static char preset[1 << 16];
    char mark[CW_SEAL_MARK_TEXT];
    const struct cw_setup *setups[CW_SETUPS] = {[CW_A] = &seal.setup};
    struct cw_preset_words words = {.name = {[CW_A] = "Order 22"}};
    words.seal[CW_A] = sealed ? cw_seal_mark_print(&seal.setup, seal.fingerprint, seal.revision, mark) : NULL;
    const size_t length = cw_preset_text("Order 22", NULL, setups, &words, preset, sizeof preset);
    assert_true(length < sizeof preset);
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    assert_int_equal(fwrite(preset, 1, length, file), length);
    fclose(file);
}

static int begin(void **state)
{
    char path[] = "/tmp/cw_seal_XXXXXX";
    (void)state;
    memset(&seal, 0, sizeof seal);
    cw_setup_defaults(&seal.setup);
    seal.setup.value[CW_P_CABLE_LENGTH] = 4.7; /* no float: what a host stores is another number */
    seal.setup.value[CW_P_COUPLING] = 0.3;
    seal.setup.value[CW_P_COILS] = CW_COILS_SERIES;
    strcpy(seal.revision, "B");
    cw_seal_print(&seal, text);
    const int file = mkstemp(path);
    host = host_new(RATE);
    if (file < 0 || !host) {
        return 1;
    }
    close(file);
    write_preset(path, true);
    restore(host, path);
    unlink(path);
    open_window();
    return 0;
}

static int end(void **state)
{
    (void)state;
    cw_partner_close(&partner, &view);
    host_free(host);
    return 0;
}

/* --- what it tells --- */

/* Every control that the window can turn breaks it, whether heard or not; turned back or undone it holds again. */
static void test_a_change_shows_and_undo_takes_it_back(void **state)
{
    (void)state;
    assert_string_equal(view.names.text[CW_A], "Order 22");
    assert_standings(CW_SEAL_NONE, CW_SEAL_HOLDS, CW_SEAL_NONE);
    assert_string_equal(view.model.seals.mark[CW_A].fingerprint, seal.fingerprint);
    assert_string_equal(view.model.seals.mark[CW_A].revision, "B");
    for (int id = 0; id < CW_PARAMS; id++) {
        const struct cw_param_info *info = &cw_param_info[id];
        const int port = cw_port_of_param(CW_A, id);
        const double before = cw_model_value(&view.model, port);
        cw_view_port(&view, port, before == info->maximum ? info->minimum : info->maximum);
        assert_standings(CW_SEAL_NONE, CW_SEAL_CHANGED, CW_SEAL_NONE);
        cw_view_port(&view, port, before);
        assert_standings(CW_SEAL_NONE, CW_SEAL_HOLDS, CW_SEAL_NONE);
    }
    turn(CW_A, CW_P_INDUCTANCE, CW_KEY_UP);
    assert_standings(CW_SEAL_NONE, CW_SEAL_CHANGED, CW_SEAL_NONE);
    press(CW_ACTION_UNDO);
    assert_standings(CW_SEAL_NONE, CW_SEAL_HOLDS, CW_SEAL_NONE);
    press(CW_ACTION_REDO);
    assert_standings(CW_SEAL_NONE, CW_SEAL_CHANGED, CW_SEAL_NONE);
    /* What is common to all setups is no part of it. */
    press(CW_ACTION_UNDO);
    cw_view_port(&view, cw_port_of_global(CW_G_MAINS), 60);
    cw_view_port(&view, cw_port_of_global(CW_G_TRIM), -6);
    turn(CW_B, CW_P_INDUCTANCE, CW_KEY_UP);
    assert_standings(CW_SEAL_NONE, CW_SEAL_HOLDS, CW_SEAL_NONE);
}

static void test_copies_carry_it(void **state)
{
    (void)state;
    char mark[CW_SEAL_MARK_TEXT];
    cw_seal_mark_print(&seal.setup, seal.fingerprint, seal.revision, mark);
    press(CW_ACTION_COPY);
    assert_standings(CW_SEAL_NONE, CW_SEAL_HOLDS, CW_SEAL_HOLDS);
    assert_kept(CW_TEXT_SEAL_B, mark);
    press(CW_ACTION_RECORD);
    assert_standings(CW_SEAL_HOLDS, CW_SEAL_HOLDS, CW_SEAL_HOLDS);
    press(CW_ACTION_UNDO);
    press(CW_ACTION_UNDO);
    assert_standings(CW_SEAL_NONE, CW_SEAL_HOLDS, CW_SEAL_NONE);
    assert_kept(CW_TEXT_SEAL_B, "");
    press(CW_ACTION_REDO);
    assert_standings(CW_SEAL_NONE, CW_SEAL_HOLDS, CW_SEAL_HOLDS);
    press(CW_ACTION_UNDO);
    press(CW_ACTION_SWAP);
    assert_standings(CW_SEAL_NONE, CW_SEAL_NONE, CW_SEAL_HOLDS);
    assert_string_equal(view.names.text[CW_B], "Order 22");
    assert_kept(CW_TEXT_SEAL_A, "");
    press(CW_ACTION_UNDO);
    assert_standings(CW_SEAL_NONE, CW_SEAL_HOLDS, CW_SEAL_NONE);
    assert_kept(CW_TEXT_SEAL_A, mark);
}

/* Where A and B are the same but for the seal, a copy changes no control, and can be taken back all the same. */
static void test_a_seal_alone_is_a_step(void **state)
{
    (void)state;
    struct cw_hint hint;
    press(CW_ACTION_COPY);
    const struct cw_instance_interface *of = data_access(CW_INSTANCE_URI);
    of->set_text(lilv_instance_get_handle(host_instance(host)), CW_TEXT_SEAL_B, "");
    cw_partner_sync(&partner, &view);
    assert_standings(CW_SEAL_NONE, CW_SEAL_HOLDS, CW_SEAL_NONE);
    press(CW_ACTION_COPY);
    assert_standings(CW_SEAL_NONE, CW_SEAL_HOLDS, CW_SEAL_HOLDS);
    view.used = view.keys = true;
    view.pointed = false;
    view.focus = (struct cw_ref){CW_ITEM_ACTION, CW_ACTION_UNDO};
    cw_hint_of(&view, &hint);
    assert_string_equal(hint.meaning, "The seals that were carried along.");
    press(CW_ACTION_UNDO);
    assert_standings(CW_SEAL_NONE, CW_SEAL_HOLDS, CW_SEAL_NONE);
    press(CW_ACTION_UNDO);
    assert_true(cw_model_value(&view.model, cw_port_of_param(CW_B, CW_P_COILS)) != CW_COILS_SERIES);
}

/* --- what a host does --- */

static LilvState *saved(struct host *from)
{
    return lilv_state_new_from_instance(host_plugin(), host_instance(from), host_map(), NULL, NULL, NULL, NULL,
                                        port_value, from, LV2_STATE_IS_POD | LV2_STATE_IS_PORTABLE, NULL);
}

/* Saved again by a host as it is it is still sealed; edited there, it is changed; the seal says what it was. */
static void test_a_preset_edited_in_a_host(void **state)
{
    (void)state;
    for (int edited = 0; edited <= 1; edited++) {
        char directory[] = "/tmp/cw_seal_XXXXXX", path[64];
        struct host *first = host, *second = host_new(RATE);
        host_set(first, "a_cable_length", edited ? 4.8f : 4.7f);
        assert_non_null(mkdtemp(directory));
        LilvState *kept = saved(first);
        lilv_state_save(host_world(), host_map(), host_unmap(), kept, NULL, directory, "state.ttl");
        lilv_state_free(kept);
        snprintf(path, sizeof path, "%s/state.ttl", directory);
        restore(second, path);
        unlink(path);
        snprintf(path, sizeof path, "%s/manifest.ttl", directory);
        unlink(path);
        rmdir(directory);
        cw_partner_close(&partner, &view);
        host = second;
        open_window();
        assert_standings(CW_SEAL_NONE, edited ? CW_SEAL_CHANGED : CW_SEAL_HOLDS, CW_SEAL_NONE);
        assert_string_equal(view.model.seals.mark[CW_A].fingerprint, seal.fingerprint);
        cw_partner_close(&partner, &view);
        host_free(second);
        host = first;
        open_window();
    }
}

/* Another design that is named and was never sealed takes the seal away; a text that is none is told as unknown. */
static void test_another_preset(void **state)
{
    (void)state;
    char path[] = "/tmp/cw_seal_XXXXXX";
    const int file = mkstemp(path);
    assert_true(file >= 0);
    close(file);
    write_preset(path, false);
    restore(host, path);
    unlink(path);
    cw_partner_sync(&partner, &view);
    assert_standings(CW_SEAL_NONE, CW_SEAL_NONE, CW_SEAL_NONE);
    const struct cw_instance_interface *of = data_access(CW_INSTANCE_URI);
    of->set_text(lilv_instance_get_handle(host_instance(host)), CW_TEXT_SEAL_A, "2 of a later version");
    cw_partner_sync(&partner, &view);
    assert_standings(CW_SEAL_NONE, CW_SEAL_UNREAD, CW_SEAL_NONE);
}

/* --- what is drawn --- */

static cairo_surface_t *draw(double width, double height)
{
    cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, (int)width, (int)height);
    cairo_t *cr = cairo_create(surface);
    cw_view_size(&view, width, height);
    cw_view_prepare(&view);
    assert_int_equal(cw_draw(cr, &view, 1, CW_DIRTY_ALL), 0);
    cairo_destroy(cr);
    cairo_surface_flush(surface);
    return surface;
}

static bool same_picture(cairo_surface_t *a, cairo_surface_t *b)
{
    const size_t size = (size_t)cairo_image_surface_get_stride(a) * (size_t)cairo_image_surface_get_height(a);
    return memcmp(cairo_image_surface_get_data(a), cairo_image_surface_get_data(b), size) == 0;
}

/* The row is there where anything is sealed, and says the same at every size: nothing is cut. */
static void test_the_row(void **state)
{
    (void)state;
    static const double sizes[][2] = {{720, 480}, {1120, 720}, {1920, 1080}};
    struct cw_hint hint;
    press(CW_ACTION_COPY);
    press(CW_ACTION_RECORD);
    turn(CW_B, CW_P_INDUCTANCE, CW_KEY_UP);
    for (int i = 0; i < 3; i++) {
        const int row =
            (cw_view_size(&view, sizes[i][0], sizes[i][1]), cw_layout_find(&view.layout, CW_ITEM_FIGURE, CW_SEAL_ROW));
        assert_true(row >= 0);
        view.hover = cw_ref_of(&view.layout.item[row]);
        view.used = view.pointed = true;
        view.keys = false;
        cairo_surface_t *sealed = draw(sizes[i][0], sizes[i][1]);
        cw_hint_of(&view, &hint);
        assert_string_equal(hint.name, "Seal");
        assert_non_null(strstr(hint.keys, "proves no more"));
        char expected[64];
        snprintf(expected, sizeof expected, "A: as sealed (B %.8s);  B: changed since (B %.8s)", seal.fingerprint,
                 seal.fingerprint);
        assert_non_null(strstr(hint.meaning, expected));
        cw_view_port(&view, cw_port_of_param(CW_A, CW_P_TRACK), 1.0 - seal.setup.value[CW_P_TRACK]);
        cairo_surface_t *changed = draw(sizes[i][0], sizes[i][1]);
        assert_false(same_picture(sealed, changed));
        cw_view_port(&view, cw_port_of_param(CW_A, CW_P_TRACK), seal.setup.value[CW_P_TRACK]);
        cairo_surface_destroy(changed);
        cairo_surface_destroy(sealed);
    }
    const struct cw_seal_texts none = {{""}};
    cw_seals_take(&view.model.seals, &none, false);
    cw_view_size(&view, 720, 480);
    assert_int_equal(cw_layout_find(&view.layout, CW_ITEM_FIGURE, CW_SEAL_ROW), -1);
}

/* Nothing of a seal is in the picture while a blind choice is on. */
static void test_masked_in_a_blind_choice(void **state)
{
    (void)state;
    const struct cw_seal_texts none = {{""}};
    view.used = true;
    cw_view_blind_press(&view, CW_BLIND_BEGIN);
    for (int stage = 0; stage < 2; stage++) {
        const struct cw_seal_texts sealed = view.model.seals.text;
        cairo_surface_t *with = draw(720, 480);
        cw_seals_take(&view.model.seals, &none, true);
        cairo_surface_t *without = draw(720, 480);
        assert_true(same_picture(with, without));
        assert_int_equal(cw_layout_find(&view.layout, CW_ITEM_FIGURE, CW_SEAL_ROW), -1);
        cairo_surface_destroy(without);
        cairo_surface_destroy(with);
        cw_seals_take(&view.model.seals, &sealed, true);
        cw_view_blind_press(&view, CW_BLIND_8);
        cw_view_drawn(&view, true);
        cw_view_blind_press(&view, CW_BLIND_X);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(test_a_change_shows_and_undo_takes_it_back, begin, end),
        cmocka_unit_test_setup_teardown(test_copies_carry_it, begin, end),
        cmocka_unit_test_setup_teardown(test_a_seal_alone_is_a_step, begin, end),
        cmocka_unit_test_setup_teardown(test_a_preset_edited_in_a_host, begin, end),
        cmocka_unit_test_setup_teardown(test_another_preset, begin, end),
        cmocka_unit_test_setup_teardown(test_the_row, begin, end),
        cmocka_unit_test_setup_teardown(test_masked_in_a_blind_choice, begin, end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
