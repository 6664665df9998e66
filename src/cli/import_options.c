#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "cli.h"

bool parse_plain_number(const char *text, double *number)
{
    char *end;
    size_t length = strspn(text, "+-.0123456789eE");
    if (!length || text[length])
        return false;
    *number = strtod(text, &end);
    return end == text + length && isfinite(*number);
}

static bool take_number(const char *name, const char *value, double *number)
{
    return parse_plain_number(value, number) || refuse(name, value, "a number such as 3.2");
}

/* Numbers with a sign between; false unless there are so many. */
static bool split_numbers(const char *text, char between, double *numbers, int count)
{
    char number[64];
    for (int i = 0; i < count; i++) {
        size_t length = strcspn(text, (char[]){between, '\0'});
        if (length >= sizeof number || (i + 1 < count) != (text[length] == between))
            return false;
        memcpy(number, text, length);
        number[length] = '\0';
        if (!parse_plain_number(number, &numbers[i]))
            return false;
        text += length + 1;
    }
    return true;
}

static bool take_size(options *o, const char *value)
{
    double size[3];
    if (!split_numbers(value, 'x', size, 3))
        return refuse("size", value, "length, beam and depth, such as 58x11.2x6.4");
    o->import.length = size[0];
    o->import.beam = size[1];
    o->import.depth = size[2];
    o->sized = true;
    return true;
}

static bool take_frames(options *o, const char *value)
{
    double frames[2] = {0, 0};
    if (!split_numbers(value, ':', frames, strchr(value, ':') ? 2 : 1))
        return refuse("frames", value, "a spacing, and perhaps x of frame 0, such as 0.6:0");
    o->import.frame_spacing = frames[0];
    o->import.frame_zero = frames[1];
    o->import.framed = true;
    return true;
}

/* One of two words: is it the second? */
static bool take_either(const char *name, const char *value, const char *one, const char *two,
                        const char *right, bool *second)
{
    *second = !strcmp(value, two);
    return *second || !strcmp(value, one) || refuse(name, value, right);
}

bool take_import(options *o, const char *name, const char *value)
{
    coaming_import_options *i = &o->import;
    const struct {
        const char *name, **to;
    } texts[] = {{"spaces", &i->spaces},
                 {"closures", &i->closures},
                 {"passages", &i->passages},
                 {"name", &i->name},
                 {"deck", &o->decks[o->deck_count]},
                 {"map", &o->maps[o->map_count]}};
    for (size_t t = 0; t < sizeof texts / sizeof *texts; t++) {
        if (strcmp(name, texts[t].name))
            continue;
        *texts[t].to = value;
        o->deck_count += !strcmp(name, "deck");
        o->map_count += !strcmp(name, "map");
        return true;
    }
    if (!strcmp(name, "size"))
        return take_size(o, value);
    if (!strcmp(name, "draft"))
        return take_number(name, value, &i->draft);
    if (!strcmp(name, "kg"))
        return take_number(name, value, &i->kg);
    if (!strcmp(name, "frames"))
        return take_frames(o, value);
    if (!strcmp(name, "units"))
        return take_either(name, value, "m", "ft", "m or ft", &i->feet);
    return take_either(name, value, "fore", "aft", "fore or aft", &i->frame_aft);
}
