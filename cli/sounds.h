/* SPDX-License-Identifier: ISC */
/** \file sounds.h
 * What an audition holds: one recording, the sounds made of it, and how to compare them.
 */
#ifndef CW_SOUNDS_H
#define CW_SOUNDS_H

#include <stdbool.h>
#include <stddef.h>

#include "audible.h"
#include "bytes.h"
#include "take_check.h"
#include "figures.h"
#include "known.h"
#include "level.h"
#include "recorded_loss.h"
#include "setup.h"
#include "sha256.h"
#include "slope.h"

#ifdef __cplusplus
extern "C" {
#endif

/** One thing to hear. */
struct cw_sound {
    char *label;
    char *comment;           /**< or NULL */
    char *name;              /**< of its files: "03-long-cable" */
    struct cw_setup setup;   /**< of a candidate; of the signal as recorded: what is divided out */
    struct cw_known known;   /**< what the readings behind its coil leave open */
    double boost_limit;      /**< dB */
    double mains;            /**< Hz, for which hum is told */
    bool places;             /**< each coil is heard in its own place on the string */
    struct cw_levels levels; /**< as rendered, before any gain below */
    double matched_gain;     /**< dB that make it as loud as the others, 0 or less */
    bool has_figures;
    struct cw_figures figures; /**< read from the plugin */
    bool has_apart;            /**< a candidate, and not the first one */
    struct cw_audible apart;   /**< how far it is from the first one by ear */
    bool has_tone;
    double tone_level, tone_predicted; /**< dB against the test tone at the input */
    struct cw_bytes clip;              /**< what the page plays: FLAC, at true level */
    char digest[CW_SHA256_TEXT];       /**< SHA-256 of the settings; of sound 0: of the recording's file */
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
    bool files;        /**< sound files are written beside the page */
    bool is_float;     /**< format of the files that are written */
    bool has_recorded; /**< a recorded-through setup is divided out */
    char *recorded_label;
    char *recorded_source; /**< the file that names it */
    struct cw_sound *sound;
    size_t count;
    struct cw_pair *pair;
    size_t pairs;
    bool by_loudness;           /**< matched by loudness; else by plain mean power */
    double true_lowered;        /**< dB, 0 or less: the whole true-level set, so that none clips */
    double matched_lowered;     /**< dB, 0 or less: the same for the level-matched set */
    double page_lowered;        /**< dB, 0 or less: the same for the clips in the page */
    long long page_frames;      /**< how many of the recording the page holds, from its start */
    struct cw_take_check check; /**< of the recording */
    int bits;                   /**< of its samples; 0 for float */
    struct cw_bytes *picture;   /**< PNG, of the page: differences to the first candidate */
    size_t pictures;
};

/** Names of the directories of an audition. */
#define CW_DIR_TRUE "true-level"
#define CW_DIR_MATCHED "level-matched"
#define CW_DIR_SETTINGS "settings"
#define CW_DIR_TONE "tone"
#define CW_DIR_PLOTS "plots"

/** Free what a sound holds. */
void cw_sound_free(struct cw_sound *sound);

/** Free all that an audition holds; harmless on a zeroed one. */
void cw_audition_free(struct cw_audition *audition);

/** Whether the true level of a sound follows from its winding; else from its inductance. */
bool cw_sound_is_wound(const struct cw_sound *sound);

/** On how many footings the true levels of the candidates stand: 2 where some follow from windings and some
 * from inductances, else 1. */
int cw_audition_footings(const struct cw_audition *audition);

/** What a recording made through both coils has lost, where the coils' places are heard.
 * \return false where there is nothing to say */
bool cw_audition_loss(const struct cw_audition *audition, char text[CW_LOSS_TEXT]);

/** What the coils' places add to a sound where what the recording went through is divided out.
 * \param rate Hz \return false where they add nothing */
bool cw_sound_slope(const struct cw_audition *audition, const struct cw_sound *sound, double rate,
                    struct cw_slope *slope);

#ifdef __cplusplus
}
#endif
#endif
