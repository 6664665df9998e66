/* Numbers, lengths, places along the ship, outlines and gaps. */
#include <math.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

#include "base/text.h"
#include "read/values.h"
#include "ship/geometry.h"

/* Whatever lies farther than this from the origin is no part of a ship, and keeps sums finite. */
static const double FARTHEST = 1e6; /* m */

static bool parse(const char *text, double *value, char why[VALUES_WHY])
{
    switch (number_parse(text, value)) {
    case NUMBER_OK:
        return true;
    case NUMBER_INFINITE:
        snprintf(why, VALUES_WHY, "'%s' is too large for a number", BRIEF(text));
        return false;
    default:
        if (strchr(text, ',') && !text[strspn(text, "0123456789,.+- ")])
            snprintf(why, VALUES_WHY,
                     "'%s' is not a number: a comma may part decimals or thousands; write a point "
                     "before "
                     "decimals and nothing between thousands",
                     BRIEF(text));
        else
            snprintf(why, VALUES_WHY, "'%s' is not a number", BRIEF(text));
        return false;
    }
}

/* unit: of the bounds, where the text may be in another; else "". */
static bool in_bounds(double value, const values_bounds *b, const char *text, const char *unit,
                      char why[VALUES_WHY])
{
    char low[NUMBER_TEXT], high[NUMBER_TEXT], must[120];
    if (value >= b->least && value <= b->greatest && !(b->above && value <= b->least))
        return true;
    number_format(b->least, low);
    const char *most = isfinite(b->greatest) ? number_format(b->greatest, high) : NULL;
    if (b->above)
        snprintf(must, sizeof must, "be greater than %s%s%s", low, most ? " and no more than " : "",
                 most ? most : "");
    else if (most)
        snprintf(must, sizeof must, "lie in %s to %s", low, most);
    else
        snprintf(must, sizeof must, "be %s%s or more", low, unit);
    snprintf(why, VALUES_WHY, "'%s' is out of bounds; it must %s%s", BRIEF(text), must,
             b->above || most ? unit : "");
    return false;
}

values_bounds values_field_bounds(const ship_field *f)
{
    return (values_bounds){f->least, f->greatest, f->above};
}

bool values_number(const char *text, const values_bounds *bounds, double *value,
                   char why[VALUES_WHY])
{
    return parse(text, value, why) && in_bounds(*value, bounds, text, "", why);
}

static bool near_enough(double metres, char why[VALUES_WHY])
{
    if (fabs(metres) <= FARTHEST)
        return true;
    snprintf(why, VALUES_WHY, "is more than %g m off", FARTHEST);
    return false;
}

bool values_length(const values_reading *how, const char *text, const values_bounds *bounds,
                   values_place *place, char why[VALUES_WHY])
{
    *place = (values_place){0};
    if (!parse(text, &place->number, why))
        return false;
    place->metres = place->number * how->unit;
    return near_enough(place->metres, why) &&
           in_bounds(place->metres, bounds, text, how->unit == 1 ? "" : " m", why);
}

/* The words after "fr": a frame, then perhaps + or - a length. */
static bool parse_frame(const char *text, values_place *place)
{
    char number[64];
    size_t length = *text ? 1 + strcspn(text + 1, "+-") : 0;
    if (!length || length >= sizeof number)
        return false;
    memcpy(number, text, length);
    number[length] = '\0';
    return number_parse(number, &place->number) == NUMBER_OK &&
           (!text[length] || number_parse(text + length, &place->offset) == NUMBER_OK);
}

bool values_along(const values_reading *how, const char *text, values_place *place,
                  char why[VALUES_WHY])
{
    static const values_bounds any = {-INFINITY, INFINITY, false};
    text += strspn(text, " \t\r\n");
    if (how->exact ? strncmp(text, "fr", 2) : strncasecmp(text, "fr", 2))
        return values_length(how, text, &any, place, why);
    *place = (values_place){.frame = true};
    if (!how->framed) {
        snprintf(why, VALUES_WHY, "'%s' is a frame, but %s", BRIEF(text), how->unframed);
        return false;
    }
    if (!parse_frame(text + 2, place)) {
        snprintf(why, VALUES_WHY, "'%s' is not a frame; write fr20 or fr20+0.25", BRIEF(text));
        return false;
    }
    place->metres = how->zero + place->number * how->spacing + place->offset * how->unit;
    return near_enough(place->metres, why);
}

bool next_word(const char **text, const char *ends, char *word, size_t size)
{
    *text += strspn(*text, " \t\r\n");
    size_t length = 0;
    for (const char *t = *text;
         t[length] && !strchr(" \t\r\n", t[length]) && !strchr(ends, t[length]);)
        length++;
    if (length == 0)
        return false;
    *text += length;
    if (length >= size) { /* no id and no number is so long: let it be refused as what it is not */
        snprintf(word, size, "%.20s...", *text - length);
        return true;
    }
    memcpy(word, *text - length, length);
    word[length] = '\0';
    return true;
}

bool values_two(const char *text, char one[WORD_SIZE], char two[WORD_SIZE], char why[VALUES_WHY])
{
    const char *rest = text;
    if (next_word(&rest, "", one, WORD_SIZE) && next_word(&rest, "", two, WORD_SIZE) &&
        !rest[strspn(rest, " \t\r\n")])
        return true;
    snprintf(why, VALUES_WHY, "'%s' is not two numbers with a blank between", BRIEF(text));
    return false;
}

bool values_rise(double low, double high, const char *text, char why[VALUES_WHY])
{
    if (low < high)
        return true;
    snprintf(why, VALUES_WHY, "'%s': the first number must be less than the second", BRIEF(text));
    return false;
}

/* Outlines. */

corner_result values_corner(const char **text, char x[WORD_SIZE], char y[WORD_SIZE],
                            char why[VALUES_WHY])
{
    if (!next_word(text, ",", x, WORD_SIZE)) {
        if (!**text) /* else a comma without an x */
            return CORNER_NONE;
        snprintf(why, VALUES_WHY, "an outline is a list of corners; write x,y x,y x,y");
        return CORNER_FAULTY;
    }
    *text += strspn(*text, " \t\r\n");
    if (**text == ',' && (++*text, next_word(text, ",", y, WORD_SIZE)))
        return CORNER_READ;
    snprintf(why, VALUES_WHY, "corner '%s' is not followed by a comma and a y; write x,y x,y x,y",
             BRIEF(x));
    return CORNER_FAULTY;
}

bool values_corner_count(size_t corners, char why[VALUES_WHY])
{
    if (corners >= 3 && corners <= CORNERS_MAX)
        return true;
    snprintf(why, VALUES_WHY, "an outline of %zu corners%s; it needs 3 to %d", corners,
             corners > CORNERS_MAX ? " or more" : "", CORNERS_MAX);
    return false;
}

bool values_outline(const double *xy, size_t corners, char why[VALUES_WHY])
{
    if (outline_simple(xy, corners))
        return true;
    snprintf(why, VALUES_WHY, "an outline crosses or touches itself");
    return false;
}

/* Gaps. */

const char values_between_gaps[] = " \t\r\n;";

static bool gap_number(const char *text, size_t length, double *value)
{
    char number[64];
    if (length == 0 || length >= sizeof number)
        return false;
    memcpy(number, text, length);
    number[length] = '\0';
    return number_parse(number, value) == NUMBER_OK;
}

/* The word after the second colon; NULL: there is none, which is well. */
static bool read_seen(const char *word, sight *seen, char why[VALUES_WHY])
{
    char all[VALUES_LIST];
    int known = word ? values_word(word, sight_words) : (int)SEEN_NOTHING;
    if (known < 0) {
        snprintf(why, VALUES_WHY, "what was seen at a gap '%s' is not known; it must be %s",
                 BRIEF(word), values_list(all, sight_words));
        return false;
    }
    *seen = (sight)known;
    return true;
}

bool values_gap(const char *text, size_t length, gap *g, char why[VALUES_WHY])
{
    char word[256];
    length = length < sizeof word ? length : sizeof word - 1;
    memcpy(word, text, length);
    word[length] = '\0';
    size_t first = strcspn(word, ":");
    const char *second = word[first] ? word + first + 1 : "";
    size_t long_by = strcspn(second, ":");
    if (!gap_number(word, first, &g->at) || !gap_number(second, long_by, &g->length)) {
        snprintf(why, VALUES_WHY,
                 "gap '%s' must be AT:LENGTH or AT:LENGTH:SEEN, lengths with a point, such as "
                 "2.10:0.18",
                 BRIEF(word));
        return false;
    }
    if (!read_seen(second[long_by] ? second + long_by + 1 : NULL, &g->seen, why))
        return false;
    if (g->at >= 0 && g->length > 0 && g->at <= 1e6 && g->length <= 1e6)
        return true;
    snprintf(why, VALUES_WHY, "gap '%s' must begin at 0 or more and be longer than 0", BRIEF(word));
    return false;
}

bool values_measure(const char *text, value_measure *m, char why[VALUES_WHY])
{
    static const char *const units[] = {"mm", "in"};
    static const double metres[] = {0.001, 0.0254};
    size_t length = strlen(text);
    *m = (value_measure){0, 0};
    for (int i = 0; i < 2; i++) {
        if (length > 2 && !strcmp(text + length - 2, units[i])) {
            m->unit = metres[i];
            length -= 2;
            break;
        }
    }
    while (length > 0 && text[length - 1] == ' ')
        length--;
    bool good = gap_number(text, length, &m->number) && m->number >= 0;
    if (!good)
        snprintf(why, VALUES_WHY, "'%s' must be a length of 0 or more with a point, such as 3.5mm",
                 BRIEF(text));
    if (!good || m->number * (m->unit > 0 ? m->unit : 1) < MEASURED_MAX)
        return good;
    snprintf(why, VALUES_WHY, "'%s' is more than can be%s", BRIEF(text),
             m->unit > 0 ? "" : "; a number alone is in the unit of the ship's file: write 3.5mm");
    return false;
}
