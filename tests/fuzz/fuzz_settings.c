/* SPDX-License-Identifier: ISC */
/* Any text as settings that a live page wrote, a mail program broke and somebody pasted: what is read is within the
 * ranges of the controls, and what is written of it reads back the same. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "fuzz.h"
#include "settings_text.h"
#include "setup.h"

static void reads_back(const struct cw_settings *settings)
{
    struct cw_settings again;
    struct cw_settings_fault fault;
    size_t length = cw_settings_text(settings->name, &settings->setup, NULL, 0);
    char *text = malloc(length + 1);
    FUZZ_REQUIRE(text);
    cw_settings_text(settings->name, &settings->setup, text, length + 1);
    FUZZ_REQUIRE(cw_settings_found(text) && cw_settings_read(text, &again, &fault));
    for (int i = 0; i < CW_PARAMS; i++) {
        FUZZ_REQUIRE(fabs(again.setup.value[i] - settings->setup.value[i]) <= 2e-8 * fabs(settings->setup.value[i]));
    }
    free(text);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct cw_settings settings;
    struct cw_settings_fault fault = {0};
    char *text = malloc(size + 1);
    FUZZ_REQUIRE(text);
    if (size) {
        memcpy(text, data, size);
    }
    text[size] = '\0';
    (void)cw_settings_found(text);
    if (cw_settings_read(text, &settings, &fault)) {
        for (int i = 0; i < CW_PARAMS; i++) {
            FUZZ_REQUIRE(settings.setup.value[i] == cw_param_clean(&cw_param_info[i], settings.setup.value[i], NAN));
        }
        FUZZ_REQUIRE(memchr(settings.name, '\0', sizeof settings.name));
        reads_back(&settings);
    } else {
        FUZZ_REQUIRE(*fault.why);
    }
    free(text);
    return 0;
}
