/* SPDX-License-Identifier: ISC */
/* coilwright take: the sheet that tells a player how to make a recording, and a check of one. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "arguments.h"
#include "audio.h"
#include "command.h"
#include "message.h"
#include "options.h"
#include "output.h"
#include "take_check.h"
#include "take_words.h"

enum option { OPT_CHANNEL = 1, OPT_FORCE, OPT_OUTPUT };

static const struct cw_option options[] = {
    {OPT_CHANNEL, "channel", 0, "N",
     "Look at channel N, 1 to 1024, of a recording with several; default the only one."},
    {OPT_OUTPUT, "output", 'o', "FILE", "Write to FILE; default -, standard output."},
    {OPT_FORCE, "force", 'f', NULL, "Replace a file that is there already."},
};

static const struct cw_usage usage = {
    "take",
    "[FILE]",
    "Without FILE, print a sheet for a player far away: how to make the recording that candidates are heard on, and "
    "what to note. With FILE, check a recording against it: level, clipping, hum, noise, rate, length.",
    options,
    sizeof options / sizeof options[0],
    "FILE is WAV, FLAC or AIFF. Exit status 1 where the recording should be made anew. The limits are common practice, "
    "no source.",
};

struct request {
    const char *output;
    long channel;
    bool force;
};

static const char sheet[] = "RECORDING FOR A PICKUP COMPARISON\n"
                            "\n"
                            "Your playing will be heard through coils that are not wound yet. For that it has\n"
                            "to be recorded dry: the guitar straight into the interface, nothing in between.\n"
                            "\n"
                            "Before you begin\n"
                            "  - Headphones or loudspeakers low: turn up after the first notes, not before.\n"
                            "  - Mains-powered gear stays closed. What is inside is for licensed people.\n"
                            "\n"
                            "Connect\n"
                            "  - Guitar, one cable, instrument input of the interface (marked Hi-Z, Inst or\n"
                            "    with a guitar; 1 megohm is common practice). No pedal, no tuner, no\n"
                            "    amplifier between.\n"
                            "  - Use the cable that you know the length of, and measure it.\n"
                            "\n"
                            "Set\n"
                            "  - Volume and tone fully up. One pickup alone, not split, not two together:\n"
                            "    best the one that the new coil will stand in for, in its place.\n"
                            "  - No equaliser, compressor, gate or noise reduction; no amplifier simulation\n"
                            "    that is recorded (to hear one while you play is fine).\n"
                            "  - 48000 Hz (44100 or more), 24 bits, one channel, WAV or FLAC. No MP3.\n"
                            "  - Play as hard as you will: the highest peak 6 to 12 dB under full scale. If\n"
                            "    the red light comes on once, turn the input down and begin anew.\n"
                            "\n"
                            "Play\n"
                            "  - Two seconds of nothing first, hands on the strings: they tell the hum.\n"
                            "  - Turn on the spot until the hum is least, and stay so.\n"
                            "  - Half a minute to a minute of what you play: chords, single notes from the\n"
                            "    lowest string to the highest, hard and soft, where you usually pick.\n"
                            "  - The same once more with the volume at about 7, if you play like that.\n"
                            "\n"
                            "Note, and send along with the file\n"
                            "  Cable: ______ m; its type, if it is written on it ____________________________\n"
                            "  Volume pot: ______ kohm    Tone pot: ______ kohm    Tone capacitor: ______ nF\n"
                            "  Resistance at the plug, volume fully up, by a multimeter: ______ kohm\n"
                            "  The room's temperature then: ______ degrees C\n"
                            "  Inductance, if someone measured it: ______ H at ______ Hz\n"
                            "  Pickup in place: one coil / two coils; bridge / middle / neck\n"
                            "  From the bridge to the middle of the pickup: ______ mm     Scale: ______ mm\n"
                            "  Interface: its input resistance, from its manual: ______ megohm\n"
                            "  Strings: ______ to ______; tuning ____________________\n"
                            "  What do you miss in the sound that you have? ________________________________\n"
                            "\n"
                            "For whom it is sent to: check it by\n"
                            "    coilwright take FILE.wav\n"
                            "and write down what it went through by\n"
                            "    coilwright new --as rec -o player.ttl --cable-length __m --volume-pot __k \\\n"
                            "        --tone-pot __k --tone-cap __n --input-resistance __M \\\n"
                            "        --resistance __k --inductance __H --coils __\n"
                            "then listen by\n"
                            "    coilwright audition --di FILE.wav --recorded player.ttl -o sound CANDIDATES\n";

static bool check_file(const char *path, long channel, struct cw_take_figures *figures, int *bits)
{
    struct cw_audio_in in = {0};
    struct cw_take_check check;
    float block[CW_AUDIO_BLOCK];
    if (!cw_audio_open(&in, path, (int)channel)) {
        return false;
    }
    cw_take_check_start(&check, in.rate);
    long n;
    while ((n = cw_audio_read(&in, block)) > 0) {
        cw_take_check_add(&check, block, (size_t)n);
    }
    *bits = in.bits;
    cw_audio_close(&in);
    cw_take_check_figures(&check, figures);
    return n == 0;
}

static bool take_option(struct cw_args *args, int id, void *to)
{
    struct request *request = to;
    switch (id) {
    case OPT_CHANNEL: return cw_args_count(args, 1, 1024, &request->channel);
    case OPT_OUTPUT: request->output = args->value; return true;
    case OPT_FORCE: return request->force = true;
    default: return false;
    }
}

/* Sheet or findings, whole or not at all. \return whether a take has to be made anew, or -1 on failure */
static int write_out(const struct request *request, const char *path)
{
    struct cw_output output;
    struct cw_take_figures figures;
    int bits = 0;
    bool trouble = false;
    if ((path && !check_file(path, request->channel, &figures, &bits)) ||
        !cw_output_open(&output, request->output, request->force)) {
        return -1;
    }
    if (path) {
        trouble = cw_take_words_print(output.stream, path, &figures, bits);
    } else {
        fputs(sheet, output.stream);
    }
    return cw_output_commit(&output) ? trouble : -1;
}

const struct cw_usage *cw_usage_take(void) { return &usage; }

int cw_cmd_take(int argc, char **argv)
{
    struct request request = {.output = "-"};
    char **names = calloc((size_t)argc, sizeof *names);
    size_t count = 0;
    if (!names) {
        cw_error_memory();
        return CW_FAILED;
    }
    int status = cw_args_read(&usage, argc, argv, take_option, &request, names, &count);
    if (status < 0 && count > 1) {
        status = cw_bad_usage(&usage, "expected one FILE or none, found several");
    } else if (status < 0 && count == 0 && request.channel) {
        status = cw_bad_usage(&usage, "--channel is of a recording: expected a FILE");
    }
    if (status < 0) {
        status = write_out(&request, names[0]) == 0 ? CW_DONE : CW_FAILED;
    }
    free(names);
    return status;
}
