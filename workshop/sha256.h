/* SPDX-License-Identifier: ISC */
/** \file sha256.h
 * SHA-256 (FIPS 180-4, section 6.2): digests by which a recording, settings or a sealed key are known again.
 *
 * Threading class: pure functions, any thread; no allocation.
 */
#ifndef CW_SHA256_H
#define CW_SHA256_H

#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

enum { CW_SHA256_BYTES = 32, CW_SHA256_TEXT = 65 };

/** A digest under way. */
struct cw_sha256 {
    uint32_t h[8];
    uint64_t bytes;          /**< taken in so far; fewer than 2^61 */
    unsigned char block[64]; /**< what waits for the rest of its block */
};

void cw_sha256_start(struct cw_sha256 *sha);
void cw_sha256_add(struct cw_sha256 *sha, const void *bytes, size_t count);
void cw_sha256_finish(struct cw_sha256 *sha, unsigned char digest[CW_SHA256_BYTES]);

/** The digest of \p count bytes in one go. */
void cw_sha256(const void *bytes, size_t count, unsigned char digest[CW_SHA256_BYTES]);

/** 64 lower-case hexadecimal digits and a zero. \return text */
const char *cw_sha256_print(const unsigned char digest[CW_SHA256_BYTES], char text[CW_SHA256_TEXT]);

#ifdef __cplusplus
}
#endif
#endif
