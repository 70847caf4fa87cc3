/* SPDX-License-Identifier: ISC */
/* What the commands say of themselves: every option with its unit, range and default, those of controls
 * from the table of parameters; a letter of one meaning. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <ctype.h>
#include <stdio.h>
#include <string.h>

#include "command.h"
#include "options.h"
#include "quantity.h"
#include "setup.h"
#include "wrap.h"

static const struct cw_option *option_of(const struct cw_usage *usage, const char *name)
{
    for (size_t i = 0; i < usage->option_count; i++) {
        if (usage->options[i].name && strcmp(usage->options[i].name, name) == 0) {
            return &usage->options[i];
        }
    }
    return NULL;
}

/* Options that take a value say where they stand without it. */
static void defaults_are_told(void **state)
{
    size_t seen = 0;
    (void)state;
    for (const struct cw_command *command = cw_commands; command->name; command++) {
        const struct cw_usage *usage = command->usage();
        assert_string_equal(usage->command, command->name);
        for (size_t i = 0; i < usage->option_count; i++) {
            const struct cw_option *option = &usage->options[i];
            if (!option->argument) {
                continue;
            }
            seen++;
            if (!strstr(option->help, "default ") && !strstr(option->help, "needed") &&
                !strstr(option->help, "ay be repeated")) {
                fail_msg("%s --%s: no default in '%s'", command->name, option->name, option->help);
            }
        }
    }
    assert_true(seen > CW_PARAMS);
}

/* Numbers have a range: two numbers in the help, or choices. Names of files and texts have none. */
static void ranges_are_told(void **state)
{
    static const char *const free_text[] = {"FILE",           "DIR", "TEXT", "SYMBOL=VALUE", "SYMBOL=VALUE,...",
                                            "QUANTITY=VALUE", "PORT"};
    (void)state;
    for (const struct cw_command *command = cw_commands; command->name; command++) {
        const struct cw_usage *usage = command->usage();
        for (size_t i = 0; i < usage->option_count; i++) {
            const struct cw_option *option = &usage->options[i];
            bool has_range =
                !option->argument || strchr(option->argument, '|') || strcmp(option->argument, "WORDS") == 0;
            for (size_t k = 0; option->argument && k < sizeof free_text / sizeof free_text[0]; k++) {
                has_range = has_range || strcmp(option->argument, free_text[k]) == 0;
            }
            int numbers = 0;
            for (const char *c = option->help; *c; c++) {
                numbers += isdigit((unsigned char)*c) && (c == option->help || !isdigit((unsigned char)c[-1]));
            }
            if (!has_range && numbers < 2) {
                fail_msg("%s --%s: no range in '%s'", command->name, option->name, option->help);
            }
        }
    }
}

/* Each control of the table is an option of `new`, with what the table says of it. */
static void controls_are_the_tables(void **state)
{
    const struct cw_usage *usage = cw_command_find("new")->usage();
    (void)state;
    for (int i = 0; i < CW_PARAMS; i++) {
        const struct cw_param_info *info = &cw_param_info[i];
        char name[64], range[300];
        snprintf(name, sizeof name, "%s", info->symbol);
        for (char *c = name; *c; c++) {
            *c = *c == '_' ? '-' : *c;
        }
        const struct cw_option *option = option_of(usage, name);
        assert_non_null(option);
        cw_value_range(info, range, sizeof range);
        assert_non_null(strstr(option->help, range));
        assert_non_null(strstr(option->help, info->meaning));
        assert_non_null(strstr(range, "default "));
        assert_non_null(strstr(range, cw_unit_symbol(info->unit)));
        for (size_t p = 0; p < info->point_count && info->point_count <= 8; p++) {
            assert_non_null(strstr(range, info->points[p].label));
        }
    }
}

static void a_letter_means_one_thing(void **state)
{
    const char *meaning[128] = {0};
    (void)state;
    for (const struct cw_command *command = cw_commands; command->name; command++) {
        const struct cw_usage *usage = command->usage();
        for (size_t i = 0; i < usage->option_count; i++) {
            int letter = usage->options[i].letter;
            if (letter && meaning[letter]) {
                assert_string_equal(meaning[letter], usage->options[i].name);
            } else if (letter) {
                meaning[letter] = usage->options[i].name;
            }
        }
    }
    assert_non_null(meaning['o']);
}

/* Commands of one heading stand together. */
static void commands_are_grouped(void **state)
{
    (void)state;
    for (const struct cw_command *a = cw_commands; a->name; a++) {
        assert_true(strlen(a->name) <= 11 && strlen(a->summary) + 14 <= 80);
        for (const struct cw_command *b = a + 1; b->name; b++) {
            assert_true(strcmp(a->who, b->who) != 0 || strcmp((b - 1)->who, b->who) == 0);
        }
    }
}

static void text_is_wrapped(void **state)
{
    char text[200] = "";
    FILE *stream = fmemopen(text, sizeof text, "w");
    (void)state;
    assert_non_null(stream);
    cw_wrap(stream, "aaa bb\ncccc kΩ kΩ ddd\n\nsecond\n  kept  as it is\nend", 2, 4, 12);
    fclose(stream);
    assert_string_equal(text, "aaa bb\n    cccc kΩ\n    kΩ ddd\n\n    second\n      kept  as it is\n    end\n");
    assert_int_equal(cw_text_width("kΩ"), 2);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(defaults_are_told),       cmocka_unit_test(ranges_are_told),
        cmocka_unit_test(controls_are_the_tables), cmocka_unit_test(a_letter_means_one_thing),
        cmocka_unit_test(commands_are_grouped),    cmocka_unit_test(text_is_wrapped),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
