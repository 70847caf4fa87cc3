/* SPDX-License-Identifier: ISC */
/* What a session keeps beside the controls: the words and what level match has learned. Saved and read by lilv, as
 * most hosts do it, through files; restored by a host that means no good; beside run(). */
#include <math.h>
#include <pthread.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>
#include <lilv/lilv.h>
#include <lv2/atom/atom.h>
#include <lv2/state/state.h>

#include "host.h"
#include "instance.h"
#include "learn.h"
#include "plugin_uri.h"
#include "session_text.h"
#include "setup.h"
#include "shelf.h"

enum { SECOND = 48000, RATE = 48000 };

static float in[SECOND], out[SECOND];

static const struct cw_instance_interface *interface_of(struct host *host)
{
    return lilv_instance_get_extension_data(host_instance(host), CW_INSTANCE_URI);
}

static LV2_Handle handle_of(struct host *host) { return lilv_instance_get_handle(host_instance(host)); }

static LV2_URID urid(const char *uri) { return host_map()->map(host_map()->handle, uri); }

static LV2_URID key(const char *tail)
{
    char uri[128];
    snprintf(uri, sizeof uri, CW_PLUGIN_URI "#%s", tail);
    return urid(uri);
}

static const char *const some_text[CW_TEXTS] = {"Take 3, neck",   "Darker \"one\"", "Größer \xce\xa9", "Order 17",
                                                "two\nlines\t\\", "1 9f86d081 A",   "1 9f86d082 B",    "1 9f86d083 C"};

static void set_texts(struct host *host)
{
    for (int i = 0; i < CW_TEXTS; i++) {
        assert_true(interface_of(host)->set_text(handle_of(host), (enum cw_session_text)i, some_text[i]));
    }
}

static void assert_text(struct host *host, enum cw_session_text which, const char *expected)
{
    char text[CW_TEXT_SIZE];
    interface_of(host)->text(handle_of(host), which, text);
    assert_string_equal(text, expected);
}

static void assert_texts(struct host *host)
{
    for (int i = 0; i < CW_TEXTS; i++) {
        assert_text(host, (enum cw_session_text)i, some_text[i]);
    }
}

/* Noise: far brighter than what is assumed. */
static void play(struct host *host, double seconds, int seed)
{
    uint32_t random = (uint32_t)seed;
    for (double left = seconds; left > 0.0; left -= 1.0) {
        for (int i = 0; i < SECOND; i++) {
            in[i] = (float)(0.2 * (host_random_unit(&random) - 0.5) * (1.2 + sin(1e-4 * i)));
        }
        host_run(host, in, out, SECOND, 256);
    }
}

static struct host *matched_host(void)
{
    struct host *host = host_new(RATE);
    assert_non_null(host);
    host_set(host, "level_match", 1);
    host_set(host, "a_tone", 2);
    host_set(host, "a_cable_length", 15);
    return host;
}

/* --- through files, by lilv --- */

struct ports {
    struct host *host;
    float value[CW_PORTS];
};

static const void *port_value(const char *symbol, void *data, uint32_t *size, uint32_t *type)
{
    struct ports *ports = data;
    for (size_t i = 0; i < host_ports(ports->host); i++) {
        if (strcmp(host_symbol(ports->host, i), symbol) == 0) {
            ports->value[i] = host_get(ports->host, symbol);
            *size = sizeof(float);
            *type = urid(LV2_ATOM__Float);
            return &ports->value[i];
        }
    }
    *size = *type = 0;
    return NULL;
}

static LilvState *state_from(struct host *host)
{
    struct ports ports = {.host = host};
    return lilv_state_new_from_instance(host_plugin(), host_instance(host), host_map(), NULL, NULL, NULL, NULL,
                                        port_value, &ports, LV2_STATE_IS_POD | LV2_STATE_IS_PORTABLE, NULL);
}

static void set_port(const char *symbol, void *data, const void *value, uint32_t size, uint32_t type)
{
    float number;
    assert_int_equal(size, sizeof number);
    assert_int_equal(type, urid(LV2_ATOM__Float));
    memcpy(&number, value, sizeof number);
    host_set(data, symbol, number);
}

/* A state written to the disk by lilv, and read from there. */
static LilvState *through_a_file(const LilvState *state)
{
    char directory[] = "/tmp/cw_state_XXXXXX", path[64];
    assert_non_null(mkdtemp(directory));
    assert_int_equal(lilv_state_save(host_world(), host_map(), host_unmap(), state, NULL, directory, "state.ttl"), 0);
    snprintf(path, sizeof path, "%s/state.ttl", directory);
    LilvState *read = lilv_state_new_from_file(host_world(), host_map(), NULL, path);
    unlink(path);
    snprintf(path, sizeof path, "%s/manifest.ttl", directory);
    unlink(path);
    rmdir(directory);
    assert_non_null(read);
    return read;
}

static struct shelf_property *on_shelf(struct shelf *shelf, const char *tail)
{
    for (int i = 0; i < shelf->count; i++) {
        if (shelf->property[i].key == key(tail)) {
            return &shelf->property[i];
        }
    }
    return NULL;
}

static void put(struct shelf *shelf, const char *tail, const char *type, const void *value, size_t size)
{
    struct shelf_property *property = on_shelf(shelf, tail);
    if (property) {
        free(property->value);
        *property = shelf->property[--shelf->count];
    }
    shelf_store(shelf, key(tail), value, size, urid(type), LV2_STATE_IS_POD);
}

static void assert_same_shelf(struct shelf *a, struct shelf *b)
{
    assert_int_equal(a->count, b->count);
    for (int i = 0; i < a->count; i++) {
        assert_int_equal(a->property[i].key, b->property[i].key);
        assert_int_equal(a->property[i].size, b->property[i].size);
        assert_int_equal(a->property[i].type, b->property[i].type);
        assert_memory_equal(a->property[i].value, b->property[i].value, a->property[i].size);
    }
}

/* --- what comes back --- */

/* RMS of a second of a fixed signal, dB: the level heard now. */
static double level_of(struct host *host)
{
    uint32_t seed = 5;
    double sum = 0.0;
    for (int i = 0; i < SECOND; i++) {
        in[i] = (float)(0.01 * (host_random_unit(&seed) - 0.5));
    }
    host_run(host, in, out, SECOND, 64);
    for (int i = 0; i < SECOND; i++) {
        sum += (double)out[i] * (double)out[i];
    }
    return 10.0 * log10(sum / SECOND);
}

/* Words and learned level come back through a file, the same to the bit when they are saved again, before it runs
 * and after. Two instances that come back sound alike to the bit; one that does not goes by the assumed spectrum. */
static void test_a_session_comes_back(void **unused)
{
    (void)unused;
    static float first[SECOND];
    struct host *host = matched_host(), *other = host_new(RATE), *third = host_new(RATE), *fresh = matched_host();
    struct shelf saved, before, after;
    set_texts(host);
    play(host, 12, 1);
    assert_true(host_get(host, "match_by") == (float)CW_MATCH_BY_PLAYED);
    shelf_save(host, &saved);
    LilvState *state = state_from(host), *read = through_a_file(state);
    lilv_state_restore(read, host_instance(other), set_port, other, 0, NULL);
    lilv_state_restore(read, host_instance(third), set_port, third, 0, NULL);
    assert_texts(other);
    shelf_save(other, &before);
    assert_same_shelf(&saved, &before);
    const double level = level_of(other);
    memcpy(first, out, sizeof first);
    assert_true(host_get(other, "match_by") == (float)CW_MATCH_BY_PLAYED);
    shelf_save(other, &after);
    assert_same_shelf(&saved, &after);
    level_of(third);
    assert_memory_equal(first, out, sizeof first);
    assert_true(fabs(level - level_of(fresh)) > 0.3);
    assert_true(host_get(fresh, "match_by") == (float)CW_MATCH_BY_ASSUMED);
    shelf_clear(&saved);
    shelf_clear(&before);
    shelf_clear(&after);
    lilv_state_free(read);
    lilv_state_free(state);
    host_free(fresh);
    host_free(third);
    host_free(other);
    host_free(host);
}

static void pass_over(const char *symbol, void *data, const void *value, uint32_t size, uint32_t type)
{
    (void)symbol;
    (void)data;
    (void)value;
    (void)size;
    (void)type;
}

/* A preset of the bundle names what it sets, and nothing else: read by lilv as hosts do. */
static void test_presets_name_what_is_heard(void **unused)
{
    (void)unused;
    struct host *host = host_new(RATE);
    assert_non_null(host);
    set_texts(host);
    LilvState *preset = lilv_state_new_from_file(host_world(), host_map(), NULL, "presets/job-12-tapped-split.ttl");
    lilv_state_restore(preset, host_instance(host), pass_over, NULL, 0, NULL);
    assert_text(host, CW_TEXT_A, "Job 12, split at a tap");
    assert_text(host, CW_TEXT_B, some_text[CW_TEXT_B]);
    assert_text(host, CW_TEXT_NOTES, some_text[CW_TEXT_NOTES]);
    lilv_state_free(preset);
    preset = lilv_state_new_from_file(host_world(), host_map(), NULL, "presets/session-job-12.ttl");
    lilv_state_restore(preset, host_instance(host), pass_over, NULL, 0, NULL);
    assert_text(host, CW_TEXT_RECORDED, "Bench guitar");
    assert_text(host, CW_TEXT_A, "Job 12, full");
    assert_text(host, CW_TEXT_B, "Job 12, split at a tap");
    lilv_state_free(preset);
    host_free(host);
}

/* While it plays, a session that comes back is heard at once: by a crossfade, not by the drift of 0.1 dB a second. */
static void test_a_session_comes_back_while_playing(void **unused)
{
    (void)unused;
    struct host *host = matched_host(), *other = matched_host();
    struct shelf shelf;
    play(host, 12, 1);
    shelf_save(host, &shelf);
    const double before = level_of(other);
    assert_int_equal(shelf_restore(other, &shelf), LV2_STATE_SUCCESS);
    level_of(other); /* the change itself */
    const double after = level_of(other);
    struct host *from_the_start = matched_host();
    shelf_restore(from_the_start, &shelf);
    assert_true(fabs(after - before) > 0.3);
    level_of(from_the_start);
    assert_float_equal(after, level_of(from_the_start), 0.01);
    host_free(from_the_start);
    shelf_clear(&shelf);
    host_free(other);
    host_free(host);
}

/* Other controls and other learned levels, which come where no call looks for controls yet, are one change: as if both
 * had come at the place of the look. */
static void test_a_session_is_one_change(void **unused)
{
    (void)unused;
    enum { LOOK = 64, EARLY = 16, AFTER = 4800 };
    static float played[2][LOOK + AFTER];
    struct host *host = matched_host();
    struct shelf shelf;
    play(host, 12, 1);
    shelf_save(host, &shelf);
    for (int i = 0; i < 2; i++) {
        const size_t comes = i == 0 ? LOOK : EARLY;
        struct host *other = matched_host();
        play(other, 1, 2);
        host_run(other, in, played[i], comes, 0);
        shelf_restore(other, &shelf);
        host_set(other, "a_tone", 10);
        host_set(other, "a_cable_length", 1);
        host_run(other, in + comes, played[i] + comes, LOOK + AFTER - comes, EARLY);
        host_free(other);
    }
    assert_memory_equal(played[0], played[1], sizeof played[0]);
    shelf_clear(&shelf);
    host_free(host);
}

/* What was learned before run() took over what was restored is not what is saved then. */
static void test_restored_again_before_it_runs(void **unused)
{
    (void)unused;
    struct host *host = matched_host(), *other = matched_host();
    struct shelf shelf, again;
    play(host, 8, 1);
    shelf_save(host, &shelf);
    play(other, 8, 2); /* told, and not asked for yet */
    shelf_restore(other, &shelf);
    shelf_save(other, &again);
    assert_same_shelf(&shelf, &again);
    shelf_clear(&again);
    play(other, 30, 3); /* and it goes on learning */
    shelf_save(other, &again);
    assert_true(again.count == shelf.count);
    assert_memory_not_equal(on_shelf(&shelf, "learned")->value, on_shelf(&again, "learned")->value, 400);
    shelf_clear(&again);
    shelf_clear(&shelf);
    host_free(other);
    host_free(host);
}

/* A preset that says nothing of words and level leaves them alone; one that names A names A alone. */
static void test_a_preset_leaves_the_rest(void **unused)
{
    (void)unused;
    struct host *host = matched_host();
    struct shelf shelf, saved, again;
    set_texts(host);
    play(host, 8, 1);
    shelf_save(host, &saved);
    shelf.count = 0;
    assert_int_equal(shelf_restore(host, &shelf), LV2_STATE_SUCCESS);
    shelf_save(host, &again);
    assert_same_shelf(&saved, &again);
    shelf_clear(&again);
    put(&shelf, "name_a", LV2_ATOM__String, "Other", 6);
    assert_int_equal(shelf_restore(host, &shelf), LV2_STATE_SUCCESS);
    assert_text(host, CW_TEXT_A, "Other");
    assert_text(host, CW_TEXT_B, some_text[CW_TEXT_B]);
    assert_text(host, CW_TEXT_SEAL_A, ""); /* it is another design */
    assert_text(host, CW_TEXT_SEAL_B, some_text[CW_TEXT_SEAL_B]);
    assert_text(host, CW_TEXT_SEAL_RECORDED, some_text[CW_TEXT_SEAL_RECORDED]);
    put(&shelf, "seal_a", LV2_ATOM__String, "1 x A", 6);
    assert_int_equal(shelf_restore(host, &shelf), LV2_STATE_SUCCESS);
    assert_text(host, CW_TEXT_SEAL_A, "1 x A");
    shelf_clear(&shelf);

    struct host *untouched = host_new(RATE);
    shelf_save(untouched, &shelf);
    host_free(untouched);
    assert_int_equal(shelf.count, 1); /* a session in which nothing was written or played empties all */
    assert_int_equal(shelf_restore(host, &shelf), LV2_STATE_SUCCESS);
    for (int i = 0; i < CW_TEXTS; i++) {
        assert_text(host, (enum cw_session_text)i, "");
    }
    host_run(host, in, out, 64, 64);
    assert_true(host_get(host, "match_by") == (float)CW_MATCH_BY_ASSUMED);
    shelf_clear(&shelf);
    shelf_clear(&saved);
    host_free(host);
}

/* The host is told once for what others than itself changed: a text, and that levels go by what was played from now on;
 * not of what it restored, nor of a text that is the same. */
static void test_the_host_is_told(void **unused)
{
    (void)unused;
    struct host *host = matched_host(), *other = matched_host();
    struct shelf shelf;
    host_run(host, in, out, 64, 32);
    assert_int_equal(host_state_changes(host), 0);
    for (int i = 0; i < CW_TEXTS; i++) {
        interface_of(host)->set_text(handle_of(host), (enum cw_session_text)i, some_text[i]);
        host_run(host, in, out, 64, 32);
        assert_int_equal(host_state_changes(host), 1);
        interface_of(host)->set_text(handle_of(host), (enum cw_session_text)i, some_text[i]);
        assert_false(interface_of(host)->set_text(handle_of(host), (enum cw_session_text)i, "\xff"));
        host_run(host, in, out, 64, 32);
        assert_int_equal(host_state_changes(host), 0);
    }
    play(host, 12, 1);
    assert_int_equal(host_state_changes(host), 1);
    shelf_save(host, &shelf);
    assert_int_equal(shelf_restore(other, &shelf), LV2_STATE_SUCCESS);
    play(other, 2, 1);
    assert_true(host_get(other, "match_by") == (float)CW_MATCH_BY_PLAYED);
    assert_int_equal(host_state_changes(other), 0);
    shelf_clear(&shelf);
    host_free(other);
    host_free(host);
}

/* Room for no notification, for no sequence, or none at all: nothing is written past it, and it is told later. */
static void test_rooms_for_notifications(void **unused)
{
    (void)unused;
    struct host *host = host_new(RATE);
    struct {
        LV2_Atom_Sequence sequence;
        uint8_t rest[64];
    } port;
    lilv_instance_connect_port(host_instance(host), CW_PORT_OUT, out);
    interface_of(host)->set_text(handle_of(host), CW_TEXT_A, "New");
    for (uint32_t room = 0; room < 60; room++) {
        memset(&port, 0xa5, sizeof port);
        port.sequence.atom.size = room;
        lilv_instance_connect_port(host_instance(host), CW_PORT_NOTIFY, room % 2 ? &port : NULL);
        lilv_instance_run(host_instance(host), 16);
        if (room % 2) {
            assert_true(port.sequence.atom.size <= room);
            assert_int_equal(port.sequence.atom.size, room < 8 ? 0 : room == 33 ? 32 : 8);
            for (size_t i = sizeof(LV2_Atom) + room; i < sizeof port; i++) {
                assert_int_equal(((const uint8_t *)&port)[i], 0xa5);
            }
        }
    }
    host_free(host);
}

/* --- what is no session of ours --- */

static void test_texts_of_the_wrong_kind(void **unused)
{
    (void)unused;
    static char huge[1 << 20];
    static const struct {
        const char *type, *text;
        size_t size;
    } wrong[] = {
        {LV2_ATOM__String, "", 0},
        {LV2_ATOM__String, "open", 4},        /* without its zero */
        {LV2_ATOM__String, "two\0texts", 10}, /* a zero within */
        {LV2_ATOM__String, "a\x1b[31m", 7},   /* a control character */
        {LV2_ATOM__String, "a\nb", 4},        /* a line break in a name */
        {LV2_ATOM__String,
         "a\xc2\x9b"
         "b",
         5},                                   /* C1 */
        {LV2_ATOM__String, "\xff\xfe", 3},     /* no UTF-8 */
        {LV2_ATOM__String, "\xed\xa0\x80", 4}, /* half of a pair */
        {LV2_ATOM__String, huge, sizeof huge}, /* far too long */
        {LV2_ATOM__String, "x", SIZE_MAX},     /* longer than there is memory; not to be read */
        {LV2_ATOM__Int, "abc", 4},
        {LV2_ATOM__Path, "/etc/passwd", 12},
    };
    struct host *host = host_new(RATE);
    memset(huge, 'x', sizeof huge - 1);
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
        struct shelf shelf = {.count = 0};
        set_texts(host);
        shelf_save(host, &shelf);
        put(&shelf, "name_a", wrong[i].type, wrong[i].text, wrong[i].size == SIZE_MAX ? 2 : wrong[i].size);
        on_shelf(&shelf, "name_a")->size = wrong[i].size;
        assert_int_equal(shelf_restore(host, &shelf), LV2_STATE_ERR_BAD_TYPE);
        assert_text(host, CW_TEXT_A, "");
        assert_text(host, CW_TEXT_B, some_text[CW_TEXT_B]);
        shelf_clear(&shelf);
    }
    for (size_t i = 2; i < 9; i++) {
        assert_int_equal(interface_of(host)->set_text(handle_of(host), CW_TEXT_A, wrong[i].text), i == 2);
    }
    host_free(host);
}

/* Any bytes where the learned level should be: taken or not, what is heard is finite. */
static void test_learned_of_any_bytes(void **unused)
{
    (void)unused;
    struct host *host = matched_host();
    struct shelf good;
    uint32_t seed = 17;
    play(host, 8, 1);
    shelf_save(host, &good);
    const struct shelf_property *learned = on_shelf(&good, "learned");
    uint8_t *bytes = malloc(learned->size + 64);
    int taken = 0;
    for (int round = 0; round < 3000; round++) {
        struct shelf shelf = {.count = 0};
        size_t size = learned->size;
        memcpy(bytes, learned->value, size);
        memset(bytes + size, 0, 64);
        if (round % 3 == 1) {
            size = host_random(&seed) % (size + 64);
        }
        for (uint32_t k = host_random(&seed) % 4; k > 0; k--) {
            bytes[host_random(&seed) % (round % 2 ? 220 : size + 1)] = (uint8_t)host_random(&seed);
        }
        put(&shelf, "state_format", LV2_ATOM__Int, &(int32_t){1}, 4);
        put(&shelf, "learned", LV2_ATOM__Chunk, bytes, size);
        taken += shelf_restore(host, &shelf) == LV2_STATE_SUCCESS;
        host_run(host, in, out, 1024, 256);
        for (int i = 0; i < 1024; i++) {
            assert_true(isfinite(out[i]));
        }
        shelf_clear(&shelf);
    }
    assert_true(taken > 300 && taken < 2700);
    free(bytes);
    shelf_clear(&good);
    host_free(host);
}

static void test_a_host_without_numbers_for_uris(void **unused)
{
    (void)unused;
    LilvInstance *bare = lilv_plugin_instantiate(host_plugin(), RATE, NULL);
    const LV2_State_Interface *state = lilv_instance_get_extension_data(bare, LV2_STATE__interface);
    struct shelf shelf = {.count = 0};
    LV2_Handle handle = lilv_instance_get_handle(bare);
    assert_int_equal(state->save(handle, shelf_store, &shelf, 0, NULL), LV2_STATE_ERR_NO_FEATURE);
    assert_int_equal(state->restore(handle, shelf_retrieve, &shelf, 0, NULL), LV2_STATE_ERR_NO_FEATURE);
    assert_int_equal(shelf.count, 0);
    lilv_instance_free(bare);
}

/* --- the sound on its way to the window --- */

static void test_what_is_heard(void **unused)
{
    (void)unused;
    static float seen_in[CW_HEARD_MOST], seen_out[CW_HEARD_MOST], kept[SECOND];
    struct host *host = matched_host();
    const struct cw_instance_interface *of = interface_of(host);
    LV2_Handle handle = handle_of(host);
    assert_true(of->rate(handle) == (double)RATE);
    level_of(host);
    assert_int_equal(of->heard(handle, seen_in, seen_out, 64), 0); /* nobody listened */
    of->listen(handle, true);
    level_of(host);
    memcpy(kept, out, sizeof kept);
    const unsigned count = of->heard(handle, seen_in, seen_out, CW_HEARD_MOST);
    assert_int_equal(count, SECOND);
    assert_memory_equal(seen_in, in + SECOND - CW_HEARD_MOST, sizeof seen_in);
    assert_memory_equal(seen_out, kept + SECOND - CW_HEARD_MOST, sizeof seen_out);
    memcpy(kept, in, sizeof kept);
    host_run(host, in, in, SECOND, 0); /* in place, in one block longer than the ring */
    of->heard(handle, seen_in, seen_out, CW_HEARD_MOST);
    assert_memory_equal(seen_in, kept + SECOND - CW_HEARD_MOST, sizeof seen_in);
    assert_memory_equal(seen_out, in + SECOND - CW_HEARD_MOST, sizeof seen_out);
    of->listen(handle, false);
    level_of(host);
    assert_int_equal(of->heard(handle, seen_in, seen_out, 64), 2 * SECOND);
    host_free(host);
}

/* --- beside run() --- */

struct beside {
    struct host *host;
    _Atomic bool playing;
};

static void *run_on(void *data)
{
    struct beside *beside = data;
    static float x[64], y[64];
    while (beside->playing) {
        host_run(beside->host, x, y, 64, 64);
        for (int i = 0; i < 64; i++) {
            x[i] = isfinite(y[i]) ? 0.1f * (float)((i * 7919) % 13 - 6) : NAN;
        }
    }
    return NULL;
}

/* Words, state and looks at the sound from this thread while another one runs it. */
static void test_beside_the_sound(void **unused)
{
    (void)unused;
    static float seen_in[CW_HEARD_MOST], seen_out[CW_HEARD_MOST];
    struct beside beside = {matched_host(), true};
    const struct cw_instance_interface *of = interface_of(beside.host);
    LV2_Handle handle = handle_of(beside.host);
    struct shelf shelf, other;
    pthread_t audio;
    play(beside.host, 8, 1);
    shelf_save(beside.host, &shelf);
    assert_int_equal(pthread_create(&audio, NULL, run_on, &beside), 0);
    for (int i = 0; i < 300; i++) {
        of->listen(handle, i % 2 == 0);
        set_texts(beside.host);
        assert_texts(beside.host);
        of->heard(handle, seen_in, seen_out, i % 2 ? 64 : 2048);
        shelf_save(beside.host, &other);
        shelf_clear(&other);
        if (i % 3 == 0) {
            shelf_restore(beside.host, &shelf);
        }
    }
    of->listen(handle, false);
    beside.playing = false;
    pthread_join(audio, NULL);
    assert_texts(beside.host);
    shelf_clear(&shelf);
    host_free(beside.host);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_a_session_comes_back),
        cmocka_unit_test(test_presets_name_what_is_heard),
        cmocka_unit_test(test_a_session_comes_back_while_playing),
        cmocka_unit_test(test_a_session_is_one_change),
        cmocka_unit_test(test_restored_again_before_it_runs),
        cmocka_unit_test(test_a_preset_leaves_the_rest),
        cmocka_unit_test(test_the_host_is_told),
        cmocka_unit_test(test_rooms_for_notifications),
        cmocka_unit_test(test_texts_of_the_wrong_kind),
        cmocka_unit_test(test_learned_of_any_bytes),
        cmocka_unit_test(test_a_host_without_numbers_for_uris),
        cmocka_unit_test(test_what_is_heard),
        cmocka_unit_test(test_beside_the_sound),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
