/* SPDX-License-Identifier: ISC */
/** \file audition.h
 * What an audition holds: one recording, the sounds made of it, and how to compare them.
 */
#ifndef CW_AUDITION_H
#define CW_AUDITION_H

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

#include "candidate.h"
#include "folder.h"
#include "host.h"
#include "level.h"
#include "voice.h"

#ifdef __cplusplus
extern "C" {
#endif

/** One thing to hear. */
struct cw_sound {
    char *label;
    char *comment;           /**< or NULL */
    char *name;              /**< of its files: "03-long-cable" */
    struct cw_setup setup;   /**< of a candidate; of the signal as recorded: what is divided out */
    double boost_limit;      /**< dB */
    struct cw_levels levels; /**< as rendered, before any gain below */
    double matched_gain;     /**< dB that make it as loud as the others, 0 or less */
    bool has_figures;
    struct cw_figures figures; /**< read from the plugin */
    bool has_tone;
    double tone_level, tone_predicted; /**< dB against the test tone at the input */
};

/** Two sounds that a comparison file sets against one another. */
struct cw_pair {
    char *label;
    char *comment; /**< or NULL */
    size_t a, b;   /**< indices of sounds */
};

/** All of it. Sound 0 is the signal as recorded. */
struct cw_audition {
    const char *title;
    int rate;
    long long frames;
    bool is_float;     /**< format of the files that are written */
    bool has_recorded; /**< a recorded-through setup is divided out */
    char *recorded_label;
    char *recorded_source; /**< the file that names it */
    struct cw_sound *sound;
    size_t count;
    struct cw_pair *pair;
    size_t pairs;
    bool by_loudness;       /**< matched by loudness; else by plain mean power */
    double true_lowered;    /**< dB, 0 or less: the whole true-level set, so that none clips */
    double matched_lowered; /**< dB, 0 or less: the same for the level-matched set */
};

/** What an audition is made of, as named on the command line. */
struct cw_sources {
    char *const *file; /**< of candidates and comparisons */
    size_t count;
    const char *recorded; /**< file of the recorded-through setup, or NULL: then the one that the files
                               themselves set is used, and none where they set none */
    struct cw_edits edits;
};

/** Fill sounds, pairs and the recorded-through setup from files. A side of a comparison that equals
 * an earlier candidate is that candidate.
 * \return an enum cw_status; what is wrong is reported */
int cw_audition_load(struct cw_audition *audition, const struct cw_sources *sources);
void cw_audition_free(struct cw_audition *audition);

/** Names of the directories of an audition. */
#define CW_DIR_TRUE "true-level"
#define CW_DIR_MATCHED "level-matched"
#define CW_DIR_SETTINGS "settings"
#define CW_DIR_TONE "tone"
#define CW_DIR_PLOTS "plots"

/** Render everything into a directory: the recording through the plugin for each candidate, measured,
 * lowered and matched. Fills frames, rate and the measured fields. Reports and returns false on
 * failure and when interrupted.
 * \param channel of the recording, 0 where it must be mono */
bool cw_audition_render(struct cw_audition *audition, struct cw_host *host, const char *di, int channel,
                        struct cw_folder *folder);

/** Render the test tone through every candidate and compare its level with what the circuit predicts.
 * \param tone file of the tone */
bool cw_audition_tone(struct cw_audition *audition, struct cw_host *host, const char *tone, struct cw_folder *folder);

/** The table of figures as CSV: one row for each sound. */
void cw_results_write(FILE *stream, const struct cw_audition *audition);

/** The page that plays and compares: one HTML file that needs the audio and the plot beside it. */
void cw_page_write(FILE *stream, const struct cw_audition *audition);

#ifdef __cplusplus
}
#endif
#endif
