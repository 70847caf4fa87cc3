/* SPDX-License-Identifier: ISC */
#include "window.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <X11/Xlib.h>
#include <X11/Xutil.h>
#include <X11/keysym.h>

#include "draw.h"
#include "layout.h"
#include "letters.h"
#include "rect.h"
#include "view_state.h"

struct cw_window {
    Display *display;
    Window window;
    Visual *visual;
    Colormap colours;
    GC gc;
    double scale;
    struct cw_view *view;
    cairo_surface_t *surface;
    XImage *image;     /* over the surface's pixels */
    int width, height; /* of the window; the picture is never smaller than the smallest layout */
    bool exposed;      /* the picture is to be put on the window as a whole */
    bool gone;
    struct cw_letters letters;
};

enum { DEPTH = 24, PIXELS_MOST = 16384 };
static const unsigned long background = 0x171b20;

/* --- errors ---
 * The host may destroy its window, and ours in it, at any moment. Xlib reports a request to a
 * window that is gone to one handler for the whole process, whose default ends the process. So
 * ours stands in while we talk to our own connection, and is waited for before it goes. */

static Display *guarded;
static bool failed;
static XErrorHandler others;

static int on_error(Display *display, XErrorEvent *event)
{
    if (display != guarded) {
        return others ? others(display, event) : 0;
    }
    failed = true;
    return 0;
}

static unsigned long guard(struct cw_window *window)
{
    guarded = window->display;
    failed = false;
    others = XSetErrorHandler(on_error);
    return NextRequest(window->display);
}

static void unguard(struct cw_window *window, unsigned long first)
{
    /* A round trip only where something was asked for. */
    if (NextRequest(window->display) != first) {
        XSync(window->display, False);
    }
    XSetErrorHandler(others);
    guarded = NULL;
    window->gone |= failed;
}

/* --- opening --- */

static bool find_visual(struct cw_window *window)
{
    XVisualInfo wanted = {.screen = DefaultScreen(window->display),
                          .depth = DEPTH,
                          .class = TrueColor,
                          .red_mask = 0xff0000,
                          .green_mask = 0xff00,
                          .blue_mask = 0xff};
    int count = 0;
    XVisualInfo *found = XGetVisualInfo(window->display,
                                        VisualScreenMask | VisualDepthMask | VisualClassMask | VisualRedMaskMask |
                                            VisualGreenMaskMask | VisualBlueMaskMask,
                                        &wanted, &count);
    if (found) {
        window->visual = found[0].visual;
        XFree(found);
    }
    return window->visual != NULL;
}

/* Dots an inch as the desktop has it, against the usual 96. */
static double display_scale(Display *display)
{
    const char *dpi = XGetDefault(display, "Xft", "dpi");
    double scale = dpi ? atof(dpi) / 96.0 : 1.0;
    return scale >= 1.0 && scale <= 4.0 ? scale : 1.0;
}

static int pixels(const struct cw_window *window, int unscaled) { return (int)lround(unscaled * window->scale); }

static void set_size_hints(struct cw_window *window)
{
    XSizeHints hints = {.flags = PMinSize | PBaseSize | PSize,
                        .width = window->width,
                        .height = window->height,
                        .min_width = pixels(window, CW_WINDOW_WIDTH_MIN),
                        .min_height = pixels(window, CW_WINDOW_HEIGHT_MIN),
                        .base_width = window->width,
                        .base_height = window->height};
    XSetWMNormalHints(window->display, window->window, &hints);
}

static void create(struct cw_window *window, Window parent)
{
    Display *display = window->display;
    window->width = pixels(window, CW_WINDOW_WIDTH);
    window->height = pixels(window, CW_WINDOW_HEIGHT);
    window->colours = XCreateColormap(display, RootWindow(display, DefaultScreen(display)), window->visual, AllocNone);
    XSetWindowAttributes attributes = {.background_pixel = background,
                                       .border_pixel = 0,
                                       .colormap = window->colours,
                                       .event_mask = ExposureMask | StructureNotifyMask | ButtonPressMask |
                                                     ButtonReleaseMask | PointerMotionMask | LeaveWindowMask |
                                                     KeyPressMask};
    window->window =
        XCreateWindow(display, parent, 0, 0, (unsigned)window->width, (unsigned)window->height, 0, DEPTH, InputOutput,
                      window->visual, CWBackPixel | CWBorderPixel | CWColormap | CWEventMask, &attributes);
    window->gc = XCreateGC(display, window->window, 0, NULL);
    set_size_hints(window);
    XStoreName(display, window->window, "Coilwright");
    XMapWindow(display, window->window);
}

/* --- the picture --- */

static void drop_picture(struct cw_window *window)
{
    if (window->image) {
        window->image->data = NULL; /* it is the surface's */
        XDestroyImage(window->image);
    }
    if (window->surface) {
        cairo_surface_destroy(window->surface);
    }
    window->image = NULL;
    window->surface = NULL;
}

/* A picture of the window's size. The pixels are 32 bits in the machine's byte order; Xlib turns
 * them round for a display that has them the other way. */
static bool make_picture(struct cw_window *window)
{
    const int one = 1;
    drop_picture(window);
    window->surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, window->width, window->height);
    if (cairo_surface_status(window->surface) != CAIRO_STATUS_SUCCESS) {
        drop_picture(window);
        return false;
    }
    window->image = XCreateImage(window->display, window->visual, DEPTH, ZPixmap, 0,
                                 (char *)cairo_image_surface_get_data(window->surface), (unsigned)window->width,
                                 (unsigned)window->height, 32, cairo_image_surface_get_stride(window->surface));
    if (!window->image || window->image->bits_per_pixel != 32) {
        drop_picture(window);
        return false;
    }
    window->image->byte_order = *(const char *)&one ? LSBFirst : MSBFirst;
    window->exposed = true;
    window->view->dirty = CW_DIRTY_ALL;
    return true;
}

static void resize(struct cw_window *window, int width, int height)
{
    width = width < 1 ? 1 : width > PIXELS_MOST ? PIXELS_MOST : width;
    height = height < 1 ? 1 : height > PIXELS_MOST ? PIXELS_MOST : height;
    if (width == window->width && height == window->height && window->image) {
        return;
    }
    window->width = width;
    window->height = height;
    cw_view_size(window->view, width / window->scale, height / window->scale);
    make_picture(window);
}

static void put(struct cw_window *window, struct cw_rect rect)
{
    int x = (int)floor(rect.x * window->scale), y = (int)floor(rect.y * window->scale);
    int right = (int)ceil((rect.x + rect.w) * window->scale), foot = (int)ceil((rect.y + rect.h) * window->scale);
    right = right < window->width ? right : window->width;
    foot = foot < window->height ? foot : window->height;
    if (right > x && foot > y) {
        XPutImage(window->display, window->window, window->gc, window->image, x, y, x, y, (unsigned)(right - x),
                  (unsigned)(foot - y));
    }
}

static void show(struct cw_window *window)
{
    struct cw_view *view = window->view;
    if (!window->image || (!view->dirty && !window->exposed)) {
        return;
    }
    cw_view_prepare(view);
    unsigned dirty = view->dirty;
    view->dirty = 0;
    if (dirty) {
        cairo_t *cr = cairo_create(window->surface);
        cw_draw(cr, view, window->scale, dirty);
        cairo_destroy(cr);
        cairo_surface_flush(window->surface);
    }
    if (window->exposed || dirty == CW_DIRTY_ALL) {
        put(window, (struct cw_rect){0, 0, window->width / window->scale, window->height / window->scale});
        window->exposed = false;
        return;
    }
    for (int region = 0; region < CW_REGIONS; region++) {
        if (dirty & 1u << region) {
            struct cw_rect r = view->layout.region[region];
            put(window, (struct cw_rect){r.x * view->zoom, r.y * view->zoom, r.w * view->zoom, r.h * view->zoom});
        }
    }
}

/* --- events --- */

static const struct {
    KeySym symbol;
    enum cw_key key;
} keys[] = {{XK_Tab, CW_KEY_TAB},
            {XK_ISO_Left_Tab, CW_KEY_BACK_TAB},
            {XK_Left, CW_KEY_LEFT},
            {XK_Right, CW_KEY_RIGHT},
            {XK_Up, CW_KEY_UP},
            {XK_Down, CW_KEY_DOWN},
            {XK_Page_Up, CW_KEY_PAGE_UP},
            {XK_Page_Down, CW_KEY_PAGE_DOWN},
            {XK_Home, CW_KEY_HOME},
            {XK_End, CW_KEY_END},
            {XK_Return, CW_KEY_ENTER},
            {XK_KP_Enter, CW_KEY_ENTER},
            {XK_Escape, CW_KEY_ESCAPE},
            {XK_BackSpace, CW_KEY_BACKSPACE},
            {XK_Delete, CW_KEY_DELETE},
            {XK_KP_Left, CW_KEY_LEFT},
            {XK_KP_Right, CW_KEY_RIGHT},
            {XK_KP_Up, CW_KEY_UP},
            {XK_KP_Down, CW_KEY_DOWN},
            {XK_KP_Page_Up, CW_KEY_PAGE_UP},
            {XK_KP_Page_Down, CW_KEY_PAGE_DOWN},
            {XK_KP_Home, CW_KEY_HOME},
            {XK_KP_End, CW_KEY_END},
            {XK_KP_Delete, CW_KEY_DELETE}};

static bool is_fine(unsigned state) { return state & (ShiftMask | ControlMask); }

/* Ctrl+Z takes back; Ctrl+Shift+Z and Ctrl+Y do again. */
static bool is_restoring(unsigned state, KeySym symbol, enum cw_key *key)
{
    bool z = symbol == XK_z || symbol == XK_Z, y = symbol == XK_y || symbol == XK_Y;
    if (!(state & ControlMask) || state & Mod1Mask || !(z || y)) {
        return false;
    }
    *key = z && !(state & ShiftMask) ? CW_KEY_UNDO : CW_KEY_REDO;
    return true;
}

static void take_key(struct cw_window *window, XKeyEvent *from)
{
    struct cw_event event = {.kind = CW_EVENT_KEY, .fine = is_fine(from->state), .time = (uint32_t)from->time};
    KeySym symbol = NoSymbol;
    const bool typed = cw_letters_of(&window->letters, from, &symbol, event.text);
    for (size_t i = 0; i < sizeof keys / sizeof keys[0]; i++) {
        if (keys[i].symbol == symbol) {
            event.key = keys[i].key == CW_KEY_TAB && from->state & ShiftMask ? CW_KEY_BACK_TAB : keys[i].key;
            cw_view_event(window->view, &event);
            return;
        }
    }
    /* Other letters with Ctrl or Alt belong to the host. */
    if (is_restoring(from->state, symbol, &event.key) || (typed && !(from->state & (ControlMask | Mod1Mask)))) {
        cw_view_event(window->view, &event);
    }
}

static void take_button(struct cw_window *window, const XButtonEvent *from)
{
    struct cw_event event = {.x = from->x / window->scale,
                             .y = from->y / window->scale,
                             .button = (int)from->button,
                             .fine = is_fine(from->state),
                             .time = (uint32_t)from->time};
    if (from->button == Button4 || from->button == Button5) {
        event.kind = CW_EVENT_WHEEL;
        event.wheel = from->button == Button4 ? 1 : -1;
        if (from->type == ButtonRelease) {
            return;
        }
    } else if (from->button == Button1 || from->button == Button3) {
        event.kind = from->type == ButtonPress ? CW_EVENT_PRESS : CW_EVENT_RELEASE;
    } else {
        return;
    }
    if (event.kind == CW_EVENT_PRESS) {
        XSetInputFocus(window->display, window->window, RevertToParent, from->time);
    }
    cw_view_event(window->view, &event);
}

static void take_motion(struct cw_window *window, const XMotionEvent *from)
{
    struct cw_event event = {.kind = CW_EVENT_MOVE,
                             .x = from->x / window->scale,
                             .y = from->y / window->scale,
                             .fine = is_fine(from->state),
                             .time = (uint32_t)from->time};
    cw_view_event(window->view, &event);
}

static void take(struct cw_window *window, XEvent *event)
{
    switch (event->type) {
    case Expose: window->exposed = true; break;
    case ConfigureNotify: resize(window, event->xconfigure.width, event->xconfigure.height); break;
    case DestroyNotify: window->gone = true; break;
    case ButtonPress:
    case ButtonRelease: take_button(window, &event->xbutton); break;
    case MotionNotify: take_motion(window, &event->xmotion); break;
    case LeaveNotify:
        if (event->xcrossing.mode == NotifyNormal) {
            cw_view_event(window->view, &(struct cw_event){.kind = CW_EVENT_LEAVE});
        }
        break;
    case KeyPress:
        if (!cw_letters_keep(&window->letters, window->display, window->window, event)) {
            take_key(window, &event->xkey);
        }
        break;
    case MappingNotify: XRefreshKeyboardMapping(&event->xmapping); break;
    default: break;
    }
}

/* --- its life --- */

static struct cw_window *complain(struct cw_window *window, const char *trouble)
{
    fprintf(stderr, "coilwright: the window cannot be opened: %s\n", trouble);
    cw_window_close(window);
    return NULL;
}

struct cw_window *cw_window_open(unsigned long parent, double scale, struct cw_view *view)
{
    struct cw_window *window = calloc(1, sizeof *window);
    if (!window) {
        return NULL;
    }
    window->view = view;
    window->display = XOpenDisplay(NULL);
    if (!window->display) {
        return complain(window, "no X display");
    }
    window->scale = scale > 0.0 ? fmin(fmax(scale, 0.5), 8.0) : display_scale(window->display);
    if (!find_visual(window)) {
        return complain(window, "the display has no 24-bit true-colour visual");
    }
    unsigned long first = guard(window);
    create(window, parent);
    unguard(window, first);
    if (window->gone) {
        return complain(window, "the host's window is gone");
    }
    cw_view_size(view, window->width / window->scale, window->height / window->scale);
    if (!make_picture(window)) {
        return complain(window, "no memory for the picture");
    }
    return window;
}

unsigned long cw_window_id(const struct cw_window *window) { return window->window; }

void cw_window_size(const struct cw_window *window, int *width, int *height)
{
    *width = window->width;
    *height = window->height;
}

bool cw_window_idle(struct cw_window *window)
{
    if (window->gone) {
        return false;
    }
    unsigned long first = guard(window);
    while (!window->gone && XPending(window->display)) {
        XEvent event;
        XNextEvent(window->display, &event);
        if (!cw_letters_take(&window->letters, &event)) {
            take(window, &event);
        }
    }
    if (!window->gone) {
        cw_view_idle(window->view);
        show(window);
    }
    unguard(window, first);
    return !window->gone;
}

void cw_window_close(struct cw_window *window)
{
    drop_picture(window);
    if (window->display) {
        unsigned long first = guard(window);
        cw_letters_close(&window->letters);
        if (window->gc) {
            XFreeGC(window->display, window->gc);
        }
        if (window->window && !window->gone) {
            XDestroyWindow(window->display, window->window);
        }
        if (window->colours) {
            XFreeColormap(window->display, window->colours);
        }
        unguard(window, first);
        XCloseDisplay(window->display);
    }
    free(window);
}
