/* SPDX-License-Identifier: ISC */
/** \file wind_search.h
 * Windable specs that come near a target: every choice of wire, former, core, magnet, potting, cover and split, with
 * the turns solved for each.
 *
 * How near is told by audible.h: the largest difference of level over auditory bands, in times just noticeable; a
 * wish counts in like manner, each by what is just noticed of it, and the largest of all decides. With more turns a
 * pickup gets darker, so that the difference that counts is least where the brightest and the darkest band miss by as
 * much: the turns are bisected for that (the equal ripple of minimax fits) and then tried one by one around it.
 *
 * Threading class: pure functions, any thread; no allocation. A search is read by any number of threads at once.
 */
#ifndef CW_WIND_SEARCH_H
#define CW_WIND_SEARCH_H

#include <stdbool.h>
#include <stddef.h>

#include "audible.h"
#include "band_grid.h"
#include "known.h"
#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

/** What is chosen from a list. The magnet comes last: where it stands under the coil it changes no more than the
 * level. */
enum cw_wind_axis_id {
    CW_AXIS_COILS,
    CW_AXIS_SPLIT,
    CW_AXIS_SPLIT_BY,
    CW_AXIS_FORMER,
    CW_AXIS_CORE,
    CW_AXIS_COVER,
    CW_AXIS_GAUGE,
    CW_AXIS_INSULATION,
    CW_AXIS_POTTING,
    CW_AXIS_MAGNET,
    CW_AXES
};

/** The parameter that an axis is of. */
enum cw_param_id cw_wind_axis_param(enum cw_wind_axis_id axis);

/** Most values of an axis: those of the longest list. */
enum { CW_AXIS_MOST = 32 };

/** The values that are tried. */
struct cw_wind_axis {
    double value[CW_AXIS_MOST];
    int count;
};

/** Figures that may be wished for. */
enum cw_wish_id {
    CW_WISH_RESONANCE,  /**< hertz, loaded: the least damped pair of poles */
    CW_WISH_PEAK,       /**< dB of the loaded peak over the level at low frequency */
    CW_WISH_LEVEL,      /**< dB below 630 Hz against the target; without one, against the reference coil's EMF */
    CW_WISH_RESISTANCE, /**< ohm at the leads, 20 degrees C */
    CW_WISHES
};

/** What of a figure is as much as a just noticed difference: of resonance and resistance a share, else dB. 5 % of
 * resonance is J.-P. Gagne and P. M. Zurek's 0.079/sqrt(Q) (JASA 83, 1988; abstract read) for Q 2.5; 1 dB of level is
 * from memory; 5 % of resistance is our own choice. */
extern const double cw_wish_step[CW_WISHES];

/** What is sought. */
struct cw_wind_target {
    bool has_bands;
    double level[CW_AUDIBLE_BANDS]; /**< of the target's response, dB; meaningful where has_bands */
    bool wished[CW_WISHES];
    double wish[CW_WISHES];
};

/** A search. */
struct cw_wind_search {
    struct cw_setup base;  /**< everything that no axis changes: calibration, former's measures, controls, cable */
    struct cw_known known; /**< what the readings behind the base's calibration leave open */
    struct cw_wind_axis axis[CW_AXES];
    double turns_low, turns_high;   /**< of coil one */
    double second_low, second_high; /**< turns of coil two, % of coil one's */
    struct cw_wind_target target;
    struct cw_band_grid grid;
};

/** Begin with all that is usual: every value of every list, but for coils, split and its kind, which stay as the
 * base has them, as do the turns of coil two against coil one; of covers those that are not by values. Of a base that
 * is calibrated on a coil (see calibrate.h) only wire and turns vary: its factors were found with that former and
 * core.
 * \param base clean values; coil_from is taken for a winding */
void cw_wind_search_init(struct cw_wind_search *search, const struct cw_setup *base);

/** Whether factors of a setup were found on a real coil. */
bool cw_wind_is_calibrated(const struct cw_setup *setup);

/** Bands of a setup that is to be met. */
void cw_wind_target_bands(struct cw_wind_target *target, const struct cw_setup *setup);

/** How many combinations of choices there are. */
size_t cw_wind_kinds(const struct cw_wind_search *search);

/** The setup of one combination; turns are the base's. */
void cw_wind_kind(const struct cw_wind_search *search, size_t kind, struct cw_setup *setup);

/** Most turns of coil one that both coils of a setup have room for, within the search's limits; below turns_low
 * where there are none. */
double cw_wind_room(const struct cw_wind_search *search, const struct cw_setup *setup);

/** What was found of one combination. */
struct cw_wind_found {
    size_t kind;
    double turns, second; /**< of coil one, a whole number; of coil two, % */
    double times;         /**< the largest miss in times just noticeable; HUGE_VAL where nothing fits */
    double off_level;     /**< dB below 630 Hz against the target, or the wish; decides between equals */
};

/** How far a setup is from the target, by the search's own grid.
 * \param tilt the brightest miss less the darkest, times just noticeable; may be NULL */
double cw_wind_miss(const struct cw_wind_search *search, const struct cw_setup *setup, double *off_level, double *tilt);

/** Solve the turns of one combination, coil two's being as near to coil one's as they may. One whose magnet changes the
 * level alone is solved once for all its magnets, and has the one whose level comes nearest. \return false where
 * nothing of it fits the former's room, or another stands for it */
bool cw_wind_solve(const struct cw_wind_search *search, size_t kind, struct cw_wind_found *found);

/** Try the turns around what was found, down to single ones, and coil two's against coil one's within their limits. */
void cw_wind_polish(const struct cw_wind_search *search, struct cw_wind_found *found);

/** The setup that was found. */
void cw_wind_setup(const struct cw_wind_search *search, const struct cw_wind_found *found, struct cw_setup *setup);

/** By how much the response of a setup may be off by what its winding's model is uncertain about, two standard
 * deviations: dB in the band that moves most, each value moved by itself and the moves added as squares. */
double cw_wind_uncertainty(const struct cw_setup *setup, const struct cw_known *known);

/** The figures that wishes are for; level against the reference coil's EMF. */
void cw_wind_figures(const struct cw_setup *setup, double figure[CW_WISHES]);

#ifdef __cplusplus
}
#endif
#endif
