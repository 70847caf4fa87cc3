/* SPDX-License-Identifier: ISC */
/* Seals: what is read is what was written, any change shows, and the schema stays. SHA-256 is judged in test_sha256. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "acceptance.h"
#include "bench_load.h"
#include "coil.h"
#include "coil_limits.h"
#include "fingerprint.h"
#include "scatter.h"
#include "revision.h"
#include "seal.h"
#include "seal_mark.h"
#include "seal_schema.h"
#include "setup.h"
#include "setups.h"
#include "sha256.h"
#include "within.h"

static char text[CW_SEAL_TEXT], again[CW_SEAL_TEXT];

static void fill(struct cw_seal *seal, const struct cw_setup *setup)
{
    *seal = (struct cw_seal){.setup = *setup,
                             .program = "0.3.0",
                             .title = "Job 12",
                             .revision = "A",
                             .status = "RELEASED",
                             .date = "2026-11-26",
                             .because = "-",
                             .decided = "-",
                             .before = "-"};
    cw_seal_figures(setup, seal->figure);
    for (int i = 0; i < CW_BENCH_READINGS; i++) {
        seal->limit[i] = (struct cw_limits){1.0 + i, 2.0 + i};
    }
}

static void what_is_written_is_read(void **state)
{
    (void)state;
    struct rng rng = {15};
    for (int i = 0; i < 100; i++) {
        struct cw_setup setup;
        struct cw_seal seal, read;
        struct cw_seal_fault fault;
        setups_random(&rng, i, &setup);
        fill(&seal, &setup);
        size_t length = cw_seal_print(&seal, text);
        assert_true(length + 64 < CW_SEAL_TEXT);
        if (!cw_seal_read(text, length, &read, &fault)) {
            fail_msg("line %u: %s", fault.line, fault.why);
        }
        assert_true(read.holds);
        for (int p = 0; p < CW_PARAMS; p++) {
            assert_true((float)read.setup.value[p] == (float)setup.value[p]);
        }
        for (int f = 0; f < CW_SEAL_FIGURES; f++) {
            assert_true(cw_seal_same((enum cw_seal_figure)f, read.figure[f], seal.figure[f]));
        }
        assert_int_equal(cw_seal_print(&read, again), length);
        assert_memory_equal(text, again, length);
    }
}

/* Every byte of a seal, changed: no text holds any more, and none crashes the reader. */
static void any_byte_changed_shows(void **state)
{
    (void)state;
    struct cw_setup setup;
    struct cw_seal seal, read;
    struct cw_seal_fault fault;
    cw_setup_defaults(&setup);
    fill(&seal, &setup);
    size_t length = cw_seal_print(&seal, text);
    for (size_t i = 0; i < length; i++) {
        memcpy(again, text, length);
        again[i] = (char)(again[i] ^ (1 << (i % 7)));
        bool good = cw_seal_read(again, length, &read, &fault);
        assert_false(good && read.holds && strcmp(read.fingerprint, seal.fingerprint) == 0);
    }
    for (size_t cut = 0; cut < length; cut += 7) {
        assert_false(cw_seal_read(text, cut, &read, &fault));
        assert_true(fault.line > 0 && *fault.why);
    }
    memcpy(again, text, length);
    again[length] = '\n';
    assert_false(cw_seal_read(again, length + 1, &read, &fault));
}

/* The line of its journal follows, is read back, and is no part of the fingerprint; what is none is refused. */
static void the_journal_stands_beside(void **state)
{
    (void)state;
    static const struct {
        const char *front, *behind;
    } wrong[] = {{"journal 0 ", "\n"},   {"journal 1.5 ", "\n"}, {"journal -1 ", "\n"},  {"journal 1e99 ", "\n"},
                 {"journal  1 ", "\n"},  {"journal 1 ", "a\n"},  {"journal 1 ", ""},     {"journal 1 x", "\n"},
                 {"journal nan ", "\n"}, {"journal 1", "\n"},    {"journal 1 ", "\n\n"}, {"", "\n"}};
    struct cw_setup setup;
    struct cw_seal seal, read;
    struct cw_seal_fault fault;
    char print[CW_SHA256_TEXT];
    cw_setup_defaults(&setup);
    fill(&seal, &setup);
    const size_t length = cw_seal_print(&seal, text);
    memcpy(print, seal.fingerprint, sizeof print);
    seal.journal_count = 4000000000u;
    memset(seal.journal_head, 'c', sizeof seal.journal_head - 1);
    const size_t longer = cw_seal_print(&seal, again);
    assert_true(longer > length);
    assert_memory_equal(text, again, length);
    assert_string_equal(seal.fingerprint, print);
    assert_true(cw_seal_read(again, longer, &read, &fault) && read.holds);
    assert_true(read.journal_count == 4000000000u);
    assert_string_equal(read.journal_head, seal.journal_head);
    assert_true(cw_seal_read(text, length, &read, &fault) && read.holds);
    assert_true(read.journal_count == 0 && !*read.journal_head);
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
        char line[200];
        snprintf(line, sizeof line, "%s%s%s", wrong[i].front, print, wrong[i].behind);
        memcpy(again, text, length);
        memcpy(again + length, line, strlen(line));
        assert_false(cw_seal_read(again, length + strlen(line), &read, &fault));
        assert_true(fault.line > CW_PARAMS && *fault.why);
    }
}

/* Each digit of a control, and each control's default: another value is another fingerprint. */
static void any_control_changed_shows(void **state)
{
    (void)state;
    struct cw_setup setup;
    struct cw_seal seal;
    char before[CW_SHA256_TEXT];
    cw_setup_defaults(&setup);
    fill(&seal, &setup);
    cw_seal_print(&seal, text);
    memcpy(before, seal.fingerprint, sizeof before);
    for (int p = 0; p < CW_PARAMS; p++) {
        double kept = seal.setup.value[p];
        seal.setup.value[p] = (double)nextafterf((float)kept, 1e30f);
        cw_seal_print(&seal, text);
        assert_string_not_equal(before, seal.fingerprint);
        seal.setup.value[p] = kept * (1.0 + 1e-12); /* less than a host stores */
        cw_seal_print(&seal, text);
        assert_string_equal(before, seal.fingerprint);
        seal.setup.value[p] = kept;
    }
}

/* A constant of the model that moves a figure by a thousandth is noticed; a library's last digit is not. */
static void figures_have_a_tolerance(void **state)
{
    (void)state;
    struct cw_setup setup;
    double figure[CW_SEAL_FIGURES];
    cw_setup_defaults(&setup);
    cw_seal_figures(&setup, figure);
    for (int f = 0; f < CW_SEAL_FIGURES; f++) {
        bool db = f == CW_SEAL_PEAK || f == CW_SEAL_EMF;
        assert_true(cw_seal_same((enum cw_seal_figure)f, figure[f] * (1.0 + 1e-9), figure[f]));
        double moved = db ? figure[f] + 0.01 : figure[f] * 1.001;
        assert_false(cw_seal_same((enum cw_seal_figure)f, moved, figure[f]));
        assert_false(cw_seal_same((enum cw_seal_figure)f, NAN, figure[f]));
    }
}

/* The schema's symbols and units are the program's; what it does not know yet can be sealed at its default only. */
static void the_schema_is_known(void **state)
{
    (void)state;
    static const char *const schema[][2] = {
#define CW_SEAL_PARAMETER(symbol, unit) {symbol, unit},
#include "seal_1.def"
#undef CW_SEAL_PARAMETER
    };
    const size_t count = sizeof schema / sizeof schema[0];
    struct cw_setup setup;
    const char *symbol;
    for (size_t i = 0; i < count; i++) {
        int id = cw_param_find(schema[i][0]);
        assert_true(id >= 0);
        assert_string_equal(cw_unit_symbol(cw_param_info[id].unit), schema[i][1]);
        assert_true(i == 0 || strcmp(schema[i - 1][0], schema[i][0]) < 0);
    }
    cw_setup_defaults(&setup);
    assert_true(cw_seal_fits(&setup, &symbol));
    for (int p = 0; p < CW_PARAMS; p++) {
        bool known = false;
        for (size_t i = 0; i < count; i++) {
            known = known || strcmp(schema[i][0], cw_param_info[p].symbol) == 0;
        }
        double kept = setup.value[p];
        setup.value[p] = kept == cw_param_info[p].maximum ? cw_param_info[p].minimum : cw_param_info[p].maximum;
        assert_int_equal(cw_seal_fits(&setup, &symbol), known);
        setup.value[p] = kept;
    }
}

/* The mark's digest is SHA-256 of the seal's own first lines; any control of the schema breaks it, and turned back it
 * holds again; a fingerprint, revision or schema that is none cannot be read. */
static void a_mark_tells_of_any_change(void **state)
{
    (void)state;
    struct cw_setup setup;
    struct cw_seal seal;
    struct cw_seal_mark mark;
    char line[CW_SEAL_MARK_TEXT], hex[CW_SHA256_TEXT];
    unsigned char digest[CW_SHA256_BYTES];
    cw_setup_defaults(&setup);
    fill(&seal, &setup);
    cw_seal_print(&seal, text);
    cw_sha256(text, (size_t)(strstr(text, "limit ") - text), digest);
    cw_seal_mark_print(&setup, seal.fingerprint, "AB", line);
    assert_true(strlen(line) + 1 < sizeof line);
    assert_int_equal(cw_seal_mark_judge(line, &setup, &mark), CW_SEAL_HOLDS);
    assert_string_equal(mark.digest, cw_sha256_print(digest, hex));
    assert_string_equal(mark.fingerprint, seal.fingerprint);
    assert_string_equal(mark.revision, "AB");
    for (int p = 0; p < CW_PARAMS; p++) {
        const double kept = setup.value[p];
        setup.value[p] = (double)nextafterf((float)kept, 1e30f);
        assert_int_equal(cw_seal_mark_judge(line, &setup, &mark), CW_SEAL_CHANGED);
        setup.value[p] = kept * (1.0 + 1e-12); /* less than a host stores */
        assert_int_equal(cw_seal_mark_judge(line, &setup, &mark), CW_SEAL_HOLDS);
        setup.value[p] = kept;
    }
    assert_int_equal(cw_seal_mark_judge("", &setup, &mark), CW_SEAL_NONE);
    for (size_t i = 0; line[i]; i++) {
        const char was = line[i];
        line[i] = was == ' ' ? 'x' : i == 0 ? '2' : '\t';
        assert_int_equal(cw_seal_mark_judge(line, &setup, &mark), CW_SEAL_UNREAD);
        assert_string_equal(mark.revision, "");
        line[i] = '\0'; /* cut off; before the second letter of the revision it is a mark all the same */
        assert_int_equal(cw_seal_mark_judge(line, &setup, &mark), i == 0       ? CW_SEAL_NONE
                                                                  : was == 'B' ? CW_SEAL_HOLDS
                                                                               : CW_SEAL_UNREAD);
        line[i] = was;
    }
}

static void fingerprints_on_paper(void **state)
{
    (void)state;
    const char *print = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
    bool is_one;
    assert_true(cw_seal_matches(print, print, &is_one));
    assert_true(cw_seal_matches(print, "BA78 16bf:8f01-cfea", &is_one));
    assert_false(cw_seal_matches(print, "ba7816bf8f01cfeb", &is_one));
    assert_true(is_one);
    assert_false(cw_seal_matches(print, "ba7816bf8f01cfe", &is_one)); /* too few */
    assert_false(is_one);
    assert_false(cw_seal_matches(print, "ba7816bf8f01cfeag", &is_one));
    assert_false(is_one);
    assert_false(cw_seal_matches(print, "", &is_one));
    assert_false(is_one);
}

static void revisions(void **state)
{
    (void)state;
    char next[4];
    assert_true(cw_revision_is("A") && cw_revision_is("AB"));
    assert_false(cw_revision_is("") || cw_revision_is("I") || cw_revision_is("ABC") || cw_revision_is("a"));
    assert_true(cw_revision_next("A", next) && strcmp(next, "B") == 0);
    assert_true(cw_revision_next("H", next) && strcmp(next, "J") == 0);
    assert_true(cw_revision_next("Y", next) && strcmp(next, "AA") == 0);
    assert_true(cw_revision_next("AY", next) && strcmp(next, "BA") == 0);
    assert_false(cw_revision_next("YY", next));
}

/* A coil with no loss: 1/(2 pi sqrt(L C)) with the load's capacitance, within what its own losses shift. */
static void the_bench_load_resonates(void **state)
{
    (void)state;
    struct cw_setup setup;
    struct cw_pickup pickup;
    cw_setup_defaults(&setup);
    setup.value[CW_P_LOSS] = 10000.0;
    setup.value[CW_P_RESISTANCE] = 0.2;
    cw_coil_solve(&setup, &pickup);
    double farad = setup.value[CW_P_CAPACITANCE] * 1e-12 + CW_BENCH_LOAD_FARAD;
    within_share(cw_bench_resonance(&setup, &pickup), 1.0 / (2.0 * acos(-1.0) * sqrt(4.5 * farad)), 1e-3, "bench");
}

/* Limits hold the design, and 99 % of coils: wire alone, evenly over d +- h, leaves 1/d^2 at 0.99 of its ends. */
static void limits_are_of_the_scatter(void **state)
{
    (void)state;
    struct cw_setup setup;
    struct cw_scatter scatter = {{0.0}};
    struct cw_limits limits[CW_BENCH_READINGS];
    cw_setup_defaults(&setup);
    scatter.half[CW_SCATTER_WIRE] = 4.0;
    scatter.half[CW_SCATTER_CABLE] = 10.0;
    cw_coil_limits(&setup, &scatter, limits);
    /* The mean turn follows the wire a little: 1/d^2 is not all of it. */
    within_share(limits[CW_READING_RESISTANCE].low, 8000.0 / (1.0396 * 1.0396), 0.01, "thick");
    within_share(limits[CW_READING_RESISTANCE].high, 8000.0 / (0.9604 * 0.9604), 0.01, "thin");
    assert_true(limits[CW_READING_INDUCTANCE].low < 4.5 && 4.5 < limits[CW_READING_INDUCTANCE].high);
    within_share(limits[CW_READING_RESONANCE].low, limits[CW_READING_RESONANCE].high, 0.02, "no cable at the bench");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_written_is_read),
        cmocka_unit_test(any_byte_changed_shows),
        cmocka_unit_test(the_journal_stands_beside),
        cmocka_unit_test(any_control_changed_shows),
        cmocka_unit_test(figures_have_a_tolerance),
        cmocka_unit_test(the_schema_is_known),
        cmocka_unit_test(a_mark_tells_of_any_change),
        cmocka_unit_test(fingerprints_on_paper),
        cmocka_unit_test(revisions),
        cmocka_unit_test(the_bench_load_resonates),
        cmocka_unit_test(limits_are_of_the_scatter),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
