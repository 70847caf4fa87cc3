/* SPDX-License-Identifier: ISC */
/** \file audition_folder.h
 * The directory of an audition: the sound, plots, settings, figures and the page to listen.
 */
#ifndef CW_AUDITION_FOLDER_H
#define CW_AUDITION_FOLDER_H

#include <stdbool.h>

#include "folder.h"
#include "host.h"
#include "sounds.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Write the phrase of our own through the recorded-through setup, and the test tone, into the directory.
 * \param di, tone their paths, which the folder owns. Reports and returns false on failure */
bool cw_audition_write_demo(const struct cw_audition *audition, struct cw_folder *folder, const char **di,
                            const char **tone);

/** Fill the directory from a recording. Reports and returns false on failure and when interrupted.
 * \param channel    see cw_audition_render()
 * \param tone       file of the test tone, or NULL; one that does not sound as the circuit says is a failure
 * \param worst_tone with a tone: the largest difference there, dB */
bool cw_audition_fill(struct cw_audition *audition, struct cw_host *host, const char *di, int channel, const char *tone,
                      struct cw_folder *folder, double *worst_tone);

#ifdef __cplusplus
}
#endif
#endif
