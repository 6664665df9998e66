/* Lines one behind the other as lines: the edge of all that each gives up, the nearest the heaviest.
 * Told by weight and dashes alone, so that a copy without colours shows them too. */
#include "present/draw/drawing.h"
#include "present/form/markup.h"

static const struct {
    const char *name, *style;
} edge_looks[LINES_DRAWN] = {{"first", FIRST_EDGE}, {"second", SECOND_EDGE}, {"third", THIRD_EDGE}};

static size_t given_up_in(const drawing *d, const view *v, int line, const region **parts)
{
    size_t count = 0;
    for (size_t i = 0; i < v->region_count; i++)
        if (d->over.behind[v->regions[i].space] >> line & 1)
            parts[count++] = &v->regions[i];
    return count;
}

static void draw_outline(drawing *d, int line, const common_outline *o)
{
    const edge *e = o->edges;
    markup_put(d->out, "<path class=\"edge\" data-line=\"%s\" style=\"%s\" d=\"",
               edge_looks[line].name, edge_looks[line].style);
    for (size_t i = 0; i < o->count; i++) {
        if (i == 0 || e[i - 1].x1 != e[i].x0 || e[i - 1].y1 != e[i].y0)
            markup_put(d->out, "M%f %f", e[i].x0, e[i].y0);
        markup_put(d->out, "L%f %f", e[i].x1, e[i].y1);
    }
    fputs("\"/>\n", d->out);
    d->seen.edges[line] = d->seen.edges[line] || o->count;
}

/* The heaviest last: where they run together the nearest line is what counts. */
void draw_lines(drawing *d, view *v)
{
    const region **parts = d->over.behind ? draw_new(d, v->region_count, sizeof *parts) : NULL;
    if (!parts)
        return;
    markup_put(d->out, "<g fill=\"none\" stroke=\"%s\" stroke-linecap=\"butt\">\n", INK_COLOUR);
    for (int line = LINES_DRAWN - 1; line >= 0; line--) {
        size_t count = given_up_in(d, v, line, parts);
        v->lines[line] = outline_of_all(d, parts, count);
        if (count)
            draw_outline(d, line, &v->lines[line]);
    }
    fputs("</g>\n", d->out);
}

void take_lines(drawing *d, view *v)
{
    for (int line = 0; line < LINES_DRAWN; line++) {
        common_outline *o = &v->lines[line];
        for (size_t i = 0; i < o->count; i++)
            d->lost = !crowd_add_line(&v->taken, o->edges[i].x0, o->edges[i].y0, o->edges[i].x1,
                                      o->edges[i].y1) ||
                      d->lost;
        memory_free(o->edges);
        *o = (common_outline){0};
    }
}
