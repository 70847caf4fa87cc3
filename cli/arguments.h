/* SPDX-License-Identifier: ISC */
/** \file arguments.h
 * What the command lines of several commands have in common: FILE... and --set SYMBOL=VALUE.
 */
#ifndef CW_ARGUMENTS_H
#define CW_ARGUMENTS_H

#include <stdbool.h>
#include <stddef.h>

#include "edits.h"
#include "options.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Act on the option that was just met.
 * \param request what the command was asked for, as given to cw_args_read()
 * \return false after reporting what is wrong with it */
typedef bool cw_option_taker(struct cw_args *args, int id, void *request);

/** Walk over a whole command line.
 * \param take is called for each option
 * \param operands room for argc pointers; operands go there in their order, wherever they stand
 * \param count their number, counted up from what it is
 * \return -1 to go on, else the exit status: what is wrong was reported, or the help printed */
int cw_args_read(const struct cw_usage *usage, int argc, char **argv, cw_option_taker *take, void *request,
                 char **operands, size_t *count);

/** What is done with the operands of a command line that was read. \return exit status */
typedef int cw_operands_runner(void *request, char *const *operands, size_t count);

/** Walk over a whole command line, and do the work. \return exit status */
int cw_args_run(const struct cw_usage *usage, int argc, char **argv, cw_option_taker *take, cw_operands_runner *run,
                void *request);

/** Take the value of --set. Reports and returns false if it is no SYMBOL=VALUE, or names a global
 * control that would do nothing in this command.
 * \param globals those that act: 1u << CW_G_MAINS and the like */
bool cw_args_edit(const struct cw_args *args, struct cw_edits *edits, unsigned globals);

#ifdef __cplusplus
}
#endif
#endif
