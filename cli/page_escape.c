/* SPDX-License-Identifier: ISC */
#include "page_escape.h"

void cw_print_html(FILE *stream, const char *text)
{
    for (; *text; text++) {
        unsigned char c = (unsigned char)*text;
        switch (c) {
        case '<': fputs("&lt;", stream); break;
        case '>': fputs("&gt;", stream); break;
        case '&': fputs("&amp;", stream); break;
        case '"': fputs("&quot;", stream); break;
        case '\'': fputs("&#39;", stream); break;
        default: fputc(c < 0x20 || c == 0x7f ? ' ' : c, stream);
        }
    }
}

void cw_print_json(FILE *stream, const char *text)
{
    fputc('"', stream);
    for (; *text; text++) {
        unsigned char c = (unsigned char)*text;
        if (c == '"' || c == '\\') {
            fprintf(stream, "\\%c", c);
        } else if (c < 0x20 || c == '<' || c == '>' || c == '&' || c == 0x7f) {
            fprintf(stream, "\\u%04x", c);
        } else {
            fputc(c, stream);
        }
    }
    fputc('"', stream);
}
