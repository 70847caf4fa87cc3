/* SPDX-License-Identifier: ISC */
/** \file host.h
 * The plugin, run offline under lilv: what the program renders is what a host plays.
 */
#ifndef CW_HOST_H
#define CW_HOST_H

#include <stdbool.h>
#include <stddef.h>

#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

/** The plugin's code, found and loaded. */
struct cw_host;

/** Find the bundle: beside the program (lv2/coilwright.lv2), in ../lib/lv2 from it, then along
 * LV2_PATH or, where that is not set, the usual directories. Only this bundle is loaded.
 * \return NULL on failure, which is reported */
struct cw_host *cw_host_open(void);
void cw_host_close(struct cw_host *host);

/** Directory of the bundle in use, without a slash at the end. */
const char *cw_host_bundle(const struct cw_host *host);

/** One running instance. Each may run on a thread of its own; they are started and stopped on one. */
struct cw_instance;

/** Start the plugin with its controls set before the first sample. Reports and returns NULL. */
struct cw_instance *cw_instance_start(struct cw_host *host, int rate, const struct cw_controls *controls);

/** Back to the first sample: all audio forgotten, controls kept. */
void cw_instance_restart(struct cw_instance *instance);

/** Process \p n samples; \p in and \p out may be the same. */
void cw_instance_run(struct cw_instance *instance, float *in, float *out, size_t n);

/** The value of one of the plugin's meters after a run. */
double cw_instance_meter(const struct cw_instance *instance, enum cw_which which, enum cw_meter_id meter);
void cw_instance_stop(struct cw_instance *instance);

#ifdef __cplusplus
}
#endif
#endif
