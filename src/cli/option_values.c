/* What is given to each option, taken apart and judged. */
#include <errno.h>
#include <limits.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "cli.h"

bool refuse(const char *option, const char *value, const char *right)
{
    complain("--%s '%s' is not known; it must be %s", option, value, right);
    return false;
}

static bool parse_height(const char *text, double *height)
{
    char *end;
    size_t digits = strspn(text, "+-.0123456789eE");
    double value = digits ? strtod(text, &end) : NAN;
    if (!digits || end != text + digits || !isfinite(value))
        return false;
    if (!strcmp(end, "ft"))
        value *= 0.3048;
    else if (*end && strcmp(end, "m"))
        return false;
    *height = value;
    return fabs(value) <= 1e6;
}

static bool take_level(options *o, const char *value)
{
    o->level_given = true;
    if (!strcmp(value, "still"))
        o->query.level.kind = COAMING_LEVEL_STILL;
    else if (!strcmp(value, "full"))
        o->query.level.kind = COAMING_LEVEL_FULL;
    else if (!strcmp(value, "equilibrium"))
        o->query.level.kind = COAMING_LEVEL_EQUILIBRIUM;
    else if (parse_height(value, &o->query.level.height))
        o->query.level.kind = COAMING_LEVEL_AT;
    else
        return refuse("level", value, "equilibrium, still, full or a height such as 3.5 or 12ft");
    return true;
}

static bool take_hazard(options *o, const char *value)
{
    bool both = !strcmp(value, "both");
    o->query.hazard[COAMING_WATER] = both || !strcmp(value, "water");
    o->query.hazard[COAMING_AIR] = both || !strcmp(value, "air");
    if (!o->query.hazard[COAMING_WATER] && !o->query.hazard[COAMING_AIR])
        return refuse("hazard", value, "water, air or both");
    return true;
}

static bool take_measure(options *o, const char *value, bool summed)
{
    int count = summed ? COAMING_MEASURE_FREEBOARD : COAMING_MEASURES;
    for (int m = 0; m < count; m++) {
        if (!strcmp(value, coaming_measure_word((coaming_measure)m))) {
            o->measure = (coaming_measure)m;
            return true;
        }
    }
    return refuse("measure", value,
                  summed ? "worth, volume, people or spaces"
                         : "worth, volume, people, spaces, freeboard or gm");
}

static bool take_top(options *o, const char *value)
{
    char *end;
    long top = strtol(value, &end, 10);
    if (end == value || *end || top < 1 || top == LONG_MAX)
        return refuse("top", value, "a whole number of 1 or more");
    o->top = (size_t)top;
    return true;
}

/* The standing that begins a list of words; COAMING_UNTESTED + 1: none. */
static int standing_at(const char *word, size_t length)
{
    static const char *const words[] = {
        [COAMING_PASS] = "passed", [COAMING_FAIL] = "failed", [COAMING_UNTESTED] = "untested"};
    int i = COAMING_PASS;
    while (i <= COAMING_UNTESTED &&
           (strlen(words[i]) != length || strncmp(words[i], word, length) != 0))
        i++;
    return i;
}

/* "failed,untested" */
static bool take_standing(options *o, const char *value)
{
    bool more = strcmp(value, "all") != 0;
    o->standing = more ? 0 : COAMING_STANDS_ALL;
    for (const char *at = value; more;) {
        size_t length = strcspn(at, ",");
        int standing = standing_at(at, length);
        if (standing > COAMING_UNTESTED)
            return refuse("standing", value, "failed, untested or passed, with commas, or all");
        o->standing |= COAMING_STANDS(standing);
        more = at[length];
        at += length + 1;
    }
    return true;
}

static bool take_table(options *o, const char *value)
{
    for (o->table = 0; o->table < COAMING_LISTS; o->table++)
        if (!strcmp(value, coaming_list_word((coaming_list)o->table)))
            return true;
    return refuse("table", value, "spaces, closures, passages or tests");
}

static bool take_day(const char *option, const char *value, coaming_date *date)
{
    return coaming_date_parse(value, date) || refuse(option, value, "a date such as 2026-09-30");
}

static bool take_within(options *o, const char *value)
{
    char *end;
    long days = strtol(value, &end, 10);
    if (end == value || *end || days < 0 || days > 36525)
        return refuse("within", value, "a whole number of days, 0 or more");
    o->within = (int)days;
    return true;
}

static bool take_overlay(options *o, const char *value)
{
    for (int i = COAMING_OVERLAY_NONE + 1; i < COAMING_OVERLAYS; i++) {
        if (!strcmp(value, coaming_overlay_word((coaming_overlay)i))) {
            o->overlay = (coaming_overlay)i;
            return true;
        }
    }
    return refuse("overlay", value, "expose, rank, due or hold");
}

static bool take_width(options *o, const char *value)
{
    return (parse_plain_number(value, &o->width) && o->width >= 80 && o->width <= 2000) ||
           refuse("width", value, "millimetres, 80 to 2000");
}

/* A number of a given greatest value, all of the text. */
static bool parse_whole(const char *text, uint64_t most, uint64_t *value)
{
    char *end;
    if (!*text || text[strspn(text, "0123456789")] || strlen(text) > 20)
        return false;
    errno = 0;
    unsigned long long parsed = strtoull(text, &end, 10);
    *value = parsed;
    return !errno && !*end && parsed <= most;
}

static bool take_share(options *o, const char *value)
{
    char share[32];
    uint64_t k = 0, n = 0;
    size_t length = strcspn(value, "/");
    if (value[length] == '/' && length < sizeof share) {
        memcpy(share, value, length);
        share[length] = '\0';
        if (parse_whole(share, 1000000, &k) && parse_whole(value + length + 1, 1000000, &n) &&
            k >= 1 && k <= n) {
            o->share = (unsigned)k;
            o->shares = (unsigned)n;
            return true;
        }
    }
    return refuse("share", value, "K/N, such as 2/8: the second of eight shares");
}

/* A number with an ending; false where it is none. */
static bool parse_positive(const char *text, const char *ending, double *value)
{
    char *end;
    size_t digits = strspn(text, ".0123456789");
    if (!digits)
        return false;
    *value = strtod(text, &end);
    return end == text + digits && !strcmp(end, ending) && isfinite(*value) && *value > 0;
}

static bool take_risk(options *o, option_set bit, const char *value)
{
    switch (bit) {
    case OPT_SEED:
        return parse_whole(value, UINT64_MAX, &o->seed) ||
               refuse("seed", value, "a whole number, 0 or more");
    case OPT_SAMPLES:
        return (parse_whole(value, COAMING_RISK_SAMPLES_MOST, &o->samples) &&
                o->samples >= COAMING_RISK_SAMPLES_LEAST) ||
               refuse("samples", value, "a whole number, 100 to 16777216");
    case OPT_ACCURACY:
        if (!parse_positive(value, "%", &o->accuracy) || o->accuracy > 100)
            return refuse("within", value, "a share such as 1%, above 0 and up to 100%");
        o->accuracy /= 100;
        return true;
    case OPT_HOURS:
        return parse_positive(value, "", &o->hours) || refuse("hours", value, "a number above 0");
    case OPT_SHARE:
        return take_share(o, value);
    default:
        for (int m = 0; m < COAMING_RISK_METHODS; m++) {
            if (!strcmp(value, coaming_risk_method_word((coaming_risk_method)m))) {
                o->risk_method = (coaming_risk_method)m;
                return true;
            }
        }
        return refuse("risk", value, "auto, exact or sampled");
    }
}

/* Options that are kept as they are, for the library to judge; false: none of those. */
static bool keep(options *o, option_set bit, const char *value)
{
    switch (bit) {
    case OPT_METHOD:
        o->method = value;
        return true;
    case OPT_RESULT:
        o->result = value;
        return true;
    case OPT_GAP:
        o->gaps[o->gap_count++] = value;
        return true;
    case OPT_SET:
        o->set = value;
        return true;
    case OPT_HINGE_PLAY:
        o->hinge_play = value;
        return true;
    case OPT_REPAIR:
        o->repair = value;
        return true;
    case OPT_BY:
        o->by = value;
        return true;
    case OPT_NOTE:
        o->note = value;
        return true;
    case OPT_SHEET:
        o->sheet = value;
        return true;
    case OPT_SHIP:
        o->beside = value;
        return true;
    case OPT_START:
        o->start = value;
        return true;
    case OPT_EXPLAIN:
        o->explain = value;
        return true;
    case OPT_SOURCE:
        o->source = value;
        return true;
    case OPT_CLOSURE:
        o->closure = value;
        return true;
    case OPT_DECK:
        o->drawn[o->drawn_count++] = value;
        return true;
    case OPT_PROTECT:
        o->protect[o->protect_count++] = value;
        return true;
    default:
        return false;
    }
}

/* Options without a value; false: none of those. */
static bool set_flag(options *o, option_set bit)
{
    switch (bit) {
    case OPT_ALL:
        return o->all = true;
    case OPT_SPREAD:
        return o->spread = true;
    case OPT_ALL_BREACHES:
        return o->all_breaches = true;
    case OPT_UNDO:
        return o->undo = true;
    case OPT_AGAIN:
        return o->again = true;
    case OPT_BY_CONSEQUENCE:
        return o->by_consequence = true;
    case OPT_INSIDE:
        return o->inside = true;
    case OPT_MERGE:
        return o->merge = true;
    case OPT_BY_RISK:
        return o->by_risk = true;
    case OPT_PROFILE:
        return o->profile = true;
    case OPT_COMPACT:
        return o->compact = true;
    default:
        return false;
    }
}

bool option_value(options *o, option_set bit, const char *name, const char *value)
{
    if (keep(o, bit, value) || set_flag(o, bit))
        return true;
    if (bit & (OPT_SAMPLING | OPT_SHARE | OPT_HOURS))
        return take_risk(o, bit, value);
    switch (bit) {
    case OPT_OUTPUT:
        o->output = value;
        return *value || refuse("output", value, "the name of a file");
    case OPT_LOG:
        o->logs[o->log_count++] = value;
        return true;
    case OPT_AS_OF:
        return take_day("as-of", value, &o->as_of);
    case OPT_DATE:
        return take_day("date", value, &o->date);
    case OPT_SINCE:
        return take_day("since", value, &o->since);
    case OPT_DATE_FORMAT:
        return coaming_date_order_parse(value, &o->dates) ||
               refuse("date-format", value, "D.M.Y, D/M/Y, M/D/Y or Y-M-D");
    case OPT_WITHIN:
        return take_within(o, value);
    case OPT_FLOODED:
        o->flooded[o->flooded_count++] = value;
        return true;
    case OPT_OVERLAY:
        return take_overlay(o, value);
    case OPT_WIDTH:
        return take_width(o, value);
    case OPT_CONDITION:
        o->condition = value;
        return true;
    case OPT_HAZARD:
        return take_hazard(o, value);
    case OPT_LEVEL:
        return take_level(o, value);
    case OPT_MEASURE:
    case OPT_SUMMED:
        return take_measure(o, value, bit == OPT_SUMMED);
    case OPT_STANDING:
        return take_standing(o, value);
    case OPT_TABLE:
        return take_table(o, value);
    case OPT_IMPORT:
        return take_import(o, name, value);
    default:
        return take_top(o, value);
    }
}
