/* SPDX-License-Identifier: ISC */
/* The state of a session as a hostile host hands it back: any of its properties, of any type, any size and any bytes.
 * What is kept of it can stand there, is saved and restored the same, can be judged by the window, and what is played
 * then, of one input in four by its first byte, is finite. */
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include <lv2/atom/atom.h>
#include <lv2/core/lv2.h>
#include <lv2/state/state.h>
#include <lv2/urid/urid.h>

#include "fuzz.h"
#include "instance.h"
#include "learn.h"
#include "learned_bytes.h"
#include "loudness.h"
#include "plugin_uri.h"
#include "seal_mark.h"
#include "session_text.h"
#include "setup.h"

enum { KEYS = CW_TEXTS + 2, FORMAT = CW_TEXTS, LEARNED, FRAMES = 64, PARTS = CW_LEARN_ENOUGH + 4, URIDS = 32 };
enum { LEARNED_SIZE = 16 + 16 * CW_LOUDNESS_BANDS + 4 * CW_LOUDNESS_BANDS * PARTS };

/* What a host keeps of a session, by property. */
struct session {
    struct {
        const void *value; /* NULL where it is not there */
        size_t size;
        LV2_URID type;
    } property[KEYS];
};

static LV2_URID map_uri(LV2_URID_Map_Handle unused, const char *uri)
{
    static char known[URIDS][128];
    static size_t length[URIDS]; /* they begin alike: most differ in length */
    const size_t asked = strlen(uri);
    LV2_URID i = 0;
    (void)unused;
    while (length[i] > 0 && (length[i] != asked || memcmp(known[i], uri, asked) != 0)) {
        i++;
        FUZZ_REQUIRE(i < URIDS);
    }
    FUZZ_REQUIRE(asked > 0 && asked < sizeof known[i]);
    memcpy(known[i], uri, asked);
    length[i] = asked;
    return i + 1;
}

static LV2_URID key_urid[KEYS], type_urid[4];
static uint8_t learned_base[LEARNED_SIZE];
static struct player {
    LV2_Handle handle;
    const LV2_State_Interface *state;
    const struct cw_instance_interface *words;
    float control[CW_PORTS], in[FRAMES], out[FRAMES];
} first, second;

static int key_of(LV2_URID urid)
{
    for (int key = 0; key < KEYS; key++) {
        if (key_urid[key] == urid) {
            return key;
        }
    }
    return -1;
}

static const void *retrieve(LV2_State_Handle handle, uint32_t urid, size_t *size, uint32_t *type, uint32_t *flags)
{
    const struct session *session = handle;
    const int key = key_of(urid);
    FUZZ_REQUIRE(key >= 0);
    *size = session->property[key].size;
    *type = session->property[key].type;
    *flags = LV2_STATE_IS_POD;
    return session->property[key].value;
}

/* A copy of its own, which the sanitizer fences in. */
static const void *copy_of(const void *value, size_t size)
{
    void *copy = malloc(size ? size : 1);
    FUZZ_REQUIRE(copy);
    if (size) {
        memcpy(copy, value, size);
    }
    return copy;
}

static void put(struct session *session, int key, LV2_URID type, const void *value, size_t size)
{
    free((void *)(uintptr_t)session->property[key].value);
    session->property[key].value = copy_of(value, size);
    session->property[key].size = size;
    session->property[key].type = type;
}

static LV2_State_Status store(LV2_State_Handle handle, uint32_t urid, const void *value, size_t size, uint32_t type,
                              uint32_t flags)
{
    struct session *session = handle;
    const int key = key_of(urid);
    FUZZ_REQUIRE(key >= 0 && !session->property[key].value && flags & LV2_STATE_IS_POD);
    put(session, key, type, value, size);
    return LV2_STATE_SUCCESS;
}

static void forget(struct session *session)
{
    for (int key = 0; key < KEYS; key++) {
        free((void *)(uintptr_t)session->property[key].value);
    }
    memset(session, 0, sizeof *session);
}

static void name_keys(void)
{
    static const char *const type[] = {LV2_ATOM__String, LV2_ATOM__Int, LV2_ATOM__Chunk, LV2_ATOM__Path};
    for (int key = 0; key < KEYS; key++) {
        char uri[128] = CW_PLUGIN_URI "#";
        strcat(uri, key == FORMAT    ? "state_format"
                    : key == LEARNED ? "learned"
                                     : cw_session_text_key((enum cw_session_text)key));
        key_urid[key] = map_uri(NULL, uri);
    }
    for (size_t i = 0; i < sizeof type / sizeof type[0]; i++) {
        type_urid[i] = map_uri(NULL, type[i]);
    }
}

static void make_learned(void)
{
    static struct cw_learned learned;
    learned.count = learned.at = PARTS;
    for (int band = 0; band < CW_LOUDNESS_BANDS; band++) {
        for (int part = 0; part < PARTS; part++) {
            learned.power[band][part] = 1e-4f / (float)(1 + band);
        }
    }
    FUZZ_REQUIRE(cw_learned_valid(&learned) && cw_learned_enough(&learned));
    FUZZ_REQUIRE(cw_learned_to_bytes(&learned, (uint8_t[CW_LEARNED_BYTES]){0}) == LEARNED_SIZE);
    cw_learned_to_bytes(&learned, learned_base);
}

static void start(struct player *player)
{
    static LV2_URID_Map map = {NULL, map_uri};
    static const LV2_Feature feature = {LV2_URID__map, &map};
    static const LV2_Feature *const features[] = {&feature, NULL};
    const LV2_Descriptor *plugin = lv2_descriptor(0);
    player->handle = plugin->instantiate(plugin, 48000.0, "", features);
    FUZZ_REQUIRE(player->handle);
    player->state = plugin->extension_data(LV2_STATE__interface);
    player->words = plugin->extension_data(CW_INSTANCE_URI);
    for (uint32_t i = 0; i < CW_PORTS; i++) {
        player->control[i] = i >= CW_PORT_GLOBAL && i < CW_PORT_PARAM ? (float)cw_global_info[i - CW_PORT_GLOBAL].preset
                             : i >= CW_PORT_PARAM && i < CW_PORT_METER
                                 ? (float)cw_param_info[(i - CW_PORT_PARAM) % CW_PARAMS].preset
                                 : 0.0f;
        plugin->connect_port(player->handle, i, &player->control[i]);
    }
    player->control[cw_port_of_global(CW_G_LEVEL_MATCH)] = 1.0f;
    player->control[cw_port_of_param(CW_A, CW_P_TONE)] = 2.0f;
    plugin->connect_port(player->handle, CW_PORT_IN, player->in);
    plugin->connect_port(player->handle, CW_PORT_OUT, player->out);
    plugin->connect_port(player->handle, CW_PORT_NOTIFY, NULL);
    plugin->activate(player->handle);
}

int LLVMFuzzerInitialize(int *argc, char ***argv)
{
    (void)argc;
    (void)argv;
    name_keys();
    make_learned();
    start(&first);
    start(&second);
    for (int i = 0; i < FRAMES; i++) {
        first.in[i] = second.in[i] = (float)((i * 7919) % 2001 - 1000) * 1e-3f;
    }
    return 0;
}

/* What was learned, with bytes of it changed, or its end cut off. */
static void put_learned(struct session *session, struct fuzz_bytes *bytes, unsigned how)
{
    uint8_t learned[LEARNED_SIZE];
    size_t size = how & 1 ? fuzz_word(bytes) % (LEARNED_SIZE + 1) : LEARNED_SIZE;
    memcpy(learned, learned_base, sizeof learned);
    for (unsigned changes = fuzz_byte(bytes) % 32; changes > 0; changes--) {
        unsigned at = fuzz_word(bytes);
        learned[at % LEARNED_SIZE] = fuzz_byte(bytes);
    }
    put(session, LEARNED, type_urid[2], learned, size);
}

/* One property after another: which, how, then its size and bytes. */
static void take_session(struct session *session, struct fuzz_bytes *bytes)
{
    while (bytes->left >= 2) {
        unsigned key = fuzz_byte(bytes) % (KEYS + 1), how = fuzz_byte(bytes);
        if (key == KEYS) {
            put_learned(session, bytes, how);
            continue;
        }
        size_t said = fuzz_word(bytes), size = said < bytes->left ? said : bytes->left;
        put(session, (int)key, type_urid[how % 4], bytes->at, size);
        if (how & 4 && size > 0) { /* most texts end as they should */
            ((char *)(uintptr_t)session->property[key].value)[size - 1] = '\0';
        }
        bytes->at += size;
        bytes->left -= size;
    }
}

static void look_at_words(const struct player *player)
{
    struct cw_setup setup;
    struct cw_seal_mark mark;
    char text[CW_TEXT_SIZE];
    cw_setup_defaults(&setup);
    for (int i = 0; i < CW_TEXTS; i++) {
        const enum cw_session_text which = (enum cw_session_text)i;
        player->words->text(player->handle, which, text);
        FUZZ_REQUIRE(cw_session_text_valid(which, text, strlen(text) + 1));
        if (i >= CW_TEXT_SEAL_RECORDED) {
            const enum cw_seal_standing standing = cw_seal_mark_judge(text, &setup, &mark);
            FUZZ_REQUIRE((standing == CW_SEAL_NONE) == (*text == '\0'));
            FUZZ_REQUIRE((*mark.fingerprint != '\0') == (standing == CW_SEAL_HOLDS || standing == CW_SEAL_CHANGED));
        }
    }
}

/* \param blocks 8 and more are longer than a change of the controls takes to be heard */
static void play(struct player *player, int blocks)
{
    for (int i = 1; i < blocks; i++) {
        lv2_descriptor(0)->run(player->handle, FRAMES);
    }
    lv2_descriptor(0)->run(player->handle, FRAMES);
    for (int i = 0; i < FRAMES; i++) {
        FUZZ_REQUIRE(fabsf(player->out[i]) < 1e3f);
    }
    for (int i = CW_PORT_METER; i < CW_PORTS; i++) {
        FUZZ_REQUIRE(isfinite(player->control[i]));
    }
}

static void restore(struct player *player, struct session *session, LV2_State_Status *status)
{
    *status = player->state->restore(player->handle, retrieve, session, 0, NULL);
    FUZZ_REQUIRE(*status == LV2_STATE_SUCCESS || *status == LV2_STATE_ERR_BAD_TYPE);
}

static void save(struct player *player, struct session *session)
{
    FUZZ_REQUIRE(player->state->save(player->handle, store, session, 0, NULL) == LV2_STATE_SUCCESS);
}

/* What is saved is taken whole by another instance, which saves the same. */
static void comes_back(struct session *saved)
{
    LV2_State_Status status;
    struct session again = {0};
    restore(&second, saved, &status);
    FUZZ_REQUIRE(status == LV2_STATE_SUCCESS);
    save(&second, &again);
    for (int key = 0; key < KEYS; key++) {
        FUZZ_REQUIRE(!saved->property[key].value == !again.property[key].value);
        FUZZ_REQUIRE(saved->property[key].size == again.property[key].size);
        FUZZ_REQUIRE(!again.property[key].value ||
                     memcmp(saved->property[key].value, again.property[key].value, again.property[key].size) == 0);
    }
    forget(&again);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct session empty = {0}, session = {0}, saved = {0};
    struct fuzz_bytes bytes = {data, size};
    LV2_State_Status status;
    put(&empty, FORMAT, type_urid[1], &(int32_t){1}, sizeof(int32_t));
    restore(&first, &empty, &status);
    FUZZ_REQUIRE(status == LV2_STATE_SUCCESS);
    const bool is_played = fuzz_byte(&bytes) % 4 == 0;
    take_session(&session, &bytes);
    restore(&first, &session, &status);
    look_at_words(&first);
    save(&first, &saved);
    comes_back(&saved);
    if (is_played) {
        play(&first, saved.property[LEARNED].value ? 8 : 1);
    }
    forget(&saved);
    forget(&session);
    forget(&empty);
    return 0;
}
