/* SPDX-License-Identifier: ISC */
#include "command.h"

#include <stdio.h>
#include <string.h>

#include "output.h"
#include "plugin_uri.h"

const struct cw_command cw_commands[] = {
#define CW_COMMAND(name, who, summary) {#name, who, summary, cw_cmd_##name, cw_usage_##name},
#include "commands.def"
#undef CW_COMMAND
    {NULL, NULL, NULL, NULL, NULL},
};

const struct cw_command *cw_command_find(const char *name)
{
    for (const struct cw_command *command = cw_commands; command->name; command++) {
        if (strcmp(command->name, name) == 0) {
            return command;
        }
    }
    return NULL;
}

int cw_commands_print(void)
{
    const char *who = "";
    puts("Usage: coilwright COMMAND [OPTION]... [FILE]...\n"
         "\n"
         "Hear a guitar pickup coil before it is wound.");
    for (const struct cw_command *command = cw_commands; command->name; command++) {
        if (strcmp(who, command->who) != 0) {
            who = command->who;
            printf("\n%s:\n", who);
        }
        printf("  %-11s %s\n", command->name, command->summary);
    }
    puts("\n"
         "coilwright COMMAND --help tells more about a command, coilwright --version the\n"
         "version. Candidates are LV2 presets of " CW_PLUGIN_URI ": a sound saved in\n"
         "a host is an input here. Exit status: 0 done, 1 the work failed, 2 bad usage.");
    return cw_stdout_finish() ? CW_DONE : CW_FAILED;
}
