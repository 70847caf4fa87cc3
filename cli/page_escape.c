/* SPDX-License-Identifier: ISC */
#include "page_escape.h"

#include <stdbool.h>
#include <string.h>

#include "escape.h"

void cw_print_html(FILE *stream, const char *text)
{
    char piece[CW_PIECE_BYTES];
    while (*cw_show_piece(&text, piece)) {
        for (const char *c = piece; *c; c++) {
            switch (*c) {
            case '<': fputs("&lt;", stream); break;
            case '>': fputs("&gt;", stream); break;
            case '&': fputs("&amp;", stream); break;
            case '"': fputs("&quot;", stream); break;
            case '\'': fputs("&#39;", stream); break;
            default: fputc(*c, stream);
            }
        }
    }
}

void cw_print_json(FILE *stream, const char *text)
{
    char piece[CW_PIECE_BYTES];
    fputc('"', stream);
    while (*cw_show_piece(&text, piece)) {
        for (const char *c = piece; *c; c++) {
            bool special = strchr("\"\\<>&", *c) != NULL;
            fprintf(stream, special ? "\\u%04x" : "%c", (unsigned char)*c);
        }
    }
    fputc('"', stream);
}
