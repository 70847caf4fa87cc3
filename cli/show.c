/* SPDX-License-Identifier: ISC */
#include "show.h"

#include <ctype.h>
#include <stdarg.h>
#include <string.h>

#include "escape.h"

void cw_print_shown(FILE *stream, const char *text)
{
    char piece[CW_PIECE_BYTES];
    while (*cw_show_piece(&text, piece)) {
        fputs(piece, stream);
    }
}

/* Of a terminal that nobody made wider, but for the last one. */
enum { LINE_CELLS = 79 };

size_t cw_cells_most(const char *piece)
{
    size_t count = 0;
    for (const unsigned char *c = (const unsigned char *)piece; *c; c++) {
        count += *c >= 0xe1 ? 2 : (*c & 0xc0) != 0x80;
    }
    return count;
}

static size_t word_cells(const char *text)
{
    char piece[CW_PIECE_BYTES];
    size_t count = 0;
    while (*text && *text != ' ') {
        count += cw_cells_most(cw_show_piece(&text, piece));
    }
    return count;
}

void cw_print_folded(FILE *stream, const char *text, size_t column, size_t indent)
{
    char piece[CW_PIECE_BYTES];
    size_t at = column;
    bool folded = false;
    while (*cw_show_piece(&text, piece)) {
        const bool blank = strcmp(piece, " ") == 0;
        if (at + cw_cells_most(piece) > LINE_CELLS || (blank && !folded && at + 1 + word_cells(text) > LINE_CELLS)) {
            fprintf(stream, "\n%*s", (int)indent, "");
            at = indent;
            folded = true;
        }
        if (!blank || !folded) {
            fputs(piece, stream);
            at += cw_cells_most(piece);
            folded = false;
        }
    }
    fputc('\n', stream);
}

void cw_print_quoting(FILE *stream, const char *format, ...)
{
    char text[1024];
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(text, sizeof text, format, arguments);
    va_end(arguments);
    cw_print_folded(stream, text, 0, CW_INDENT);
}

/* Where a decimal comma is usual, spreadsheets part cells at semicolons, within quotes too that begin no cell of
 * theirs: what stands behind one may be a formula. */
static bool parts_formula(const char *piece, const char *text)
{
    return *piece == ';' && cw_is_formula(text + strspn(text, " \""));
}

void cw_print_csv(FILE *stream, const char *text)
{
    char piece[CW_PIECE_BYTES];
    bool formula = cw_is_formula(text), quoted = strpbrk(text, ",\"") != NULL;
    fputs(quoted ? "\"" : "", stream);
    fputs(formula ? "'" : "", stream);
    while (*cw_show_piece(&text, piece)) {
        fputs(*piece == '"' ? "\"\"" : piece, stream);
        fputs(parts_formula(piece, text) ? "'" : "", stream);
    }
    fputs(quoted ? "\"" : "", stream);
}

void cw_print_markdown(FILE *stream, const char *text)
{
    char piece[CW_PIECE_BYTES];
    while (*cw_show_piece(&text, piece)) {
        for (const char *c = piece; *c; c++) {
            const char *escape = cw_markdown_escape(*c);
            escape ? fputs(escape, stream) : fputc(*c, stream);
        }
    }
}

void cw_print_word(FILE *stream, const char *text)
{
    static const char plain[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789_-./,:+@%";
    char piece[CW_PIECE_BYTES];
    bool quoted = !*text || text[strspn(text, plain)];
    fputs(*text == '-' ? "./" : "", stream); /* a file's name, no option */
    fputs(quoted ? "'" : "", stream);
    while (*cw_show_piece(&text, piece)) {
        fputs(*piece == '\'' ? "'\\''" : piece, stream);
    }
    fputs(quoted ? "'" : "", stream);
}

void cw_print_address(FILE *stream, const char *path)
{
    if (*path != '/') { /* an address has none that is relative */
        cw_print_shown(stream, path);
        return;
    }
    fputs("file://", stream);
    for (const unsigned char *c = (const unsigned char *)path; *c; c++) {
        bool plain = (*c < 0x80 && isalnum(*c)) || strchr("/-._~", *c);
        fprintf(stream, plain ? "%c" : "%%%02X", *c);
    }
}
