/* SPDX-License-Identifier: ISC */
/** \file notify.h
 * Tells the host that what the session keeps beside the controls was changed, so that it offers to save: LV2's
 * StateChanged, in the port of notifications.
 *
 * Threading class: cw_notify_init() instantiation, cw_notify_write() audio. No allocation, no lock.
 */
#ifndef CW_NOTIFY_H
#define CW_NOTIFY_H

#include <lv2/atom/atom.h>
#include <lv2/urid/urid.h>

/** URIDs are 0 where the host has no map; then nothing can be told. */
struct cw_notify {
    LV2_URID sequence, object, state_changed;
    unsigned told; /**< changes that the host knows of */
};

/** Nothing changed yet. \param map or NULL */
void cw_notify_init(struct cw_notify *notify, const LV2_URID_Map *map);

/** Fill the port, empty or with one notification where \p changes is another than was told last; where there is no room
 * for it, it is told another time.
 * \param port its atom's size is the room that the host offers; NULL where it is connected to nothing */
void cw_notify_write(struct cw_notify *notify, LV2_Atom_Sequence *port, unsigned changes);

#endif
