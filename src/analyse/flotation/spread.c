#include "coaming/spread.h"

#include <math.h>

#include "analyse/flotation/settle.h"
#include "base/error.h"
#include "ship/state.h"

/* --- let in already --- */

void coaming_inflows_free(coaming_inflow *entries)
{
    memory_free(entries);
}

static bool passes(const coaming_ship *ship, int link, coaming_query query)
{
    return link_passes(&ship->links[link], query.condition, COAMING_WATER, true, false);
}

/* At a plane that is given: breadth first from outside. `list` has room for every space. */
static size_t let_in_at(const coaming_ship *ship, coaming_query query, double level, bool *wet,
                        coaming_inflow *list)
{
    size_t count = 0, done = 0;
    bool grown = true; /* by links to the outside */
    while (grown || done < count) {
        int from = grown ? -1 : list[done++].space;
        size_t first = from < 0 ? 0 : (size_t)ship->first[from];
        size_t last = from < 0 ? ship->link_count : (size_t)ship->first[from + 1];
        grown = false;
        for (size_t i = first; i < last; i++) {
            int number = from < 0 ? (int)i : ship->incident[i];
            const ship_link *l = &ship->links[number];
            if (from < 0 && l->a >= 0 && l->b >= 0)
                continue;
            coaming_place to = from < 0 ? (l->a < 0 ? l->b : l->a) : l->a == from ? l->b : l->a;
            if (to < 0 || wet[to] || !(l->clear.z < level) || !passes(ship, number, query) ||
                !space_reached(&ship->spaces[to], COAMING_WATER, level))
                continue;
            wet[to] = true;
            list[count++] = (coaming_inflow){to, number, false};
        }
    }
    return count;
}

static coaming_status let_in_settled(const coaming_ship *ship, coaming_query query,
                                     coaming_inflow *list, size_t *count, coaming_error *error)
{
    settler *t = NULL;
    const settled *s = NULL;
    coaming_status status = settler_new(ship, query.condition, query.loading, &t, error);
    if (status == COAMING_USAGE || status == COAMING_INPUT)
        return COAMING_OK;
    if (status == COAMING_OK)
        status = settler_base(t, COAMING_SEA, false, &s, error);
    for (size_t i = 0; status == COAMING_OK && i < s->count; i++)
        list[(*count)++] = (coaming_inflow){s->spaces[i], s->by[i], false};
    settler_free(t);
    return status;
}

/* Can water come in at all? */
static bool open_to_outside(const coaming_ship *ship, coaming_query query)
{
    for (size_t i = 0; i < ship->link_count; i++)
        if ((ship->links[i].a < 0 || ship->links[i].b < 0) && passes(ship, (int)i, query))
            return query.hazard[COAMING_WATER];
    return false;
}

/* Marks what is wet by design; drops it, from `from` on. False when out of memory. */
static bool sort_out(const coaming_ship *ship, int loading, coaming_inflow *list, size_t from,
                     size_t *count)
{
    bool *open = memory_new(ship->space_count, sizeof *open);
    size_t kept = from;
    if (!open)
        return false;
    mark_open_by_design(ship, loading, open);
    for (size_t i = 0; i < *count; i++) {
        list[i].by_design = list[i].link >= 0 && open[list[i].space];
        if (i >= from && !list[i].by_design)
            list[kept++] = list[i];
    }
    *count = kept;
    memory_free(open);
    return true;
}

coaming_status coaming_let_in(const coaming_ship *ship, coaming_query query,
                              coaming_inflow **entries, size_t *count, coaming_error *error)
{
    *entries = NULL;
    *count = 0;
    if (!open_to_outside(ship, query))
        return COAMING_OK;
    coaming_inflow *list = memory_new(ship->space_count, sizeof *list);
    bool *wet = memory_new(ship->space_count, sizeof *wet);
    if (!list || !wet) {
        memory_free(list);
        memory_free(wet);
        return error_memory(error);
    }
    coaming_status status = COAMING_OK;
    if (query.level.kind == COAMING_LEVEL_EQUILIBRIUM)
        status = let_in_settled(ship, query, list, count, error);
    else
        *count =
            let_in_at(ship, query, level_for(ship, query, COAMING_WATER, COAMING_SEA), wet, list);
    memory_free(wet);
    if (status == COAMING_OK && !sort_out(ship, query.loading, list, 0, count))
        status = error_memory(error);
    if (status != COAMING_OK)
        *count = 0;
    if (*count)
        *entries = list;
    else
        memory_free(list);
    return status;
}

/* --- where water and ship come to rest --- */

static coaming_status grade_rest(coaming_flotation *f, int condition, const settled *s,
                                 coaming_rest *rest, coaming_error *error)
{
    bool *flooded = memory_new(f->ship->space_count, sizeof *flooded);
    if (!flooded)
        return error_memory(error);
    for (size_t i = 0; i < s->count; i++)
        flooded[s->spaces[i]] = true;
    rest->at = s->at;
    coaming_status status = coaming_flotation_grade(f, flooded, &rest->at, condition,
                                                    COAMING_AS_TESTED, &rest->stability, error);
    memory_free(flooded);
    return status;
}

static coaming_status list_rest(const coaming_flotation *f, const settled *s, coaming_rest *rest,
                                coaming_error *error)
{
    rest->count = s->afloat_count;
    rest->entries = memory_new(s->afloat_count, sizeof *rest->entries);
    if (!rest->entries)
        return error_memory(error);
    for (size_t i = 0; i < s->afloat_count; i++)
        rest->entries[i] = (coaming_inflow){s->spaces[i], s->by[i], false};
    return sort_out(f->ship, f->loading, rest->entries, 0, &rest->count) ? COAMING_OK
                                                                         : error_memory(error);
}

/* The sources that are spaces. spaces: room for all; returns how many. */
static size_t list_spaces(const coaming_place *sources, size_t count, int *spaces)
{
    size_t found = 0;
    for (size_t i = 0; i < count; i++)
        if (sources[i] >= 0)
            spaces[found++] = sources[i];
    return found;
}

coaming_status coaming_come_to_rest(const coaming_ship *ship, coaming_query query,
                                    const coaming_place *sources, size_t count, coaming_rest *rest,
                                    coaming_error *error)
{
    settler *t = NULL;
    const settled *s = NULL;
    int *spaces = memory_new(count, sizeof *spaces);
    *rest = (coaming_rest){0};
    coaming_status status =
        spaces ? settler_new(ship, query.condition, query.loading, &t, error) : error_memory(error);
    if (status == COAMING_OK)
        status = settler_named(t, spaces, list_spaces(sources, count, spaces), COAMING_AS_TESTED,
                               true, &s, error);
    if (status == COAMING_OK)
        status = grade_rest(settler_flotation(t), query.condition, s, rest, error);
    if (status == COAMING_OK)
        status = list_rest(settler_flotation(t), s, rest, error);
    settler_free(t);
    memory_free(spaces);
    if (status != COAMING_OK) {
        coaming_inflows_free(rest->entries);
        *rest = (coaming_rest){0};
    }
    return status;
}

/* --- what every answer starts from --- */

struct coaming_outset {
    const coaming_ship *ship;
    coaming_query query;
    coaming_inflow *let_in; /* owned */
    size_t count;
    coaming_rest rest; /* its entries owned */
    bool settled;      /* is there a rest? */
};

coaming_status coaming_outset_new(const coaming_ship *ship, coaming_query query,
                                  coaming_outset **outset, coaming_error *error)
{
    coaming_outset *o = memory_new(1, sizeof *o);
    *outset = NULL;
    if (!o)
        return error_memory(error);
    o->ship = ship;
    o->query = query;
    coaming_status status = coaming_let_in(ship, query, &o->let_in, &o->count, error);
    if (status == COAMING_OK && o->count && query.level.kind == COAMING_LEVEL_EQUILIBRIUM) {
        status = coaming_come_to_rest(ship, query, NULL, 0, &o->rest, error);
        o->settled = status == COAMING_OK;
    }
    if (status == COAMING_OK)
        *outset = o;
    else
        coaming_outset_free(o);
    return status;
}

void coaming_outset_free(coaming_outset *outset)
{
    if (!outset)
        return;
    coaming_inflows_free(outset->let_in);
    if (outset->settled)
        coaming_inflows_free(outset->rest.entries);
    memory_free(outset);
}

const coaming_ship *coaming_outset_ship(const coaming_outset *outset)
{
    return outset->ship;
}

coaming_query coaming_outset_query(const coaming_outset *outset)
{
    return outset->query;
}

const coaming_inflow *coaming_outset_let_in(const coaming_outset *outset, size_t *count)
{
    *count = outset->count;
    return outset->let_in;
}

const coaming_rest *coaming_outset_rest(const coaming_outset *outset)
{
    return outset->settled ? &outset->rest : NULL;
}

/* --- floating with spaces open to the sea --- */

struct coaming_floating {
    coaming_floating_answer answer;
    int *flooded;
    coaming_inflow *entries; /* went on, then would go on */
};

void coaming_floating_free(coaming_floating *floating)
{
    if (!floating)
        return;
    memory_free(floating->flooded);
    memory_free(floating->entries);
    memory_free(floating);
}

const coaming_floating_answer *coaming_floating_get(const coaming_floating *floating)
{
    return &floating->answer;
}

/* s: of settler_next; the first spaces, by no link, were asked for, those from `before` on are to come. */
static coaming_status list_entries(coaming_floating *out, const coaming_flotation *f,
                                   const settled *s, size_t before, coaming_error *error)
{
    size_t count = s->count, named = 0;
    out->entries = memory_new(s->count, sizeof *out->entries);
    if (!out->entries)
        return error_memory(error);
    for (size_t i = 0; i < s->count; i++)
        out->entries[i] = (coaming_inflow){s->spaces[i], s->by[i], false};
    while (named < before && s->by[named] < 0)
        named++;
    if (!sort_out(f->ship, f->loading, out->entries, before, &count))
        return error_memory(error);
    out->answer.went_on = out->entries + named;
    out->answer.went_on_count = before - named;
    out->answer.would_go_on = out->entries + before;
    out->answer.would_go_on_count = count - before;
    return COAMING_OK;
}

/* Keeps what was asked beside what is answered. */
static bool keep_asked(coaming_floating *out, coaming_query query, const int *flooded, size_t count)
{
    out->flooded = memory_new(count, sizeof *out->flooded);
    for (size_t i = 0; i < count && out->flooded; i++)
        out->flooded[i] = flooded[i];
    out->answer.condition = query.condition;
    out->answer.loading = query.loading;
    out->answer.flooded = out->flooded;
    out->answer.flooded_count = count;
    return out->flooded != NULL;
}

/* What she is once the water has gone on. */
static coaming_status grade_then(settler *t, coaming_floating_answer *a, int condition,
                                 const int *flooded, size_t count, coaming_error *error)
{
    const settled *s = NULL;
    coaming_status status = settler_named(t, flooded, count, COAMING_AS_TESTED, true, &s, error);
    if (status != COAMING_OK)
        return status;
    a->then_at = s->at;
    a->then_count = s->afloat_count;
    return coaming_flotation_grade(settler_flotation(t), settler_flooded(t), &a->then_at, condition,
                                   COAMING_AS_TESTED, &a->then, error);
}

static coaming_status fill(settler *t, coaming_floating *out, int condition, const int *flooded,
                           size_t count, bool goes_on, coaming_error *error)
{
    const settled *s = NULL;
    coaming_floating_answer *a = &out->answer;
    coaming_status status = settler_named(t, flooded, count, COAMING_AS_TESTED, goes_on, &s, error);
    if (status != COAMING_OK)
        return status;
    a->at = s->at;
    status = coaming_flotation_grade(settler_flotation(t), settler_flooded(t), &a->at, condition,
                                     COAMING_AS_TESTED, &a->stability, error);
    if (status != COAMING_OK)
        return status;
    size_t before =
        a->at.afloat == COAMING_AFLOAT_YES ? settler_next(t, COAMING_AS_TESTED, &a->at) : s->count;
    status = list_entries(out, settler_flotation(t), s, before, error);
    if (status != COAMING_OK || !a->would_go_on_count)
        return status;
    return grade_then(t, a, condition, flooded, count, error);
}

coaming_status coaming_floating_new(const coaming_ship *ship, coaming_query query,
                                    const int *flooded, size_t count, bool goes_on,
                                    coaming_floating **floating, coaming_error *error)
{
    settler *t = NULL;
    coaming_status status = settler_new(ship, query.condition, query.loading, &t, error);
    if (status != COAMING_OK)
        return status;
    coaming_floating *out = memory_new(1, sizeof *out);
    status = out && keep_asked(out, query, flooded, count)
                 ? fill(t, out, query.condition, flooded, count, goes_on, error)
                 : error_memory(error);
    settler_free(t);
    if (status == COAMING_OK)
        *floating = out;
    else
        coaming_floating_free(out);
    return status;
}
