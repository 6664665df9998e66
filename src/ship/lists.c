#include "ship/lists.h"

#include "coaming/list.h"

#define HEADING(code, heading) heading,
const char *const space_columns[] = {SPACE_COLUMNS(HEADING)};
const char *const link_columns[] = {CLOSURE_COLUMNS(HEADING)};
const char *const pump_columns[] = {PUMP_COLUMNS(HEADING)};
const char *const fan_columns[] = {FAN_COLUMNS(HEADING)};
#undef HEADING

const char LIST_NEVER[] = "never";
const char LIST_DERIVED[] = "derived";

const char *coaming_list_word(coaming_list list)
{
    static const char *const words[] = {"spaces", "closures", "passages", "pumps", "fans", "tests"};
    return words[list];
}
