/* SPDX-License-Identifier: ISC */
/** \file coil.h
 * From a setup to the electrical values of its coils, in SI units.
 *
 * The values come from measurements at the leads (coil_from = 0) or are worked out from the winding
 * (coil_from = 1); docs/model.md has the formulas with their sources.
 *
 * Threading class: pure functions, any thread, audio included; bounded time.
 */
#ifndef CW_COIL_H
#define CW_COIL_H

#include <stdbool.h>

#include "core.h"
#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

/** One coil: in series its EMF, its resistance and its inductor; the loss resistor across the
 * inductor; the capacitance across the whole. The inductor is, in series, the inductance that does not
 * lose and the branches. */
struct cw_coil {
    double emf;         /**< over the EMF of the reference coil, times the sensitivity */
    double resistance;  /**< ohm, DC at 20 degrees C */
    double inductance;  /**< henry, the part that does not lose; it alone carries mutual inductance */
    double capacitance; /**< farad */
    double loss;        /**< ohm, across the whole inductor (not the branches alone); 0: there is none */
    struct cw_branch branch[CW_BRANCHES]; /**< in any order */
    double
        tail; /**< henry second, of struct cw_inductor: a conductance across the inductor, of coupled coils the matrix
                   L^-1 tail L^-1, L of the parts that do not lose: the core of a coil sees that coil's flux alone */
};

/** A pickup before any split: one coil, or two that are coupled.
 *
 * Passive where mutual^2 is below the product of the coils' \c inductance, which cw_coil_mutual() sees to. */
struct cw_pickup {
    enum cw_coils coils;
    struct cw_coil coil[2]; /**< coil one (hot side), coil two; coil two is all zero where there is one */
    double mutual;          /**< henry, series-aiding, between the parts that do not lose */
    bool constant_emf;      /**< the EMF does not fall with the core's inductance: for tests. Usually false:
                                 the string's flux passes the core that the coil's own passes */
    double fill;            /**< share of the former's window that the turns of the fuller coil ask for;
                                 0 for measured values */
    double turns;           /**< turns of coil one after the clamp to the former; 0 for measured values */
};

/** Frequency, Hz, at which bench meters give the inductance of cored coils. */
#define CW_BENCH_HZ 120.0

/** Inductance of a coil at 0 Hz, henry: of all its parts. */
double cw_coil_inductance_dc(const struct cw_coil *coil);

/** Inductance of a coil at \p hz, henry: the real part of that of its inductor, without tail, resistor and
 * capacitance across it. */
double cw_coil_inductance_at(const struct cw_coil *coil, double hz);

/** Conductance across the inductor that stands for the tail of a coil that couples with no other, siemens. */
double cw_coil_tail_conductance(const struct cw_coil *coil);

/** Resistance across the inductor that costs as much at \p hz as its branches, tail and resistor together, ohm;
 * INFINITY where nothing does. */
double cw_coil_loss_at(const struct cw_coil *coil, double hz);

/** Mutual inductance, henry, of two coils with the coupling factor \p coupling, which is against their
 * inductances at 0 Hz; not more than 0.9 of what the parts that do not lose can carry. */
double cw_coil_mutual(const struct cw_coil *one, const struct cw_coil *two, double coupling);

/** Work out the coils of a setup whose values are clean (see cw_param_clean()).
 *
 * The reference coil, against which the EMF is given, is the winding of the parameter table's defaults
 * alone: 5000 turns of AWG 42, steel slugs, a bar of alnico 5. A coil that is known by its values alone
 * is taken to have its EMF times the square root of its inductance over that one's: EMF goes as the turns,
 * inductance as their square (common practice, no source). */
void cw_coil_solve(const struct cw_setup *setup, struct cw_pickup *pickup);

/** A former: the winding window is a racetrack, two straights joined by half circles. Metre. */
struct cw_former_size {
    double straight;     /**< length of the straight part */
    double inner_radius; /**< of the innermost turn's half circle: half the inner width */
    double height;       /**< between the flanges */
    double build;        /**< depth of the window: the most that the winding may build up */
};

/** The formers of the list, generic: common practice, no source. */
extern const struct cw_former_size cw_former_info[CW_FORMERS];

/** The former of a setup, its dimensions changed as the setup says. */
struct cw_former_size cw_coil_former(const struct cw_setup *setup);

/** How one coil lies on its former. */
struct cw_winding {
    double asked;       /**< turns asked for */
    double fits;        /**< most turns that the window takes, a whole number */
    double turns;       /**< turns that are there: the smaller of the two */
    double fill;        /**< share of the window that the turns asked for need */
    double build;       /**< depth of the winding, metre */
    double mean_turn;   /**< length of the mean turn, metre */
    double mean_area;   /**< area inside the mean turn, square metre */
    double layers;      /**< number of layers, if they lay in order; not a whole number */
    double wire_length; /**< metre */
};

/** The winding of coil one (0) or two (1) as the winding parameters have it, whatever coil_from says. */
void cw_coil_winding(const struct cw_setup *setup, int coil, struct cw_winding *winding);

/** Relative uncertainty of a coil's values: about two standard deviations; 0.08 is 8 %. */
struct cw_uncertainty {
    double resistance, inductance, capacitance, loss, emf;
};

/** What a winding's values are good for. A calibration factor other than 100 % is taken as found on
 * a real coil: then the wire's tolerance from spool to spool and what the variant changes remain.
 * All 0 for measured values. */
void cw_coil_uncertainty(const struct cw_setup *setup, struct cw_uncertainty *uncertainty);

/** The metal that a setup's cover is: none where there is no cover. */
struct cw_metal cw_coil_cover(const struct cw_setup *setup);

#ifdef __cplusplus
}
#endif
#endif
