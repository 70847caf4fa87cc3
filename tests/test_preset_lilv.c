/* SPDX-License-Identifier: ISC */
/* Our reader of presets beside lilv, the hosts' own: what ours takes, lilv takes alike, value by value, whatever was
 * done to the file. Where a file can be read in two ways, ours refuses it. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>
#include <lilv/lilv.h>

#include "host.h"
#include "message.h"
#include "plugin_uri.h"
#include "preset_load.h"
#include "quantity.h"
#include "setup.h"
#include "setups.h"

static LilvWorld *world;
static char path[60];

static int begin(void **state)
{
    (void)state;
    world = lilv_world_new();
    snprintf(path, sizeof path, "%s/coilwright-lilv-XXXXXX", access("/dev/shm", W_OK) == 0 ? "/dev/shm" : "/tmp");
    int file = mkstemp(path);
    close(file);
    return !world || file < 0;
}

static int end(void **state)
{
    (void)state;
    lilv_world_free(world);
    return unlink(path);
}

struct heard {
    const struct cw_file *file;
    int same, different;
};

static void hear(const char *symbol, void *handle, const void *value, uint32_t size, uint32_t type)
{
    struct heard *heard = handle;
    struct cw_place place = cw_place_find(symbol);
    double number = host_number(value, type);
    (void)size;
    double ours = !place.found   ? (double)NAN
                  : place.global ? heard->file->controls.global[place.index]
                                 : heard->file->controls.setup[place.which].value[place.index];
    *(fabs(number - ours) <= 1e-6 * fabs(ours) ? &heard->same : &heard->different) += 1;
}

static void put(const char *text, size_t length)
{
    FILE *file = fopen(path, "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(text, 1, length, file), length);
    assert_int_equal(fclose(file), 0);
}

static int set_by(const struct cw_file *file)
{
    int count = 0;
    for (int which = 0; which < CW_SETUPS; which++) {
        for (int i = 0; i < CW_PARAMS; i++) {
            count += file->sets_param[which][i];
        }
    }
    for (int i = 0; i < CW_GLOBALS; i++) {
        count += file->sets_global[i];
    }
    return count;
}

/* \return whether ours took it; then lilv did, and alike */
static bool compare(const char *text, size_t length)
{
    struct cw_file file;
    char said[400] = "";
    put(text, length);
    cw_message_keep(said, sizeof said);
    bool taken = cw_file_load(path, &file);
    cw_message_keep(NULL, 0);
    if (!taken) {
        assert_true(said[0]);
        return false;
    }
    if (!strstr(text, "\n<> a pset:Preset")) { /* not of the file's own name: lilv is not asked for it */
        cw_file_free(&file);
        return false;
    }
    LilvState *state = lilv_state_new_from_file(world, host_map(), NULL, path);
    struct heard heard = {.file = &file};
    const char *label = state ? lilv_state_get_label(state) : NULL;
    if (state) {
        lilv_state_emit_port_values(state, hear, &heard);
    }
    /* lilv 0.24 takes a label of anything in the file, as of a port, for the preset's: compared where there is one. */
    const char *named = strstr(text, "rdfs:label");
    bool one_label = named && !strstr(named + 1, "rdfs:label");
    bool alike = state && heard.different == 0 && heard.same == set_by(&file) &&
                 (!one_label || !label || !*label || strcmp(label, file.label) == 0);
    if (!alike) {
        fail_msg("ours takes %d values and '%s', lilv %d alike, %d other and '%s' of:\n%.*s", set_by(&file), file.label,
                 heard.same, heard.different, label ? label : "none", (int)length, text);
    }
    lilv_state_free(state);
    cw_file_free(&file);
    return true;
}

static const char sound[] = "@prefix lv2: <http://lv2plug.in/ns/lv2core#> .\n"
                            "@prefix pset: <http://lv2plug.in/ns/ext/presets#> .\n"
                            "@prefix rdfs: <http://www.w3.org/2000/01/rdf-schema#> .\n"
                            "<> a pset:Preset ; lv2:appliesTo <" CW_PLUGIN_URI "> ; rdfs:label \"Test\" ;\n"
                            "lv2:port [ lv2:symbol \"a_inductance\" ; pset:value 3.6 ] ,\n"
                            "[ lv2:symbol \"a_resistance\" ; pset:value 7.8 ] ,\n"
                            "[ lv2:symbol \"a_volume\" ; pset:value 10 ] .\n";

/* The sound text with its one \p was replaced. */
static bool replaced(const char *was, const char *is)
{
    char text[1500];
    const char *place = strstr(sound, was);
    assert_non_null(place);
    snprintf(text, sizeof text, "%.*s%s%s", (int)(place - sound), sound, is, place + strlen(was));
    return compare(text, strlen(text));
}

static void two_ways(void **state)
{
    static const char *const refused[][2] = {
        {"value 3.6", "value 3,6"},
        {"value 3.6", "value 3.6, 3.7"},
        {"value 3.6", "value 3.6 ; pset:value 4.2"},
        {"value 3.6", "value \"3.6\""},
        {"value 3.6", "value true"},
        {"value 3.6", "value <urn:3.6>"},
        {"\"Test\"", "\"Test\", \"Two\""},
        {"\"Test\"", "<urn:Test>"},
        {"\"Test\"", "[]"},
        {"\"Test\"", "\"A\\u0000B\""},
        {"\"a_inductance\"", "\"a_inductance\", \"a_volume\""},
        {"\"a_inductance\"", "\"a_volume\""},
    };
    static const char *const taken[][2] = {
        {"value 3.6", "value 3.60"},        {"value 3.6", "value 36e-1"},
        {"value 3.6", "value +3.6"},        {"value 3.6", "value \"3.6\"^^<http://www.w3.org/2001/XMLSchema#float>"},
        {"\"Test\"", "\"\"\"Te\"st\"\"\""}, {"\"Test\"", "\"Test\"@en"},
        {"\"Test\"", "\"\\u00fc\""},
    };
    (void)state;
    assert_true(compare(sound, sizeof sound - 1));
    for (size_t i = 0; i < sizeof refused / sizeof refused[0]; i++) {
        if (replaced(refused[i][0], refused[i][1])) {
            fail_msg("taken: %s", refused[i][1]);
        }
    }
    for (size_t i = 0; i < sizeof taken / sizeof taken[0]; i++) {
        if (!replaced(taken[i][0], taken[i][1])) {
            fail_msg("refused: %s", taken[i][1]);
        }
    }
}

/* One change at a random place: a byte goes, a piece comes, a piece is doubled. */
static size_t change(struct rng *rng, char *text, size_t length)
{
    static const char *const pieces[] = {",",
                                         " ",
                                         ";",
                                         ".",
                                         "3",
                                         "e1",
                                         "-",
                                         "\"",
                                         " 4.5",
                                         ", 4",
                                         "pset:value 3 ;",
                                         "#",
                                         "\\u0000",
                                         "@en",
                                         "<>",
                                         "[]",
                                         "rdfs:label \"x\" ;",
                                         "lv2:symbol \"a_volume\" ;",
                                         "^^pset:x",
                                         "_:b"};
    size_t at = (size_t)rng_pick(rng, (int)length);
    char piece[64];
    switch (rng_pick(rng, 3)) {
    case 0: memmove(text + at, text + at + 1, length - at - 1); return length - 1;
    case 1: snprintf(piece, sizeof piece, "%s", pieces[rng_pick(rng, sizeof pieces / sizeof pieces[0])]); break;
    default: snprintf(piece, sizeof piece, "%.*s", 1 + rng_pick(rng, 40), text + at); break;
    }
    size_t more = strlen(piece);
    memmove(text + at + more, text + at, length - at);
    memcpy(text + at, piece, more);
    return length + more;
}

static void changed_at_random(void **state)
{
    struct rng rng = {4711};
    int taken = 0, rounds = getenv("CW_BRIEF") ? 2000 : 20000;
    (void)state;
    for (int round = 0; round < rounds; round++) {
        char text[2000];
        memcpy(text, sound, sizeof sound);
        size_t length = sizeof sound - 1;
        for (int i = rng_pick(&rng, 3); i >= 0; i--) {
            length = change(&rng, text, length);
            text[length] = '\0';
        }
        taken += compare(text, length);
    }
    printf("%d files, %d taken by both alike\n", rounds, taken);
    assert_true(taken > rounds / 50 && taken < rounds);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(two_ways), cmocka_unit_test(changed_at_random)};
    return cmocka_run_group_tests(tests, begin, end);
}
