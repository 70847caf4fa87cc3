/* SPDX-License-Identifier: ISC */
#include "preset_text.h"

#include <stdbool.h>

#include "paper.h"
#include "plugin_uri.h"
#include "session_text.h"
#include "utf8.h"

const char cw_preset_prefixes[] = "@prefix lv2: <http://lv2plug.in/ns/lv2core#> .\n"
                                  "@prefix pset: <http://lv2plug.in/ns/ext/presets#> .\n"
                                  "@prefix rdfs: <http://www.w3.org/2000/01/rdf-schema#> .\n"
                                  "@prefix state: <http://lv2plug.in/ns/ext/state#> .\n\n";

/* A Turtle string: quotes and controls escaped, what is not UTF-8 shown as '?'. */
static void put_string(struct cw_paper *paper, const char *text)
{
    cw_paper_put(paper, "\"", 1);
    for (const unsigned char *c = (const unsigned char *)text; *c;) {
        size_t length = cw_utf8_length((const char *)c);
        if (length == 0) {
            cw_paper_put(paper, "?", 1);
            c++;
        } else if (*c == '"' || *c == '\\') {
            cw_paper_print(paper, "\\%c", *c++);
        } else if (*c == '\n' || *c == '\t') {
            cw_paper_put(paper, *c++ == '\n' ? "\\n" : "\\t", 2);
        } else if (*c < 0x20 || *c == 0x7f) {
            cw_paper_print(paper, "\\u%04X", *c++);
        } else {
            cw_paper_put(paper, (const char *)c, length);
            c += length;
        }
    }
    cw_paper_put(paper, "\"", 1);
}

static void put_setup(struct cw_paper *paper, enum cw_which which, const struct cw_setup *setup, bool *first)
{
    for (int i = 0; i < CW_PARAMS; i++) {
        cw_paper_print(paper, "%s [\n\t\tlv2:symbol \"%s%s\" ;\n\t\tpset:value %.9g\n\t]", *first ? "\tlv2:port" : " ,",
                       cw_setup_prefix[which], cw_param_info[i].symbol, setup->value[i]);
        *first = false;
    }
}

static void put_word(struct cw_paper *paper, enum cw_session_text which, const char *text, bool *first)
{
    if (text) {
        cw_paper_print(paper, "%s<" CW_PLUGIN_URI "#%s> ", *first ? " ;\n\tstate:state [\n\t\t" : " ;\n\t\t",
                       cw_session_text_key(which));
        put_string(paper, text);
        *first = false;
    }
}

const char *cw_preset_known_key(enum cw_which which)
{
    static const char *const key[CW_SETUPS] = {
        [CW_REC] = CW_PLUGIN_URI "#rec_known", [CW_A] = CW_PLUGIN_URI "#a_known", [CW_B] = CW_PLUGIN_URI "#b_known"};
    return key[which];
}

static void put_known(struct cw_paper *paper, const struct cw_preset_words *words)
{
    for (int which = 0; which < CW_SETUPS; which++) {
        char text[CW_KNOWN_TEXT];
        if (words->known[which] && words->known[which]->given) {
            cw_paper_print(paper, " ;\n\t<%s> ", cw_preset_known_key((enum cw_which)which));
            put_string(paper, cw_known_print(words->known[which], text));
        }
    }
}

static void put_words(struct cw_paper *paper, const struct cw_preset_words *words)
{
    bool first = true;
    for (int which = 0; which < CW_SETUPS; which++) {
        put_word(paper, (enum cw_session_text)(CW_TEXT_RECORDED + which), words->name[which], &first);
        put_word(paper, (enum cw_session_text)(CW_TEXT_SEAL_RECORDED + which), words->seal[which], &first);
    }
    cw_paper_print(paper, "%s", first ? "" : "\n\t]");
}

size_t cw_preset_text(const char *label, const char *comment, const struct cw_setup *const setups[CW_SETUPS],
                      const struct cw_preset_words *words, char *text, size_t size)
{
    struct cw_paper paper = {.text = text, .size = size};
    cw_paper_print(&paper, "%s<>\n\ta pset:Preset ;\n\tlv2:appliesTo <" CW_PLUGIN_URI "> ;\n\trdfs:label ",
                   cw_preset_prefixes);
    put_string(&paper, label);
    if (comment && *comment) {
        cw_paper_print(&paper, " ;\n\trdfs:comment ");
        put_string(&paper, comment);
    }
    cw_paper_print(&paper, " ;\n");
    bool first = true;
    for (int which = 0; which < CW_SETUPS; which++) {
        if (setups[which]) {
            put_setup(&paper, (enum cw_which)which, setups[which], &first);
        }
    }
    if (words) {
        put_known(&paper, words);
        put_words(&paper, words);
    }
    cw_paper_print(&paper, " .\n");
    return paper.length;
}
