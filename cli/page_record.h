/* SPDX-License-Identifier: ISC */
/** \file page_record.h
 * What a page was made from: program, recording, what was undone, digests.
 */
#ifndef CW_PAGE_RECORD_H
#define CW_PAGE_RECORD_H

#include <stdio.h>

#include "sounds.h"

#ifdef __cplusplus
extern "C" {
#endif

/** \param frames how many of the recording's samples the page holds
 * \param sound  how it holds its sound, as HTML */
void cw_page_record_print(FILE *stream, const struct cw_audition *audition, long long frames, const char *sound);

#ifdef __cplusplus
}
#endif
#endif
