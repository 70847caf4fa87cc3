/* SPDX-License-Identifier: ISC */
/** \file bytes.h
 * Bytes in memory that grow, for what is made as a file but goes into another.
 */
#ifndef CW_BYTES_H
#define CW_BYTES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Zeroed is empty. */
struct cw_bytes {
    unsigned char *data;
    size_t count, room;
};

/** Put \p count bytes at \p at, over what is there or beyond; a gap is filled with zeros.
 * \return false when out of memory, which is not reported */
bool cw_bytes_put(struct cw_bytes *bytes, size_t at, const void *from, size_t count);
void cw_bytes_free(struct cw_bytes *bytes);

/** Print as base64 (RFC 4648, section 4), in one line. */
void cw_base64_print(FILE *stream, const void *bytes, size_t count);

#ifdef __cplusplus
}
#endif
#endif
