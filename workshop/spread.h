/* SPDX-License-Identifier: ISC */
/** \file spread.h
 * What scatter of winding and parts does to a design: pickups drawn at random as they would be made, each with its
 * whole network solved; and the same by first order and at worst.
 *
 * How a coil's values follow turns, packing and wire is a surface of second order in logarithms, laid once through
 * the coil's model; a coil that is known by its values alone is moved as the winding of the parameter table's
 * defaults would be. What follows, the network and its figures, is worked out anew for each draw.
 *
 * Threading class: pure functions, any thread; no allocation.
 */
#ifndef CW_SPREAD_H
#define CW_SPREAD_H

#include <stddef.h>
#include <stdint.h>

#include "coil.h"
#include "core.h"
#include "scatter.h"
#include "setup.h"
#include "transfer.h"

#ifdef __cplusplus
extern "C" {
#endif

/** What varies by itself: a cause may do so in several places. */
enum cw_vary {
    CW_VARY_WIRE,
    CW_VARY_TURNS_ONE,
    CW_VARY_TURNS_TWO,
    CW_VARY_PACKING_ONE,
    CW_VARY_PACKING_TWO,
    CW_VARY_CORE,
    CW_VARY_MAGNET,
    CW_VARY_VOLUME_POT,
    CW_VARY_TONE_POT,
    CW_VARY_TONE_CAP,
    CW_VARY_BLEED_CAP,
    CW_VARY_SPLIT_CAPACITOR,
    CW_VARY_SPLIT_RESISTOR,
    CW_VARY_BLEED_RESISTOR,
    CW_VARY_CABLE,
    CW_VARY_INPUT,
    CW_VARY_TEMPERATURE,
    CW_VARIES
};

/** The cause behind it. */
enum cw_scatter_id cw_vary_cause(enum cw_vary vary);

/** How far each is off, in half widths of its cause. */
struct cw_deviation {
    double of[CW_VARIES];
};

/** Values of a coil that a surface gives. */
enum { CW_SURFACE_VALUES = 6 + 2 * CW_BRANCHES };

/** Logarithm of each value over the nominal one, by logarithms of turns and packing. */
struct cw_surface {
    double turns[CW_SURFACE_VALUES], packing[CW_SURFACE_VALUES], turns2[CW_SURFACE_VALUES], packing2[CW_SURFACE_VALUES],
        both[CW_SURFACE_VALUES];
};

/** A design, ready to be drawn from. */
struct cw_spread {
    struct cw_setup setup;
    struct cw_scatter scatter;
    struct cw_pickup nominal;
    struct cw_transfer response; /**< of the nominal design */
    struct cw_surface surface[2];
    double bare_share; /**< bare over overall diameter of the wire */
};

/** \param setup clean values */
void cw_spread_start(struct cw_spread *spread, const struct cw_setup *setup, const struct cw_scatter *scatter);

/** The deviations of draw \p number: the same for every design and any number of threads. */
void cw_spread_draw(uint64_t seed, uint64_t number, struct cw_deviation *deviation);

/** A second pickup in the guitar of the first: what is not of the coil is off alike. \param other 1, 2 ...: which */
void cw_spread_draw_other(uint64_t seed, uint64_t number, uint32_t other, const struct cw_deviation *first,
                          struct cw_deviation *second);

/** Put a pickup together that is off by so much: its setup, where parts moved, and its coils. */
void cw_spread_make(const struct cw_spread *spread, const struct cw_deviation *deviation, struct cw_setup *setup,
                    struct cw_pickup *pickup);

/** What is looked at. */
enum cw_spread_figure {
    CW_SPREAD_RESISTANCE, /**< ohm at the leads, at the temperature that the coil has */
    CW_SPREAD_INDUCTANCE, /**< henry at the leads, 120 Hz */
    CW_SPREAD_RESONANCE,  /**< hertz, loaded; 0 where there is none */
    CW_SPREAD_LEVEL,      /**< dB, weighted loudness against the nominal design */
    CW_SPREAD_FILL,       /**< share of the former's window; 0 for a coil known by values */
    CW_SPREAD_FIGURES
};

/** The figures of a pickup that is off by so much. \param response its network's; may be NULL */
void cw_spread_figures(const struct cw_spread *spread, const struct cw_deviation *deviation,
                       double figure[CW_SPREAD_FIGURES], struct cw_transfer *response);

/** A figure without draws. */
struct cw_spread_estimate {
    double nominal;
    double worst_low, worst_high; /**< every cause at the end that hurts most */
    double standard;              /**< root of the sum of squares */
    double share[CW_SCATTERS];    /**< of the variance, by cause; they add up to 1, or to 0 where nothing varies */
};

void cw_spread_estimate(const struct cw_spread *spread, enum cw_spread_figure figure,
                        struct cw_spread_estimate *estimate);

/** A figure by draws. */
struct cw_spread_found {
    double mean, standard;
    double low, middle, high; /**< 2.5, 50 and 97.5 % */
    double most;              /**< 95 % are below */
};

/** \param values are put into order \param count 1 or more */
struct cw_spread_found cw_spread_found_of(double *values, size_t count);

#ifdef __cplusplus
}
#endif
#endif
