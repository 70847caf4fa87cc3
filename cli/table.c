/* SPDX-License-Identifier: ISC */
#include "table.h"

#include <ctype.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "escape.h"
#include "show.h"

void cw_table_init(struct cw_table *table, size_t columns) { *table = (struct cw_table){.columns = columns}; }

void cw_table_free(struct cw_table *table)
{
    for (size_t i = 0; i < table->count; i++) {
        free(table->cell[i]);
    }
    free(table->cell);
    memset(table, 0, sizeof *table);
}

static bool make_room(struct cw_table *table)
{
    if (table->count < table->room) {
        return true;
    }
    size_t room = table->room ? 2 * table->room : 64;
    char **cell = realloc(table->cell, room * sizeof *cell);
    if (!cell) {
        return false;
    }
    table->cell = cell;
    table->room = room;
    return true;
}

void cw_table_add(struct cw_table *table, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    int length = vsnprintf(NULL, 0, format, arguments);
    va_end(arguments);
    char *copy = length >= 0 && make_room(table) ? malloc((size_t)length + 1) : NULL;
    if (!copy) {
        table->failed = true;
        return;
    }
    va_start(arguments, format);
    vsnprintf(copy, (size_t)length + 1, format, arguments);
    va_end(arguments);
    table->cell[table->count++] = copy;
}

/* Cells that a first column of a folded table may take, the rest of it below, and its characters where it is repeated.
 * A row that a terminal folds could hold a name whose rest stands there as another row. */
enum { NAME_CELLS = 64, AGAIN_WIDTH = 32 };

/* Columns on the terminal: characters, not bytes. */
static size_t piece_width(const char *piece)
{
    size_t width = 0;
    for (const char *c = piece; *c; c++) {
        width += ((unsigned char)*c & 0xc0) != 0x80;
    }
    return width;
}

/* As much of a text as fits into so many cells, to a stream or nowhere. \param width of it \return what does not */
static const char *print_fitting(FILE *stream, const char *text, size_t room, size_t *width)
{
    char piece[CW_PIECE_BYTES];
    const char *next = text;
    *width = 0;
    while (*cw_show_piece(&next, piece) && cw_cells_most(piece) <= room) {
        room -= cw_cells_most(piece);
        *width += piece_width(piece);
        if (stream) {
            fputs(piece, stream);
        }
        text = next;
    }
    return text;
}

static size_t width_of(const char *text, size_t room)
{
    size_t width;
    print_fitting(NULL, text, room, &width);
    return width;
}

/* A number, alone or with a unit, or what stands in a column of numbers where there is none. */
static bool is_number(const char *text)
{
    text += *text == '+' || *text == '-';
    static const char *const words[] = {"", "inf", "none", "flat", "cancels", "silent"};
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
        if (strcmp(text, words[i]) == 0) {
            return true;
        }
    }
    const char *space = strchr(text, ' ');
    return isdigit((unsigned char)*text) && !(space && strchr(space + 1, ' '));
}

static void print_csv(const struct cw_table *table, FILE *stream)
{
    for (size_t i = 0; i < table->count; i++) {
        cw_print_csv(stream, table->cell[i]);
        fputs((i + 1) % table->columns ? "," : "\r\n", stream);
    }
}

struct column {
    size_t width, room; /* in characters, and in cells for one text */
    bool number;
};

static void measure(const struct cw_table *table, struct column *columns)
{
    for (size_t c = 0; c < table->columns; c++) {
        columns[c] = (struct column){0, c < table->fold ? NAME_CELLS : SIZE_MAX, true};
        for (size_t i = c; i < table->count; i += table->columns) {
            size_t width = width_of(table->cell[i], columns[c].room);
            columns[c].width = width > columns[c].width ? width : columns[c].width;
            columns[c].number = columns[c].number && (i == c || is_number(table->cell[i]));
        }
    }
}

static void print_cell(FILE *stream, const char *text, struct column column, bool last)
{
    size_t width, gap = column.width - width_of(text, column.room);
    fprintf(stream, "%*s", column.number ? (int)gap : 0, "");
    print_fitting(stream, text, column.room, &width);
    fprintf(stream, "%*s", column.number || last ? 0 : (int)gap, "");
    fputs(last ? "\n" : "  ", stream);
}

static size_t again_width(const struct column *columns, size_t count)
{
    size_t width = 0;
    for (size_t c = 0; c < count; c++) {
        width += (columns[c].width < AGAIN_WIDTH ? columns[c].width : AGAIN_WIDTH) + 2;
    }
    return width;
}

/* A cell that a later part repeats: cut where it is long, since the first part has it whole. */
static void print_again(FILE *stream, const char *text, struct column column)
{
    column.width = column.width < AGAIN_WIDTH ? column.width : AGAIN_WIDTH;
    if (width_of(text, SIZE_MAX) <= column.width) {
        print_cell(stream, text, column, false);
        return;
    }
    char piece[CW_PIECE_BYTES];
    size_t width = 0;
    while (width + piece_width(cw_show_piece(&text, piece)) < AGAIN_WIDTH) {
        width += piece_width(piece);
        fputs(piece, stream);
    }
    fprintf(stream, "…%*s", (int)(AGAIN_WIDTH - width - 1 + 2), "");
}

/* What of the first columns did not fit, below its beginning. */
static void print_rests(const struct cw_table *table, FILE *stream, const struct column *columns, size_t row)
{
    size_t at = 0, width;
    for (size_t c = 0; c < table->fold; c++) {
        const char *rest = print_fitting(NULL, table->cell[row + c], columns[c].room, &width);
        while (*rest) {
            fprintf(stream, "%*s", (int)at, "");
            rest = print_fitting(stream, rest, columns[c].room, &width);
            fputc('\n', stream);
        }
        at += columns[c].width + 2;
    }
}

/* Rows with their first columns and those from one to before another. */
static void print_part(const struct cw_table *table, FILE *stream, const struct column *columns, size_t from, size_t to)
{
    for (size_t row = 0; row < table->count; row += table->columns) {
        for (size_t c = 0; c < table->fold && c < from; c++) {
            print_again(stream, table->cell[row + c], columns[c]);
        }
        for (size_t c = from; c < to; c++) {
            print_cell(stream, table->cell[row + c], columns[c], c + 1 == to);
        }
        if (from == 0) {
            print_rests(table, stream, columns, row);
        }
    }
}

static size_t width_between(const struct column *columns, size_t from, size_t to)
{
    size_t width = 0;
    for (size_t c = from; c < to; c++) {
        width += columns[c].width + 2;
    }
    return width;
}

/* As many parts as it takes; one where the table need not fold. */
static void print_parts(const struct cw_table *table, FILE *stream, const struct column *columns)
{
    size_t key = table->fold < table->columns ? again_width(columns, table->fold) : 0;
    for (size_t from = 0, to; from < table->columns; from = to) {
        size_t before = from == 0 ? 0 : key;
        to = from + 1;
        while (to < table->columns && (table->fold == 0 || (from == 0 && to < table->fold) ||
                                       before + width_between(columns, from, to + 1) <= CW_TABLE_WIDTH + 2)) {
            to++;
        }
        if (from > 0) {
            fputc('\n', stream);
        }
        print_part(table, stream, columns, from, to);
    }
}

size_t cw_table_width(const struct cw_table *table)
{
    struct column *columns = calloc(table->columns, sizeof *columns);
    size_t width = 0;
    if (columns) {
        measure(table, columns);
        width = width_between(columns, 0, table->columns) - 2;
    }
    free(columns);
    return width;
}

bool cw_table_print(const struct cw_table *table, FILE *stream, bool csv)
{
    struct column *columns = calloc(table->columns, sizeof *columns);
    if (table->failed || !columns) {
        free(columns);
        cw_error_memory();
        return false;
    }
    if (csv) {
        print_csv(table, stream);
    } else {
        measure(table, columns);
        print_parts(table, stream, columns);
    }
    free(columns);
    return true;
}
