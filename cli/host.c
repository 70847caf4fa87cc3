/* SPDX-License-Identifier: ISC */
#include "host.h"

#include <lilv/lilv.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "candidate.h"
#include "message.h"
#include "plugin_uri.h"

enum { PATH_BYTES = 4096 };
static const char BUNDLE_NAME[] = "coilwright.lv2";
static const char USUAL_DIRECTORIES[] = "~/.lv2:/usr/local/lib/lv2:/usr/lib/lv2";

struct cw_host {
    LilvWorld *world;
    const LilvPlugin *plugin;
    char bundle[PATH_BYTES];
    uint32_t port_of[CW_PORTS]; /* index of a port by CW_PORT_... */
};

struct cw_instance {
    const struct cw_host *host;
    LilvInstance *instance;
    float *value; /* of every port; audio ports unused */
};

/* Is there a bundle in this directory? Then its path is in `bundle`. */
static bool bundle_in(const char *directory, int length, char bundle[PATH_BYTES])
{
    char manifest[PATH_BYTES + 32];
    const char *home = getenv("HOME");
    bool from_home = length > 0 && directory[0] == '~' && home;
    int skip = from_home ? 1 : 0;
    int written =
        snprintf(bundle, PATH_BYTES, "%s%.*s/%s", from_home ? home : "", length - skip, directory + skip, BUNDLE_NAME);
    if (written < 0 || written >= PATH_BYTES) {
        return false;
    }
    snprintf(manifest, sizeof manifest, "%s/manifest.ttl", bundle);
    return access(manifest, R_OK) == 0;
}

/* The directory that the program stands in; false where the system does not tell. */
static bool program_directory(char directory[PATH_BYTES])
{
    ssize_t length = readlink("/proc/self/exe", directory, PATH_BYTES - 32);
    if (length <= 0) {
        return false;
    }
    directory[length] = '\0';
    char *slash = strrchr(directory, '/');
    if (!slash) {
        return false;
    }
    *slash = '\0';
    return true;
}

static bool bundle_beside_program(char bundle[PATH_BYTES])
{
    static const char *const places[] = {"/lv2", "/../lib/lv2"};
    char directory[PATH_BYTES];
    if (!program_directory(directory)) {
        return false;
    }
    size_t end = strlen(directory);
    for (size_t i = 0; i < sizeof places / sizeof places[0]; i++) {
        snprintf(directory + end, PATH_BYTES - end, "%s", places[i]);
        if (bundle_in(directory, (int)strlen(directory), bundle)) {
            return true;
        }
    }
    return false;
}

static bool bundle_on_path(const char *path, char bundle[PATH_BYTES])
{
    for (const char *at = path; at; at = strchr(at, ':') ? strchr(at, ':') + 1 : NULL) {
        size_t length = strcspn(at, ":");
        if (length > 0 && length < PATH_BYTES && bundle_in(at, (int)length, bundle)) {
            return true;
        }
    }
    return false;
}

static bool find_bundle(char bundle[PATH_BYTES])
{
    const char *path = getenv("LV2_PATH");
    return bundle_beside_program(bundle) || bundle_on_path(path && *path ? path : USUAL_DIRECTORIES, bundle);
}

static bool load_plugin(struct cw_host *host)
{
    char with_slash[PATH_BYTES + 2];
    snprintf(with_slash, sizeof with_slash, "%s/", host->bundle);
    LilvNode *bundle = lilv_new_file_uri(host->world, NULL, with_slash);
    LilvNode *uri = lilv_new_uri(host->world, CW_PLUGIN_URI);
    if (bundle && uri) {
        lilv_world_load_bundle(host->world, bundle);
        host->plugin = lilv_plugins_get_by_uri(lilv_world_get_all_plugins(host->world), uri);
    }
    lilv_node_free(bundle);
    lilv_node_free(uri);
    if (!host->plugin) {
        cw_error_at(host->bundle, 0, "expected the plugin %s in this bundle, found none", CW_PLUGIN_URI);
    }
    return host->plugin != NULL;
}

/* Symbol of a port in the program's own count of ports. */
static const char *symbol_of(int port, char *text, size_t size)
{
    if (port == CW_PORT_IN || port == CW_PORT_OUT) {
        snprintf(text, size, "%s", port == CW_PORT_IN ? "in" : "out");
    } else if (port == CW_PORT_NOTIFY) {
        snprintf(text, size, "notify");
    } else if (port < CW_PORT_PARAM) {
        snprintf(text, size, "%s", cw_global_info[port - CW_PORT_GLOBAL].symbol);
    } else if (port < CW_PORT_METER) {
        int at = port - CW_PORT_PARAM;
        snprintf(text, size, "%s%s", cw_setup_prefix[at / CW_PARAMS], cw_param_info[at % CW_PARAMS].symbol);
    } else if (port >= CW_PORT_STATUS) {
        snprintf(text, size, "%s", cw_status_info[port - CW_PORT_STATUS].symbol);
    } else {
        int at = port - CW_PORT_METER;
        snprintf(text, size, "%s%s", cw_setup_prefix[at / CW_METERS], cw_meter_info[at % CW_METERS].symbol);
    }
    return text;
}

static bool map_ports(struct cw_host *host)
{
    for (int port = 0; port < CW_PORTS; port++) {
        char symbol[96];
        LilvNode *node = lilv_new_string(host->world, symbol_of(port, symbol, sizeof symbol));
        const LilvPort *found = node ? lilv_plugin_get_port_by_symbol(host->plugin, node) : NULL;
        lilv_node_free(node);
        if (!found) {
            cw_error_at(host->bundle, 0, "expected a port '%s' in the plugin, found none (is it another version?)",
                        symbol);
            return false;
        }
        host->port_of[port] = lilv_port_get_index(host->plugin, found);
    }
    return true;
}

struct cw_host *cw_host_open(void)
{
    struct cw_host *host = calloc(1, sizeof *host);
    if (!host) {
        cw_error_memory();
        return NULL;
    }
    if (!find_bundle(host->bundle)) {
        cw_error("expected the plugin's bundle %s beside the program or on LV2_PATH, found none", BUNDLE_NAME);
        free(host);
        return NULL;
    }
    host->world = lilv_world_new();
    if (!host->world || !load_plugin(host) || !map_ports(host)) {
        cw_host_close(host);
        return NULL;
    }
    return host;
}

void cw_host_close(struct cw_host *host)
{
    if (host) {
        lilv_world_free(host->world);
        free(host);
    }
}

const char *cw_host_bundle(const struct cw_host *host) { return host->bundle; }

static void set_controls(struct cw_instance *instance, const struct cw_controls *controls)
{
    for (int id = 0; id < CW_GLOBALS; id++) {
        int port = cw_port_of_global((enum cw_global_id)id);
        instance->value[instance->host->port_of[port]] = (float)controls->global[id];
    }
    for (int which = 0; which < CW_SETUPS; which++) {
        for (int id = 0; id < CW_PARAMS; id++) {
            int port = cw_port_of_param((enum cw_which)which, id);
            instance->value[instance->host->port_of[port]] = (float)controls->setup[which].value[id];
        }
    }
}

static bool connect(struct cw_host *host, struct cw_instance *instance, int rate)
{
    instance->instance = lilv_plugin_instantiate(host->plugin, rate, NULL);
    if (!instance->instance) {
        cw_error_at(host->bundle, 0, "the plugin does not start at %d Hz", rate);
        return false;
    }
    uint32_t ports = lilv_plugin_get_num_ports(host->plugin);
    for (uint32_t i = 0; i < ports; i++) {
        lilv_instance_connect_port(instance->instance, i,
                                   i == host->port_of[CW_PORT_NOTIFY] ? NULL : &instance->value[i]);
    }
    lilv_instance_activate(instance->instance);
    return true;
}

struct cw_instance *cw_instance_start(struct cw_host *host, int rate, const struct cw_controls *controls)
{
    struct cw_instance *instance = calloc(1, sizeof *instance);
    if (instance) {
        instance->host = host;
        instance->value = calloc(lilv_plugin_get_num_ports(host->plugin) + 1, sizeof *instance->value);
    }
    if (!instance || !instance->value) {
        cw_error_memory();
        cw_instance_stop(instance);
        return NULL;
    }
    set_controls(instance, controls);
    if (!connect(host, instance, rate)) {
        cw_instance_stop(instance);
        return NULL;
    }
    return instance;
}

void cw_instance_restart(struct cw_instance *instance)
{
    lilv_instance_deactivate(instance->instance);
    lilv_instance_activate(instance->instance);
}

void cw_instance_run(struct cw_instance *instance, float *in, float *out, size_t n)
{
    lilv_instance_connect_port(instance->instance, instance->host->port_of[CW_PORT_IN], in);
    lilv_instance_connect_port(instance->instance, instance->host->port_of[CW_PORT_OUT], out);
    lilv_instance_run(instance->instance, (uint32_t)n);
}

double cw_instance_meter(const struct cw_instance *instance, enum cw_which which, enum cw_meter_id meter)
{
    return (double)instance->value[instance->host->port_of[cw_port_of_meter(which, (int)meter)]];
}

void cw_instance_stop(struct cw_instance *instance)
{
    if (!instance) {
        return;
    }
    if (instance->instance) {
        lilv_instance_deactivate(instance->instance);
        lilv_instance_free(instance->instance);
    }
    free(instance->value);
    free(instance);
}
