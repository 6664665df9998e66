/* cli/commands.h - the table of commands; one function and one help text for each. */
#ifndef CLI_COMMANDS_H
#define CLI_COMMANDS_H

#include "cli.h"

extern const command commands[];               /* ends with a NULL name */
const command *command_find(const char *name); /* NULL: there is none */

extern const char help_check[], help_expose[], help_rank[], help_export[], help_float[],
    help_import[];
extern const char help_plan[], help_record[], help_due[], help_adjust[], help_history[],
    help_round[];

extern const char help_air[], help_boundary[], help_casualty[], help_hold[], help_draw[],
    help_report[], help_survival[], help_flood[];

int cmd_check(options *o);
int cmd_expose(options *o);
int cmd_rank(options *o);
int cmd_export(options *o);
int cmd_float(options *o);
int cmd_flood(options *o);
int cmd_plan(options *o);
int cmd_casualty(options *o);
int cmd_hold(options *o);
int cmd_air(options *o);
int cmd_boundary(options *o);
int cmd_draw(options *o);
int cmd_report(options *o);
int cmd_record(options *o);
int cmd_due(options *o);
int cmd_adjust(options *o);
int cmd_history(options *o);
int cmd_round(options *o);
int cmd_import(options *o);
int cmd_survival(options *o);

#endif
