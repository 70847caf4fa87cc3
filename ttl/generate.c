/* SPDX-License-Identifier: ISC */
/* Prints what is published about the parameters, all of it from the table in dsp/setup.h:
 *
 *   generate manifest [PRESET.ttl ...]   the bundle's manifest
 *   generate plugin                      the plugin's description
 *   generate parameters                  docs/parameters.md
 *   generate version MAJOR.MINOR.MICRO   lv2:minorVersion and lv2:microVersion of it
 *
 * To the standard output; exit status 0, or 2 on bad usage. */
#include <locale.h>
#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "plugin_uri.h"
#include "setup.h"

static const char *const prefixes = "@prefix atom:   <http://lv2plug.in/ns/ext/atom#> .\n"
                                    "@prefix doap:   <http://usefulinc.com/ns/doap#> .\n"
                                    "@prefix foaf:   <http://xmlns.com/foaf/0.1/> .\n"
                                    "@prefix lv2:    <http://lv2plug.in/ns/lv2core#> .\n"
                                    "@prefix owl:    <http://www.w3.org/2002/07/owl#> .\n"
                                    "@prefix opts:   <http://lv2plug.in/ns/ext/options#> .\n"
                                    "@prefix pg:     <http://lv2plug.in/ns/ext/port-groups#> .\n"
                                    "@prefix pprops: <http://lv2plug.in/ns/ext/port-props#> .\n"
                                    "@prefix pset:   <http://lv2plug.in/ns/ext/presets#> .\n"
                                    "@prefix rdf:    <http://www.w3.org/1999/02/22-rdf-syntax-ns#> .\n"
                                    "@prefix rdfs:   <http://www.w3.org/2000/01/rdf-schema#> .\n"
                                    "@prefix state:  <http://lv2plug.in/ns/ext/state#> .\n"
                                    "@prefix ui:     <http://lv2plug.in/ns/extensions/ui#> .\n"
                                    "@prefix units:  <http://lv2plug.in/ns/extensions/units#> .\n"
                                    "@prefix urid:   <http://lv2plug.in/ns/ext/urid#> .\n"
                                    "@prefix xsd:    <http://www.w3.org/2001/XMLSchema#> .\n"
                                    "@prefix cw:     <" CW_PLUGIN_URI "#> .\n\n";

/* Units: LV2's own where it has one, else a private one with label, symbol and render. Hosts print the tail of
 * its URI. */
static const struct unit {
    const char *term;  /* as it stands in the Turtle */
    const char *label; /* of a private unit, else NULL */
} unit_info[CW_UNITS] = {
    [CW_UNIT_DB] = {"units:db", NULL},
    [CW_UNIT_HZ] = {"units:hz", NULL},
    [CW_UNIT_PERCENT] = {"units:pc", NULL},
    [CW_UNIT_METRE] = {"units:m", NULL},
    [CW_UNIT_MM] = {"units:mm", NULL},
    [CW_UNIT_HENRY] = {"cw:H", "henry"},
    [CW_UNIT_KOHM] = {"cw:kOhm", "kilohm"},
    [CW_UNIT_MOHM] = {"cw:MOhm", "megohm"},
    [CW_UNIT_PF] = {"cw:pF", "picofarad"},
    [CW_UNIT_NF] = {"cw:nF", "nanofarad"},
    [CW_UNIT_PF_PER_M] = {"cw:pF_per_m", "picofarad per metre"},
};

/* Groups of ports: symbols and short names of the setups, symbols of the groups within one. */
static const char *const setup_symbol[CW_SETUPS] = {"recorded_through", "candidate_a", "candidate_b"};
static const char *const setup_short[CW_SETUPS] = {"Recorded", "A", "B"};
static const char *const group_symbol[CW_GROUPS] = {"coil", "winding", "split", "controls", "cable", "string"};

/* Hosts sort groups by URI or by name, so that both begin with a number, in the order of work. */
enum { LISTENING_GROUP = 1, SETUP_GROUP, FIGURES_GROUP = CW_GROUPS + 1 };

/* What a host with little room should show first: 0 is no statement. */
static int global_priority(int id)
{
    switch (id) {
    case CW_G_LISTEN: return 100;
    case CW_G_UNDO_RECORDING:
    case CW_G_LEVEL_MATCH: return 95;
    case CW_G_TRIM: return 90;
    default: return 0;
    }
}

static int param_priority(enum cw_which which, int id)
{
    int priority = 0;
    switch (id) {
    case CW_P_SPLIT: priority = 80; break;
    case CW_P_SPLIT_KEEP:
    case CW_P_CABLE_LENGTH: priority = 75; break;
    case CW_P_INDUCTANCE:
    case CW_P_RESISTANCE: priority = 70; break;
    case CW_P_COILS:
    case CW_P_VOLUME:
    case CW_P_TONE: priority = 65; break;
    default: break;
    }
    return which == CW_REC && priority ? priority - 40 : priority;
}

/* A number in Turtle: a whole one is an integer only where the port is made of whole numbers. */
static void print_number(double value, int whole)
{
    if (value == floor(value) && !whole) {
        printf("%.1f", value);
    } else {
        printf("%.10g", value);
    }
}

static int points_are_whole(const struct cw_param_info *info)
{
    for (size_t i = 0; i < info->point_count; i++) {
        if (info->points[i].value != floor(info->points[i].value)) {
            return 0;
        }
    }
    return info->point_count > 0;
}

static int is_whole(const struct cw_param_info *info)
{
    return (info->flags & (CW_TOGGLE | CW_INTEGER)) || points_are_whole(info);
}

static void print_range(const struct cw_param_info *info)
{
    const int whole = is_whole(info);
    printf("        lv2:default ");
    print_number(info->preset, whole);
    printf(" ;\n        lv2:minimum ");
    print_number(info->minimum, whole);
    printf(" ;\n        lv2:maximum ");
    print_number(info->maximum, whole);
    printf(" ;\n");
}

static void print_properties(const struct cw_param_info *info)
{
    if (info->flags & CW_TOGGLE) {
        printf("        lv2:portProperty lv2:toggled , lv2:integer ;\n");
    } else if (is_whole(info)) {
        printf("        lv2:portProperty lv2:integer ;\n");
    }
    if (info->flags & CW_ENUM) {
        printf("        lv2:portProperty lv2:enumeration ;\n");
    }
    if (info->flags & CW_LOG) {
        printf("        lv2:portProperty pprops:logarithmic ;\n");
    }
    for (size_t i = 0; i < info->point_count; i++) {
        printf("        lv2:scalePoint [ rdfs:label \"%s\" ; rdf:value ", info->points[i].label);
        print_number(info->points[i].value, is_whole(info));
        printf(" ] ;\n");
    }
    if (unit_info[info->unit].term) {
        printf("        units:unit %s ;\n", unit_info[info->unit].term);
    }
}

static void open_port(int index, const char *kind, const char *symbol_prefix, const char *symbol)
{
    printf(" ;\n    lv2:port [\n        a %s ;\n        lv2:index %d ;\n        lv2:symbol \"%s%s\" ;\n", kind, index,
           symbol_prefix, symbol);
}

static void print_audio_port(int index, const char *kind, const char *symbol, const char *name)
{
    open_port(index, kind, "", symbol);
    printf("        lv2:name \"%s\" ;\n        lv2:designation pg:center ;\n        pg:group cw:main_%s\n    ]", name,
           symbol);
}

/* Not every host has a use for it. */
static void print_notifications(void)
{
    open_port(CW_PORT_NOTIFY, "lv2:OutputPort , atom:AtomPort", "", "notify");
    printf("        lv2:name \"Notifications\" ;\n        atom:bufferType atom:Sequence ;\n"
           "        atom:supports state:StateChanged ;\n        lv2:designation lv2:control ;\n"
           "        lv2:portProperty lv2:connectionOptional ;\n"
           "        rdfs:comment \"Tells the host that names, seals, or what level match goes by were changed: the "
           "session is to be saved.\"\n    ]");
}

/* What a player never turns: a calibration, the dimensions of a former. */
static int is_of_the_bench(int id) { return id >= CW_P_RESISTANCE_CAL && id <= CW_P_FORMER_BUILD; }

static void print_group_of(enum cw_which which, int group)
{
    printf("        pg:group cw:group_%d_%d ;\n", SETUP_GROUP + (int)which, group);
}

static void print_global(int id)
{
    const struct cw_param_info *info = &cw_global_info[id];
    open_port(cw_port_of_global((enum cw_global_id)id), "lv2:InputPort , lv2:ControlPort", "", info->symbol);
    printf("        lv2:name \"%s\" ;\n", info->name);
    print_range(info);
    print_properties(info);
    if (id == CW_G_ENABLED) {
        printf("        lv2:designation lv2:enabled ;\n");
    }
    if (global_priority(id)) {
        printf("        pprops:displayPriority %d ;\n", global_priority(id));
    }
    printf("        pg:group cw:group_%d ;\n", LISTENING_GROUP);
    printf("        rdfs:comment \"%s\"\n    ]", info->meaning);
}

static void print_param(enum cw_which which, int id)
{
    const struct cw_param_info *info = &cw_param_info[id];
    open_port(cw_port_of_param(which, id), "lv2:InputPort , lv2:ControlPort", cw_setup_prefix[which], info->symbol);
    printf("        lv2:name \"%s: %s\" ;\n", setup_short[which], info->name);
    print_range(info);
    print_properties(info);
    if (param_priority(which, id)) {
        printf("        pprops:displayPriority %d ;\n", param_priority(which, id));
    }
    if (is_of_the_bench(id)) {
        printf("        lv2:portProperty pprops:notOnGUI , pprops:notAutomatic ;\n");
    }
    print_group_of(which, (int)info->group + 1);
    printf("        rdfs:comment \"%s\"\n    ]", info->meaning);
}

static void print_meter(enum cw_which which, int id)
{
    const struct cw_param_info *info = &cw_meter_info[id];
    open_port(cw_port_of_meter(which, id), "lv2:OutputPort , lv2:ControlPort", cw_setup_prefix[which], info->symbol);
    printf("        lv2:name \"%s: %s\" ;\n", setup_short[which], info->name);
    print_range(info);
    print_properties(info);
    print_group_of(which, FIGURES_GROUP);
    printf("        rdfs:comment \"%s\"\n    ]", info->meaning);
}

static void print_status(int id)
{
    const struct cw_param_info *info = &cw_status_info[id];
    open_port(cw_port_of_status((enum cw_status_id)id), "lv2:OutputPort , lv2:ControlPort", "", info->symbol);
    printf("        lv2:name \"%s\" ;\n", info->name);
    print_range(info);
    print_properties(info);
    printf("        pg:group cw:group_%d ;\n", LISTENING_GROUP);
    printf("        rdfs:comment \"%s\"\n    ]", info->meaning);
}

static void print_units(void)
{
    for (int i = 0; i < CW_UNITS; i++) {
        if (unit_info[i].label) {
            const char *symbol = cw_unit_symbol((enum cw_unit)i);
            printf("%s\n    a units:Unit ;\n    rdfs:label \"%s\" ;\n    units:symbol \"%s\" ;\n"
                   "    units:render \"%%f %s\" .\n\n",
                   unit_info[i].term, unit_info[i].label, symbol, symbol);
        }
    }
}

/* What presets hold beside the ports: workshop/session_text.h. */
static void print_words(void)
{
    static const char *const side[CW_SETUPS] = {"recorded", "a", "b"};
    static const char *const word[][2] = {{"name", "What the window calls it."},
                                          {"seal", "What it was sealed as, by coilwright seal."}};
    for (size_t i = 0; i < sizeof word / sizeof word[0]; i++) {
        for (int which = 0; which < CW_SETUPS; which++) {
            printf("cw:%s_%s\n    a rdf:Property , owl:DatatypeProperty ;\n    rdfs:label \"%s: %s\" ;\n"
                   "    rdfs:comment \"%s\" ;\n    rdfs:range xsd:string .\n\n",
                   word[i][0], side[which], word[i][0], cw_setup_name[which], word[i][1]);
        }
    }
}

/* A group within a setup; its name says where it stands. */
static void print_subgroup(int which, int group, const char *kind, const char *symbol, const char *name)
{
    printf("cw:group_%d_%d\n    a pg:Group , %s ;\n    lv2:symbol \"%s_%s\" ;\n    lv2:name \"%d.%d %s: %s\" ;\n"
           "    pg:subGroupOf cw:group_%d .\n\n",
           SETUP_GROUP + which, group, kind, setup_symbol[which], symbol, SETUP_GROUP + which, group,
           cw_setup_name[which], name, SETUP_GROUP + which);
}

static void print_groups(void)
{
    printf(
        "cw:main_in\n    a pg:MonoGroup , pg:InputGroup ;\n    lv2:symbol \"main_in\" ;\n    lv2:name \"Input\" .\n\n"
        "cw:main_out\n    a pg:MonoGroup , pg:OutputGroup ;\n    lv2:symbol \"main_out\" ;\n"
        "    lv2:name \"Output\" ;\n    pg:source cw:main_in .\n\n");
    printf("cw:group_%d\n    a pg:Group ;\n    lv2:symbol \"listening\" ;\n"
           "    lv2:name \"%d Listening\" .\n\n",
           LISTENING_GROUP, LISTENING_GROUP);
    for (int which = 0; which < CW_SETUPS; which++) {
        printf("cw:group_%d\n    a pg:Group ;\n    lv2:symbol \"%s\" ;\n    lv2:name \"%d %s\" .\n\n",
               SETUP_GROUP + which, setup_symbol[which], SETUP_GROUP + which, cw_setup_name[which]);
        for (int group = 0; group < CW_GROUPS; group++) {
            print_subgroup(which, group + 1, "pg:InputGroup", group_symbol[group], cw_group_name[group]);
        }
        print_subgroup(which, FIGURES_GROUP, "pg:OutputGroup", "figures", "figures");
    }
}

/* LV2 knows no major number: its minor one counts hundreds for it. So neither goes back while the project's version
 * goes up, and what is even (a release) or odd (in development) stays so. \return false where it is no version */
static bool lv2_version(const char *version, int *minor, int *micro)
{
    enum { MINORS = 100 };
    int major, end = 0;
    if (strspn(version, "0123456789.") != strlen(version) ||
        sscanf(version, "%3d.%2d.%4d%n", &major, minor, micro, &end) != 3 || version[end] != '\0') {
        return false;
    }
    *minor += MINORS * major;
    return true;
}

static void print_project(void)
{
    int minor = 0, micro = 0;
    lv2_version(CW_VERSION, &minor, &micro);
    printf(
        "<" CW_PLUGIN_URI ">\n"
        "    a lv2:Plugin , lv2:SimulatorPlugin , doap:Project ;\n"
        "    lv2:minorVersion %d ;\n"
        "    lv2:microVersion %d ;\n"
        "    doap:name \"Coilwright\" ;\n"
        "    doap:shortdesc \"Hear a guitar pickup before it is wound\" ;\n"
        "    rdfs:comment \"Divides the pickup, controls and cable that a direct recording was made through out of "
        "it, and puts one of two candidates in their place: coil, split, controls, cable and amplifier input, solved "
        "as one network.\" ;\n"
        "    lv2:documentation \"<p>Put it on a recording that was made direct, without an amplifier. Recorded through "
        "is "
        "the guitar and cable of that recording; A and B are what is to be heard instead, chosen by Listen to. Begin "
        "at "
        "a low volume and with Level match on: a resonance can add 20 dB.</p>\"^^rdf:XMLLiteral ;\n"
        "    pg:mainInput cw:main_in ;\n"
        "    pg:mainOutput cw:main_out ;\n"
        "    doap:license <http://opensource.org/licenses/isc> ;\n"
        "    doap:homepage <README.md> ;\n"
        "    doap:maintainer [ a foaf:Organization ; foaf:name \"The Coilwright project\" ; foaf:homepage "
        "<README.md> ] ;\n"
        "    lv2:optionalFeature lv2:hardRTCapable , urid:map , state:threadSafeRestore ;\n"
        "    lv2:extensionData state:interface",
        minor, micro);
}

static void print_notification(const char *prefix, const char *symbol)
{
    printf(" ;\n    ui:portNotification [\n        ui:plugin <" CW_PLUGIN_URI "> ;\n        lv2:symbol \"%s%s\" ;\n"
           "        ui:protocol ui:floatProtocol\n    ]",
           prefix, symbol);
}

/* The window: the host calls it when idle, tells it of the figures, and may tell its scale. */
static void print_window(void)
{
    printf("<" CW_WINDOW_URI ">\n"
           "    a ui:X11UI ;\n"
           "    lv2:requiredFeature ui:parent , ui:idleInterface ;\n"
           "    lv2:optionalFeature ui:touch , ui:resize , opts:options , urid:map ,\n"
           "        <http://lv2plug.in/ns/ext/instance-access> , <http://lv2plug.in/ns/ext/data-access> ;\n"
           "    lv2:extensionData ui:idleInterface ;\n"
           "    opts:supportedOption ui:scaleFactor");
    for (int which = 0; which < CW_SETUPS; which++) {
        for (int id = 0; id < CW_METERS; id++) {
            print_notification(cw_setup_prefix[which], cw_meter_info[id].symbol);
        }
    }
    for (int id = 0; id < CW_STATUSES; id++) {
        print_notification("", cw_status_info[id].symbol);
    }
    printf(" .\n");
}

static void print_plugin(void)
{
    printf("# Generated by ttl/generate.c from dsp/parameters.def: do not edit.\n%s", prefixes);
    print_units();
    print_words();
    print_groups();
    print_project();
    print_audio_port(CW_PORT_IN, "lv2:InputPort , lv2:AudioPort", "in", "In");
    print_audio_port(CW_PORT_OUT, "lv2:OutputPort , lv2:AudioPort", "out", "Out");
    print_notifications();
    for (int id = 0; id < CW_GLOBALS; id++) {
        print_global(id);
    }
    for (int which = 0; which < CW_SETUPS; which++) {
        for (int id = 0; id < CW_PARAMS; id++) {
            print_param((enum cw_which)which, id);
        }
    }
    for (int which = 0; which < CW_SETUPS; which++) {
        for (int id = 0; id < CW_METERS; id++) {
            print_meter((enum cw_which)which, id);
        }
    }
    for (int id = 0; id < CW_STATUSES; id++) {
        print_status(id);
    }
    printf(" ;\n    ui:ui <" CW_WINDOW_URI "> .\n\n");
    print_window();
}

static void print_manifest(int presets, char **preset)
{
    printf("# Generated by ttl/generate.c: do not edit.\n%s", prefixes);
    printf("<" CW_PLUGIN_URI
           ">\n    a lv2:Plugin ;\n    lv2:binary <coilwright.so> ;\n    rdfs:seeAlso <coilwright.ttl> .\n\n");
    printf("<" CW_WINDOW_URI
           ">\n    a ui:X11UI ;\n    lv2:binary <coilwright_ui.so> ;\n    rdfs:seeAlso <coilwright.ttl> .\n");
    for (int i = 0; i < presets; i++) {
        printf("\n<%s>\n    a pset:Preset ;\n    lv2:appliesTo <" CW_PLUGIN_URI "> ;\n    rdfs:seeAlso <%s> .\n",
               preset[i], preset[i]);
    }
}

/* The name is used as a relative URI, unescaped. */
static int is_plain_name(const char *name)
{
    return *name && name[strspn(name, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_.")] == '\0';
}

static void document_range(const struct cw_param_info *info)
{
    const char *unit = cw_unit_symbol(info->unit);
    if (info->flags & CW_TOGGLE) {
        printf("off (0), on (1) | %s |", info->preset > 0 ? "on" : "off");
    } else if (info->point_count) {
        const char *preset = "";
        for (size_t i = 0; i < info->point_count; i++) {
            printf("%s%s (%.10g)", i ? ", " : "", info->points[i].label, info->points[i].value);
            if (info->points[i].value == info->preset) {
                preset = info->points[i].label;
            }
        }
        printf(" | %s |", preset);
    } else {
        printf("%.10g to %.10g%s%s | %.10g%s%s |", info->minimum, info->maximum, *unit ? " " : "", unit, info->preset,
               *unit ? " " : "", unit);
    }
}

static void document_inputs(const struct cw_param_info *info)
{
    printf("| `%s` | %s | ", info->symbol, info->name);
    document_range(info);
    printf(" %s |\n", info->meaning);
}

static const char *const input_head = "| symbol | name | range | default | meaning |\n|---|---|---|---|---|\n";

static void document_statuses(void)
{
    printf("\n## Of the plugin as a whole\n\nOutputs.\n\n| symbol | name | values | meaning |\n|---|---|---|---|\n");
    for (int id = 0; id < CW_STATUSES; id++) {
        const struct cw_param_info *info = &cw_status_info[id];
        printf("| `%s` | %s | ", info->symbol, info->name);
        for (size_t i = 0; i < info->point_count; i++) {
            printf("%s%s (%.10g)", i ? ", " : "", info->points[i].label, info->points[i].value);
        }
        printf(" | %s |\n", info->meaning);
    }
}

static void print_parameters(void)
{
    printf("# Parameters\n\n"
           "Made by `make docs` from the table in `dsp/parameters.def`; a test fails where it is stale.\n\n"
           "The plugin is `" CW_PLUGIN_URI "`: audio `in` and `out`, `notify` (tells hosts that the session is to be "
           "saved), %d control inputs and %d control outputs. "
           "Symbols are permanent. Ranges and defaults are those of usual guitars, cables and amplifiers (common "
           "practice, no source); a row that rests on an estimate says so.\n\n## Global\n\n%s",
           CW_GLOBALS + CW_SETUPS * CW_PARAMS, CW_SETUPS * CW_METERS + CW_STATUSES, input_head);
    for (int id = 0; id < CW_GLOBALS; id++) {
        document_inputs(&cw_global_info[id]);
    }
    printf("\n## Of each setup\n\nEach stands three times, with a prefix: ");
    for (int which = 0; which < CW_SETUPS; which++) {
        printf("%s`%s` %s", which ? ", " : "", cw_setup_prefix[which], cw_setup_name[which]);
    }
    printf(".\n");
    for (int group = 0; group < CW_GROUPS; group++) {
        printf("\n### %c%s\n\n%s", cw_group_name[group][0] - 'a' + 'A', cw_group_name[group] + 1, input_head);
        for (int id = 0; id < CW_PARAMS; id++) {
            if ((int)cw_param_info[id].group == group) {
                document_inputs(&cw_param_info[id]);
            }
        }
    }
    printf("\n## Figures of each setup\n\nOutputs, with the same prefixes.\n\n"
           "| symbol | name | shown range | meaning |\n|---|---|---|---|\n");
    for (int id = 0; id < CW_METERS; id++) {
        const struct cw_param_info *info = &cw_meter_info[id];
        printf("| `%s` | %s | %.10g to %.10g %s | %s |\n", info->symbol, info->name, info->minimum, info->maximum,
               cw_unit_symbol(info->unit), info->meaning);
    }
    document_statuses();
}

int main(int argc, char **argv)
{
    const char *what = argc > 1 ? argv[1] : "";
    int minor, micro;
    setlocale(LC_ALL, "C");
    for (int i = 2; i < argc; i++) {
        if (!is_plain_name(argv[i])) {
            fprintf(stderr, "generate: %s: a preset's file name may hold letters, digits, '-', '_' and '.' only\n",
                    argv[i]);
            return 2;
        }
    }
    if (strcmp(what, "manifest") == 0) {
        print_manifest(argc - 2, argv + 2);
    } else if (strcmp(what, "plugin") == 0 && argc == 2) {
        print_plugin();
    } else if (strcmp(what, "parameters") == 0 && argc == 2) {
        print_parameters();
    } else if (strcmp(what, "version") == 0 && argc == 3 && lv2_version(argv[2], &minor, &micro)) {
        printf("%d %d\n", minor, micro);
    } else {
        fprintf(stderr,
                "usage: generate manifest [PRESET.ttl ...] | plugin | parameters | version MAJOR.MINOR.MICRO\n");
        return 2;
    }
    return fflush(stdout) == 0 && !ferror(stdout) ? 0 : 1;
}
