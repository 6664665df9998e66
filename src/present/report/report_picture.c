#include "present/report/report_picture.h"

#include <math.h>
#include <stdio.h>

#include "base/error.h"
#include "base/memory.h"
#include "coaming/draw.h"
#include "coaming/exposure.h"
#include "present/form/markup.h"

static size_t in_common(const int *a, size_t a_count, const int *b, size_t b_count)
{
    size_t common = 0;
    for (size_t i = 0, k = 0; i < a_count && k < b_count;) { /* both in file order */
        common += a[i] == b[k];
        if (a[i] <= b[k])
            i++;
        else
            k++;
    }
    return common;
}

int picture_deck_at(const coaming_ship *ship, double z)
{
    int found = -1, lowest = -1;
    for (size_t i = 0; i < ship->deck_count; i++) {
        double at = ship->decks[i].z;
        if (at <= z + 0.01 && (found < 0 || at > ship->decks[found].z))
            found = (int)i;
        if (lowest < 0 || at < ship->decks[lowest].z)
            lowest = (int)i;
    }
    return found >= 0 ? found : lowest;
}

static void add_deck(picture *p, int deck)
{
    for (size_t i = 0; i < p->deck_count; i++)
        if (p->decks[i] == deck)
            return;
    if (deck >= 0)
        p->decks[p->deck_count++] = deck;
}

/* From the highest down, as they are drawn. */
static void sort_decks(const coaming_ship *ship, picture *p)
{
    for (size_t i = 1; i < p->deck_count; i++) {
        for (size_t k = i; k > 0; k--) {
            int lower = p->decks[k - 1], higher = p->decks[k];
            if (ship->decks[higher].z <= ship->decks[lower].z)
                break;
            p->decks[k - 1] = higher;
            p->decks[k] = lower;
        }
    }
}

static void choose_decks(const report *r, picture *p, const coaming_exposure_row *row)
{
    const coaming_ship *ship = r->ship;
    add_deck(p, picture_deck_at(ship, ship->links[p->closure].clear.z));
    for (size_t i = 0; i < row->exposed_count; i++)
        if (ship->spaces[row->exposed[i]].solid_count)
            add_deck(p, picture_deck_at(ship, ship->spaces[row->exposed[i]].bottom));
    sort_decks(ship, p);
}

static coaming_status keep_row(const report *r, picture *p, const coaming_exposure_row *row,
                               coaming_error *error)
{
    size_t count = row->exposed_count;
    p->hazard = row->hazard;
    p->source = row->source;
    p->exposed = memory_new(count, sizeof *p->exposed);
    p->by = memory_new(count, sizeof *p->by);
    if (!p->exposed || !p->by)
        return error_memory(error);
    for (size_t i = 0; i < count; i++) {
        p->exposed[i] = row->exposed[i];
        p->by[i] = row->by[i];
    }
    p->exposed_count = count;
    p->perhaps = row->exposed_if_untested_leak_count > count;
    choose_decks(r, p, row);
    return COAMING_OK;
}

/* The rows of one closure and hazard, a row a side. */
typedef struct {
    coaming_exposure *e;
    size_t first;
} sides;

enum { SIDES = 2 };

/* Rows come by closure, then by those hazards that are asked for. */
static sides sides_of(const report *r, size_t index, coaming_hazard hazard)
{
    const bool *asked = r->how->query.hazard;
    size_t hazards = 0, before = 0;
    for (int h = 0; h < COAMING_HAZARDS; h++) {
        hazards += asked[h];
        before += asked[h] && h < (int)hazard;
    }
    return (sides){r->of->exposure, SIDES * (index * hazards + before)};
}

/* That from which just these spaces are exposed, else most of them. */
static coaming_status choose_side(sides s, const int *spaces, size_t count, picture *p,
                                  coaming_error *error)
{
    coaming_exposure_row row;
    size_t most = 0;
    p->row = s.first;
    for (size_t i = s.first; i < s.first + SIDES; i++) {
        coaming_status status = coaming_exposure_row_get(s.e, i, &row, error);
        if (status != COAMING_OK)
            return status;
        size_t common = in_common(row.exposed, row.exposed_count, spaces, count);
        bool same = common == count && row.exposed_count == count;
        if (!p->same && (same || common > most)) {
            p->row = i;
            most = common;
            p->same = same;
        }
    }
    return COAMING_OK;
}

/* Of the sides from which its failure sinks her the one that exposes most. */
static coaming_status choose_sinking(sides s, picture *p, coaming_error *error)
{
    coaming_exposure_row row;
    double most = -1;
    for (size_t i = s.first; i < s.first + SIDES; i++) {
        coaming_status status = coaming_exposure_row_get(s.e, i, &row, error);
        if (status != COAMING_OK)
            return status;
        if (row.afloat || !row.exposed_count || row.worth <= most)
            continue;
        p->row = i;
        most = row.worth;
        p->sinks = true;
    }
    return COAMING_OK;
}

static coaming_status choose(const report *r, size_t index, const int *spaces, size_t count,
                             picture *p, coaming_error *error)
{
    const coaming_rank *rank = coaming_ranking_get(r->now->ranking, index);
    coaming_exposure_row row;
    coaming_status status = COAMING_OK;
    if (rank->lost && r->how->query.hazard[COAMING_WATER])
        status = choose_sinking(sides_of(r, index, COAMING_WATER), p, error);
    if (status == COAMING_OK && !p->sinks)
        status = choose_side(sides_of(r, index, rank->worst_hazard), spaces, count, p, error);
    if (status == COAMING_OK)
        status = coaming_exposure_row_get(r->of->exposure, p->row, &row, error);
    return status == COAMING_OK ? keep_row(r, p, &row, error) : status;
}

coaming_status picture_choose(const report *r, size_t index, const int *spaces, size_t count,
                              picture *p, coaming_error *error)
{
    *p = (picture){.closure = coaming_ranking_get(r->now->ranking, index)->closure};
    p->decks = memory_new(r->ship->deck_count, sizeof *p->decks);
    if (!p->decks)
        return error_memory(error);
    coaming_status status = choose(r, index, spaces, count, p, error);
    if (status != COAMING_OK)
        picture_free(p);
    return status;
}

void picture_free(picture *p)
{
    memory_free(p->exposed);
    memory_free(p->by);
    memory_free(p->decks);
    *p = (picture){0};
}

/* A sheet of paper that has come away from the others still says what it is of. */
static void put_part(const report *r, const picture *p, int part)
{
    char date[COAMING_DATE_TEXT];
    markup_put(
        r->out, "<p class=\"part\"><bdi>%s</bdi>, %s: <bdi>%s</bdi> fails with %s, part %d</p>\n",
        r->ship->name, coaming_date_format(r->ship->as_of, date), r->ship->links[p->closure].id,
        p->hazard == COAMING_WATER ? "water" : "bad air", part);
}

/* Parts of a page each, so that no plan is cut by the end of a sheet of A4. */
coaming_status picture_draw(const report *r, const picture *p, size_t number, coaming_error *error)
{
    enum { VIEWS_MOST = 2, WIDTH = 180 }; /* WIDTH: mm between the margins of A4 */
    coaming_drawing d = coaming_drawing_default();
    coaming_status status = COAMING_OK;
    size_t at = 0;
    char prefix[32];
    size_t spaces = r->ship->space_count;
    d.seen = memory_new(spaces + r->ship->link_count, sizeof *d.seen);
    if (!d.seen)
        return error_memory(error);
    d.seen_links = d.seen + spaces;
    d.overlay = COAMING_OVERLAY_EXPOSE;
    d.query = r->how->query;
    d.outset = r->of->outset;
    d.exposure = r->of->exposure;
    d.row = p->row;
    d.width = WIDTH;
    d.compact = d.embedded = d.bare = true;
    d.prefix = prefix;
    for (int part = 1; status == COAMING_OK && (at < p->deck_count || part == 1); part++) {
        size_t room = part == 1 ? VIEWS_MOST - 1 : VIEWS_MOST;
        d.profile = part == 1;
        d.decks = p->decks + at;
        d.deck_count = p->deck_count - at < room ? p->deck_count - at : room;
        d.plans = d.deck_count > 0;
        at += d.deck_count;
        d.more = at < p->deck_count;
        snprintf(prefix, sizeof prefix, "picture-%zu-%d", number, part);
        markup_put(r->out,
                   "<div class=\"scroll picture\" role=\"region\" tabindex=\"0\" "
                   "aria-label=\"Picture %zu, part %d\">\n",
                   number, part);
        put_part(r, p, part);
        status = coaming_print_drawing(r->out, r->ship, &d, error);
        fputs("</div>\n", r->out);
    }
    memory_free(d.seen);
    return status;
}
