/*
 * analyse/risk/sample.h - inside the sampler: what is fixed for a model, and one sample at a time.
 *
 * Certain edges (p = 1) join the nodes into groups for good. A sample is the list of uncertain
 * edges that pass; only groups at their ends are different from the base state. These groups are
 * searched through once, depth first, for their components and blocks (Hopcroft and Tarjan,
 * Communications of the ACM 16(6), 1973), with the sums of weight w and mass m below each block,
 * and then every edge at them is looked at; all others keep their base values.
 *
 * The group of `always` (the outside in water) is joined by something in nearly every sample and
 * has the most edges. What is gained by an edge from its component to a component B outside is
 * (1 - w(B)) m(B), in shares of all weight and mass: B loses m in all scenarios instead of its own.
 * That does not depend on the rest of the always component, so that the uncertain edges from this
 * group to groups as they were keep their base values, and are not looked at.
 */
#ifndef ANALYSE_RISK_SAMPLE_H
#define ANALYSE_RISK_SAMPLE_H

#include "analyse/risk/sums.h"
#include "base/memory.h"

typedef struct {
    int edge, other; /* the node at the other end */
} sample_arc;

typedef struct {
    int *first; /* by node, one more at the end */
    sample_arc *arcs;
} sample_arcs;

typedef struct {
    double weight, mass;
    bool always; /* a source in every scenario is in it */
} sample_part;

typedef struct {
    arena room;
    const risk_model *model;
    int nodes, edges;
    /* A source in every scenario. Where all weight is at one node, that node is: what is lost, and
     * by which ways, is the same. */
    int always;
    double *weight, *mass; /* by node, as shares of all */
    sample_arcs certain, uncertain;
    int *group; /* by node */
    int group_count;
    int *first_member, *member; /* by group, nodes */
    sample_part *groups;
    int *inner; /* uncertain edges with both ends in the group of always */
    int inner_count;
    double *skip;  /* by edge: 1 / log(1 - p); 0 where it is certain, or never passes */
    uint64_t *key; /* by edge: its draws' own */
    int64_t *base_effect, *base_way;
    int64_t base_loss;
    int64_t *control; /* by edge: what it adds to the control when it passes */
    int control_shift;
} sample_plan;

coaming_status sample_plan_new(const risk_model *m, uint64_t seed, unsigned model_number,
                               sample_plan **plan, coaming_error *error);
void sample_plan_free(sample_plan *plan);

/* A node in the search of one sample. */
typedef struct {
    uint64_t met; /* the sample that it was met in; the rest is of that sample */
    int order, low;
    int parent, by; /* node and edge that it was met from */
    int block;      /* of the edge to its parent */
    int part;
    int certain_at, passing_at; /* arcs still to be followed */
    double weight, mass;        /* its own, and of all blocks below it */
} sample_node;

typedef struct {
    int top; /* the node where it hangs */
    bool bridge;
    double weight, mass; /* of all below the top */
    double products;     /* sum of weight x mass over its nodes other than the top */
} sample_block;

/* What one thread works with. */
typedef struct {
    arena room;
    const sample_plan *plan;
    uint64_t now; /* number of the sample among those of this state, from 1 */
    /* the block of samples: edges that pass next in each sample, as lists */
    uint64_t *stream; /* by edge */
    int *next;        /* by edge */
    int drawn[RISK_BLOCK];
    /* the sample */
    int *passing; /* edges */
    int passing_count;
    uint64_t *pass_at;  /* by edge: the last sample in which it passed */
    uint64_t *seen_at;  /* by edge: the last in which it was looked at */
    uint64_t *head_at;  /* by node: the last in which an edge at it passed; then head is valid */
    int *head, *link;   /* lists of ends of passing edges at a node: 2 x place in passing + side */
    uint64_t *group_at; /* by group: the last in which it was touched */
    int *touched;       /* groups */
    int touched_count;
    sample_node *node;
    int *open, *pending; /* stacks of the search */
    int open_count, clock;
    sample_block *block;
    sample_part *part;
    int block_count, part_count;
    risk_tally tally; /* without base values */
} sample_state;

typedef struct {
    double effect, by_way; /* shares of the greatest loss */
} sample_outcome;

/* A state is to be freed also where it could not be made whole. */
bool sample_state_new(sample_state *s, const sample_plan *plan);
void sample_state_free(sample_state *s);
/* Adds one block, of it the samples below `samples` in all, to the state's tally. */
void sample_block_of(sample_state *s, uint64_t block, uint64_t samples);

uint64_t sample_mix(uint64_t z);
/* Starts a block of samples; then each sample in turn lists its passing edges. */
void sample_draw_block(sample_state *s, uint64_t block);
void sample_draw(sample_state *s, int in_block);

/* Components and blocks of the touched groups. */
void sample_search(sample_state *s);
/* Of an edge at a touched group, after the search. */
sample_outcome sample_edge(const sample_state *s, int edge);
/* What a sample has besides its edges, in units, as deviations. */
typedef struct {
    int64_t loss, control;
} sample_totals;
/* Adds an edge's deviations to the tally. */
void sample_add_edge(sample_state *s, int edge, sample_totals t);
/* What is lost more than in the base state. */
double sample_loss(const sample_state *s);
int64_t sample_round(double share);

#endif
