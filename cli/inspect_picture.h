/* SPDX-License-Identifier: ISC */
/** \file inspect_picture.h
 * A batch as charts, and its report on paper.
 */
#ifndef CW_INSPECT_PICTURE_H
#define CW_INSPECT_PICTURE_H

#include <stdbool.h>

#include "inspected.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Whether there are two readings of a kind at least, as a chart takes. Reports where not; \p path is only named. */
bool cw_inspected_drawable(const struct cw_inspected *batch, const char *path);

/** Individuals and moving ranges of each reading, as SVG, PNG or PDF, of what is drawable. Reports and returns false on
 * failure. */
bool cw_inspected_plot(const struct cw_inspected *batch, const char *path, bool force);

/** The report as PDF, its charts behind it. \param text of the report. Reports and returns false on failure. */
bool cw_inspected_paper(const struct cw_inspected *batch, const char *text, const char *path, bool force);

#ifdef __cplusplus
}
#endif
#endif
