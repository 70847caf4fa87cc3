/* SPDX-License-Identifier: ISC */
#include "options.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "command.h"
#include "output.h"

void cw_args_init(struct cw_args *args, const struct cw_usage *usage, int argc, char **argv)
{
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

static void print_option(const struct cw_option *option)
{
    char left[64];
    char letter[8] = "    ";
    if (option->letter) {
        snprintf(letter, sizeof letter, "-%c, ", option->letter);
    }
    snprintf(left, sizeof left, "  %s--%s%s%s", letter, option->name, option->argument ? " " : "",
             option->argument ? option->argument : "");
    if (strlen(left) < 29) {
        printf("%-29s %s\n", left, option->help);
    } else {
        printf("%s\n%-29s %s\n", left, "", option->help);
    }
}

int cw_print_help(const struct cw_usage *usage)
{
    static const struct cw_option help = {0, "help", 'h', NULL, "Show this help and exit."};
    printf("Usage: coilwright %s [OPTION]...%s%s\n\n%s\n\nOptions:\n", usage->command, usage->operands[0] ? " " : "",
           usage->operands, usage->about);
    for (size_t i = 0; i < usage->option_count; i++) {
        print_option(&usage->options[i]);
    }
    print_option(&help);
    if (usage->more) {
        printf("\n%s\n", usage->more);
    }
    return cw_stdout_finish() ? CW_DONE : CW_FAILED;
}

static int stop(struct cw_args *args, int status)
{
    args->status = status;
    return CW_ARG_STOP;
}

/* The option meant by a long name of the given length: exact, or the only one that begins so. */
static const struct cw_option *find_long(const struct cw_usage *usage, const char *name, size_t length, bool *ambiguous)
{
    const struct cw_option *found = NULL;
    *ambiguous = false;
    for (size_t i = 0; i < usage->option_count; i++) {
        const struct cw_option *option = &usage->options[i];
        if (strncmp(option->name, name, length) == 0) {
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
        return stop(args, cw_bad_usage(args->usage, "%s option --%.*s", ambiguous ? "ambiguous" : "unknown",
                                       (int)length, name));
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
        if (args->usage->options[i].letter == letter) {
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
