/* SPDX-License-Identifier: ISC */
/** \file source.h
 * The pickup as a source: the voltage at its open leads, and the impedance there.
 *
 * Private to dsp/. Threading class: pure functions, any thread, audio included; bounded time.
 */
#ifndef CW_SOURCE_H
#define CW_SOURCE_H

#include "coil.h"
#include "polynomial.h"
#include "split_kind.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Two coils as they are wired, each with the admittance across it. The second is the one that a split
 * reduces: as nothing else hangs on their junction, two coils in series may stand in either order. */
struct cw_wired {
    int coils;     /**< 1 or 2; of one the second is all zero */
    bool parallel; /**< both from hot to earth, not in series */
    struct cw_coil coil[2];
    double mutual;
    double drop[2]; /**< by how much, each henry of a coil's branches, the core takes off its EMF as it takes the
                         branch away: drop times henry is the EMF that came through a branch; 0: the EMF is constant */
    double shunt_r, shunt_c; /**< split parts across what stays of the second; see network */
    enum cw_split_network network;
};

/** Open-circuit voltage s/t behind an impedance u/t. */
struct cw_source {
    struct cw_poly s, t, u;
};

void cw_source_of(const struct cw_wired *wired, struct cw_source *source);

#ifdef __cplusplus
}
#endif
#endif
