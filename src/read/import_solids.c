#include <math.h>
#include <string.h>
#include <strings.h>

#include "read/import.h"

/* Along, across, upwards; metres. */
enum { ALONG, ACROSS, UPWARDS };
typedef struct {
    double low, high;
} span;

/* Does anything of the solid lie in the hull that it will be loaded into, or above its deck? Lists
 * carry no hull, so that is the box of the ship's size; the loader refuses what lies outside. */
static bool has_place(const coaming_import *m, const span at[3])
{
    const coaming_import_options *o = m->options;
    double length = o->length * m->unit, half = o->beam * m->unit / 2, depth = o->depth * m->unit;
    double least = 1e-9 * (1 + length);
    if (at[UPWARDS].high > depth + least)
        return true;
    return at[ALONG].high > least && at[ALONG].low < length - least &&
           at[ACROSS].high > least - half && at[ACROSS].low < half - least &&
           at[UPWARDS].high > least;
}

static void add_solid(const cell *c, import_solid added, const span at[3])
{
    c->row->has_place = c->row->has_place || has_place(c->m, at);
    import_solid *s = import_new(c->m, 1, sizeof *s);
    if (!s)
        return;
    *s = added;
    *c->row->solids_end = s;
    c->row->solids_end = &s->next;
}

static const char *read_place(const cell *c, bool along, const char *text, double *metres)
{
    static const values_bounds any = {-INFINITY, INFINITY, false};
    return along ? cell_along(c, text, metres) : cell_length(c, text, &any, metres);
}

/* Two places, the lesser first; NULL after telling why not. */
static const char *read_pair(const cell *c, bool along, const char *low, const char *high, span *at)
{
    char why[VALUES_WHY], both[2 * TEXT_BRIEF];
    *at = (span){0, 0};
    const char *one = read_place(c, along, low, &at->low);
    const char *two = read_place(c, along, high, &at->high);
    if (!one || !two)
        return NULL;
    snprintf(both, sizeof both, "%s %s", BRIEF(low), BRIEF(high));
    if (values_rise(at->low, at->high, both, why))
        return import_pair(c->m, one, two);
    row_refuse_value(c->l, c->row, c->name, why);
    return NULL;
}

/* The same of a part such as "12 24". */
static const char *split_pair(const cell *c, bool along, const char *part, span *at)
{
    char low[WORD_SIZE], high[WORD_SIZE], why[VALUES_WHY];
    if (values_two(part, low, high, why))
        return read_pair(c, along, low, high, at);
    row_refuse_value(c->l, c->row, c->name, why);
    return NULL;
}

/* Cuts *text at the next of these signs; NULL at the end. */
static char *next_part(char **text, char sign)
{
    char *part = *text, *end = part ? strchr(part, sign) : NULL;
    if (end)
        *end = '\0';
    *text = end ? end + 1 : NULL;
    return part;
}

static void read_box(const cell *c, char *text)
{
    char *part[5], *rest = text;
    int parts = 0;
    while (parts < 5 && (part[parts] = next_part(&rest, '/')))
        parts++;
    bool marked = false;
    if (parts == 4) {
        char word[WORD_SIZE] = "";
        const char *at = part[3];
        marked = next_word(&at, "", word, sizeof word) && !strcasecmp(word, LIST_DERIVED) &&
                 text_is_blank(at);
    }
    if (parts != 3 && !marked) {
        row_refuse(c->l, c->row,
                   "%s: a box is three pairs with a slash between, such as 12 24/-5.6 5.6/0.9 4.2, "
                   "and after them perhaps /derived",
                   c->name);
        return;
    }
    span at[3];
    const char *x = split_pair(c, true, part[0], &at[ALONG]);
    const char *y = split_pair(c, false, part[1], &at[ACROSS]);
    const char *z = split_pair(c, false, part[2], &at[UPWARDS]);
    if (x && y && z)
        add_solid(c, (import_solid){.x = x, .y = y, .z = z, .derived = marked}, at);
}

/* An outline, corner by corner. */
typedef struct {
    double *xy; /* metres, for looking whether it crosses itself */
    char *text;
    size_t corners, used, size;
} outline;

static bool add_corner(const cell *c, outline *o, const char *x, const char *y)
{
    const char *one = read_place(c, true, x, &o->xy[2 * o->corners]);
    const char *two = read_place(c, false, y, &o->xy[2 * o->corners + 1]);
    if (!one || !two)
        return false;
    int more =
        snprintf(o->text + o->used, o->size - o->used, "%s%s,%s", o->corners ? " " : "", one, two);
    if (more < 0 || (size_t)more >= o->size - o->used)
        return false; /* cannot be: there is room for the longest numbers */
    o->used += (size_t)more;
    o->corners++;
    return true;
}

/* Stops at one corner more than there may be. */
static bool read_corners(const cell *c, outline *o, const char *text)
{
    char x[WORD_SIZE], y[WORD_SIZE], why[VALUES_WHY];
    corner_result result = CORNER_READ;
    while (o->corners <= CORNERS_MAX && !(result = values_corner(&text, x, y, why)))
        if (!add_corner(c, o, x, y))
            return false;
    if (result != CORNER_FAULTY && values_corner_count(o->corners, why))
        return true;
    row_refuse(c->l, c->row, "%s: %s", c->name, why);
    return false;
}

static span extent(const outline *o, size_t axis)
{
    span s = {INFINITY, -INFINITY};
    for (size_t i = 0; i < o->corners; i++)
        s = (span){fmin(s.low, o->xy[2 * i + axis]), fmax(s.high, o->xy[2 * i + axis])};
    return s;
}

static void read_prism(const cell *c, char *text)
{
    char *z = next_part(&text, '/'), why[VALUES_WHY];
    if (!text || strchr(text, '/')) {
        row_refuse(c->l, c->row,
                   "%s: a prism is two heights, a slash and its corners, such as "
                   "0.9 4.2/24,-5.6 30,-4 30,4 24,5.6",
                   c->name);
        return;
    }
    /* a place is at most "fr", two numbers and a sign */
    const size_t most = CORNERS_MAX + 1, room = most * (4 * NUMBER_TEXT);
    outline o = {memory_new(2 * most, sizeof *o.xy), memory_new(room, 1), 0, 0, room};
    if (!o.xy || !o.text)
        c->m->memory_lost = true;
    span at[3];
    const char *heights = split_pair(c, false, z, &at[UPWARDS]);
    if (o.xy && o.text && read_corners(c, &o, text) && heights) {
        at[ALONG] = extent(&o, 0);
        at[ACROSS] = extent(&o, 1);
        if (values_outline(o.xy, o.corners, why))
            add_solid(c, (import_solid){.z = heights, .outline = import_text(c->m, o.text)}, at);
        else
            row_refuse(c->l, c->row, "%s: %s", c->name, why);
    }
    memory_free(o.xy);
    memory_free(o.text);
}

/* Takes a cell apart at its semicolons. */
static void read_cell(cell c, int field, void (*read)(const cell *c, char *text))
{
    const char *value = c.row->value[field];
    if (!value)
        return;
    c.name = field_heading(c.l->kind, field);
    char *copy = import_new(c.m, strlen(value) + 1, 1);
    if (!copy)
        return;
    memcpy(copy, value, strlen(value) + 1);
    for (char *part; (part = next_part(&copy, ';'));)
        if (!text_is_blank(part))
            read(&c, part);
}

/* x0 to z1: one box. */
static void read_six(cell c)
{
    int given = 0;
    const char *pair[3];
    span along[3];
    for (int f = SPACE_X0; f <= SPACE_Z1; f++)
        given += row_says(c.row, f);
    if (!given)
        return;
    if (given < 6) {
        row_refuse(c.l, c.row, "x0, x1, y0, y1, z0, z1 are given in part only");
        return;
    }
    static const char *const names[] = {"x0 x1", "y0 y1", "z0 z1"};
    for (int i = 0; i < 3; i++) {
        const char *const *at = &c.row->value[SPACE_X0 + 2 * i];
        c.name = names[i];
        pair[i] = at[0] && at[1] ? read_pair(&c, i == 0, at[0], at[1], &along[i]) : NULL;
    }
    if (pair[0] && pair[1] && pair[2])
        add_solid(&c, (import_solid){.x = pair[0], .y = pair[1], .z = pair[2]}, along);
}

void import_solids(coaming_import *m, const import_list *l, import_row *row)
{
    cell c = {m, l, row, NULL};
    read_six(c);
    read_cell(c, SPACE_BOXES, read_box);
    read_cell(c, SPACE_PRISMS, read_prism);
    if (row->solids && !row->has_place && !row->bad)
        row_refuse(l, row, "it lies wholly outside the hull, which is the box of the ship's size");
}
