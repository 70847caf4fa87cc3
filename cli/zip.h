/* SPDX-License-Identifier: ISC */
/** \file zip.h
 * One file in a ZIP archive, stored as it is (APPNOTE.TXT 6.3, PKWARE): what is in a page does not shrink, but some
 * mail gateways strip pages and let archives through.
 */
#ifndef CW_ZIP_H
#define CW_ZIP_H

#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#ifdef __cplusplus
extern "C" {
#endif

/** CRC-32 (ISO 3309) of some bytes. */
uint32_t cw_crc32(const void *bytes, size_t count);

/** Print an archive that holds \p count bytes, fewer than 2^32, under a name; without a date. */
void cw_zip_print(FILE *stream, const char *name, const void *bytes, size_t count);

#ifdef __cplusplus
}
#endif
#endif
