#include "analyse/rounds/walk.h"

#include <limits.h>
#include <math.h>
#include <string.h>

#include "base/error.h"
#include "graph/graph.h"

/* Least width and height that a person gets through, m (common practice, no source). */
static const double LEAST_CLEAR = 0.4;

enum { NOWHERE = COAMING_SEA }; /* where nobody walks */

typedef struct {
    double x, y, z;
} spot;

typedef struct {
    int link; /* -1: the start */
    spot at;
    coaming_place side[2]; /* where one can stand at it, or NOWHERE */
    double half;           /* s, half of the time to pass */
} vertex;

struct walk {
    const coaming_ship *ship;
    coaming_round_options options;
    int entry; /* link at which a walk from the weather starts; -1: none, or from a space */
    vertex *vertices;
    size_t vertex_count;
    int *ends; /* of each edge */
    double *weight;
    coaming_place *where; /* the place that the edge crosses */
    size_t edge_count;
    graph *graph;
    int *point; /* vertex of each */
    size_t point_count;
    int *unreached;
    size_t unreached_count;
};

void walk_free(walk *w)
{
    if (!w)
        return;
    memory_free(w->vertices);
    memory_free(w->ends);
    memory_free(w->weight);
    memory_free(w->where);
    graph_free(w->graph);
    memory_free(w->point);
    memory_free(w->unreached);
    memory_free(w);
}

size_t walk_points(const walk *w)
{
    return w->point_count;
}

const int *walk_unreached(const walk *w, size_t *count)
{
    *count = w->unreached_count;
    return w->unreached;
}

typedef struct {
    double x0, x1, y0, y1;
} extent;

static extent space_extent(const ship_space *s)
{
    extent e = {INFINITY, -INFINITY, INFINITY, -INFINITY};
    for (size_t i = 0; i < s->solid_count; i++) {
        const solid *b = &s->solids[i];
        e = (extent){fmin(e.x0, b->x0), fmax(e.x1, b->x1), fmin(e.y0, b->y0), fmax(e.y1, b->y1)};
    }
    return e;
}

/* What two places share along and across, or lies between them; the outside is everywhere. */
static spot between_places(const coaming_ship *ship, coaming_place a, coaming_place b, double z)
{
    extent e = {-INFINITY, INFINITY, -INFINITY, INFINITY};
    const coaming_place places[] = {a, b};
    for (int i = 0; i < 2; i++) {
        if (places[i] < 0)
            continue;
        extent s = space_extent(&ship->spaces[places[i]]);
        e = (extent){fmax(e.x0, s.x0), fmin(e.x1, s.x1), fmax(e.y0, s.y0), fmin(e.y1, s.y1)};
    }
    return isfinite(e.x0) ? (spot){(e.x0 + e.x1) / 2, (e.y0 + e.y1) / 2, z} : (spot){0, 0, z};
}

static spot link_spot(const coaming_ship *ship, const ship_link *l)
{
    if (l->clear.given)
        return (spot){l->clear.x, l->clear.y, l->clear.z};
    return between_places(ship, l->a, l->b, l->clear.z);
}

/* Can a person get through? Whether he may, where it leads, is another matter. */
static bool passable(const ship_link *l)
{
    bool kind = l->kind == DOOR || l->kind == HATCH || l->kind == SCUTTLE || l->kind == ARCH ||
                l->kind == STAIR;
    return kind &&
           (!l->clear.given || (l->clear.width >= LEAST_CLEAR && l->clear.height >= LEAST_CLEAR));
}

/* The place as one where a walker can stand at this link. */
static coaming_place open_side(const walk *w, int link, coaming_place place)
{
    return place == COAMING_WEATHER && w->options.inside && link != w->entry ? NOWHERE : place;
}

/* A walk from the weather starts at its first opening that can be passed; failing that, unless the
 * deck is closed to the walker, at the first of any kind. */
static int find_entry(const walk *w)
{
    int other = -1;
    for (size_t i = 0; i < w->ship->link_count; i++) {
        const ship_link *l = &w->ship->links[i];
        if (l->a != COAMING_WEATHER && l->b != COAMING_WEATHER)
            continue;
        if (passable(l))
            return (int)i;
        if (other < 0)
            other = (int)i;
    }
    return w->options.inside ? -1 : other;
}

static void add_start(walk *w)
{
    vertex v = {.link = -1, .side = {w->options.start, NOWHERE}};
    if (w->options.start >= 0) {
        const ship_space *s = &w->ship->spaces[w->options.start];
        v.at = between_places(w->ship, w->options.start, COAMING_WEATHER, s->bottom);
    } else {
        w->entry = find_entry(w);
        if (w->entry >= 0)
            v.at = link_spot(w->ship, &w->ship->links[w->entry]);
        else
            v.side[0] = NOWHERE;
    }
    w->vertices[w->vertex_count++] = v;
}

/* One vertex for a link that can be passed, one for each side of a closure that is visited only. */
static void add_link(walk *w, int link, bool wanted)
{
    const ship_link *l = &w->ship->links[link];
    coaming_place a = open_side(w, link, l->a), b = open_side(w, link, l->b);
    vertex v = {.link = link, .at = link_spot(w->ship, l), .side = {a, b}};
    if (passable(l)) {
        if (!l->passage && a != NOWHERE && b != NOWHERE)
            v.half = w->options.door / 2;
        w->vertices[w->vertex_count++] = v;
    } else if (wanted) {
        v.side[1] = NOWHERE;
        w->vertices[w->vertex_count++] = v;
        v.side[0] = b;
        w->vertices[w->vertex_count++] = v;
    }
}

static bool add_vertices(walk *w, const int *closures, size_t count)
{
    bool *wanted = memory_new(w->ship->link_count, sizeof *wanted);
    w->vertices = memory_new(1 + w->ship->link_count + count, sizeof *w->vertices);
    bool made = wanted && w->vertices;
    for (size_t i = 0; made && i < count; i++)
        wanted[closures[i]] = true;
    if (made)
        add_start(w);
    for (size_t l = 0; made && l < w->ship->link_count; l++)
        add_link(w, (int)l, wanted[l]);
    memory_free(wanted);
    return made;
}

/* m along and m up or down: what the two paces are for. */
static double along(const vertex *a, const vertex *b)
{
    return hypot(a->at.x - b->at.x, a->at.y - b->at.y);
}

static double up_down(const vertex *a, const vertex *b)
{
    return fabs(a->at.z - b->at.z);
}

static double walk_seconds(const walk *w, const vertex *a, const vertex *b)
{
    return along(a, b) / w->options.pace + up_down(a, b) / w->options.climb;
}

static bool leads_nowhere(const vertex *v)
{
    return v->link >= 0 && (v->side[0] == NOWHERE || v->side[1] == NOWHERE);
}

/* Vertices by place: those of place p are member[first[p]] up to member[first[p + 1]]; the weather
 * comes after the spaces. */
typedef struct {
    size_t *first;
    int *member;
} gathering;

static size_t slot(const walk *w, coaming_place place)
{
    return place == COAMING_WEATHER ? w->ship->space_count : (size_t)place;
}

static bool gather(const walk *w, gathering *g)
{
    size_t places = w->ship->space_count + 1;
    g->first = memory_new(places + 2, sizeof *g->first);
    g->member = memory_new(2 * w->vertex_count, sizeof *g->member);
    if (!g->first || !g->member)
        return false;
    for (size_t v = 0; v < w->vertex_count; v++)
        for (int i = 0; i < 2; i++)
            if (w->vertices[v].side[i] != NOWHERE)
                g->first[slot(w, w->vertices[v].side[i]) + 2]++;
    for (size_t p = 2; p < places + 2; p++)
        g->first[p] += g->first[p - 1];
    for (size_t v = 0; v < w->vertex_count; v++)
        for (int i = 0; i < 2; i++)
            if (w->vertices[v].side[i] != NOWHERE)
                g->member[g->first[slot(w, w->vertices[v].side[i]) + 1]++] = (int)v;
    return true;
}

/* Counts the straight walks across a place and, where there is room, notes them. */
static void cross(walk *w, const gathering *g, size_t p)
{
    for (size_t i = g->first[p]; i < g->first[p + 1]; i++)
        for (size_t j = i + 1; j < g->first[p + 1]; j++) {
            const vertex *a = &w->vertices[g->member[i]], *b = &w->vertices[g->member[j]];
            if (leads_nowhere(a) && leads_nowhere(b))
                continue;
            size_t e = w->edge_count++;
            if (!w->weight)
                continue;
            w->ends[2 * e] = g->member[i];
            w->ends[2 * e + 1] = g->member[j];
            w->where[e] = p < w->ship->space_count ? (coaming_place)p : COAMING_WEATHER;
            w->weight[e] = walk_seconds(w, a, b) + a->half + b->half;
        }
}

static void cross_all(walk *w, const gathering *g)
{
    w->edge_count = 0;
    for (size_t p = 0; p <= w->ship->space_count; p++)
        cross(w, g, p);
}

static coaming_status add_edges(walk *w, coaming_error *error)
{
    gathering g = {NULL, NULL};
    bool made = gather(w, &g);
    if (made)
        cross_all(w, &g);
    made = made && w->edge_count <= INT_MAX;
    if (made) {
        w->ends = memory_new(2 * w->edge_count, sizeof *w->ends);
        w->where = memory_new(w->edge_count, sizeof *w->where);
        w->weight = memory_new(w->edge_count, sizeof *w->weight);
        made = w->ends && w->where && w->weight;
    }
    if (made)
        cross_all(w, &g);
    memory_free(g.first);
    memory_free(g.member);
    if (!made)
        return error_memory(error);
    for (size_t e = 0; e < w->edge_count; e++)
        if (!isfinite(w->weight[e] * (double)(w->edge_count + 1)))
            return error_set(error, COAMING_USAGE, "so slow a walk has no time in seconds");
    return COAMING_OK;
}

/* The vertex at which a closure is visited: of two sides the nearer, of equal ones the first; -1
 * where no way leads to either. */
static int nearer_side(const walk *w, int first, const double *distance)
{
    int best = -1, link = w->vertices[first].link;
    for (int v = first; v < (int)w->vertex_count && w->vertices[v].link == link; v++)
        if (isfinite(distance[v]) &&
            (best < 0 || distance[v] < distance[best] * (1 - 1e-9))) /* not by rounding alone */
            best = v;
    return best;
}

static void choose_points(walk *w, const int *first_vertex, const double *distance,
                          const int *closures, size_t count)
{
    w->point[w->point_count++] = 0;
    for (size_t i = 0; i < count; i++) {
        int v = nearer_side(w, first_vertex[closures[i]], distance);
        if (v >= 0)
            w->point[w->point_count++] = v;
        else
            w->unreached[w->unreached_count++] = closures[i];
    }
}

static coaming_status add_points(walk *w, const int *closures, size_t count, coaming_error *error)
{
    size_t n = w->vertex_count;
    int *all = memory_new(n, sizeof *all);
    int *first_vertex = memory_new(w->ship->link_count, sizeof *first_vertex);
    double *distance = memory_new(n, sizeof *distance);
    w->point = memory_new(count + 1, sizeof *w->point);
    w->unreached = memory_new(count, sizeof *w->unreached);
    coaming_status status = COAMING_OK;
    if (!all || !first_vertex || !distance || !w->point || !w->unreached)
        status = error_memory(error);
    for (size_t v = n; status == COAMING_OK && v > 0; v--) {
        all[v - 1] = (int)v - 1;
        if (w->vertices[v - 1].link >= 0)
            first_vertex[w->vertices[v - 1].link] = (int)v - 1;
    }
    if (status == COAMING_OK)
        status = graph_distances(w->graph, w->weight, (int[]){0}, 1, all, n, distance, error);
    if (status == COAMING_OK)
        choose_points(w, first_vertex, distance, closures, count);
    memory_free(all);
    memory_free(first_vertex);
    memory_free(distance);
    return status;
}

coaming_status walk_new(const coaming_ship *ship, const coaming_round_options *options,
                        const int *closures, size_t count, walk **out, coaming_error *error)
{
    walk *w = memory_new(1, sizeof *w);
    if (!w)
        return error_memory(error);
    w->ship = ship;
    w->options = *options;
    w->entry = -1;
    coaming_status status = COAMING_OK;
    if (!add_vertices(w, closures, count))
        status = error_memory(error);
    if (status == COAMING_OK)
        status = add_edges(w, error);
    if (status == COAMING_OK)
        status = graph_new(w->vertex_count, w->edge_count, w->ends, false, &w->graph, error);
    if (status == COAMING_OK)
        status = add_points(w, closures, count, error);
    if (status == COAMING_OK)
        *out = w;
    else
        walk_free(w);
    return status;
}

/* The place that both are at; NOWHERE if there is none. */
static coaming_place common_place(const vertex *a, const vertex *b)
{
    for (int i = 0; i < 2; i++)
        for (int j = 0; j < 2; j++)
            if (a->side[i] != NOWHERE && a->side[i] == b->side[j])
                return a->side[i];
    return NOWHERE;
}

/* The table as the graph has it holds half the time at both ends, and nothing for two vertices that
 * lead nowhere: where both are at one place, straight across is the shortest. */
static void settle_table(const walk *w, double *seconds)
{
    size_t n = w->point_count;
    for (size_t i = 0; i < n; i++) {
        seconds[i * n + i] = 0;
        for (size_t j = i + 1; j < n; j++) {
            const vertex *a = &w->vertices[w->point[i]], *b = &w->vertices[w->point[j]];
            double s = common_place(a, b) != NOWHERE
                           ? walk_seconds(w, a, b)
                           : fmax(0, seconds[i * n + j] - a->half - b->half);
            seconds[i * n + j] = seconds[j * n + i] = s;
        }
    }
}

coaming_status walk_table(const walk *w, double *seconds, coaming_error *error)
{
    coaming_status status = graph_distances(w->graph, w->weight, w->point, w->point_count, w->point,
                                            w->point_count, seconds, error);
    if (status == COAMING_OK)
        settle_table(w, seconds);
    return status;
}

static void walk_to(const walk *w, const vertex *from, const vertex *to, coaming_place across,
                    coaming_round_stop *leg)
{
    leg->side = across;
    leg->seconds += walk_seconds(w, from, to);
    leg->metres += along(from, to) + up_down(from, to);
}

/* A vertex between two walks across the same place lies on a straight line; nobody passes it. */
static void follow(const walk *w, int from, const int *edges, size_t count, int *through,
                   coaming_round_stop *leg)
{
    for (size_t i = 0; i < count; i++) {
        int e = edges[i], to = w->ends[2 * e] == from ? w->ends[2 * e + 1] : w->ends[2 * e];
        walk_to(w, &w->vertices[from], &w->vertices[to], w->where[e], leg);
        from = to;
        if (i + 1 < count && w->where[edges[i + 1]] != w->where[e]) {
            through[leg->through_count++] = w->vertices[to].link;
            leg->seconds += 2 * w->vertices[to].half;
        }
    }
}

static coaming_status follow_way(const walk *w, int from, int to, arena *memory,
                                 coaming_round_stop *leg, coaming_error *error)
{
    int *edges = memory_new(w->vertex_count, sizeof *edges), *through = NULL;
    size_t count = 0;
    coaming_status status = edges ? COAMING_OK : error_memory(error);
    if (status == COAMING_OK)
        status = graph_way(w->graph, w->weight, from, to, edges, &count, error);
    if (status == COAMING_OK && !(through = arena_new(memory, count, sizeof *through)))
        status = error_memory(error);
    if (status == COAMING_OK)
        follow(w, from, edges, count, through, leg);
    leg->through = through;
    memory_free(edges);
    return status;
}

coaming_status walk_leg(const walk *w, size_t from, size_t to, arena *memory,
                        coaming_round_stop *leg, coaming_error *error)
{
    const vertex *a = &w->vertices[w->point[from]], *b = &w->vertices[w->point[to]];
    *leg = (coaming_round_stop){.closure = b->link, .side = b->side[0]};
    if (from == to)
        return COAMING_OK;
    coaming_place common = common_place(a, b);
    if (common == NOWHERE)
        return follow_way(w, w->point[from], w->point[to], memory, leg, error);
    walk_to(w, a, b, common, leg);
    return COAMING_OK;
}
