/* SPDX-License-Identifier: ISC */
#include "show.h"

#include <ctype.h>
#include <string.h>

#include "escape.h"

void cw_print_shown(FILE *stream, const char *text)
{
    char piece[CW_PIECE_BYTES];
    while (*cw_show_piece(&text, piece)) {
        fputs(piece, stream);
    }
}

void cw_print_csv(FILE *stream, const char *text)
{
    char piece[CW_PIECE_BYTES];
    bool formula = cw_is_formula(text), quoted = strpbrk(text, ",\"") != NULL;
    fputs(quoted ? "\"" : "", stream);
    fputs(formula ? "'" : "", stream);
    while (*cw_show_piece(&text, piece)) {
        fputs(*piece == '"' ? "\"\"" : piece, stream);
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
    fputs(quoted ? "'" : "", stream);
    while (*cw_show_piece(&text, piece)) {
        fputs(*piece == '\'' ? "'\\''" : piece, stream);
    }
    fputs(quoted ? "'" : "", stream);
}

void cw_print_address(FILE *stream, const char *path)
{
    fputs("file://", stream);
    for (const unsigned char *c = (const unsigned char *)path; *c; c++) {
        bool plain = (*c < 0x80 && isalnum(*c)) || strchr("/-._~", *c);
        fprintf(stream, plain ? "%c" : "%%%02X", *c);
    }
}
