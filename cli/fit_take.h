/* SPDX-License-Identifier: ISC */
/** \file fit_take.h
 * The takes of a fit, as the command line names them: a file, and behind @ how the controls stood.
 */
#ifndef CW_FIT_TAKE_H
#define CW_FIT_TAKE_H

#include <stdbool.h>

#include "fit_request.h"
#include "one_port.h"
#include "sha256.h"

#ifdef __cplusplus
extern "C" {
#endif

enum { CW_FIT_TAKE_PATH = 1024 };

/** A take that was read. Zeroed is empty. */
struct cw_fit_take {
    char path[CW_FIT_TAKE_PATH];
    bool leads;
    double volume, tone; /**< rotation; 5 for "half" */
    struct cw_one_port curve;
    char digest[CW_SHA256_TEXT];
};

/** Read FILE, FILE@tone=0, FILE@volume=half, FILE@volume=3,tone=0 or FILE@leads.
 * Reports and returns false on failure. */
bool cw_fit_take_read(const char *text, struct cw_fit_take *take);

/** Its parts: the file's name and how the controls stood; nothing is read. Reports and returns false on failure. */
bool cw_fit_take_name(const char *text, struct cw_fit_take *take);

/** Whether the curve has enough points within the span of a fit. Reports where it has not. */
bool cw_fit_take_usable(const struct cw_fit_take *take);

/** Do both hold one curve? One sweep under two names, or twice, would count as two. */
bool cw_fit_take_same(const struct cw_fit_take *a, const struct cw_fit_take *b);

/** "volume 10, tone 10", "at the leads". \return text */
const char *cw_fit_take_words(const struct cw_fit_take *take, char *text, size_t size);

void cw_fit_take_free(struct cw_fit_take *take);

#ifdef __cplusplus
}
#endif
#endif
