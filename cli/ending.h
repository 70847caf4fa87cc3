/* SPDX-License-Identifier: ISC */
/** \file ending.h
 * What kind of file a name asks for.
 */
#ifndef CW_ENDING_H
#define CW_ENDING_H

#include <stdbool.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Does a name end so, in either case, with something before it? \param ending as in ".pdf" */
bool cw_ends_in(const char *name, const char *ending);

#ifdef __cplusplus
}
#endif
#endif
