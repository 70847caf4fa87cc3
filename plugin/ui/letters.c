/* SPDX-License-Identifier: ISC */
#include "letters.h"

#include <stdio.h>
#include <string.h>

#include <X11/Xutil.h>
#include <X11/keysym.h>

/* The method's server has gone, and what was opened with it. */
static void lose(XIM method, XPointer data, XPointer more)
{
    struct cw_letters *letters = (struct cw_letters *)(void *)data;
    (void)method;
    (void)more;
    letters->method = NULL;
    letters->context = NULL;
}

/* Names no method: which one it is is for the host to say, for the whole process (XSetLocaleModifiers). */
static void open_method(struct cw_letters *letters, Display *display, Window window)
{
    letters->opened = true;
    letters->method = XOpenIM(display, NULL, NULL, NULL);
    if (!letters->method) {
        return;
    }
    XIMCallback lost = {(XPointer)letters, lose};
    XSetIMValues(letters->method, XNDestroyCallback, &lost, NULL);
    letters->context = XCreateIC(letters->method, XNInputStyle, XIMPreeditNothing | XIMStatusNothing, XNClientWindow,
                                 window, XNFocusWindow, window, NULL);
    if (letters->context) {
        XSetICFocus(letters->context);
    }
}

bool cw_letters_keep(struct cw_letters *letters, Display *display, Window window, XEvent *press)
{
    if (!letters->opened) {
        open_method(letters, display, window);
    }
    return letters->context && XFilterEvent(press, window);
}

bool cw_letters_take(const struct cw_letters *letters, XEvent *event)
{
    return letters->context && event->type != KeyPress && XFilterEvent(event, None);
}

/* Without an input method Xlib gives Latin-1, where the first 256 of Unicode stand. */
static int to_utf8(char c, char text[8])
{
    unsigned char byte = (unsigned char)c;
    if (byte < 0x80) {
        text[0] = c;
        return 1;
    }
    text[0] = (char)(0xc0 | byte >> 6);
    text[1] = (char)(0x80 | (byte & 0x3f));
    return 2;
}

/* One character, and no control character: of ASCII, or U+0080 to U+009F. */
static bool is_printable(const char *text, int length)
{
    const unsigned char first = (unsigned char)text[0], second = (unsigned char)text[1];
    const int wanted = first < 0x80 ? 1 : first < 0xe0 ? 2 : first < 0xf0 ? 3 : 4;
    return length == wanted && first >= 0x20 && first != 0x7f && !(first == 0xc2 && second < 0xa0);
}

/* The letters of units that Latin-1 lacks, as keyboards and compose keys send them; the ohm sign as capital omega. */
static const char *unit_letter(KeySym symbol, const char *text)
{
    switch (symbol) {
    case XK_Greek_OMEGA:
    case 0x10003a9: /* Unicode keysyms: Greek capital omega, the ohm sign */
    case 0x1002126: return "\xce\xa9";
    case XK_Greek_mu:
    case 0x10003bc: return "\xc2\xb5";
    default: return strcmp(text, "\xe2\x84\xa6") == 0 ? "\xce\xa9" : NULL;
    }
}

bool cw_letters_of(struct cw_letters *letters, XKeyEvent *press, KeySym *symbol, char text[8])
{
    char found[32] = "";
    int length;
    *symbol = NoSymbol;
    if (letters->context) {
        Status status;
        length = Xutf8LookupString(letters->context, press, found, sizeof found - 1, symbol, &status);
        length = status == XLookupChars || status == XLookupBoth ? length : 0;
        *symbol = status == XLookupKeySym || status == XLookupBoth ? *symbol : NoSymbol;
    } else {
        char latin[8];
        length = XLookupString(press, latin, sizeof latin, symbol, NULL) == 1 ? to_utf8(latin[0], found) : 0;
    }
    found[length] = '\0';
    const char *unit = unit_letter(*symbol, found);
    if (!unit && !is_printable(found, length)) {
        return false;
    }
    snprintf(text, 8, "%.7s", unit ? unit : found);
    return true;
}

void cw_letters_close(struct cw_letters *letters)
{
    if (letters->context) {
        XDestroyIC(letters->context);
    }
    if (letters->method) {
        XCloseIM(letters->method);
    }
    memset(letters, 0, sizeof *letters);
}
