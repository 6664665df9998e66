#include "ship/lists.h"

#define HEADING(code, heading) heading,
const char *const space_columns[] = {SPACE_COLUMNS(HEADING)};
const char *const link_columns[] = {CLOSURE_COLUMNS(HEADING)};
#undef HEADING

const char LIST_NEVER[] = "never";
const char LIST_DERIVED[] = "derived";
