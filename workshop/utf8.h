/* SPDX-License-Identifier: ISC */
/** \file utf8.h
 * Characters of more than one byte.
 *
 * Threading class: pure functions, any thread; no allocation.
 */
#ifndef CW_UTF8_H
#define CW_UTF8_H

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Length of the UTF-8 sequence at \p text, bytes; 0 where it is none (RFC 3629). */
size_t cw_utf8_length(const char *text);

#ifdef __cplusplus
}
#endif
#endif
