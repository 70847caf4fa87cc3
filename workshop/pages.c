/* SPDX-License-Identifier: ISC */
#include "pages.h"

#include "acts.h"

const char *const cw_page_name[CW_PAGES] = {"Coil",  "Core",     "Winding",       "Former, calibration",
                                            "Split", "Controls", "Cable, string", "Output"};

static enum cw_page page_of(int id)
{
    if (id == CW_P_INDUCTANCE_AT || id == CW_P_CORE_SHARE || id == CW_P_CORE_CORNER) {
        return CW_PAGE_CORE;
    }
    switch (cw_param_info[id].group) {
    case CW_GROUP_COIL: return CW_PAGE_COIL;
    case CW_GROUP_WINDING: return id >= CW_P_RESISTANCE_CAL ? CW_PAGE_FORMER : CW_PAGE_WINDING;
    case CW_GROUP_SPLIT: return CW_PAGE_SPLIT;
    case CW_GROUP_CONTROLS: return CW_PAGE_CONTROLS;
    case CW_GROUP_STRING:
    case CW_GROUP_CABLE:
    case CW_GROUPS:
    default: return CW_PAGE_CABLE;
    }
}

/* Whether a control has its place in the window: one that waits only for another of its page to be
 * turned up or on stays in sight. */
static bool in_sight(int id, const struct cw_setup *setup)
{
    struct cw_setup open = *setup;
    open.value[CW_P_CORE_SHARE] = 20.0;
    open.value[CW_P_SPLIT] = 1.0;
    open.value[CW_P_SPLIT_KEEP] = 50.0;
    open.value[CW_P_VOLUME] = open.value[CW_P_TONE] = 5.0;
    open.value[CW_P_CABLE_LENGTH] = 1.0;
    return cw_param_acts(&open, (enum cw_param_id)id);
}

int cw_page_ports(enum cw_page page, enum cw_which which, const struct cw_setup *setup, int port[CW_PAGE_MOST])
{
    int count = 0;
    if (page == CW_PAGE_OUTPUT) {
        port[count++] = cw_port_of_global(CW_G_BOOST_LIMIT);
        port[count++] = cw_port_of_global(CW_G_MAINS);
        port[count++] = cw_port_of_global(CW_G_LEVEL_BY_PLAYED);
        return count;
    }
    if (page == CW_PAGE_SPLIT) {
        /* Here too, since it decides whether there is anything to split. */
        port[count++] = cw_port_of_param(which, CW_P_COILS);
    }
    for (int id = 0; id < CW_PARAMS && count < CW_PAGE_MOST; id++) {
        if (page_of(id) == page && in_sight(id, setup)) {
            if (id == CW_P_COIL_DISTANCE || (id == CW_P_BRIDGE_DISTANCE && setup->value[CW_P_COILS] == CW_COILS_ONE)) {
                port[count++] = cw_port_of_global(CW_G_STRING_PLACES); /* what these wait for */
            }
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
