/* SPDX-License-Identifier: ISC */
/* Texts from elsewhere as they are shown: no character in them acts or hides. */
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "escape.h"
#include "setups.h"
#include "show.h"
#include "utf8.h"

static void shown_as(const char *text, const char *expected)
{
    char shown[200];
    assert_string_equal(cw_show(text, shown, sizeof shown), expected);
}

static void what_has_no_shape(void **state)
{
    (void)state;
    shown_as("", "");
    shown_as("Plain, 4.7 k\xce\xa9 \"tap\"", "Plain, 4.7 k\xce\xa9 \"tap\"");
    shown_as("\x1b[8mhidden", "<U+001B>[8mhidden");
    shown_as("a\nb\tc\rd\x7f", "a<U+000A>b<U+0009>c<U+000D>d<U+007F>");
    shown_as("\xc2\x9b"
             "31m",
             "<U+009B>31m"); /* CSI of C1 */
    shown_as("\xe2\x80\xae"
             "drow",
             "<U+202E>drow");                                   /* right-to-left override */
    shown_as("\xe2\x81\xa6x\xe2\x81\xa9", "<U+2066>x<U+2069>"); /* isolates */
    shown_as("\xd8\x9c\xe2\x80\x8b\xef\xbb\xbf", "<U+061C><U+200B><U+FEFF>");
    shown_as("\xf3\xa0\x81\x81", "<U+E0041>");                          /* a tag */
    shown_as("c1\xe2\x80\x8d c1\xe2\x80\x8c", "c1<U+200D> c1<U+200C>"); /* joiners, where nothing joins */
    shown_as("c1\xef\xb8\x8f\xcd\x8f\xe1\x9e\xb4", "c1<U+FE0F><U+034F><U+17B4>");
    shown_as("\xd9\x85\xe2\x80\x8c\xd9\x85", "\xd9\x85\xe2\x80\x8c\xd9\x85"); /* and where something does */
    shown_as("\xe2\x9d\xa4\xef\xb8\x8f", "\xe2\x9d\xa4\xef\xb8\x8f");
    shown_as("\xe2\x9d\xa4\xef\xb8\x8f\xe2\x80\x8d\xf0\x9f\x94\xa5",
             "\xe2\x9d\xa4\xef\xb8\x8f\xe2\x80\x8d\xf0\x9f\x94\xa5"); /* a picture of two */
    shown_as("\xe2\x9d\xa4\xef\xb8\x8f\xef\xb8\x8f", "\xe2\x9d\xa4\xef\xb8\x8f<U+FE0F>");
    shown_as("\xd9\x85\xe2\x80\x8d\xe2\x80\x8d", "\xd9\x85\xe2\x80\x8d<U+200D>");
    shown_as("\xff\xc3(\xed\xa0\x80", "<0xFF><0xC3>(<0xED><0xA0><0x80>");
    shown_as("\xc0\xaf\xf4\x90\x80\x80", "<0xC0><0xAF><0xF4><0x90><0x80><0x80>");
    shown_as("\xd7\xa9\xd7\x9c \xf0\x9f\x8e\xb8", "\xd7\xa9\xd7\x9c \xf0\x9f\x8e\xb8"); /* letters of any script stay */
}

static void cut_where_it_is_seen(void **state)
{
    char text[8];
    (void)state;
    assert_string_equal(cw_text_fit("1234567", text, sizeof text), "1234567");
    assert_string_equal(cw_text_fit("12345678", text, sizeof text), "1234\xe2\x80\xa6");
    assert_string_equal(cw_text_fit("123\xc3\xbc\xc3\xbc\xc3\xbc", text, sizeof text), "123\xe2\x80\xa6");
    assert_string_equal(cw_show("12\x1b"
                                "4567",
                                text, sizeof text),
                        "12\xe2\x80\xa6");
    char four[4];
    assert_string_equal(cw_text_fit("12345", four, sizeof four), "\xe2\x80\xa6");
    assert_string_equal(cw_text_fit("123", four, sizeof four), "123");
}

/* Whatever the bytes: what is shown is UTF-8 without a control character, and in the room that it has. */
static void any_bytes(void **state)
{
    struct rng rng = {12};
    (void)state;
    for (int round = 0; round < 200000; round++) {
        char text[40], shown[100];
        size_t length = (size_t)rng_pick(&rng, 39), size = 4 + (size_t)rng_pick(&rng, 96);
        for (size_t i = 0; i < length; i++) {
            text[i] = (char)(1 + rng_pick(&rng, 255));
        }
        text[length] = '\0';
        memset(shown, 1, sizeof shown);
        cw_show(text, shown, size);
        assert_true(strlen(shown) < size);
        for (const char *c = shown; *c; c += cw_utf8_length(c)) {
            assert_true(cw_utf8_length(c) > 0);
            unsigned char first = (unsigned char)*c, second = (unsigned char)c[1];
            assert_true(first >= 0x20 && first != 0x7f && !(first == 0xc2 && second < 0xa0));
        }
    }
}

static void formulas(void **state)
{
    static const char *const formula[] = {"=1+1",
                                          "+1+1",
                                          "-2+3",
                                          "@SUM(A1)",
                                          "\t=1",
                                          " =1",
                                          "\r@x",
                                          "+cmd",
                                          "-x",
                                          "+1 calc",
                                          "\xef\xbc\x9d"
                                          "1+1",
                                          "\xef\xbc\x8b"
                                          "1",
                                          "\xc2\xa0=1",
                                          "\xe3\x80\x80 \xef\xbc\xa0x"};
    static const char *const none[] = {"", "-", "-2.5", "+3", "-1e-3", "-inf", "12", "a=b", "Job 12", "'=1"};
    (void)state;
    for (size_t i = 0; i < sizeof formula / sizeof formula[0]; i++) {
        if (!cw_is_formula(formula[i])) {
            fail_msg("%s", formula[i]);
        }
    }
    for (size_t i = 0; i < sizeof none / sizeof none[0]; i++) {
        if (cw_is_formula(none[i])) {
            fail_msg("%s", none[i]);
        }
    }
}

/* A cell as a spreadsheet reads it that parts cells at semicolons. */
static void cells_at_semicolons(void **state)
{
    static const char *const cell[][2] = {{"x;=1+1", "x;'=1+1"},
                                          {"x; @SUM(A1)", "x;' @SUM(A1)"},
                                          {"x;\"=1\"", "\"x;'\"\"=1\"\"\""},
                                          {"a;b", "a;b"},
                                          {"1;-2.5", "1;-2.5"}};
    (void)state;
    for (size_t i = 0; i < sizeof cell / sizeof cell[0]; i++) {
        char *text = NULL;
        size_t size = 0;
        FILE *stream = open_memstream(&text, &size);
        cw_print_csv(stream, cell[i][0]);
        assert_int_equal(fclose(stream), 0);
        assert_string_equal(text, cell[i][1]);
        free(text);
    }
}

/* Files' names in a command to be copied, and as addresses. */
static void names_of_files(void **state)
{
    static const struct {
        void (*print)(FILE *stream, const char *text);
        const char *name, *expected;
    } row[] = {{cw_print_word, "key.txt", "key.txt"},
               {cw_print_word, "-key.txt", "./-key.txt"},
               {cw_print_word, "- it's", "./'- it'\\''s'"},
               {cw_print_address, "/a b/-", "file:///a%20b/-"},
               {cw_print_address, "host/a", "host/a"}};
    (void)state;
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        char *text = NULL;
        size_t size = 0;
        FILE *stream = open_memstream(&text, &size);
        row[i].print(stream, row[i].name);
        assert_int_equal(fclose(stream), 0);
        assert_string_equal(text, row[i].expected);
        free(text);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(names_of_files),    cmocka_unit_test(cells_at_semicolons),
                                       cmocka_unit_test(what_has_no_shape), cmocka_unit_test(cut_where_it_is_seen),
                                       cmocka_unit_test(any_bytes),         cmocka_unit_test(formulas)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
