/* SPDX-License-Identifier: ISC */
/** \file live.h
 * The door of the live page: the core and what is told of it, for a script. Compiled to WebAssembly; the page
 * has two instances, one beside the controls and one where the sound is made.
 *
 * Ports are those of dsp/setup.h. Side A is what the sliders move, side B what it is held against.
 *
 * Threading class: cw_live_start() instantiation; cw_live_set() and cw_live_run() audio; the rest belongs to the
 * instance beside the controls. An instance has one state, in its own memory; nothing allocates, and bounded time.
 */
#ifndef CW_LIVE_H
#define CW_LIVE_H

#ifdef __cplusplus
extern "C" {
#endif

/** Most samples of one cw_live_run(); bytes of cw_live_text(). */
enum { CW_LIVE_FRAMES = 1024, CW_LIVE_TEXT = 65536 };

/** Begin: all controls at their defaults, nothing heard. \param rate Hz, 8000 to 384000
 * \return 1, or 0 where the voice has no room (a fault of the build). */
int cw_live_start(double rate);

/** Take over a value for a control input; any number. \return what it becomes (see cw_param_clean()) */
double cw_live_set(int port, double value);
double cw_live_value(int port);

/** Input and output of cw_live_run(). */
float *cw_live_audio(void);

/** Process the first \p frames samples there, as the plugin does: it hears each value rounded as a port holds it. */
void cw_live_run(int frames);

/** Forget all audio. The next run takes its controls at once, without a fade. */
void cw_live_rest(void);

/** Texts go out and come in here; each function that returns a text has put it here. UTF-8, ends in a zero. */
char *cw_live_text(void);

/** What a control is, as JSON ("null" where there is none): its full symbol, name, kind ("number", "list" or "switch"),
 * unit, points, meaning, range. */
const char *cw_live_describe(int port);

/** Its value in words; and why it does nothing, empty where it does something. */
const char *cw_live_print(int port);
const char *cw_live_idle(int port);

/** Take the value in cw_live_text() as people write it. \return 1; or 0, and cw_live_text() says what was expected */
int cw_live_read(int port);

/** Where the value stands on a slider, 0 to 1; the value at a place of it; that some steps on (see control.h). */
double cw_live_share(int port);
double cw_live_at(int port, double share);
double cw_live_step(int port, int steps, int fine);

/** The pages of controls (see pages.h): how many, their names, and the ports on one for side A, in
 * cw_live_ports(). */
int cw_live_pages(void);
const char *cw_live_page_name(int page);
int cw_live_page(int page);
const int *cw_live_ports(void);

/** Level of a setup in dB, from the string's EMF to the amplifier, with what the coils' places add to it as it is
 * heard; -infinity where it is silent. \param which of enum cw_which */
double cw_live_db(int which, double hz);

/** The string of which a setup is heard, 1 to 6; 0 where it is the mean of all, or the coils' places do not count. */
int cw_live_string(int which);

/** Open pitch of a string 1 to 6, Hz (see places.h); any other is taken for the nearest. */
double cw_live_pitch(int string);

/** Level of a partial of a string in dB, as the two places of the coils give it: what no fixed filter can play, to be
 * shown beside the curve; -infinity where it is silent. */
double cw_live_partial(int which, int string, double hz);

/** The table of figures, and what the cable does, in the words of the window (see figure_words.h). */
int cw_live_figures(void);
const char *cw_live_figure_name(int row);
const char *cw_live_figure(int which, int row);
const char *cw_live_cable(int which);
const char *cw_live_cable_plainly(int which);

/** Side A as a candidate file, and as plain lines (see preset_text.h, settings_text.h). Its name stands in
 * cw_live_text() before. */
const char *cw_live_preset(void);
const char *cw_live_settings(void);

#ifdef __cplusplus
}
#endif
#endif
