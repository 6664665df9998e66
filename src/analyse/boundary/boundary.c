#include "analyse/boundary/boundary.h"

#include <math.h>
#include <stdlib.h>

#include "base/error.h"
#include "coaming/hold.h"
#include "coaming/likelihood.h"
#include "ship/access.h"
#include "ship/state.h"

const char *coaming_bound_group_word(coaming_bound_group group)
{
#define WORD(code, word) word,
    static const char *const words[] = {COAMING_BOUND_TABLE(WORD)};
    return words[group];
}

const char *coaming_keeps_word(coaming_keeps keeps)
{
    static const char *const words[] = {COAMING_KEEPS_TABLE(WORD)};
#undef WORD
    return words[keeps];
}

void coaming_boundary_free(coaming_boundary *boundary)
{
    if (!boundary)
        return;
    coaming_round_free(boundary->outer);
    coaming_round_free(boundary->inner);
    arena_free(&boundary->memory);
    memory_free(boundary);
}

/* The set */

static coaming_status check_spaces(const coaming_ship *ship, const int *spaces, size_t count,
                                   coaming_error *error)
{
    if (!count)
        return error_set(error, COAMING_USAGE, "no space is named that is to be sealed off");
    for (size_t i = 0; i < count; i++)
        if (spaces[i] < 0 || (size_t)spaces[i] >= ship->space_count)
            return error_set(error, COAMING_USAGE, "there is no space %d", spaces[i]);
    return COAMING_OK;
}

static coaming_status take_spaces(coaming_boundary *b, const int *spaces, size_t count,
                                  coaming_error *error)
{
    b->in = arena_new(&b->memory, b->ship->space_count, sizeof *b->in);
    b->list = arena_new(&b->memory, b->ship->space_count, sizeof *b->list);
    if (!b->in || !b->list)
        return error_memory(error);
    for (size_t i = 0; i < count; i++)
        b->in[spaces[i]] = true;
    for (size_t i = 0; i < b->ship->space_count; i++)
        if (b->in[i])
            b->list[b->list_count++] = (int)i;
    b->walk.avoid = b->list;
    b->walk.avoid_count = b->list_count;
    if (b->list_count == b->ship->space_count)
        return error_set(error, COAMING_USAGE,
                         "all spaces are named, so that there is nothing to seal them off from");
    return COAMING_OK;
}

/* The rows */

static bool is_in(const coaming_boundary *b, coaming_place place)
{
    return place >= 0 && b->in[place];
}

static coaming_keeps keeps_air(const ship_link *l)
{
    if (!link_reached(l, COAMING_AIR, NAN))
        return COAMING_KEEPS_UNREACHED;
    return link_can_hold(l, COAMING_AIR) ? COAMING_KEEPS_BACK : COAMING_KEEPS_NOTHING;
}

static coaming_status take_links(coaming_boundary *b, coaming_error *error)
{
    b->rows = arena_new(&b->memory, b->ship->link_count, sizeof *b->rows);
    if (!b->rows)
        return error_memory(error);
    for (size_t i = 0; i < b->ship->link_count; i++) {
        const ship_link *l = &b->ship->links[i];
        bool a = is_in(b, l->a);
        if (a == is_in(b, l->b))
            continue;
        b->rows[b->count++] = (coaming_bound){
            .link = (int)i,
            .inside = a ? l->a : l->b,
            .outside = a ? l->b : l->a,
            .keeps = {COAMING_KEEPS_UNASKED,
                      b->query.hazard[COAMING_AIR] ? keeps_air(l) : COAMING_KEEPS_UNASKED},
            .remote = link_remote_without(l, b->list, b->list_count),
            .open = !link_shut(l, b->query.condition),
            .height = NAN};
    }
    return COAMING_OK;
}

static bool keeps_so(const coaming_bound *row, coaming_keeps keeps)
{
    return row->keeps[COAMING_WATER] == keeps || row->keeps[COAMING_AIR] == keeps;
}

static coaming_bound_group group_of(const coaming_bound *row)
{
    if (keeps_so(row, COAMING_KEEPS_NOTHING))
        return COAMING_BOUND_CANNOT;
    if (!keeps_so(row, COAMING_KEEPS_BACK) && !keeps_so(row, COAMING_KEEPS_SLOWED))
        return COAMING_BOUND_UNREACHED;
    return row->open ? COAMING_BOUND_TO_SHUT : COAMING_BOUND_SHUT;
}

static coaming_status take_chances(coaming_boundary *b, coaming_error *error)
{
    double *leaks = memory_new(b->ship->closure_count, sizeof *leaks);
    if (!leaks)
        return error_memory(error);
    coaming_likelihood_all(b->ship, leaks);
    for (size_t i = 0; i < b->count; i++) {
        coaming_bound *row = &b->rows[i];
        const ship_link *l = &b->ship->links[row->link];
        bool tight = link_can_hold(l, COAMING_AIR); /* shut, it keeps something back */
        row->leak = tight ? leaks[row->link] : 1;
        if (keeps_so(row, COAMING_KEEPS_SLOWED))
            row->leak = fmax(row->leak, COAMING_HOLD_SLOWS);
    }
    memory_free(leaks);
    return COAMING_OK;
}

/* By group; those that are shut by how they stand, those in doubt first; else as they lie. */
typedef struct {
    coaming_bound row;
    int doubt;
} sorted_row;

static int doubt_of(const coaming_boundary *b, const coaming_bound *row)
{
    static const int order[] = {2, 0, 1}; /* pass, fail, untested */
    return row->group == COAMING_BOUND_SHUT ? order[b->ship->links[row->link].result] : 0;
}

static int by_group(const void *left, const void *right)
{
    const sorted_row *a = left, *b = right;
    if (a->row.group != b->row.group)
        return (a->row.group > b->row.group) - (a->row.group < b->row.group);
    if (a->doubt != b->doubt)
        return a->doubt - b->doubt;
    return a->row.link - b->row.link;
}

static coaming_status sort_rows(coaming_boundary *b, coaming_error *error)
{
    sorted_row *sorted = memory_new(b->count, sizeof *sorted);
    if (!sorted)
        return error_memory(error);
    for (size_t i = 0; i < b->count; i++) {
        b->rows[i].group = group_of(&b->rows[i]);
        sorted[i] = (sorted_row){b->rows[i], doubt_of(b, &b->rows[i])};
    }
    qsort(sorted, b->count, sizeof *sorted, by_group);
    for (size_t i = 0; i < b->count; i++)
        b->rows[i] = sorted[i].row;
    memory_free(sorted);
    return COAMING_OK;
}

/* The sum */

static void add_shut(coaming_boundary_sum *s, const ship_link *l)
{
    s->failed += l->result == COAMING_FAIL;
    s->untested += l->result == COAMING_UNTESTED;
}

static void add_open(coaming_boundary_sum *s, const coaming_bound *row)
{
    s->remote += row->remote;
    s->through += row->through;
    s->no_way += !row->way;
}

static void add_up(coaming_boundary *b)
{
    coaming_boundary_sum *s = &b->sum;
    s->holds = 1;
    for (size_t i = 0; i < b->count; i++) {
        const coaming_bound *row = &b->rows[i];
        s->count[row->group]++;
        if (row->group == COAMING_BOUND_UNREACHED)
            continue;
        s->holds *= 1 - row->leak;
        s->slow += keeps_so(row, COAMING_KEEPS_SLOWED);
        s->sure += row->group != COAMING_BOUND_CANNOT && row->leak >= 1;
        if (row->group == COAMING_BOUND_SHUT)
            add_shut(s, &b->ship->links[row->link]);
        if (row->group == COAMING_BOUND_TO_SHUT)
            add_open(s, row);
    }
}

/* Those to shut lie together once the rows are sorted. */
static coaming_status walk_open(coaming_boundary *b, coaming_error *error)
{
    size_t first = 0, end = 0;
    while (first < b->count && b->rows[first].group < COAMING_BOUND_TO_SHUT)
        first++;
    for (end = first; end < b->count && b->rows[end].group == COAMING_BOUND_TO_SHUT;)
        end++;
    return boundary_walk(b, first, end - first, error);
}

static coaming_status work(coaming_boundary *b, const int *spaces, size_t count,
                           coaming_error *error)
{
    coaming_status status = take_spaces(b, spaces, count, error);
    if (status == COAMING_OK)
        status = take_links(b, error);
    if (status == COAMING_OK && b->query.hazard[COAMING_WATER])
        status = boundary_wet(b, error);
    if (status == COAMING_OK)
        status = take_chances(b, error);
    if (status == COAMING_OK)
        status = sort_rows(b, error);
    if (status != COAMING_OK)
        return status;
    boundary_sides(b);
    status = walk_open(b, error);
    if (status == COAMING_OK)
        add_up(b);
    return status;
}

coaming_status coaming_boundary_new(const coaming_ship *ship, coaming_query query,
                                    const int *spaces, size_t count,
                                    const coaming_round_options *walk, coaming_boundary **boundary,
                                    coaming_error *error)
{
    if (!query.hazard[COAMING_WATER] && !query.hazard[COAMING_AIR])
        return error_set(error, COAMING_USAGE, "no hazard is asked for");
    coaming_status status = check_spaces(ship, spaces, count, error);
    if (status != COAMING_OK)
        return status;
    coaming_boundary *b = memory_new(1, sizeof *b);
    if (!b)
        return error_memory(error);
    b->ship = ship;
    b->query = query;
    b->walk = *walk;
    status = work(b, spaces, count, error);
    if (status == COAMING_OK)
        *boundary = b;
    else
        coaming_boundary_free(b);
    return status;
}

size_t coaming_boundary_count(const coaming_boundary *boundary)
{
    return boundary->count;
}

const coaming_bound *coaming_boundary_get(const coaming_boundary *boundary, size_t index)
{
    return &boundary->rows[index];
}

coaming_boundary_sum coaming_boundary_total(const coaming_boundary *boundary)
{
    return boundary->sum;
}

const int *coaming_boundary_spaces(const coaming_boundary *boundary, size_t *count)
{
    *count = boundary->list_count;
    return boundary->list;
}

coaming_round_options coaming_boundary_walk(const coaming_boundary *boundary)
{
    coaming_round_options walk = boundary->walk;
    walk.avoid = NULL;
    walk.avoid_count = 0;
    return walk;
}

const coaming_float *coaming_boundary_float(const coaming_boundary *boundary)
{
    return boundary->floats ? &boundary->at : NULL;
}
