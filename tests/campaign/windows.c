/* SPDX-License-Identifier: ISC */
/* Two windows and audio, as in a host: two instances of the plugin, each on an audio thread of its own, and their
 * windows on a third, on a real display and with a way to their instances. The windows get clicks, drags, wheels, keys
 * and sizes at random, are closed and opened again; names and learned levels go to and fro. For the sanitizers (make
 * check-windows): what they find ends it.
 *
 * usage: windows SECONDS SEED; CW_BUNDLE is the bundle, DISPLAY the display. */
#include <dlfcn.h>
#include <pthread.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <X11/Xlib.h>
#include <X11/keysym.h>
#include <lv2/data-access/data-access.h>
#include <lv2/instance-access/instance-access.h>
#include <lv2/ui/ui.h>

#include "host.h"
#include "layout.h"
#include "pages.h"
#include "plugin_uri.h"
#include "setup.h"
#include "shelf.h"

enum { PAIRS = 2, RATE = 48000, BLOCK = 64 };

/* One instance, its window, and the host's words between them. */
struct pair {
    struct host *host;
    _Atomic float port[CW_PORTS]; /* control inputs from the window, outputs to it */
    _Atomic long blocks, loud;    /* that were played, and those of which something was heard */
    Window parent, window;
    LV2UI_Handle handle;
    long writes;
};

static struct pair pairs[PAIRS];
static Display *display;
static const LV2UI_Descriptor *descriptor;
static atomic_bool over;
static long opened, events;

static void pause_us(long us) { nanosleep(&(struct timespec){us / 1000000, us % 1000000 * 1000}, NULL); }

/* ---- an audio thread ------------------------------------------------------------------------ */

static void *play(void *data)
{
    struct pair *p = data;
    float in[BLOCK], out[BLOCK];
    uint32_t seed = 3;
    while (!over) {
        for (int i = 0; i < BLOCK; i++) {
            in[i] = (float)(0.2 * (host_random_unit(&seed) - 0.5));
        }
        host_exchange(p->host, p->port);
        host_run(p->host, in, out, BLOCK, BLOCK);
        p->loud += out[BLOCK / 2] != 0.0f;
        p->blocks++;
        pause_us(200);
    }
    return NULL;
}

/* ---- the windows' thread -------------------------------------------------------------------- */

static void write_port(LV2UI_Controller controller, uint32_t port, uint32_t size, uint32_t protocol, const void *buffer)
{
    struct pair *p = controller;
    float value;
    if (size != sizeof value || protocol != 0 || port >= CW_PORT_METER) {
        abort();
    }
    memcpy(&value, buffer, sizeof value);
    p->port[port] = value;
    p->writes++;
}

static const void *data_access(const char *uri)
{
    return lilv_instance_get_extension_data(host_instance(pairs[0].host), uri);
}

static void open_window(struct pair *p)
{
    p->parent = XCreateSimpleWindow(display, DefaultRootWindow(display), p == pairs ? 0 : 1200, 0, 1150, 760, 0, 0, 0);
    XMapWindow(display, p->parent);
    XSync(display, False);
    LV2_Extension_Data_Feature access = {data_access};
    const LV2_Feature parent = {LV2_UI__parent, (void *)(uintptr_t)p->parent}, data = {LV2_DATA_ACCESS_URI, &access},
                      instance = {LV2_INSTANCE_ACCESS_URI, lilv_instance_get_handle(host_instance(p->host))};
    const LV2_Feature *const features[] = {&parent, &instance, &data, NULL};
    LV2UI_Widget widget = NULL;
    p->handle = descriptor->instantiate(descriptor, CW_PLUGIN_URI, host_bundle(), write_port, p, &widget, features);
    if (!p->handle) {
        fprintf(stderr, "windows: a window does not open\n");
        exit(1);
    }
    p->window = (Window)(uintptr_t)widget;
    opened++;
}

static void close_window(struct pair *p)
{
    descriptor->cleanup(p->handle);
    XDestroyWindow(display, p->parent);
    XSync(display, False);
}

static void send_pointer(struct pair *p, int type, int x, int y, unsigned button)
{
    XEvent event = {
        .xbutton = {.type = type, .window = p->window, .x = x, .y = y, .button = button, .same_screen = True}};
    event.xbutton.time = (Time)(20 * events);
    XSendEvent(display, p->window, False, NoEventMask, &event);
}

static void send_key(struct pair *p, KeySym symbol)
{
    XEvent event = {.xkey = {.type = KeyPress, .window = p->window, .same_screen = True}};
    event.xkey.keycode = XKeysymToKeycode(display, symbol);
    event.xkey.time = (Time)(20 * events);
    XSendEvent(display, p->window, False, NoEventMask, &event);
}

/* A click, a drag, a wheel, a key or a size, anywhere. */
static void send_any(struct pair *p, uint32_t *seed)
{
    static const KeySym keys[] = {XK_Tab, XK_Left, XK_Right, XK_Return, XK_Escape, XK_space, XK_Delete, XK_a,   XK_b,
                                  XK_x,   XK_n,    XK_l,     XK_s,      XK_1,      XK_9,     XK_Up,     XK_Down};
    const int x = (int)(host_random_unit(seed) * CW_WINDOW_WIDTH), y = (int)(host_random_unit(seed) * CW_WINDOW_HEIGHT);
    const unsigned what = host_random(seed) % 20, button = what < 3 ? 4 + what % 2 : what < 5 ? 3 : 1;
    events++;
    if (what < 10) {
        send_pointer(p, ButtonPress, x, y, button);
        if (what > 6) { /* the state of a motion stands where a button does */
            send_pointer(p, MotionNotify, x + 40, y, 0);
        }
        send_pointer(p, ButtonRelease, x + (what > 6 ? 40 : 0), y, button);
    } else if (what < 19) {
        send_key(p, keys[host_random(seed) % (sizeof keys / sizeof keys[0])]);
    } else {
        XResizeWindow(display, p->window, 300 + (unsigned)x, 200 + (unsigned)y);
    }
    XSync(display, False);
}

static void tell_all(struct pair *p)
{
    for (uint32_t port = CW_PORT_GLOBAL; port < CW_PORTS; port++) {
        const float value = p->port[port];
        descriptor->port_event(p->handle, port, sizeof value, 0, &value);
    }
}

/* The session is saved and restored beside it all. */
static void keep_session(struct pair *p)
{
    struct shelf shelf;
    shelf_save(p->host, &shelf);
    (void)shelf_restore(p->host, &shelf);
    shelf_clear(&shelf);
}

static void turn(double seconds, uint32_t seed)
{
    const LV2UI_Idle_Interface *idle = descriptor->extension_data(LV2_UI__idleInterface);
    const time_t until = time(NULL) + (time_t)seconds;
    for (long i = 0; time(NULL) < until; i++) {
        struct pair *p = &pairs[i % PAIRS];
        if (i % 400 >= 398) {
            close_window(p);
            open_window(p);
        }
        send_any(p, &seed);
        tell_all(p);
        (void)idle->idle(p->handle);
        if (i % 50 < PAIRS) {
            keep_session(p);
        }
        pause_us(2000);
    }
}

static const LV2UI_Descriptor *load(void)
{
    char path[512];
    snprintf(path, sizeof path, "%s/coilwright_ui.so", host_bundle());
    void *library = dlopen(path, RTLD_NOW | RTLD_LOCAL);
    const LV2UI_Descriptor *(*find)(uint32_t) = NULL;
    if (library) {
        *(void **)&find = dlsym(library, "lv2ui_descriptor");
    }
    return find ? find(0) : NULL;
}

int main(int argc, char **argv)
{
    pthread_t audio[PAIRS];
    display = XOpenDisplay(NULL);
    descriptor = load();
    if (argc != 3 || !display || !descriptor) {
        fprintf(stderr, "usage: windows SECONDS SEED, with CW_BUNDLE and DISPLAY\n");
        return 2;
    }
    for (int i = 0; i < PAIRS; i++) {
        pairs[i].host = host_new(RATE);
        for (size_t port = CW_PORT_GLOBAL; port < CW_PORT_METER; port++) {
            pairs[i].port[port] = host_get(pairs[i].host, host_symbol(pairs[i].host, port));
        }
    }
    for (int i = 0; i < PAIRS; i++) {
        open_window(&pairs[i]);
        pthread_create(&audio[i], NULL, play, &pairs[i]);
    }
    turn(atof(argv[1]), (uint32_t)atol(argv[2]));
    over = true;
    bool bad = false;
    for (int i = 0; i < PAIRS; i++) {
        pthread_join(audio[i], NULL);
        close_window(&pairs[i]);
        printf("instance %d: %ld blocks, %ld heard, %ld values from its window\n", i + 1, pairs[i].blocks,
               pairs[i].loud, pairs[i].writes);
        bad = bad || pairs[i].writes == 0 || pairs[i].loud == 0;
        host_free(pairs[i].host);
    }
    printf("%ld events, %ld windows opened\n", events, opened);
    XCloseDisplay(display);
    return bad;
}
