/* SPDX-License-Identifier: ISC */
/* The journal's chain: any change shows, and so does a cut tail against an earlier head. The digest is judged in
 * test_sha256; the chain of the first entry, by sha256sum, in test_journal.sh. */
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "journal.h"
#include "sha256.h"

enum { ENTRIES = 5, TEXT = 4096 };

/* A journal of entries; the heads along the way. */
static size_t make(char text[TEXT], char head[ENTRIES + 1][CW_SHA256_TEXT])
{
    size_t used = (size_t)snprintf(text, TEXT, "%s", CW_JOURNAL_FIRST);
    memset(head[0], '0', CW_SHA256_TEXT - 1);
    head[0][CW_SHA256_TEXT - 1] = '\0';
    for (int i = 0; i < ENTRIES; i++) {
        char body[128];
        int length = snprintf(body, sizeof body, "%d\t2026-11-26T00:00:0%dZ\tnew\tcandidate=coil %d", i + 1, i, i);
        cw_journal_chain(head[i], body, (size_t)length, head[i + 1]);
        used += (size_t)snprintf(text + used, TEXT - used, "%s\tchain=%s\n", body, head[i + 1]);
    }
    return used;
}

static void a_journal_holds(void **state)
{
    (void)state;
    char text[TEXT], head[ENTRIES + 1][CW_SHA256_TEXT];
    struct cw_journal journal;
    size_t length = make(text, head);
    assert_true(cw_journal_check(text, length, &journal));
    assert_int_equal(journal.count, ENTRIES);
    assert_string_equal(journal.head, head[ENTRIES]);
    assert_true(cw_journal_check("", 0, &journal));
    assert_int_equal(journal.count, 0);
    for (size_t i = 1; i <= ENTRIES; i++) {
        assert_true(cw_journal_had(text, length, i, head[i]));
        assert_false(cw_journal_had(text, length, i, head[i - 1]));
        char few[20];
        snprintf(few, sizeof few, "%.16s", head[i]);
        assert_true(cw_journal_had(text, length, i, few));
        few[15] = '\0';
        assert_false(cw_journal_had(text, length, i, few));
    }
    assert_false(cw_journal_had(text, length, ENTRIES + 1, head[ENTRIES]));
}

static void any_byte_changed_breaks_it(void **state)
{
    (void)state;
    char text[TEXT], again[TEXT], head[ENTRIES + 1][CW_SHA256_TEXT];
    struct cw_journal journal;
    size_t length = make(text, head);
    for (size_t i = 0; i < length; i++) {
        for (int bit = 0; bit < 8; bit++) {
            memcpy(again, text, length);
            again[i] = (char)(again[i] ^ (1 << bit));
            assert_false(cw_journal_check(again, length, &journal));
            assert_true(journal.line > 0 && *journal.why);
        }
    }
}

/* An entry taken out, put in twice, moved; a tail cut off holds by itself and not against the head. */
/* A zero byte ends a text for some readers and not for others: an entry behind it would be there and not shown,
 * although its chain is right. */
static void a_zero_byte_hides_nothing(void **state)
{
    (void)state;
    char text[TEXT], head[ENTRIES + 1][CW_SHA256_TEXT], chain[CW_SHA256_TEXT];
    struct cw_journal journal;
    static const char body[] = "6\t2026-11-26T00:00:06Z\tnew\tcandidate=co\0il";
    size_t length = make(text, head);
    cw_journal_chain(head[ENTRIES], body, sizeof body - 1, chain);
    memcpy(text + length, body, sizeof body - 1);
    length += sizeof body - 1;
    length += (size_t)snprintf(text + length, TEXT - length, "\tchain=%s\n", chain);
    assert_false(cw_journal_check(text, length, &journal));
    assert_int_equal(journal.line, ENTRIES + 2);
}

static void entries_cannot_go(void **state)
{
    (void)state;
    char text[TEXT], again[TEXT], head[ENTRIES + 1][CW_SHA256_TEXT];
    struct cw_journal journal;
    size_t length = make(text, head), first = strlen(CW_JOURNAL_FIRST);
    size_t one = (size_t)(strchr(text + first, '\n') + 1 - text) - first;
    memcpy(again, text, first);
    memcpy(again + first, text + first + one, length - first - one);
    assert_false(cw_journal_check(again, length - one, &journal));
    assert_int_equal(journal.line, 2);
    memcpy(again, text, length);
    memcpy(again + length, text + length - one, one);
    assert_false(cw_journal_check(again, length + one, &journal));
    assert_int_equal(journal.count, ENTRIES);
    assert_true(cw_journal_check(text, length - one, &journal));
    assert_int_equal(journal.count, ENTRIES - 1);
    assert_false(cw_journal_had(text, length - one, ENTRIES, head[ENTRIES]));
    for (size_t cut = 1; cut < one; cut++) {
        assert_false(cw_journal_check(text, length - cut, &journal));
        assert_int_equal(journal.count, ENTRIES - 1);
    }
}

static void fields_stay_in_their_place(void **state)
{
    (void)state;
    char to[64];
    assert_string_equal(cw_journal_field("a\tb\nc\rd\\e", to, sizeof to), "a\\tb\\nc\\rd\\\\e");
    assert_string_equal(cw_journal_field("\033[2J\x80", to, sizeof to), "<U+001B>[2J<0x80>");
    assert_string_equal(cw_journal_field("kΩ =", to, sizeof to), "kΩ =");
    assert_string_equal(cw_journal_field("", to, sizeof to), "");
    assert_string_equal(cw_journal_field("\t\t\t", to, 6), "\\t\\t"); /* no half of an escape */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_journal_holds),
        cmocka_unit_test(any_byte_changed_breaks_it),
        cmocka_unit_test(a_zero_byte_hides_nothing),
        cmocka_unit_test(entries_cannot_go),
        cmocka_unit_test(fields_stay_in_their_place),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
