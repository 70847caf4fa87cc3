/* SPDX-License-Identifier: ISC */
#include "pages.h"

const char *const cw_page_name[CW_PAGES] = {"Coil",         "Winding", "Former, calibration", "Split", "Controls",
                                            "Cable, input", "Output"};

static enum cw_page page_of(int id)
{
    switch (cw_param_info[id].group) {
    case CW_GROUP_COIL: return CW_PAGE_COIL;
    case CW_GROUP_WINDING: return id >= CW_P_RESISTANCE_CAL ? CW_PAGE_FORMER : CW_PAGE_WINDING;
    case CW_GROUP_SPLIT: return CW_PAGE_SPLIT;
    case CW_GROUP_CONTROLS: return CW_PAGE_CONTROLS;
    case CW_GROUP_CABLE:
    case CW_GROUPS:
    default: return CW_PAGE_CABLE;
    }
}

static bool split_part_applies(int id, int split_by)
{
    switch (id) {
    case CW_P_SPLIT_KEEP: return split_by == CW_SPLIT_TAPPED;
    case CW_P_SPLIT_RESISTOR:
        return split_by == CW_SPLIT_R || split_by == CW_SPLIT_RC_SERIES || split_by == CW_SPLIT_RC_PARALLEL;
    case CW_P_SPLIT_CAPACITOR:
        return split_by == CW_SPLIT_C || split_by == CW_SPLIT_RC_SERIES || split_by == CW_SPLIT_RC_PARALLEL;
    default: return true;
    }
}

/* Whether a parameter does anything, the others being as they are. */
static bool applies(int id, const struct cw_setup *setup)
{
    int coils = (int)setup->value[CW_P_COILS];
    if (cw_param_is_idle(setup, (enum cw_param_id)id)) {
        return false;
    }
    switch (id) {
    case CW_P_COUPLING:
    case CW_P_SECOND_TURNS: return coils != CW_COILS_ONE;
    case CW_P_BLEED_RESISTOR: return setup->value[CW_P_BLEED_CAP] > 0.0;
    default: break;
    }
    if (cw_param_info[id].group == CW_GROUP_SPLIT) {
        return coils == CW_COILS_SERIES && split_part_applies(id, (int)setup->value[CW_P_SPLIT_BY]);
    }
    return true;
}

int cw_page_ports(enum cw_page page, enum cw_which which, const struct cw_setup *setup, int port[CW_PAGE_MOST])
{
    int count = 0;
    if (page == CW_PAGE_OUTPUT) {
        port[count++] = cw_port_of_global(CW_G_BOOST_LIMIT);
        port[count++] = cw_port_of_global(CW_G_MAINS);
        return count;
    }
    if (page == CW_PAGE_SPLIT) {
        /* Here too, since it decides whether there is anything to split. */
        port[count++] = cw_port_of_param(which, CW_P_COILS);
    }
    for (int id = 0; id < CW_PARAMS && count < CW_PAGE_MOST; id++) {
        if (page_of(id) == page && applies(id, setup)) {
            port[count++] = cw_port_of_param(which, id);
        }
    }
    return count;
}

bool cw_page_applies(enum cw_page page, const struct cw_setup *setup)
{
    int port[CW_PAGE_MOST];
    return cw_page_ports(page, CW_A, setup, port) > 0;
}
