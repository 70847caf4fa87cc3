/* SPDX-License-Identifier: ISC */
/* Preset files: whatever the bytes, either one complaint or values that are all in range; and what
 * was read survives being written and read again. */
#include <math.h>
#include <string.h>
#include <unistd.h>

#include "candidate.h"
#include "edits.h"
#include "fuzz.h"
#include "input.h"
#include "known.h"
#include "preset_load.h"
#include "preset_save.h"
#include "preset_text.h"
#include "setup.h"

int LLVMFuzzerInitialize(int *argc, char ***argv)
{
    (void)argc;
    (void)argv;
    fuzz_enter_scratch();
    return 0;
}

static void require_clean(const struct cw_param_info *info, double value)
{
    FUZZ_REQUIRE(cw_param_clean(info, value, NAN) == value);
}

static void require_clean_setup(const struct cw_setup *setup)
{
    for (int i = 0; i < CW_PARAMS; i++) {
        require_clean(&cw_param_info[i], setup->value[i]);
    }
}

static void write_and_read_again(const struct cw_file *file)
{
    const struct cw_setup *setups[CW_SETUPS];
    struct cw_preset_words words = {0};
    for (int i = 0; i < CW_SETUPS; i++) {
        setups[i] = &file->controls.setup[i];
        words.known[i] = &file->known[i];
    }
    struct cw_file again;
    FUZZ_REQUIRE(cw_worded_save("again.ttl", file->label, file->comment, setups, &words, true));
    FUZZ_REQUIRE(cw_file_load("again.ttl", &again));
    for (int which = 0; which < CW_SETUPS; which++) {
        char was[CW_KNOWN_TEXT], is[CW_KNOWN_TEXT];
        FUZZ_REQUIRE(strcmp(cw_known_print(&file->known[which], was), cw_known_print(&again.known[which], is)) == 0);
    }
    for (int which = 0; which < CW_SETUPS; which++) {
        for (int i = 0; i < CW_PARAMS; i++) {
            double was = setups[which]->value[i], is = again.controls.setup[which].value[i];
            FUZZ_REQUIRE(fabs(is - was) <= 1e-5 * fabs(was));
        }
    }
    cw_file_free(&again);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    cw_input_forget();
    const char *path = fuzz_file(data, size);
    struct cw_file file;
    if (!cw_file_load(path, &file)) {
        return 0;
    }
    FUZZ_REQUIRE(file.label && *file.label);
    for (int i = 0; i < CW_SETUPS; i++) {
        require_clean_setup(&file.controls.setup[i]);
    }
    for (int i = 0; i < CW_GLOBALS; i++) {
        require_clean(&cw_global_info[i], file.controls.global[i]);
    }
    write_and_read_again(&file);
    cw_file_free(&file);

    struct cw_candidates list = {0};
    struct cw_edits none = {0};
    FUZZ_REQUIRE(cw_candidates_add(&list, path, &none));
    FUZZ_REQUIRE(list.count >= 1 && list.count <= 2);
    cw_candidates_free(&list);
    struct cw_candidate recorded;
    if (cw_recorded_load(path, &none, &recorded)) {
        require_clean_setup(&recorded.setup);
        cw_candidate_free(&recorded);
    }
    return 0;
}
