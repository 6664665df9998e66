/* What is laid over the drawing: each question asked of its analysis and put down space by space
 * and link by link, with a few lines of words. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/error.h"
#include "base/text.h"
#include "coaming/present.h"
#include "present/draw/drawing.h"
#include "present/form/style.h"
#include "present/tell/float_words.h"

enum { ITEMS_MOST = 200 };

void overlay_say(drawing *d, bool alarm, const char *text)
{
    overlay *o = &d->over;
    if (MEMORY_ROOM(o->lines, o->line_count, o->line_capacity))
        o->lines[o->line_count++] = (overlay_line){text, alarm};
    else
        d->lost = true;
}

void overlay_item(drawing *d, const char *text)
{
    overlay *o = &d->over;
    if (o->item_count < ITEMS_MOST)
        draw_append(d, &o->items, &o->item_count, &o->item_capacity, text);
    else
        o->items_left_out++;
}

const char *overlay_place(drawing *d, coaming_place place)
{
    char id[SHOWN], name[SHOWN];
    if (place == COAMING_SEA || place == COAMING_WEATHER)
        return coaming_place_id(d->ship, place);
    return draw_format(d, "%s (%s)", shown(id, d->ship->spaces[place].id, 24),
                       shown(name, d->ship->spaces[place].name, 50));
}

/* In one buffer: a ship may have thousands. */
static const char *listed(drawing *d, const int *of, size_t count, bool links)
{
    enum { COLUMNS = 24, ROOM = 4 * COLUMNS + 3 };
    char id[SHOWN], *list = draw_new(d, count * ROOM + 1, 1), *at = list;
    for (size_t i = 0; i < count && list; i++)
        at += snprintf(
            at, ROOM, "%s%s", i ? ", " : "",
            shown(id, links ? d->ship->links[of[i]].id : d->ship->spaces[of[i]].id, COLUMNS));
    return count && list ? list : "none";
}

const char *overlay_listed(drawing *d, const int *spaces, size_t count)
{
    return listed(d, spaces, count, false);
}

const char *overlay_listed_links(drawing *d, const int *links, size_t count)
{
    return listed(d, links, count, true);
}

void overlay_fill_all(drawing *d, const int *spaces, size_t count, space_fill fill)
{
    for (size_t i = 0; i < count; i++)
        d->over.fills[spaces[i]] = (unsigned char)fill;
}

void overlay_fill_source(drawing *d, coaming_place source)
{
    if (source >= 0)
        d->over.fills[source] = FILL_SOURCE;
}

static void say_let_in(drawing *d)
{
    char *words = NULL;
    if (let_in_words(d->ship, d->what->query, &words, NULL) != COAMING_OK)
        d->lost = true;
    else if (words)
        ALARM("%s", words);
    free(words);
}

void overlay_say_level(drawing *d, bool water)
{
    coaming_level level = d->what->query.level;
    if (!water)
        return;
    say_let_in(d);
    if (level.kind == COAMING_LEVEL_EQUILIBRIUM)
        SAY("Water to where she settles with the flooded spaces open to the sea.");
    else if (level.kind == COAMING_LEVEL_FULL)
        SAY("Water to the top of the space it starts in; from outside to the draught.");
    else
        SAY("Water to %.2f m above the baseline.",
            level.kind == COAMING_LEVEL_AT ? level.height : d->ship->draught);
}

/* --- expose --- */

/* Does she not stay afloat, and only because the closure fails? As far as it floods anything. */
static bool sinks_her(const coaming_exposure_row *row)
{
    return !row->afloat && row->exposed_count;
}

static bool better(const coaming_exposure_row *a, const coaming_exposure_row *b)
{
    if (sinks_her(a) != sinks_her(b))
        return sinks_her(a);
    return a->worth != b->worth ? a->worth > b->worth : a->volume > b->volume;
}

/* The rows but the one that is drawn in which she does not stay afloat, in one sentence. */
static coaming_status say_other_losses(drawing *d, coaming_exposure *e, size_t drawn,
                                       coaming_error *error)
{
    const char *words = "";
    for (size_t i = 0; i < coaming_exposure_row_count(e); i++) {
        coaming_exposure_row row;
        coaming_status status = coaming_exposure_row_get(e, i, &row, error);
        if (status != COAMING_OK)
            return status;
        if (i != drawn && !row.afloat)
            words = draw_format(d, "%s%s with %s in %s%s", words, *words ? "," : "",
                                row.hazard == COAMING_WATER ? "water" : "bad air",
                                overlay_place(d, row.source),
                                row.exposed_count ? "" : " (whether it holds or not)");
    }
    if (*words)
        ALARM("SHE DOES NOT STAY AFLOAT either%s; not drawn here.", words);
    return COAMING_OK;
}

/* The row asked for. */
static coaming_status find_row(drawing *d, coaming_exposure *e, size_t *chosen,
                               coaming_error *error)
{
    const coaming_drawing *w = d->what;
    coaming_exposure_row row, best = {.closure = -1};
    size_t count = coaming_exposure_row_count(e);
    bool any = false;
    for (size_t i = 0; i < count; i++) {
        coaming_status status = coaming_exposure_row_get(e, i, &row, error);
        if (status != COAMING_OK)
            return status;
        if ((w->side_given && row.source != w->source) || (any && !better(&row, &best)))
            continue;
        best = row;
        *chosen = i;
        any = true;
    }
    if (!any)
        return error_set(error, COAMING_USAGE, "closure '%s' has no side '%s'",
                         d->ship->links[w->closure].id, coaming_place_id(d->ship, w->source));
    return COAMING_OK;
}

/* Through a deck it goes to the side whose middle lies higher, outside of her up unless to sea. */
static int rise_into(const coaming_ship *ship, const ship_link *l, coaming_place into)
{
    coaming_place from = into == l->a ? l->b : l->a;
    if (l->clear.lies != DECK)
        return 0;
    if (into < 0 || from < 0)
        return (into == COAMING_WEATHER || from == COAMING_SEA) ? 1 : -1;
    const ship_space *to = &ship->spaces[into], *of = &ship->spaces[from];
    return to->top + to->bottom > of->top + of->bottom ? 1 : -1;
}

void overlay_way(drawing *d, int link, coaming_place into)
{
    link_note *n = &d->over.links[link];
    n->enters = true;
    n->into = into;
    n->rise = rise_into(d->ship, &d->ship->links[link], into);
}

static void show_ways(drawing *d, const coaming_exposure_row *row)
{
    for (size_t i = 0; i < row->exposed_count; i++) {
        if (row->by[i] < 0)
            continue;
        overlay_way(d, row->by[i], row->exposed[i]);
        ITEM("%s, by %s", overlay_place(d, row->exposed[i]), BRIEF(d->ship->links[row->by[i]].id));
    }
}

/* How she floats then, but that she is lost, which is said apart, or within all limits. */
static coaming_status say_grade(drawing *d, coaming_exposure *e, const coaming_exposure_row *row,
                                coaming_error *error)
{
    coaming_float at;
    coaming_stability stability;
    if (!row->settled || !row->afloat)
        return COAMING_OK;
    coaming_status status = coaming_exposure_grade(e, &at, &stability, error);
    if (status != COAMING_OK || stability.grade == COAMING_GRADE_WITHIN)
        return status;
    char *words = grade_words(d->ship, &at, &stability);
    if (!words)
        d->lost = true;
    else if (stability.grade >= COAMING_GRADE_NOT_SURVIVING)
        ALARM("Then she %s.", words);
    else
        SAY("Then she %s.", words);
    free(words);
    return COAMING_OK;
}

static void show_row(drawing *d, const coaming_exposure_row *row)
{
    bool water = row->hazard == COAMING_WATER;
    char spaces[SHOWN], volume[SHOWN], people[SHOWN];
    const ship_link *l = &d->ship->links[row->closure];
    overlay_fill_all(d, row->exposed_if_untested_leak, row->exposed_if_untested_leak_count,
                     FILL_MAYBE);
    overlay_fill_all(d, row->exposed, row->exposed_count, water ? FILL_WATER : FILL_AIR);
    overlay_fill_source(d, row->source);
    d->over.links[row->closure].frame = FRAME_RING;
    d->over.ring_means = "the closure that fails";
    d->over.arrow_means = "way in";
    d->over.heading = draw_format(d, "If %s (%s) fails, with %s in %s", l->id, l->name,
                                  water ? "water" : "bad air", overlay_place(d, row->source));
    if (!row->afloat)
        ALARM("SHE DOES NOT STAY AFLOAT in this case%s.",
              row->exposed_count ? "" : ", whether it holds or not");
    overlay_say_level(d, water);
    if (row->exposed_if_untested_leak_count > row->exposed_count)
        SAY("Thinly hatched: what it also reaches if untested closures leak.");
    if (!row->exposed_count)
        SAY("Nothing more %s%s%s.", water ? "floods" : "gets bad air", row->note ? ": " : "",
            coaming_note_text(row->note));
    else
        SAY("%s %s, %s m3, %s:", counted(spaces, (double)row->exposed_count, "space", "spaces"),
            water ? row->exposed_count == 1 ? "floods" : "flood" : "with bad air",
            amount(volume, row->volume), counted(people, row->people, "person", "people"));
    show_ways(d, row);
}

static coaming_status make_expose(drawing *d, coaming_error *error)
{
    coaming_exposure *e = NULL;
    coaming_exposure_row row;
    size_t chosen = 0;
    coaming_status status =
        coaming_exposure_new(d->ship, d->what->query, &d->what->closure, 1, &e, error);
    if (status == COAMING_OK)
        status = find_row(d, e, &chosen, error);
    if (status == COAMING_OK)
        status = coaming_exposure_row_get(e, chosen, &row, error);
    if (status == COAMING_OK)
        show_row(d, &row);
    if (status == COAMING_OK)
        status = say_grade(d, e, &row, error);
    if (status == COAMING_OK)
        status = say_other_losses(d, e, chosen, error);
    coaming_exposure_free(e);
    d->over.caution = coaming_caution_at(d->what->query.level);
    return status;
}

/* --- rank --- */

/* Closures whose failure she does not survive in some scenario: named before anything else. */
static void say_lost(drawing *d, const coaming_ranking *k)
{
    size_t count = 0;
    int *lost = draw_new(d, coaming_ranking_count(k), sizeof *lost);
    for (size_t i = 0; i < coaming_ranking_count(k) && lost; i++)
        if (coaming_ranking_get(k, i)->lost)
            lost[count++] = coaming_ranking_get(k, i)->closure;
    if (count)
        ALARM("She does not stay afloat in some scenario if one of these fails: %s.",
              overlay_listed_links(d, lost, count));
}

static coaming_status make_rank(drawing *d, coaming_error *error)
{
    const coaming_drawing *w = d->what;
    coaming_ranking *k = NULL;
    coaming_status status = coaming_ranking_new(d->ship, w->query, w->measure, &k, error);
    if (status != COAMING_OK)
        return status;
    d->over.heading =
        draw_format(d, "Whose failure would cost most, by %s%s", coaming_measure_word(w->measure),
                    w->measure < COAMING_MEASURE_FREEBOARD ? " in reach" : " lost");
    d->over.badge_means = "rank by cost of failure";
    say_lost(d, k);
    overlay_say_level(d, w->query.hazard[COAMING_WATER]);
    size_t count = coaming_ranking_count(k), top = w->top && w->top < count ? w->top : count;
    for (size_t i = 0; i < top; i++) {
        const coaming_rank *r = coaming_ranking_get(k, i);
        char value[SHOWN];
        if (r->consequence <= 0)
            break;
        d->over.links[r->closure].badge = (int)i + 1;
        ITEM("%zu. %s %s: %s%s%s", i + 1, BRIEF(d->ship->links[r->closure].id),
             BRIEF(d->ship->links[r->closure].name), amount(value, r->consequence),
             *coaming_measure_unit(w->measure) ? " " : "", coaming_measure_unit(w->measure));
    }
    if (!d->over.item_count)
        SAY("No closure loses anything by this measure in the scenarios counted.");
    coaming_ranking_free(k);
    d->over.caution = coaming_caution_at(w->query.level);
    return COAMING_OK;
}

/* --- due --- */

/* Tested by another method only, it was not "never tested". */
static const char *due_tag(drawing *d, const coaming_due_row *r)
{
    if (r->due == COAMING_NO_DATE)
        return d->ship->links[r->closure].last_test ? draw_format(d, "never by %s", r->method)
                                                    : "never tested";
    if (r->late == 0)
        return "today";
    return draw_format(d, r->overdue ? "%d d over" : "in %d d", r->overdue ? r->late : -r->late);
}

static coaming_status make_due(drawing *d, coaming_error *error)
{
    coaming_due *due = NULL;
    coaming_status status = coaming_due_new(d->ship, &due, error);
    int marked = 0;
    if (status != COAMING_OK)
        return status;
    coaming_due_within(due, d->what->within);
    for (size_t i = 0; i < coaming_due_count(due); i++) {
        const coaming_due_row *r = coaming_due_get(due, i);
        link_note *n = &d->over.links[r->closure];
        const char *tag = due_tag(d, r);
        ITEM("%s%s%s: %s", BRIEF(d->ship->links[r->closure].id), strstr(tag, " by ") ? "" : " ",
             strstr(tag, " by ") ? "" : r->method, tag);
        if (n->frame)
            continue; /* of its tests the most overdue stands first */
        n->frame = r->overdue ? FRAME_SQUARE : FRAME_DASHED;
        n->tag = tag;
        marked++;
    }
    size_t over = coaming_due_overdue_count(due), all = coaming_due_count(due);
    d->over.heading = draw_format(d, "Tests that are due within %d days", d->what->within);
    SAY("%zu %s overdue, %zu due after that, at %d %s.", over, over == 1 ? "test" : "tests",
        all - over, marked, marked == 1 ? "closure" : "closures");
    SAY("Intervals are the arrangement's own or assumed; 'coaming due' tells which.");
    coaming_due_free(due);
    d->over.caution = coaming_test_caution();
    return COAMING_OK;
}

static coaming_status ask(drawing *d, coaming_error *error)
{
    switch (d->what->overlay) {
    case COAMING_OVERLAY_EXPOSE:
        return make_expose(d, error);
    case COAMING_OVERLAY_RANK:
        return make_rank(d, error);
    case COAMING_OVERLAY_DUE:
        return make_due(d, error);
    case COAMING_OVERLAY_HOLD:
        return overlay_make_hold(d, error);
    default:
        return COAMING_OK;
    }
}

coaming_status overlay_make(drawing *d, coaming_error *error)
{
    d->over.fills = draw_new(d, d->ship->space_count, sizeof *d->over.fills);
    d->over.links = draw_new(d, d->ship->link_count, sizeof *d->over.links);
    if (d->lost)
        return error_memory(error);
    coaming_status status = ask(d, error);
    overlay *o = &d->over;
    if (o->items_left_out)
        draw_append(d, &o->items, &o->item_count, &o->item_capacity,
                    draw_format(d, "and %zu more", o->items_left_out));
    return status;
}
