/* SPDX-License-Identifier: ISC */
/** \file material.h
 * The one table of materials: magnets, cores, insulation, wax. SI units; each row names its source.
 *
 * "From memory" marks a figure that could not be held against its source.
 *
 * Threading class: constant data, any thread.
 */
#ifndef CW_MATERIAL_H
#define CW_MATERIAL_H

#include "setup.h"

#ifdef __cplusplus
extern "C" {
#endif

/** A value that sources do not agree on. */
struct cw_range {
    double low, usual, high;
};

/** A permanent magnet. */
struct cw_magnet_info {
    double remanence;                    /**< Br, tesla */
    double coercivity;                   /**< HcB, ampere per metre */
    double energy_product;               /**< (BH)max, joule per cubic metre */
    struct cw_range recoil_permeability; /**< relative */
    double conductivity;                 /**< siemens per metre */
    const char *source;
};

/** Six rods inside the coil, and what they do to a bar magnet below. */
struct cw_core_info {
    struct cw_range permeability; /**< relative, small signal under the magnet's bias; 0 where it is the magnet's own */
    double conductivity;          /**< siemens per metre; not used where permeability is 0 */
    double diameter;              /**< of a rod, metre; 0 for no core */
    double length;                /**< of a rod, metre */
    double above;                 /**< how far its top stands over the top of the winding, metre */
    double bar_demagnetising;     /**< demagnetising factor of a bar that feeds them; 0 where they are the magnet */
    double top_flux;              /**< flux density at a pole's top with alnico 5, tesla */
    const char *source;
};

/** Metal around a coil; see cw_core_add_metal(). */
struct cw_cover_info {
    double share;  /**< of the inductance that it takes away far above its corner */
    double corner; /**< hertz */
    const char *source;
};

/** What lies between the conductors. */
struct cw_dielectric_info {
    double permittivity; /**< relative */
    const char *source;
};

extern const struct cw_magnet_info cw_magnet_info[CW_MAGNETS];
extern const struct cw_core_info cw_core_info[CW_CORES];
extern const struct cw_cover_info cw_cover_info[CW_COVERS];
extern const struct cw_dielectric_info cw_enamel_info;
extern const struct cw_dielectric_info cw_potting_info[CW_POTTINGS];

#ifdef __cplusplus
}
#endif
#endif
