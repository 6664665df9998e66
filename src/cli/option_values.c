/* What is given to each option, taken apart and judged. */
#include <math.h>
#include <string.h>

#include "options.h"

static void *place(options *o, const option_row *r)
{
    return (char *)o + r->to;
}

bool take_flag(options *o, const option_row *r, const char *value)
{
    (void)value;
    *(bool *)place(o, r) = true;
    return true;
}

/* Kept as it is, for the library to judge or for the ship to be asked. */
bool take_text(options *o, const option_row *r, const char *value)
{
    *(const char **)place(o, r) = value;
    return true;
}

bool take_texts(options *o, const option_row *r, const char *value)
{
    text_list *list = place(o, r);
    list->texts[list->count++] = value;
    return true;
}

bool take_path(options *o, const option_row *r, const char *value)
{
    return *value ? take_text(o, r, value) : refuse(r->name, value, r->right);
}

bool take_day(options *o, const option_row *r, const char *value)
{
    return coaming_date_parse(value, place(o, r)) ||
           refuse(r->name, value, "a date such as 2026-09-30, of the years 1900 to 2999");
}

bool take_whole(options *o, const option_row *r, const char *value)
{
    return parse_whole(value, r->least, r->most, place(o, r)) || refuse(r->name, value, r->right);
}

bool take_number(options *o, const option_row *r, const char *value)
{
    double *number = place(o, r);
    if (!parse_number(value, r->ending ? r->ending : "", number) || *number < r->lower ||
        *number > r->upper)
        return refuse(r->name, value, r->right);
    if (r->parts > 0)
        *number /= r->parts;
    return true;
}

bool take_time(options *o, const option_row *r, const char *value)
{
    double *seconds = place(o, r);
    return (parse_time(value, seconds) && *seconds >= r->lower && *seconds <= r->upper) ||
           refuse(r->name, value, r->right);
}

/* The code of a word; -1: told that it is none. */
static int code_of(const options *o, const option_row *r, const char *value)
{
    char joined[160];
    int code = word_find(r->by.words, o->command, r->by.from, value, strlen(value));
    if (code < 0) {
        words_joined(r->by.words, o->command, r->by.from, joined, sizeof joined);
        refuse(r->name, value, r->right ? r->right : joined);
    }
    return code;
}

/* Enumerations are unsigned int to the compiler, or int, of the same size: options.c sees to it. */
bool take_word(options *o, const option_row *r, const char *value)
{
    int code = code_of(o, r, value);
    if (code >= 0)
        memcpy(place(o, r), &code, sizeof code);
    return code >= 0;
}

/* One of two words: is it the second? */
bool take_either(options *o, const option_row *r, const char *value)
{
    int code = code_of(o, r, value);
    if (code >= 0)
        *(bool *)place(o, r) = code > 0;
    return code >= 0;
}

bool take_format(options *o, const option_row *r, const char *value)
{
    char offered[80];
    int code = word_find(r->by.words, o->command, 0, value, strlen(value));
    if (code >= 0) {
        o->format = format_at(o->command, code);
        return true;
    }
    words_joined(r->by.words, o->command, 0, offered, sizeof offered);
    complain("--format '%s' is not what 'coaming %s' writes; it must be %s", value,
             o->command->name, offered);
    return false;
}

bool take_hazard(options *o, const option_row *r, const char *value)
{
    int code = code_of(o, r, value);
    for (int h = 0; h < COAMING_HAZARDS && code >= 0; h++)
        o->query.hazard[h] = code == h || code == COAMING_HAZARDS;
    return code >= 0;
}

bool take_level(options *o, const option_row *r, const char *value)
{
    int code = word_find(r->by.words, o->command, 0, value, strlen(value));
    coaming_level *level = &o->query.level;
    if (code >= 0)
        level->kind = level_kind_at(code);
    else if (parse_height(value, &level->height))
        level->kind = COAMING_LEVEL_AT;
    else
        return refuse(r->name, value, r->right);
    return true;
}

/* "failed,untested" */
bool take_standing(options *o, const option_row *r, const char *value)
{
    bool more = strcmp(value, r->by.whole) != 0;
    o->standing = more ? 0 : COAMING_STANDS_ALL;
    for (const char *at = value; more;) {
        size_t length = strcspn(at, ",");
        int standing = word_find(r->by.words, o->command, 0, at, length);
        if (standing < 0 || standing > COAMING_UNTESTED)
            return refuse(r->name, value, r->right);
        o->standing |= COAMING_STANDS(standing);
        more = at[length];
        at += length + 1;
    }
    return true;
}

/* "2/8" */
bool take_share(options *o, const option_row *r, const char *value)
{
    enum { MOST = 1000000 };
    char share[32];
    uint64_t k = 0, n = 0;
    size_t length = strcspn(value, "/");
    if (value[length] != '/' || length >= sizeof share)
        return refuse(r->name, value, r->right);
    memcpy(share, value, length);
    share[length] = '\0';
    if (!parse_whole(value + length + 1, 1, MOST, &n) || !parse_whole(share, 1, n, &k))
        return refuse(r->name, value, r->right);
    o->share = (unsigned)k;
    o->shares = (unsigned)n;
    return true;
}

bool take_size(options *o, const option_row *r, const char *value)
{
    double size[3];
    if (!split_numbers(value, 'x', size, 3))
        return refuse(r->name, value, r->right);
    o->import.length = size[0];
    o->import.beam = size[1];
    o->import.depth = size[2];
    o->sized = true;
    return true;
}

bool take_frames(options *o, const option_row *r, const char *value)
{
    double frames[2] = {0, 0};
    if (!split_numbers(value, ':', frames, strchr(value, ':') ? 2 : 1))
        return refuse(r->name, value, r->right);
    o->import.frame_spacing = frames[0];
    o->import.frame_zero = frames[1];
    o->import.framed = true;
    return true;
}
