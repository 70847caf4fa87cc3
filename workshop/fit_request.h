/* SPDX-License-Identifier: ISC */
/** \file fit_request.h
 * What is asked of a fit of a closed instrument (takes, marks, loads), and its answer.
 */
#ifndef CW_FIT_REQUEST_H
#define CW_FIT_REQUEST_H

#include <stdbool.h>

#include "instrument.h"
#include "one_port.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Most takes of one fit, points of a take that count, values that are searched. */
enum { CW_FIT_TAKES = 8, CW_FIT_POINTS = 400, CW_FIT_VALUES = 14 + 2 * CW_FIT_TAKES };

/** The span in which a curve is used, Hz. */
#define CW_FIT_LOW_HZ 40.0
#define CW_FIT_HIGH_HZ 20000.0

/** One curve and how the controls stood. Rotations of 0 and 10 are taken as the ends of the track; of any other it
 * is not asked what share of the track that is: the fit finds it. */
struct cw_instrument_take {
    const struct cw_one_port *curve;
    bool leads;          /**< taken at the pickup's own leads */
    double volume, tone; /**< rotation, 0..10; volume above 0 */
};

/** A part as it is marked. */
struct cw_marked {
    double value;     /**< SI units; of a tone capacitor 0: there is none */
    double tolerance; /**< two standard deviations, a share */
};

/** What is asked. */
struct cw_instrument_request {
    const struct cw_instrument_take *take;
    int takes;                              /**< 1 to CW_FIT_TAKES */
    struct cw_jack_load load[CW_FIT_TAKES]; /**< across the jack in each take; zeroed: nothing */
    struct cw_marked volume_pot, tone_pot, tone_cap;
    double bleed_cap, bleed_resistor; /**< farad and ohm, taken as they are */
    bool tone_after_volume;
    double dc_ohm;   /**< an ohmmeter's reading, volume and tone at 10; 0: none */
    double dc_error; /**< its two standard deviations, a share */
    bool dc_leads;   /**< read at the leads, not at the jack */
};

/** Forms of the pickup that are tried: a core with skin effect, one with little of it, one with both, one that loses
 * nothing; each without and with metal around it; each with a leak and without. The leak stands for what the loss of a
 * real pickup may differ from that of the form. */
enum { CW_FIT_FORMS = 16 };

/** One of them, fitted. */
struct cw_instrument_form {
    bool leak;
    double weight; /**< how likely it is against the others, 0..1 */
    int count;
    double at[CW_FIT_VALUES], covariance[CW_FIT_VALUES * CW_FIT_VALUES];
};

/** The answer. */
struct cw_instrument_fit {
    struct cw_instrument best; /**< the likeliest */
    bool metal;                /**< it has metal around it */
    struct cw_standing standing[CW_FIT_TAKES];
    double chi_square; /**< per degree of freedom, of the curves alone */
    int freedom;
    double chi_take[CW_FIT_TAKES];   /**< mean square of each take's residuals */
    double noise_take[CW_FIT_TAKES]; /**< each take's noise in the middle, a share of the voltage behind 100 kohm */
    double one_side;    /**< what is left of the curves in smooth terms, above noise and in its standard deviations */
    bool noise_guessed; /**< a curve does not state its errors: they are what its scatter shows */
    /* ---- */
    int likeliest, likeliest_leaky;            /**< form; of those with a leak */
    double noise[CW_FIT_TAKES][CW_FIT_POINTS]; /**< errors where none are stated, shares */
    struct cw_instrument_form form[CW_FIT_FORMS];
};

#ifdef __cplusplus
}
#endif
#endif
