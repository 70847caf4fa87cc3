/* SPDX-License-Identifier: ISC */
/** \file deaf_host.h
 * A host of the window that hears nothing of what is moved in it.
 */
#ifndef TEST_DEAF_HOST_H
#define TEST_DEAF_HOST_H

#include "view_state.h"

extern const struct cw_view_host deaf_host;

#endif
