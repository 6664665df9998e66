#include "analyse/rounds/walk.h"

#include <math.h>

#include "base/error.h"
#include "ship/access.h"

/* Least width and height that a person gets through, m (common practice, no source). */
static const double LEAST_CLEAR = 0.4;

enum { NOWHERE = COAMING_SEA }; /* where nobody walks */

typedef struct {
    double x, y, z;
} spot;

typedef struct {
    int link; /* -1: the start */
    spot at;
    spot in_time;          /* the same in seconds of walking and climbing */
    coaming_place side[2]; /* where one can stand at it, or NOWHERE */
    double pass;           /* s, from one side to the other */
    bool visit;            /* a closure can be tested and worked here, not only passed */
} vertex;

/*
 * Side i of vertex v is number 2 v + i. A search knows when each side is reached by walking across
 * its place; passing to the other side of the same vertex comes after that.
 */
struct walk {
    const coaming_ship *ship;
    coaming_round_options options;
    bool *avoided; /* by space: nobody goes in */
    int entry;     /* link at which a walk from the weather starts; -1: none, or from a space */
    vertex *vertices;
    size_t vertex_count;
    size_t *first; /* sides at place p: member[first[p]] up to member[first[p + 1]]; the weather */
    int *member;   /* comes after the spaces */
    int *point;    /* vertex of each */
    size_t point_count;
    size_t late; /* the first point for which somebody goes into an enclosed space */
    bool enter;  /* may the search in hand go into enclosed spaces? */
    int *unreached;
    size_t unreached_count;
    /* of the last search, by side */
    double *reached;                 /* s */
    int *from;                       /* the side from which one walks to it */
    int *heap, *heap_at, heap_count; /* sides to pass from, the soonest on top; -1: not in it */
};

void walk_free(walk *w)
{
    if (!w)
        return;
    memory_free(w->avoided);
    memory_free(w->vertices);
    memory_free(w->first);
    memory_free(w->member);
    memory_free(w->point);
    memory_free(w->unreached);
    memory_free(w->reached);
    memory_free(w->from);
    memory_free(w->heap);
    memory_free(w->heap_at);
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
        const solid_part *b = &s->parts[i];
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
    if (place >= 0)
        return w->ship->spaces[place].walkable && !w->avoided[place] ? place : NOWHERE;
    bool off =
        link_overboard(w->ship, &w->ship->links[link]) || (w->options.inside && link != w->entry);
    return place == COAMING_WEATHER && off ? NOWHERE : place;
}

static bool is_enclosed(const walk *w, coaming_place place)
{
    return place >= 0 && w->ship->spaces[place].enclosed;
}

/* A walk from the weather starts at its first opening that can be passed; failing that, unless the
 * deck is closed to the walker, at the first of any kind. */
static int find_entry(const walk *w)
{
    int other = -1;
    for (size_t i = 0; i < w->ship->link_count; i++) {
        const ship_link *l = &w->ship->links[i];
        if ((l->a != COAMING_WEATHER && l->b != COAMING_WEATHER) || link_overboard(w->ship, l))
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

/* One vertex for a link that can be passed, one for each side of a closure that is visited only. A
 * closure that is passed as well as visited has one for both, if it is visited from either side
 * alike. */
static void add_link(walk *w, int link, bool wanted)
{
    const ship_link *l = &w->ship->links[link];
    const coaming_place sides[] = {l->a, l->b};
    coaming_place stand[2], work[2];
    for (int i = 0; i < 2; i++) {
        stand[i] = open_side(w, link, sides[i]);
        work[i] = link_worked_from(l, sides[i]) ? stand[i] : NOWHERE;
    }
    bool alike = work[0] == stand[0] && work[1] == stand[1] &&
                 is_enclosed(w, work[0]) == is_enclosed(w, work[1]);
    vertex v = {.link = link, .at = link_spot(w->ship, l), .side = {stand[0], stand[1]}};
    if (passable(l)) {
        v.pass = l->passage ? 0 : w->options.door;
        v.visit = alike;
        w->vertices[w->vertex_count++] = v;
    }
    for (int i = 0; i < 2 && wanted && !(passable(l) && alike); i++) {
        v.visit = true;
        v.side[0] = work[i];
        v.side[1] = NOWHERE;
        w->vertices[w->vertex_count++] = v;
    }
}

static bool add_vertices(walk *w, const int *closures, size_t count)
{
    bool *wanted = memory_new(w->ship->link_count, sizeof *wanted);
    w->vertices = memory_new(1 + w->ship->link_count + 2 * count, sizeof *w->vertices);
    bool made = wanted && w->vertices;
    for (size_t i = 0; made && i < count; i++)
        wanted[closures[i]] = true;
    if (made)
        add_start(w);
    for (size_t l = 0; made && l < w->ship->link_count; l++)
        add_link(w, (int)l, wanted[l]);
    for (size_t i = 0; made && i < w->vertex_count; i++) {
        vertex *v = &w->vertices[i];
        v->in_time = (spot){v->at.x / w->options.pace, v->at.y / w->options.pace,
                            v->at.z / w->options.climb};
    }
    memory_free(wanted);
    return made;
}

/* m along and m up or down: what the two paces are for. */
static double along(const vertex *a, const vertex *b)
{
    double x = a->at.x - b->at.x, y = a->at.y - b->at.y;
    return sqrt(x * x + y * y);
}

static double up_down(const vertex *a, const vertex *b)
{
    return fabs(a->at.z - b->at.z);
}

static double walk_seconds(const vertex *a, const vertex *b)
{
    double x = a->in_time.x - b->in_time.x, y = a->in_time.y - b->in_time.y;
    return sqrt(x * x + y * y) + fabs(a->in_time.z - b->in_time.z);
}

static coaming_place place_of(const walk *w, int side)
{
    return w->vertices[side / 2].side[side % 2];
}

static size_t slot(const walk *w, coaming_place place)
{
    return place == COAMING_WEATHER ? w->ship->space_count : (size_t)place;
}

/* Lists the sides at each place. */
static bool gather(walk *w)
{
    size_t places = w->ship->space_count + 1;
    int sides = 2 * (int)w->vertex_count;
    w->first = memory_new(places + 2, sizeof *w->first);
    w->member = memory_new((size_t)sides, sizeof *w->member);
    if (!w->first || !w->member)
        return false;
    for (int s = 0; s < sides; s++)
        if (place_of(w, s) != NOWHERE)
            w->first[slot(w, place_of(w, s)) + 2]++;
    for (size_t p = 2; p < places + 2; p++)
        w->first[p] += w->first[p - 1];
    for (int s = 0; s < sides; s++)
        if (place_of(w, s) != NOWHERE)
            w->member[w->first[slot(w, place_of(w, s)) + 1]++] = s;
    return true;
}

/* The side of a vertex that is reached sooner. */
static int sooner_side(const walk *w, int v)
{
    return 2 * v + (w->reached[2 * v + 1] < w->reached[2 * v]);
}

static double seconds_to(const walk *w, int v)
{
    return w->reached[sooner_side(w, v)];
}

static void heap_put(walk *w, int position, int side)
{
    w->heap[position] = side;
    w->heap_at[side] = position;
}

/* A side that is reached sooner than before, or for the first time, moves up. */
static void heap_raise(walk *w, int side)
{
    int at = w->heap_at[side] >= 0 ? w->heap_at[side] : w->heap_count++;
    for (; at > 0 && w->reached[side] < w->reached[w->heap[(at - 1) / 2]]; at = (at - 1) / 2)
        heap_put(w, at, w->heap[(at - 1) / 2]);
    heap_put(w, at, side);
}

static int heap_take(walk *w)
{
    int top = w->heap[0], last = w->heap[--w->heap_count], at = 0;
    for (int below = 1; below < w->heap_count; below = 2 * at + 1) {
        if (below + 1 < w->heap_count &&
            w->reached[w->heap[below + 1]] < w->reached[w->heap[below]])
            below++;
        if (w->reached[w->heap[below]] >= w->reached[last])
            break;
        heap_put(w, at, w->heap[below]);
        at = below;
    }
    if (w->heap_count)
        heap_put(w, at, last);
    w->heap_at[top] = -1;
    return top;
}

/* Walks from a side, where one is at the time `now`, to all others across the same place. */
static void cross(walk *w, int side, double now)
{
    coaming_place place = place_of(w, side);
    if (place == NOWHERE || (is_enclosed(w, place) && !w->enter))
        return;
    size_t p = slot(w, place);
    for (size_t i = w->first[p]; i < w->first[p + 1]; i++) {
        int to = w->member[i];
        double then = now + walk_seconds(&w->vertices[side / 2], &w->vertices[to / 2]);
        if (then >= w->reached[to])
            continue;
        w->reached[to] = then;
        w->from[to] = side;
        if (place_of(w, to ^ 1) != NOWHERE)
            heap_raise(w, to);
    }
}

/*
 * Fills `reached` and `from` with the shortest ways from a vertex to every side, or, where there is
 * a goal, only until the way to it is known (Dijkstra, "A note
 * on two problems in connexion with graphs", Numerische Mathematik 1, 1959). Who has passed to a
 * side crosses the place from there only if nobody can have walked to that side sooner: else the
 * straight line from where that walk began is shorter to all that is there. So a place is crossed
 * from a few of its openings, not from all.
 */
static void search(walk *w, int start, int goal)
{
    for (size_t s = 0; s < 2 * w->vertex_count; s++) {
        w->reached[s] = INFINITY;
        w->heap_at[s] = -1;
    }
    w->heap_count = 0;
    w->reached[2 * start] = w->reached[2 * start + 1] = 0;
    cross(w, 2 * start, 0);
    cross(w, 2 * start + 1, 0);
    while (w->heap_count && (goal < 0 || w->reached[w->heap[0]] < seconds_to(w, goal))) {
        int side = heap_take(w);
        double now = w->reached[side] + w->vertices[side / 2].pass;
        if (now < w->reached[side ^ 1])
            cross(w, side ^ 1, now);
    }
}

/* The vertex at which a closure is visited: of two sides the nearer, of equal ones the first; -1
 * where no way leads to either. */
static int nearer_vertex(const walk *w, int first)
{
    int best = -1, link = w->vertices[first].link;
    for (int v = first; v < (int)w->vertex_count && w->vertices[v].link == link; v++)
        if (w->vertices[v].visit && isfinite(seconds_to(w, v)) &&
            (best < 0 || seconds_to(w, v) < seconds_to(w, best) * (1 - 1e-9))) /* not by rounding */
            best = v;
    return best;
}

/* Those to which a way leads now become points and are done with. */
static void add_reached(walk *w, const int *closures, size_t count, int *first_vertex)
{
    search(w, 0, -1);
    for (size_t i = 0; i < count; i++) {
        int *first = &first_vertex[closures[i]], v = *first > 0 ? nearer_vertex(w, *first) : -1;
        if (v < 0)
            continue;
        w->point[w->point_count++] = v;
        *first = -1;
    }
}

/* First what can be got at without going into an enclosed space, then the rest. */
static bool add_points(walk *w, const int *closures, size_t count)
{
    int *first_vertex = memory_new(w->ship->link_count, sizeof *first_vertex);
    w->point = memory_new(count + 1, sizeof *w->point);
    w->unreached = memory_new(count, sizeof *w->unreached);
    bool made = first_vertex && w->point && w->unreached;
    if (made) {
        for (int v = (int)w->vertex_count - 1; v > 0; v--)
            first_vertex[w->vertices[v].link] = v;
        w->point[w->point_count++] = 0;
        add_reached(w, closures, count, first_vertex);
        w->late = w->point_count;
        w->enter = true;
        if (w->late <= count)
            add_reached(w, closures, count, first_vertex);
    }
    for (size_t i = 0; made && i < count; i++)
        if (first_vertex[closures[i]] >= 0)
            w->unreached[w->unreached_count++] = closures[i];
    memory_free(first_vertex);
    return made;
}

static bool make_search(walk *w)
{
    size_t sides = 2 * w->vertex_count;
    w->reached = memory_new(sides, sizeof *w->reached);
    w->from = memory_new(sides, sizeof *w->from);
    w->heap = memory_new(sides, sizeof *w->heap);
    w->heap_at = memory_new(sides, sizeof *w->heap_at);
    return w->reached && w->from && w->heap && w->heap_at;
}

static bool mark_avoided(walk *w)
{
    w->avoided = memory_new(w->ship->space_count + 1, sizeof *w->avoided);
    for (size_t i = 0; w->avoided && i < w->options.avoid_count; i++)
        w->avoided[w->options.avoid[i]] = true;
    return w->avoided;
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
    if (!mark_avoided(w) || !add_vertices(w, closures, count) || !gather(w) || !make_search(w) ||
        !add_points(w, closures, count)) {
        walk_free(w);
        return error_memory(error);
    }
    *out = w;
    return COAMING_OK;
}

size_t walk_late(const walk *w)
{
    return w->late;
}

/* Ways between two early points keep out of enclosed spaces; those to and from a late one need not.
 */
void walk_table(walk *w, double *seconds)
{
    size_t n = w->point_count;
    for (size_t i = 0; i < n; i++) {
        w->enter = i >= w->late;
        search(w, w->point[i], -1);
        seconds[i * n + i] = 0;
        for (size_t j = w->enter ? 0 : i + 1; j < (w->enter ? i : w->late); j++)
            seconds[i * n + j] = seconds[j * n + i] = seconds_to(w, w->point[j]);
    }
}

/* Counts the links passed on the way to a side, and lists them where there is room. */
static size_t trace(const walk *w, int start, int side, int *through)
{
    size_t count = 0;
    for (; w->from[side] / 2 != start; side = w->from[side] ^ 1) {
        if (through)
            *--through = w->vertices[w->from[side] / 2].link;
        count++;
    }
    return count;
}

static double trace_metres(const walk *w, int start, int side)
{
    double metres = 0;
    for (;; side = w->from[side] ^ 1) {
        const vertex *a = &w->vertices[w->from[side] / 2], *b = &w->vertices[side / 2];
        metres += along(a, b) + up_down(a, b);
        if (w->from[side] / 2 == start)
            return metres;
    }
}

/* Counts the enclosed spaces walked in on the way to a side, and lists them where there is room. */
static size_t trace_enclosed(const walk *w, int start, int side, int *spaces)
{
    size_t count = 0;
    for (;; side = w->from[side] ^ 1) {
        if (is_enclosed(w, place_of(w, side))) {
            if (spaces)
                *--spaces = place_of(w, side);
            count++;
        }
        if (w->from[side] / 2 == start)
            return count;
    }
}

static coaming_status list_way(const walk *w, int start, int side, arena *memory,
                               coaming_round_stop *leg, coaming_error *error)
{
    leg->through_count = trace(w, start, side, NULL);
    leg->enclosed_count = trace_enclosed(w, start, side, NULL);
    int *through = arena_new(memory, leg->through_count, sizeof *through);
    int *enclosed = arena_new(memory, leg->enclosed_count, sizeof *enclosed);
    if (!through || !enclosed)
        return error_memory(error);
    trace(w, start, side, through + leg->through_count);
    trace_enclosed(w, start, side, enclosed + leg->enclosed_count);
    leg->through = through;
    leg->enclosed = enclosed;
    return COAMING_OK;
}

coaming_status walk_leg(walk *w, size_t from, size_t to, arena *memory, coaming_round_stop *leg,
                        coaming_error *error)
{
    int a = w->point[from], b = w->point[to];
    *leg = (coaming_round_stop){.closure = w->vertices[b].link, .side = w->vertices[b].side[0]};
    if (from == to) {
        if (a == 0)
            leg->side = w->options.start;
        return COAMING_OK;
    }
    w->enter = from >= w->late || to >= w->late;
    search(w, a, b);
    int side = sooner_side(w, b);
    leg->side = place_of(w, side);
    leg->seconds = w->reached[side];
    leg->metres = trace_metres(w, a, side);
    return list_way(w, a, side, memory, leg, error);
}
