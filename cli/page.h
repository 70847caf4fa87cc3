/* SPDX-License-Identifier: ISC */
/** \file page.h
 * The page that plays and compares: one HTML file that needs nothing beside it.
 */
#ifndef CW_PAGE_H
#define CW_PAGE_H

#include <stdio.h>

#include "sounds.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Write the page; what it is made of is in workshop/page/. */
void cw_page_write(FILE *stream, const struct cw_audition *audition);

#ifdef __cplusplus
}
#endif
#endif
