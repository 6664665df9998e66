/* From where what is to be shut is shut, and in which order. */
#include <stdlib.h>

#include "analyse/boundary/boundary.h"
#include "base/error.h"
#include "ship/access.h"

void boundary_sides(coaming_boundary *b)
{
    for (size_t i = 0; i < b->count; i++) {
        coaming_bound *row = &b->rows[i];
        const ship_link *l = &b->ship->links[row->link];
        row->side = link_side(b->ship, l, row->outside);
        row->can_be_worked = !l->passage && link_workable(b->ship, l, row->side);
        if (!row->can_be_worked)
            link_from_outside(b->ship, l, &row->side);
    }
}

/* Of a closure that is one of theirs. */
static coaming_bound *row_of(coaming_bound *rows, int link)
{
    while (rows->link != link)
        rows++;
    return rows;
}

/* Gives each stop's row its way. */
static void take_ways(const coaming_round *round, coaming_bound *rows, bool through)
{
    for (size_t i = 0; i < coaming_round_count(round); i++) {
        const coaming_round_stop *stop = coaming_round_get(round, i);
        coaming_bound *row = row_of(rows, stop->closure);
        row->way = stop;
        row->side = stop->side;
        row->through = through;
    }
}

/* A walk to those without a way that are, or are not, worked from outside the set. */
static coaming_status walk(const coaming_boundary *b, const coaming_round_options *how,
                           coaming_bound *rows, size_t count, bool outer, coaming_round **round,
                           coaming_error *error)
{
    size_t wanted = 0;
    int *closures = memory_new(count, sizeof *closures);
    if (!closures)
        return error_memory(error);
    for (size_t i = 0; i < count; i++)
        if (!rows[i].way && rows[i].can_be_worked && (!outer || rows[i].side == rows[i].outside))
            closures[wanted++] = rows[i].link;
    coaming_status status = coaming_round_new(b->ship, how, closures, wanted, round, error);
    memory_free(closures);
    if (status == COAMING_OK)
        take_ways(*round, rows, !outer);
    return status;
}

/* Stops of the first walk, of the second, and the rest, which are in file order. Stops lie in the
 * order of their walk. */
static int by_walk(const void *left, const void *right)
{
    const coaming_bound *a = left, *b = right;
    int part_a = !a->way ? 2 : a->through, part_b = !b->way ? 2 : b->through;
    if (part_a != part_b)
        return part_a - part_b;
    if (!a->way)
        return (a->link > b->link) - (a->link < b->link);
    return (a->way > b->way) - (a->way < b->way);
}

coaming_status boundary_walk(coaming_boundary *b, size_t first, size_t count, coaming_error *error)
{
    coaming_bound *rows = &b->rows[first];
    coaming_round_options anywhere = b->walk;
    anywhere.avoid_count = 0;
    coaming_status status = walk(b, &b->walk, rows, count, true, &b->outer, error);
    if (status == COAMING_OK)
        status = walk(b, &anywhere, rows, count, false, &b->inner, error);
    if (status != COAMING_OK)
        return status;
    qsort(rows, count, sizeof *rows, by_walk);
    b->sum.seconds = coaming_round_seconds(b->outer);
    b->sum.metres = coaming_round_metres(b->outer);
    return COAMING_OK;
}
