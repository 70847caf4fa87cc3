/* SPDX-License-Identifier: ISC */
/* coilwright diff: what one design changes against another. */
#include <stdio.h>

#include "arguments.h"
#include "candidate.h"
#include "command.h"
#include "difference.h"
#include "message.h"
#include "options.h"
#include "output.h"
#include "seal_file.h"
#include "show.h"

static const struct cw_usage usage = {
    "diff",
    "ONE OTHER",
    "What OTHER changes against ONE: every control that differs, the figures that follow, and whether it\n"
    "is heard. Each is a preset or a seal; a comparison stands for its two sides.",
    NULL,
    0,
    "Controls differ where a host would store another value. One that does nothing in either design is said so.",
};

static bool take_option(struct cw_args *args, int id, void *to)
{
    (void)args;
    (void)id;
    (void)to;
    return false;
}

static int print_both(const struct cw_candidates *designs)
{
    fputs("From: ", stdout);
    cw_print_shown(stdout, designs->item[0].label);
    fputs("\nTo:   ", stdout);
    cw_print_shown(stdout, designs->item[1].label);
    fputs("\n\n", stdout);
    bool good = cw_difference_print(stdout, &designs->item[0].setup, &designs->item[1].setup);
    return good && cw_stdout_finish() ? CW_DONE : CW_FAILED;
}

static int compare(void *nothing, char *const *names, size_t count)
{
    (void)nothing;
    struct cw_candidates designs = {0};
    int status = CW_DONE;
    for (size_t i = 0; i < count && status == CW_DONE; i++) {
        status = cw_design_add(&designs, names[i]) ? CW_DONE : CW_FAILED;
    }
    if (status == CW_DONE && designs.count != 2) {
        status = cw_bad_usage(&usage, "expected two designs, found %zu", designs.count);
    }
    status = status == CW_DONE ? print_both(&designs) : status;
    cw_candidates_free(&designs);
    return status;
}

const struct cw_usage *cw_usage_diff(void) { return &usage; }

int cw_cmd_diff(int argc, char **argv) { return cw_args_run(&usage, argc, argv, take_option, compare, NULL); }
