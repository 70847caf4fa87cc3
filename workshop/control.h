/* SPDX-License-Identifier: ISC */
/** \file control.h
 * One control of a face: which port it is, how its value moves.
 *
 * Everything follows the one table of parameters; nothing here knows a single one of them.
 *
 * Threading class: pure functions, any thread.
 */
#ifndef CW_CONTROL_H
#define CW_CONTROL_H

#include "acts.h"
#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

/** A control input of the plugin. */
struct cw_control {
    const struct cw_param_info *info;
    int port;
    bool global;
    enum cw_which which; /**< meaningful where not global */
    int id;              /**< of enum cw_global_id or enum cw_param_id */
};

/** Find a control by its port index. \return false where the port is no control input. */
bool cw_control_of(int port, struct cw_control *control);

/** Row of the table of a control input; NULL where the port is none. */
const struct cw_param_info *cw_control_info(int port);

/** Why a control does nothing as the others stand; CW_ACTS where it does something or is global. */
enum cw_idle cw_control_idle(const struct cw_controls *controls, int port);

/** Where a value stands on a slider, 0 to 1; logarithmic where the table says so. */
double cw_control_share(const struct cw_param_info *info, double value);

/** The value at a place on a slider, rounded to what a person would say; finely to a tenth of it. */
double cw_control_at(const struct cw_param_info *info, double share, bool fine);

/** The value that some steps of a wheel or an arrow key lead to: about 60 steps from end to end, 600
 * fine ones. A list goes to its neighbour, a toggle on or off. */
double cw_control_step(const struct cw_param_info *info, double value, int steps, bool fine);

/** A value as text, with its unit. \return text */
const char *cw_control_print(const struct cw_param_info *info, double value, char *text, size_t size);

/** Number of a list's point for a value; -1 where there is none. */
int cw_control_point(const struct cw_param_info *info, double value);

#ifdef __cplusplus
}
#endif
#endif
