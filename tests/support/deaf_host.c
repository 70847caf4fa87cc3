/* SPDX-License-Identifier: ISC */
#include "deaf_host.h"

static void write_port(void *data, int port, float value)
{
    (void)data;
    (void)port;
    (void)value;
}

static void touch_port(void *data, int port, bool held)
{
    (void)data;
    (void)port;
    (void)held;
}

const struct cw_view_host deaf_host = {.write = write_port, .touch = touch_port};
