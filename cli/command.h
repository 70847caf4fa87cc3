/* SPDX-License-Identifier: ISC */
/** \file command.h
 * The program's commands. Each is one file that defines `int cw_cmd_NAME(int argc, char **argv)`
 * and one row of commands.def; see DEVELOPERS.md.
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

/** One command. */
struct cw_command {
    const char *name;
    const char *summary;               /**< one line for the list of commands */
    int (*run)(int argc, char **argv); /**< argv[0] is the command's name; returns enum cw_status */
};

#define CW_COMMAND(name, summary) int cw_cmd_##name(int argc, char **argv);
#include "commands.def"
#undef CW_COMMAND

#ifdef __cplusplus
}
#endif
#endif
