/* SPDX-License-Identifier: ISC */
/* The LV2 plugin: ports in, ports out; the sound is dsp/voice.h. In the order of an instance's
 * life. The host sees to it that functions of the audio and the instantiation class never run at
 * the same time for one instance. */
#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <lv2/core/lv2.h>

#include "constants.h"
#include "heard.h"
#include "instance.h"
#include "learn.h"
#include "notify.h"
#include "plugin_uri.h"
#include "session_text.h"
#include "setup.h"
#include "state.h"
#include "voice.h"

/* The controls are looked at so many times a second at least, by samples, whatever the blocks: to compare them all
 * takes as long as a few samples, and nobody hears a change a millisecond sooner. */
static const double LOOKS_A_SECOND = 650.0;

enum { INPUTS = CW_GLOBALS + CW_SETUPS * CW_PARAMS, METERS = CW_PORTS - CW_PORT_METER };

struct plugin {
    const float *in;
    float *out;
    LV2_Atom_Sequence *notifications; /* NULL where it is connected to nothing */
    const float *input[INPUTS];       /* an input connected to nothing reads idle */
    float *meter[METERS];             /* a meter connected to nothing writes unread */
    const float *input_row;           /* all inputs, where the host has them side by side; else NULL */
    float *meter_row;                 /* the same of the meters */
    bool moved;                       /* a control was connected: rows are to be found anew */
    uint32_t seen[INPUTS];            /* the bits last read from each input, so that only a change is worked on */
    float shown[METERS];              /* what the meters show */
    float idle[INPUTS], unread;
    uint32_t look,
        to_look; /* samples from one look at the inputs to the next, a power of two; and until the next one */
    bool fresh;  /* nothing was handed to the voice since the last activation */
    struct cw_controls controls;
    struct cw_voice *voice;
    double rate;
    struct cw_heard heard;
    struct cw_state state;
    struct cw_notify notify;
    bool enough; /* was learned to go by */
};

/* Where the clean value of an input is kept. */
static double *value_of(struct cw_controls *controls, int input)
{
    if (input < CW_GLOBALS) {
        return &controls->global[input];
    }
    input -= CW_GLOBALS;
    return &controls->setup[input / CW_PARAMS].value[input % CW_PARAMS];
}

static const struct cw_param_info *info_of(int input)
{
    return input < CW_GLOBALS ? &cw_global_info[input] : &cw_param_info[(input - CW_GLOBALS) % CW_PARAMS];
}

static uint32_t bits_of(float value)
{
    uint32_t bits;
    memcpy(&bits, &value, sizeof bits);
    return bits;
}

/* A value rounded as a port holds it, so that a default or a limit sounds like the same value
 * when a host sends it. */
static double as_port(double value) { return (double)(float)value; }

/* A power of two. */
static uint32_t samples_between_looks(double rate)
{
    uint32_t samples = 1;
    while (2.0 * samples * LOOKS_A_SECOND <= rate) {
        samples *= 2;
    }
    return samples;
}

/* Instantiation class. NULL where the rate is beyond those that the filter is made for, or memory is short. */
static LV2_Handle instantiate(const LV2_Descriptor *descriptor, double rate, const char *bundle_path,
                              const LV2_Feature *const *features)
{
    (void)descriptor;
    (void)bundle_path;
    if (!(rate >= CW_RATE_MIN && rate <= CW_RATE_MAX)) {
        return NULL;
    }
    struct plugin *plugin = calloc(1, sizeof *plugin);
    struct cw_voice *voice = aligned_alloc(CW_VOICE_ALIGNMENT, cw_voice_size());
    if (!plugin || !voice || !cw_state_init(&plugin->state, features)) {
        free(voice);
        free(plugin);
        return NULL;
    }
    cw_notify_init(&plugin->notify, plugin->state.map);
    plugin->voice = voice;
    plugin->rate = rate;
    plugin->look = samples_between_looks(rate);
    plugin->fresh = plugin->moved = true;
    cw_controls_defaults(&plugin->controls);
    for (int i = 0; i < INPUTS; i++) {
        double *value = value_of(&plugin->controls, i);
        *value = as_port(*value);
        plugin->idle[i] = (float)*value;
        plugin->seen[i] = bits_of(plugin->idle[i]);
        plugin->input[i] = &plugin->idle[i];
    }
    for (int i = 0; i < METERS; i++) {
        plugin->meter[i] = &plugin->unread;
    }
    cw_voice_init(voice, rate);
    return plugin;
}

/* Audio class. A port may be connected to nothing. */
static void connect_port(LV2_Handle handle, uint32_t port, void *data)
{
    struct plugin *plugin = handle;
    if (port == CW_PORT_IN) {
        plugin->in = data;
    } else if (port == CW_PORT_OUT) {
        plugin->out = data;
    } else if (port == CW_PORT_NOTIFY) {
        plugin->notifications = data;
    } else if (port < CW_PORT_METER) {
        uint32_t i = port - CW_PORT_GLOBAL;
        plugin->input[i] = data ? data : &plugin->idle[i];
        plugin->moved = true;
    } else if (port < CW_PORTS) {
        plugin->meter[port - CW_PORT_METER] = data ? data : &plugin->unread;
        plugin->moved = true;
    }
}

/* Instantiation class. Touches no port: they need not be connected yet. */
static void activate(LV2_Handle handle)
{
    struct plugin *plugin = handle;
    cw_voice_reset(plugin->voice);
    plugin->fresh = true;
    plugin->to_look = 0;
}

/* Hosts mostly keep their control values in one array: then one comparison does for all inputs, and one
 * copy for all meters. */
static void find_rows(struct plugin *plugin)
{
    plugin->moved = false;
    plugin->input_row = plugin->input[0];
    plugin->meter_row = plugin->meter[0];
    for (uintptr_t i = 1; i < INPUTS; i++) {
        if ((uintptr_t)plugin->input[i] != (uintptr_t)plugin->input[0] + i * sizeof(float)) {
            plugin->input_row = NULL;
        }
    }
    for (uintptr_t i = 1; i < METERS; i++) {
        if ((uintptr_t)plugin->meter[i] != (uintptr_t)plugin->meter[0] + i * sizeof(float)) {
            plugin->meter_row = NULL;
        }
    }
}

/* Whether any input's bits differ from what was seen. Asked at every look. */
static bool inputs_differ(const struct plugin *plugin)
{
    if (plugin->input_row) {
        return memcmp(plugin->input_row, plugin->seen, sizeof plugin->seen) != 0;
    }
    for (int i = 0; i < INPUTS; i++) { /* a way out of the loop is quicker than a sum of all differences */
        if (bits_of(*plugin->input[i]) != plugin->seen[i]) {
            return true;
        }
    }
    return false;
}

/* Take over the inputs that changed since the last look. */
static void read_inputs(struct plugin *plugin)
{
    for (int i = 0; i < INPUTS; i++) {
        float port = *plugin->input[i];
        if (bits_of(port) != plugin->seen[i]) {
            double *value = value_of(&plugin->controls, i);
            plugin->seen[i] = bits_of(port);
            *value = as_port(cw_param_clean(info_of(i), (double)port, *value));
        }
    }
}

static void read_figures(struct plugin *plugin)
{
    for (int i = 0; i < CW_SETUPS * CW_METERS; i++) {
        plugin->shown[i] = (float)cw_voice_figures(plugin->voice, (enum cw_which)(i / CW_METERS))->value[i % CW_METERS];
    }
}

/* What levels are matched by, as the voice has it: told to the session, shown. */
static void tell_learned(struct plugin *plugin, bool restored)
{
    const struct cw_learned *learned = cw_voice_learned(plugin->voice);
    const bool enough = cw_learned_enough(learned);
    cw_state_tell(&plugin->state, cw_voice_learnings(plugin->voice), learned);
    if (enough != plugin->enough && !restored) {
        cw_state_touch(&plugin->state);
    }
    plugin->enough = enough;
    plugin->shown[CW_PORT_STATUS + CW_S_MATCH_BY - CW_PORT_METER] = enough ? CW_MATCH_BY_PLAYED : CW_MATCH_BY_ASSUMED;
}

/* The voice, and both sides of it to who listens. Input and output may be one buffer; without input it is silence,
 * without output nothing is heard. */
static void process(struct plugin *plugin, size_t first, uint32_t samples)
{
    float *out = plugin->out ? plugin->out + first : NULL;
    const float *in = plugin->in ? plugin->in + first : out;
    samples = out ? samples : 0;
    if (out && !plugin->in) {
        memset(out, 0, samples * sizeof *out);
    }
    const bool listened = samples > 0 && cw_heard_wanted(&plugin->heard);
    if (listened) {
        cw_heard_write(&plugin->heard, plugin->heard.in, in, samples);
    }
    const bool news = cw_voice_process(plugin->voice, in, out, samples);
    if (listened) {
        cw_heard_write(&plugin->heard, plugin->heard.out, out, samples);
        cw_heard_pass(&plugin->heard, samples);
    }
    if (news) {
        read_figures(plugin);
        tell_learned(plugin, false);
    }
}

static void write_meters(const struct plugin *plugin)
{
    if (plugin->meter_row) {
        memcpy(plugin->meter_row, plugin->shown, sizeof plugin->shown);
        return;
    }
    for (int i = 0; i < METERS; i++) {
        *plugin->meter[i] = plugin->shown[i];
    }
}

/* The inputs, and what a session brought: together, so that controls that came with it are one change. */
static void take_over(struct plugin *plugin)
{
    read_inputs(plugin);
    cw_voice_set(plugin->voice, &plugin->controls);
    if (cw_state_any(&plugin->state)) {
        cw_voice_learn(plugin->voice, cw_state_take(&plugin->state));
        tell_learned(plugin, true);
    }
    plugin->fresh = false;
}

/* A block in which the inputs are looked at; one without samples is always. What they are counts from the place of the
 * look on, so that it is the same samples in blocks of any length, as long as there are samples in them. */
static void process_looking(struct plugin *plugin, uint32_t samples)
{
    const uint32_t before = samples > 0 ? plugin->to_look : 0;
    if (plugin->fresh || cw_state_any(&plugin->state) || inputs_differ(plugin)) {
        if (before > 0) {
            process(plugin, 0, before);
        }
        take_over(plugin);
        process(plugin, before, samples - before);
    } else {
        process(plugin, 0, samples);
    }
    plugin->to_look = samples > 0 ? (before - samples) & (plugin->look - 1) : plugin->to_look;
}

/* Audio class. Any number of samples, none included; input and output may be one buffer. An
 * input connected to nothing is silence. */
static void run(LV2_Handle handle, uint32_t samples)
{
    struct plugin *plugin = handle;
    if (plugin->moved) {
        find_rows(plugin);
    }
    if (samples > 0 && samples <= plugin->to_look) {
        plugin->to_look -= samples;
        process(plugin, 0, samples);
    } else {
        process_looking(plugin, samples);
    }
    write_meters(plugin);
    cw_notify_write(&plugin->notify, plugin->notifications, cw_state_touches(&plugin->state));
}

/* Instantiation class. */
static void cleanup(LV2_Handle handle)
{
    struct plugin *plugin = handle;
    cw_state_end(&plugin->state);
    free(plugin->voice);
    free(plugin);
}

/* ---- what a session keeps, and what the window asks for: see state.h and instance.h for the threads ---- */

static LV2_State_Status save(LV2_Handle handle, LV2_State_Store_Function store, LV2_State_Handle state, uint32_t flags,
                             const LV2_Feature *const *features)
{
    (void)flags;
    (void)features;
    return cw_state_save(&((struct plugin *)handle)->state, store, state);
}

static LV2_State_Status restore(LV2_Handle handle, LV2_State_Retrieve_Function retrieve, LV2_State_Handle state,
                                uint32_t flags, const LV2_Feature *const *features)
{
    (void)flags;
    (void)features;
    return cw_state_restore(&((struct plugin *)handle)->state, retrieve, state);
}

static void text_of(LV2_Handle handle, enum cw_session_text which, char text[CW_TEXT_SIZE])
{
    cw_state_text(&((struct plugin *)handle)->state, which, text);
}

static bool set_text(LV2_Handle handle, enum cw_session_text which, const char *text)
{
    return cw_state_set_text(&((struct plugin *)handle)->state, which, text);
}

static unsigned text_changes(LV2_Handle handle) { return cw_state_text_changes(&((struct plugin *)handle)->state); }

static void listen(LV2_Handle handle, bool begin) { cw_heard_listen(&((struct plugin *)handle)->heard, begin); }

static unsigned heard(LV2_Handle handle, float *in, float *out, size_t count)
{
    return cw_heard_read(&((struct plugin *)handle)->heard, in, out, count);
}

static double rate_of(LV2_Handle handle) { return ((const struct plugin *)handle)->rate; }

/* Any thread. */
static const void *extension_data(const char *uri)
{
    static const LV2_State_Interface state = {save, restore};
    static const struct cw_instance_interface instance = {text_of, set_text, text_changes, listen, heard, rate_of};
    return strcmp(uri, LV2_STATE__interface) == 0 ? (const void *)&state
           : strcmp(uri, CW_INSTANCE_URI) == 0    ? (const void *)&instance
                                                  : NULL;
}

static const LV2_Descriptor descriptor = {CW_PLUGIN_URI, instantiate, connect_port, activate,
                                          run,           NULL,        cleanup,      extension_data};

/* Discovery class. */
LV2_SYMBOL_EXPORT const LV2_Descriptor *lv2_descriptor(uint32_t index) { return index == 0 ? &descriptor : NULL; }
