/* One sample after the other, added to a tally. */
#include <math.h>

#include "analyse/risk/sample.h"

static bool take_room(sample_state *s, size_t n, size_t m)
{
    arena *r = &s->room;
    s->bits = arena_new(r, m, sizeof *s->bits);
    s->lists = arena_new(r, SAMPLE_LISTS * m, sizeof *s->lists);
    s->passes = arena_new(r, m, sizeof *s->passes);
    s->head = arena_new(r, n, sizeof *s->head);
    s->link = arena_new(r, 2 * m, sizeof *s->link);
    s->links = arena_new(r, n, sizeof *s->links);
    s->is_touched = arena_new(r, n, sizeof *s->is_touched);
    s->touched = arena_new(r, n + 1, sizeof *s->touched);
    s->place = arena_new(r, n, sizeof *s->place);
    s->sides = arena_new(r, 2 * n, sizeof *s->sides);
    s->found = arena_new(r, EDGE_KINDS * m, sizeof *s->found);
    s->kinds = arena_new(r, EDGE_KINDS * m, sizeof *s->kinds);
    int **const by_order[] = {&s->met, &s->part_of};
    bool good = true;
    for (size_t i = 0; i < sizeof by_order / sizeof *by_order; i++)
        good = (*by_order[i] = arena_new(r, n + 1, sizeof **by_order[i])) && good;
    s->step = arena_new(r, n + 1, sizeof *s->step);
    s->weight = arena_new(r, n + 1, sizeof *s->weight);
    s->mass = arena_new(r, n + 1, sizeof *s->mass);
    s->hanging = arena_new(r, n + 1, sizeof *s->hanging);
    s->below = arena_new(r, n + 1, sizeof *s->below);
    s->near = arena_new(r, n + 1, sizeof *s->near);
    s->above = arena_new(r, n + 1, sizeof *s->above);
    s->open = arena_new(r, n, sizeof *s->open);
    s->pending = arena_new(r, n, sizeof *s->pending);
    s->block = arena_new(r, n + 1, sizeof *s->block);
    s->is_bridge = arena_new(r, n + 1, sizeof *s->is_bridge);
    s->block_effect = arena_new(r, n + 1, sizeof *s->block_effect);
    s->block_way = arena_new(r, n + 1, sizeof *s->block_way);
    s->ways = arena_new(r, m, sizeof *s->ways);
    s->effects = arena_new(r, m, sizeof *s->effects);
    s->tally.sums = arena_new(r, m, sizeof *s->tally.sums);
    return good && s->bits && s->lists && s->passes && s->head && s->link && s->links &&
           s->is_touched && s->hanging && s->below && s->near && s->above && s->touched &&
           s->place && s->step && s->sides && s->kinds && s->found && s->weight && s->mass &&
           s->open && s->pending && s->block && s->is_bridge && s->block_effect && s->block_way &&
           s->ways && s->effects && s->tally.sums;
}

bool sample_state_new(sample_state *s, const sample_plan *plan)
{
    s->plan = plan;
    if (!take_room(s, (size_t)plan->nodes, (size_t)plan->edges))
        return false;
    for (int v = 0; v < plan->nodes; v++) {
        s->head[v] = -1;
        s->place[v].side = plan->nodes + plan->group[v];
    }
    for (int g = 0; g < plan->group_count; g++)
        s->sides[plan->nodes + g] = plan->groups[g];
    for (int e = 0; e < plan->edges; e++)
        s->passes[e] = plan->model->edges[e].p >= 1;
    return true;
}

void sample_state_free(sample_state *s)
{
    arena_free(&s->room);
}

static void add_sample(sample_state *s)
{
    sample_totals t = {0, 0};
    risk_tally *sums = &s->tally;
    sums->samples++;
    if (!s->passing_count)
        return;
    sample_search(s);
    sample_look(s);
    double loss = sample_loss(s) * (double)RISK_UNIT + sample_expected(s);
    t.loss = llround(ldexp(loss, -s->plan->loss_shift));
    for (int i = 0; i < s->passing_count; i++)
        t.control += s->plan->control[s->passing[i]];
    sums->loss += t.loss;
    sums->loss_squared += (risk_wide)t.loss * t.loss;
    sums->control += t.control;
    sums->control_squared += (risk_wide)t.control * t.control;
    sums->loss_control += (risk_wide)t.loss * t.control;
    sample_add_edges(s, t);
}

void sample_block_of(sample_state *s, uint64_t block, uint64_t samples)
{
    sample_draw_block(s, block);
    for (int i = 0; i < RISK_BLOCK && block * RISK_BLOCK + (uint64_t)i < samples; i++) {
        sample_draw(s, i);
        add_sample(s);
        sample_take_back(s);
    }
    sample_add_up(s);
}
