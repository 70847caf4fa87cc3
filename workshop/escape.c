/* SPDX-License-Identifier: ISC */
#include "escape.h"

#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "utf8.h"

static const char ELLIPSIS[] = "\xe2\x80\xa6";

static uint32_t code_of(const char *text, size_t length)
{
    static const unsigned char first[] = {0x7f, 0x7f, 0x1f, 0x0f, 0x07};
    uint32_t code = (unsigned char)text[0] & first[length];
    for (size_t i = 1; i < length; i++) {
        code = code << 6 | ((unsigned char)text[i] & 0x3f);
    }
    return code;
}

/* Characters that are not seen where they stand, or change what is seen elsewhere: controls, separators, marks of
 * direction, and what Unicode calls ignorable by default (Unicode Standard Annex 44, Default_Ignorable_Code_Point). */
static bool has_no_shape(uint32_t code)
{
    static const struct {
        uint32_t first, last;
    } ranges[] = {
        {0x00, 0x1f},     {0x7f, 0x9f},     {0xad, 0xad},       {0x34f, 0x34f},     {0x61c, 0x61c},
        {0x115f, 0x1160}, {0x17b4, 0x17b5}, {0x180b, 0x180f},   {0x200b, 0x200f},   {0x2028, 0x202e},
        {0x2060, 0x206f}, {0x3164, 0x3164}, {0xfe00, 0xfe0f},   {0xfeff, 0xfeff},   {0xffa0, 0xffa0},
        {0xfff0, 0xfffb}, {0xfffe, 0xffff}, {0x1bca0, 0x1bca3}, {0x1d173, 0x1d17a}, {0xe0000, 0xe0fff},
    };
    for (size_t i = 0; i < sizeof ranges / sizeof ranges[0]; i++) {
        if (code >= ranges[i].first && code <= ranges[i].last) {
            return true;
        }
    }
    return false;
}

/* Bytes of every joiner and variant. */
enum { MARK_BYTES = 3 };

/* The character of so many bytes that begins a text; 0 where none does. */
static uint32_t mark_of(const char *text)
{
    return *text && cw_utf8_length(text) == MARK_BYTES ? code_of(text, MARK_BYTES) : 0;
}

/* Scripts from Arabic on and pictures are written with joiners and variants; behind a letter of Latin, Greek or
 * Cyrillic, or a digit, they only make two texts that look the same. \return bytes of the ones that follow: a variant,
 * a joiner, or one behind the other as in a picture of two */
static size_t joined(const char *next, uint32_t code)
{
    const uint32_t first_joined = 0x600;
    if (code < first_joined) {
        return 0;
    }
    uint32_t variant = mark_of(next);
    size_t length = variant >= 0xfe00 && variant <= 0xfe0f ? MARK_BYTES : 0;
    uint32_t joiner = mark_of(next + length);
    return length + (joiner == 0x200c || joiner == 0x200d ? MARK_BYTES : 0);
}

const char *cw_show_piece(const char **text, char piece[CW_PIECE_BYTES])
{
    piece[0] = '\0';
    if (!**text) {
        return piece;
    }
    size_t length = cw_utf8_length(*text);
    uint32_t code = length ? code_of(*text, length) : 0;
    if (length == 0) {
        snprintf(piece, CW_PIECE_BYTES, "<0x%02X>", (unsigned char)**text);
    } else if (has_no_shape(code)) {
        snprintf(piece, CW_PIECE_BYTES, "<U+%04X>", (unsigned)(code & 0x1fffff));
    } else {
        length += joined(*text + length, code);
        memcpy(piece, *text, length);
        piece[length] = '\0';
    }
    *text += length ? length : 1;
    return piece;
}

/* Piece by piece, as long as what follows, or the mark of a cut, has room behind it. */
static const char *fill(const char *text, char *to, size_t size, const char *(*next)(const char **, char *))
{
    char piece[CW_PIECE_BYTES];
    size_t used = 0, cut = 0;
    to[0] = '\0';
    while (*next(&text, piece)) {
        size_t length = strlen(piece);
        if (used + length >= size) {
            memcpy(to + cut, ELLIPSIS, sizeof ELLIPSIS);
            return to;
        }
        memcpy(to + used, piece, length + 1);
        used += length;
        cut = used + sizeof ELLIPSIS <= size ? used : cut;
    }
    return to;
}

const char *cw_show(const char *text, char *to, size_t size) { return fill(text, to, size, cw_show_piece); }

static const char *plain_piece(const char **text, char *piece)
{
    size_t length = cw_utf8_length(*text);
    length = !**text ? 0 : length ? length : 1;
    memcpy(piece, *text, length);
    piece[length] = '\0';
    *text += length;
    return piece;
}

const char *cw_text_fit(const char *text, char *to, size_t size) { return fill(text, to, size, plain_piece); }

/* Blanks of ASCII, no-break and ideographic ones. */
static const char *behind_blanks(const char *text)
{
    static const char *const wide[] = {"\xc2\xa0", "\xe3\x80\x80"};
    for (size_t before = 0; before != strlen(text);) {
        before = strlen(text);
        text += strspn(text, " \t\r\n\v\f");
        for (size_t i = 0; i < sizeof wide / sizeof wide[0]; i++) {
            text += strncmp(text, wide[i], strlen(wide[i])) == 0 ? strlen(wide[i]) : 0;
        }
    }
    return text;
}

bool cw_is_formula(const char *text)
{
    /* As wide as an ideograph they count as well. */
    static const char *const sign[] = {"=",           "+", "-", "@", "\xef\xbc\x9d", "\xef\xbc\x8b", "\xef\xbc\x8d",
                                       "\xef\xbc\xa0"};
    const char *begin = behind_blanks(text);
    bool starts = false;
    for (size_t i = 0; i < sizeof sign / sizeof sign[0]; i++) {
        starts = starts || strncmp(begin, sign[i], strlen(sign[i])) == 0;
    }
    if (!starts || strcmp(text, "-") == 0) {
        return false;
    }
    char *end;
    (void)strtod(text, &end);
    return begin != text || *end != '\0';
}

const char *cw_markdown_escape(char c)
{
    switch (c) {
    case '<': return "&lt;";
    case '>': return "&gt;";
    case '&': return "&amp;";
    case '|': return "\\|";
    case '[': return "\\[";
    case ']': return "\\]";
    case '!': return "\\!";
    case '*': return "\\*";
    case '_': return "\\_";
    case '`': return "\\`";
    case '~': return "\\~";
    case '\\': return "\\\\";
    default: return NULL;
    }
}
