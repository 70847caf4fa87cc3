/* SPDX-License-Identifier: ISC */
/* The LV2 user interface: the host's calls, handed on to the view and its window. All of it runs on
 * the host's user interface thread. */
#include <locale.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <lv2/atom/atom.h>
#include <lv2/core/lv2.h>
#include <lv2/options/options.h>
#include <lv2/ui/ui.h>
#include <lv2/urid/urid.h>

#include "blind.h"
#include "entropy.h"
#include "partner.h"
#include "plugin_uri.h"
#include "setup.h"
#include "view.h"
#include "view_blind.h"
#include "window.h"
#include "view_state.h"

struct ui {
    locale_t locale; /* of numbers with a point; the host's may have a comma */
    LV2UI_Write_Function write;
    LV2UI_Controller controller;
    const LV2UI_Touch *touch; /* NULL where the host has none */
    struct cw_view view;
    struct cw_window *window;
    struct cw_partner partner;
};

/* Numbers are read and printed alike whatever the host's locale: only this thread's is changed, and only until the call
 * returns. */
static locale_t enter(const struct ui *ui) { return ui->locale ? uselocale(ui->locale) : (locale_t)0; }

static void leave(locale_t before)
{
    if (before) {
        uselocale(before);
    }
}

static double seconds(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static void write_port(void *data, int port, float value)
{
    const struct ui *ui = data;
    ui->write(ui->controller, (uint32_t)port, sizeof value, 0, &value);
}

static void touch_port(void *data, int port, bool held)
{
    const struct ui *ui = data;
    if (ui->touch) {
        ui->touch->touch(ui->touch->handle, (uint32_t)port, held);
    }
}

static const void *feature(const LV2_Feature *const *features, const char *uri)
{
    for (; features && *features; features++) {
        if (strcmp((*features)->URI, uri) == 0) {
            return (*features)->data;
        }
    }
    return NULL;
}

/* The scale that the host asks for; 0 where it does not. */
static double scale_of(const LV2_Feature *const *features)
{
    const LV2_URID_Map *map = feature(features, LV2_URID__map);
    const LV2_Options_Option *option = feature(features, LV2_OPTIONS__options);
    if (!map || !option) {
        return 0.0;
    }
    const LV2_URID key = map->map(map->handle, LV2_UI__scaleFactor), type = map->map(map->handle, LV2_ATOM__Float);
    for (; option->key || option->value; option++) {
        if (option->key == key && option->type == type && option->size == sizeof(float) && option->value) {
            return (double)*(const float *)option->value;
        }
    }
    return 0.0;
}

static void free_ui(struct ui *ui)
{
    if (ui->locale) {
        freelocale(ui->locale);
    }
    free(ui);
}

static LV2UI_Handle instantiate(const LV2UI_Descriptor *descriptor, const char *plugin_uri, const char *bundle_path,
                                LV2UI_Write_Function write, LV2UI_Controller controller, LV2UI_Widget *widget,
                                const LV2_Feature *const *features)
{
    (void)descriptor;
    (void)bundle_path;
    const void *parent = feature(features, LV2_UI__parent);
    if (strcmp(plugin_uri, CW_PLUGIN_URI) != 0 || !parent) {
        return NULL;
    }
    struct ui *ui = calloc(1, sizeof *ui);
    if (!ui) {
        return NULL;
    }
    ui->locale = newlocale(LC_ALL_MASK, "C", (locale_t)0);
    locale_t before = enter(ui);
    ui->write = write;
    ui->controller = controller;
    ui->touch = feature(features, LV2_UI__touch);
    cw_view_init(&ui->view, &(struct cw_view_host){write_port, touch_port, ui});
    ui->window = cw_window_open((unsigned long)(uintptr_t)parent, scale_of(features), &ui->view);
    leave(before);
    if (!ui->window) {
        free_ui(ui);
        return NULL;
    }
    *widget = (LV2UI_Widget)(uintptr_t)cw_window_id(ui->window);
    cw_partner_open(&ui->partner, features);
    cw_partner_sync(&ui->partner, &ui->view);
    /* Hosts that make their own window first learn its size by this alone. */
    const LV2UI_Resize *resize = feature(features, LV2_UI__resize);
    if (resize && resize->ui_resize) {
        int width, height;
        cw_window_size(ui->window, &width, &height);
        resize->ui_resize(resize->handle, width, height);
    }
    return ui;
}

static void cleanup(LV2UI_Handle handle)
{
    struct ui *ui = handle;
    cw_view_close(&ui->view);
    cw_partner_close(&ui->partner, &ui->view);
    cw_window_close(ui->window);
    free_ui(ui);
}

static void port_event(LV2UI_Handle handle, uint32_t port, uint32_t size, uint32_t format, const void *buffer)
{
    struct ui *ui = handle;
    float value;
    if (format == 0 && size == sizeof value && port < CW_PORTS) {
        locale_t before = enter(ui);
        memcpy(&value, buffer, sizeof value);
        ui->view.model.now = seconds();
        cw_view_port(&ui->view, (int)port, (double)value);
        leave(before);
    }
}

static int idle(LV2UI_Handle handle)
{
    struct ui *ui = handle;
    ui->view.model.now = seconds();
    locale_t before = enter(ui);
    cw_partner_sync(&ui->partner, &ui->view);
    bool heads;
    if (ui->view.blind.state == CW_BLIND_DRAWING && cw_entropy_coin(&heads)) {
        cw_view_drawn(&ui->view, heads);
    }
    bool open = cw_window_idle(ui->window);
    leave(before);
    return open ? 0 : 1;
}

static const void *extension_data(const char *uri)
{
    static const LV2UI_Idle_Interface idle_interface = {idle};
    return strcmp(uri, LV2_UI__idleInterface) == 0 ? &idle_interface : NULL;
}

static const LV2UI_Descriptor descriptor = {CW_WINDOW_URI, instantiate, cleanup, port_event, extension_data};

LV2_SYMBOL_EXPORT const LV2UI_Descriptor *lv2ui_descriptor(uint32_t index) { return index == 0 ? &descriptor : NULL; }
