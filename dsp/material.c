/* SPDX-License-Identifier: ISC */
#include "material.h"

/* Br and HcB of alnico 2, 3, 5, 8 and ceramic 8, and the conductivities: single figures of the
 * material library of FEMM (D. Meeker), means of its grades for 5 and 8. Energy products and
 * recoil permeabilities: cast grades of MMPA 0100-00, from memory. */
const struct cw_magnet_info cw_magnet_info[CW_MAGNETS] = {
    [CW_MAGNET_ALNICO_2] = {0.720, 45.1e3, 13.5e3, 6.4, 1.5e6, "FEMM; (BH)max, recoil MMPA 0100-00 from memory"},
    [CW_MAGNET_ALNICO_3] = {0.606, 44.2e3, 10.7e3, 6.5, 1.7e6, "FEMM; (BH)max, recoil MMPA 0100-00 from memory"},
    [CW_MAGNET_ALNICO_4] = {0.560, 57.0e3, 10.7e3, 4.1, 1.33e6, "MMPA 0100-00, all from memory"},
    [CW_MAGNET_ALNICO_5] = {1.228, 51.4e3, 43.8e3, 4.0, 2.1e6,
                            "FEMM; (BH)max MMPA 0100-00 from memory; recoil between 2.2 and 4.3 by source"},
    [CW_MAGNET_ALNICO_8] = {0.833, 109.3e3, 42.2e3, 2.0, 1.9e6, "FEMM; (BH)max, recoil MMPA 0100-00 from memory"},
    [CW_MAGNET_CERAMIC] = {0.391, 233.6e3, 27.8e3, 1.05, 0.0, "FEMM, ceramic 8; (BH)max MMPA 0100-00 from memory"},
};

/* Rod sizes: common practice, no source. The permeabilities of steel slugs and ferrite are the pair
 * that gives the two inductances of the published coil (docs/model.md); 100 to 500 is what steel
 * under a magnet's bias is said to have, from memory. */
const struct cw_core_info cw_core_info[CW_CORES] = {
    [CW_CORE_STEEL_SLUGS] = {188.0, 5.8e6, 4.8e-3, 19.2e-3, "calibrated; conductivity FEMM, steels 1006 to 1117"},
    [CW_CORE_STEEL_SCREWS] = {188.0, 5.8e6, 4.3e-3, 19.0e-3,
                              "as the slugs, at the mean diameter of the thread; common practice, no source"},
    [CW_CORE_MAGNET_RODS] = {0.0, 0.0, 4.8e-3, 17.0e-3, "of the magnet"},
    [CW_CORE_FERRITE] = {2000.0, 1.0, 4.8e-3, 19.2e-3, "manganese-zinc ferrite, from memory"},
    [CW_CORE_AIR] = {1.0, 0.0, 0.0, 0.0, "none"},
};

const struct cw_dielectric_info cw_enamel_info = {3.7, "polyurethane film, MAS wire data; other films 3.7 to 4.1"};

/* The middle of the range that thelen.us gives for each wax. */
const struct cw_dielectric_info cw_potting_info[CW_POTTINGS] = {
    [CW_POTTING_NONE] = {1.00059, "air"},
    [CW_POTTING_PARAFFIN] = {2.3, "paraffin, 2.1 to 2.5"},
    [CW_POTTING_BEESWAX] = {2.8, "beeswax, 2.6 to 3.0"},
    [CW_POTTING_MIXED] = {2.4, "four parts paraffin, one beeswax by volume: the mean of the two rows"},
};
