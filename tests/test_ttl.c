/* SPDX-License-Identifier: ISC */
/* The published description, as lilv reads it: complete, unambiguous, and the table's. */
#include <dirent.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "host.h"
#include "setup.h"

#define LV2 "http://lv2plug.in/ns/lv2core#"
#define UNITS "http://lv2plug.in/ns/extensions/units#"
#define PPROPS "http://lv2plug.in/ns/ext/port-props#"
#define GROUPS "http://lv2plug.in/ns/ext/port-groups#"
#define DOAP "http://usefulinc.com/ns/doap#"
#define RDFS "http://www.w3.org/2000/01/rdf-schema#"

static LilvNode *uri(const char *text) { return lilv_new_uri(host_world(), text); }

static const LilvPort *port_at(uint32_t index) { return lilv_plugin_get_port_by_index(host_plugin(), index); }
static const char *symbol_of(uint32_t index)
{
    return lilv_node_as_string(lilv_port_get_symbol(host_plugin(), port_at(index)));
}
static uint32_t port_count(void) { return lilv_plugin_get_num_ports(host_plugin()); }

static bool port_is(uint32_t index, const char *class)
{
    LilvNode *node = uri(class);
    const bool is = lilv_port_is_a(host_plugin(), port_at(index), node);
    lilv_node_free(node);
    return is;
}

static bool port_has(uint32_t index, const char *property)
{
    LilvNode *node = uri(property);
    const bool has = lilv_port_has_property(host_plugin(), port_at(index), node);
    lilv_node_free(node);
    return has;
}

/* A value of the port, or NULL; the caller frees it. */
static LilvNode *port_get(uint32_t index, const char *predicate)
{
    LilvNode *node = uri(predicate);
    LilvNode *value = lilv_port_get(host_plugin(), port_at(index), node);
    lilv_node_free(node);
    return value;
}

static LilvNode *plugin_get(const char *predicate)
{
    LilvNode *node = uri(predicate);
    LilvNode *value = lilv_world_get(host_world(), lilv_plugin_get_uri(host_plugin()), node, NULL);
    lilv_node_free(node);
    return value;
}

/* The row of the table that a control port stands for; a failure if it is not where the table
 * says. */
static const struct cw_param_info *row_of(uint32_t index, char *symbol, size_t room)
{
    const int at = (int)index;
    const struct cw_param_info *info;
    const char *prefix = "";
    if (at < CW_PORT_PARAM) {
        info = &cw_global_info[at - CW_PORT_GLOBAL];
    } else if (at < CW_PORT_METER) {
        info = &cw_param_info[(at - CW_PORT_PARAM) % CW_PARAMS];
        prefix = cw_setup_prefix[(at - CW_PORT_PARAM) / CW_PARAMS];
    } else if (at >= CW_PORT_STATUS) {
        info = &cw_status_info[at - CW_PORT_STATUS];
    } else {
        info = &cw_meter_info[(at - CW_PORT_METER) % CW_METERS];
        prefix = cw_setup_prefix[(at - CW_PORT_METER) / CW_METERS];
    }
    snprintf(symbol, room, "%s%s", prefix, info->symbol);
    return info;
}

static void test_symbols_are_those_checked_in(void **state)
{
    (void)state;
    FILE *list = fopen("tests/port_symbols.txt", "r");
    char line[128];
    uint32_t index = 0;
    assert_non_null(list);
    while (fgets(line, sizeof line, list)) {
        line[strcspn(line, "\n")] = '\0';
        if (index >= port_count()) {
            fail_msg("port '%s' is gone", line);
        }
        assert_string_equal(symbol_of(index), line);
        index++;
    }
    fclose(list);
    if (index < port_count()) {
        fail_msg("new port '%s': add it to tests/port_symbols.txt", symbol_of(index));
    }
}

static void test_ports_are_the_tables(void **state)
{
    (void)state;
    char symbol[64];
    assert_int_equal(port_count(), CW_PORTS);
    assert_string_equal(symbol_of(CW_PORT_IN), "in");
    assert_string_equal(symbol_of(CW_PORT_OUT), "out");
    assert_true(port_is(CW_PORT_IN, LILV_URI_AUDIO_PORT) && port_is(CW_PORT_IN, LILV_URI_INPUT_PORT));
    assert_true(port_is(CW_PORT_OUT, LILV_URI_AUDIO_PORT) && port_is(CW_PORT_OUT, LILV_URI_OUTPUT_PORT));
    for (uint32_t i = CW_PORT_GLOBAL; i < CW_PORTS; i++) {
        row_of(i, symbol, sizeof symbol);
        assert_string_equal(symbol_of(i), symbol);
        assert_true(port_is(i, LILV_URI_CONTROL_PORT));
        assert_true(port_is(i, i < CW_PORT_METER ? LILV_URI_INPUT_PORT : LILV_URI_OUTPUT_PORT));
    }
}

/* lilv and the validators accept an index that stands twice: read the text. */
static void test_each_index_stands_once(void **state)
{
    (void)state;
    char path[4096], line[4096];
    int seen[CW_PORTS] = {0};
    snprintf(path, sizeof path, "%s/coilwright.ttl", host_bundle());
    FILE *file = fopen(path, "r");
    assert_non_null(file);
    while (fgets(line, sizeof line, file)) {
        int index;
        const char *at = strstr(line, "lv2:index ");
        if (at && sscanf(at, "lv2:index %d", &index) == 1) {
            assert_in_range(index, 0, CW_PORTS - 1);
            seen[index]++;
        }
    }
    fclose(file);
    for (int i = 0; i < CW_PORTS; i++) {
        assert_int_equal(seen[i], 1);
    }
}

static void test_ranges_hold(void **state)
{
    (void)state;
    static float minimum[CW_PORTS], maximum[CW_PORTS], preset[CW_PORTS];
    char symbol[64];
    lilv_plugin_get_port_ranges_float(host_plugin(), minimum, maximum, preset);
    for (uint32_t i = CW_PORT_GLOBAL; i < CW_PORTS; i++) {
        const struct cw_param_info *info = row_of(i, symbol, sizeof symbol);
        /* a boolean literal, or none at all, would read as NaN */
        if (!(minimum[i] < maximum[i] && minimum[i] <= preset[i] && preset[i] <= maximum[i])) {
            fail_msg("%s: %g to %g, default %g", symbol, (double)minimum[i], (double)maximum[i], (double)preset[i]);
        }
        assert_true(minimum[i] == (float)info->minimum);
        assert_true(maximum[i] == (float)info->maximum);
        assert_true(preset[i] == (float)info->preset);
        assert_int_equal(port_has(i, LV2 "toggled"), (info->flags & CW_TOGGLE) != 0);
        assert_int_equal(port_has(i, LV2 "enumeration"), (info->flags & CW_ENUM) != 0);
        if (info->flags & (CW_TOGGLE | CW_INTEGER)) {
            assert_true(port_has(i, LV2 "integer"));
        }
        if (port_has(i, LV2 "integer")) {
            assert_true(preset[i] == floorf(preset[i]) && minimum[i] == floorf(minimum[i]));
        }
        assert_int_equal(port_has(i, PPROPS "logarithmic"), (info->flags & CW_LOG) != 0);
        if (port_has(i, PPROPS "logarithmic")) {
            assert_true(minimum[i] * maximum[i] > 0.0f);
        }
    }
}

static void test_scale_points(void **state)
{
    (void)state;
    char symbol[64];
    for (uint32_t i = CW_PORT_GLOBAL; i < CW_PORTS; i++) {
        const struct cw_param_info *info = row_of(i, symbol, sizeof symbol);
        LilvScalePoints *points = lilv_port_get_scale_points(host_plugin(), port_at(i));
        const unsigned count = points ? lilv_scale_points_size(points) : 0;
        float value[64], highest = -INFINITY;
        const char *label[64];
        unsigned n = 0;
        bool preset_is_one = false;
        assert_int_equal(count, info->point_count);
        assert_true(count <= 64);
        LILV_FOREACH(scale_points, at, points)
        {
            const LilvScalePoint *point = lilv_scale_points_get(points, at);
            value[n] = lilv_node_as_float(lilv_scale_point_get_value(point));
            label[n] = lilv_node_as_string(lilv_scale_point_get_label(point));
            highest = fmaxf(highest, value[n]);
            preset_is_one |= (double)value[n] == info->preset;
            for (unsigned k = 0; k < n; k++) {
                assert_true(value[k] != value[n]);
                assert_string_not_equal(label[k], label[n]);
            }
            n++;
        }
        if (count) {
            assert_true(preset_is_one);
            assert_float_equal(highest, info->maximum, 0);
        }
        lilv_scale_points_free(points);
    }
}

static void test_units(void **state)
{
    (void)state;
    char symbol[64];
    for (uint32_t i = CW_PORT_GLOBAL; i < CW_PORTS; i++) {
        const struct cw_param_info *info = row_of(i, symbol, sizeof symbol);
        LilvNode *unit = port_get(i, UNITS "unit");
        assert_int_equal(unit != NULL, info->unit != CW_UNIT_NONE);
        if (unit && info->unit == CW_UNIT_KOHM) {
            assert_string_equal(strchr(lilv_node_as_uri(unit), '#'), "#kOhm"); /* what hosts print */
        }
        if (unit && strncmp(lilv_node_as_uri(unit), UNITS, strlen(UNITS)) != 0) {
            static const char *const needed[] = {RDFS "label", UNITS "symbol", UNITS "render"};
            for (int k = 0; k < 3; k++) {
                LilvNode *predicate = uri(needed[k]);
                LilvNode *value = lilv_world_get(host_world(), unit, predicate, NULL);
                assert_non_null(value);
                if (k == 1) {
                    assert_string_equal(lilv_node_as_string(value), cw_unit_symbol(info->unit));
                }
                lilv_node_free(value);
                lilv_node_free(predicate);
            }
        }
        lilv_node_free(unit);
    }
}

static void test_names_are_unique_and_commented(void **state)
{
    (void)state;
    char *name[CW_PORTS];
    for (uint32_t i = 0; i < CW_PORTS; i++) {
        LilvNode *node = lilv_port_get_name(host_plugin(), port_at(i));
        assert_non_null(node);
        name[i] = strdup(lilv_node_as_string(node));
        lilv_node_free(node);
        for (uint32_t k = 0; k < i; k++) {
            assert_string_not_equal(name[k], name[i]);
        }
        if (i >= CW_PORT_GLOBAL) {
            LilvNode *comment = port_get(i, RDFS "comment");
            assert_non_null(comment);
            lilv_node_free(comment);
        }
    }
    for (uint32_t i = 0; i < CW_PORTS; i++) {
        free(name[i]);
    }
}

static void test_groups(void **state)
{
    (void)state;
    LilvNode *type = uri("http://www.w3.org/1999/02/22-rdf-syntax-ns#type");
    LilvNode *class = uri(GROUPS "Group");
    LilvNode *has_symbol = uri(LV2 "symbol");
    LilvNodes *groups = lilv_world_find_nodes(host_world(), NULL, type, class);
    char *seen[64];
    unsigned n = 0;
    LILV_FOREACH(nodes, at, groups)
    {
        LilvNode *symbol = lilv_world_get(host_world(), lilv_nodes_get(groups, at), has_symbol, NULL);
        assert_non_null(symbol);
        assert_true(n < 64);
        seen[n] = strdup(lilv_node_as_string(symbol));
        lilv_node_free(symbol);
        for (unsigned k = 0; k < n; k++) {
            assert_string_not_equal(seen[k], seen[n]);
        }
        for (uint32_t i = 0; i < CW_PORTS; i++) {
            assert_string_not_equal(symbol_of(i), seen[n]);
        }
        n++;
    }
    assert_int_equal(n, 1 + CW_SETUPS * (1 + CW_GROUPS + 1)); /* listening; a setup, its groups, its figures */
    for (uint32_t i = CW_PORT_GLOBAL; i < CW_PORTS; i++) {
        LilvNode *group = port_get(i, GROUPS "group");
        assert_non_null(group);
        assert_true(lilv_nodes_contains(groups, group));
        lilv_node_free(group);
    }
    while (n > 0) {
        free(seen[--n]);
    }
    lilv_nodes_free(groups);
    lilv_node_free(type);
    lilv_node_free(class);
    lilv_node_free(has_symbol);
}

/* The place of a port in a host's list, by its group's URI or by its group's name. */
static void group_of(uint32_t index, bool by_name, char *text, size_t room)
{
    LilvNode *group = port_get(index, GROUPS "group"), *name_of = uri(LV2 "name");
    LilvNode *name = lilv_world_get(host_world(), group, name_of, NULL);
    snprintf(text, room, "%s", by_name ? lilv_node_as_string(name) : lilv_node_as_uri(group));
    lilv_node_free(name);
    lilv_node_free(name_of);
    lilv_node_free(group);
}

/* Hosts sort groups: then the globals come first, and after them a setup's coil before its cable. */
static void test_groups_sort_in_the_order_of_work(void **state)
{
    (void)state;
    for (int by_name = 0; by_name < 2; by_name++) {
        char first[256], coil[256], cable[256], other[256];
        group_of((uint32_t)cw_port_of_global(CW_G_LISTEN), by_name, first, sizeof first);
        for (uint32_t i = CW_PORT_PARAM; i < CW_PORTS; i++) {
            group_of(i, by_name, other, sizeof other);
            assert_true(i < CW_PORT_STATUS ? strcmp(first, other) < 0 : strcmp(first, other) == 0);
        }
        for (int which = 0; which < CW_SETUPS; which++) {
            group_of((uint32_t)cw_port_of_param((enum cw_which)which, CW_P_INDUCTANCE), by_name, coil, sizeof coil);
            group_of((uint32_t)cw_port_of_param((enum cw_which)which, CW_P_CABLE_LENGTH), by_name, cable, sizeof cable);
            group_of((uint32_t)cw_port_of_meter((enum cw_which)which, CW_M_LEVEL), by_name, other, sizeof other);
            assert_true(strcmp(coil, cable) < 0 && strcmp(cable, other) < 0);
            assert_true(which == 0 || strcmp(first, coil) < 0);
            snprintf(first, sizeof first, "%s", other);
        }
    }
}

/* What is calibrated once stays out of a flat list of controls, and out of automation. */
static void test_what_is_of_the_bench_is_marked(void **state)
{
    (void)state;
    for (uint32_t i = CW_PORT_GLOBAL; i < CW_PORTS; i++) {
        const char *symbol = symbol_of(i);
        const size_t length = strlen(symbol);
        const bool bench = (length > 4 && strcmp(symbol + length - 4, "_cal") == 0) || strstr(symbol, "former_");
        const bool marked = port_has(i, PPROPS "notOnGUI");
        if (bench != marked) {
            fail_msg("%s: %smarked", symbol, marked ? "" : "not ");
        }
        assert_int_equal(marked, port_has(i, PPROPS "notAutomatic"));
    }
}

static void assert_text(const char *predicate)
{
    LilvNode *node = plugin_get(predicate);
    if (!node || !*lilv_node_as_string(node)) {
        fail_msg("no %s", predicate);
    }
    lilv_node_free(node);
}

static void test_project_is_described(void **state)
{
    (void)state;
    assert_text(DOAP "name");
    assert_text(DOAP "shortdesc");
    assert_text(DOAP "maintainer");
    assert_text(RDFS "comment");
    assert_text(LV2 "documentation");
    assert_text(GROUPS "mainInput");
    assert_text(GROUPS "mainOutput");
    LilvNode *author = lilv_plugin_get_author_name(host_plugin());
    assert_non_null(author);
    lilv_node_free(author);
    LilvNode *licence = plugin_get(DOAP "license");
    assert_non_null(licence);
    assert_string_equal(lilv_node_as_uri(licence), "http://opensource.org/licenses/isc");
    lilv_node_free(licence);
    int major = -1, minor = -1, micro = -1;
    assert_int_equal(sscanf(CW_VERSION, "%d.%d.%d", &major, &minor, &micro), 3);
    LilvNode *node = plugin_get(LV2 "minorVersion");
    assert_true(node && lilv_node_is_int(node) && lilv_node_as_int(node) == 100 * major + minor);
    lilv_node_free(node);
    node = plugin_get(LV2 "microVersion");
    assert_true(node && lilv_node_is_int(node) && lilv_node_as_int(node) == micro);
    lilv_node_free(node);
}

/* The home is a page in the bundle: it has to be there. */
static void test_homepage_is_there(void **state)
{
    (void)state;
    LilvNode *home = plugin_get(DOAP "homepage");
    assert_non_null(home);
    char *path = lilv_file_uri_parse(lilv_node_as_uri(home), NULL);
    FILE *page = path ? fopen(path, "r") : NULL;
    if (!page) {
        fail_msg("no page at %s", lilv_node_as_uri(home));
    }
    fclose(page);
    lilv_free(path);
    lilv_node_free(home);
}

static void test_features(void **state)
{
    (void)state;
    LilvNode *hard = uri(LV2 "hardRTCapable"), *broken = uri(LV2 "inPlaceBroken");
    LilvNodes *optional = lilv_plugin_get_optional_features(host_plugin());
    LilvNodes *required = lilv_plugin_get_required_features(host_plugin());
    assert_true(lilv_nodes_contains(optional, hard));
    assert_false(lilv_plugin_has_feature(host_plugin(), broken));
    assert_int_equal(lilv_nodes_size(required), 0);
    lilv_nodes_free(optional);
    lilv_nodes_free(required);
    lilv_node_free(hard);
    lilv_node_free(broken);
    LilvNode *designation = uri(LV2 "enabled"), *input = uri(LILV_URI_INPUT_PORT);
    const LilvPort *enabled = lilv_plugin_get_port_by_designation(host_plugin(), input, designation);
    assert_non_null(enabled);
    assert_int_equal(lilv_port_get_index(host_plugin(), enabled), cw_port_of_global(CW_G_ENABLED));
    lilv_node_free(designation);
    lilv_node_free(input);
    LilvNode *priority = port_get((uint32_t)cw_port_of_global(CW_G_LISTEN), PPROPS "displayPriority");
    assert_true(priority && lilv_node_is_int(priority));
    lilv_node_free(priority);
}

/* The presets of the source tree: how many files there are. */
static unsigned preset_files(void)
{
    DIR *directory = opendir("presets");
    unsigned count = 0;
    assert_non_null(directory);
    for (struct dirent *entry = readdir(directory); entry; entry = readdir(directory)) {
        const char *dot = strrchr(entry->d_name, '.');
        count += dot && strcmp(dot, ".ttl") == 0;
    }
    closedir(directory);
    return count;
}

/* Every value that a preset sets is one that the port takes as it is. */
static void check_preset_values(struct host *host, const char *name)
{
    char symbol[64];
    for (uint32_t i = CW_PORT_GLOBAL; i < CW_PORT_METER; i++) {
        const struct cw_param_info *info = row_of(i, symbol, sizeof symbol);
        const float value = host_get(host, symbol);
        const float clean = (float)cw_param_clean(info, (double)value, NAN);
        if (!(fabsf(value - clean) <= 1e-6f * fabsf(clean))) {
            fail_msg("%s: %s = %g is not a value of that port", name, symbol, (double)value);
        }
    }
}

static void test_presets_load(void **state)
{
    (void)state;
    static float in[4096], out[4096];
    LilvNode *class = uri("http://lv2plug.in/ns/ext/presets#Preset"), *label_of = uri(RDFS "label");
    LilvNodes *presets = lilv_plugin_get_related(host_plugin(), class);
    struct host *host = host_new(48000);
    char *labels[256];
    unsigned n = 0;
    in[0] = 1.0f;
    assert_int_equal(lilv_nodes_size(presets), preset_files());
    assert_in_range(lilv_nodes_size(presets), 12, 256);
    LILV_FOREACH(nodes, at, presets)
    {
        const LilvNode *preset = lilv_nodes_get(presets, at);
        const char *name = lilv_node_as_uri(preset);
        host_defaults(host);
        if (!host_load_preset(host, name)) {
            fail_msg("%s does not load, or names a port that is none", name);
        }
        check_preset_values(host, name);
        LilvNode *label = lilv_world_get(host_world(), preset, label_of, NULL);
        if (!label) {
            fail_msg("%s has no label", name);
        }
        labels[n] = strdup(lilv_node_as_string(label));
        lilv_node_free(label);
        for (unsigned k = 0; k < n; k++) {
            assert_string_not_equal(labels[k], labels[n]);
        }
        n++;
        host_restart(host);
        host_run(host, in, out, 4096, 256);
        float loudest = 0.0f;
        for (int i = 0; i < 4096; i++) {
            assert_true(isfinite(out[i]));
            loudest = fmaxf(loudest, fabsf(out[i]));
        }
        assert_true(loudest > 0.001f);
    }
    while (n > 0) {
        free(labels[--n]);
    }
    host_free(host);
    lilv_nodes_free(presets);
    lilv_node_free(class);
    lilv_node_free(label_of);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_symbols_are_those_checked_in),
        cmocka_unit_test(test_ports_are_the_tables),
        cmocka_unit_test(test_each_index_stands_once),
        cmocka_unit_test(test_ranges_hold),
        cmocka_unit_test(test_scale_points),
        cmocka_unit_test(test_units),
        cmocka_unit_test(test_names_are_unique_and_commented),
        cmocka_unit_test(test_groups),
        cmocka_unit_test(test_groups_sort_in_the_order_of_work),
        cmocka_unit_test(test_what_is_of_the_bench_is_marked),
        cmocka_unit_test(test_project_is_described),
        cmocka_unit_test(test_homepage_is_there),
        cmocka_unit_test(test_features),
        cmocka_unit_test(test_presets_load),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
