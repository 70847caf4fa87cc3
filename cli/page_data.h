/* SPDX-License-Identifier: ISC */
/** \file page_data.h
 * What the page's script reads: names, gains and curves, as JSON.
 */
#ifndef CW_PAGE_DATA_H
#define CW_PAGE_DATA_H

#include <stdio.h>

#include "sounds.h"

#ifdef __cplusplus
extern "C" {
#endif

void cw_page_data_print(FILE *stream, const struct cw_audition *audition);

#ifdef __cplusplus
}
#endif
#endif
