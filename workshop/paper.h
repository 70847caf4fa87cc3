/* SPDX-License-Identifier: ISC */
/** \file paper.h
 * Writing a text piece by piece into memory of a given size, counting what it would take.
 *
 * Threading class: pure functions, any thread; no allocation.
 */
#ifndef CW_PAPER_H
#define CW_PAPER_H

#include <stddef.h>

#include "attributes.h"

#ifdef __cplusplus
extern "C" {
#endif

/** A text under way. Begin with {text, size}: it ends in a zero from the first piece on, where there is room. */
struct cw_paper {
    char *text;
    size_t size;
    size_t length; /**< bytes of all pieces, also of those that found no room */
};

/** Add bytes. */
void cw_paper_put(struct cw_paper *paper, const char *bytes, size_t count);

/** Add what printf() would write, at most 511 bytes of it. */
void cw_paper_print(struct cw_paper *paper, const char *format, ...) CW_PRINTF(2, 3);

#ifdef __cplusplus
}
#endif
#endif
