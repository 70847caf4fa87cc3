/* SPDX-License-Identifier: ISC */
/** \file inspection.h
 * A batch of coils against its design: each reading corrected and judged, and what the pattern of resistance,
 * inductance and resonance says of the likely cause.
 *
 * To first order R goes as turns over the wire's diameter squared and L as turns squared, so that the two part too few
 * turns from thick wire; what one pattern cannot part is named together.
 *
 * Threading class: pure functions, any thread; no allocation.
 */
#ifndef CW_INSPECTION_H
#define CW_INSPECTION_H

#include <stdbool.h>
#include <stddef.h>

#include "acceptance.h"
#include "coil.h"
#include "coil_limits.h"
#include "scatter.h"
#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

/** One coil as it was read; NAN for what was not. */
struct cw_coil_reading {
    double resistance;  /**< ohm */
    double celsius;     /**< of the coil, when its resistance was read */
    double inductance;  /**< henry */
    double hz;          /**< at which it was read */
    bool parallel_mode; /**< the meter was in parallel mode, and it is known */
    double resonance;   /**< hertz, in the bench's load */
};

/** What is judged of it: values as of coil_limits.h, and how sure each is. */
struct cw_coil_judged {
    double value[CW_BENCH_READINGS];    /**< NAN where there is none */
    double expanded[CW_BENCH_READINGS]; /**< expanded uncertainty, in its unit */
    enum cw_verdict reading[CW_BENCH_READINGS];
    enum cw_verdict coil; /**< the worst of them; too close to tell where nothing was read */
};

/** A design that batches are held against. */
struct cw_inspection {
    double nominal[CW_BENCH_READINGS];
    struct cw_limits limits[CW_BENCH_READINGS];
    double inverse[CW_BENCH_READINGS][CW_BENCH_READINGS]; /**< of the covariance of a batch's mean, in logarithms,
                                                               but for the wire's */
    double wire;                                          /**< the limits of wire, % of its diameter either way */
    double reading_sd[CW_BENCH_READINGS];                 /**< of a mean by all scatter, of 1 */
    double way[6][CW_BENCH_READINGS];                     /**< where each cause moves the logarithms, for one unit */
    double parallel_mode;  /**< logarithm of what a meter in that mode reads over what it should */
    struct cw_setup whole; /**< of the pickup at the bench */
    struct cw_pickup pickup;
};

/** \param coils in the batch, 1 or more: their own scatter is averaged */
void cw_inspection_start(struct cw_inspection *inspection, const struct cw_setup *setup,
                         const struct cw_scatter *scatter, const struct cw_limits limits[CW_BENCH_READINGS],
                         size_t coils);

/** Correct a reading and judge it. Resistance goes to 20 degrees C (of an unsaid temperature 5 degrees either way are
 * left open), inductance to 120 Hz and series mode. */
void cw_inspection_judge(const struct cw_inspection *inspection, const struct cw_coil_reading *reading,
                         struct cw_coil_judged *judged);

/** What may have gone wrong. */
enum cw_cause {
    CW_CAUSE_TURNS,       /**< too few or too many; unit 1 % */
    CW_CAUSE_WIRE,        /**< thin or thick; unit 1 % of its diameter */
    CW_CAUSE_TEMPERATURE, /**< the coil was warmer or colder than said; unit 1 degC */
    CW_CAUSE_CORE,        /**< another core or magnet; unit 1 % of inductance */
    CW_CAUSE_TIGHTNESS,   /**< wound loose or tight; unit 1 % of packing */
    CW_CAUSE_SHORT,       /**< a layer of turns closed on itself; unit 1 % of all turns, negative */
    CW_CAUSE_MODE,        /**< the meter was in parallel mode, unsaid */
    CW_CAUSES
};

/** What a pattern says. */
struct cw_diagnosis {
    bool accused;                  /**< the batch is off by more than scatter and meters explain */
    bool named[CW_CAUSES];         /**< causes that explain it, none much better than another */
    double size[CW_CAUSES];        /**< how much of it, in the cause's unit */
    double off[CW_BENCH_READINGS]; /**< of the mean, 0.01 is 1 % */
    int likely;                    /**< the cause that explains it best; CW_CAUSES where none does */
};

/** Look at the means of a batch. \param mean of each reading, all of them there */
void cw_inspection_diagnose(const struct cw_inspection *inspection, const double mean[CW_BENCH_READINGS],
                            struct cw_diagnosis *diagnosis);

/** A cause in words, with its size: "3.0 % too few turns". \return text */
const char *cw_cause_words(enum cw_cause cause, double size, char *text, size_t size_of_text);

/** What would part it from the others. Static. */
const char *cw_cause_parted_by(enum cw_cause cause);

#ifdef __cplusplus
}
#endif
#endif
