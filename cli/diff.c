/* SPDX-License-Identifier: ISC */
/* coilwright diff: what one design changes against another. */
#include <stdio.h>
#include <stdlib.h>

#include "arguments.h"
#include "candidate.h"
#include "coil_limits.h"
#include "command.h"
#include "difference.h"
#include "message.h"
#include "options.h"
#include "output.h"
#include "seal.h"
#include "seal_file.h"
#include "show.h"

static const struct cw_usage usage = {
    "diff",
    "ONE OTHER",
    "What OTHER changes against ONE: every control that differs, the figures that follow, and whether it\n"
    "is heard; of seals their status and limits too. Each is a preset or a seal; a comparison stands for its two\n"
    "sides. Exit status 1 where a seal was edited.",
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

/* The two, and the seals that they came in: an empty fingerprint is a preset's. */
struct designs {
    struct cw_candidates list;
    struct cw_seal seal[2];
};

static bool is_sealed(const struct cw_seal *seal) { return *seal->fingerprint != '\0'; }

/* What a seal is besides its design. \return false where it does not hold */
static bool print_seal(const char *what, const struct cw_candidate *item, const struct cw_seal *seal)
{
    bool good = !is_sealed(seal) || seal->holds;
    cw_print_quoting(stdout, "%s%s%s%s", what, item->label, is_sealed(seal) ? ", " : "", seal->status);
    fputs(good ? "" : "NOT SEALED: it was edited\n", stdout);
    return good;
}

/* Limits that differ though the designs may not. */
static void print_limits(const struct cw_seal *from, const struct cw_seal *to)
{
    for (int i = 0; i < CW_BENCH_READINGS && is_sealed(from) && is_sealed(to); i++) {
        if (!cw_seal_same_limits(&from->limit[i], &to->limit[i])) {
            printf("Limits of %s: %.4g to %.4g, then %.4g to %.4g %s\n", cw_seal_limit_info[i].words,
                   from->limit[i].low, from->limit[i].high, to->limit[i].low, to->limit[i].high,
                   cw_seal_limit_info[i].unit);
        }
    }
}

static int print_both(const struct designs *designs)
{
    const struct cw_candidate *item = designs->list.item;
    bool from = print_seal("From: ", &item[0], &designs->seal[0]);
    bool to = print_seal("To:   ", &item[1], &designs->seal[1]);
    putchar('\n');
    bool good = cw_difference_print(stdout, &item[0].setup, &item[1].setup);
    print_limits(&designs->seal[0], &designs->seal[1]);
    if (!from || !to) {
        cw_error_at(item[from].source, 0, "expected a seal that holds, found one that was edited");
    }
    return good && cw_stdout_finish() && from && to ? CW_DONE : CW_FAILED;
}

/* A comparison stands for both. */
static int load(struct designs *designs, char *const *names, size_t count)
{
    for (size_t i = 0; i < count && i < 2; i++) {
        if (!cw_design_add(&designs->list, names[i], &designs->seal[i])) {
            return CW_FAILED;
        }
    }
    return designs->list.count == 2 && count <= 2
               ? CW_DONE
               : cw_bad_usage(&usage, "expected two designs, found %zu", count > 2 ? count : designs->list.count);
}

static int compare(void *nothing, char *const *names, size_t count)
{
    (void)nothing;
    struct designs *designs = calloc(1, sizeof *designs);
    if (!designs) {
        cw_error_memory();
        return CW_FAILED;
    }
    int status = load(designs, names, count);
    status = status == CW_DONE ? print_both(designs) : status;
    cw_candidates_free(&designs->list);
    free(designs);
    return status;
}

const struct cw_usage *cw_usage_diff(void) { return &usage; }

int cw_cmd_diff(int argc, char **argv) { return cw_args_run(&usage, argc, argv, take_option, compare, NULL); }
