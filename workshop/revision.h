/* SPDX-License-Identifier: ISC */
/** \file revision.h
 * Letters of revisions (ISO 7200; without I, O, Q, S, X and Z, common practice).
 *
 * Threading class: pure functions, any thread; no allocation.
 */
#ifndef CW_REVISION_H
#define CW_REVISION_H

#include <stdbool.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Bytes of a revision, its zero included. */
enum { CW_REVISION_TEXT = 4 };

/** Whether it is one or two of the letters. */
bool cw_revision_is(const char *revision);

/** The revision that follows: B after A, AA after Y. \return false after the last, YY */
bool cw_revision_next(const char *revision, char next[CW_REVISION_TEXT]);

#ifdef __cplusplus
}
#endif
#endif
