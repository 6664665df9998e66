/*
 * analyse/risk/sample.h - inside the sampler: what is fixed for a model, and one sample at a time.
 *
 * Certain edges (p = 1) join the nodes into groups for good. A sample is the list of uncertain
 * edges that pass; only groups at their ends are different from the base state. These groups are
 * searched through once, depth first, for their components and blocks (Hopcroft and Tarjan,
 * Communications of the ACM 16(6), 1973), with the sums of weight w and mass m below each block,
 * and then every edge at them is looked at; all others keep their base values. Where most of the
 * nodes are met, all edges are gone through in their order instead, which comes to the same.
 *
 * `always` (the outside in water) is left out of groups and search: what is joined to it is a
 * component like others, of which is known by how many edges it is, and its own edges are looked at
 * from their other end (blocks.h).
 *
 * What the search finds is kept by the order in which it met the nodes, so that it lies together
 * and the way up from a node leads to lesser numbers. What is counted of an edge within one block
 * of samples is kept apart from the tally, short where it can be: one line of the cache an edge.
 */
#ifndef ANALYSE_RISK_SAMPLE_H
#define ANALYSE_RISK_SAMPLE_H

#include "analyse/risk/sums.h"
#include "base/memory.h"

typedef struct {
    int u, v;
} sample_ends;

typedef struct {
    int edge, other; /* the node at the other end */
} sample_arc;

typedef struct {
    int *first; /* by node, one more at the end */
    sample_arc *arcs;
} sample_arcs;

typedef struct {
    double weight, mass;
    int links;   /* edges that pass and join it to `always`; of those in the base state: certain */
    int bridges; /* uncertain edges that pass and are bridges of all, one to `always` among them */
} sample_part;

typedef struct {
    arena room;
    const risk_model *model;
    int nodes, edges;
    sample_ends *ends; /* by edge */
    /* A source in every scenario. Where all weight is at one node, that node is: what is lost, and
     * by which ways, is the same. */
    int always;
    double *weight, *mass; /* by node, as shares of all */
    sample_arcs certain;   /* without those to `always` */
    sample_arcs others;    /* uncertain; and from nodes to `always` all */
    int *links;            /* by node: certain edges to `always` */
    int *group;            /* by node; of `always` -1 */
    int group_count;
    int *first_member, *member; /* by group, nodes: first one with links, if there is any */
    sample_part *groups;
    double *near;     /* by node: see sample_edge.c */
    uint64_t *chance; /* by edge: p in units of 2^-64; 0 where it is certain, or never passes */
    uint64_t *key;    /* by edge: its draws' own */
    int64_t *base_effect, *base_way;
    double base_loss; /* a share */
    int loss_shift;
    double greatest, most; /* as in the tally */
    int64_t *control;      /* by edge: what it adds to the control when it passes */
    int control_shift;
} sample_plan;

coaming_status sample_plan_new(const risk_model *m, uint64_t seed, unsigned model_number,
                               sample_plan **plan, coaming_error *error);
void sample_plan_free(sample_plan *plan);

enum {
    SAMPLE_WORD = 64, /* samples drawn as the bits of a word */
    SAMPLE_LISTS = 16 /* of which so many are listed at a time */
};

/* Where an edge that passes leads from one of its ends: 2 x its place in `passing` + side. */
typedef struct {
    int next, other;
} sample_link;

/* A node on the way from the root of the search to where it stands. */
typedef struct {
    int node, order;
    int low;                    /* least order that an arc leads to from it or from below */
    int by;                     /* what it was met by: sample_search.c */
    int certain_at, passing_at; /* arcs still to be followed */
} sample_frame;

typedef struct {
    int order; /* from 1; 0: not met */
    int side;  /* which of the sides it is on */
} sample_place;

/* From a node to its block upward and that block's top, by order; 0 at a root. */
typedef struct {
    int up, block;
} sample_step;

typedef struct {
    int top;             /* order of the node where it hangs */
    int links;           /* edges that join what is below the top to `always` */
    bool drawn;          /* its one edge, where it is a bridge, is uncertain */
    double weight, mass; /* of all below the top */
    double products;     /* sum of weight x mass over its nodes other than the top */
    double path;         /* see sample_edge.c, and the next three */
    double hanging, across, down;
} sample_block;

/* How an edge stands to the search. PAST: at no touched group; BRIDGE: it passes and is one. */
typedef enum {
    EDGE_PAST,
    EDGE_JOINS,
    EDGE_IN_BLOCK,
    EDGE_BRIDGE,
    EDGE_CLIMBS,
    EDGE_KINDS
} edge_kind;

/* Of an edge in this block of samples: how often it was looked at, and the deviations. */
typedef struct {
    int64_t looks, way;
    risk_wide way_squared, way_loss, way_control;
} sample_ways;

/* What it has as effect, not as a deviation: mostly none. */
typedef struct {
    risk_wide squared;
    int64_t sum;
} sample_effects;

/* What one thread works with. */
typedef struct {
    arena room;
    const sample_plan *plan;
    /* the block of samples */
    uint64_t number;
    uint64_t *bits; /* by edge: in which of the samples of a word it passes, the first lowest */
    int *lists;     /* edges that pass in each of some samples, room for all in each */
    int list_count[SAMPLE_LISTS];
    /* the sample */
    const int *passing; /* edges */
    int passing_count;
    bool *passes;      /* by edge */
    int *head;         /* by node: list of ends of passing edges; -1: none */
    sample_link *link; /* by end */
    int *links;        /* by node: edges that pass, to `always` */
    bool *is_touched;  /* by group */
    int *touched;      /* groups */
    int touched_count;
    sample_place *place; /* by node */
    sample_part *sides;  /* parts of the sample, then (from `nodes` on) groups as they are */
    /* the search: by order */
    int *met; /* nodes */
    sample_step *step;
    int *part_of;
    double *weight, *mass, *hanging; /* its own, and of all blocks below it */
    int *below;                      /* edges to `always`, likewise */
    double *near, *above;            /* see sample_edge.c */
    sample_frame *open;
    int *pending;
    int pending_count, clock;
    sample_block *block;               /* from 1; 0 stands for none */
    bool *is_bridge;                   /* by block */
    int64_t *block_effect, *block_way; /* of an edge of the block that passes, in units */
    int block_count, part_count;
    int *kinds;                   /* edges of each kind, room for all in each */
    struct sample_outcome *found; /* of each of these */
    int kind_count[EDGE_KINDS];
    /* counted in this block of samples, and in all */
    sample_ways *ways;
    sample_effects *effects;
    risk_tally tally; /* without base values */
} sample_state;

/* In units. */
typedef struct sample_outcome {
    int64_t effect, by_way;
} sample_outcome;

/* A state is to be freed also where it could not be made whole. */
bool sample_state_new(sample_state *s, const sample_plan *plan);
void sample_state_free(sample_state *s);
/* Adds one block, of it the samples below `samples` in all, to the state's tally. */
void sample_block_of(sample_state *s, uint64_t block, uint64_t samples);

/* Starts a block of samples; then each in turn, from 0, lists its passing edges. Between two of
 * them what the first left is to be taken back. */
void sample_draw_block(sample_state *s, uint64_t block);
void sample_draw(sample_state *s, int in_block);
void sample_take_back(sample_state *s);

/* Components and blocks of the touched groups. */
void sample_search(sample_state *s);
/* Of an edge at a touched group, after the search. */
sample_outcome sample_edge(const sample_state *s, int edge);
/* What a sample has besides its edges, in units, as deviations. */
typedef struct {
    int64_t loss, control;
} sample_totals;
/* Looks at the edges of this sample, after the search; what all they would change of the loss, and
 * then counts them. */
void sample_look(sample_state *s);
double sample_expected(const sample_state *s);
void sample_add_edges(sample_state *s, sample_totals t);
/* At the end of a block of samples: what was counted goes into the tally. */
void sample_add_up(sample_state *s);
double sample_lost(const sample_part *part);
/* What is lost more than in the base state. */
double sample_loss(const sample_state *s);
int64_t sample_round(double share);

#endif
