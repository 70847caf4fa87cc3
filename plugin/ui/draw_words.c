/* SPDX-License-Identifier: ISC */
#include "draw_words.h"

#include <stdbool.h>
#include <stdio.h>
#include <string.h>

#include "names.h"
#include "rect.h"
#include "session_text.h"
#include "utf8.h"

static const double label_width = 44.0, line_height = 14.0, edge = 5.0;

enum { LINES_MOST = CW_TEXT_SIZE };

/* The first bytes of a text, as they are drawn: a tab is a blank. */
static const char *first_of(const char *text, size_t length, char part[CW_TEXT_SIZE + 8])
{
    for (size_t i = 0; i < length; i++) {
        part[i] = (char)(text[i] == '\t' ? ' ' : text[i]);
    }
    part[length] = '\0';
    return part;
}

static bool fits(struct cw_ink *ink, const char *text, size_t length, double width)
{
    char part[CW_TEXT_SIZE + 8];
    return cw_ink_width(ink, first_of(text, length, part)) <= width;
}

/* Bytes of the text that stand on one line: whole words; of a word that is too long, as much as there is room for. */
static size_t line_of(struct cw_ink *ink, const char *text, double width)
{
    size_t length = 0;
    for (;;) {
        size_t next = length + strspn(text + length, " \t");
        next += strcspn(text + next, " \t\n");
        if (next == length || !fits(ink, text, next, width)) {
            break;
        }
        length = next;
    }
    while (length == 0 && text[length] && text[length] != '\n') {
        size_t next = 0;
        do {
            length = next;
            next += cw_utf8_length(text + next);
        } while (next > length && text[length] && text[length] != '\n' && fits(ink, text, next, width));
        length = length ? length : next;
    }
    return length;
}

/* Where each line begins; the last one, past the end, is where the text ends. */
static int break_lines(struct cw_ink *ink, const char *text, double width, unsigned short begin[LINES_MOST + 1])
{
    int count = 0;
    size_t at = 0;
    do {
        begin[count++] = (unsigned short)at;
        at += line_of(ink, text + at, width);
        at += strspn(text + at, " \t");
        at += text[at] == '\n';
    } while (text[at] && count < LINES_MOST);
    if (at > 0 && text[at - 1] == '\n' && count < LINES_MOST) { /* an empty line that was begun */
        begin[count++] = (unsigned short)at;
    }
    return count;
}

static void draw_caret(struct cw_ink *ink, double x, double y)
{
    cairo_rectangle(ink->cr, x + 0.5, y - 10, 1, 12);
    cairo_fill(ink->cr);
}

/* The first lines that there is room for; of what is being typed the last ones, with the caret. */
static void draw_lines(struct cw_ink *ink, const char *text, struct cw_rect box, bool typed)
{
    unsigned short begin[LINES_MOST + 1];
    const double width = box.w - 2 * edge;
    const int rows = (int)((box.h - 2) / line_height);
    const int count = break_lines(ink, text, width, begin), from = typed && count > rows ? count - rows : 0;
    double y = box.y + 12.0; /* beside the label */
    for (int i = from; i < count && i < from + rows; i++, y += line_height) {
        const bool more = !typed && i == from + rows - 1 && count > from + rows;
        char line[CW_TEXT_SIZE + 8];
        const size_t length = line_of(ink, text + begin[i], width);
        first_of(text + begin[i], length, line);
        if (more) {
            snprintf(line + length, sizeof line - length, " \xe2\x80\xa6");
        }
        cw_ink_text(ink, box.x + edge, y, width, CW_LEFT, line);
        if (typed && i == count - 1) {
            draw_caret(ink, box.x + edge + cw_ink_width(ink, line), y);
        }
    }
}

void cw_draw_words(struct cw_ink *ink, const struct cw_view *view, const struct cw_item *item)
{
    const struct cw_rect b = item->box, box = {b.x + label_width, b.y + 3, b.w - label_width - 4, b.h - 6};
    const bool typed = view->edit.what.kind == item->kind && view->edit.what.id == item->id;
    cw_ink_font(ink, 11, false);
    cw_ink_colour(ink, CW_INK_FADED);
    cw_ink_text(ink, b.x + 8, b.y + 15, label_width - 8, CW_LEFT, cw_names_label[item->id]);
    cw_ink_font(ink, 12, false);
    if (typed) {
        cw_ink_colour(ink, view->edit.fresh ? CW_INK_FOCUS : CW_INK_BRIGHT);
        cw_ink_box(ink, box, 3);
        cw_ink_colour(ink, view->edit.why[0] ? CW_INK_WRONG : CW_INK_FOCUS);
        cw_ink_edge(ink, box, 3, 2);
    }
    cw_ink_colour(ink, typed ? CW_INK_DARK : CW_INK_TEXT);
    draw_lines(ink, typed ? view->edit.text : view->names.text[item->id], box, typed);
}
