/* SPDX-License-Identifier: ISC */
/** \file render.h
 * The audio of an audition: the recording through the plugin, in blocks, for every candidate.
 */
#ifndef CW_RENDER_H
#define CW_RENDER_H

#include <stdbool.h>

#include "setup.h"
#include "sounds.h"
#include "folder.h"
#include "host.h"

#ifdef __cplusplus
extern "C" {
#endif

/** What the plugin is set to for a sound: side A is heard, the recorded-through setup divided out. */
struct cw_controls cw_sound_controls(const struct cw_audition *audition, const struct cw_sound *sound);

/** Most that a page holds: seconds of a recording, and samples of all sounds together. */
enum { CW_PAGE_SECONDS = 60, CW_PAGE_SAMPLES = 48000000 };

/** Render everything into a directory: the recording through the plugin for each candidate, measured,
 * lowered and matched, into clips for the page and, where asked for, into files. Fills frames, rate, the
 * clips and the measured fields. Reports and returns false on
 * failure and when interrupted.
 * \param channel of the recording, 0 where it must be mono */
bool cw_audition_render(struct cw_audition *audition, struct cw_host *host, const char *di, int channel,
                        struct cw_folder *folder);

/** Render the test tone through every candidate and compare its level with what the circuit predicts.
 * \param tone file of the tone */
bool cw_audition_tone(struct cw_audition *audition, struct cw_host *host, const char *tone, struct cw_folder *folder);

#ifdef __cplusplus
}
#endif
#endif
