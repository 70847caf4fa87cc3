/* SPDX-License-Identifier: ISC */
#include "material.h"

/* Br and HcB of alnico 2, 3, 5, 8 and ceramic 8, and the conductivities: single figures of the
 * material library of FEMM (D. Meeker), means of its grades for 5 and 8. Energy products: cast grades of
 * MMPA 0100-00, from memory. Recoil permeabilities: the same, so that magnets compare by one source; other
 * sources give alnico 5 as little as 2.2, and the others are taken to be as uncertain downwards, and a tenth up. */
const struct cw_magnet_info cw_magnet_info[CW_MAGNETS] = {
    [CW_MAGNET_ALNICO_2] =
        {0.720, 45.1e3, 13.5e3, {3.5, 6.4, 7.0}, 1.5e6, "FEMM; (BH)max, recoil MMPA 0100-00 from memory"},
    [CW_MAGNET_ALNICO_3] =
        {0.606, 44.2e3, 10.7e3, {3.6, 6.5, 7.1}, 1.7e6, "FEMM; (BH)max, recoil MMPA 0100-00 from memory"},
    [CW_MAGNET_ALNICO_4] = {0.560, 57.0e3, 10.7e3, {2.3, 4.1, 4.5}, 1.33e6, "MMPA 0100-00, all from memory"},
    [CW_MAGNET_ALNICO_5] = {1.228,
                            51.4e3,
                            43.8e3,
                            {2.2, 4.0, 4.3},
                            2.1e6,
                            "FEMM; (BH)max MMPA 0100-00 from memory; recoil between 2.2 and 4.3 by source"},
    [CW_MAGNET_ALNICO_8] =
        {0.833, 109.3e3, 42.2e3, {1.3, 2.0, 2.2}, 1.9e6, "FEMM; (BH)max, recoil MMPA 0100-00 from memory"},
    [CW_MAGNET_CERAMIC] =
        {0.391, 233.6e3, 27.8e3, {1.04, 1.05, 1.1}, 0.0, "FEMM, ceramic 8; (BH)max MMPA 0100-00 from memory"},
};

/* Rod sizes: common practice, no source; slugs are 12.7 to 13.7 mm long (from memory), the middle is taken. Tops
 * stand over the winding by a flange of 1 mm, screws and rods by what looks out of it too. Permeability of steel
 * under a magnet's bias: 100 to 500, from memory; of manganese-zinc ferrite: 2000, from memory, of no
 * weight in a rod that is three times as long as thick.
 *
 * A bar between steel poles: demagnetising factor 0.15 with slugs alone, 0.11 with screws and their keeper, by
 * moments of magnetised bodies of those sizes (common practice for the sizes); bare, 0.20 as an elliptic
 * cylinder of 12.7 x 3.2 mm (J. A. Osborn, 1945).
 *
 * Flux density at the top with alnico 5: some 100 mT on rods, 45 mT on poles fed by a bar, both from memory,
 * readings scatter by a factor of 1.5; a bare bar below the coil reaches the string with 0.72 of what its
 * slugs do, by the field of its charged faces. */
const struct cw_core_info cw_core_info[CW_CORES] = {
    [CW_CORE_STEEL_SLUGS] = {{100.0, 200.0, 500.0},
                             5.8e6,
                             4.8e-3,
                             13.2e-3,
                             1.0e-3,
                             0.15,
                             0.045,
                             "permeability from memory; conductivity FEMM, steels 1006 to 1117"},
    [CW_CORE_STEEL_SCREWS] = {{100.0, 200.0, 500.0},
                              5.8e6,
                              4.3e-3,
                              19.0e-3,
                              3.0e-3,
                              0.11,
                              0.045,
                              "as the slugs, at the mean diameter of the thread; common practice, no source"},
    [CW_CORE_MAGNET_RODS] = {{0.0, 0.0, 0.0}, 0.0, 4.8e-3, 17.0e-3, 3.0e-3, 0.0, 0.100, "of the magnet"},
    [CW_CORE_FERRITE] =
        {{1000.0, 2000.0, 5000.0}, 1.0, 4.8e-3, 13.2e-3, 1.0e-3, 0.15, 0.045, "manganese-zinc ferrite, from memory"},
    [CW_CORE_AIR] = {{1.0, 1.0, 1.0}, 0.0, 0.0, 13.2e-3, 1.0e-3, 0.20, 0.0324, "none"},
};

/* Estimates: the time constant of a closed frame of 70 x 38 mm, 15 mm high and 0.5 mm thick (0.12 uH by its
 * sides; nickel silver 0.3, brass 0.065 uohm m, from memory), and a share from what such covers are said to
 * take: up to 14 % of the inductance for brass, some 2 dB of the peak for nickel silver (hand estimate, no
 * source). Steel, at 0.17 uohm m, has a skin of its own, which this does not have. */
const struct cw_cover_info cw_cover_info[CW_COVERS] = {
    [CW_COVER_NONE] = {0.0, 1e3, "none"},
    [CW_COVER_NICKEL_SILVER] = {0.14, 10e3, "estimate"},
    [CW_COVER_BRASS] = {0.14, 2.3e3, "estimate"},
    [CW_COVER_STEEL] = {0.10, 6e3, "estimate"},
    [CW_COVER_BY_VALUES] = {0.0, 1e3, "of the setup"},
};

const struct cw_dielectric_info cw_enamel_info = {3.7, "polyurethane film, MAS wire data; other films 3.7 to 4.1"};

/* The middle of the range that thelen.us gives for each wax. */
const struct cw_dielectric_info cw_potting_info[CW_POTTINGS] = {
    [CW_POTTING_NONE] = {1.00059, "air"},
    [CW_POTTING_PARAFFIN] = {2.3, "paraffin, 2.1 to 2.5"},
    [CW_POTTING_BEESWAX] = {2.8, "beeswax, 2.6 to 3.0"},
    [CW_POTTING_MIXED] = {2.4, "four parts paraffin, one beeswax by volume: the mean of the two rows"},
};
