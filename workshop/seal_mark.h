/* SPDX-License-Identifier: ISC */
/** \file seal_mark.h
 * The seal of a setup as a preset or a session carries it, in one line, by which a face tells whether the setup is
 * still the one that was sealed.
 *
 * `1 DIGEST FINGERPRINT REVISION`: number of the schema, cw_schema_digest() of the setup, fingerprint and revision of
 * its seal. Who edits setup and line both is not found out: that takes the seal itself, and its fingerprint on paper.
 *
 * Threading class: pure functions, any thread; no allocation. Expects the C locale's decimal point.
 */
#ifndef CW_SEAL_MARK_H
#define CW_SEAL_MARK_H

#include <stdbool.h>

#include "revision.h"
#include "setup.h"
#include "sha256.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Bytes of the longest, its zero included; a session keeps no longer one. */
enum { CW_SEAL_MARK_TEXT = 160 };

struct cw_seal_mark {
    char digest[CW_SHA256_TEXT], fingerprint[CW_SHA256_TEXT], revision[CW_REVISION_TEXT];
};

/** How a setup stands to its mark. */
enum cw_seal_standing {
    CW_SEAL_NONE,    /**< it has none */
    CW_SEAL_HOLDS,   /**< every control of the schema is as sealed */
    CW_SEAL_CHANGED, /**< one is not, or one that the schema does not know is no longer at its default */
    CW_SEAL_UNREAD   /**< no mark, or one of a later schema */
};

/** The mark of a setup that is sealed. \return text */
const char *cw_seal_mark_print(const struct cw_setup *setup, const char fingerprint[CW_SHA256_TEXT],
                               const char *revision, char text[CW_SEAL_MARK_TEXT]);

/** Judge a setup by its mark. \param mark what the text says; all empty where it cannot be read */
enum cw_seal_standing cw_seal_mark_judge(const char *text, const struct cw_setup *setup, struct cw_seal_mark *mark);

#ifdef __cplusplus
}
#endif
#endif
