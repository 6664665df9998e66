/* The legend: what the signs mean that are in the drawing, and no others. So it is written when all
 * views are; its room is kept free by a trial with every sign that there could be. */
#include <stdlib.h>
#include <string.h>

#include "present/draw/drawing.h"
#include "present/form/markup.h"
#include "present/tell/standing_words.h"
#include "ship/state.h"

typedef struct {
    drawing *d;
    double x;
} flow;

/* Room for a sample of so many points and its words; the sample's middle. */
static double legend_item(flow *f, double sample, const char *words)
{
    drawing *d = f->d;
    double width = sample + 5 + text_points(words, NOTE_SIZE, false) + 8;
    if (f->x > d->margin && f->x + width > d->page - d->margin) {
        f->x = d->margin;
        d->y += 15;
    }
    markup_put(d->out, "<g font-size=\"%f\">", NOTE_SIZE);
    draw_label(d->out, f->x + sample + 5, d->y + 8.8, "", false, words, strlen(words));
    fputs("</g>", d->out);
    double middle = f->x + sample / 2;
    f->x += width;
    return middle;
}

static void legend_results(flow *f, const signs *used)
{
    static const struct {
        const char *words, *state;
    } rows[] = {[COAMING_PASS] = {"passed", "pass"},
                [COAMING_FAIL] = {"FAILED", "fail"},
                [COAMING_UNTESTED] = {"untested", "untested"}};
    static const coaming_result order[] = {COAMING_PASS, COAMING_FAIL, COAMING_UNTESTED};
    for (int i = 0; i < 3; i++) {
        if (!used->results[order[i]])
            continue;
        double x = legend_item(f, 10, rows[order[i]].words), y = f->d->y + 6;
        markup_put(f->d->out,
                   "<g class=\"sample\" data-state=\"%s\" stroke=\"%s\" stroke-width=\"1.5\">",
                   rows[order[i]].state, INK_COLOUR);
        markup_put(f->d->out, "<path d=\"M%f %fv12\"/>", x, y - 6);
        draw_state(f->d->out, order[i], x, y);
        fputs("</g>\n", f->d->out);
    }
}

/* A sign drawn as a path about its middle. */
typedef struct {
    bool used;
    const char *sign; /* as the document names it */
    double sample;
    const char *words, *path, *more;
} path_row;

static void legend_paths(flow *f, const path_row *rows, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        const path_row *r = &rows[i];
        if (!r->used)
            continue;
        double x = legend_item(f, r->sample, r->words), y = f->d->y + 6;
        markup_put(f->d->out,
                   "<path class=\"sample\" data-sign=\"%s\" transform=\"translate(%f %f)\" "
                   "d=\"%s\" fill=\"none\" stroke=\"%s\" stroke-width=\"1.5\" %-s/>\n",
                   r->sign, x, y, r->path, INK_COLOUR, r->more);
    }
}
#define LEGEND_PATHS(f, rows) legend_paths((f), (rows), sizeof(rows) / sizeof *(rows))

void draw_fill_sample(FILE *out, const char *prefix, space_fill fill, bool named, double x,
                      double y)
{
    const fill_row *row = &space_fills[fill];
    for (int turn = 0; turn < 2; turn++) {
        fputs("<rect", out);
        if (named)
            markup_put(out, " class=\"sample\" data-fill=\"%s\"", row->word);
        markup_put(out,
                   " x=\"%f\" y=\"%f\" width=\"18\" height=\"11\" stroke=\"%s\" "
                   "stroke-width=\"0.8\" fill=\"",
                   x, y, INK_COLOUR);
        if (turn)
            markup_put(out, "url(#%s-%s)\"/>", prefix, row->word);
        else
            markup_put(out, "%s\"/>", row->fill);
    }
}

static void legend_fills(flow *f, const signs *used)
{
    drawing *d = f->d;
    for (int i = FILL_PLAIN + 1; i < FILL_COUNT; i++) {
        if (!used->fills[i])
            continue;
        double x = legend_item(f, 18, space_fills[i].meaning) - 9;
        draw_fill_sample(d->out, d->what->prefix, (space_fill)i, true, x, d->y + 0.5);
        fputc('\n', d->out);
    }
}

static void legend_shades(flow *f, const signs *used)
{
    drawing *d = f->d;
    for (int i = 0; i < SHADE_COUNT; i++) {
        if (!used->shades[i])
            continue;
        double x = legend_item(f, 18, loss_shades[i].meaning) - 9;
        markup_put(d->out,
                   "<rect class=\"sample\" data-shade=\"%s\" x=\"%f\" y=\"%f\" width=\"18\" "
                   "height=\"11\" stroke=\"%s\" stroke-width=\"0.8\" fill=\"%s\"/>\n",
                   loss_shades[i].word, x, d->y + 0.5, INK_COLOUR, loss_shades[i].fill);
    }
}

static void legend_closures(flow *f, const signs *used)
{
    const path_row rows[] = {
        {used->open, "open", 13, open_sign_words(f->d->ship), "M-4 5L6 -5M-4 5h0.01", ""},
        {used->nontight, "nontight", 8, "not rated tight", "M0 -6v12",
         "stroke-dasharray=\"1.6 1.2\""},
        {used->passage, "passage", 10, "passage, cannot be shut", "M-3 -1.7h6M-3 1.7h6", ""},
        {used->leader, "leader", 14, "leads to its true place", "M-7 0h14",
         "style=\"stroke-width:0.5\""},
        {used->under, "under", 14, "edge under another space", "M-7 0h14",
         "style=\"stroke-width:0.5;stroke-dasharray:2 2;stroke:" QUIET_COLOUR "\""},
        {used->flooded_under, "flooded-under", 14, "edge of a space named as hidden", "M-7 0h14",
         "style=\"stroke-width:1.1;stroke-dasharray:2 2\""}};
    LEGEND_PATHS(f, rows);
}

#define RING         "M-6 0a6 6 0 1 0 12 0a6 6 0 1 0 -12 0"
#define AS_TEXT(x)   #x
#define EDGE         "M-9 0h18"
#define STYLE(words) "style=\"" words "\""
#define WEIGHT(size) "style=\"stroke-width:" AS_TEXT(size) "\""

static void legend_overlay(flow *f, const signs *used)
{
    static const char up_down[] = "style=\"fill:" INK_COLOUR ";stroke-width:1.1\"";
    const overlay *o = &f->d->over;
    const path_row rows[] = {
        {used->frames[FRAME_FIRST], "first", 13, o->line_means[0], RING, WEIGHT(FIRST_WEIGHT)},
        {used->frames[FRAME_SECOND], "second", 13, o->line_means[1], RING, WEIGHT(SECOND_WEIGHT)},
        {used->frames[FRAME_THIRD], "third", 13, o->line_means[2], RING, WEIGHT(THIRD_WEIGHT)},
        {used->edges[0], "edge-first", 18, o->edge_means[0], EDGE, STYLE(FIRST_EDGE)},
        {used->edges[1], "edge-second", 18, o->edge_means[1], EDGE, STYLE(SECOND_EDGE)},
        {used->edges[2], "edge-third", 18, o->edge_means[2], EDGE, STYLE(THIRD_EDGE)},
        {used->frames[FRAME_RING], "ring", 13, o->ring_means, RING, ""},
        {used->frames[FRAME_SQUARE], "square", 13, "test overdue", "M-5.8 -5.8h11.6v11.6h-11.6z",
         ""},
        {used->frames[FRAME_DASHED], "dashed", 13, "test due soon", "M-5.8 -5.8h11.6v11.6h-11.6z",
         "stroke-dasharray=\"2.2 1.6\""},
        {used->arrow, "way", 14, o->arrow_means, "M-6 0h8m-1 -3l5 3l-5 3z", ""},
        {used->up, "up", 10, "that way, up through a deck", RISE_UP, up_down},
        {used->down, "down", 10, "that way, down through a deck", RISE_DOWN, up_down}};
    LEGEND_PATHS(f, rows);
    if (used->badge) {
        double x = legend_item(f, 12, o->badge_means);
        markup_put(f->d->out,
                   "<circle class=\"sample\" data-sign=\"badge\" cx=\"%f\" cy=\"%f\" r=\"5.6\" "
                   "fill=\"%s\"/><g fill=\"%s\">",
                   x, f->d->y + 6, INK_COLOUR, PAPER_COLOUR);
        draw_label(f->d->out, x, f->d->y + 8.5, "middle", true, "1", 1);
        fputs("</g>\n", f->d->out);
    }
}

static void legend_bar(flow *f)
{
    drawing *d = f->d;
    double metre = d->scale, span = d->x1 - d->x0;
    static const int lengths[] = {1, 2, 5, 10, 20, 50, 100, 1000, 10000, 100000};
    int metres = 1;
    for (size_t i = 0; i < sizeof lengths / sizeof *lengths; i++)
        if (lengths[i] <= span / 8)
            metres = lengths[i];
    if (metres * metre > d->page / 2)
        return;
    double x = legend_item(f, metres * metre, draw_format(d, "%d m", metres)) - metres * metre / 2;
    markup_put(
        d->out,
        "<path class=\"scale-bar\" data-metres=\"%d\" data-points=\"%f\" d=\"M%f %fv6h%fv-6\" "
        "fill=\"none\" stroke=\"%s\"/>\n",
        metres, metres * metre, x, d->y + 3, metres * metre, INK_COLOUR);
}

void draw_legend(drawing *d, const signs *used)
{
    flow f = {d, d->margin};
    markup_put(d->out, "<g class=\"legend\">\n");
    legend_results(&f, used);
    legend_closures(&f, used);
    legend_overlay(&f, used);
    legend_fills(&f, used);
    legend_shades(&f, used);
    legend_bar(&f);
    fputs("</g>\n", d->out);
    d->y += 20;
}

static void note_link(const drawing *d, int link, signs *possible)
{
    const ship_link *l = &d->ship->links[link];
    const link_note *n = &d->over.links[link];
    if (l->passage)
        possible->passage = true;
    else
        possible->results[coaming_closure_result(d->ship, link)] = true;
    possible->open = possible->open || (!l->passage && !link_shut(l, d->what->query.condition));
    possible->nontight = possible->nontight || (!l->passage && l->rating == NONTIGHT);
    possible->frames[n->frame] = true;
    possible->arrow = possible->arrow || n->enters;
    possible->up = possible->up || n->rise > 0;
    possible->down = possible->down || n->rise < 0;
    possible->badge = possible->badge || n->badge;
}

static void note_space(const drawing *d, int space, signs *possible)
{
    possible->fills[d->over.fills[space]] = true;
    for (int line = 0; d->over.behind && line < LINES_DRAWN; line++)
        possible->edges[line] = possible->edges[line] || d->over.behind[space] >> line & 1;
}

void legend_make_room(drawing *d, const view *views, size_t count)
{
    signs possible = {.leader = true, .under = d->what->plans};
    for (size_t v = 0; v < count; v++) {
        shelf_row spaces = views[v].spaces, links = views[v].links;
        for (size_t i = 0; i < spaces.count; i++)
            if (solids_on(d, &views[v], &d->ship->spaces[spaces.of[i]]))
                note_space(d, spaces.of[i], &possible);
        for (size_t i = 0; i < links.count; i++)
            if (link_on(d, &views[v], &d->ship->links[links.of[i]]))
                note_link(d, links.of[i], &possible);
    }
    for (int i = FILL_PLAIN + 1; i < FILL_COUNT; i++)
        possible.flooded_under = possible.flooded_under || possible.fills[i];
    for (size_t i = 0; i < d->over.zone_count; i++)
        for (int a = 0; a < COAMING_ANSWERS; a++)
            possible.shades[shade_of(d->over.zones[i].lost[a])] = true;
    char *trial = NULL;
    size_t size = 0;
    FILE *out = d->out;
    d->out = open_memstream(&trial, &size);
    if (d->out) {
        draw_legend(d, &possible);
        d->lost = fclose(d->out) || d->lost;
    } else {
        d->lost = true;
    }
    free(trial);
    d->out = out;
}
