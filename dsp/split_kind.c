/* SPDX-License-Identifier: ISC */
#include "split_kind.h"

const struct cw_split_kind cw_split_kind[CW_SPLIT_KINDS] = {
#define CW_SPLIT_KIND(ID, word, label, brief, tapped, network, wiring)                                                 \
    {word, label, brief, tapped, CW_NETWORK_##network, wiring},
#include "split_kinds.def"
};

unsigned cw_split_parts_of(enum cw_split_by by)
{
    static const unsigned of_network[] = {
        [CW_NETWORK_NONE] = 0,
        [CW_NETWORK_R] = CW_PART_RESISTOR,
        [CW_NETWORK_C] = CW_PART_CAPACITOR,
        [CW_NETWORK_RC_SERIES] = CW_PART_RESISTOR | CW_PART_CAPACITOR,
        [CW_NETWORK_RC_PARALLEL] = CW_PART_RESISTOR | CW_PART_CAPACITOR,
    };
    const struct cw_split_kind *kind = &cw_split_kind[by];
    return of_network[kind->network] | (kind->tapped ? (unsigned)CW_PART_KEEP : 0u);
}
