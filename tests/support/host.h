/* SPDX-License-Identifier: ISC */
/** \file host.h
 * A small LV2 host for the tests: one plugin, one instance, any block sizes.
 *
 * The bundle is the one named by the environment variable CW_BUNDLE, else
 * build/lv2/coilwright.lv2 below the current directory. Anything that should never happen in a
 * test (no bundle, no such symbol) prints one line and ends the program with status 1.
 *
 * Threading class: one thread only; the world is shared by every host of the program.
 */
#ifndef CW_TEST_HOST_H
#define CW_TEST_HOST_H

#include <lilv/lilv.h>
#include <lv2/urid/urid.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct host;

/** Path of the bundle under test, no trailing slash. */
const char *host_bundle(void);

/** The world, with the bundle and its presets loaded, and the plugin in it. */
LilvWorld *host_world(void);
const LilvPlugin *host_plugin(void);

/** An activated instance at \p rate with every control at its default. NULL if the plugin
 * refuses to be instantiated. */
struct host *host_new(double rate);
/** The same with a fresh instance that was not activated yet. */
struct host *host_new_inactive(double rate);
void host_free(struct host *host);

void host_activate(struct host *host);
void host_deactivate(struct host *host);
/** Deactivate and activate: all audio forgotten, controls kept. */
void host_restart(struct host *host);

/** Set a control input, or read a control input or output, by its symbol. */
void host_set(struct host *host, const char *symbol, float value);
float host_get(const struct host *host, const char *symbol);
bool host_has(const struct host *host, const char *symbol);
/** Control inputs from an array with a place for each port, which a window on another thread writes to; control outputs
 * to it. */
void host_exchange(struct host *host, _Atomic float *port);
/** All control inputs back to their defaults. */
void host_defaults(struct host *host);

/** Apply a preset, by its URI or by the path of its Turtle file.
 * \return false if there is none such, or it names a port that the plugin does not have. */
bool host_load_preset(struct host *host, const char *uri_or_path);

/** Number of ports; symbol, kind and range of a port. */
size_t host_ports(const struct host *host);
const char *host_symbol(const struct host *host, size_t port);
bool host_is_control_input(const struct host *host, size_t port);
bool host_is_control_output(const struct host *host, size_t port);
void host_range(const struct host *host, size_t port, float *minimum, float *maximum, float *preset);

/** Run \p n samples in blocks of \p block (the last may be shorter). \p in and \p out may be the
 * same buffer. Block 0 means all at once; n = 0 is one run of no samples. */
void host_run(struct host *host, const float *in, float *out, size_t n, size_t block);
/** The same in random blocks of 0 to \p most samples, from \p seed. */
void host_run_random(struct host *host, const float *in, float *out, size_t n, size_t most, uint32_t seed);
/** Restart, then the response to a unit impulse at sample 0. */
void host_impulse(struct host *host, float *out, size_t n);

/** How often the plugin told that its state was changed, since this was asked last. */
size_t host_state_changes(struct host *host);

/** The instance, for what this interface does not do (connect a port to nothing, say). */
LilvInstance *host_instance(struct host *host);

/** URIs to numbers and back, as instances are given it; one for the whole program, any thread after the instances
 * were made. */
LV2_URID_Map *host_map(void);

/** A value of one of the atom types of numbers, as host_map() maps them; NAN of another. */
double host_number(const void *value, LV2_URID type);
LV2_URID_Unmap *host_unmap(void);

/** Uniform random numbers: a 32-bit xorshift (G. Marsaglia, J. Statistical Software 8(14), 2003).
 * The state must not be 0. */
uint32_t host_random(uint32_t *state);
/** Uniform in 0 to below 1. */
double host_random_unit(uint32_t *state);

#endif
