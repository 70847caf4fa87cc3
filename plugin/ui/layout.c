/* SPDX-License-Identifier: ISC */
#include "layout.h"

#include <math.h>
#include <string.h>

#include "acts.h"
#include "control.h"
#include "seals.h"
#include "session_text.h"
#include "setup.h"

static const double margin = 8.0, gap = 8.0, listen_height = 56.0, views_height = 24.0, cable_height = 44.0,
                    tabs_height = 26.0, hint_height = 38.0, cell_width_min = 140.0, cell_width_most = 300.0,
                    action_height = 24.0, value_width = 62.0, figure_height_most = 32.0, against_height = 64.0,
                    against_line = 26.0;

/* Cells of the fullest page. */
enum { CELLS_MOST = 10 };

/* Widths of the words on the tabs, unscaled, with room on both sides. */
static const double page_width[CW_PAGES] = {42, 42, 62, 134, 42, 64, 92, 56}, job_width = 30;
static const double tab_width[CW_SETUPS] = {72, 36, 36};
static const double link_width = 30, link_width_named = 138;

bool cw_rect_has(struct cw_rect rect, double x, double y)
{
    return x >= rect.x && x < rect.x + rect.w && y >= rect.y && y < rect.y + rect.h;
}

static struct cw_item *add(struct cw_layout *layout, enum cw_region region, enum cw_item_kind kind, int id, double x,
                           double y, double w, double h)
{
    if (layout->count == CW_ITEMS_MOST) {
        return NULL;
    }
    struct cw_item *item = &layout->item[layout->count++];
    *item = (struct cw_item){kind, id, region, {x, y, w, h}, {x, y, w, h}};
    return item;
}

static int columns_of(const struct cw_layout *layout)
{
    int columns = (int)((layout->width - 2 * margin) / cell_width_min);
    return columns < CELLS_MOST ? columns : CELLS_MOST;
}

/* As many as the fullest page takes, so that the plot stays where it is from page to page. */
static int rows_of(const struct cw_layout *layout)
{
    int columns = columns_of(layout);
    return (CELLS_MOST + columns - 1) / columns;
}

static double row_height(const struct cw_layout *layout) { return layout->height >= 600 ? 42.0 : 37.0; }

static void place_regions(struct cw_layout *layout)
{
    struct cw_rect *region = layout->region;
    double width = layout->width - 2 * margin;
    double panel_height = tabs_height + 6 + rows_of(layout) * row_height(layout);
    double side = round(fmin(fmax(0.27 * layout->width, 284.0), 340.0));
    region[CW_REGION_LISTEN] = (struct cw_rect){margin, margin, width, listen_height};
    region[CW_REGION_HINT] = (struct cw_rect){0, layout->height - hint_height, layout->width, hint_height};
    region[CW_REGION_PANEL] =
        (struct cw_rect){margin, layout->height - hint_height - panel_height - 4, width, panel_height};
    region[CW_REGION_CABLE] =
        (struct cw_rect){margin, region[CW_REGION_PANEL].y - cable_height - 6, width, cable_height};
    double top = margin + listen_height + gap, height = region[CW_REGION_CABLE].y - 6 - top;
    region[CW_REGION_VIEWS] = (struct cw_rect){margin, top, width - side - gap, views_height};
    region[CW_REGION_PLOT] = (struct cw_rect){margin, top + views_height, width - side - gap, height - views_height};
    region[CW_REGION_READOUTS] = (struct cw_rect){margin + width - side, top, side, height};
}

static void place_trim(struct cw_layout *layout, double x, double y, double w, double h)
{
    struct cw_item *trim = add(layout, CW_REGION_LISTEN, CW_ITEM_SLIDER, cw_port_of_global(CW_G_TRIM), x, y, w, h);
    trim->track = (struct cw_rect){x + 42, y, w - 42 - 62, h};
}

static void place_listen(struct cw_layout *layout)
{
    struct cw_rect r = layout->region[CW_REGION_LISTEN];
    double w = fmin(fmax((0.44 * r.w - 12) / 3, 98.0), 200.0), x = r.x;
    for (int i = CW_LISTEN_RECORDED; i <= CW_LISTEN_B; i++, x += w + 6) {
        add(layout, CW_REGION_LISTEN, CW_ITEM_LISTEN, i, x, r.y, w, r.h);
    }
    x += 8;
    double room = r.x + r.w - x, h = (r.h - 4) / 2, second = r.y + h + 4;
    double column[4] = {x, x + 0.295 * room, x + 0.63 * room, x + room};
    add(layout, CW_REGION_LISTEN, CW_ITEM_SPLIT, CW_A, column[0], r.y, column[1] - column[0] - 6, h);
    add(layout, CW_REGION_LISTEN, CW_ITEM_SPLIT, CW_B, column[0], second, column[1] - column[0] - 6, h);
    double middle = column[2] - column[1] - 6, last = column[3] - column[2];
    add(layout, CW_REGION_LISTEN, CW_ITEM_TOGGLE, cw_port_of_global(CW_G_LEVEL_MATCH), column[1], r.y, middle, h);
    add(layout, CW_REGION_LISTEN, CW_ITEM_TOGGLE, cw_port_of_global(CW_G_UNDO_RECORDING), column[1], second, middle, h);
    add(layout, CW_REGION_LISTEN, CW_ITEM_TOGGLE, cw_port_of_global(CW_G_ENABLED), column[2], r.y, last - 56, h);
    place_trim(layout, column[2], second, last, h);
    add(layout, CW_REGION_LISTEN, CW_ITEM_LARGE, 0, column[2] + last - 52, r.y, 52, h);
}

static void place_views(struct cw_layout *layout)
{
    static const double width[CW_VIEWS] = {54, 124, 94};
    struct cw_rect r = layout->region[CW_REGION_VIEWS];
    double x = r.x;
    for (int i = 0; i < CW_VIEWS; i++) {
        add(layout, CW_REGION_VIEWS, CW_ITEM_VIEW, i, x, r.y, width[i], r.h);
        x += width[i];
    }
    add(layout, CW_REGION_VIEWS, CW_ITEM_BLIND, CW_BLIND_BEGIN, x, r.y, 42, r.h);
    double w = 46;
    add(layout, CW_REGION_VIEWS, CW_ITEM_ACTION, CW_ACTION_UNDO, r.x + r.w - 2 * w - 2, r.y, w, r.h);
    add(layout, CW_REGION_VIEWS, CW_ITEM_ACTION, CW_ACTION_REDO, r.x + r.w - w, r.y, w, r.h);
}

static void place_actions(struct cw_layout *layout)
{
    static const double share[] = {[CW_ACTION_COPY] = 0.315, [CW_ACTION_SWAP] = 0.335, [CW_ACTION_RECORD] = 0.35};
    struct cw_rect r = layout->region[CW_REGION_READOUTS];
    double x = r.x;
    for (int i = CW_ACTION_COPY; i <= CW_ACTION_RECORD; i++) {
        double w = r.w * share[i];
        add(layout, CW_REGION_READOUTS, CW_ITEM_ACTION, i, x, r.y + r.h - action_height,
            w - (i < CW_ACTION_RECORD ? 4 : 0), action_height);
        x += w;
    }
}

/* Whether a row says anything of any setup: no row of dashes. */
static bool row_says(const struct cw_model *model, int row)
{
    if (row == CW_SEAL_ROW) {
        return cw_seals_any(&model->seals);
    }
    for (int which = 0; which < CW_SETUPS; which++) {
        const struct cw_setup *setup = &model->controls.setup[which];
        bool says = row == CW_ROW_SHARE || row == CW_ROW_LEVEL ? cw_split_acts(setup)
                    : row == CW_ROW_HUM || row == CW_ROW_BUZZ  ? setup->value[CW_P_COILS] != CW_COILS_ONE
                    : row == CW_ROW_FILL                       ? setup->value[CW_P_COIL_FROM] == CW_FROM_WINDING
                                                               : true;
        if (says) {
            return true;
        }
    }
    return false;
}

/* The heading, the rows, what B changes, as much of it as there is room for; the buttons stand below. */
static void place_figures(struct cw_layout *layout, const struct cw_model *model)
{
    struct cw_rect r = layout->region[CW_REGION_READOUTS];
    int rows = 0;
    for (int row = 0; row <= CW_SEAL_ROW; row++) {
        rows += row_says(model, row);
    }
    double room = r.h - action_height - 6.0, least = 14.6 * (rows + 1);
    double below = room >= least + against_height ? against_height : room >= least + against_line ? against_line : 0.0;
    double h = fmin((room - below) / (rows + 1), figure_height_most), y = r.y;
    for (int row = 0; row <= CW_SEAL_ROW; row++) {
        if (row_says(model, row)) {
            y += h;
            add(layout, CW_REGION_READOUTS, CW_ITEM_FIGURE, row, r.x, y, r.w, h);
        }
    }
    layout->figure_height = h;
    layout->against = (struct cw_rect){r.x, y + h + 4, r.w, below > 0.0 ? below - 4 : 0.0};
}

static void place_cables(struct cw_layout *layout)
{
    struct cw_rect r = layout->region[CW_REGION_CABLE];
    double w = (r.w - gap) / 2;
    for (int i = 0; i < 2; i++) {
        double x = r.x + i * (w + gap);
        struct cw_item *item = add(layout, CW_REGION_CABLE, CW_ITEM_CABLE,
                                   cw_port_of_param((enum cw_which)(CW_A + i), CW_P_CABLE_LENGTH), x, r.y, w, r.h);
        item->track = (struct cw_rect){x + 26, r.y + 16, w - 26 - 22, r.h - 16};
    }
}

static void place_tabs(struct cw_layout *layout, const struct cw_setup *setup)
{
    struct cw_rect r = layout->region[CW_REGION_PANEL];
    double x = r.x;
    for (int i = 0; i < CW_SETUPS; i++) {
        add(layout, CW_REGION_PANEL, CW_ITEM_TAB, i, x, r.y, tab_width[i], tabs_height);
        x += tab_width[i];
    }
    double link = r.w > 860 ? link_width_named : link_width;
    add(layout, CW_REGION_PANEL, CW_ITEM_LINK, 0, x + 2, r.y, link - 2, tabs_height);
    x += link + 8;
    for (int i = 0; i < CW_PAGES; i++) {
        if (cw_page_applies((enum cw_page)i, setup)) {
            add(layout, CW_REGION_PANEL, CW_ITEM_PAGE, i, x, r.y, page_width[i], tabs_height);
            x += page_width[i];
        }
    }
    add(layout, CW_REGION_PANEL, CW_ITEM_PAGE, CW_JOB_PAGE, x, r.y, job_width, tabs_height);
}

/* A list whose longest label does not fit takes two cells. */
static int cells_of(const struct cw_param_info *info, double width)
{
    const double letter = 6.6, around = 34.0;
    size_t longest = 0;
    for (size_t i = 0; i < info->point_count; i++) {
        size_t length = strlen(info->points[i].label);
        longest = length > longest ? length : longest;
    }
    return letter * (double)longest + around > width ? 2 : 1;
}

/* The cell after the one at a place, where the next of so many would not fit into its row. */
static int next_cell(int at, int cells, int columns)
{
    return at % columns + cells > columns ? at + columns - at % columns : at;
}

/* The fewest columns, and so the widest cells, that hold a page, and so many cells more, in the rows there are. */
static int columns_for(const struct cw_layout *layout, const int *port, int count, int more)
{
    double width = layout->region[CW_REGION_PANEL].w;
    int most = columns_of(layout), rows = rows_of(layout);
    for (int columns = (int)ceil(width / cell_width_most); columns < most; columns++) {
        int at = 0;
        for (int i = 0; i < count; i++) {
            int cells = cells_of(cw_control_info(port[i]), width / columns);
            at = next_cell(at, cells, columns) + cells;
        }
        if (at + more <= rows * columns) {
            return columns;
        }
    }
    return most;
}

static enum cw_item_kind kind_of(const struct cw_param_info *info)
{
    return info->flags & CW_TOGGLE ? CW_ITEM_TOGGLE : info->point_count ? CW_ITEM_LIST : CW_ITEM_SLIDER;
}

static void place_cells(struct cw_layout *layout, const struct cw_model *model, enum cw_which shown, enum cw_page page)
{
    struct cw_rect r = layout->region[CW_REGION_PANEL];
    bool finds = page == CW_PAGE_SPLIT && model->controls.setup[shown].value[CW_P_COILS] == CW_COILS_SERIES;
    int port[CW_PAGE_MOST], count = cw_page_ports(page, shown, &model->controls.setup[shown], port);
    int columns = columns_for(layout, port, count, finds), at = 0;
    double w = r.w / columns, h = row_height(layout);
    for (int i = 0; i < count; i++) {
        const struct cw_param_info *info = cw_control_info(port[i]);
        int cells = cells_of(info, w);
        at = next_cell(at, cells, columns);
        double x = r.x + w * (at % columns), y = r.y + tabs_height + 6 + h * (at / columns);
        struct cw_item *item = add(layout, CW_REGION_PANEL, kind_of(info), port[i], x + 2, y, w * cells - 4, h - 3);
        if (item && item->kind == CW_ITEM_SLIDER) {
            item->track = (struct cw_rect){x + 12, y + 16, w - 24 - value_width, h - 20};
        }
        at += cells;
    }
    if (finds) {
        double x = r.x + w * (at % columns), y = r.y + tabs_height + 6 + h * (at / columns);
        add(layout, CW_REGION_PANEL, CW_ITEM_ACTION, CW_ACTION_FIND, x + 2, y, w - 4, h - 3);
    }
}

/* The job on one line, the notes beside it over the height of the page. */
static void place_words(struct cw_layout *layout)
{
    struct cw_rect r = layout->region[CW_REGION_PANEL];
    const double y = r.y + tabs_height + 6, h = row_height(layout), w = round(0.34 * r.w);
    add(layout, CW_REGION_PANEL, CW_ITEM_WORDS, CW_TEXT_JOB, r.x + 2, y, w - 4, h - 3);
    add(layout, CW_REGION_PANEL, CW_ITEM_WORDS, CW_TEXT_NOTES, r.x + w + 2, y, r.w - w - 4, rows_of(layout) * h - 3);
}

void cw_layout_build(struct cw_layout *layout, double width, double height, const struct cw_model *model,
                     enum cw_which shown, int page)
{
    memset(layout, 0, sizeof *layout);
    layout->width = fmax(width, CW_WINDOW_WIDTH_MIN);
    layout->height = fmax(height, CW_WINDOW_HEIGHT_MIN);
    place_regions(layout);
    place_listen(layout);
    place_views(layout);
    place_actions(layout);
    place_cables(layout);
    place_tabs(layout, &model->controls.setup[shown]);
    if (page == CW_JOB_PAGE) {
        place_words(layout);
    } else {
        place_cells(layout, model, shown, (enum cw_page)page);
    }
    place_figures(layout, model);
}

void cw_layout_build_large(struct cw_layout *layout, double width, double height)
{
    memset(layout, 0, sizeof *layout);
    layout->width = width;
    layout->height = height;
    double w = width - 2 * margin, top = margin + listen_height + 4, foot = height - margin - cable_height;
    layout->region[CW_REGION_LISTEN] = (struct cw_rect){margin, margin, w, listen_height};
    layout->region[CW_REGION_PLOT] = (struct cw_rect){margin, top, w, foot - 4 - top};
    layout->region[CW_REGION_CABLE] = (struct cw_rect){margin, foot, w, cable_height};
    double last = 104, each = (w - last) / 3, half = (listen_height - 4) / 2, x = margin + w - last;
    for (int i = CW_LISTEN_RECORDED; i <= CW_LISTEN_B; i++) {
        add(layout, CW_REGION_LISTEN, CW_ITEM_LISTEN, i, margin + i * each, margin, each - 6, listen_height);
    }
    add(layout, CW_REGION_LISTEN, CW_ITEM_TOGGLE, cw_port_of_global(CW_G_LEVEL_MATCH), x, margin, last, half);
    add(layout, CW_REGION_LISTEN, CW_ITEM_LARGE, 0, x, margin + half + 4, last, half);
    place_cables(layout);
}

/* Two rows of buttons in the middle: what is offered, in the order of its names; the end stands below. */
void cw_layout_build_blind(struct cw_layout *layout, double width, double height, const struct cw_blind *blind)
{
    memset(layout, 0, sizeof *layout);
    layout->width = fmax(width, CW_WINDOW_WIDTH_MIN);
    layout->height = fmax(height, CW_WINDOW_HEIGHT_MIN);
    layout->region[CW_REGION_PLOT] = (struct cw_rect){0, 0, layout->width, layout->height};
    const double w = 124, h = 56, middle = 0.5 * layout->width, top = 0.5 * layout->height - h;
    if (cw_blind_offers(blind, CW_BLIND_8)) {
        for (int i = CW_BLIND_8; i <= CW_BLIND_OPEN; i++) {
            add(layout, CW_REGION_PLOT, CW_ITEM_BLIND, i, middle + (w + 8) * (i - CW_BLIND_16) - 0.5 * w, top, w, h);
        }
    }
    for (int i = 0; i < 4 && cw_blind_offers(blind, CW_BLIND_X); i++) {
        add(layout, CW_REGION_PLOT, CW_ITEM_BLIND, CW_BLIND_X + i, middle + (i % 2 ? 4 : -4 - 1.6 * w),
            top + (h + 8) * (i / 2), 1.6 * w, h);
    }
    add(layout, CW_REGION_PLOT, CW_ITEM_BLIND, CW_BLIND_END, middle - 0.5 * w, top + 2 * h + 40, w, 30);
}

const struct cw_item *cw_layout_at(const struct cw_layout *layout, double x, double y)
{
    for (int i = 0; i < layout->count; i++) {
        if (cw_rect_has(layout->item[i].box, x, y)) {
            return &layout->item[i];
        }
    }
    return NULL;
}

int cw_layout_find(const struct cw_layout *layout, enum cw_item_kind kind, int id)
{
    for (int i = 0; i < layout->count; i++) {
        if (layout->item[i].kind == kind && layout->item[i].id == id) {
            return i;
        }
    }
    return -1;
}

struct cw_rect cw_layout_menu(const struct cw_layout *layout, const struct cw_item *item, int rows, double width)
{
    struct cw_rect box = item->box, menu = {box.x, box.y + box.h, fmax(box.w, width), rows * CW_MENU_ROW + 8};
    if (menu.y + menu.h > layout->height) {
        menu.y = fmax(box.y - menu.h, 0.0);
    }
    menu.x = fmax(fmin(menu.x, layout->width - menu.w - margin), 0.0);
    return menu;
}
