/* SPDX-License-Identifier: ISC */
/* Makes the presets from their recipes, whose form presets/recipes.txt tells at its top:
 *
 *   presets RECIPES DIRECTORY      writes DIRECTORY/NAME.ttl for each recipe
 *
 * Exit status 0; 1 where something is wrong, with the line. */
#include <ctype.h>
#include <locale.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "plugin_uri.h"
#include "setup.h"

enum {
    RECIPES_MAX = 128,
    BANKS_MAX = 16,
    NAME_SIZE = 64,
    LABEL_SIZE = 128,
    COMMENT_SIZE = 600,
    LINE_SIZE = 400,
    CALLED_SIZE = 96
};

struct bank {
    char name[NAME_SIZE], label[LABEL_SIZE];
};

struct recipe {
    char name[NAME_SIZE], label[LABEL_SIZE], comment[COMMENT_SIZE];
    const struct bank *bank;
    struct cw_controls controls;
    bool sets[CW_SETUPS], sets_global[CW_GLOBALS];
    const struct recipe *like[CW_SETUPS]; /* whose side it begins as; NULL for none */
    char called[CW_SETUPS][CALLED_SIZE];  /* what the window calls the side */
};

static struct {
    const char *path;
    int line;
    struct bank bank[BANKS_MAX];
    struct recipe recipe[RECIPES_MAX];
    int banks, recipes;
} book;

/* A mistake in the recipes ends it: nothing is written before all of them are read. */
static _Noreturn void wrong(const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    fprintf(stderr, "presets: %s:%d: ", book.path, book.line);
    vfprintf(stderr, format, arguments);
    fputc('\n', stderr);
    va_end(arguments);
    exit(1);
}

static void copy(char *to, size_t size, const char *from)
{
    if ((size_t)snprintf(to, size, "%s", from) >= size) {
        wrong("expected at most %zu bytes, found '%s'", size - 1, from);
    }
    if (strpbrk(to, "\"\\")) {
        wrong("expected text without \" and \\, found '%s'", from);
    }
}

/* Names are used as file names and in URIs, unescaped. */
static void copy_name(char *to, const char *from)
{
    copy(to, NAME_SIZE, from);
    if (!*to || to[strspn(to, "abcdefghijklmnopqrstuvwxyz0123456789-")]) {
        wrong("expected a name of small letters, digits and '-', found '%s'", from);
    }
}

static const struct recipe *find_recipe(const char *name, int count)
{
    for (int i = 0; i < count; i++) {
        if (strcmp(book.recipe[i].name, name) == 0) {
            return &book.recipe[i];
        }
    }
    return NULL;
}

static const struct bank *find_bank(const char *name)
{
    for (int i = 0; i < book.banks; i++) {
        if (strcmp(book.bank[i].name, name) == 0) {
            return &book.bank[i];
        }
    }
    return NULL;
}

/* "NAME = VALUE" cut in two; NULL where there is no '='. */
static char *cut_value(char *text)
{
    char *equals = strstr(text, " = ");
    if (!equals) {
        return NULL;
    }
    *equals = '\0';
    return equals + 3;
}

static double read_value(const struct cw_param_info *info, const char *text)
{
    for (size_t i = 0; i < info->point_count; i++) {
        if (strcasecmp(info->points[i].label, text) == 0) {
            return info->points[i].value;
        }
    }
    if (info->point_count) {
        wrong("%s: expected a word of its list, found '%s'", info->symbol, text);
    }
    if ((info->flags & CW_TOGGLE) && (strcmp(text, "on") == 0 || strcmp(text, "off") == 0)) {
        return text[1] == 'n';
    }
    char *end;
    double value = strtod(text, &end);
    if (end == text || *end || cw_param_clean(info, value, -1) != value) {
        wrong("%s: expected a value from %g to %g, found '%s'", info->symbol, info->minimum, info->maximum, text);
    }
    return value;
}

static void read_bank(struct recipe *recipe, char *text)
{
    char *label = cut_value(text);
    if (label) {
        if (book.banks == BANKS_MAX) {
            wrong("expected at most %d banks", BANKS_MAX);
        }
        struct bank *bank = &book.bank[book.banks++];
        copy_name(bank->name, text);
        copy(bank->label, sizeof bank->label, label);
    } else if (!recipe || !(recipe->bank = find_bank(text))) {
        wrong("expected one of the banks, found '%s'", text);
    }
}

static void read_side(struct recipe *recipe, enum cw_which which, char *text)
{
    recipe->sets[which] = true;
    if (strncmp(text, "like ", 5) == 0) {
        const struct recipe *other = find_recipe(text + 5, book.recipes - 1);
        enum cw_which from = which == CW_REC ? CW_REC : CW_A;
        if (!other || !other->sets[from]) {
            wrong("expected a preset above that sets %s, found '%s'", cw_setup_name[from], text + 5);
        }
        recipe->controls.setup[which] = other->controls.setup[from];
        recipe->like[which] = other;
        return;
    }
    if (strncmp(text, "name ", 5) == 0) {
        copy(recipe->called[which], sizeof recipe->called[which], text + 5);
        return;
    }
    const char *value = cut_value(text);
    int id = value ? cw_param_find(text) : -1;
    if (id < 0) {
        wrong("expected 'like NAME', 'name TEXT' or 'SYMBOL = VALUE', found '%s'", text);
    }
    recipe->controls.setup[which].value[id] = read_value(&cw_param_info[id], value);
}

static void read_global(struct recipe *recipe, char *text)
{
    const char *value = cut_value(text);
    struct cw_place place = cw_place_find(text);
    if (!value || !place.found || !place.global) {
        wrong("expected 'SYMBOL = VALUE' of a global parameter, found '%s'", text);
    }
    recipe->controls.global[place.index] = read_value(&cw_global_info[place.index], value);
    recipe->sets_global[place.index] = true;
}

static struct recipe *begin_recipe(const char *name)
{
    if (book.recipes == RECIPES_MAX || find_recipe(name, book.recipes)) {
        wrong("expected at most %d presets, each once, found '%s'", RECIPES_MAX, name);
    }
    struct recipe *recipe = &book.recipe[book.recipes++];
    copy_name(recipe->name, name);
    cw_controls_defaults(&recipe->controls);
    return recipe;
}

static void go_on(struct recipe *recipe, const char *text)
{
    size_t length = strlen(recipe->comment);
    copy(recipe->comment + length, sizeof recipe->comment - length, text);
}

static void read_line(char *line)
{
    struct recipe *recipe = book.recipes ? &book.recipe[book.recipes - 1] : NULL;
    char *rest = strchr(line, ' ');
    if (!rest || (!recipe && strncmp(line, "bank ", 5) != 0 && strncmp(line, "preset ", 7) != 0)) {
        wrong("expected a bank or a preset, found '%s'", line);
    }
    if (isspace((unsigned char)*line)) {
        go_on(recipe, line + strspn(line, " ") - 1);
        return;
    }
    *rest++ = '\0';
    if (strcmp(line, "preset") == 0) {
        begin_recipe(rest);
    } else if (strcmp(line, "bank") == 0) {
        read_bank(recipe, rest);
    } else if (strcmp(line, "label") == 0) {
        copy(recipe->label, sizeof recipe->label, rest);
    } else if (strcmp(line, "comment") == 0) {
        copy(recipe->comment, sizeof recipe->comment, rest);
    } else if (strcmp(line, "all") == 0) {
        read_global(recipe, rest);
    } else {
        int which = 0;
        while (which < CW_SETUPS && strncmp(cw_setup_prefix[which], line, strlen(cw_setup_prefix[which]) - 1) != 0) {
            which++;
        }
        if (which == CW_SETUPS || strlen(line) + 1 != strlen(cw_setup_prefix[which])) {
            wrong("expected bank, preset, label, comment, rec, a, b or all, found '%s'", line);
        }
        read_side(recipe, (enum cw_which)which, rest);
    }
}

/* What a side is called: as it says; else, the only one, as the preset; else as what it is like. */
static void name_sides(struct recipe *recipe)
{
    const bool only = recipe->sets[CW_REC] + recipe->sets[CW_A] + recipe->sets[CW_B] == 1;
    for (int which = 0; which < CW_SETUPS; which++) {
        const struct recipe *like = recipe->like[which];
        char *called = recipe->called[which];
        if (recipe->sets[which] && !*called) {
            copy(called, CALLED_SIZE, only ? recipe->label : like ? like->called[which == CW_REC ? CW_REC : CW_A] : "");
        }
        if (recipe->sets[which] && !*called) {
            wrong("%s: expected '%s name TEXT'", recipe->name, cw_setup_name[which]);
        }
    }
    if (recipe->sets[CW_A] && recipe->sets[CW_B] && strcmp(recipe->called[CW_A], recipe->called[CW_B]) == 0) {
        wrong("%s: expected two names, found '%s' twice", recipe->name, recipe->called[CW_A]);
    }
}

static void read_recipes(void)
{
    FILE *file = fopen(book.path, "r");
    char line[LINE_SIZE];
    if (!file) {
        wrong("cannot be opened");
    }
    while (fgets(line, sizeof line, file)) {
        book.line++;
        line[strcspn(line, "\n")] = '\0';
        if (*line && *line != '#') {
            read_line(line);
        }
    }
    fclose(file);
    for (int i = 0; i < book.recipes; i++) {
        if (!*book.recipe[i].label || !book.recipe[i].bank || !*book.recipe[i].comment) {
            wrong("%s: expected a label, a bank and a comment", book.recipe[i].name);
        }
        name_sides(&book.recipe[i]);
    }
}

static void write_port(FILE *stream, bool *first, const char *prefix, const char *symbol, double value)
{
    fprintf(stream, "%s\n    [ lv2:symbol \"%s%s\" ; pset:value %.9g ]", *first ? " ;\n    lv2:port" : " ,", prefix,
            symbol, value);
    *first = false;
}

/* The names, as the plugin's state has them: choosing the preset names what is heard. */
static const char *const name_key[CW_SETUPS] = {"name_recorded", "name_a", "name_b"}; /* workshop/session_text.h */

static void write_names(FILE *stream, const struct recipe *recipe)
{
    bool first = true;
    for (int which = 0; which < CW_SETUPS; which++) {
        if (recipe->sets[which]) {
            fprintf(stream, "%s\n        <" CW_PLUGIN_URI "#%s> \"%s\"", first ? " ;\n    state:state [" : " ;",
                    name_key[which], recipe->called[which]);
            first = false;
        }
    }
    fprintf(stream, "\n    ]");
}

static void write_recipe(FILE *stream, const struct recipe *recipe)
{
    bool first = true;
    fprintf(stream,
            "# SPDX-License-Identifier: ISC\n"
            "# Made by `make presets` from presets/recipes.txt: do not edit.\n"
            "@prefix lv2:  <http://lv2plug.in/ns/lv2core#> .\n"
            "@prefix pset: <http://lv2plug.in/ns/ext/presets#> .\n"
            "@prefix rdfs: <http://www.w3.org/2000/01/rdf-schema#> .\n"
            "@prefix state: <http://lv2plug.in/ns/ext/state#> .\n\n"
            "<>\n    a pset:Preset ;\n    lv2:appliesTo <" CW_PLUGIN_URI "> ;\n    pset:bank <" CW_PLUGIN_URI
            "#bank-%s> ;\n    rdfs:label \"%s\" ;\n    rdfs:comment \"%s\"",
            recipe->bank->name, recipe->label, recipe->comment);
    for (int id = 0; id < CW_GLOBALS; id++) {
        if (recipe->sets_global[id]) {
            write_port(stream, &first, "", cw_global_info[id].symbol, recipe->controls.global[id]);
        }
    }
    for (int which = 0; which < CW_SETUPS; which++) {
        for (int id = 0; recipe->sets[which] && id < CW_PARAMS; id++) {
            write_port(stream, &first, cw_setup_prefix[which], cw_param_info[id].symbol,
                       recipe->controls.setup[which].value[id]);
        }
    }
    write_names(stream, recipe);
    fprintf(stream, " .\n\n<" CW_PLUGIN_URI "#bank-%s>\n    a pset:Bank ;\n    rdfs:label \"%s\" .\n",
            recipe->bank->name, recipe->bank->label);
}

static bool save_recipe(const char *directory, const struct recipe *recipe)
{
    char path[1024];
    if ((size_t)snprintf(path, sizeof path, "%s/%s.ttl", directory, recipe->name) >= sizeof path) {
        fprintf(stderr, "presets: %s: the name is too long\n", directory);
        return false;
    }
    FILE *stream = fopen(path, "w");
    if (!stream) {
        perror(path);
        return false;
    }
    write_recipe(stream, recipe);
    bool good = !ferror(stream);
    good = fclose(stream) == 0 && good;
    if (!good) {
        fprintf(stderr, "presets: %s: cannot be written\n", path);
    }
    return good;
}

int main(int argc, char **argv)
{
    setlocale(LC_ALL, "C");
    if (argc != 3) {
        fprintf(stderr, "usage: presets RECIPES DIRECTORY\n");
        return 2;
    }
    book.path = argv[1];
    read_recipes();
    for (int i = 0; i < book.recipes; i++) {
        if (!save_recipe(argv[2], &book.recipe[i])) {
            return 1;
        }
    }
    return 0;
}
