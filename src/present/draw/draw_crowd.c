#include <math.h>

#include "present/draw/drawing.h"

#define CELL 24.0

box box_about(double x, double y, double width, double height)
{
    return (box){x - width / 2, y - height / 2, x + width / 2, y + height / 2};
}

bool box_meets(const box *a, const box *b)
{
    return a->x0 < b->x1 && b->x0 < a->x1 && a->y0 < b->y1 && b->y0 < a->y1;
}

box box_grown(box b, double by)
{
    return (box){b.x0 - by, b.y0 - by, b.x1 + by, b.y1 + by};
}

bool crowd_open(crowd *c, box area)
{
    *c = (crowd){.area = area};
    c->columns = (int)fmin(ceil((area.x1 - area.x0) / CELL) + 1, 1000);
    c->rows = (int)fmin(ceil((area.y1 - area.y0) / CELL) + 1, 1000);
    c->heads = memory_new((size_t)c->columns * (size_t)c->rows, sizeof *c->heads);
    return c->heads != NULL;
}

void crowd_close(crowd *c)
{
    memory_free(c->boxes);
    memory_free(c->heads);
    memory_free(c->next);
    memory_free(c->of);
    *c = (crowd){.count = 0};
}

static int cell_at(double value, double from, int count)
{
    double cell = floor((value - from) / CELL);
    return cell < 0 ? 0 : cell >= count ? count - 1 : (int)cell;
}

/* Node n of the lists is kept as n + 1, so that 0 ends them. */
static bool put_node(crowd *c, int cell, int of)
{
    size_t one = c->node_capacity, two = c->node_capacity;
    if (!MEMORY_ROOM(c->next, c->nodes, one) || !MEMORY_ROOM(c->of, c->nodes, two))
        return false;
    c->node_capacity = one;
    c->next[c->nodes] = c->heads[cell];
    c->of[c->nodes] = of;
    c->heads[cell] = (int)++c->nodes;
    return true;
}

bool crowd_add(crowd *c, box b)
{
    if (!MEMORY_ROOM(c->boxes, c->count, c->capacity))
        return false;
    c->boxes[c->count] = b;
    int x1 = cell_at(b.x1, c->area.x0, c->columns), y1 = cell_at(b.y1, c->area.y0, c->rows);
    for (int y = cell_at(b.y0, c->area.y0, c->rows); y <= y1; y++)
        for (int x = cell_at(b.x0, c->area.x0, c->columns); x <= x1; x++)
            if (!put_node(c, y * c->columns + x, (int)c->count))
                return false;
    c->count++;
    return true;
}

bool crowd_hits(const crowd *c, const box *b)
{
    int x1 = cell_at(b->x1, c->area.x0, c->columns), y1 = cell_at(b->y1, c->area.y0, c->rows);
    for (int y = cell_at(b->y0, c->area.y0, c->rows); y <= y1; y++)
        for (int x = cell_at(b->x0, c->area.x0, c->columns); x <= x1; x++)
            for (int n = c->heads[y * c->columns + x]; n; n = c->next[n - 1])
                if (box_meets(&c->boxes[c->of[n - 1]], b))
                    return true;
    return false;
}

/* How many boxes there are along a line; the i-th, from a little way off its start. */
static int line_boxes(double x0, double y0, double x1, double y1)
{
    enum { STEP = 3 };
    return (int)fmin(hypot(x1 - x0, y1 - y0) / STEP, 10000);
}

static box line_box(double x0, double y0, double x1, double y1, int i, double size)
{
    double share = (i + 1.0) / (line_boxes(x0, y0, x1, y1) + 1);
    return box_about(x0 + share * (x1 - x0), y0 + share * (y1 - y0), size, size);
}

bool crowd_hits_line(const crowd *c, double x0, double y0, double x1, double y1)
{
    for (int i = 0; i < line_boxes(x0, y0, x1, y1); i++) {
        box b = line_box(x0, y0, x1, y1, i, 1);
        if (crowd_hits(c, &b))
            return true;
    }
    return false;
}

bool crowd_add_line(crowd *c, double x0, double y0, double x1, double y1)
{
    for (int i = 0; i < line_boxes(x0, y0, x1, y1); i++)
        if (!crowd_add(c, line_box(x0, y0, x1, y1, i, 1.5)))
            return false;
    return true;
}
