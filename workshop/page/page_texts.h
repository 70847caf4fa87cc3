/* SPDX-License-Identifier: ISC */
/** \file page_texts.h
 * The listening page: its own files, inside the program. Each text is UTF-8 and ends in a zero.
 *
 * listen.html is a template: {{name}} stands where the program fills in. The scripts are one text,
 * which runs as it is in a browser.
 */
#ifndef CW_PAGE_TEXTS_H
#define CW_PAGE_TEXTS_H

#ifdef __cplusplus
extern "C" {
#endif

extern const unsigned char cw_listen_html[];
extern const unsigned char cw_listen_css[];
extern const unsigned char cw_listen_js[]; /**< engine.js, plot.js and listen.js */

#ifdef __cplusplus
}
#endif
#endif
