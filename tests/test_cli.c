/* SPDX-License-Identifier: ISC */
/* The program's parts: quantities, candidate files, changes by --set, tables, outputs.
 * Judges from outside: lilv reads what is saved here, as a host does, and reads the bundled presets
 * beside our own reader. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <signal.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>
#include <glob.h>
#include <lilv/lilv.h>
#include <lv2/urid/urid.h>

#include "candidate.h"
#include "edits.h"
#include "choice.h"
#include "frequencies.h"
#include "host.h"
#include "input.h"
#include "near.h"
#include "output.h"
#include "plugin_uri.h"
#include "preset_load.h"
#include "preset_save.h"
#include "quantity.h"
#include "scratch.h"
#include "setup.h"
#include "setups.h"
#include "table.h"
#include "within.h"

#define PSET "http://lv2plug.in/ns/ext/presets#"
#define RDFS "http://www.w3.org/2000/01/rdf-schema#"

static const char *in_scratch(const char *name)
{
    static char path[4][200];
    static int turn;
    turn = (turn + 1) % 4;
    snprintf(path[turn], sizeof path[turn], "%s/%s", scratch, name);
    return path[turn];
}

static bool exists(const char *path) { return access(path, F_OK) == 0; }

/* Messages are judged by test_cli.sh; here they would only fill the log. */
static FILE *silence(void)
{
    fflush(stderr);
    int copy = dup(2);
    assert_non_null(freopen("/dev/null", "w", stderr));
    return fdopen(copy, "w");
}

static void speak(FILE *old)
{
    fflush(stderr);
    dup2(fileno(old), 2);
    fclose(old);
}

static void quantities_as_written(void **state)
{
    static const struct {
        const char *text;
        enum cw_unit unit;
        double value;
    } cases[] = {
        {"250k", CW_UNIT_KOHM, 250},
        {"250", CW_UNIT_KOHM, 250},
        {"10kohm", CW_UNIT_KOHM, 10},
        {"10 kΩ", CW_UNIT_KOHM, 10},
        {"1M", CW_UNIT_KOHM, 1000},
        {"4k7", CW_UNIT_KOHM, 4.7},
        {"470R", CW_UNIT_KOHM, 0.47},
        {"470 ohm", CW_UNIT_KOHM, 0.47},
        {"2R2", CW_UNIT_KOHM, 0.0022},
        {"1Mohm", CW_UNIT_MOHM, 1},
        {"470k", CW_UNIT_MOHM, 0.47},
        {"2M2", CW_UNIT_MOHM, 2.2},
        {"4.7n", CW_UNIT_NF, 4.7},
        {"4n7", CW_UNIT_NF, 4.7},
        {"0.022u", CW_UNIT_NF, 22},
        {"0.022 µF", CW_UNIT_NF, 22},
        {"0.022μF", CW_UNIT_NF, 22},
        {"680p", CW_UNIT_NF, 0.68},
        {"620pF", CW_UNIT_PF, 620},
        {"0.62nF", CW_UNIT_PF, 620},
        {"120", CW_UNIT_PF, 120},
        {"4.5H", CW_UNIT_HENRY, 4.5},
        {"4500mH", CW_UNIT_HENRY, 4.5},
        {"2.5 H", CW_UNIT_HENRY, 2.5},
        {"75%", CW_UNIT_PERCENT, 75},
        {"75 %", CW_UNIT_PERCENT, 75},
        {"-3dB", CW_UNIT_DB, -3},
        {"+1.5 dB", CW_UNIT_DB, 1.5},
        {"3kHz", CW_UNIT_HZ, 3000},
        {"3.5k", CW_UNIT_HZ, 3500},
        {"5m", CW_UNIT_METRE, 5},
        {"50 cm", CW_UNIT_METRE, 0.5},
        {"20ft", CW_UNIT_METRE, 6.096},
        {"100pF/m", CW_UNIT_PF_PER_M, 100},
        {"30pF/ft", CW_UNIT_PF_PER_M, 98.4251968504},
        {".5", CW_UNIT_HENRY, 0.5},
        {"1e3", CW_UNIT_PF, 1000},
        {"  8 ", CW_UNIT_KOHM, 8},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        double value = NAN;
        assert_true(cw_quantity_parse(cases[i].text, cases[i].unit, &value));
        within_share(value, cases[i].value, 1e-12, cases[i].text);
    }
}

static void quantities_refused(void **state)
{
    static const struct {
        const char *text;
        enum cw_unit unit;
    } cases[] = {
        {"", CW_UNIT_KOHM},       {" ", CW_UNIT_KOHM},        {"k", CW_UNIT_KOHM},     {"ten", CW_UNIT_KOHM},
        {"4,7,1k", CW_UNIT_KOHM}, {"4k7k", CW_UNIT_KOHM},     {"4.7k5", CW_UNIT_KOHM}, {"10H", CW_UNIT_KOHM},
        {"10pF", CW_UNIT_HENRY},  {"nan", CW_UNIT_NONE},      {"inf", CW_UNIT_KOHM},   {"0x10", CW_UNIT_PF},
        {"1e999", CW_UNIT_PF},    {"5%", CW_UNIT_NONE},       {"5 k k", CW_UNIT_KOHM}, {"--5", CW_UNIT_DB},
        {"5mm/s", CW_UNIT_METRE}, {"3 kilohm", CW_UNIT_KOHM}, {"5R", CW_UNIT_PF},      {"10 k\xff", CW_UNIT_KOHM},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        double value = 123.0;
        if (cw_quantity_parse(cases[i].text, cases[i].unit, &value)) {
            fail_msg("'%s' was taken for %g", cases[i].text, value);
        }
        assert_true(value == 123.0);
    }
}

static void values_of_parameters(void **state)
{
    char why[CW_WHY_SIZE];
    double value;
    (void)state;
    assert_true(cw_value_parse(&cw_param_info[CW_P_MAGNET], "alnico 2", &value, why));
    assert_true(value == CW_MAGNET_ALNICO_2);
    assert_true(cw_value_parse(&cw_param_info[CW_P_GAUGE], "AWG 42.5", &value, why));
    assert_true(value == 42.5);
    assert_true(cw_value_parse(&cw_param_info[CW_P_SPLIT], "on", &value, why) && value == 1.0);
    assert_true(cw_value_parse(&cw_param_info[CW_P_SPLIT], "0", &value, why) && value == 0.0);
    assert_false(cw_value_parse(&cw_param_info[CW_P_SPLIT], "2", &value, why));
    assert_string_equal(why, "expected 0 or 1 (off, on), found 2");
    assert_false(cw_value_parse(&cw_param_info[CW_P_COILS], "1.5", &value, why));
    assert_string_equal(why, "expected One, Two in series or Two in parallel, found '1.5'");
    assert_false(cw_value_parse(&cw_param_info[CW_P_VOLUME], "11", &value, why));
    assert_string_equal(why, "expected a value from 0 to 10, found 11");
    assert_false(cw_value_parse(&cw_param_info[CW_P_CABLE_LENGTH], "long", &value, why));
    assert_string_equal(why, "expected a value from 0 to 30 m, found 'long'");
    assert_false(cw_value_parse(&cw_param_info[CW_P_TURNS], "5000.5", &value, why));
    assert_string_equal(why, "expected a whole number from 500 to 15000, found 5000.5");
    assert_false(cw_value_parse(&cw_param_info[CW_P_GAUGE], "42.3", &value, why));
}

/* Lists are taken by words; a bare number only where it is the thing's own name. */
static void lists_by_words(void **state)
{
    static const struct {
        int id;
        const char *text;
        double value; /* below 0: refused */
        const char *ask;
    } cases[] = {
        {CW_P_MAGNET, "alnico5", CW_MAGNET_ALNICO_5, ""},
        {CW_P_MAGNET, "Alnico-5", CW_MAGNET_ALNICO_5, ""},
        {CW_P_MAGNET, "5 alnico", CW_MAGNET_ALNICO_5, ""},
        {CW_P_MAGNET, "AlNiCo V", CW_MAGNET_ALNICO_5, ""},
        {CW_P_MAGNET, "alnico viii", CW_MAGNET_ALNICO_8, ""},
        {CW_P_MAGNET, "v", -1, "Alnico 5?"},
        {CW_P_MAGNET, "5", -1, "Alnico 5?"},
        {CW_P_MAGNET, "3", -1, "Alnico 3?"},
        {CW_P_MAGNET, "0", -1, ""},
        {CW_P_MAGNET, "alnico", -1, "Alnico 2, Alnico 3, Alnico 4, Alnico 5 or Alnico 8?"},
        {CW_P_MAGNET, "cermaic", -1, "Ceramic?"},
        {CW_P_COILS, "series", CW_COILS_SERIES, ""},
        {CW_P_COILS, "two_in_parallel", CW_COILS_PARALLEL, ""},
        {CW_P_COILS, "2 in series", CW_COILS_SERIES, ""},
        {CW_P_COILS, "2", -1, "Two in series or Two in parallel?"},
        {CW_P_COILS, "1", -1, "One?"},
        {CW_P_COILS, "0", -1, ""},
        {CW_P_COILS, "two", -1, "Two in series or Two in parallel?"},
        {CW_P_GAUGE, "43", 43, ""},
        {CW_P_GAUGE, "43AWG", 43, ""},
        {CW_P_GAUGE, "AWG 43", 43, ""},
        {CW_P_GAUGE, "awg42.5", 42.5, ""},
        {CW_P_GAUGE, "42,5", 42.5, ""},
        {CW_P_GAUGE, "0.0635mm", 42, ""},
        {CW_P_GAUGE, "0,063 mm", 42, ""},
        {CW_P_GAUGE, "56um", 43, ""},
        {CW_P_GAUGE, "0.5mm", -1, ""},
        {CW_P_GAUGE, "30", -1, ""},
        {CW_P_CORE, "steel", -1, "Steel slugs or Steel screws?"},
        {CW_P_CORE, "slugs", CW_CORE_STEEL_SLUGS, ""},
        {CW_P_POTTING, "paraffin", CW_POTTING_PARAFFIN, ""},
        {CW_P_POTTING, "beeswax", CW_POTTING_BEESWAX, ""},
        {CW_P_INSULATION, "heavy", CW_INSULATION_HEAVY, ""},
        {CW_P_SPLIT_BY, "tap", CW_SPLIT_TAPPED, ""},
        {CW_P_SPLIT_BY, "parallel", CW_SPLIT_RC_PARALLEL, ""},
        {CW_P_SPLIT_COIL, "two", CW_SPLIT_COIL_TWO, ""},
        {CW_P_SPLIT_COIL, "1", -1, "Coil one?"},
        {CW_P_COIL_FROM, "measured", CW_FROM_MEASURED, ""},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        const struct cw_param_info *info = &cw_param_info[cases[i].id];
        char why[CW_WHY_SIZE] = "";
        double value = -1;
        if (cw_value_parse(info, cases[i].text, &value, why) != (cases[i].value >= 0) || value != cases[i].value) {
            fail_msg("%s '%s': found %g (%s)", info->symbol, cases[i].text, value, why);
        }
        char ask[100] = "";
        if (cases[i].value < 0) {
            assert_string_equal(cw_choice_ask(info, cases[i].text, ask, sizeof ask), cases[i].ask);
            assert_true(!*ask || strstr(why, ask));
        }
    }
}

/* Every entry is taken by its label, and by the one word that the shell leaves alone. */
static void every_entry_by_its_word(void **state)
{
    (void)state;
    for (int i = 0; i < CW_PARAMS; i++) {
        const struct cw_param_info *info = &cw_param_info[i];
        for (size_t p = 0; info->flags & CW_ENUM && p < info->point_count; p++) {
            char word[64], why[CW_WHY_SIZE];
            double by_label = -1, by_word = -1;
            assert_true(cw_value_parse(info, info->points[p].label, &by_label, why));
            cw_choice_word(&info->points[p], word, sizeof word);
            assert_null(strpbrk(word, " '\"$`\\()"));
            assert_true(cw_value_parse(info, word, &by_word, why));
            assert_true(by_label == info->points[p].value && by_word == by_label);
        }
    }
}

static void wire_by_its_diameter_is_said(void **state)
{
    const struct cw_param_info *info = &cw_param_info[CW_P_GAUGE];
    char note[100];
    (void)state;
    assert_true(cw_value_note(info, "0.0635mm", 42, note, sizeof note));
    assert_string_equal(note, "0.0635 mm of bare wire is taken as AWG 42, which is 0.0635 mm");
    assert_false(cw_value_note(info, "42", 42, note, sizeof note));
    assert_false(cw_value_note(&cw_param_info[CW_P_CABLE_LENGTH], "5m", 5, note, sizeof note));
}

/* 6,5 m is what much of the world writes; 5,000 turns are five thousand. */
static void commas(void **state)
{
    static const struct {
        const char *text;
        enum cw_unit unit;
        double value;
    } cases[] = {
        {"6,5 m", CW_UNIT_METRE, 6.5},     {"8,2k", CW_UNIT_KOHM, 8.2},      {"5,000", CW_UNIT_NONE, 5000},
        {"5,000", CW_UNIT_METRE, 5},       {"5,5", CW_UNIT_NONE, 5.5},       {"0,150", CW_UNIT_NONE, 0.15},
        {"3,100", CW_UNIT_HZ, 3100},       {"3,100 Hz", CW_UNIT_HZ, 3100},   {"3,100k", CW_UNIT_HZ, 3100},
        {"3,10", CW_UNIT_HZ, 3.1},         {"4,700 ohm", CW_UNIT_KOHM, 4.7}, {"1,000,000", CW_UNIT_NONE, 1e6},
        {"1,234.5", CW_UNIT_NONE, 1234.5}, {"8k2", CW_UNIT_KOHM, 8.2},       {",5", CW_UNIT_HENRY, 0.5},
        {"-2,5dB", CW_UNIT_DB, -2.5},      {"75 %", CW_UNIT_PERCENT, 75},    {"2,5e3", CW_UNIT_PF, 2500},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        double value = NAN;
        assert_true(cw_quantity_parse(cases[i].text, cases[i].unit, &value));
        within_share(value, cases[i].value, 1e-12, cases[i].text);
    }
}

static void temperatures(void **state)
{
    static const char *const warm[] = {"22.5", "22,5", "22.5 °C", "22.5degC", "22.5C"},
                             *const none[] = {"",       "C",          "°C", "22.5 F",
                                              "22.5 °", "22.5 °C °C", "x",  "22.50000000000000000000000000000000"};
    double value = 7;
    (void)state;
    for (size_t i = 0; i < sizeof warm / sizeof warm[0]; i++) {
        assert_true(cw_celsius_parse(warm[i], &value));
        within(value, 22.5, 0, warm[i]);
    }
    value = 7;
    for (size_t i = 0; i < sizeof none / sizeof none[0]; i++) {
        assert_false(cw_celsius_parse(none[i], &value));
    }
    within(value, 7, 0, "left alone");
}

/* Distances counted by hand. */
static void near_misses(void **state)
{
    (void)state;
    assert_int_equal(cw_edit_distance("", "abc"), 3);
    assert_int_equal(cw_edit_distance("kitten", "sitting"), 3);
    assert_int_equal(cw_edit_distance("cabel", "cable"), 1);
    assert_int_equal(cw_edit_distance("Cable_length", "cable-length"), 0);
    assert_int_equal(cw_edit_distance("ca", "abc"), 3);
    struct cw_nearest nearest = {0};
    for (int i = 0; i < CW_PARAMS; i++) {
        cw_nearest_try(&nearest, "cabel_lenght", cw_param_info[i].symbol);
    }
    assert_string_equal(nearest.word, "cable_length");
    assert_false(cw_is_near("tone", "magnet"));
    assert_false(cw_is_near("xy", "xz"));
    assert_true(cw_is_near("insulaton", "insulation"));
}

/* A host keeps ports in single precision; every value allowed must survive that. */
static void single_precision_is_forgiven(void **state)
{
    (void)state;
    for (int i = 0; i < CW_PARAMS; i++) {
        const struct cw_param_info *info = &cw_param_info[i];
        double ends[3] = {info->minimum, info->maximum, info->preset};
        for (int k = 0; k < 3; k++) {
            char why[CW_WHY_SIZE];
            double value = (float)ends[k];
            assert_true(cw_value_check(info, &value, why));
            assert_true(value >= info->minimum && value <= info->maximum);
        }
        char why[CW_WHY_SIZE];
        double beyond = info->maximum * 1.01 + 0.01, nothing = NAN;
        assert_false(cw_value_check(info, &beyond, why));
        assert_false(cw_value_check(info, &nothing, why));
    }
}

static void changes(void **state)
{
    struct cw_edits edits = {0};
    struct cw_setup a, b, rec;
    char why[400];
    (void)state;
    assert_true(cw_edits_add(&edits, "cable_length=9m", why, sizeof why));
    assert_true(cw_edits_add(&edits, "b_tone=3", why, sizeof why));
    assert_true(cw_edits_add(&edits, "rec_volume_pot=250k", why, sizeof why));
    assert_true(cw_edits_add(&edits, "boost_limit=12", why, sizeof why));
    cw_setup_defaults(&a);
    b = rec = a;
    cw_edits_apply(&edits, 1u << CW_A | CW_AS_CANDIDATE, &a);
    cw_edits_apply(&edits, 1u << CW_B | CW_AS_CANDIDATE, &b);
    cw_edits_apply(&edits, 1u << CW_REC, &rec);
    assert_true(a.value[CW_P_CABLE_LENGTH] == 9 && b.value[CW_P_CABLE_LENGTH] == 9);
    assert_true(rec.value[CW_P_CABLE_LENGTH] == cw_param_info[CW_P_CABLE_LENGTH].preset);
    assert_true(a.value[CW_P_TONE] == 10 && b.value[CW_P_TONE] == 3 && rec.value[CW_P_TONE] == 10);
    assert_true(rec.value[CW_P_VOLUME_POT] == 250 && a.value[CW_P_VOLUME_POT] == 500);
    struct cw_controls controls;
    cw_controls_defaults(&controls);
    cw_edits_apply_globals(&edits, controls.global);
    assert_true(controls.global[CW_G_BOOST_LIMIT] == 12);
    static const char *const wrong[] = {"",
                                        "=",
                                        "tone",
                                        "=3",
                                        "volume=",
                                        "loudness=3",
                                        "tone=eleven",
                                        "c_tone=3",
                                        "a_boost_limit=3",
                                        "inductance=4.5k"};
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
        assert_false(cw_edits_add(&edits, wrong[i], why, sizeof why));
        assert_non_null(strstr(why, "expected"));
    }
    assert_int_equal(edits.count, 4);
    cw_edits_free(&edits);
}

static void lists_of_frequencies(void **state)
{
    struct cw_frequencies list;
    char bad[64];
    (void)state;
    assert_true(cw_frequencies_parse(&list, "80,1k,3.5kHz,20000", bad, sizeof bad));
    assert_int_equal(list.count, 4);
    assert_true(list.hz[0] == 80 && list.hz[1] == 1000 && list.hz[2] == 3500 && list.hz[3] == 20000);
    cw_frequencies_free(&list);
    static const char *const wrong[] = {"", ",", "80,,1k", "80;1k", "0", "-5", "2M", "1k,abc"};
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
        assert_false(cw_frequencies_parse(&list, wrong[i], bad, sizeof bad));
        assert_null(list.hz);
    }
    assert_true(cw_frequencies_third_octaves(&list));
    assert_int_equal(list.count, 31);
    for (size_t i = 0; i < list.count; i++) {
        /* Nominal and exact frequencies of IEC 61260-1 are within 1.8 % of one another. */
        within_share(list.hz[i], 1000.0 * pow(10.0, ((double)i - 17.0) / 10.0), 0.018, "third octave");
    }
    cw_frequencies_free(&list);
    assert_true(cw_frequencies_spread(&list, 20, 20000, 4));
    within_share(list.hz[1], 200, 1e-12, "spread");
    cw_frequencies_free(&list);
}

struct heard {
    struct cw_controls controls;
    int count;
};

static void hear(const char *symbol, void *handle, const void *value, uint32_t size, uint32_t type)
{
    struct heard *heard = handle;
    struct cw_place place = cw_place_find(symbol);
    double number = host_number(value, type);
    (void)size;
    assert_true(place.found);
    *(place.global ? &heard->controls.global[place.index] : &heard->controls.setup[place.which].value[place.index]) =
        number;
    heard->count++;
}

/* What a host makes of a preset file. Returns its label, to be freed. */
static char *hear_file(const char *path, struct heard *heard)
{
    heard->count = 0;
    cw_controls_defaults(&heard->controls);
    LilvState *lilv = lilv_state_new_from_file(host_world(), host_map(), NULL, path);
    assert_non_null(lilv);
    assert_string_equal(lilv_node_as_uri(lilv_state_get_plugin_uri(lilv)), CW_PLUGIN_URI);
    lilv_state_emit_port_values(lilv, hear, heard);
    char *label = strdup(lilv_state_get_label(lilv) ? lilv_state_get_label(lilv) : "");
    lilv_state_free(lilv);
    return label;
}

static void same_setup(const struct cw_setup *a, const struct cw_setup *b)
{
    for (int i = 0; i < CW_PARAMS; i++) {
        within_share(a->value[i], b->value[i], 1e-7, cw_param_info[i].symbol);
    }
}

static void saved_as_a_host_reads_it(void **state)
{
    struct rng rng = {77};
    (void)state;
    for (int round = 0; round < 24; round++) {
        struct cw_setup setup[CW_SETUPS];
        const struct cw_setup *given[CW_SETUPS] = {NULL, NULL, NULL};
        int sets = 0;
        for (int which = 0; which < CW_SETUPS; which++) {
            for (int i = 0; i < CW_PARAMS; i++) {
                setup[which].value[i] = setups_value(&rng, &cw_param_info[i]);
            }
            if ((round + 1) >> which & 1) {
                given[which] = &setup[which];
                sets++;
            }
        }
        if (!sets) {
            continue;
        }
        const char *path = in_scratch("saved.ttl");
        cw_input_forget(); /* as a command begins, so that the file may be written again */
        assert_true(cw_candidate_save(path, "Round", "", given, true));
        struct heard heard;
        free(hear_file(path, &heard));
        assert_int_equal(heard.count, sets * CW_PARAMS);
        struct cw_file file;
        assert_true(cw_file_load(path, &file));
        for (int which = 0; which < CW_SETUPS; which++) {
            assert_int_equal(file.sets[which], given[which] != NULL);
            if (given[which]) {
                same_setup(&heard.controls.setup[which], &setup[which]);
                same_setup(&file.controls.setup[which], &setup[which]);
            }
        }
        cw_file_free(&file);
    }
}

static void labels_survive(void **state)
{
    static const char *const labels[][2] = {
        {"plain", "plain"},
        {"with \"quotes\" and \\ backslash", "with \"quotes\" and \\ backslash"},
        {"Übergang, 4.7 kΩ — naïve", "Übergang, 4.7 kΩ — naïve"},
        {"two\nlines\tand a tab", "two\nlines\tand a tab"},
        {"bell \a end", "bell \a end"},
        {"broken \xff\xc3 bytes", "broken ?? bytes"},
        {"\"\"\" @prefix . ; [", "\"\"\" @prefix . ; ["},
    };
    struct cw_setup setup;
    const struct cw_setup *given[CW_SETUPS] = {NULL, &setup, NULL};
    (void)state;
    cw_setup_defaults(&setup);
    for (size_t i = 0; i < sizeof labels / sizeof labels[0]; i++) {
        const char *path = in_scratch("label.ttl");
        struct heard heard;
        struct cw_file file;
        cw_input_forget();
        assert_true(cw_candidate_save(path, labels[i][0], labels[i][0], given, true));
        char *label = hear_file(path, &heard);
        assert_string_equal(label, labels[i][1]);
        free(label);
        assert_true(cw_file_load(path, &file));
        assert_string_equal(file.label, labels[i][1]);
        assert_string_equal(file.comment, labels[i][1]);
        cw_file_free(&file);
    }
}

/* A saved bundle is offered by a host beside the plugin's own presets. */
static void bundles_are_found_by_hosts(void **state)
{
    struct cw_setup setup;
    const struct cw_setup *given[CW_SETUPS] = {NULL, &setup, NULL};
    (void)state;
    cw_setup_defaults(&setup);
    setup.value[CW_P_CABLE_LENGTH] = 7.5;
    const char *bundle = in_scratch("bench coil.lv2");
    assert_true(cw_candidate_save(bundle, "Found by hosts", NULL, given, false));
    FILE *old = silence();
    assert_false(cw_candidate_save(bundle, "Found by hosts", NULL, given, false));
    speak(old);
    cw_input_forget();
    assert_true(cw_candidate_save(bundle, "Found by hosts", NULL, given, true));

    LilvWorld *world = host_world();
    char with_slash[240];
    snprintf(with_slash, sizeof with_slash, "%s/", bundle);
    LilvNode *uri = lilv_new_file_uri(world, NULL, with_slash);
    LilvNode *kind = lilv_new_uri(world, PSET "Preset"), *label = lilv_new_uri(world, RDFS "label");
    lilv_world_load_bundle(world, uri);
    LilvNodes *presets = lilv_plugin_get_related(host_plugin(), kind);
    int found = 0;
    LILV_FOREACH(nodes, i, presets)
    {
        const LilvNode *preset = lilv_nodes_get(presets, i);
        lilv_world_load_resource(world, preset);
        LilvNode *text = lilv_world_get(world, preset, label, NULL);
        found += text && strcmp(lilv_node_as_string(text), "Found by hosts") == 0;
        lilv_node_free(text);
    }
    assert_int_equal(found, 1);
    lilv_nodes_free(presets);
    lilv_node_free(uri);
    lilv_node_free(kind);
    lilv_node_free(label);

    struct cw_candidates list = {0};
    assert_true(cw_candidates_add(&list, bundle, NULL));
    assert_int_equal(list.count, 1);
    assert_true(list.item[0].setup.value[CW_P_CABLE_LENGTH] == 7.5);
    cw_candidates_free(&list);
}

static void bundled_presets_as_lilv_reads_them(void **state)
{
    glob_t presets;
    (void)state;
    assert_int_equal(glob("presets/*.ttl", 0, NULL, &presets), 0);
    assert_true(presets.gl_pathc >= 12);
    for (size_t i = 0; i < presets.gl_pathc; i++) {
        struct cw_file file;
        struct heard heard;
        assert_true(cw_file_load(presets.gl_pathv[i], &file));
        char *label = hear_file(presets.gl_pathv[i], &heard);
        assert_string_equal(label, file.label);
        for (int which = 0; which < CW_SETUPS; which++) {
            same_setup(&file.controls.setup[which], &heard.controls.setup[which]);
        }
        for (int g = 0; g < CW_GLOBALS; g++) {
            within_share(file.controls.global[g], heard.controls.global[g], 1e-7, cw_global_info[g].symbol);
        }
        free(label);
        cw_file_free(&file);
    }
    globfree(&presets);
}

static const char *write_text(const char *name, const char *text)
{
    const char *path = in_scratch(name);
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    fputs(text, file);
    assert_int_equal(fclose(file), 0);
    return path;
}

#define HEAD                                                                                                           \
    "@prefix lv2: <http://lv2plug.in/ns/lv2core#> .\n@prefix pset: <" PSET "> .\n@prefix rdfs: <" RDFS "> .\n"         \
    "<> a pset:Preset ; lv2:appliesTo <urn:coilwright:voicing> ; rdfs:label \"Mixed\" ; lv2:port\n"
#define PORT(symbol, value) "[ lv2:symbol \"" symbol "\" ; pset:value " value " ]"

static void roles(void **state)
{
    struct cw_candidates list = {0};
    struct cw_candidate recorded;
    char name[240];
    (void)state;
    const char *comparison =
        write_text("mixed.ttl", HEAD PORT("a_tone", "4") "," PORT("b_tone", "6.5") "," PORT("rec_tone", "2.0e0") ".\n");
    assert_true(cw_candidates_add(&list, comparison, NULL));
    assert_int_equal(list.count, 2);
    assert_true(list.item[0].setup.value[CW_P_TONE] == 4 && list.item[1].setup.value[CW_P_TONE] == 6.5);
    assert_string_equal(list.item[0].label, "A: Tone 4");
    snprintf(name, sizeof name, "%s#b", comparison);
    assert_true(cw_candidates_add(&list, name, NULL));
    assert_int_equal(list.count, 3);
    assert_true(list.item[2].setup.value[CW_P_TONE] == 6.5);
    assert_true(cw_recorded_load(comparison, NULL, &recorded));
    assert_true(recorded.setup.value[CW_P_TONE] == 2);
    cw_candidate_free(&recorded);
    assert_true(cw_recorded_load(name, NULL, &recorded));
    assert_true(recorded.setup.value[CW_P_TONE] == 6.5);
    cw_candidate_free(&recorded);

    const char *reference = write_text("reference.ttl", HEAD PORT("rec_tone", "3") ".\n");
    assert_true(cw_candidates_add(&list, reference, NULL));
    assert_int_equal(list.count, 4);
    assert_true(list.item[3].setup.value[CW_P_TONE] == 3);
    assert_string_equal(list.item[3].label, "Mixed");

    const char *one = write_text("one.ttl", HEAD PORT("a_tone", "5") ".\n");
    assert_true(cw_recorded_load(one, NULL, &recorded));
    assert_true(recorded.setup.value[CW_P_TONE] == 5);
    cw_candidate_free(&recorded);
    FILE *old = silence();
    snprintf(name, sizeof name, "%s#b", one);
    assert_false(cw_candidates_add(&list, name, NULL));
    snprintf(name, sizeof name, "%s#c", one);
    assert_false(cw_candidates_add(&list, name, NULL));
    speak(old);
    /* A file whose name holds a '#'. */
    const char *odd = write_text("odd#b", HEAD PORT("a_tone", "1") ".\n");
    assert_true(cw_candidates_add(&list, odd, NULL));
    assert_true(list.item[4].setup.value[CW_P_TONE] == 1);
    cw_candidates_free(&list);
}

static void tables(void **state)
{
    struct cw_table table;
    char text[400] = "";
    (void)state;
    cw_table_init(&table, 2);
    cw_table_add(&table, "%s", "name");
    cw_table_add(&table, "%s", "level, dB");
    cw_table_add(&table, "%s", "4.7 kΩ \"tap\"");
    cw_table_add(&table, "%.1f", -2.5);
    FILE *stream = fmemopen(text, sizeof text, "w");
    assert_true(cw_table_print(&table, stream, true));
    fclose(stream);
    assert_string_equal(text, "name,\"level, dB\"\r\n\"4.7 kΩ \"\"tap\"\"\",-2.5\r\n");
    memset(text, 0, sizeof text);
    stream = fmemopen(text, sizeof text, "w");
    assert_true(cw_table_print(&table, stream, false));
    fclose(stream);
    assert_string_equal(text, "name          level, dB\n4.7 kΩ \"tap\"       -2.5\n");
    cw_table_free(&table);
}

static long file_size(const char *path)
{
    struct stat status;
    return stat(path, &status) == 0 ? (long)status.st_size : -1;
}

static int files_in_scratch(void)
{
    glob_t found;
    char pattern[200];
    snprintf(pattern, sizeof pattern, "%s/.coilwright-*", scratch);
    int count = glob(pattern, 0, NULL, &found) == 0 ? (int)found.gl_pathc : 0;
    globfree(&found);
    return count;
}

static void outputs(void **state)
{
    struct cw_output output;
    const char *path = in_scratch("out.txt");
    (void)state;
    assert_true(cw_output_open(&output, path, false));
    fputs("hello", output.stream);
    assert_false(exists(path));
    assert_int_equal(files_in_scratch(), 1);
    assert_true(cw_output_commit(&output));
    assert_int_equal(file_size(path), 5);
    assert_int_equal(files_in_scratch(), 0);

    FILE *old = silence();
    assert_false(cw_output_open(&output, path, false));
    assert_false(cw_output_open(&output, scratch, true));
    assert_false(cw_output_open(&output, "", false));
    assert_false(cw_output_open(&output, "/nonexistent/dir/file", false));
    speak(old);

    cw_input_forget();
    assert_true(cw_output_open(&output, path, true));
    fputs("longer text", output.stream);
    cw_output_abandon(&output);
    cw_output_abandon(&output);
    assert_int_equal(file_size(path), 5);
    assert_int_equal(files_in_scratch(), 0);

    /* Two at once, ended in the order of their beginning. */
    struct cw_output second;
    assert_true(cw_output_open(&output, in_scratch("first"), false));
    assert_true(cw_output_open(&second, in_scratch("second"), false));
    assert_true(cw_output_commit(&output));
    cw_output_abandon(&second);
    assert_true(exists(in_scratch("first")));
    assert_false(exists(in_scratch("second")));

    /* Someone else was faster: nothing of theirs is lost. */
    assert_true(cw_output_open(&output, in_scratch("race"), false));
    fputs("ours", output.stream);
    write_text("race", "their text");
    old = silence();
    assert_false(cw_output_commit(&output));
    speak(old);
    assert_int_equal(file_size(in_scratch("race")), 10);
    assert_int_equal(files_in_scratch(), 0);

    /* A link is followed, not replaced. */
    assert_int_equal(symlink("out.txt", in_scratch("link")), 0);
    cw_input_forget();
    assert_true(cw_output_open(&output, in_scratch("link"), true));
    fputs("by the link", output.stream);
    assert_true(cw_output_commit(&output));
    assert_int_equal(file_size(path), 11);
    struct stat status;
    assert_int_equal(lstat(in_scratch("link"), &status), 0);
    assert_true(S_ISLNK(status.st_mode));
}

/* A process with two unfinished files, one finished and one given up waits for its end. */
static void wait_with_unfinished_files(void)
{
    struct cw_output first, second, done, given_up;
    cw_output_guard();
    if (cw_output_open(&first, in_scratch("signalled-1"), false) &&
        cw_output_open(&done, in_scratch("finished"), true) &&
        cw_output_open(&given_up, in_scratch("given-up"), false) &&
        cw_output_open(&second, in_scratch("signalled-2"), false)) {
        fputs("half of it", first.stream);
        fflush(first.stream);
        cw_output_abandon(&given_up);
        if (cw_output_commit(&done)) {
            raise(SIGSTOP);
            pause();
        }
    }
    _exit(99);
}

static void signals_leave_nothing_unfinished(void **state)
{
    static const int signals[] = {SIGINT, SIGTERM, SIGHUP};
    (void)state;
    for (size_t i = 0; i < sizeof signals / sizeof signals[0]; i++) {
        int status;
        pid_t child = fork();
        assert_true(child >= 0);
        if (child == 0) {
            wait_with_unfinished_files();
        }
        assert_int_equal(waitpid(child, &status, WUNTRACED), child);
        assert_true(WIFSTOPPED(status));
        assert_int_equal(files_in_scratch(), 2);
        kill(child, signals[i]);
        kill(child, SIGCONT);
        assert_int_equal(waitpid(child, &status, 0), child);
        assert_true(WIFSIGNALED(status) && WTERMSIG(status) == signals[i]);
        assert_int_equal(files_in_scratch(), 0);
        assert_true(exists(in_scratch("finished")));
        assert_false(exists(in_scratch("signalled-1")));
    }
}

static void full_disk(void **state)
{
    struct cw_output output;
    (void)state;
    if (!exists("/dev/full")) {
        skip();
    }
    assert_true(cw_output_open(&output, "/dev/full", false));
    fputs("text", output.stream);
    FILE *old = silence();
    assert_false(cw_output_commit(&output));
    speak(old);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(quantities_as_written),
        cmocka_unit_test(quantities_refused),
        cmocka_unit_test(values_of_parameters),
        cmocka_unit_test(lists_by_words),
        cmocka_unit_test(every_entry_by_its_word),
        cmocka_unit_test(wire_by_its_diameter_is_said),
        cmocka_unit_test(commas),
        cmocka_unit_test(temperatures),
        cmocka_unit_test(near_misses),
        cmocka_unit_test(single_precision_is_forgiven),
        cmocka_unit_test(changes),
        cmocka_unit_test(lists_of_frequencies),
        cmocka_unit_test(saved_as_a_host_reads_it),
        cmocka_unit_test(labels_survive),
        cmocka_unit_test(bundles_are_found_by_hosts),
        cmocka_unit_test(bundled_presets_as_lilv_reads_them),
        cmocka_unit_test(roles),
        cmocka_unit_test(tables),
        cmocka_unit_test(outputs),
        cmocka_unit_test(signals_leave_nothing_unfinished),
        cmocka_unit_test(full_disk),
    };
    return cmocka_run_group_tests(tests, make_scratch, remove_scratch);
}
