/* SPDX-License-Identifier: ISC */
/** \file split_kind.h
 * The kinds of split: how a coil is reduced, what each kind is called and which parts it has.
 *
 * The table is dsp/split_kinds.def. What is common to kinds follows from two of its columns: whether
 * the winding is tapped, and which network stands across what stays of it. A kind made of these is a
 * row and nothing else; a new network has its circuit (dsp/circuit.c) and its drawing besides, and
 * the compiler names both.
 *
 * Threading class: pure, any thread, audio included.
 */
#ifndef CW_SPLIT_KIND_H
#define CW_SPLIT_KIND_H

#include <stdbool.h>

#include "exact.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Values of split_by: CW_SPLIT_TAPPED, CW_SPLIT_R ... */
enum cw_split_by {
#define CW_SPLIT_KIND(ID, ...) CW_SPLIT_##ID,
#include "split_kinds.def"
};

/** Their number; not one of them, so that the compiler names a kind that a switch leaves out. */
enum {
    CW_SPLIT_KINDS = 0
#define CW_SPLIT_KIND(...) +1
#include "split_kinds.def"
};

/** Parts across what stays of the reduced coil. */
enum cw_split_network { CW_NETWORK_NONE, CW_NETWORK_R, CW_NETWORK_C, CW_NETWORK_RC_SERIES, CW_NETWORK_RC_PARALLEL };

/** Parameters that a kind may use, one bit each. */
enum cw_split_part { CW_PART_KEEP = 1, CW_PART_RESISTOR = 2, CW_PART_CAPACITOR = 4 };

/** One row of the table. Strings are static, UTF-8. */
struct cw_split_kind {
    const char *word;  /**< for the command line and file names */
    const char *label; /**< for lists */
    const char *brief; /**< for tables */
    bool tapped;
    enum cw_split_network network;
    const char *wiring; /**< a sentence with {keep}, {resistor}, {capacitor}, {coil} to be filled in */
};

extern const struct cw_split_kind cw_split_kind[CW_SPLIT_KINDS];

/** The parts that a kind uses, of enum cw_split_part. */
unsigned cw_split_parts_of(enum cw_split_by by);

#ifdef __cplusplus
}
#endif
#endif
