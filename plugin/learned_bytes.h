/* SPDX-License-Identifier: ISC */
/** \file learned_bytes.h
 * What was learned, as bytes that any machine reads alike: exact, least significant byte first.
 *
 * "CWL2", then as 32 bits each: bands, count, at; then for each band hz and spread as a 64-bit, and for each part the
 * power of each band as a 32-bit IEEE 754 number.
 *
 * Threading class: pure functions, any thread; no allocation.
 */
#ifndef CW_LEARNED_BYTES_H
#define CW_LEARNED_BYTES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "learn.h"
#include "loudness.h"

/** The most that it takes. */
enum { CW_LEARNED_BYTES = 16 + 16 * CW_LOUDNESS_BANDS + 4 * CW_LOUDNESS_BANDS * CW_LEARN_PARTS };

/** \return bytes written */
size_t cw_learned_to_bytes(const struct cw_learned *learned, uint8_t bytes[CW_LEARNED_BYTES]);

/** \return false where \p bytes are not that, or not cw_learned_valid(): \p learned is undefined then */
bool cw_learned_of_bytes(const void *bytes, size_t size, struct cw_learned *learned);

#endif
