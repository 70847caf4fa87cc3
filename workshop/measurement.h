/* SPDX-License-Identifier: ISC */
/** \file measurement.h
 * What a bench gives of one coil, and how far each reading may be out.
 */
#ifndef CW_MEASUREMENT_H
#define CW_MEASUREMENT_H

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/** The readings. */
enum cw_reading_id { CW_READ_RESISTANCE, CW_READ_INDUCTANCE, CW_READ_RESONANCE, CW_READ_PEAK, CW_READINGS };

/** What was measured; NAN stands for "not measured". */
struct cw_measurement {
    double resistance;         /**< ohm, DC */
    double celsius;            /**< temperature of the coil then */
    double inductance;         /**< henry, as the meter shows it in series mode */
    double meter_hz;           /**< the meter's test frequency */
    double resonance;          /**< hertz: peak of the impedance with nothing connected, of the response with a load */
    double peak;               /**< dB, height of the response's peak over its level at low frequency */
    double load_farad;         /**< connected for resonance and peak; 0 for nothing */
    double load_ohm;           /**< connected for resonance and peak; INFINITY for nothing */
    double error[CW_READINGS]; /**< two standard deviations of each reading: shares, of the peak dB */
};

/** Nothing measured: 20 degrees C, 120 Hz, no load; errors of 1 % of resistance, 2 % of inductance and frequency, 0.6
 * dB of the peak (common practice, no source). */
void cw_measurement_init(struct cw_measurement *measurement);

/** Take one QUANTITY=VALUE[@CONDITION][+-ERROR]: resistance=4.7k@24 (degrees C), inductance=1.75@1k (Hz),
 * resonance=3.1k@500pF,1M (load), peak=9+-0.5dB; errors in per cent, of the peak in dB.
 * \param why on failure: what was expected and found */
bool cw_measurement_add(struct cw_measurement *measurement, const char *text, char *why, size_t why_size);

/** Whether anything was measured. */
bool cw_measurement_any(const struct cw_measurement *measurement);

#ifdef __cplusplus
}
#endif
#endif
