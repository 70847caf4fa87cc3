/* SPDX-License-Identifier: ISC */
#include "options.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "command.h"
#include "input.h"
#include "near.h"
#include "output.h"
#include "wrap.h"

void cw_args_init(struct cw_args *args, const struct cw_usage *usage, int argc, char **argv)
{
    cw_input_forget();
    *args = (struct cw_args){.usage = usage, .argc = argc, .argv = argv, .next = 1, .status = CW_BAD_USAGE};
}

int cw_bad_usage(const struct cw_usage *usage, const char *format, ...)
{
    char message[512];
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(message, sizeof message, format, arguments);
    va_end(arguments);
    fflush(stdout);
    cw_error("%s: %s (see coilwright %s --help)", usage->command, message, usage->command);
    return CW_BAD_USAGE;
}

int cw_bad_word(const struct cw_args *args, const char *what, const char *nearest)
{
    const char *name = args->option->name;
    return nearest ? cw_bad_usage(args->usage, "--%s: expected %s, found '%s': did you mean '%s'?", name, what,
                                  args->value, nearest)
                   : cw_bad_usage(args->usage, "--%s: expected %s, found '%s'", name, what, args->value);
}

/* ---- help ---- */

enum { HELP_WIDTH = 80, HELP_INDENT = 26 };

static void print_option(const struct cw_option *option)
{
    char left[100], letter[8] = "    ";
    if (!option->name) {
        printf("\n%s:\n", option->help);
        return;
    }
    if (option->letter) {
        snprintf(letter, sizeof letter, "-%c, ", option->letter);
    }
    snprintf(left, sizeof left, "  %s--%s%s%s", letter, option->name, option->argument ? " " : "",
             option->argument ? option->argument : "");
    size_t width = cw_text_width(left);
    if (width < HELP_INDENT) {
        printf("%s%*s", left, HELP_INDENT - (int)width, "");
    } else {
        printf("%s\n%*s", left, HELP_INDENT, "");
    }
    cw_wrap(stdout, option->help, HELP_INDENT, HELP_INDENT, HELP_WIDTH);
}

int cw_print_help(const struct cw_usage *usage)
{
    static const struct cw_option help = {0, "help", 'h', NULL, "Show this help and exit."};
    printf("Usage: coilwright %s [OPTION]...%s%s\n\n", usage->command, usage->operands[0] ? " " : "", usage->operands);
    cw_wrap(stdout, usage->about, 0, 0, HELP_WIDTH);
    if (usage->option_count == 0 || usage->options[0].name) {
        puts("\nOptions:");
    }
    for (size_t i = 0; i < usage->option_count; i++) {
        print_option(&usage->options[i]);
    }
    print_option(&help);
    if (usage->more) {
        putchar('\n');
        cw_wrap(stdout, usage->more, 0, 0, HELP_WIDTH);
    }
    return cw_stdout_finish() ? CW_DONE : CW_FAILED;
}

/* ---- the walk ---- */

static int stop(struct cw_args *args, int status)
{
    args->status = status;
    return CW_ARG_STOP;
}

static bool begins_with(const char *name, const char *typed, size_t length)
{
    for (size_t i = 0; i < length; i++) {
        if (name[i] != (typed[i] == '_' ? '-' : typed[i])) {
            return false;
        }
    }
    return true;
}

/* The option meant by a long name of the given length: exact, or the only one that begins so. */
static const struct cw_option *find_long(const struct cw_usage *usage, const char *name, size_t length, bool *ambiguous)
{
    const struct cw_option *found = NULL;
    *ambiguous = false;
    for (size_t i = 0; i < usage->option_count; i++) {
        const struct cw_option *option = &usage->options[i];
        if (option->name && begins_with(option->name, name, length)) {
            if (option->name[length] == '\0') {
                *ambiguous = false;
                return option;
            }
            *ambiguous = found != NULL;
            found = option;
        }
    }
    return found;
}

/* An option that is not there, with the one that was perhaps meant. */
static int unknown_option(const struct cw_usage *usage, const char *name, size_t length)
{
    char typed[64];
    struct cw_nearest nearest = {0};
    snprintf(typed, sizeof typed, "%.*s", (int)length, name);
    for (size_t i = 0; i < usage->option_count; i++) {
        if (usage->options[i].name) {
            cw_nearest_try(&nearest, typed, usage->options[i].name);
        }
    }
    return nearest.word ? cw_bad_usage(usage, "unknown option --%s: did you mean --%s?", typed, nearest.word)
                        : cw_bad_usage(usage, "unknown option --%s", typed);
}

/* All that a shortened name may stand for. */
static int ambiguous_option(const struct cw_usage *usage, const char *name, size_t length)
{
    char list[200] = "";
    size_t used = 0;
    for (size_t i = 0; i < usage->option_count; i++) {
        const char *other = usage->options[i].name;
        if (other && begins_with(other, name, length) && used < sizeof list) {
            used += (size_t)snprintf(list + used, sizeof list - used, "%s --%s", used ? "," : "", other);
        }
    }
    return cw_bad_usage(usage, "ambiguous option --%.*s:%s", (int)length, name, list);
}

static int take_value(struct cw_args *args, const char *attached)
{
    if (attached) {
        args->value = attached;
    } else if (args->next < args->argc) {
        args->value = args->argv[args->next++];
    } else {
        return stop(args, cw_bad_usage(args->usage, "--%s: expected %s after it, found nothing", args->option->name,
                                       args->option->argument));
    }
    return args->option->id;
}

static int next_long(struct cw_args *args, const char *name)
{
    const char *equals = strchr(name, '=');
    size_t length = equals ? (size_t)(equals - name) : strlen(name);
    if (length == 4 && strncmp(name, "help", 4) == 0) {
        return stop(args, cw_print_help(args->usage));
    }
    bool ambiguous;
    args->option = find_long(args->usage, name, length, &ambiguous);
    if (!args->option || ambiguous) {
        return stop(args, (ambiguous ? ambiguous_option : unknown_option)(args->usage, name, length));
    }
    if (args->option->argument) {
        return take_value(args, equals ? equals + 1 : NULL);
    }
    if (equals) {
        return stop(args, cw_bad_usage(args->usage, "--%s takes no value, found '%s'", args->option->name, equals + 1));
    }
    return args->option->id;
}

static int next_letter(struct cw_args *args)
{
    char letter = *args->rest++;
    if (letter == 'h') {
        return stop(args, cw_print_help(args->usage));
    }
    for (size_t i = 0; i < args->usage->option_count; i++) {
        if (letter && args->usage->options[i].letter == letter) {
            args->option = &args->usage->options[i];
            const char *attached = *args->rest ? args->rest : NULL;
            if (!args->option->argument) {
                return args->option->id;
            }
            args->rest = NULL;
            return take_value(args, attached);
        }
    }
    return stop(args, cw_bad_usage(args->usage, "unknown option -%c", letter));
}

int cw_args_next(struct cw_args *args)
{
    if (args->rest && *args->rest) {
        return next_letter(args);
    }
    if (args->next >= args->argc) {
        return CW_ARG_END;
    }
    const char *word = args->argv[args->next++];
    if (!args->only_operands && strcmp(word, "--") == 0) {
        args->only_operands = true;
        return cw_args_next(args);
    }
    if (args->only_operands || word[0] != '-' || word[1] == '\0') {
        args->value = word;
        return CW_ARG_OPERAND;
    }
    if (word[1] == '-') {
        return next_long(args, word + 2);
    }
    args->rest = word + 1;
    return next_letter(args);
}

bool cw_args_count(struct cw_args *args, long minimum, long maximum, long *number)
{
    char *end;
    errno = 0;
    long value = strtol(args->value, &end, 10);
    if (end == args->value || *end || errno || value < minimum || value > maximum) {
        cw_bad_usage(args->usage, "--%s: expected a whole number from %ld to %ld, found '%s'", args->option->name,
                     minimum, maximum, args->value);
        return false;
    }
    *number = value;
    return true;
}
