/* SPDX-License-Identifier: ISC */
#include "host.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <lv2/atom/atom.h>
#include <lv2/atom/util.h>
#include <lv2/core/lv2.h>
#include <lv2/state/state.h>
#include <lv2/urid/urid.h>

#include "plugin_uri.h"

struct port {
    const char *symbol;
    bool control, input;
    float minimum, maximum, preset;
};

struct host {
    LilvInstance *instance;
    size_t ports;
    struct port *port;
    float *value;
    size_t audio_in, audio_out;
    _Alignas(8) uint8_t notifications[256]; /* an LV2_Atom_Sequence */
    size_t state_changes;
    bool active;
};

static LilvWorld *the_world;

static void fail(const char *what, const char *which)
{
    fprintf(stderr, "test host: %s: %s\n", what, which);
    exit(1);
}

const char *host_bundle(void)
{
    const char *path = getenv("CW_BUNDLE");
    return path && *path ? path : "build/lv2/coilwright.lv2";
}

static void close_world(void)
{
    lilv_world_free(the_world);
    the_world = NULL;
}

LilvWorld *host_world(void)
{
    if (!the_world) {
        char path[4096];
        snprintf(path, sizeof path, "%s/manifest.ttl", host_bundle());
        FILE *manifest = fopen(path, "r");
        if (!manifest) {
            fail("no such bundle", host_bundle());
        }
        fclose(manifest);
        snprintf(path, sizeof path, "%s/", host_bundle());
        the_world = lilv_world_new();
        LilvNode *bundle = lilv_new_file_uri(the_world, NULL, path);
        lilv_world_load_bundle(the_world, bundle);
        lilv_node_free(bundle);
        atexit(close_world);
    }
    return the_world;
}

const LilvPlugin *host_plugin(void)
{
    LilvWorld *world = host_world();
    LilvNode *uri = lilv_new_uri(world, CW_PLUGIN_URI);
    const LilvPlugin *plugin = lilv_plugins_get_by_uri(lilv_world_get_all_plugins(world), uri);
    lilv_node_free(uri);
    if (!plugin) {
        fail("the bundle does not hold the plugin", CW_PLUGIN_URI);
    }
    return plugin;
}

static void read_ports(struct host *host, const LilvPlugin *plugin)
{
    LilvWorld *world = host_world();
    LilvNode *control = lilv_new_uri(world, LILV_URI_CONTROL_PORT);
    LilvNode *input = lilv_new_uri(world, LILV_URI_INPUT_PORT), *audio = lilv_new_uri(world, LILV_URI_AUDIO_PORT);
    float *minimum = calloc(host->ports, sizeof *minimum);
    float *maximum = calloc(host->ports, sizeof *maximum);
    float *preset = calloc(host->ports, sizeof *preset);
    lilv_plugin_get_port_ranges_float(plugin, minimum, maximum, preset);
    for (uint32_t i = 0; i < host->ports; i++) {
        const LilvPort *port = lilv_plugin_get_port_by_index(plugin, i);
        struct port *row = &host->port[i];
        row->symbol = lilv_node_as_string(lilv_port_get_symbol(plugin, port));
        row->control = lilv_port_is_a(plugin, port, control);
        row->input = lilv_port_is_a(plugin, port, input);
        row->minimum = minimum[i];
        row->maximum = maximum[i];
        row->preset = preset[i];
        if (lilv_port_is_a(plugin, port, audio)) {
            *(row->input ? &host->audio_in : &host->audio_out) = i;
        }
    }
    free(minimum);
    free(maximum);
    free(preset);
    lilv_node_free(control);
    lilv_node_free(audio);
    lilv_node_free(input);
}

enum { URIDS = 256 };
static char *known[URIDS];

static LV2_URID map_uri(LV2_URID_Map_Handle handle, const char *uri)
{
    (void)handle;
    for (LV2_URID i = 0; i < URIDS; i++) {
        if (!known[i]) {
            known[i] = strdup(uri);
        }
        if (strcmp(known[i], uri) == 0) {
            return i + 1;
        }
    }
    return 0;
}

static const char *unmap_uri(LV2_URID_Unmap_Handle handle, LV2_URID urid)
{
    (void)handle;
    return urid > 0 && urid <= URIDS ? known[urid - 1] : NULL;
}

LV2_URID_Map *host_map(void)
{
    static LV2_URID_Map map = {NULL, map_uri};
    return &map;
}

double host_number(const void *value, LV2_URID type)
{
    return type == map_uri(NULL, LV2_ATOM__Float)    ? (double)*(const float *)value
           : type == map_uri(NULL, LV2_ATOM__Double) ? *(const double *)value
           : type == map_uri(NULL, LV2_ATOM__Int)    ? (double)*(const int32_t *)value
           : type == map_uri(NULL, LV2_ATOM__Long)   ? (double)*(const int64_t *)value
                                                     : (double)NAN;
}

LV2_URID_Unmap *host_unmap(void)
{
    static LV2_URID_Unmap unmap = {NULL, unmap_uri};
    return &unmap;
}

struct host *host_new_inactive(double rate)
{
    const LilvPlugin *plugin = host_plugin();
    const LV2_Feature map_feature = {LV2_URID__map, host_map()};
    const LV2_Feature *const features[] = {&map_feature, NULL};
    LilvInstance *instance = lilv_plugin_instantiate(plugin, rate, features);
    if (!instance) {
        return NULL;
    }
    struct host *host = calloc(1, sizeof *host);
    host->instance = instance;
    host->ports = lilv_plugin_get_num_ports(plugin);
    host->port = calloc(host->ports, sizeof *host->port);
    host->value = calloc(host->ports, sizeof *host->value);
    read_ports(host, plugin);
    host_defaults(host);
    for (uint32_t i = 0; i < host->ports; i++) {
        if (host->port[i].control) {
            lilv_instance_connect_port(instance, i, &host->value[i]);
        } else if (strcmp(host->port[i].symbol, "notify") == 0) {
            lilv_instance_connect_port(instance, i, host->notifications);
        }
    }
    return host;
}

struct host *host_new(double rate)
{
    struct host *host = host_new_inactive(rate);
    if (host) {
        host_activate(host);
    }
    return host;
}

void host_free(struct host *host)
{
    if (!host) {
        return;
    }
    host_deactivate(host);
    lilv_instance_free(host->instance);
    free(host->port);
    free(host->value);
    free(host);
}

void host_activate(struct host *host)
{
    if (!host->active) {
        lilv_instance_activate(host->instance);
        host->active = true;
    }
}

void host_deactivate(struct host *host)
{
    if (host->active) {
        lilv_instance_deactivate(host->instance);
        host->active = false;
    }
}

void host_restart(struct host *host)
{
    host_deactivate(host);
    host_activate(host);
}

static size_t find(const struct host *host, const char *symbol)
{
    size_t i = 0;
    while (i < host->ports && strcmp(host->port[i].symbol, symbol) != 0) {
        i++;
    }
    return i;
}

static size_t find_control(const struct host *host, const char *symbol)
{
    size_t i = find(host, symbol);
    if (i == host->ports || !host->port[i].control) {
        fail("no such control", symbol);
    }
    return i;
}

bool host_has(const struct host *host, const char *symbol) { return find(host, symbol) < host->ports; }

void host_set(struct host *host, const char *symbol, float value)
{
    size_t i = find_control(host, symbol);
    if (!host->port[i].input) {
        fail("not an input", symbol);
    }
    host->value[i] = value;
}

float host_get(const struct host *host, const char *symbol) { return host->value[find_control(host, symbol)]; }

void host_defaults(struct host *host)
{
    for (size_t i = 0; i < host->ports; i++) {
        if (host->port[i].control && host->port[i].input) {
            host->value[i] = host->port[i].preset;
        }
    }
}

struct preset_target {
    struct host *host;
    const LilvState *state;
    bool bad;
};

static void set_from_preset(const char *symbol, void *user, const void *value, uint32_t size, uint32_t type)
{
    struct preset_target *target = user;
    size_t i = find(target->host, symbol);
    if (i == target->host->ports || !target->host->port[i].control || !target->host->port[i].input) {
        target->bad = true;
    } else if (type == map_uri(NULL, "http://lv2plug.in/ns/ext/atom#Float") && size == sizeof(float)) {
        memcpy(&target->host->value[i], value, sizeof(float));
    } else if (type == map_uri(NULL, "http://lv2plug.in/ns/ext/atom#Int") && size == sizeof(int32_t)) {
        int32_t whole;
        memcpy(&whole, value, sizeof whole);
        target->host->value[i] = (float)whole;
    } else if (type == map_uri(NULL, "http://lv2plug.in/ns/ext/atom#Double") && size == sizeof(double)) {
        double wide;
        memcpy(&wide, value, sizeof wide);
        target->host->value[i] = (float)wide;
    } else {
        target->bad = true;
    }
}

bool host_load_preset(struct host *host, const char *uri_or_path)
{
    LilvState *state = NULL;
    if (strstr(uri_or_path, ".ttl") && !strstr(uri_or_path, "://")) {
        state = lilv_state_new_from_file(host_world(), host_map(), NULL, uri_or_path);
    } else {
        LilvNode *uri = lilv_new_uri(host_world(), uri_or_path);
        if (lilv_world_load_resource(host_world(), uri) >= 0) {
            state = lilv_state_new_from_world(host_world(), host_map(), uri);
        }
        lilv_node_free(uri);
    }
    if (!state) {
        return false;
    }
    struct preset_target target = {host, state, false};
    lilv_state_emit_port_values(state, set_from_preset, &target);
    lilv_state_free(state);
    return !target.bad;
}

size_t host_ports(const struct host *host) { return host->ports; }
const char *host_symbol(const struct host *host, size_t port) { return host->port[port].symbol; }

bool host_is_control_input(const struct host *host, size_t port)
{
    return host->port[port].control && host->port[port].input;
}

bool host_is_control_output(const struct host *host, size_t port)
{
    return host->port[port].control && !host->port[port].input;
}

void host_exchange(struct host *host, _Atomic float *port)
{
    for (size_t i = 0; i < host_ports(host); i++) {
        if (host_is_control_input(host, i)) {
            host_set(host, host_symbol(host, i), port[i]);
        } else if (host_is_control_output(host, i)) {
            port[i] = host_get(host, host_symbol(host, i));
        }
    }
}

void host_range(const struct host *host, size_t port, float *minimum, float *maximum, float *preset)
{
    *minimum = host->port[port].minimum;
    *maximum = host->port[port].maximum;
    *preset = host->port[port].preset;
}

/* Counted where they are what they should be, and nothing else. */
static void take_notifications(struct host *host, const LV2_Atom_Sequence *sequence)
{
    if (sequence->atom.type == 0) {
        return; /* a test has connected the port elsewhere */
    }
    if (sequence->atom.type != map_uri(NULL, LV2_ATOM__Sequence)) {
        fail("notifications", "no sequence");
    }
    LV2_ATOM_SEQUENCE_FOREACH(sequence, event)
    {
        const LV2_Atom_Object *object = (const LV2_Atom_Object *)&event->body;
        if (event->time.frames != 0 || event->body.type != map_uri(NULL, LV2_ATOM__Object) ||
            event->body.size != sizeof object->body || object->body.otype != map_uri(NULL, LV2_STATE__StateChanged)) {
            fail("notifications", "not StateChanged");
        }
        host->state_changes++;
    }
}

static void run_block(struct host *host, const float *in, float *out, size_t n)
{
    /* Hosts hand over input buffers without const; the plugin does not write to them. */
    lilv_instance_connect_port(host->instance, (uint32_t)host->audio_in, (void *)(uintptr_t)in);
    lilv_instance_connect_port(host->instance, (uint32_t)host->audio_out, out);
    LV2_Atom_Sequence *sequence = (LV2_Atom_Sequence *)(void *)host->notifications;
    sequence->atom.size = sizeof host->notifications - sizeof sequence->atom;
    sequence->atom.type = 0;
    lilv_instance_run(host->instance, (uint32_t)n);
    take_notifications(host, sequence);
}

void host_run(struct host *host, const float *in, float *out, size_t n, size_t block)
{
    if (block == 0 || n == 0) {
        run_block(host, in, out, n);
        return;
    }
    for (size_t at = 0; at < n; at += block) {
        run_block(host, in + at, out + at, n - at < block ? n - at : block);
    }
}

void host_run_random(struct host *host, const float *in, float *out, size_t n, size_t most, uint32_t seed)
{
    for (size_t at = 0; at < n;) {
        size_t block = host_random(&seed) % (most + 1);
        block = n - at < block ? n - at : block;
        run_block(host, in + at, out + at, block);
        at += block;
    }
}

void host_impulse(struct host *host, float *out, size_t n)
{
    float *in = calloc(n, sizeof *in);
    in[0] = 1.0f;
    host_restart(host);
    host_run(host, in, out, n, 1024);
    free(in);
}

size_t host_state_changes(struct host *host)
{
    const size_t changes = host->state_changes;
    host->state_changes = 0;
    return changes;
}

LilvInstance *host_instance(struct host *host) { return host->instance; }

uint32_t host_random(uint32_t *state)
{
    uint32_t x = *state;
    x ^= x << 13;
    x ^= x >> 17;
    x ^= x << 5;
    return *state = x;
}

double host_random_unit(uint32_t *state) { return host_random(state) / 4294967296.0; }
