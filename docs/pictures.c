/* SPDX-License-Identifier: ISC */
/* Makes the pictures of the window, and what is written in each:
 *
 *   pictures DIRECTORY      DIRECTORY/window-NAME.png, and DIRECTORY/window.txt
 *
 * The window's own view and drawing, on an image in memory: no display is needed. The words go into a
 * file of their own, so that a picture that tells what is no longer so is noticed by a comparison of
 * text (tests/test_docs.sh). Linked with --wrap=cairo_show_text. */
#include <cairo.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "blind.h"
#include "deaf_host.h"
#include "draw.h"
#include "layout.h"
#include "model.h"
#include "pages.h"
#include "rect.h"
#include "seal_mark.h"
#include "seal_schema.h"
#include "seals.h"
#include "setup.h"
#include "sha256.h"
#include "view.h"
#include "view_blind.h"
#include "view_state.h"

struct setting {
    const char *symbol;
    double value;
};

/* One picture: the window at a size, with these values, and what was done in it. */
struct scene {
    const char *name;
    double width, height, scale;
    struct setting set[10];
    void (*act)(struct cw_view *view);
};

static FILE *words;

/* The linker sends every text that is drawn here. */
void __real_cairo_show_text(cairo_t *cr, const char *text); // NOLINT(bugprone-reserved-identifier)
void __wrap_cairo_show_text(cairo_t *cr, const char *text); // NOLINT(bugprone-reserved-identifier)
void __wrap_cairo_show_text(cairo_t *cr, const char *text)  // NOLINT(bugprone-reserved-identifier)
{
    fprintf(words, "%s\n", text);
    __real_cairo_show_text(cr, text);
}

static void point(struct cw_view *view, double x, double y)
{
    cw_view_event(view, &(struct cw_event){.kind = CW_EVENT_MOVE, .x = x, .y = y});
}

static void click(struct cw_view *view, enum cw_item_kind kind, int id)
{
    static uint32_t time;
    int at = cw_layout_find(&view->layout, kind, id);
    if (at < 0) {
        fprintf(stderr, "pictures: item %d of kind %d is not shown\n", id, (int)kind);
        exit(1);
    }
    struct cw_rect box = view->layout.item[at].box;
    struct cw_event event = {
        .kind = CW_EVENT_PRESS, .x = box.x + box.w / 2, .y = box.y + box.h / 2, .button = 1, .time = time += 1000};
    point(view, event.x, event.y);
    cw_view_event(view, &event);
    event.kind = CW_EVENT_RELEASE;
    cw_view_event(view, &event);
}

static void leave(struct cw_view *view) { cw_view_event(view, &(struct cw_event){.kind = CW_EVENT_LEAVE}); }

static void look_at_the_plot(struct cw_view *view) { point(view, 530, 300); }

static void show_the_split(struct cw_view *view)
{
    click(view, CW_ITEM_TAB, CW_B);
    click(view, CW_ITEM_PAGE, CW_PAGE_SPLIT);
    point(view, 250, 200);
}

static void open_a_list(struct cw_view *view)
{
    click(view, CW_ITEM_TAB, CW_B);
    click(view, CW_ITEM_PAGE, CW_PAGE_WINDING);
    click(view, CW_ITEM_LIST, cw_port_of_param(CW_B, CW_P_GAUGE));
}

static void show_the_difference(struct cw_view *view)
{
    click(view, CW_ITEM_VIEW, CW_VIEW_B_TO_A);
    leave(view);
}

static void begin_a_blind_choice(struct cw_view *view)
{
    click(view, CW_ITEM_BLIND, CW_BLIND_BEGIN);
    click(view, CW_ITEM_BLIND, CW_BLIND_16);
    cw_view_drawn(view, true);
    click(view, CW_ITEM_BLIND, CW_BLIND_X);
    leave(view);
}

static void look_at_the_string(struct cw_view *view)
{
    click(view, CW_ITEM_PAGE, CW_PAGE_CABLE);
    leave(view);
}

/* A is as it was sealed; B is a copy of it, with another cable since. */
static void change_what_was_sealed(struct cw_view *view)
{
    char print[CW_SHA256_TEXT];
    struct cw_seal_texts texts = {{""}};
    const struct cw_setup *a = &view->model.controls.setup[CW_A];
    cw_schema_digest(a, print); /* any SHA-256 will do in a picture */
    cw_seal_mark_print(a, print, "A", texts.of[CW_A]);
    cw_seals_take(&view->model.seals, &texts, false);
    click(view, CW_ITEM_ACTION, CW_ACTION_COPY);
    cw_view_port(view, cw_port_of_param(CW_B, CW_P_CABLE_LENGTH), 10.0);
    const int row = cw_layout_find(&view->layout, CW_ITEM_FIGURE, CW_SEAL_ROW);
    point(view, view->layout.item[row].box.x + 20, view->layout.item[row].box.y + 5);
}

static const struct scene scenes[] = {
    {"cable", 1120, 720, 1, {{"b_cable_length", 10}, {"listen", CW_LISTEN_B}}, look_at_the_plot},
    {"split",
     720,
     480,
     1,
     {{"a_coils", CW_COILS_SERIES},
      {"b_coils", CW_COILS_SERIES},
      {"b_split", 1},
      {"b_split_keep", 40},
      {"a_cable_length", 3},
      {"b_cable_length", 3}},
     show_the_split},
    {"winding",
     1280,
     720,
     1,
     {{"a_coil_from", CW_FROM_WINDING},
      {"a_coils", CW_COILS_SERIES},
      {"a_gauge", 42},
      {"b_coil_from", CW_FROM_WINDING},
      {"b_coils", CW_COILS_SERIES},
      {"b_gauge", 43}},
     open_a_list},
    {"seal", 720, 480, 1, {{"a_cable_length", 3}}, change_what_was_sealed},
    {"blind", 720, 480, 1, {{"b_cable_length", 10}}, begin_a_blind_choice},
    {"string",
     1280,
     720,
     1,
     {{"a_coils", CW_COILS_SERIES},
      {"b_coils", CW_COILS_SERIES},
      {"b_split", 1},
      {"b_split_keep", 0},
      {"a_string", 6},
      {"b_string", 6},
      {"string_places", 1},
      {"listen", CW_LISTEN_B}},
     look_at_the_string},
    {"scale-2", 1120, 720, 2, {{"b_cable_length", 12}, {"b_tone", 4}}, show_the_difference},
};

static void set_values(struct cw_view *view, const struct setting *set)
{
    for (; set->symbol; set++) {
        struct cw_place place = cw_place_find(set->symbol);
        cw_view_port(view,
                     place.global ? cw_port_of_global((enum cw_global_id)place.index)
                                  : cw_port_of_param(place.which, place.index),
                     set->value);
    }
}

/* Draws all of the window; the words of a first look, before anything was done, are not kept. */
static void draw(cairo_t *cr, struct cw_view *view, const struct scene *scene, bool keep)
{
    FILE *kept = words, *lost = keep ? NULL : tmpfile();
    words = lost ? lost : kept;
    cw_view_prepare(view);
    if (cw_draw(cr, view, scene->scale, CW_DIRTY_ALL)) {
        fprintf(stderr, "pictures: window-%s.png: a text does not fit\n", scene->name);
    }
    words = kept;
    if (lost) {
        fclose(lost);
    }
}

static bool take(const char *directory, const struct scene *scene)
{
    char path[1024];
    struct cw_view *view = calloc(1, sizeof *view);
    if (!view || (size_t)snprintf(path, sizeof path, "%s/window-%s.png", directory, scene->name) >= sizeof path) {
        free(view);
        return false;
    }
    cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, (int)(scene->width * scene->scale),
                                                          (int)(scene->height * scene->scale));
    cairo_t *cr = cairo_create(surface);
    cw_view_init(view, &deaf_host);
    cw_view_size(view, scene->width, scene->height);
    view->used = true; /* past the opening words */
    set_values(view, scene->set);
    draw(cr, view, scene, false); /* the pointer is where curves were drawn */
    scene->act(view);
    fprintf(words, "== window-%s.png\n", scene->name);
    draw(cr, view, scene, true);
    bool good = cairo_surface_write_to_png(surface, path) == CAIRO_STATUS_SUCCESS;
    cairo_destroy(cr);
    cairo_surface_destroy(surface);
    cw_view_close(view);
    free(view);
    return good;
}

int main(int argc, char **argv)
{
    char path[1024];
    if (argc != 2 || (size_t)snprintf(path, sizeof path, "%s/window.txt", argv[1]) >= sizeof path) {
        fprintf(stderr, "usage: pictures DIRECTORY\n");
        return 2;
    }
    words = fopen(path, "w");
    if (!words) {
        perror(path);
        return 1;
    }
    bool good = true;
    for (size_t i = 0; good && i < sizeof scenes / sizeof scenes[0]; i++) {
        good = take(argv[1], &scenes[i]);
    }
    good = fclose(words) == 0 && good;
    if (!good) {
        fprintf(stderr, "pictures: %s: cannot be written\n", argv[1]);
    }
    return good ? 0 : 1;
}
