/* Outlines split into convex ones. */
#include <math.h>
#include <string.h>

#include "ship/convex.h"

typedef struct {
    const double *xy;
    int *before, *after; /* the corners that are left, in order round the outline */
    size_t left;
    int *pieces;
    size_t *start, count;
} splitting;

static double turn(const double *xy, int a, int b, int c)
{
    const double *p = xy + 2 * a, *q = xy + 2 * b, *r = xy + 2 * c;
    return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]);
}

/* Nothing that is left lies in the triangle at this corner. */
static bool is_ear(const splitting *s, int corner)
{
    int a = s->before[corner], c = s->after[corner];
    if (turn(s->xy, a, corner, c) < 0)
        return false;
    for (int i = s->after[c]; i != a; i = s->after[i])
        if (turn(s->xy, a, corner, i) >= 0 && turn(s->xy, corner, c, i) >= 0 &&
            turn(s->xy, c, a, i) >= 0)
            return false;
    return true;
}

static void cut_ear(splitting *s, int corner)
{
    int a = s->before[corner], c = s->after[corner];
    if (turn(s->xy, a, corner, c) > 0) { /* a corner on a straight side leaves nothing */
        const int triangle[] = {a, corner, c};
        memcpy(s->pieces + s->start[s->count], triangle, sizeof triangle);
        s->start[s->count + 1] = s->start[s->count] + 3;
        s->count++;
    }
    s->after[a] = c;
    s->before[c] = a;
    s->left--;
}

/* A simple outline has an ear at any time; should rounding hide it, the straightest corner goes. */
static void cut_ears(splitting *s)
{
    int at = 0;
    size_t tried = 0;
    while (s->left >= 3) {
        if (is_ear(s, at) || tried > s->left) {
            cut_ear(s, at);
            tried = 0;
            at = s->before[at];
        } else {
            tried++;
            at = s->after[at];
        }
    }
}

/* Putting pieces together. */

typedef struct {
    int *corner;
    size_t corners;
} piece;

static bool stays_convex(const splitting *s, const int *corner, size_t corners)
{
    for (size_t i = 0; i < corners; i++)
        if (turn(s->xy, corner[i], corner[(i + 1) % corners], corner[(i + 2) % corners]) < 0)
            return false;
    return true;
}

/* a takes b in if they share a side and are convex together. room: for both. */
static bool join(const splitting *s, piece *a, piece *b, int *room)
{
    for (size_t i = 0; i < a->corners; i++)
        for (size_t k = 0; k < b->corners; k++) {
            size_t j = (i + 1) % a->corners;
            if (a->corner[i] != b->corner[(k + 1) % b->corners] || a->corner[j] != b->corner[k])
                continue;
            size_t count = 0;
            for (size_t n = 0; n < a->corners; n++)
                room[count++] = a->corner[(j + n) % a->corners];
            for (size_t n = 2; n < b->corners; n++)
                room[count++] = b->corner[(k + n) % b->corners];
            if (!stays_convex(s, room, count))
                return false;
            memcpy(a->corner, room, count * sizeof *room);
            a->corners = count;
            b->corners = 0;
            return true;
        }
    return false;
}

/* Gives the pieces back as lists without holes. */
static bool put_together(splitting *s, size_t corners)
{
    piece *list = memory_new(s->count, sizeof *list);
    int *room = memory_new(2 * corners + 6, sizeof *room);
    int *all = memory_new(s->count * (corners + 3), sizeof *all);
    bool good = list && room && all;
    for (size_t i = 0; good && i < s->count; i++) {
        list[i] = (piece){all + i * (corners + 3), 3};
        memcpy(list[i].corner, s->pieces + s->start[i], 3 * sizeof *all);
    }
    for (size_t i = 0; good && i < s->count; i++) /* those cut off next to each other are near */
        for (size_t j = i + 1; list[i].corners && j < s->count; j++)
            if (list[j].corners)
                join(s, &list[i], &list[j], room);
    size_t count = 0;
    for (size_t i = 0; good && i < s->count; i++) {
        if (!list[i].corners)
            continue;
        memcpy(s->pieces + s->start[count], list[i].corner, list[i].corners * sizeof *all);
        s->start[count + 1] = s->start[count] + list[i].corners;
        count++;
    }
    s->count = count;
    memory_free(list);
    memory_free(room);
    memory_free(all);
    return good;
}

size_t outline_split(const double *xy, size_t corners, bool left, int **pieces, size_t **start)
{
    int *links = memory_new(2 * corners, sizeof *links);
    splitting s = {xy, links, links + corners, corners, NULL, NULL, 0};
    *pieces = s.pieces = memory_new(3 * corners, sizeof *s.pieces);
    *start = s.start = memory_new(corners + 1, sizeof *s.start);
    bool good = links && s.pieces && s.start;
    int n = (int)corners, whole = 0;
    for (int i = 0; good && i < n; i++) {
        int on = (i + 1) % n, back = (i + n - 1) % n;
        s.after[i] = left ? on : back;
        s.before[i] = left ? back : on;
        s.pieces[i] = left ? i : n - 1 - i;
        whole = i + 1;
    }
    if (good && stays_convex(&s, s.pieces, (size_t)whole)) {
        s.start[1] = corners;
        s.count = 1;
    } else if (good) {
        cut_ears(&s);
        good = put_together(&s, corners);
    }
    memory_free(links);
    return good ? s.count : 0;
}
