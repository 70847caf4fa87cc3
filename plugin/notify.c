/* SPDX-License-Identifier: ISC */
#include "notify.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <lv2/state/state.h>

/* An object without properties, at the first sample. */
struct message {
    LV2_Atom_Event event;
    LV2_Atom_Object_Body object;
};

_Static_assert(sizeof(struct message) == 24, "without a gap, and a multiple of 8 bytes: nothing is to be padded");

void cw_notify_init(struct cw_notify *notify, const LV2_URID_Map *map)
{
    *notify = (struct cw_notify){.told = 0};
    if (map) {
        notify->sequence = map->map(map->handle, LV2_ATOM__Sequence);
        notify->object = map->map(map->handle, LV2_ATOM__Object);
        notify->state_changed = map->map(map->handle, LV2_STATE__StateChanged);
    }
}

/* Behind an empty sequence. */
static void tell(struct cw_notify *notify, LV2_Atom_Sequence *port, unsigned changes)
{
    const struct message message = {.event.body = {sizeof message.object, notify->object},
                                    .object = {.id = 0, .otype = notify->state_changed}};
    memcpy(&port->body + 1, &message, sizeof message);
    port->atom.size += (uint32_t)sizeof message;
    notify->told = changes;
}

void cw_notify_write(struct cw_notify *notify, LV2_Atom_Sequence *port, unsigned changes)
{
    if (!port) {
        return;
    }
    const uint32_t room = port->atom.size, least = sizeof port->body;
    const bool empty = notify->sequence && room >= least;
    port->atom = (LV2_Atom){empty ? least : 0, notify->sequence};
    if (!empty) {
        return;
    }
    port->body = (LV2_Atom_Sequence_Body){0, 0};
    if (changes != notify->told && room >= least + sizeof(struct message)) {
        tell(notify, port, changes);
    }
}
