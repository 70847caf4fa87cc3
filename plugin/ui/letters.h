/* SPDX-License-Identifier: ISC */
/** \file letters.h
 * What a key types: a letter at once, or one that is composed of several keys (dead keys, the compose key), as Xlib's
 * input method has it for the host's locale.
 *
 * Threading class: the window's thread.
 */
#ifndef CW_UI_LETTERS_H
#define CW_UI_LETTERS_H

#include <stdbool.h>

#include <X11/Xlib.h>

#ifdef __cplusplus
extern "C" {
#endif

/** All zero: not opened. It is opened at the first key. */
struct cw_letters {
    bool opened; /**< or tried to */
    XIM method;  /**< NULL where there is none: then every key stands for itself */
    XIC context;
};

/** Whether a key press is kept back: it begins or goes on with a letter that is composed. The first one opens the
 * method: where the host named a server of input methods, that waits for it. */
bool cw_letters_keep(struct cw_letters *letters, Display *display, Window window, XEvent *press);

/** Whether an event that is no key press is the input method's own: a server's answers come as messages, to a window of
 * Xlib's. */
bool cw_letters_take(const struct cw_letters *letters, XEvent *event);

/** The key, and what it types.
 * \param symbol set; NoSymbol for a letter that was composed
 * \param text   set to one printable character in UTF-8
 * \return false where it types none: \p text is left alone */
bool cw_letters_of(struct cw_letters *letters, XKeyEvent *press, KeySym *symbol, char text[8]);

/** While the display is still open. */
void cw_letters_close(struct cw_letters *letters);

#ifdef __cplusplus
}
#endif
#endif
