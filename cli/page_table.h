/* SPDX-License-Identifier: ISC */
/** \file page_table.h
 * The page's table of figures.
 */
#ifndef CW_PAGE_TABLE_H
#define CW_PAGE_TABLE_H

#include <stdio.h>

#include "sounds.h"

#ifdef __cplusplus
extern "C" {
#endif

void cw_page_table_print(FILE *stream, const struct cw_audition *audition);

#ifdef __cplusplus
}
#endif
#endif
