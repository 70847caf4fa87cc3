/* SPDX-License-Identifier: ISC */
/** \file measure_request.h
 * What coilwright measure is asked, for the files that work it out.
 */
#ifndef CW_MEASURE_REQUEST_H
#define CW_MEASURE_REQUEST_H

#include <stdbool.h>

#include "live_takes.h"

#ifdef __cplusplus
extern "C" {
#endif

/** The takes, each a file. */
enum cw_jig_take { CW_JIG_OPEN, CW_JIG_KNOWN, CW_JIG_CHECK, CW_JIG_SILENT, CW_JIG_TAKE, CW_JIG_LOADED, CW_JIG_TAKES };

/** The command line. */
struct cw_measure_request {
    const char *file[CW_JIG_TAKES]; /**< NULL: not given */
    double known, check, series;    /**< ohm; 0: not given */
    double seconds;                 /**< length of the sweep */
    bool exciter;                   /**< a transfer response instead of an impedance */
    double loaded, cable, input;    /**< pF, pF, kohm */
    struct cw_live_request live;    /**< its folder NULL: all takes are files already */
    char *made[CW_JIG_TAKES];       /**< paths of takes that are made */
    const char *output, *plot;      /**< NULL: standard output, none */
    bool force;                     /**< replace files */
};

#ifdef __cplusplus
}
#endif
#endif
