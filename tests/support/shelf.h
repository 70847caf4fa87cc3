/* SPDX-License-Identifier: ISC */
/** \file shelf.h
 * A session of a host of our own: what a plugin stores as LV2 state is kept as it is, in memory.
 */
#ifndef CW_TEST_SHELF_H
#define CW_TEST_SHELF_H

#include <lv2/state/state.h>
#include <lv2/urid/urid.h>
#include <stddef.h>
#include <stdint.h>

#include "host.h"

enum { SHELF_MOST = 16 };

struct shelf_property {
    LV2_URID key, type;
    size_t size;
    void *value;
    uint32_t flags;
};

struct shelf {
    struct shelf_property property[SHELF_MOST];
    int count;
};

/** Keep a property, which fails the test where its key is there already; the handle is a shelf. */
LV2_State_Status shelf_store(LV2_State_Handle handle, uint32_t key, const void *value, size_t size, uint32_t type,
                             uint32_t flags);

/** As LV2 has it; the handle is a shelf. */
const void *shelf_retrieve(LV2_State_Handle handle, uint32_t key, size_t *size, uint32_t *type, uint32_t *flags);

/** Save the state of an instance to an empty shelf, of any content before; or give it back. */
void shelf_save(struct host *host, struct shelf *shelf);
LV2_State_Status shelf_restore(struct host *host, struct shelf *shelf);

/** Free what is on it. */
void shelf_clear(struct shelf *shelf);

#endif
