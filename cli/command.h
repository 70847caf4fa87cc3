/* SPDX-License-Identifier: ISC */
/** \file command.h
 * The program's commands. Each is one file that defines `int cw_cmd_NAME(int argc, char **argv)` and
 * `const struct cw_usage *cw_usage_NAME(void)`, and one row of commands.def; see DEVELOPERS.md.
 *
 * Threading class: everything in cli/ runs in the program's main thread unless said.
 */
#ifndef CW_COMMAND_H
#define CW_COMMAND_H

#ifdef __cplusplus
extern "C" {
#endif

/** Exit statuses of the program and return values of a command. */
enum cw_status {
    CW_DONE = 0,     /**< the work is done */
    CW_FAILED = 1,   /**< the work failed: one line on standard error says why */
    CW_BAD_USAGE = 2 /**< the command line makes no sense: one line on standard error says why */
};

struct cw_usage;

/** One command. */
struct cw_command {
    const char *name;
    const char *who;                       /**< heading in the list of commands: for whom it is */
    const char *summary;                   /**< one line for the list of commands */
    int (*run)(int argc, char **argv);     /**< argv[0] is the command's name; returns enum cw_status */
    const struct cw_usage *(*usage)(void); /**< what it accepts; see options.h */
};

#define CW_COMMAND(name, who, summary)                                                                                 \
    int cw_cmd_##name(int argc, char **argv);                                                                          \
    const struct cw_usage *cw_usage_##name(void);
#include "commands.def"
#undef CW_COMMAND

/** All of them in the order of the list; the last has no name. */
extern const struct cw_command cw_commands[];

/** The command of that name; NULL if there is none. */
const struct cw_command *cw_command_find(const char *name);

/** Print the list of commands, by who uses them, on standard output. \return enum cw_status */
int cw_commands_print(void);

#ifdef __cplusplus
}
#endif
#endif
