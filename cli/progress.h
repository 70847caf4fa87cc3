/* SPDX-License-Identifier: ISC */
/** \file progress.h
 * A line on the terminal that shows how far long work has come; nothing where standard error is
 * no terminal.
 */
#ifndef CW_PROGRESS_H
#define CW_PROGRESS_H

#ifdef __cplusplus
extern "C" {
#endif

/** Show what is being done and how far it is, 0 to 1; cheap to call often. */
void cw_progress(const char *what, double share);

/** Wipe the line. To be called before any message. */
void cw_progress_end(void);

#ifdef __cplusplus
}
#endif
#endif
