/* SPDX-License-Identifier: ISC */
/** \file instrument_fit.h
 * From impedance curves of one instrument, with its controls in several places, to its circuit: all curves together,
 * by least squares, with what is known beforehand of the parts.
 *
 * A curve counts by G = (Z - Z0)/(Z + Z0), Z0 the jig's series resistor: there the noise of a take is the same at
 * every impedance, and a fit is not drawn aside where it is large. What is known of a part is a reading of it.
 * Values that no take tells, and forms that real pickups take within the model's misfit, are left free and held by
 * wide expectations, so that what is told does not rest on the model's form.
 *
 * Threading class: pure functions that allocate; not the audio thread; some tenths of a second.
 */
#ifndef CW_INSTRUMENT_FIT_H
#define CW_INSTRUMENT_FIT_H

#include <stdbool.h>
#include <stddef.h>

#include "instrument.h"
#include "one_port.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Most takes of one fit, points of a take that count, values that are searched. */
enum { CW_FIT_TAKES = 8, CW_FIT_POINTS = 400, CW_FIT_VALUES = 13 + 2 * CW_FIT_TAKES };

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
    double
        one_side; /**< what is left of the curves in smooth terms, above noise alone and in its standard deviations */
    bool noise_guessed; /**< a curve does not state its errors: they are what its scatter shows */
    /* ---- */
    int likeliest, likeliest_leaky;            /**< form; of those with a leak */
    double noise[CW_FIT_TAKES][CW_FIT_POINTS]; /**< errors where none are stated, shares */
    struct cw_instrument_form form[CW_FIT_FORMS];
};

/** Fit. \return false where memory ran out, or no circuit of this kind comes anywhere near */
bool cw_instrument_fit_of(const struct cw_instrument_request *request, struct cw_instrument_fit *fit);

/** What is told of the instrument. */
enum cw_told_id {
    CW_TOLD_RESISTANCE, /**< ohm */
    CW_TOLD_L_120,      /**< henry at 120 Hz */
    CW_TOLD_L_3K,       /**< henry at 3 kHz */
    CW_TOLD_LOSS,       /**< ohm across the inductance at 3 kHz */
    CW_TOLD_CAPACITANCE,
    CW_TOLD_VOLUME_POT,
    CW_TOLD_TONE_POT,
    CW_TOLD_TONE_CAP,
    CW_TOLD
};

/** A figure with its 95 % interval, the model's own misfit in it. */
struct cw_told {
    double value, low, high; /**< high is INFINITY where there is no upper end; value too, of a loss that is none */
    bool marked_only;        /**< the interval is that of the mark or wider than it is of use: the takes do not tell */
    bool by_form;            /**< a bolder model would quote half the interval or less, by its form alone */
};

/** One of the figures. \return false where the instrument has no such part */
bool cw_instrument_told(const struct cw_instrument_request *request, const struct cw_instrument_fit *fit,
                        enum cw_told_id id, struct cw_told *told);

/** Response in dB at a frequency with volume and tone at 10, or of the pickup without controls. */
struct cw_told cw_instrument_told_response(const struct cw_instrument_request *request,
                                           const struct cw_instrument_fit *fit, bool leads, struct cw_jack_load load,
                                           double hz);

/** The width, two standard deviations relative to the value (of the loss to its conductance), that a figure would
 * have after one more take as good as the first one. */
double cw_instrument_after(const struct cw_instrument_request *request, const struct cw_instrument_fit *fit,
                           const struct cw_instrument_take *more, enum cw_told_id id);

#ifdef __cplusplus
}
#endif
#endif
