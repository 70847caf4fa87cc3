/* SPDX-License-Identifier: ISC */
/** \file split_solve.h
 * Which split, and which parts, give a wanted level; and what that costs in tone and hum.
 *
 * Threading class: pure but for a measure by a recording (see take.h); no allocation, no
 * I/O; some milliseconds, so not for the audio thread.
 */
#ifndef CW_SPLIT_SOLVE_H
#define CW_SPLIT_SOLVE_H

#include <stdbool.h>

#include "series.h"
#include "setup.h"
#include "split_ear.h"
#include "split_kind.h"
#include "split_measure.h"

#ifdef __cplusplus
extern "C" {
#endif

enum {
    CW_SPLIT_ROOTS = 4,                                      /**< most solutions of one kind */
    CW_SPLIT_SOLUTIONS = 2 * CW_SPLIT_KINDS * CW_SPLIT_ROOTS /**< most in all */
};

/** A solution that comes this near to the wanted level, dB, counts as reaching it, and one that
 * comes this near to the wanted tone (dB or semitones) as meeting that. */
#define CW_SPLIT_REACHED_DB 0.05
#define CW_SPLIT_TONE_MET 0.25

/** Where a resistor and a capacitor do equal work: between the mains and the middle of the guitar's
 * range; and where a resistor begins to take the treble of the turns that it stands across: in the
 * middle of that range. Our own choice. */
#define CW_SPLIT_CORNER_HZ 200.0
#define CW_SPLIT_TAP_CORNER_HZ 1000.0

/** A second figure that is wanted beside the level. */
enum cw_tone_wish { CW_TONE_ANY, CW_TONE_BALANCE, CW_TONE_RESONANCE };

/** What is wanted. */
struct cw_split_wish {
    double level; /**< dB against the same setup unsplit */
    struct cw_measure measure;
    enum cw_tone_wish tone;
    double tone_value; /**< treble balance against unsplit, dB; or resonance, Hz */
    bool tone_at_most; /**< no brighter than that; less bright is as good */
    unsigned kinds;    /**< 1 << enum cw_split_by for each kind to look at */
    unsigned coils;    /**< 1 << enum cw_split_coil for each coil that may be reduced */
    enum cw_series resistors, capacitors;
    double mains; /**< Hz */
};

/** What a setup is like. Levels and balance are 0 for the same setup unsplit. */
struct cw_split_figures {
    double level;                     /**< dB against unsplit, by the measure of the wish */
    double balance;                   /**< treble balance under the strings (brightness.h), dB against unsplit */
    double balance_low, balance_high; /**< over strings and plucks */
    double balance_other;             /**< with the other coil reduced by the same parts */
    double resonance;                 /**< Hz; 0 where there is none */
    double split_resonance;           /**< of a split's capacitor with its coil, Hz; 0 where there is none */
    double peak_hz, peak_db; /**< what a sweep shows in the treble: where, and dB over the level at low frequency;
                                  0 Hz where flat */
    double hum, buzz;        /**< dB against one coil alone */
    double hole_db; /**< how far the response sinks below unsplit between two places where it sinks less by 3 dB
                        or more, dB, below 0; 0 where there is no such hole */
    double hole_hz; /**< there */
    double lift_db; /**< the most that any frequency from 80 Hz to 8 kHz rises over unsplit, dB */
    double lift_hz; /**< there */
};

/** One way to do it. */
struct cw_split_solution {
    enum cw_split_by by;
    enum cw_split_coil reduced;
    bool reached;                          /**< the wanted level, before rounding; else this is the nearest there is */
    bool tone_met;                         /**< the wanted tone, before rounding; true where none is wanted */
    struct cw_setup exact, rounded;        /**< rounded to preferred values, whole turns or whole percent */
    struct cw_split_figures before, after; /**< of exact and rounded */
    struct cw_split_ear ear;               /**< how far the rounded one sounds from unsplit */
    double turns_kept, turns;              /**< of the reduced coil after rounding; 0 for measured values */
};

/** Everything that was found. */
struct cw_split_answer {
    struct cw_setup full, plain; /**< unsplit; the coil that is to be reduced left out */
    struct cw_split_figures full_figures, plain_figures;
    struct cw_split_ear plain_ear;
    int count;
    struct cw_split_solution solution[CW_SPLIT_SOLUTIONS];
};

/** Solve for every kind and coil of the wish, with the controls and cable of the candidate as they
 * stand. Where a second figure is wanted, the best match stands first; else the one that sounds
 * nearest to unsplit (split_ear.h), those that reach the level before those that do not.
 *
 * One-part kinds give each of their solutions; a capacitor can have several. With two parts there
 * are many: of those that meet the second figure, or of all where none is wanted, that is given
 * whose parts have most nearly equal impedance at CW_SPLIT_CORNER_HZ (CW_SPLIT_TAP_CORNER_HZ where
 * the turns kept are one of them), so that both do some of the work.
 * \param candidate clean values, two coils in series, heard (its volume not closed) */
void cw_split_solve(const struct cw_setup *candidate, const struct cw_split_wish *wish, struct cw_split_answer *answer);

/** The order that cw_split_solve() gives, of solutions that were asked for a kind or a coil at a time; those that are
 * alike stay in the order of the kinds. \param count up to CW_SPLIT_SOLUTIONS */
void cw_split_rank(struct cw_split_solution *solution, int count, const struct cw_split_wish *wish);

/** The figures of one setup against the same unsplit, by the measure of the wish. */
void cw_split_figures_of(const struct cw_setup *setup, const struct cw_split_wish *wish,
                         struct cw_split_figures *figures);

/** Whether a kind of split has two parts to choose. */
bool cw_split_has_two_parts(enum cw_split_by by);

/** The frequency at which the two parts of a split setup have equal impedance, Hz: 1/(2 pi R C) of
 * resistor and capacitor, else that of the part with the turns that it stands across. Of a kind with
 * two parts only; infinite where no turns are kept. */
double cw_split_corner_hz(const struct cw_setup *setup);

/** What stands between a setup's figures and the wish: dB of level, and dB or semitones of tone
 * (0 where none is wanted, or where it is no brighter than allowed). */
double cw_split_level_error(const struct cw_split_wish *wish, const struct cw_split_figures *figures);
double cw_split_tone_error(const struct cw_split_wish *wish, const struct cw_split_figures *figures);

#ifdef __cplusplus
}
#endif
#endif
