/* SPDX-License-Identifier: ISC */
/** \file setup.h
 * The parameters: one table, three setups of the same shape.
 *
 * A setup is the whole electrical path from string to amplifier. The values are held in the
 * units in which the table publishes them (kohm, pF, percent ...); dsp/coil.h and dsp/circuit.h
 * turn them into SI units.
 *
 * Threading class: every function here is pure and may be called from any thread, the audio
 * thread included. None allocates, locks or keeps state.
 */
#ifndef CW_SETUP_H
#define CW_SETUP_H

#include <stdbool.h>
#include <stddef.h>

#include "exact.h"
#include "split_kind.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Unit of a parameter or meter. */
enum cw_unit {
    CW_UNIT_NONE,
    CW_UNIT_DB,
    CW_UNIT_HZ,
    CW_UNIT_PERCENT,
    CW_UNIT_HENRY,
    CW_UNIT_KOHM,
    CW_UNIT_MOHM,
    CW_UNIT_PF,
    CW_UNIT_NF,
    CW_UNIT_PF_PER_M,
    CW_UNIT_METRE,
    CW_UNIT_MM,
    CW_UNITS
};

/** Flags of a parameter. */
enum cw_flags {
    CW_TOGGLE = 1,  /**< on above 0 */
    CW_ENUM = 2,    /**< takes only the values of its scale points */
    CW_INTEGER = 4, /**< whole numbers */
    CW_LOG = 8      /**< spread logarithmically on a knob */
};

/** Group of a setup's parameter, in the order in which a person meets them. */
enum cw_group {
    CW_GROUP_COIL,
    CW_GROUP_WINDING,
    CW_GROUP_SPLIT,
    CW_GROUP_CONTROLS,
    CW_GROUP_CABLE,
    CW_GROUP_STRING,
    CW_GROUPS
};

/** Global parameters: CW_G_ENABLED, CW_G_LISTEN ... */
enum cw_global_id {
#define CW_GLOBAL(ID, ...) CW_G_##ID,
#include "parameters.def"
    CW_GLOBALS
};

/** Parameters of a setup: CW_P_COIL_FROM, CW_P_COILS ... */
enum cw_param_id {
#define CW_PARAM(ID, ...) CW_P_##ID,
#include "parameters.def"
    CW_PARAMS
};

/** Output figures of a setup: CW_M_RESONANCE, CW_M_PEAK_HEIGHT ... */
enum cw_meter_id {
#define CW_METER(ID, ...) CW_M_##ID,
#include "parameters.def"
    CW_METERS
};

/** Outputs of the plugin as a whole: CW_S_MATCH_BY. */
enum cw_status_id {
#define CW_STATUS(ID, ...) CW_S_##ID,
#include "parameters.def"
    CW_STATUSES
};

/** The three setups. */
enum cw_which { CW_REC, CW_A, CW_B, CW_SETUPS };

/** Values of the parameters that are lists. Gauge is its own number (42, 42.5 ...). */
enum cw_listen { CW_LISTEN_RECORDED, CW_LISTEN_A, CW_LISTEN_B };
enum cw_coil_from { CW_FROM_MEASURED, CW_FROM_WINDING };
enum cw_coils { CW_COILS_ONE, CW_COILS_SERIES, CW_COILS_PARALLEL };
enum cw_insulation { CW_INSULATION_SINGLE, CW_INSULATION_HEAVY, CW_INSULATIONS };
enum cw_former { CW_FORMER_DUAL, CW_FORMER_TALL, CW_FORMER_WIDE, CW_FORMER_SHORT, CW_FORMERS };
enum cw_core { CW_CORE_STEEL_SLUGS, CW_CORE_STEEL_SCREWS, CW_CORE_MAGNET_RODS, CW_CORE_FERRITE, CW_CORE_AIR, CW_CORES };
enum cw_magnet {
    CW_MAGNET_ALNICO_2,
    CW_MAGNET_ALNICO_3,
    CW_MAGNET_ALNICO_4,
    CW_MAGNET_ALNICO_5,
    CW_MAGNET_ALNICO_8,
    CW_MAGNET_CERAMIC,
    CW_MAGNETS
};
enum cw_potting { CW_POTTING_NONE, CW_POTTING_PARAFFIN, CW_POTTING_BEESWAX, CW_POTTING_MIXED, CW_POTTINGS };
enum cw_near_coil { CW_NEAR_COIL_ONE, CW_NEAR_COIL_TWO };
enum cw_cover { CW_COVER_NONE, CW_COVER_NICKEL_SILVER, CW_COVER_BRASS, CW_COVER_STEEL, CW_COVER_BY_VALUES, CW_COVERS };
enum cw_track { CW_TRACK_TWO_PIECES, CW_TRACK_EXPONENTIAL };
enum cw_match_by { CW_MATCH_BY_ASSUMED, CW_MATCH_BY_PLAYED };
enum cw_split_coil { CW_SPLIT_COIL_TWO, CW_SPLIT_COIL_ONE };

/** One named value of a list parameter. */
struct cw_point {
    double value;
    const char *label;
};

/** One row of the table. Strings are static, UTF-8. */
struct cw_param_info {
    const char *symbol; /**< without the setup's prefix */
    const char *name;
    enum cw_unit unit;
    double minimum, maximum, preset; /**< preset is the default */
    unsigned flags;                  /**< of enum cw_flags */
    const struct cw_point *points;   /**< NULL where there are none */
    size_t point_count;
    enum cw_group group; /**< meaningful for a setup's parameters only */
    const char *meaning; /**< one sentence */
};

extern const struct cw_param_info cw_global_info[CW_GLOBALS];
extern const struct cw_param_info cw_param_info[CW_PARAMS];
extern const struct cw_param_info cw_meter_info[CW_METERS];
extern const struct cw_param_info cw_status_info[CW_STATUSES];

/** Prefix of the symbols of each setup ("rec_", "a_", "b_") and its name for people. */
extern const char *const cw_setup_prefix[CW_SETUPS];
extern const char *const cw_setup_name[CW_SETUPS];
extern const char *const cw_group_name[CW_GROUPS];

/** Written unit ("kΩ", "pF/m" ...); "" for none. */
const char *cw_unit_symbol(enum cw_unit unit);

/** One setup: a value for each parameter, in the table's units. */
struct cw_setup {
    double value[CW_PARAMS];
};

/** Everything that the control inputs say. */
struct cw_controls {
    double global[CW_GLOBALS];
    struct cw_setup setup[CW_SETUPS];
};

/** All parameters at their defaults. */
void cw_setup_defaults(struct cw_setup *setup);

/** Whether two setups have the same value of every parameter. */
bool cw_setup_equal(const struct cw_setup *a, const struct cw_setup *b);
void cw_controls_defaults(struct cw_controls *controls);

/** The value that stands for any float a host may send: NaN keeps \p last, anything out of
 * range (infinity included) is clamped, a toggle becomes 0 or 1 (on above 0), a list or whole
 * number goes to the nearest value allowed. */
double cw_param_clean(const struct cw_param_info *info, double value, double last);

/** Where a full port symbol ("a_inductance", "listen") belongs. */
struct cw_place {
    bool found;
    bool global;         /**< index is of enum cw_global_id, else of enum cw_param_id */
    enum cw_which which; /**< meaningful where not global */
    int index;
};

/** Find a control input by its full symbol. */
struct cw_place cw_place_find(const char *symbol);

/** Index of a setup's parameter by its symbol without prefix; -1 if there is none. */
int cw_param_find(const char *symbol);

/** The port layout of the plugin: audio in, audio out, notifications, globals, three setups, three rows of meters, the
 * plugin's own outputs. */
enum {
    CW_PORT_IN,
    CW_PORT_OUT,
    CW_PORT_NOTIFY,
    CW_PORT_GLOBAL,
    CW_PORT_PARAM = CW_PORT_GLOBAL + CW_GLOBALS,
    CW_PORT_METER = CW_PORT_PARAM + CW_SETUPS * CW_PARAMS,
    CW_PORT_STATUS = CW_PORT_METER + CW_SETUPS * CW_METERS,
    CW_PORTS = CW_PORT_STATUS + CW_STATUSES
};

static inline int cw_port_of_global(enum cw_global_id id) { return CW_PORT_GLOBAL + (int)id; }
static inline int cw_port_of_param(enum cw_which which, int id) { return CW_PORT_PARAM + (int)which * CW_PARAMS + id; }
static inline int cw_port_of_meter(enum cw_which which, int id) { return CW_PORT_METER + (int)which * CW_METERS + id; }
static inline int cw_port_of_status(enum cw_status_id id) { return CW_PORT_STATUS + (int)id; }

#ifdef __cplusplus
}
#endif
#endif
