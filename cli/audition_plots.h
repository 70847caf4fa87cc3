/* SPDX-License-Identifier: ISC */
/** \file audition_plots.h
 * The pictures of an audition.
 */
#ifndef CW_AUDITION_PLOTS_H
#define CW_AUDITION_PLOTS_H

#include <stdbool.h>

#include "sounds.h"
#include "folder.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Draw into the folder all candidates (response.svg, .png) and the two of each comparison; and, for the
 * page, what differs from the first candidate, so many to a picture as can be told apart. Reports and
 * returns false on failure. */
bool cw_audition_plots(struct cw_audition *audition, struct cw_folder *folder);

#ifdef __cplusplus
}
#endif
#endif
