/* SPDX-License-Identifier: ISC */
/** \file pages.h
 * The pages of controls of a setup: which stand on which, and only those that do something, or
 * will once another control of the page is turned up or on.
 *
 * Threading class: pure functions, any thread.
 */
#ifndef CW_PAGES_H
#define CW_PAGES_H

#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

enum cw_page {
    CW_PAGE_COIL,
    CW_PAGE_CORE, /**< of measured values: what the core takes away */
    CW_PAGE_WINDING,
    CW_PAGE_FORMER, /**< dimensions of the former, calibration */
    CW_PAGE_SPLIT,
    CW_PAGE_CONTROLS,
    CW_PAGE_CABLE,  /**< cable and input; where the coils stand under the string */
    CW_PAGE_OUTPUT, /**< what is common to all setups */
    CW_PAGES
};

/** Most controls of a page. */
enum { CW_PAGE_MOST = 12 };

extern const char *const cw_page_name[CW_PAGES];

/** Whether the page holds anything that does something in this setup. */
bool cw_page_applies(enum cw_page page, const struct cw_setup *setup);

/** The control inputs on a page that have their place in this setup, in order. \return their number */
int cw_page_ports(enum cw_page page, enum cw_which which, const struct cw_setup *setup, int port[CW_PAGE_MOST]);

#ifdef __cplusplus
}
#endif
#endif
