/* SPDX-License-Identifier: ISC */
/** \file one_port.h
 * An impedance over frequency as measured, and the texts in which it travels: Touchstone one-ports
 * (`.s1p`, `.z1p`, `.y1p`) of versions 1 and 2, and tables of three columns as analysers write them.
 *
 * Sources: Touchstone File Format Specification, versions 1.1 and 2.0 (Electronic Industries Alliance /
 * IBIS Open Forum). In version 1 values of kind Z and Y are normalised to the reference; in version 2
 * they are in ohm and siemens.
 *
 * Pure functions: text in, values or an error out; memory is allocated for the points only.
 */
#ifndef CW_ONE_PORT_H
#define CW_ONE_PORT_H

#include <stdbool.h>
#include <stddef.h>

#include "attributes.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Most points of a curve. */
enum { CW_ONE_PORT_MAX = 200000, CW_ONE_PORT_WHY = 200 };

/** One frequency. */
struct cw_one_port_point {
    double hz;     /**< above 0, rising from point to point */
    double re, im; /**< ohm */
    double error;  /**< standard error of both parts together, a share of |Z|; 0 where it is not stated */
};

/** A curve. Zeroed is empty. */
struct cw_one_port {
    struct cw_one_port_point *point;
    size_t count;
    double reference; /**< ohm, as the file states it; 0 for a table */
    bool coarse;      /**< given as S with values so near 1 that fewer than four digits remain */
    bool assumed;     /**< a table in which no heading says what the columns are: taken as Hz, ohm and degrees */
};

/** What is wrong with a text, and where. */
struct cw_one_port_error {
    size_t line;               /**< from 1; 0 where no line is to blame */
    char why[CW_ONE_PORT_WHY]; /**< "expected ..., found ..." */
};

/** Say what is wrong with a line of a curve's file. \return false */
bool cw_one_port_fault(struct cw_one_port_error *error, size_t line, const char *format, ...) CW_PRINTF(3, 4);

/** Read a Touchstone one-port. A comment behind a point that begins with +- and is a percentage is its error, as
 * coilwright measure writes it. \return false with \p error filled in; \p curve is then empty. */
bool cw_touchstone_parse(const char *text, size_t length, struct cw_one_port *curve, struct cw_one_port_error *error);

/** Read a table: frequency, magnitude and degrees, or frequency, real and imaginary part; columns parted
 * by comma, semicolon, tab or blanks, a decimal comma where the columns are parted by something else;
 * comment lines begin with # * " or !; a heading may name units (Hz, kHz, MHz; ohm, kohm) and columns.
 * Where no heading names them the columns are taken to be Hz, ohm and degrees, which \c assumed tells; numbers that
 * cannot be degrees are then an error. */
bool cw_impedance_table_parse(const char *text, size_t length, struct cw_one_port *curve,
                              struct cw_one_port_error *error);

/** Either of them: a text with an option line (#, Hz or S, Z, Y ... ) or a [Version] is Touchstone. */
bool cw_one_port_parse(const char *text, size_t length, struct cw_one_port *curve, struct cw_one_port_error *error);

/** Write one point as a line of a Touchstone file that begins with CW_TOUCHSTONE_HEAD, which both
 * versions read alike; its error, where it states one, as a comment. \return text */
#define CW_TOUCHSTONE_HEAD "# Hz Z RI R 1\n"
const char *cw_touchstone_line(const struct cw_one_port_point *point, char *text, size_t size);

void cw_one_port_free(struct cw_one_port *curve);

#ifdef __cplusplus
}
#endif
#endif
