/* SPDX-License-Identifier: ISC */
/** \file page_escape.h
 * Texts from elsewhere inside a page: nothing in them becomes markup or script.
 */
#ifndef CW_PAGE_ESCAPE_H
#define CW_PAGE_ESCAPE_H

#include <stdio.h>

#ifdef __cplusplus
extern "C" {
#endif

/** As text or in a quoted attribute of HTML. */
void cw_print_html(FILE *stream, const char *text);

/** As a string of JSON, quotes included, that may stand in a script element: no text can end it. */
void cw_print_json(FILE *stream, const char *text);

#ifdef __cplusplus
}
#endif
#endif
