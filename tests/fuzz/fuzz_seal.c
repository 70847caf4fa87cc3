/* SPDX-License-Identifier: ISC */
/* A seal: any text; and one that was written, with bytes changed or a line exchanged. What is read is within the
 * ranges of the controls and reads back the same; only the text that was written holds. */
#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>

#include "acceptance.h"
#include "coil_limits.h"
#include "day.h"
#include "fuzz.h"
#include "revision.h"
#include "seal.h"
#include "setup.h"

static char base[CW_SEAL_TEXT];
static size_t base_length;

int LLVMFuzzerInitialize(int *argc, char ***argv)
{
    struct cw_seal seal = {.program = "0.3.0",
                           .title = "Order 22",
                           .revision = "A",
                           .status = "RELEASED",
                           .date = "2026-11-26",
                           .because = "-",
                           .decided = "-",
                           .before = "-"};
    (void)argc;
    (void)argv;
    cw_setup_defaults(&seal.setup);
    for (int i = 0; i < CW_BENCH_READINGS; i++) {
        seal.limit[i] = (struct cw_limits){.low = 1.0 + i, .high = 2.0 + i};
    }
    cw_seal_figures(&seal.setup, seal.figure);
    base_length = cw_seal_print(&seal, base);
    return 0;
}

static void change_bytes(struct fuzz_bytes *bytes, char *text, size_t length)
{
    while (bytes->left >= 3) {
        size_t at = fuzz_word(bytes);
        text[at % length] = (char)fuzz_byte(bytes);
    }
}

/* Another line for one of its lines. \return the length */
static size_t exchange_line(struct fuzz_bytes *bytes, char text[CW_SEAL_TEXT])
{
    unsigned line = fuzz_byte(bytes);
    const char *from = base;
    for (unsigned i = 0; i < line && strchr(from, '\n'); i++) {
        from = strchr(from, '\n') + 1;
    }
    const char *lf = strchr(from, '\n'), *rest = lf ? lf : base + base_length;
    size_t before = (size_t)(from - base), after = base_length - (size_t)(rest - base);
    size_t room = CW_SEAL_TEXT - before - after, put = bytes->left < room ? bytes->left : room;
    memcpy(text, base, before);
    if (put) {
        memcpy(text + before, bytes->at, put);
    }
    memcpy(text + before + put, rest, after);
    return before + put + after;
}

/* Parameters as a host stores them: to a float's digits. */
static void same_setup(const struct cw_setup *a, const struct cw_setup *b)
{
    for (int i = 0; i < CW_PARAMS; i++) {
        FUZZ_REQUIRE(fabs(a->value[i] - b->value[i]) <= 1e-6 * fabs(a->value[i]));
    }
}

static void look_at(struct cw_seal *seal)
{
    static char text[CW_SEAL_TEXT];
    static struct cw_seal again;
    struct cw_seal_fault fault;
    for (int i = 0; i < CW_PARAMS; i++) {
        const struct cw_param_info *info = &cw_param_info[i];
        FUZZ_REQUIRE(seal->setup.value[i] == cw_param_clean(info, seal->setup.value[i], NAN));
    }
    FUZZ_REQUIRE(*seal->title && cw_date_is(seal->date) && cw_revision_is(seal->revision));
    size_t length = cw_seal_print(seal, text);
    FUZZ_REQUIRE(length < sizeof text && cw_seal_read(text, length, &again, &fault));
    FUZZ_REQUIRE(again.holds && strcmp(again.title, seal->title) == 0 && strcmp(again.because, seal->because) == 0);
    FUZZ_REQUIRE(again.journal_count == seal->journal_count && strcmp(again.journal_head, seal->journal_head) == 0);
    same_setup(&seal->setup, &again.setup);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static char text[CW_SEAL_TEXT];
    static struct cw_seal seal;
    struct cw_seal_fault fault;
    struct fuzz_bytes bytes = {data, size};
    unsigned mode = fuzz_byte(&bytes) % 3;
    size_t length = mode == 0 ? bytes.left : base_length;
    if (mode == 0) {
        memcpy(text, bytes.at, length);
    } else if (mode == 1) {
        memcpy(text, base, base_length);
        change_bytes(&bytes, text, length);
    } else {
        length = exchange_line(&bytes, text);
    }
    if (!cw_seal_read(text, length, &seal, &fault)) {
        FUZZ_REQUIRE(fault.line > 0 && *fault.why);
        return 0;
    }
    /* What may follow, the line of its journal, is beside the seal. */
    bool as_written = length >= base_length && memcmp(text, base, base_length) == 0;
    FUZZ_REQUIRE(mode == 0 || seal.holds == as_written);
    look_at(&seal);
    return 0;
}
