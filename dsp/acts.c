/* SPDX-License-Identifier: ISC */
#include "acts.h"

#include "split_kind.h"

static bool is_wound(const struct cw_setup *setup) { return setup->value[CW_P_COIL_FROM] == CW_FROM_WINDING; }

/* Whether the inductance is the same at every frequency. */
static bool nothing_taken(const struct cw_setup *setup)
{
    int cover = (int)setup->value[CW_P_COVER];
    bool covered = cover == CW_COVER_BY_VALUES ? setup->value[CW_P_COVER_SHARE] > 0.0 : cover != CW_COVER_NONE;
    return setup->value[CW_P_CORE_SHARE] <= 0.0 && !covered;
}

static enum cw_idle of_coil(const struct cw_setup *setup, enum cw_param_id id)
{
    switch (id) {
    case CW_P_INDUCTANCE:
    case CW_P_RESISTANCE:
    case CW_P_CAPACITANCE:
    case CW_P_LOSS:
    case CW_P_CORE_SHARE: return is_wound(setup) ? CW_IDLE_WOUND : CW_ACTS;
    case CW_P_INDUCTANCE_AT: return is_wound(setup) ? CW_IDLE_WOUND : nothing_taken(setup) ? CW_IDLE_NO_SHARE : CW_ACTS;
    case CW_P_CORE_CORNER:
        return is_wound(setup) ? CW_IDLE_WOUND : setup->value[CW_P_CORE_SHARE] <= 0.0 ? CW_IDLE_NO_SHARE : CW_ACTS;
    case CW_P_COVER_SHARE:
    case CW_P_COVER_CORNER: return setup->value[CW_P_COVER] == CW_COVER_BY_VALUES ? CW_ACTS : CW_IDLE_COVER_KNOWN;
    case CW_P_COUPLING:
    case CW_P_SECOND_TURNS: return setup->value[CW_P_COILS] == CW_COILS_ONE ? CW_IDLE_ONE_COIL : CW_ACTS;
    default: return CW_ACTS;
    }
}

/* The part that a parameter is the value of; 0 for the others of the split. */
static unsigned part_of(enum cw_param_id id)
{
    return id == CW_P_SPLIT_KEEP        ? CW_PART_KEEP
           : id == CW_P_SPLIT_RESISTOR  ? CW_PART_RESISTOR
           : id == CW_P_SPLIT_CAPACITOR ? CW_PART_CAPACITOR
                                        : 0u;
}

static enum cw_idle of_split(const struct cw_setup *setup, enum cw_param_id id)
{
    const double *v = setup->value;
    unsigned parts = cw_split_parts_of((enum cw_split_by)(int)v[CW_P_SPLIT_BY]), part = part_of(id);
    if (v[CW_P_COILS] != CW_COILS_SERIES) {
        return CW_IDLE_NOT_SERIES;
    }
    if (id != CW_P_SPLIT && v[CW_P_SPLIT] == 0.0) {
        return CW_IDLE_SPLIT_OFF;
    }
    if (part && !(parts & part)) {
        return CW_IDLE_NOT_OF_KIND;
    }
    bool nothing_kept = parts & CW_PART_KEEP && v[CW_P_SPLIT_KEEP] <= 0.0;
    return nothing_kept && part && part != CW_PART_KEEP ? CW_IDLE_NOTHING_KEPT : CW_ACTS;
}

static bool at_an_end(double rotation) { return rotation <= 0.0 || rotation >= 10.0; }

/* Of what stands between the pickup and the amplifier, the volume being neither closed nor itself. */
static enum cw_idle of_load(const struct cw_setup *setup, enum cw_param_id id)
{
    const double *v = setup->value;
    bool full = v[CW_P_VOLUME] >= 10.0;
    switch (id) {
    case CW_P_TONE_POT: return v[CW_P_TONE] <= 0.0 ? CW_IDLE_TONE_CLOSED : CW_ACTS;
    case CW_P_TAPER:
    case CW_P_TRACK: return full && at_an_end(v[CW_P_TONE]) ? CW_IDLE_ENDS_OF_TRACKS : CW_ACTS;
    case CW_P_BLEED_RESISTOR:
        if (v[CW_P_BLEED_CAP] <= 0.0) {
            return CW_IDLE_NO_BLEED;
        }
        return full ? CW_IDLE_VOLUME_FULL : CW_ACTS;
    case CW_P_BLEED_CAP:
    case CW_P_TONE_AFTER_VOLUME: return full ? CW_IDLE_VOLUME_FULL : CW_ACTS;
    case CW_P_CABLE_CAPACITANCE: return v[CW_P_CABLE_LENGTH] <= 0.0 ? CW_IDLE_NO_CABLE : CW_ACTS;
    default: return CW_ACTS;
    }
}

enum cw_idle cw_param_idle(const struct cw_setup *setup, enum cw_param_id id)
{
    switch (cw_param_info[id].group) {
    case CW_GROUP_COIL: return of_coil(setup, id);
    case CW_GROUP_WINDING: return is_wound(setup) ? CW_ACTS : CW_IDLE_MEASURED;
    case CW_GROUP_SPLIT: return of_split(setup, id);
    case CW_GROUP_STRING: {
        bool of_two = id == CW_P_COIL_DISTANCE || id == CW_P_NEAR_COIL;
        return of_two && setup->value[CW_P_COILS] == CW_COILS_ONE ? CW_IDLE_ONE_COIL : CW_ACTS;
    }
    case CW_GROUP_CONTROLS:
    case CW_GROUP_CABLE:
        if (setup->value[CW_P_VOLUME] <= 0.0 && id != CW_P_VOLUME) {
            return CW_IDLE_VOLUME_CLOSED;
        }
        return of_load(setup, id);
    case CW_GROUPS:
    default: return CW_ACTS;
    }
}

const char *cw_idle_words(enum cw_idle why)
{
    static const char *const words[CW_IDLES] = {
        [CW_ACTS] = "",
        [CW_IDLE_WOUND] = "the coil's values come from its winding",
        [CW_IDLE_MEASURED] = "the coil's values are measured ones",
        [CW_IDLE_ONE_COIL] = "there is one coil",
        [CW_IDLE_NO_SHARE] = "the core has no lossy share",
        [CW_IDLE_COVER_KNOWN] = "the cover is not given by values",
        [CW_IDLE_NOT_SERIES] = "only two coils in series can be split",
        [CW_IDLE_SPLIT_OFF] = "split is off",
        [CW_IDLE_NOT_OF_KIND] = "this kind of split has no such part",
        [CW_IDLE_NOTHING_KEPT] = "no turns are kept that it could stand across",
        [CW_IDLE_VOLUME_CLOSED] = "volume is at 0",
        [CW_IDLE_VOLUME_FULL] = "volume is full up",
        [CW_IDLE_NO_BLEED] = "there is no treble bleed capacitor",
        [CW_IDLE_TONE_CLOSED] = "tone is at 0",
        [CW_IDLE_ENDS_OF_TRACKS] = "volume and tone stand at the ends of their tracks",
        [CW_IDLE_NO_CABLE] = "the cable has no length",
    };
    return (unsigned)why < CW_IDLES ? words[why] : "";
}
