/* The slope along a step is a product of two vectors, so the search needs no value of the potential,
 * which would lose digits to cancelling long before the flows are exact. */
#include "analyse/air/flows.h"

#include <float.h>
#include <math.h>
#include <string.h>

#include "base/error.h"
#include "base/joined.h"
#include "base/memory.h"
#include "ode/sparse.h"

enum { TURNS = 400, TRIES = 60, IDLE = 6 };
#define CLOSE  1e-13 /* share of all that flows; and as near as rounding may leave it: */
#define ROUGH  1e-10
#define STILL  1e-15 /* kg/s: nothing flows */
#define NARROW 1e-4  /* an opening over which dp changes by less than this share has one dp */

double air_density(double celsius)
{
    return AIR_ATMOSPHERE / (AIR_CONSTANT * (celsius + AIR_KELVIN));
}

double air_node_over(const air_node *node, double outside, double height)
{
    return node->pressure - (node->density - outside) * AIR_GRAVITY * height;
}

double air_link_drop(const air_net *net, const air_link *link, double height)
{
    const air_node *a = &net->nodes[link->a], *b = &net->nodes[link->b];
    return a->pressure - b->pressure + link->push -
           (a->density - b->density) * AIR_GRAVITY * height;
}

/* x^n, its slope and its integral from 0, for x >= 0; in proportion to x up to FLOW_CREEPS. */
typedef struct {
    double value, slope, area;
} law;

static law law_at(double n, double x)
{
    double creep = pow(FLOW_CREEPS, n - 1);
    if (x <= FLOW_CREEPS)
        return (law){creep * x, creep, creep * x * x / 2};
    double value = pow(x, n), knee = pow(FLOW_CREEPS, n + 1);
    return (law){value, n * value / x, knee / 2 + (value * x - knee) / (n + 1)};
}

typedef struct {
    double forth, back, slope;
} passed;

/* Of one dp. */
static passed pass_flat(double n, double forth, double back, double dp)
{
    law l = law_at(n, fabs(dp));
    return dp >= 0 ? (passed){forth * l.value, 0, forth * l.slope}
                   : (passed){0, back * l.value, back * l.slope};
}

/* Of a dp that goes evenly from low to high over its height. */
static passed pass_tall(double n, double forth, double back, double low, double high)
{
    double up = fmax(low, high), down = fmin(low, high), range = up - down;
    law top = law_at(n, fabs(up)), foot = law_at(n, fabs(down));
    if (down >= 0)
        return (passed){forth * (top.area - foot.area) / range, 0,
                        forth * (top.value - foot.value) / range};
    if (up <= 0)
        return (passed){0, back * (foot.area - top.area) / range,
                        back * (foot.value - top.value) / range};
    return (passed){forth * top.area / range, back * foot.area / range,
                    (forth * top.value + back * foot.value) / range};
}

static passed pass(const air_net *net, const air_link *l)
{
    double n = l->leak.n, c = l->leak.c * AIR_REFERENCE;
    double forth = c * pow(net->nodes[l->a].density / AIR_REFERENCE, n);
    double back = c * pow(net->nodes[l->b].density / AIR_REFERENCE, n);
    double low = air_link_drop(net, l, l->low), high = air_link_drop(net, l, l->high);
    if (fabs(high - low) <= NARROW * fmax(fmax(fabs(low), fabs(high)), FLOW_CREEPS))
        return pass_flat(n, forth, back, (low + high) / 2);
    return pass_tall(n, forth, back, low, high);
}

/* kg/s of a fan, and by how much it falls with the pressure. */
static double blow(const air_net *net, const air_node *node, double *slope)
{
    double outside = net->nodes[net->node_count - 1].density;
    double over = air_node_over(node, outside, node->fan_height);
    double range = FAN_FALLS_SHARE * node->fan_pressure;
    *slope = 0;
    if (node->fan_flow <= 0 || over <= node->fan_pressure)
        return node->fan_flow;
    if (over >= node->fan_pressure + range)
        return 0;
    *slope = node->fan_flow / range;
    return node->fan_flow * (1 - (over - node->fan_pressure) / range);
}

typedef struct {
    air_net *net;
    int *unknown; /* by node its place among the unknown, or -1 */
    int *node;    /* and back */
    int count;
    int *starts, *rows; /* of the matrix */
    int *at[4];         /* by link where aa, bb, ab and ba stand; -1: nowhere */
    int *own;           /* by unknown where it stands itself */
    double *values, *gain, *step, *tried, *from;
    double flowing; /* kg/s, all that flows */
    sparse *matrix;
} work;

/* What each unknown loses less what it is given, at the pressures of the nodes; with the matrix if
 * that is asked for. */
static void balance(work *w, bool matrix, double *gain)
{
    air_net *net = w->net;
    w->flowing = 0;
    if (matrix)
        memset(w->values, 0, (size_t)w->starts[w->count] * sizeof *w->values);
    for (int i = 0; i < w->count; i++) {
        double slope = 0;
        air_node *node = &net->nodes[w->node[i]];
        node->blown = node->sealed ? 0 : blow(net, node, &slope);
        double given = node->sealed ? 0 : node->supply + node->blown;
        gain[i] = -given;
        w->flowing += fabs(given);
        if (matrix && !node->sealed)
            w->values[w->own[i]] += slope;
    }
    for (size_t k = 0; k < net->link_count; k++) {
        air_link *l = &net->links[k];
        passed p = pass(net, l);
        int a = w->unknown[l->a], b = w->unknown[l->b];
        l->forth = p.forth;
        l->back = p.back;
        w->flowing += p.forth + p.back;
        if (a >= 0)
            gain[a] += p.forth - p.back;
        if (b >= 0)
            gain[b] -= p.forth - p.back;
        for (int c = 0; matrix && c < 4; c++)
            if (w->at[c][k] >= 0)
                w->values[w->at[c][k]] += c < 2 ? p.slope : -p.slope;
    }
}

static void go(work *w, double share)
{
    for (int i = 0; i < w->count; i++)
        w->net->nodes[w->node[i]].pressure = w->from[i] + share * w->step[i];
}

static double slope_at(work *w, double share)
{
    double slope = 0;
    go(w, share);
    balance(w, false, w->tried);
    for (int i = 0; i < w->count; i++)
        slope += w->tried[i] * w->step[i];
    return slope;
}

/* Where along the step the potential is least, nearly: its slope has fallen to a fifth. It rises all
 * the way, so a bracket is kept and halved by false position (Illinois: M. Dowell and P. Jarratt, BIT
 * 11, 1971). Every fourth try halves it plainly. */
static void search(work *w, double first)
{
    double low = 0, at_low = first, high = 0, at_high = 0, share = 1;
    for (int t = 0; t < TRIES; t++) {
        double slope = slope_at(w, share);
        if (fabs(slope) <= 0.2 * fabs(first))
            return;
        if (slope > 0) {
            at_low *= high > 0 ? 0.5 : 1;
            high = share;
            at_high = slope;
        } else {
            at_high *= 0.5;
            low = share;
            at_low = slope;
        }
        share = high <= 0    ? 4 * share
                : t % 4 == 3 ? (low + high) / 2
                             : low + (high - low) * at_low / (at_low - at_high);
    }
}

static double greatest(const double *values, int count)
{
    double most = 0;
    for (int i = 0; i < count; i++)
        most = fmax(most, fabs(values[i]));
    return most;
}

/* kg/s that the last bits of the pressures move. */
static double last_bits(const work *w)
{
    double pressure = 0, slope = 0;
    for (size_t i = 0; i < w->net->node_count; i++)
        pressure = fmax(pressure, fabs(w->net->nodes[i].pressure));
    for (int i = 0; i < w->count; i++)
        slope = fmax(slope, w->values[w->own[i]]);
    return 16 * DBL_EPSILON * pressure * slope;
}

/* Where dp is next to nothing a flow is steep, and the last bit of a pressure of hundreds of Pa moves it:
 * what has not come nearer for some turns stands as near as it can. */
static coaming_status settle(work *w, coaming_error *error)
{
    air_net *net = w->net;
    double best = INFINITY;
    int idle = 0;
    for (net->turns = 0; net->turns < TURNS && idle < IDLE; net->turns++) {
        double slope = 0;
        balance(w, true, w->gain);
        net->residual = greatest(w->gain, w->count);
        if (net->residual <= CLOSE * w->flowing + STILL)
            return COAMING_OK;
        bool far = net->residual > 1e-6 * w->flowing + last_bits(w);
        idle = far || net->residual < best ? 0 : idle + 1;
        best = fmin(best, net->residual);
        for (int i = 0; i < w->count; i++) {
            w->from[i] = net->nodes[w->node[i]].pressure;
            w->step[i] = -w->gain[i];
        }
        if (!sparse_factor(w->matrix, w->values) || !sparse_solve(w->matrix, w->step))
            break;
        for (int i = 0; i < w->count; i++)
            slope += w->gain[i] * w->step[i];
        if (!(slope < 0))
            break;
        search(w, slope);
    }
    if (net->residual <= ROUGH * w->flowing + last_bits(w))
        return COAMING_OK;
    return error_set(error, COAMING_INTERNAL, "the pressures of the air do not come to rest");
}

/* --- the pattern --- */

/* Marks what no way leads out of to a given pressure; one node of each such part is held as it is. */
static bool find_sealed(work *w)
{
    air_net *net = w->net;
    int *joined = memory_new(net->node_count, sizeof *joined);
    bool *out = memory_new(net->node_count, sizeof *out);
    if (joined && out) {
        joined_begin(joined, net->node_count);
        for (size_t k = 0; k < net->link_count; k++)
            joined_join(joined, net->links[k].a, net->links[k].b);
        for (size_t i = 0; i < net->node_count; i++)
            out[joined_sign(joined, (int)i)] |= net->nodes[i].fixed;
        for (size_t i = 0; i < net->node_count; i++) {
            int sign = joined_sign(joined, (int)i);
            net->nodes[i].sealed = !out[sign];
            bool held = net->nodes[i].fixed || (!out[sign] && sign == (int)i);
            w->unknown[i] = held ? -1 : w->count;
            if (!held)
                w->node[w->count++] = (int)i;
        }
    }
    memory_free(joined);
    memory_free(out);
    return joined && out;
}

/* Where a row stands in a column. */
static int place_of(const work *w, int column, int row)
{
    for (int k = w->starts[column]; k < w->starts[column + 1]; k++)
        if (w->rows[k] == row)
            return k;
    return -1;
}

/* Columns with room for all their links, then moved together. */
static bool make_pattern(work *w)
{
    const air_net *net = w->net;
    size_t count = (size_t)w->count;
    int *room = memory_new(count + 1, sizeof *room), *used = memory_new(count, sizeof *used);
    int *wide = memory_new(count + 2 * net->link_count, sizeof *wide);
    bool good = room && used && wide;
    for (size_t k = 0; good && k < net->link_count; k++) {
        int a = w->unknown[net->links[k].a], b = w->unknown[net->links[k].b];
        if (a >= 0 && b >= 0 && a != b) {
            room[a + 1]++;
            room[b + 1]++;
        }
    }
    for (size_t j = 0; good && j < count; j++) {
        room[j + 1] += room[j] + 1;
        sparse_put(wide + room[j], &used[j], (int)j);
    }
    for (size_t k = 0; good && k < net->link_count; k++) {
        int a = w->unknown[net->links[k].a], b = w->unknown[net->links[k].b];
        if (a >= 0 && b >= 0 && a != b) {
            sparse_put(wide + room[a], &used[a], b);
            sparse_put(wide + room[b], &used[b], a);
        }
    }
    for (size_t j = 0; good && j < count; j++) {
        memcpy(w->rows + w->starts[j], wide + room[j], (size_t)used[j] * sizeof *wide);
        w->starts[j + 1] = w->starts[j] + used[j];
    }
    memory_free(room);
    memory_free(used);
    memory_free(wide);
    return good;
}

static void find_places(work *w)
{
    const air_net *net = w->net;
    for (int i = 0; i < w->count; i++)
        w->own[i] = place_of(w, i, i);
    for (size_t k = 0; k < net->link_count; k++) {
        int a = w->unknown[net->links[k].a], b = w->unknown[net->links[k].b];
        bool both = a >= 0 && b >= 0 && a != b;
        w->at[0][k] = a >= 0 && a != b ? w->own[a] : -1;
        w->at[1][k] = b >= 0 && a != b ? w->own[b] : -1;
        w->at[2][k] = both ? place_of(w, b, a) : -1;
        w->at[3][k] = both ? place_of(w, a, b) : -1;
    }
}

static bool make_room(work *w, arena *memory)
{
    size_t nodes = w->net->node_count, links = w->net->link_count;
    w->unknown = arena_new(memory, nodes, sizeof *w->unknown);
    w->node = arena_new(memory, nodes, sizeof *w->node);
    w->starts = arena_new(memory, nodes + 1, sizeof *w->starts);
    w->rows = arena_new(memory, nodes + 2 * links, sizeof *w->rows);
    w->own = arena_new(memory, nodes, sizeof *w->own);
    w->values = arena_new(memory, nodes + 2 * links, sizeof *w->values);
    w->gain = arena_new(memory, nodes, sizeof *w->gain);
    w->step = arena_new(memory, nodes, sizeof *w->step);
    w->tried = arena_new(memory, nodes, sizeof *w->tried);
    w->from = arena_new(memory, nodes, sizeof *w->from);
    bool good = w->unknown && w->node && w->starts && w->rows && w->own && w->values && w->gain &&
                w->step && w->tried && w->from;
    for (int c = 0; c < 4; c++) {
        w->at[c] = arena_new(memory, links, sizeof *w->at[c]);
        good = good && w->at[c];
    }
    return good;
}

coaming_status air_net_solve(air_net *net, coaming_error *error)
{
    arena memory = {NULL};
    work w = {.net = net};
    coaming_status status = COAMING_OK;
    if (make_room(&w, &memory) && find_sealed(&w) && make_pattern(&w)) {
        find_places(&w);
        w.matrix = sparse_new(w.count, w.starts, w.rows);
    }
    status = w.matrix ? settle(&w, error) : error_memory(error);
    sparse_free(w.matrix);
    arena_free(&memory);
    return status;
}
