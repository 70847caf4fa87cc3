/* SPDX-License-Identifier: ISC */
/** \file bench.h
 * What the parts of the benchmark share: clocks, medians, the table that is printed.
 */
#ifndef BENCH_H
#define BENCH_H

#include <stdbool.h>
#include <stddef.h>

#include "biquad.h"
#include "candidate.h"
#include "digital.h"
#include "setup.h"

/** \name Clocks
 * Processor time of the calling thread, so that other work on the machine is not counted; and the
 * time of the day, for what runs on several threads. Seconds.
 * @{ */
double bench_processor(void);
double bench_wall(void);
/** @} */

/** What a program took. */
struct bench_took {
    double wall, processor; /**< seconds; processor time of the system's work for it is in it */
};

/** Run a program, its output thrown away. A program that fails ends the benchmark: its time would
 * mean nothing.
 * \param argv ends with NULL */
struct bench_took bench_program(const char *const *argv);

/** True if a program is on the path. */
bool bench_has(const char *program);

enum { BENCH_REPEATS_MAX = 256 };

/** Two things measured in turn. */
struct bench_pairs {
    int count;
    double ours[BENCH_REPEATS_MAX], other[BENCH_REPEATS_MAX];
};

void bench_pair(struct bench_pairs *pairs, double ours, double other);

/** Value below which \p share of the values lie. \p values are put in order. */
double bench_quantile(double *values, int count, double share);

/** \name The table
 * @{ */
void bench_open(const char *path);
/** Moves the finished page to its place. */
void bench_close(void);
void bench_text(const char *format, ...) __attribute__((format(printf, 1, 2)));
/** Begin a table of comparisons, or one of single figures. */
void bench_comparisons(void);
void bench_figures(void);
/** A comparison: both medians, and the median and the middle half of the ratios of the pairs.
 * \param unit   of both, after \p scale
 * \param wanted limit of the ratio of the other's time to ours, at least; 0 for none */
void bench_compare(const char *what, const char *with, const struct bench_pairs *pairs, double scale, const char *unit,
                   double wanted);
/** A figure. \param most its limit, at most; 0 for none */
void bench_figure(const char *what, double value, const char *unit, double most);
/** @} */

/** \name Makers of processors
 * @{ */
/** A figure that stands in the table of makers. */
void bench_remember(const char *what, double value, const char *unit);
/** That table; \p path is the file that keeps the figures of other makers, and takes those of this one. */
void bench_makers(const char *path);
/** @} */

/** \name The setting
 * @{ */
#define BENCH_PRESET "presets/session-job-12.ttl"

/** The preset above, or the end of the program. */
void bench_controls(struct cw_controls *controls);

/** Sections of candidate A with the recording undone, as the plugin makes them. */
void bench_sections(double rate, struct cw_sections *sections);
/** @} */

/** Scratch directory, made at the start and removed at the end. */
extern char bench_directory[64];
/** A path in it; one of a few static buffers. */
const char *bench_path(const char *name);

/** \name The parts
 * @{ */
void bench_run_against_loops(void);
void bench_run_parts(void);
/** \param self the path of this program, which valgrind runs with --play */
void bench_instructions(const char *self);
/** What is counted: \p frames in blocks of \p block through run() or, with "biquad", the lone biquad. */
void bench_play(const char *what, size_t block, size_t frames);
void bench_run_against_programs(void);
void bench_run_against_spice(void);
void bench_run_worst(void);
void bench_design(void);
void bench_search(void);
void bench_spread(void);
void bench_match(void);
void bench_window(void);
void bench_audition(void);
/** @} */

/** \name The plugin at work
 * @{ */
struct host;
/** An instance with the preset loaded, listening to A with the recording undone, settled. */
struct host *bench_plugin(double rate);
/** Seconds of processor time for \p frames in blocks of \p block, by the real run(). */
double bench_time_run(struct host *host, size_t frames, size_t block);
/** @} */

#endif
