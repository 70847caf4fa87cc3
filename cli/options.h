/* SPDX-License-Identifier: ISC */
/** \file options.h
 * GNU-style options for the commands: long names (--name VALUE, --name=VALUE, unambiguous
 * abbreviations; '_' is '-'), one-letter names (-o VALUE, -oVALUE), operands anywhere, `--` ends options.
 * A letter means the same in every command.
 * --help and -h are understood by every command and need no row.
 *
 * Use:
 * \code
 * struct cw_args args;
 * cw_args_init(&args, &usage, argc, argv);
 * for (int id; (id = cw_args_next(&args)) != CW_ARG_END;) {
 *     switch (id) {
 *     case CW_ARG_OPERAND: use(args.value); break;
 *     case OPT_CHANNEL:    if (!cw_args_count(&args, 1, 1024, &channel)) return CW_BAD_USAGE; break;
 *     default:             return args.status;
 *     }
 * }
 * \endcode
 */
#ifndef CW_OPTIONS_H
#define CW_OPTIONS_H

#include <stdbool.h>
#include <stddef.h>

#include "attributes.h"
#include "message.h"

#ifdef __cplusplus
extern "C" {
#endif

/** One option of a command, or with no id and name a heading over those that follow. */
struct cw_option {
    int id;               /**< above 0; what cw_args_next() returns */
    const char *name;     /**< long name without dashes */
    char letter;          /**< one-letter name or 0 */
    const char *argument; /**< what the value is called in the help: FILE, DIR and SYMBOL=VALUE are completed
                               as such, words joined by | are the choices; NULL where it takes none */
    const char *help;     /**< what it does; with an argument also unit, range and "default ...", "needed" or
                               "may be repeated"; or the heading */
};

/** A row of the table of options that is a heading. */
#define CW_HEADING(text)                                                                                               \
    {                                                                                                                  \
        0, NULL, 0, NULL, text                                                                                         \
    }

/** What a command accepts, and the source of its --help and of the shells' completion. Strings are
 * static; line breaks in \p about and \p more are made anew (see wrap.h). */
struct cw_usage {
    const char *command;
    const char *operands; /**< as in "FILE..." */
    const char *about;    /**< a paragraph on what the command does */
    const struct cw_option *options;
    size_t option_count;
    const char *more; /**< text after the options, or NULL */
};

/** What cw_args_next() returns besides option ids. */
enum { CW_ARG_END = 0, CW_ARG_OPERAND = -1, CW_ARG_STOP = -2 };

/** A walk over the arguments. */
struct cw_args {
    const struct cw_usage *usage;
    int argc;
    char **argv;
    int next;                       /**< index of the next argument */
    const char *rest;               /**< letters left in a bundle such as -ab */
    bool only_operands;             /**< after -- */
    const struct cw_option *option; /**< the last option met */
    const char *value;              /**< its value, or the operand; points into argv */
    int status;                     /**< with CW_ARG_STOP: what the command returns (0 after --help, else 2) */
};

/** Start the walk; argv[0] is skipped. */
void cw_args_init(struct cw_args *args, const struct cw_usage *usage, int argc, char **argv);

/** The next option's id, CW_ARG_OPERAND, CW_ARG_END, or CW_ARG_STOP after --help was printed or a
 * mistake was reported. */
int cw_args_next(struct cw_args *args);

/** Read the last option's value as a whole number within limits; reports and returns false if it is
 * none. */
bool cw_args_count(struct cw_args *args, long minimum, long maximum, long *number);

/** Report that the last option's value is none of the words known: "--by: expected WHAT, found 'x': did you
 * mean 'y'?" \param nearest NULL where none comes near. \return CW_BAD_USAGE */
int cw_bad_word(const struct cw_args *args, const char *what, const char *nearest);

/** Report "coilwright COMMAND: MESSAGE (see coilwright COMMAND --help)".
 * \return CW_BAD_USAGE */
int cw_bad_usage(const struct cw_usage *usage, const char *format, ...) CW_PRINTF(2, 3);

/** Print the help of a command on standard output. \return enum cw_status */
int cw_print_help(const struct cw_usage *usage);

#ifdef __cplusplus
}
#endif
#endif
