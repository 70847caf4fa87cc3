/* SPDX-License-Identifier: ISC */
#include "arguments.h"

#include <stdlib.h>

#include "command.h"
#include "message.h"
#include "quantity.h"
#include "setup.h"

int cw_args_read(const struct cw_usage *usage, int argc, char **argv, cw_option_taker *take, void *request,
                 char **operands, size_t *count)
{
    struct cw_args args;
    cw_args_init(&args, usage, argc, argv);
    for (int id; (id = cw_args_next(&args)) != CW_ARG_END;) {
        if (id == CW_ARG_STOP) {
            return args.status;
        }
        if (id == CW_ARG_OPERAND) {
            operands[(*count)++] = argv[args.next - 1];
        } else if (!take(&args, id, request)) {
            return CW_BAD_USAGE;
        }
    }
    return -1;
}

int cw_args_run(const struct cw_usage *usage, int argc, char **argv, cw_option_taker *take, cw_operands_runner *run,
                void *request)
{
    size_t count = 0;
    char **operands = calloc((size_t)argc + 1, sizeof *operands);
    if (!operands) {
        cw_error_memory();
        return CW_FAILED;
    }
    int status = cw_args_read(usage, argc, argv, take, request, operands, &count);
    status = status < 0 ? run(request, operands, count) : status;
    free(operands);
    return status;
}

bool cw_args_edit(const struct cw_args *args, struct cw_edits *edits, unsigned globals)
{
    char why[CW_WHY_SIZE + 80];
    if (!cw_edits_add(edits, args->value, why, sizeof why)) {
        cw_bad_usage(args->usage, "--%s: %s", args->option->name, why);
        return false;
    }
    const struct cw_edit *edit = &edits->item[edits->count - 1];
    if (edit->global && !(globals & 1u << edit->index)) {
        cw_bad_usage(args->usage, "--%s: %s has no effect in this command", args->option->name,
                     cw_global_info[edit->index].symbol);
        return false;
    }
    return true;
}
