/* cli/sheets.h - sheets to hang up, asked and written one after the other. */
#ifndef CLI_SHEETS_H
#define CLI_SHEETS_H

#include "cli.h"

/* One for the sources, or where none is named one for each machinery space and each vital space.
 * Returns the exit status, with the error told. */
int print_sheets(options *o, const coaming_ship *ship);

#endif
