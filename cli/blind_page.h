/* SPDX-License-Identifier: ISC */
/** \file blind_page.h
 * A letter without names as one HTML file.
 */
#ifndef CW_BLIND_PAGE_H
#define CW_BLIND_PAGE_H

#include <stdio.h>

#include "blind_render.h"
#include "letter.h"
#include "sha256.h"

#ifdef __cplusplus
extern "C" {
#endif

/** What the page may know: nothing in it depends on which candidate is which. */
struct cw_letter_page {
    const struct cw_letter *letter;
    const struct cw_letter_clips *clips;
    double seconds; /**< of each clip */
    int rate;       /**< Hz */
    char commitment[CW_SHA256_TEXT];
};

void cw_letter_page_write(FILE *stream, const struct cw_letter_page *page);

#ifdef __cplusplus
}
#endif
#endif
