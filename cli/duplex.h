/* SPDX-License-Identifier: ISC */
/** \file duplex.h
 * Plays one channel and records two at the same time, through a JACK server (PipeWire's JACK is the same interface).
 *
 * libjack is loaded when it is needed: the program runs without it. A build without its header refuses at run time.
 *
 * Threading class: the caller's functions are of one thread, none of the audio thread; what the server calls allocates
 * nothing, locks nothing and speaks to the caller by atomic counts alone.
 */
#ifndef CW_DUPLEX_H
#define CW_DUPLEX_H

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Ports of the server that are connected; NULL: the first that belong to a device. */
struct cw_duplex_ports {
    const char *play, *channel[2];
};

struct cw_duplex;

/** Become a client of the server and connect. Reports in one line, and returns NULL, where there is no library, no
 * server or no such port. */
struct cw_duplex *cw_duplex_open(const struct cw_duplex_ports *ports);

/** Leave the server and free. Harmless with NULL. */
void cw_duplex_close(struct cw_duplex *duplex);

/** The server's sample rate, Hz. */
double cw_duplex_rate(const struct cw_duplex *duplex);

/** Begin to play and record; both go on by themselves.
 * \param play   samples to play; NULL: silence. With \p record it must stay until cw_duplex_done() is \p frames
 * \param record room for \p frames samples of each channel */
void cw_duplex_start(struct cw_duplex *duplex, const float *play, float *const record[2], size_t frames);

/** Frames that were played and recorded since the start. */
size_t cw_duplex_done(struct cw_duplex *duplex);

/** How often samples were lost since the start (xruns, blocks that do not follow one another). */
unsigned cw_duplex_lost(struct cw_duplex *duplex);

/** Highest sample of a channel, 0 or 1, since this was last asked. */
double cw_duplex_peak(struct cw_duplex *duplex, int channel);

/** Whether the server is still there. */
bool cw_duplex_alive(struct cw_duplex *duplex);

#ifdef __cplusplus
}
#endif
#endif
