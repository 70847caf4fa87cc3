/* SPDX-License-Identifier: ISC */
/** \file session_text.h
 * The words that travel with a session beside the controls: what A, B and the recording are called, the job, notes,
 * the seals.
 *
 * Threading class: pure functions, any thread; no allocation.
 */
#ifndef CW_SESSION_TEXT_H
#define CW_SESSION_TEXT_H

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

enum cw_session_text {
    CW_TEXT_RECORDED, /**< name of the recording; the names stand in the order of enum cw_which */
    CW_TEXT_A,
    CW_TEXT_B,
    CW_TEXT_JOB,
    CW_TEXT_NOTES,
    CW_TEXT_SEAL_RECORDED, /**< mark of the seal, seal_mark.h; in the same order as the names */
    CW_TEXT_SEAL_A,
    CW_TEXT_SEAL_B,
    CW_TEXTS
};

/** Bytes of the longest text, its zero included. */
enum { CW_TEXT_SIZE = 4096 };

/** Bytes that a text may take, its zero included. */
size_t cw_session_text_size(enum cw_session_text which);

/** What it is called in the saved state, behind the plugin's URI and '#'. Permanent. */
const char *cw_session_text_key(enum cw_session_text which);

/** Whether \p text can stand there: UTF-8 (RFC 3629) that fits, without control characters; line breaks and
 * tabs in the notes only. \param size bytes at \p text, its zero included */
bool cw_session_text_valid(enum cw_session_text which, const char *text, size_t size);

#ifdef __cplusplus
}
#endif
#endif
