/* SPDX-License-Identifier: ISC */
#include "shelf.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

LV2_State_Status shelf_store(LV2_State_Handle handle, uint32_t key, const void *value, size_t size, uint32_t type,
                             uint32_t flags)
{
    struct shelf *shelf = handle;
    for (int i = 0; i < shelf->count; i++) {
        assert_true(shelf->property[i].key != key); /* each once */
    }
    assert_true(shelf->count < SHELF_MOST);
    struct shelf_property *property = &shelf->property[shelf->count++];
    *property = (struct shelf_property){key, type, size, malloc(size ? size : 1), flags};
    memcpy(property->value, value, size);
    return LV2_STATE_SUCCESS;
}

const void *shelf_retrieve(LV2_State_Handle handle, uint32_t key, size_t *size, uint32_t *type, uint32_t *flags)
{
    const struct shelf *shelf = handle;
    for (int i = 0; i < shelf->count; i++) {
        if (shelf->property[i].key == key) {
            *size = shelf->property[i].size;
            *type = shelf->property[i].type;
            *flags = shelf->property[i].flags;
            return shelf->property[i].value;
        }
    }
    return NULL;
}

static const LV2_State_Interface *state_of(struct host *host)
{
    return lilv_instance_get_extension_data(host_instance(host), LV2_STATE__interface);
}

void shelf_save(struct host *host, struct shelf *shelf)
{
    shelf->count = 0;
    assert_int_equal(
        state_of(host)->save(lilv_instance_get_handle(host_instance(host)), shelf_store, shelf, LV2_STATE_IS_POD, NULL),
        LV2_STATE_SUCCESS);
}

LV2_State_Status shelf_restore(struct host *host, struct shelf *shelf)
{
    return state_of(host)->restore(lilv_instance_get_handle(host_instance(host)), shelf_retrieve, shelf, 0, NULL);
}

void shelf_clear(struct shelf *shelf)
{
    while (shelf->count > 0) {
        free(shelf->property[--shelf->count].value);
    }
}
