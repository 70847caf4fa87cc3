/* SPDX-License-Identifier: ISC */
/** \file instruction.h
 * How takes are made for coilwright measure: what a person at the bench connects, plays, records and minds; for
 * paper and text alike. The drawing is plot/jig_page.h.
 *
 * Threading class: pure data, any thread.
 */
#ifndef CW_INSTRUCTION_H
#define CW_INSTRUCTION_H

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Its parts, in their order. */
enum cw_instruction_part {
    CW_INSTRUCTION_JIG,
    CW_INSTRUCTION_TAKES,
    CW_INSTRUCTION_LEVELS,
    CW_INSTRUCTION_HUM,
    CW_INSTRUCTION_EXCITER,
    CW_INSTRUCTION_COMMAND,
    CW_INSTRUCTION_CAUTIONS,
    CW_INSTRUCTION_PARTS
};

/** Headings of the parts. Static. */
extern const char *const cw_instruction_heading[CW_INSTRUCTION_PARTS];

/** One paragraph. */
struct cw_instruction_line {
    enum cw_instruction_part part;
    const char *name; /**< what stands before it: a file; "" for none */
    const char *text;
};

/** All of them; the last has no text. Static. */
extern const struct cw_instruction_line cw_instruction_line[];

/** The sweep that it goes with. */
struct cw_instruction_sweep {
    const char *file;  /**< its name; NULL where none was written */
    double seconds;    /**< length of the sweep */
    double rate, dbfs; /**< Hz; peak */
};

/** "sweep.wav: 20 Hz to 20 kHz in 5 s at 48000 Hz, peak -6 dBFS". \return text */
const char *cw_instruction_title(const struct cw_instruction_sweep *sweep, char *text, size_t size);

#ifdef __cplusplus
}
#endif
#endif
