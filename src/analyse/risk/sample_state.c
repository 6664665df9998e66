/* One sample after the other, added to a tally. */
#include "analyse/risk/sample.h"

bool sample_state_new(sample_state *s, const sample_plan *plan)
{
    size_t n = (size_t)plan->nodes, m = (size_t)plan->edges;
    arena *r = &s->room;
    s->plan = plan;
    s->stream = arena_new(r, m, sizeof *s->stream);
    s->next = arena_new(r, m, sizeof *s->next);
    s->passing = arena_new(r, m, sizeof *s->passing);
    s->pass_at = arena_new(r, m, sizeof *s->pass_at);
    s->seen_at = arena_new(r, m, sizeof *s->seen_at);
    s->head_at = arena_new(r, n, sizeof *s->head_at);
    s->head = arena_new(r, n, sizeof *s->head);
    s->link = arena_new(r, 2 * m, sizeof *s->link);
    s->group_at = arena_new(r, n, sizeof *s->group_at);
    s->touched = arena_new(r, n, sizeof *s->touched);
    s->node = arena_new(r, n, sizeof *s->node);
    s->open = arena_new(r, n, sizeof *s->open);
    s->pending = arena_new(r, n, sizeof *s->pending);
    s->block = arena_new(r, n, sizeof *s->block);
    s->part = arena_new(r, n, sizeof *s->part);
    s->tally.sums = arena_new(r, m, sizeof *s->tally.sums);
    return s->stream && s->next && s->passing && s->pass_at && s->seen_at && s->head_at &&
           s->head && s->link && s->group_at && s->touched && s->node && s->open && s->pending &&
           s->block && s->part && s->tally.sums;
}

void sample_state_free(sample_state *s)
{
    arena_free(&s->room);
}

static void add_node(sample_state *s, int v, bool uncertain, sample_totals t)
{
    const sample_plan *p = s->plan;
    for (int i = p->certain.first[v]; i < p->certain.first[v + 1]; i++)
        if (p->model->edges[p->certain.arcs[i].edge].u == v) /* once from its two ends */
            sample_add_edge(s, p->certain.arcs[i].edge, t);
    for (int i = p->uncertain.first[v]; uncertain && i < p->uncertain.first[v + 1]; i++) {
        int edge = p->uncertain.arcs[i].edge;
        if (s->seen_at[edge] != s->now) {
            s->seen_at[edge] = s->now;
            sample_add_edge(s, edge, t);
        }
    }
}

static void add_group(sample_state *s, int group, sample_totals t)
{
    const sample_plan *p = s->plan;
    bool always = p->groups[group].always;
    for (int i = p->first_member[group]; i < p->first_member[group + 1]; i++)
        add_node(s, p->member[i], !always, t);
    for (int i = 0; i < p->inner_count && always; i++)
        sample_add_edge(s, p->inner[i], t);
}

static void add_sample(sample_state *s)
{
    sample_totals t = {0, 0};
    risk_tally *sums = &s->tally;
    sums->samples++;
    if (!s->passing_count)
        return;
    sample_search(s);
    t.loss = sample_round(sample_loss(s));
    for (int i = 0; i < s->passing_count; i++)
        t.control += s->plan->control[s->passing[i]];
    sums->loss += t.loss;
    sums->loss_squared += (risk_wide)t.loss * t.loss;
    sums->control += t.control;
    sums->control_squared += (risk_wide)t.control * t.control;
    sums->loss_control += (risk_wide)t.loss * t.control;
    for (int i = 0; i < s->touched_count; i++)
        add_group(s, s->touched[i], t);
}

void sample_block_of(sample_state *s, uint64_t block, uint64_t samples)
{
    sample_draw_block(s, block);
    for (int i = 0; i < RISK_BLOCK && block * RISK_BLOCK + (uint64_t)i < samples; i++) {
        sample_draw(s, i);
        add_sample(s);
    }
}
