/* SPDX-License-Identifier: ISC */
/* The window's binary in a host of our own, on a virtual display: it opens, is resized and closes
 * many times, two at once, the host's window first; the pointer and the keys are real ones, by
 * xdotool. CW_UI_ROUNDS (100) is the number of openings; CW_TEST_FILTER picks tests by name, CW_TEST_SKIP leaves some
 * out. */
#include <dlfcn.h>
#include <fcntl.h>
#include <locale.h>
#include <math.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#ifdef __linux__
#include <sys/prctl.h>
#endif
#include <sys/resource.h>
#include <sys/types.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>

#include <X11/Xlib.h>
#include <X11/Xutil.h>
#include <X11/keysym.h>
#include <lv2/atom/atom.h>
#include <lv2/options/options.h>
#include <lv2/ui/ui.h>
#include <lv2/urid/urid.h>

#include "blind.h"
#include "control.h"
#include "deaf_host.h"
#include "draw.h"
#include "figure_words.h"
#include "layout.h"
#include "model.h"
#include "pages.h"
#include "plugin_uri.h"
#include "rect.h"
#include "redraw.h"
#include "search.h"
#include "setup.h"
#include "view.h"
#include "view_state.h"
#include "within.h"

static pid_t server;
static Display *display;
static const LV2UI_Descriptor *descriptor;
static int errors; /* that reached the host's handler */

struct guest {
    Window parent, window;
    LV2UI_Handle handle;
    const LV2UI_Idle_Interface *idle;
    int writes, port, touches, held;
    float value;
};

static int count_error(Display *where, XErrorEvent *event)
{
    (void)where;
    (void)event;
    return errors++;
}

static void pause_ms(int ms) { nanosleep(&(struct timespec){ms / 1000, ms % 1000 * 1000000L}, NULL); }

/* --- the display --- */

/* A virtual display with a number of its own choice. */
static bool start_server(void)
{
    int ends[2];
    char number[16] = "", name[20];
    if (pipe(ends) != 0) {
        return false;
    }
    server = fork();
    if (server == 0) {
        char fd[12];
        snprintf(fd, sizeof fd, "%d", ends[1]);
        close(ends[0]);
#ifdef __linux__
        prctl(PR_SET_PDEATHSIG, SIGTERM); /* if this program is stopped, so is the server */
#endif
        dup2(open("/dev/null", O_WRONLY), STDERR_FILENO);
        execlp("Xvfb", "Xvfb", "-displayfd", fd, "-screen", "0", "2600x1700x24", "-nolisten", "tcp", "-noreset",
               (char *)NULL);
        _exit(127);
    }
    close(ends[1]);
    /* It writes its number and the end of the line apart, and is there only after the latter. */
    for (size_t used = 0; server > 0 && used < sizeof number - 1 && !strchr(number, '\n'); used++) {
        if (read(ends[0], number + used, 1) != 1) {
            break;
        }
    }
    close(ends[0]);
    if (!strchr(number, '\n')) {
        return false;
    }
    number[strcspn(number, "\n")] = '\0';
    snprintf(name, sizeof name, ":%s", number);
    setenv("DISPLAY", name, 1);
    display = XOpenDisplay(NULL);
    return display != NULL;
}

static void stop_server(void)
{
    if (display) {
        XCloseDisplay(display);
    }
    if (server > 0) {
        kill(server, SIGTERM);
        waitpid(server, NULL, 0);
    }
}

static const char *bundle(void)
{
    const char *path = getenv("CW_BUNDLE");
    return path ? path : "build/lv2/coilwright.lv2";
}

static bool load(void)
{
    char path[512];
    snprintf(path, sizeof path, "%s/coilwright_ui.so", bundle());
    void *library = dlopen(path, RTLD_NOW | RTLD_LOCAL);
    if (!library) {
        fprintf(stderr, "%s\n", dlerror());
        return false;
    }
    /* The way POSIX has a function pointer come out of dlsym(). */
    const LV2UI_Descriptor *(*find)(uint32_t);
    *(void **)&find = dlsym(library, "lv2ui_descriptor");
    descriptor = find ? find(0) : NULL;
    return descriptor && !find(1);
}

/* --- a host --- */

static void write_port(LV2UI_Controller controller, uint32_t port, uint32_t size, uint32_t protocol, const void *buffer)
{
    struct guest *guest = controller;
    assert_int_equal(size, sizeof(float));
    assert_int_equal(protocol, 0);
    guest->writes++;
    guest->port = (int)port;
    memcpy(&guest->value, buffer, sizeof guest->value);
}

static void touch_port(LV2UI_Feature_Handle handle, uint32_t port, bool held)
{
    struct guest *guest = handle;
    (void)port;
    guest->touches++;
    guest->held += held ? 1 : -1;
}

static LV2_URID map_uri(LV2_URID_Map_Handle handle, const char *uri)
{
    (void)handle;
    return strcmp(uri, LV2_UI__scaleFactor) == 0 ? 1 : strcmp(uri, LV2_ATOM__Float) == 0 ? 2 : 3;
}

static void new_parent(struct guest *guest, int x)
{
    memset(guest, 0, sizeof *guest);
    guest->parent = XCreateSimpleWindow(display, DefaultRootWindow(display), x, 0, 2300, 1500, 0, 0, 0);
    XMapWindow(display, guest->parent);
    XSync(display, False);
}

static int asked_width, asked_height;

static int resize_host(LV2UI_Feature_Handle handle, int width, int height)
{
    (void)handle;
    asked_width = width;
    asked_height = height;
    return 0;
}

/* Scale 0: the host says none. */
static bool open_guest(struct guest *guest, int x, float scale)
{
    new_parent(guest, x);
    LV2UI_Touch touch = {guest, touch_port};
    LV2_URID_Map map = {NULL, map_uri};
    LV2_Options_Option options[] = {{LV2_OPTIONS_INSTANCE, 0, 1, sizeof scale, 2, &scale},
                                    {LV2_OPTIONS_INSTANCE, 0, 0, 0, 0, NULL}};
    LV2_Feature parent_feature = {LV2_UI__parent, (void *)(uintptr_t)guest->parent},
                map_feature = {LV2_URID__map, &map}, options_feature = {LV2_OPTIONS__options, options};
    /* Touch outlives this call. */
    static LV2UI_Touch touches[8];
    static int used;
    touches[used % 8] = touch;
    LV2_Feature touch_feature = {LV2_UI__touch, &touches[used++ % 8]};
    static LV2UI_Resize resize = {NULL, resize_host};
    LV2_Feature resize_feature = {LV2_UI__resize, &resize};
    const LV2_Feature *features[] = {
        &parent_feature, &touch_feature, &resize_feature, scale > 0 ? &map_feature : NULL, &options_feature, NULL};
    LV2UI_Widget widget = NULL;
    guest->handle = descriptor->instantiate(descriptor, CW_PLUGIN_URI, bundle(), write_port, guest, &widget, features);
    guest->window = (Window)(uintptr_t)widget;
    guest->idle = descriptor->extension_data(LV2_UI__idleInterface);
    if (guest->handle && scale > 0) { /* the host is asked for the window's size, in its own pixels */
        assert_int_equal(asked_width, (int)lround(CW_WINDOW_WIDTH * (double)scale));
        assert_int_equal(asked_height, (int)lround(CW_WINDOW_HEIGHT * (double)scale));
    }
    return guest->handle != NULL;
}

static void close_guest(struct guest *guest)
{
    descriptor->cleanup(guest->handle);
    XDestroyWindow(display, guest->parent);
    XSync(display, False);
}

static void tell(struct guest *guest, int port, float value)
{
    descriptor->port_event(guest->handle, (uint32_t)port, sizeof value, 0, &value);
}

/* What a host sends on opening. */
static void tell_all(struct guest *guest)
{
    struct cw_control control;
    for (int port = CW_PORT_GLOBAL; port < CW_PORT_METER; port++) {
        cw_control_of(port, &control);
        tell(guest, port, (float)control.info->preset);
    }
}

static void idle_for(struct guest *guest, int ms)
{
    for (; ms > 0; ms -= 10) {
        guest->idle->idle(guest->handle);
        pause_ms(10);
    }
    guest->idle->idle(guest->handle);
}

static void size_of(struct guest *guest, int *width, int *height)
{
    XWindowAttributes attributes;
    XGetWindowAttributes(display, guest->window, &attributes);
    *width = attributes.width;
    *height = attributes.height;
}

static unsigned long pixel_at(struct guest *guest, double x, double y)
{
    XImage *image = XGetImage(display, guest->window, (int)x, (int)y, 1, 1, AllPlanes, ZPixmap);
    unsigned long pixel = XGetPixel(image, 0, 0) & 0xffffff;
    XDestroyImage(image);
    return pixel;
}

static int rounds(void)
{
    const char *text = getenv("CW_UI_ROUNDS");
    return text ? atoi(text) : 100;
}

/* --- its life --- */

static void test_many_times(void **state)
{
    (void)state;
    static const int sizes[][2] = {{720, 480}, {1280, 720}, {300, 100}, {1, 1}, {1900, 1200}};
    for (int i = 0; i < rounds(); i++) {
        struct guest guest;
        assert_true(open_guest(&guest, 0, i % 3 == 1 ? 2.0f : 0.0f));
        tell_all(&guest);
        guest.idle->idle(guest.handle);
        for (int k = 0; k <= i % 2; k++) {
            XResizeWindow(display, guest.window, (unsigned)sizes[(i + k) % 5][0], (unsigned)sizes[(i + k) % 5][1]);
            XSync(display, False);
            tell(&guest, cw_port_of_param(CW_B, CW_P_CABLE_LENGTH), (float)(i % 30));
            assert_int_equal(guest.idle->idle(guest.handle), 0);
        }
        assert_int_equal(guest.writes, 0);
        close_guest(&guest);
    }
    assert_int_equal(errors, 0);
}

static void test_two_at_once(void **state)
{
    (void)state;
    struct guest first, second;
    assert_true(open_guest(&first, 0, 0) && open_guest(&second, 1200, 0));
    tell_all(&first);
    tell_all(&second);
    tell(&second, cw_port_of_global(CW_G_LISTEN), CW_LISTEN_B);
    idle_for(&first, 50);
    idle_for(&second, 50);
    /* The button heard is in its colour, in each window its own. */
    struct cw_layout layout;
    static struct cw_model model;
    cw_model_init(&model);
    cw_layout_build(&layout, CW_WINDOW_WIDTH, CW_WINDOW_HEIGHT, &model, CW_A, CW_PAGE_COIL);
    struct cw_rect button = layout.item[cw_layout_find(&layout, CW_ITEM_LISTEN, CW_LISTEN_A)].box;
    unsigned long on = pixel_at(&first, button.x + button.w - 8, button.y + 6);
    unsigned long off = pixel_at(&second, button.x + button.w - 8, button.y + 6);
    assert_true(on != off);
    close_guest(&first);
    assert_int_equal(second.idle->idle(second.handle), 0);
    tell(&second, cw_port_of_global(CW_G_LISTEN), CW_LISTEN_A);
    idle_for(&second, 50);
    assert_true(pixel_at(&second, button.x + button.w - 8, button.y + 6) == on);
    close_guest(&second);
    assert_int_equal(errors, 0);
}

/* The host's window goes, and ours in it, before, between and after calls. */
static void test_host_closes_first(void **state)
{
    (void)state;
    for (int i = 0; i < 20; i++) {
        struct guest guest;
        assert_true(open_guest(&guest, 0, 0));
        if (i % 2) {
            tell_all(&guest);
            idle_for(&guest, 20);
        }
        XDestroyWindow(display, guest.parent);
        XSync(display, False);
        tell(&guest, cw_port_of_param(CW_A, CW_P_CABLE_LENGTH), 12.0f);
        if (i % 4 < 2) {
            assert_true(guest.idle->idle(guest.handle) != 0);
            assert_true(guest.idle->idle(guest.handle) != 0);
        }
        tell(&guest, cw_port_of_param(CW_A, CW_P_CABLE_LENGTH), 13.0f);
        descriptor->cleanup(guest.handle);
    }
    /* No error of ours came to the host, and its handler is in place. */
    assert_int_equal(errors, 0);
    assert_true(XSetErrorHandler(count_error) == count_error);
}

static void test_refusals(void **state)
{
    (void)state;
    LV2UI_Widget widget;
    struct guest guest;
    const LV2_Feature *none[] = {NULL};
    new_parent(&guest, 0);
    LV2_Feature parent = {LV2_UI__parent, (void *)(uintptr_t)guest.parent},
                wrong = {LV2_UI__parent, (void *)(uintptr_t)0x7fffff};
    const LV2_Feature *features[] = {&parent, NULL}, *astray[] = {&wrong, NULL};
    assert_null(descriptor->instantiate(descriptor, CW_PLUGIN_URI, bundle(), write_port, &guest, &widget, none));
    assert_null(descriptor->instantiate(descriptor, CW_PLUGIN_URI, bundle(), write_port, &guest, &widget, astray));
    assert_null(
        descriptor->instantiate(descriptor, "urn:another:plugin", bundle(), write_port, &guest, &widget, features));
    assert_null(descriptor->extension_data("urn:another:extension"));
    char kept[64];
    snprintf(kept, sizeof kept, "%s", getenv("DISPLAY"));
    setenv("DISPLAY", ":none", 1);
    assert_null(descriptor->instantiate(descriptor, CW_PLUGIN_URI, bundle(), write_port, &guest, &widget, features));
    setenv("DISPLAY", kept, 1);
    XDestroyWindow(display, guest.parent);
    assert_int_equal(errors, 0);
}

static void test_scale(void **state)
{
    (void)state;
    static const float scales[] = {0.0f, 1.0f, 1.5f, 2.0f};
    for (int i = 0; i < 4; i++) {
        struct guest guest;
        int width, height;
        double scale = scales[i] > 0 ? (double)scales[i] : 1.0;
        XSizeHints hints;
        long supplied;
        assert_true(open_guest(&guest, 0, scales[i]));
        size_of(&guest, &width, &height);
        within(width, CW_WINDOW_WIDTH * scale, 0.5, "width");
        within(height, CW_WINDOW_HEIGHT * scale, 0.5, "height");
        assert_true(XGetWMNormalHints(display, guest.window, &hints, &supplied));
        assert_true(hints.flags & PMinSize);
        within(hints.min_width, CW_WINDOW_WIDTH_MIN * scale, 0.5, "smallest width");
        within(hints.min_height, CW_WINDOW_HEIGHT_MIN * scale, 0.5, "smallest height");
        close_guest(&guest);
    }
}

static double processor_seconds(void)
{
    struct rusage used;
    getrusage(RUSAGE_SELF, &used);
    return (double)used.ru_utime.tv_sec + (double)used.ru_stime.tv_sec +
           1e-6 * (double)(used.ru_utime.tv_usec + used.ru_stime.tv_usec);
}

/* With nothing to do, and with a host that repeats itself, 1000 calls cost less than ten redraws. */
static void test_idle_costs_nothing(void **state)
{
    (void)state;
    struct guest guest;
    assert_true(open_guest(&guest, 0, 0));
    tell_all(&guest);
    idle_for(&guest, 100);
    double start = processor_seconds();
    for (int i = 0; i < 10; i++) {
        tell(&guest, cw_port_of_param(CW_A, CW_P_CABLE_LENGTH), (float)(10 + i % 2));
        guest.idle->idle(guest.handle);
    }
    double ten = processor_seconds() - start;
    start = processor_seconds();
    for (int i = 0; i < 1000; i++) {
        tell(&guest, cw_port_of_param(CW_A, CW_P_CABLE_LENGTH), 11.0f);
        guest.idle->idle(guest.handle);
    }
    double idle = processor_seconds() - start;
    printf("ten redraws %.1f ms, a thousand idle calls %.1f ms\n", 1e3 * ten, 1e3 * idle);
    assert_true(idle < ten);
    close_guest(&guest);
}

static void test_redraw_time(void **state)
{
    (void)state;
    double ms = redraw_ms(1280, 720, 20);
    printf("a full redraw at 1280x720 takes %.2f ms of processor time\n", ms);
    /* A bound for any build and a busy machine; `make bench` reports the figure. */
    assert_true(ms > 0.0 && ms < 200.0);
}

/* --- a real pointer and real keys --- */

static struct guest hand;    /* the window that is worked */
static struct cw_model same; /* what it should show */
static struct cw_layout places;

static bool have_xdotool(void) { return system("command -v xdotool >/dev/null 2>&1") == 0; }

static int open_hand(void **state)
{
    (void)state;
    if (!have_xdotool()) {
        return 0;
    }
    if (!open_guest(&hand, 0, 0)) {
        return 1;
    }
    tell_all(&hand);
    idle_for(&hand, 50);
    cw_model_init(&same);
    cw_layout_build(&places, CW_WINDOW_WIDTH, CW_WINDOW_HEIGHT, &same, CW_A, CW_PAGE_COIL);
    return 0;
}

static int close_hand(void **state)
{
    (void)state;
    if (have_xdotool()) {
        int held = hand.held;
        close_guest(&hand);
        return held != 0 || errors != 0;
    }
    return 0;
}

static void xdotool(const char *words)
{
    char command[300];
    snprintf(command, sizeof command, "xdotool %s", words);
    FILE *pipe_end = popen(command, "r");
    assert_non_null(pipe_end);
    assert_int_equal(pclose(pipe_end), 0);
}

/* Let xdotool act, idling the while; then until something is written, or nothing for a second. */
static void act(const char *format, ...)
{
    char words[256];
    va_list list;
    va_start(list, format);
    vsnprintf(words, sizeof words, format, list);
    va_end(list);
    int before = hand.writes;
    xdotool(words);
    for (int i = 0; i < 100 && hand.writes == before; i++) {
        idle_for(&hand, 10);
    }
    idle_for(&hand, 40);
}

static void need_xdotool(void)
{
    if (!have_xdotool()) {
        print_message("SKIP: xdotool is not installed: no real pointer works the window\n");
        skip();
    }
}

static struct cw_item place(enum cw_item_kind kind, int id) { return places.item[cw_layout_find(&places, kind, id)]; }
static int middle_x(struct cw_item it) { return (int)(it.box.x + it.box.w / 2); }
static int middle_y(struct cw_item it) { return (int)(it.box.y + it.box.h / 2); }

static void expect(int port, double value, double tolerance, const char *what)
{
    if (hand.writes == 0 || hand.port != port) {
        fail_msg("%s: %d writes, the last to port %d, expected port %d", what, hand.writes, hand.port, port);
    }
    within((double)hand.value, value, tolerance, what);
    hand.writes = 0;
}

static void test_mouse(void **state)
{
    (void)state;
    need_xdotool();
    struct cw_item button = place(CW_ITEM_LISTEN, CW_LISTEN_B),
                   cable = place(CW_ITEM_CABLE, cw_port_of_param(CW_B, CW_P_CABLE_LENGTH)),
                   match = place(CW_ITEM_TOGGLE, cw_port_of_global(CW_G_LEVEL_MATCH)),
                   coils = place(CW_ITEM_LIST, cw_port_of_param(CW_A, CW_P_COILS)),
                   henry = place(CW_ITEM_SLIDER, cw_port_of_param(CW_A, CW_P_INDUCTANCE));
    act("mousemove %d %d click 1", middle_x(button), middle_y(button));
    expect(cw_port_of_global(CW_G_LISTEN), CW_LISTEN_B, 0, "a button");
    act("mousemove %d %d click 1", middle_x(match), middle_y(match));
    expect(match.id, 1, 0, "a toggle");
    int end = (int)(cable.track.x + cable.track.w / 6), y = (int)cable.track.y + 8;
    act("mousemove %d %d mousedown 1 mousemove %d %d mouseup 1", end, y, end + (int)(cable.track.w / 6), y);
    expect(cable.id, 10, 0.2, "the cable, twice as long");
    assert_int_equal(hand.held, 0);
    /* The cable turned the panel to B. */
    struct cw_item tab = place(CW_ITEM_TAB, CW_A);
    act("mousemove %d %d click 1", middle_x(tab), middle_y(tab));
    expect(cw_port_of_global(CW_G_LISTEN), CW_LISTEN_A, 0, "what is edited is heard");
    int x = (int)(henry.track.x + 10);
    y = middle_y(henry);
    act("mousemove %d %d mousedown 1 mousemove_relative 30 0 mouseup 1", x, y);
    assert_true(hand.value > 6.0f);
    double hand_before = (double)hand.value;
    hand.writes = 0;
    pause_ms(600);
    act("mousemove %d %d click --repeat 2 --delay 60 1", x, y);
    expect(henry.id, 4.5, 1e-6, "a double click");
    act("mousemove %d %d click 1", middle_x(coils), middle_y(coils));
    struct cw_rect menu = cw_layout_menu(&places, &coils, 3, 150);
    act("mousemove %d %d click 1", (int)menu.x + 30, (int)(menu.y + 4 + 1.5 * CW_MENU_ROW));
    expect(coils.id, CW_COILS_SERIES, 0, "a list");
    act("key ctrl+z");
    expect(coils.id, CW_COILS_ONE, 0, "Ctrl+Z");
    act("key ctrl+z");
    expect(henry.id, hand_before, 1e-6, "Ctrl+Z again");
    act("key ctrl+shift+z");
    expect(henry.id, 4.5, 1e-6, "Ctrl+Shift+Z");
    act("key ctrl+y");
    expect(coils.id, CW_COILS_SERIES, 0, "Ctrl+Y");
    act("key ctrl+s ctrl+a");
    assert_int_equal(hand.writes, 0); /* the host's */
}

static void test_wheel(void **state)
{
    (void)state;
    need_xdotool();
    struct cw_item cable = place(CW_ITEM_CABLE, cw_port_of_param(CW_A, CW_P_CABLE_LENGTH)),
                   trim = place(CW_ITEM_SLIDER, cw_port_of_global(CW_G_TRIM)),
                   undo = place(CW_ITEM_TOGGLE, cw_port_of_global(CW_G_UNDO_RECORDING)),
                   from = place(CW_ITEM_LIST, cw_port_of_param(CW_A, CW_P_COIL_FROM));
    act("mousemove %d %d click 4", middle_x(cable), middle_y(cable));
    expect(cable.id, 5.5, 1e-6, "the cable");
    act("mousemove %d %d click 5", middle_x(trim), middle_y(trim));
    expect(trim.id, -0.5, 1e-6, "a slider");
    act("keydown shift mousemove %d %d click 4 keyup shift", middle_x(trim), middle_y(trim));
    expect(trim.id, -0.45, 1e-6, "a slider, finely");
    act("mousemove %d %d click 5", middle_x(undo), middle_y(undo));
    expect(undo.id, 0, 0, "a toggle");
    act("mousemove %d %d click 4", middle_x(from), middle_y(from));
    expect(from.id, CW_FROM_WINDING, 0, "a list");
}

static void test_keys(void **state)
{
    (void)state;
    need_xdotool();
    struct cw_item recorded = place(CW_ITEM_LISTEN, CW_LISTEN_RECORDED);
    act("mousemove %d %d click 1", middle_x(recorded), middle_y(recorded));
    expect(cw_port_of_global(CW_G_LISTEN), CW_LISTEN_RECORDED, 0, "a click for the focus");
    act("key b");
    expect(cw_port_of_global(CW_G_LISTEN), CW_LISTEN_B, 0, "B");
    act("key x");
    expect(cw_port_of_global(CW_G_LISTEN), CW_LISTEN_A, 0, "X");
    /* From the first button to Split A, Split B, Level match. */
    act("key Tab Tab Tab Tab Tab space");
    expect(cw_port_of_global(CW_G_LEVEL_MATCH), 1, 0, "Tab and the space bar");
    act("key shift+Tab space");
    expect(cw_port_of_param(CW_B, CW_P_SPLIT), 1, 0, "Shift and Tab, the space bar");
    act("key Tab Tab Tab Tab Left");
    expect(cw_port_of_global(CW_G_TRIM), -0.5, 1e-6, "an arrow key");
    act("type '%s'", "3.5 dB");
    act("key Return");
    expect(cw_port_of_global(CW_G_TRIM), 3.5, 1e-6, "a typed value");
    act("key Delete");
    expect(cw_port_of_global(CW_G_TRIM), 0, 0, "Delete");
    act("key s");
    expect(cw_port_of_param(CW_B, CW_P_SPLIT), 0, 0, "S");
    hand.writes = 0;
    idle_for(&hand, 50);
    assert_int_equal(hand.writes, 0);
}

/* A unit whose letter Latin-1 lacks. */
static void test_typed_unit(void **state)
{
    (void)state;
    need_xdotool();
    struct cw_item pot = place(CW_ITEM_SLIDER, cw_port_of_param(CW_A, CW_P_RESISTANCE));
    act("mousemove %d %d click 3", (int)pot.box.x + 5, (int)pot.box.y + 5);
    KeySym ohm[] = {XK_Greek_OMEGA, XK_Greek_OMEGA};
    XChangeKeyboardMapping(display, 250, 2, ohm, 1);
    XSync(display, False);
    idle_for(&hand, 50);
    /* Without its unit it would be 6500 kilohm, which is out of range. */
    act("key 6 5 0 0 250 Return");
    expect(pot.id, 6.5, 1e-6, "a value typed with its unit");
}

/* What the field of a name shows when keys were typed. */
static unsigned long typed_letter(const char *keys)
{
    struct cw_item button = place(CW_ITEM_LISTEN, CW_LISTEN_A);
    char words[80];
    snprintf(words, sizeof words, "mousemove %d %d click 3", middle_x(button), middle_y(button));
    xdotool(words);
    idle_for(&hand, 50); /* the window takes the focus */
    snprintf(words, sizeof words, "key %s", keys);
    xdotool(words);
    idle_for(&hand, 50);
    const struct cw_rect r = button.box;
    unsigned long sum = 0;
    XImage *image =
        XGetImage(display, hand.window, (int)r.x, (int)r.y, (unsigned)r.w, (unsigned)r.h, AllPlanes, ZPixmap);
    for (int y = 0; y < (int)r.h; y++) {
        for (int x = 0; x < (int)r.w; x++) {
            sum = sum * 31 + (XGetPixel(image, x, y) & 0xffffff);
        }
    }
    XDestroyImage(image);
    xdotool("key Escape");
    idle_for(&hand, 50);
    return sum;
}

/* A dead accent and a letter are the letter with its accent, as from a key of its own. */
static void test_composed_letter(void **state)
{
    (void)state;
    need_xdotool();
    KeySym codes[] = {XK_dead_acute, XK_dead_acute, XK_eacute, XK_eacute, XK_e, XK_e};
    XChangeKeyboardMapping(display, 250, 2, codes, 3);
    XSync(display, False);
    idle_for(&hand, 50);
    const unsigned long whole = typed_letter("251"), plain = typed_letter("252");
    assert_true(whole != plain);
    assert_true(typed_letter("250 252") == whole);
    assert_true(typed_letter("252") == plain); /* the accent is used up */
}

/* At scale 2 the pointer is where it is seen. */
static void test_pointer_at_scale_2(void **state)
{
    (void)state;
    need_xdotool();
    assert_true(open_guest(&hand, 0, 2.0f));
    tell_all(&hand);
    idle_for(&hand, 50);
    cw_model_init(&same);
    cw_layout_build(&places, CW_WINDOW_WIDTH, CW_WINDOW_HEIGHT, &same, CW_A, CW_PAGE_COIL);
    struct cw_item match = place(CW_ITEM_TOGGLE, cw_port_of_global(CW_G_LEVEL_MATCH)),
                   cable = place(CW_ITEM_CABLE, cw_port_of_param(CW_B, CW_P_CABLE_LENGTH));
    act("mousemove %d %d click 1", 2 * middle_x(match), 2 * middle_y(match));
    expect(match.id, 1, 0, "a toggle at scale 2");
    int end = 2 * (int)(cable.track.x + cable.track.w / 6), y = 2 * ((int)cable.track.y + 8);
    act("mousemove %d %d mousedown 1 mousemove %d %d mouseup 1", end, y, end + (int)(2 * cable.track.w / 6), y);
    expect(cable.id, 10, 0.2, "the cable at scale 2");
    close_guest(&hand);
}

/* A control that is held while the host closes the window is let go. */
static void test_closed_while_held(void **state)
{
    (void)state;
    need_xdotool();
    assert_int_equal(open_hand(state), 0);
    struct cw_item cable = place(CW_ITEM_CABLE, cw_port_of_param(CW_B, CW_P_CABLE_LENGTH));
    int end = (int)(cable.track.x + cable.track.w / 6), y = (int)cable.track.y + 8;
    act("mousemove %d %d mousedown 1 mousemove %d %d", end, y, end + 40, y);
    assert_int_equal(hand.held, 1);
    close_guest(&hand);
    assert_int_equal(hand.held, 0);
    assert_int_equal(pclose(popen("xdotool mouseup 1", "r")), 0);
}

/* What the host sets, the control shows: the plug of the cable stands elsewhere. */
static void test_host_moves_the_control(void **state)
{
    (void)state;
    struct guest guest;
    assert_true(open_guest(&guest, 0, 2.0f));
    tell_all(&guest);
    idle_for(&guest, 50);
    cw_model_init(&same);
    cw_layout_build(&places, CW_WINDOW_WIDTH, CW_WINDOW_HEIGHT, &same, CW_A, CW_PAGE_COIL);
    struct cw_item cable = place(CW_ITEM_CABLE, cw_port_of_param(CW_B, CW_P_CABLE_LENGTH));
    double x = 2 * (cable.track.x + cable.track.w * 20.0 / 30.0) - 5, y = 2 * (cable.box.y + 24.5) + 12;
    unsigned long before = pixel_at(&guest, x, y);
    tell(&guest, cable.id, 20.0f);
    idle_for(&guest, 30);
    unsigned long after = pixel_at(&guest, x, y);
    assert_true(before != after);
    assert_true((after >> 8 & 255) > 200); /* the plug is bright */
    tell(&guest, cable.id, 5.0f);
    idle_for(&guest, 30);
    assert_true(pixel_at(&guest, x, y) == before);
    assert_int_equal(guest.writes, 0);
    close_guest(&guest);
}

static unsigned long sum_of(struct guest *guest, struct cw_rect r)
{
    XImage *image =
        XGetImage(display, guest->window, (int)r.x, (int)r.y, (unsigned)r.w, (unsigned)r.h, AllPlanes, ZPixmap);
    unsigned long sum = 0;
    for (int y = 0; y < (int)r.h; y++) {
        for (int x = 0; x < (int)r.w; x++) {
            sum = sum * 31 + (XGetPixel(image, x, y) & 0xffffff);
        }
    }
    XDestroyImage(image);
    return sum;
}

/* A figure that the plugin reports reaches its row, and no other; where one coil is, a figure of two
 * is not shown. */
static void test_report_is_shown(void **state)
{
    (void)state;
    struct guest guest;
    assert_true(open_guest(&guest, 0, 0));
    tell_all(&guest);
    idle_for(&guest, 400);
    cw_model_init(&same);
    cw_layout_build(&places, CW_WINDOW_WIDTH, CW_WINDOW_HEIGHT, &same, CW_A, CW_PAGE_COIL);
    /* Its row is there once any setup has two coils. */
    int coils = cw_port_of_param(CW_A, CW_P_COILS);
    tell(&guest, coils, CW_COILS_SERIES);
    cw_model_set(&same, coils, CW_COILS_SERIES);
    cw_layout_build(&places, CW_WINDOW_WIDTH, CW_WINDOW_HEIGHT, &same, CW_A, CW_PAGE_COIL);
    idle_for(&guest, 400);
    struct cw_rect hum = place(CW_ITEM_FIGURE, CW_ROW_HUM).box, buzz = place(CW_ITEM_FIGURE, CW_ROW_BUZZ).box;
    unsigned long dash = sum_of(&guest, hum);
    tell(&guest, cw_port_of_meter(CW_B, CW_M_HUM), -17.3f);
    idle_for(&guest, 400);
    assert_true(sum_of(&guest, hum) == dash);
    tell(&guest, cw_port_of_param(CW_B, CW_P_COILS), CW_COILS_SERIES);
    idle_for(&guest, 400);
    unsigned long hum_before = sum_of(&guest, hum), buzz_before = sum_of(&guest, buzz);
    assert_true(hum_before != dash);
    tell(&guest, cw_port_of_meter(CW_B, CW_M_HUM), -21.4f);
    idle_for(&guest, 30);
    assert_true(sum_of(&guest, hum) != hum_before);
    assert_true(sum_of(&guest, buzz) == buzz_before);
    close_guest(&guest);
}

/* What another window had covered is there again. */
static void test_uncovered(void **state)
{
    (void)state;
    struct guest guest;
    struct cw_rect all = {0, 0, CW_WINDOW_WIDTH, CW_WINDOW_HEIGHT};
    assert_true(open_guest(&guest, 0, 0));
    tell_all(&guest);
    idle_for(&guest, 50);
    unsigned long before = sum_of(&guest, all);
    XClearArea(display, guest.window, 0, 0, 0, 0, True);
    XSync(display, False);
    assert_true(sum_of(&guest, all) != before);
    idle_for(&guest, 50);
    assert_true(sum_of(&guest, all) == before);
    close_guest(&guest);
}

/* --- in a country with a decimal comma --- */

/* A locale with a comma, made for the test: few machines have one installed. */
static bool make_locale(char *directory)
{
    char command[300];
    if (!mkdtemp(directory)) {
        return false;
    }
    snprintf(command, sizeof command, "localedef -i de_DE -f UTF-8 %s/de_DE.UTF-8 >/dev/null 2>&1", directory);
    return system(command) == 0 && setenv("LOCPATH", directory, 1) == 0;
}

/* In one locale: 2.5 m typed with a comma or a point. \return the sum of what is then seen */
static unsigned long typed_in(const char *locale, const char *mark)
{
    const struct cw_rect all = {0, 0, CW_WINDOW_WIDTH, CW_WINDOW_HEIGHT};
    assert_non_null(setlocale(LC_ALL, locale));
    const char decimal = localeconv()->decimal_point[0];
    assert_int_equal(decimal, strcmp(locale, "C") == 0 ? '.' : ',');
    assert_int_equal(open_hand(NULL), 0);
    const struct cw_item cable = place(CW_ITEM_CABLE, cw_port_of_param(CW_B, CW_P_CABLE_LENGTH));
    act("mousemove %d %d click 3", middle_x(cable), (int)cable.track.y + 8);
    act("key 2 %s 5 space m Return", mark);
    expect(cable.id, 2.5, 0, mark);
    const unsigned long seen = sum_of(&hand, all);
    assert_int_equal(close_hand(NULL), 0);
    assert_int_equal(localeconv()->decimal_point[0], decimal); /* the host's locale is left alone */
    return seen;
}

static void test_decimal_comma(void **state)
{
    (void)state;
    char directory[] = "/tmp/cw_locale_XXXXXX", command[64];
    need_xdotool();
    const unsigned long seen = typed_in("C", "period");
    if (!make_locale(directory)) {
        print_message("SKIP: localedef cannot make de_DE.UTF-8: the window is not tried in a locale with a comma\n");
    } else if (setlocale(LC_ALL, "de_DE.UTF-8") && localeconv()->decimal_point[0] == '.') {
        print_message("SKIP: this C library has the point in every locale\n");
    } else {
        assert_int_equal(typed_in("de_DE.UTF-8", "comma"), seen);
        assert_int_equal(typed_in("de_DE.UTF-8", "period"), seen);
    }
    setlocale(LC_ALL, "C");
    snprintf(command, sizeof command, "rm -rf %s", directory);
    assert_int_equal(system(command), 0);
}

/* --- for scripts --- */

static void print_place(const char *name, struct cw_rect box, double zoom)
{
    printf("%s %d %d\n", name, (int)(zoom * (box.x + box.w / 2)), (int)(zoom * (box.y + box.h / 2)));
}

static void print_control(const struct cw_item *it, double zoom)
{
    struct cw_control control;
    char symbol[64], end[80];
    cw_control_of(it->id, &control);
    snprintf(symbol, sizeof symbol, "%s%s", control.global ? "" : cw_setup_prefix[control.which], control.info->symbol);
    double y = it->kind == CW_ITEM_CABLE ? it->track.y + 8 : it->track.y + it->track.h / 2;
    print_place(symbol, it->box, zoom);
    snprintf(end, sizeof end, "%s-low", symbol);
    print_place(end, (struct cw_rect){it->track.x, y, 0, 0}, zoom);
    snprintf(end, sizeof end, "%s-high", symbol);
    print_place(end, (struct cw_rect){it->track.x + it->track.w, y, 0, 0}, zoom);
}

static void print_items(const struct cw_view *view)
{
    static const char *const names[] = {
        [CW_ITEM_LISTEN] = "listen", [CW_ITEM_SPLIT] = "split", [CW_ITEM_VIEW] = "view",
        [CW_ITEM_ACTION] = "action", [CW_ITEM_TAB] = "tab",     [CW_ITEM_PAGE] = "page",
        [CW_ITEM_FIGURE] = "figure", [CW_ITEM_LINK] = "link",   [CW_ITEM_LARGE] = "large",
        [CW_ITEM_BLIND] = "blind",   [CW_ITEM_WORDS] = "words"};
    for (int i = 0; i < view->layout.count; i++) {
        const struct cw_item *it = &view->layout.item[i];
        char name[32];
        if (it->kind < sizeof names / sizeof names[0] && names[it->kind]) {
            snprintf(name, sizeof name, "%s-%d", names[it->kind], it->id);
            print_place(name, it->box, view->zoom);
        } else {
            print_control(it, view->zoom);
        }
    }
}

static void print_search(const struct cw_view *view)
{
    static const char *const part[] = {
        [CW_SEARCH_LOWER] = "search-lower", [CW_SEARCH_HIGHER] = "search-higher", [CW_SEARCH_CLOSE] = "search-close"};
    for (int i = CW_SEARCH_LOWER; i <= CW_SEARCH_CLOSE; i++) {
        print_place(part[i], cw_search_part_box(&view->layout, (enum cw_search_part)i, 0), view->zoom);
    }
    for (int row = 0; row < cw_search_shown(&view->layout); row++) {
        char name[32];
        snprintf(name, sizeof name, "search-row-%d", row);
        print_place(name, cw_search_part_box(&view->layout, CW_SEARCH_ROW, row), view->zoom);
    }
}

/* Where the controls stand in a window, in pixels at scale 1: places [WIDTH HEIGHT [large | split | job | blind |
 * trial]]. "SYMBOL x y" for the middle of a port's control, "SYMBOL-low x y" and "SYMBOL-high x y" for the ends of its
 * slider, "listen-N x y" and so on for the rest, "search-row-N x y" for the list of splits. */
static int print_places(int count, char **words)
{
    static struct cw_view view;
    const char *what = count > 2 ? words[2] : "";
    cw_view_init(&view, &deaf_host);
    cw_view_size(&view, count > 1 ? atof(words[0]) : CW_WINDOW_WIDTH, count > 1 ? atof(words[1]) : CW_WINDOW_HEIGHT);
    view.large = strcmp(what, "large") == 0;
    view.blind.state = strcmp(what, "blind") == 0   ? CW_BLIND_SETTING_OUT
                       : strcmp(what, "trial") == 0 ? CW_BLIND_TRIAL
                                                    : CW_BLIND_OFF;
    if (strcmp(what, "split") == 0) {
        cw_view_port(&view, cw_port_of_param(CW_A, CW_P_COILS), CW_COILS_SERIES);
        view.page = CW_PAGE_SPLIT;
    }
    view.page = strcmp(what, "job") == 0 ? CW_JOB_PAGE : view.page;
    cw_view_size(&view, view.width, view.height);
    print_items(&view);
    print_search(&view);
    return 0;
}

/* What the window shows when a blind choice is over: tally WIDTH HEIGHT TRIALS FOR_A FILE.png */
static int draw_tally(char **words)
{
    static struct cw_view view;
    cw_view_init(&view, &deaf_host);
    view.used = true;
    view.blind = (struct cw_blind){
        .state = CW_BLIND_DONE, .trials = atoi(words[2]), .done = atoi(words[2]), .for_a = atoi(words[3])};
    cw_view_size(&view, atof(words[0]), atof(words[1]));
    cw_view_prepare(&view);
    cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, (int)view.width, (int)view.height);
    cairo_t *cr = cairo_create(surface);
    const int shortened = cw_draw(cr, &view, 1.0, CW_DIRTY_ALL);
    const bool written = cairo_surface_write_to_png(surface, words[4]) == CAIRO_STATUS_SUCCESS;
    cairo_destroy(cr);
    cairo_surface_destroy(surface);
    return written && shortened == 0 ? 0 : 1;
}

int main(int argc, char **argv)
{
    if (argc > 1 && strcmp(argv[1], "places") == 0) {
        return print_places(argc - 2, argv + 2);
    }
    if (argc == 7 && strcmp(argv[1], "tally") == 0) {
        return draw_tally(argv + 2);
    }
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_many_times),
        cmocka_unit_test(test_two_at_once),
        cmocka_unit_test(test_host_closes_first),
        cmocka_unit_test(test_refusals),
        cmocka_unit_test(test_scale),
        cmocka_unit_test(test_idle_costs_nothing),
        cmocka_unit_test(test_redraw_time),
        cmocka_unit_test_setup_teardown(test_mouse, open_hand, close_hand),
        cmocka_unit_test_setup_teardown(test_wheel, open_hand, close_hand),
        cmocka_unit_test_setup_teardown(test_keys, open_hand, close_hand),
        cmocka_unit_test_setup_teardown(test_typed_unit, open_hand, close_hand),
        cmocka_unit_test_setup_teardown(test_composed_letter, open_hand, close_hand),
        cmocka_unit_test(test_pointer_at_scale_2),
        cmocka_unit_test(test_closed_while_held),
        cmocka_unit_test(test_host_moves_the_control),
        cmocka_unit_test(test_report_is_shown),
        cmocka_unit_test(test_uncovered),
        cmocka_unit_test(test_decimal_comma),
    };
    if (!load()) {
        fprintf(stderr, "the window's binary cannot be loaded\n");
        return 1;
    }
    /* No resource of a desktop says how large a dot is. */
    setenv("XENVIRONMENT", "/dev/null", 1);
    if (!start_server()) {
        printf("SKIP: no virtual display (Xvfb) can be started here: the window is not opened\n");
        stop_server();
        return 0;
    }
    XSetErrorHandler(count_error);
    if (getenv("CW_TEST_FILTER")) {
        cmocka_set_test_filter(getenv("CW_TEST_FILTER"));
    }
    if (getenv("CW_TEST_SKIP")) {
        cmocka_set_skip_filter(getenv("CW_TEST_SKIP"));
    }
    int failed = cmocka_run_group_tests(tests, NULL, NULL);
    stop_server();
    return failed;
}
