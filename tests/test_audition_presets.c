/* SPDX-License-Identifier: ISC */
/* The bundled presets: complete, telling, seen by hosts, and of one piece. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <lilv/lilv.h>

#include "candidate.h"
#include "host.h"
#include "preset_load.h"
#include "setup.h"

enum { PRESETS_MAX = 256 };

static struct preset {
    char *path;
    struct cw_file file;
} preset[PRESETS_MAX];
static size_t count;

/* All presets that the bundle's manifest tells a host of. */
static int load(void **state)
{
    (void)state;
    LilvWorld *world = host_world();
    LilvNode *kind = lilv_new_uri(world, "http://lv2plug.in/ns/ext/presets#Preset");
    LilvNodes *nodes = lilv_plugin_get_related(host_plugin(), kind);
    LILV_FOREACH(nodes, i, nodes)
    {
        char *path = lilv_file_uri_parse(lilv_node_as_uri(lilv_nodes_get(nodes, i)), NULL);
        if (count < PRESETS_MAX && path && cw_file_load(path, &preset[count].file)) {
            preset[count++].path = strdup(path);
        } else {
            fprintf(stderr, "%s cannot be read\n", path ? path : "(no path)");
            return 1;
        }
        lilv_free(path);
    }
    lilv_nodes_free(nodes);
    lilv_node_free(kind);
    return 0;
}

static int unload(void **state)
{
    (void)state;
    for (size_t i = 0; i < count; i++) {
        cw_file_free(&preset[i].file);
        free(preset[i].path);
    }
    return 0;
}

static void a_dozen_and_of_every_kind(void **state)
{
    (void)state;
    size_t candidates = 0, references = 0, comparisons = 0;
    for (size_t i = 0; i < count; i++) {
        const bool *sets = preset[i].file.sets;
        candidates += sets[CW_A] && !sets[CW_B] && !sets[CW_REC];
        references += sets[CW_REC] && !sets[CW_A] && !sets[CW_B];
        comparisons += sets[CW_A] && sets[CW_B];
    }
    assert_true(count >= 12);
    assert_true(candidates >= 6 && references >= 2 && comparisons >= 6);
}

static void each_says_what_to_listen_for(void **state)
{
    (void)state;
    for (size_t i = 0; i < count; i++) {
        const struct cw_file *file = &preset[i].file;
        if (!file->comment || strlen(file->comment) < 20 || strlen(file->label) < 4) {
            fail_msg("%s: label or comment is missing", preset[i].path);
        }
        for (size_t k = 0; k < i; k++) {
            assert_string_not_equal(file->label, preset[k].file.label);
        }
    }
}

/* A preset that leaves a control where the last one put it would sound different every time, now or
 * once another control is moved. */
static void each_side_is_complete(void **state)
{
    (void)state;
    for (size_t i = 0; i < count; i++) {
        const struct cw_file *file = &preset[i].file;
        for (int side = 0; side < CW_SETUPS; side++) {
            for (int id = 0; file->sets[side] && id < CW_PARAMS; id++) {
                if (!file->sets_param[side][id]) {
                    fail_msg("%s leaves out %s%s", preset[i].path, cw_setup_prefix[side], cw_param_info[id].symbol);
                }
            }
        }
    }
}

/* Presets are of coils and cables, not of how a person likes to listen; only a session, which sets
 * all three sides, says which one is heard first. */
static void none_touches_the_listening_controls(void **state)
{
    (void)state;
    for (size_t i = 0; i < count; i++) {
        for (int id = 0; id < CW_GLOBALS; id++) {
            const struct cw_file *file = &preset[i].file;
            bool session = file->sets[CW_REC] && file->sets[CW_A] && file->sets[CW_B];
            assert_int_equal(file->sets_global[id], session && id == CW_G_LISTEN);
        }
    }
}

static void hosts_can_apply_each(void **state)
{
    (void)state;
    struct host *host = host_new(48000);
    for (size_t i = 0; i < count; i++) {
        host_defaults(host);
        if (!host_load_preset(host, preset[i].path)) {
            fail_msg("%s cannot be applied", preset[i].path);
        }
        const struct cw_file *file = &preset[i].file;
        if (file->sets[CW_A]) {
            assert_true(host_get(host, "a_inductance") == (float)file->controls.setup[CW_A].value[CW_P_INDUCTANCE]);
        }
    }
    host_free(host);
}

static bool same(const struct cw_setup *a, const struct cw_setup *b) { return memcmp(a, b, sizeof *a) == 0; }

/* Of presets with measured values, both sides of a comparison are candidates that can be had alone,
 * and they differ. */
static void comparisons_are_made_of_candidates(void **state)
{
    (void)state;
    for (size_t i = 0; i < count; i++) {
        const struct cw_file *file = &preset[i].file;
        if (!file->sets[CW_A] || !file->sets[CW_B] ||
            file->controls.setup[CW_A].value[CW_P_COIL_FROM] == CW_FROM_WINDING) {
            continue;
        }
        assert_false(same(&file->controls.setup[CW_A], &file->controls.setup[CW_B]));
        for (int side = CW_A; side <= CW_B; side++) {
            size_t found = 0;
            for (size_t k = 0; k < count; k++) {
                const struct cw_file *other = &preset[k].file;
                found += other->sets[CW_A] && !other->sets[CW_B] &&
                         same(&file->controls.setup[side], &other->controls.setup[CW_A]);
            }
            if (!found) {
                fail_msg("%s: side %c is no candidate of its own", preset[i].path, side == CW_A ? 'A' : 'B');
            }
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_dozen_and_of_every_kind), cmocka_unit_test(each_says_what_to_listen_for),
        cmocka_unit_test(each_side_is_complete),     cmocka_unit_test(none_touches_the_listening_controls),
        cmocka_unit_test(hosts_can_apply_each),      cmocka_unit_test(comparisons_are_made_of_candidates),
    };
    return cmocka_run_group_tests(tests, load, unload);
}
