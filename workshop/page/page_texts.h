/* SPDX-License-Identifier: ISC */
/** \file page_texts.h
 * The pages' own files, inside the program. Each text is UTF-8 and ends in a zero.
 *
 * listen.html and letter.html are templates: {{name}} stands where the program fills in. The scripts are one text,
 * which runs as it is in a browser.
 */
#ifndef CW_PAGE_TEXTS_H
#define CW_PAGE_TEXTS_H

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

extern const unsigned char cw_listen_html[];
extern const unsigned char cw_listen_css[];
extern const unsigned char cw_listen_js[]; /**< common.js, clips.js, engine.js, plot.js and listen.js */

extern const unsigned char cw_letter_html[];
extern const unsigned char cw_letter_css[]; /**< listen.css and letter.css */
extern const unsigned char cw_letter_js[];  /**< common.js, clips.js, engine.js and letter.js */

extern const unsigned char cw_live_html[];
extern const unsigned char cw_live_css[];        /**< listen.css and live.css */
extern const unsigned char cw_live_js[];         /**< common.js, clips.js, engine.js, plot.js, core.js and live.js */
extern const unsigned char cw_live_worklet_js[]; /**< core.js and worklet.js */

extern const unsigned char cw_live_notices[]; /**< of what is compiled into the core */

/** The core as WebAssembly; no bytes where the build had no compiler for it. */
extern const unsigned char cw_live_wasm[];
extern const size_t cw_live_wasm_bytes;

#ifdef __cplusplus
}
#endif
#endif
