/* Boxes from compartment numbers; coaming/import.h says how. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "read/import.h"

typedef enum { STARBOARD, CENTRE, PORT, SIDES } side;

/* A space with a number, in the unit of the lists. */
typedef struct {
    import_row *row;
    double at;    /* x of its frame */
    double other; /* x of the end that the next compartment or the ship's end makes */
    side side;
    int abreast[SIDES]; /* spaces of its deck and frame */
    int rank;           /* among those of its side, from the centre line */
} numbered;

/* x that grows the way in which a space goes on from its frame: aft from a forward end. */
static double onward(const coaming_import *m, double x)
{
    return m->options->frame_aft ? x : -x;
}

/* By deck, then from the farthest onward; abreast, by number. */
static int by_place(const void *left, const void *right)
{
    const numbered *a = left, *b = right;
    int order = strcmp(a->row->number.deck, b->row->number.deck);
    if (order)
        return order;
    if (a->at != b->at) /* here still onward */
        return a->at > b->at ? -1 : 1;
    long one = a->row->number.side, two = b->row->number.side;
    if (one != two)
        return one < two ? -1 : 1;
    return a->row->line < b->row->line ? -1 : a->row->line > b->row->line;
}

static bool same_deck(const numbered *a, const numbered *b)
{
    return !strcmp(a->row->number.deck, b->row->number.deck);
}

/* How many from the first on are of the same deck and frame. */
static size_t count_abreast(const numbered *list, size_t count)
{
    size_t n = 1;
    while (n < count && same_deck(list, &list[n]) && list[n].at == list->at)
        n++;
    return n;
}

/* Counts each side, once for each number, and ranks the spaces of a side. */
static void rank_abreast(numbered *list, size_t count)
{
    int sides[SIDES] = {0};
    for (size_t i = 0; i < count; i++) {
        bool again = i && list[i].row->number.side == list[i - 1].row->number.side;
        if (!again)
            sides[list[i].side]++;
        list[i].rank = sides[list[i].side] - 1;
    }
    for (size_t i = 0; i < count; i++)
        memcpy(list[i].abreast, sides, sizeof sides);
}

/* The next frame onward, of what lies at the same side or on the centre line. */
static double next_frame(const double next[SIDES], side s, double end)
{
    if (s == CENTRE)
        return fmin(end, fmin(next[STARBOARD], fmin(next[CENTRE], next[PORT])));
    return fmin(end, fmin(next[s], next[CENTRE]));
}

/* Walks each deck from its farthest frame back, with the frames last met of each side. */
static void find_extents(const coaming_import *m, numbered *list, size_t count)
{
    const double end = m->options->frame_aft ? m->options->length : 0; /* onward */
    double next[SIDES] = {INFINITY, INFINITY, INFINITY};
    for (size_t i = 0, n; i < count; i += n) {
        n = count_abreast(list + i, count - i);
        if (i && !same_deck(&list[i - 1], &list[i]))
            next[STARBOARD] = next[CENTRE] = next[PORT] = INFINITY;
        rank_abreast(list + i, n);
        for (size_t j = i; j < i + n; j++)
            list[j].other = next_frame(next, list[j].side, end);
        for (size_t j = i; j < i + n; j++)
            next[list[j].side] = list[j].at;
    }
}

/* To the micrometre, so that what is written can be read by people. */
static double rounded(double length)
{
    return round(length * 1e6) / 1e6;
}

/* From starboard to port. */
static void find_breadth(const coaming_import *m, const numbered *n, double y[2])
{
    const double half = m->options->beam / 2;
    const int *abreast = n->abreast;
    int fuller = abreast[PORT] > abreast[STARBOARD] ? abreast[PORT] : abreast[STARBOARD];
    double strip =
        abreast[CENTRE] ? rounded(half / (2 * fuller + 1)) : 0; /* half of the centre one */
    if (n->side == CENTRE) {
        y[0] = abreast[STARBOARD] ? -strip : -half;
        y[1] = abreast[PORT] ? strip : half;
        return;
    }
    int all = abreast[n->side];
    double inner = rounded(strip + (half - strip) * n->rank / all);
    double outer =
        n->rank + 1 == all ? half : rounded(strip + (half - strip) * (n->rank + 1) / all);
    y[0] = n->side == PORT ? inner : -outer;
    y[1] = n->side == PORT ? outer : -inner;
}

static const coaming_import_deck *deck_of(const coaming_import *m, const char *number)
{
    for (size_t i = 0; i < m->options->deck_count; i++)
        if (!strcmp(m->options->decks[i].number, number))
            return &m->options->decks[i];
    return NULL;
}

/* Top of the spaces of a deck; NaN: nothing above it is given. */
static double top_of(const coaming_import *m, const coaming_import_deck *deck)
{
    double top = deck->z < m->options->depth ? m->options->depth : NAN;
    for (size_t i = 0; i < m->options->deck_count; i++) {
        double z = m->options->decks[i].z;
        if (z > deck->z && !(z >= top))
            top = z;
    }
    return top;
}

/* An end as a frame where frames are written, else as a length. */
static const char *end_text(coaming_import *m, double x, const long *frame)
{
    char text[32];
    if (!frame || m->options->frame_spacing < 0)
        return import_number(m, x);
    snprintf(text, sizeof text, "fr%ld", *frame);
    return import_text(m, text);
}

/* Less than the loader takes for a length of a ship. */
static bool is_nothing(const coaming_import *m, double low, double high)
{
    return (high - low) * m->unit < 1e-3;
}

static const char *along_text(coaming_import *m, const numbered *n)
{
    const coaming_import_options *o = m->options;
    double ends[2] = {n->other, n->at};
    const long own_frame = n->row->number.frame;
    double other_frame = round((n->other - o->frame_zero) / o->frame_spacing);
    long frame = fabs(other_frame) < 1e9 ? (long)other_frame : 0;
    bool at_frame = o->frame_zero + (double)frame * o->frame_spacing == n->other;
    const long *at_frames[2] = {at_frame ? &frame : NULL, &own_frame};
    for (int i = 0; i < 2; i++) { /* not beyond the ends of the ship */
        if (ends[i] <= 0 || ends[i] >= o->length) {
            ends[i] = ends[i] <= 0 ? 0 : o->length;
            at_frames[i] = NULL;
        }
    }
    int low = ends[0] <= ends[1] ? 0 : 1;
    if (is_nothing(m, ends[low], ends[!low]))
        return NULL;
    const char *from = end_text(m, ends[low], at_frames[low]);
    const char *to = end_text(m, ends[!low], at_frames[!low]);
    return from && to ? import_pair(m, from, to) : NULL;
}

static const char *lengths_text(coaming_import *m, double low, double high)
{
    const char *from = import_number(m, low), *to = import_number(m, high);
    return from && to && !is_nothing(m, low, high) ? import_pair(m, from, to) : NULL;
}

static void derive(coaming_import *m, const import_list *l, const numbered *n)
{
    import_row *row = n->row;
    const coaming_import_deck *deck = deck_of(m, row->number.deck);
    const char *number = row->value[SPACE_NUMBER];
    if (!deck) {
        row_refuse(l, row,
                   "deck %s of its number %s is not given, so its box cannot be worked out "
                   "(--deck %s:ID:Z)",
                   row->number.deck, BRIEF(number), row->number.deck);
        return;
    }
    double top = top_of(m, deck), y[2];
    find_breadth(m, n, y);
    const char *along = along_text(m, n), *across = lengths_text(m, y[0], y[1]);
    const char *upwards = isnan(top) ? NULL : lengths_text(m, deck->z, top);
    if (isnan(top))
        row_refuse(l, row, "no deck above deck %s is given, so its box has no top (--deck)",
                   row->number.deck);
    else if (!along || !across || !upwards)
        row_refuse(l, row, "its number %s leaves no room: the box comes to nothing", BRIEF(number));
    import_solid *s = row->bad ? NULL : import_new(m, 1, sizeof *s);
    if (!s)
        return;
    *s = (import_solid){.x = along, .y = across, .z = upwards, .derived = true};
    row->solids = s;
    if (!row->value[SPACE_DECK])
        row->value[SPACE_DECK] = deck->id;
}

/* The row of the same deck, frame and side beside it in the sorted list; NULL: none. */
static const import_row *twin(const numbered *list, size_t count, size_t i)
{
    for (int step = -1; step <= 1; step += 2) {
        size_t j = i + (size_t)step; /* wraps round below 0, which is past the end */
        if (j < count && same_deck(&list[i], &list[j]) && list[i].at == list[j].at &&
            list[i].row->number.side == list[j].row->number.side)
            return list[j].row;
    }
    return NULL;
}

/* Spaces without a box and without a number that could give one. */
static void refuse_unnumbered(const import_list *l, import_row *row)
{
    const char *number = row->value[SPACE_NUMBER];
    if (!number)
        row_refuse(l, row, "it has neither a box nor a number");
    else if (!row->numbered)
        row_refuse(l, row, "it has no box, and its number '%s' is not deck-frame-side-use",
                   BRIEF(number));
    else
        row_refuse(l, row,
                   "its box cannot be worked out from its number %s without the frame spacing "
                   "(--frames)",
                   BRIEF(number));
}

static size_t collect(const coaming_import *m, const import_list *l, numbered *list)
{
    const coaming_import_options *o = m->options;
    size_t count = 0;
    for (size_t i = 0; i < l->count; i++) {
        import_row *row = &l->rows[i];
        if (!row->numbered || !o->framed) {
            if (!row->solids && !row->bad)
                refuse_unnumbered(l, row);
            continue;
        }
        double at = o->frame_zero + (double)row->number.frame * o->frame_spacing;
        long s = row->number.side;
        list[count++] = (numbered){.row = row,
                                   .at = onward(m, at),
                                   .side = s == 0  ? CENTRE
                                           : s % 2 ? STARBOARD
                                                   : PORT};
    }
    return count;
}

void import_numbers(coaming_import *m)
{
    const import_list *l = &m->lists[COAMING_LIST_SPACES];
    numbered *list = memory_new(l->count, sizeof *list);
    if (!list) {
        m->memory_lost = true;
        return;
    }
    size_t count = collect(m, l, list);
    qsort(list, count, sizeof *list, by_place);
    find_extents(m, list, count);
    for (size_t i = 0; i < count; i++) { /* back from onward */
        list[i].at = onward(m, list[i].at);
        list[i].other = onward(m, list[i].other);
    }
    for (size_t i = 0; i < count; i++) {
        import_row *row = list[i].row;
        const import_row *other = twin(list, count, i);
        if (row->bad || row->solids)
            continue;
        if (other)
            row_refuse(l, row, "its number %s is of the same deck, frame and side as line %ld",
                       BRIEF(row->value[SPACE_NUMBER]), other->line);
        else
            derive(m, l, &list[i]);
    }
    memory_free(list);
}
