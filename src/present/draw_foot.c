/* Title, legend, words of the overlay, key, what has no place, caution. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "coaming/present.h"
#include "present/drawing.h"
#include "present/standing_words.h"
#include "present/style.h"
#include "present/svg.h"
#include "ship/state.h"

static double part_points(const char *text, size_t length, double size, bool bold)
{
    char part[1024];
    size_t kept = length < sizeof part ? length : sizeof part - 1;
    memcpy(part, text, kept);
    part[kept] = '\0';
    return length < sizeof part ? text_points(part, size, bold) : INFINITY;
}

/* How much of the text goes on a line: whole words, or what there is room for of one too long. */
static size_t line_of(const char *text, double size, bool bold, double width)
{
    size_t kept = 0, next = 0;
    do {
        next += strspn(text + next, " ");
        next += strcspn(text + next, " ");
        if (part_points(text, next, size, bold) > width)
            break;
        kept = next;
    } while (text[next]);
    if (kept)
        return kept;
    for (next = text_next(text); part_points(text, next, size, bold) <= width;
         next += text_next(text + next))
        kept = next;
    return kept ? kept : text_next(text);
}

double draw_paragraph(FILE *out, double x, double y, double width, double size, bool bold,
                      const char *colour, const char *text)
{
    double at = y;
    svg_put(out, "<g font-size=\"%n\" fill=\"%s\">", size, colour);
    while (*text) {
        size_t kept = line_of(text, size, bold, width);
        draw_label(out, x, at + size, "", bold, text, kept);
        at += size * 1.3;
        text += kept;
        text += strspn(text, " ");
    }
    fputs("</g>\n", out);
    return at - y;
}

static const char *condition_of(const drawing *d)
{
    int c = d->what->query.condition;
    return c >= 0 ? d->ship->conditions[c].name : "every closure shut that can be";
}

void draw_title(drawing *d)
{
    char date[COAMING_DATE_TEXT];
    double width = d->page - 2 * d->margin, size = d->what->compact ? 10 : 15;
    const char *name = text_cut(d, d->ship->name, size, true, width);
    if (!d->what->embedded)
        d->y += draw_paragraph(d->out, d->margin, d->y, width, size, true, INK_COLOUR, name);
    const char *what = draw_format(
        d,
        "As last tested by %s; %s. Scale 1:%d where this page is %.0f mm wide. Bow to the right%s.",
        coaming_date_format(d->ship->as_of, date), condition_of(d), d->one_to, d->what->width,
        d->what->plans ? ", port up" : "");
    d->y +=
        draw_paragraph(d->out, d->margin, d->y, width, NOTE_SIZE, false, QUIET_COLOUR, what) + 4;
}

/* --- legend --- */

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
    svg_put(d->out, "<g font-size=\"%n\">", NOTE_SIZE);
    draw_label(d->out, f->x + sample + 5, d->y + 8.8, "", false, words, strlen(words));
    fputs("</g>", d->out);
    double middle = f->x + sample / 2;
    f->x += width;
    return middle;
}

static void legend_symbol(flow *f, coaming_result result, const char *words, const char *state)
{
    double x = legend_item(f, 10, words), y = f->d->y + 6;
    svg_put(f->d->out, "<g class=\"sample\" data-state=\"%s\" stroke=\"%s\" stroke-width=\"1.5\">",
            state, INK_COLOUR);
    svg_put(f->d->out, "<path d=\"M%n %nv12\"/>", x, y - 6);
    draw_state(f->d->out, result, x, y);
    fputs("</g>\n", f->d->out);
}

static void legend_path(flow *f, double sample, const char *words, const char *path,
                        const char *more)
{
    double x = legend_item(f, sample, words), y = f->d->y + 6;
    svg_put(f->d->out,
            "<path transform=\"translate(%n %n)\" d=\"%s\" fill=\"none\" stroke=\"%s\" "
            "stroke-width=\"1.5\" %s/>\n",
            x, y, path, INK_COLOUR, more);
}

static void legend_fills(flow *f)
{
    drawing *d = f->d;
    for (int i = FILL_PLAIN + 1; i < FILL_COUNT; i++) {
        if (!d->over.fill_used[i])
            continue;
        double x = legend_item(f, 18, space_fills[i].meaning) - 9;
        for (int turn = 0; turn < 2; turn++) {
            svg_put(d->out,
                    "<rect x=\"%n\" y=\"%n\" width=\"18\" height=\"11\" stroke=\"%s\" "
                    "stroke-width=\"0.8\" fill=\"",
                    x, d->y + 0.5, INK_COLOUR);
            svg_put(d->out, turn ? "url(#%s-%s)\"/>" : "%s\"/>",
                    turn ? d->what->prefix : space_fills[i].fill, space_fills[i].word);
        }
        fputc('\n', d->out);
    }
}

static void legend_overlay(flow *f)
{
    overlay *o = &f->d->over;
    if (o->frame_used[FRAME_RING])
        legend_path(f, 13, o->ring_means, "M-6 0a6 6 0 1 0 12 0a6 6 0 1 0 -12 0", "");
    if (o->frame_used[FRAME_SQUARE])
        legend_path(f, 13, "test overdue", "M-5.8 -5.8h11.6v11.6h-11.6z", "");
    if (o->frame_used[FRAME_DASHED])
        legend_path(f, 13, "test due soon", "M-5.8 -5.8h11.6v11.6h-11.6z",
                    "stroke-dasharray=\"2.2 1.6\"");
    if (o->arrow_used)
        legend_path(f, 14, o->arrow_means, "M-6 0h8m-1 -3l5 3l-5 3z", "");
    if (o->rise_used) {
        const char *fill = "style=\"fill:" INK_COLOUR ";stroke-width:1.1\"";
        legend_path(f, 10, "that way, up through a deck", RISE_UP, fill);
        legend_path(f, 10, "and down", RISE_DOWN, fill);
    }
    if (o->badge_used) {
        double x = legend_item(f, 12, o->badge_means);
        svg_put(f->d->out, "<circle cx=\"%n\" cy=\"%n\" r=\"5.6\" fill=\"%s\"/><g fill=\"%s\">", x,
                f->d->y + 6, INK_COLOUR, PAPER_COLOUR);
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
    svg_put(d->out,
            "<path class=\"scale-bar\" data-metres=\"%d\" data-points=\"%n\" d=\"M%n %nv6h%nv-6\" "
            "fill=\"none\" stroke=\"%s\"/>\n",
            metres, metres * metre, x, d->y + 3, metres * metre, INK_COLOUR);
}

/* What of the signs is used anywhere. */
static void note_signs(drawing *d)
{
    overlay *o = &d->over;
    for (size_t i = 0; i < d->ship->space_count; i++)
        o->fill_used[o->fills[i]] = true;
    for (size_t i = 0; i < d->ship->link_count; i++) {
        const ship_link *l = &d->ship->links[i];
        o->frame_used[o->links[i].frame] = true;
        o->arrow_used = o->arrow_used || o->links[i].enters;
        o->rise_used = o->rise_used || o->links[i].rise;
        o->badge_used = o->badge_used || o->links[i].badge;
        d->any_passage = d->any_passage || l->passage;
        d->any_open = d->any_open || (!l->passage && !link_shut(l, d->what->query.condition));
        d->any_nontight = d->any_nontight || (!l->passage && l->rating == NONTIGHT);
    }
}

void draw_legend(drawing *d)
{
    flow f = {d, d->margin};
    note_signs(d);
    svg_put(d->out, "<g class=\"legend\">\n");
    legend_symbol(&f, COAMING_PASS, "passed", "pass");
    legend_symbol(&f, COAMING_FAIL, "FAILED", "fail");
    legend_symbol(&f, COAMING_UNTESTED, "untested", "untested");
    if (d->any_open)
        legend_path(&f, 13, "not shut in this condition", "M-4 5L6 -5M-4 5h0.01", "");
    if (d->any_nontight)
        legend_path(&f, 8, "not rated tight", "M0 -6v12", "stroke-dasharray=\"1.6 1.2\"");
    if (d->any_passage)
        legend_path(&f, 10, "passage, cannot be shut", "M-3 -1.7h6M-3 1.7h6", "");
    legend_path(&f, 14, "leads to its true place", "M-7 0h14", "style=\"stroke-width:0.5\"");
    legend_overlay(&f);
    legend_fills(&f);
    legend_bar(&f);
    fputs("</g>\n", d->out);
    d->y += 20;
}

/* --- lists in columns --- */

static void draw_list(drawing *d, const char *heading, const char **items, size_t count)
{
    double width = d->page - 2 * d->margin, widest = 60;
    if (!count)
        return;
    if (heading)
        d->y +=
            draw_paragraph(d->out, d->margin, d->y, width, NOTE_SIZE, true, INK_COLOUR, heading) +
            1;
    for (size_t i = 0; i < count; i++)
        widest = fmax(widest, fmin(text_points(items[i], LABEL_SIZE, false), 240));
    int columns = (int)fmax(1, floor((width + 14) / (widest + 14)));
    size_t rows = (count + (size_t)columns - 1) / (size_t)columns;
    double room = (width + 14) / columns, y = d->y, deepest = y;
    for (size_t i = 0; i < count; i++) {
        if (i % rows == 0)
            y = d->y;
        size_t column = i / rows;
        y += draw_paragraph(d->out, d->margin + (double)column * room, y, room - 14, LABEL_SIZE,
                            false, INK_COLOUR, items[i]);
        deepest = fmax(deepest, y);
    }
    d->y = deepest + 6;
}

void draw_notes(drawing *d)
{
    double width = d->page - 2 * d->margin;
    if (!d->over.heading)
        return;
    d->y += draw_paragraph(d->out, d->margin, d->y, width, 11, true, INK_COLOUR, d->over.heading);
    for (size_t i = 0; i < d->over.line_count; i++) {
        const overlay_line *line = &d->over.lines[i];
        d->y += draw_paragraph(d->out, d->margin, d->y, width, line->alarm ? ALARM_SIZE : NOTE_SIZE,
                               line->alarm, line->alarm ? FAIL_COLOUR : INK_COLOUR, line->text);
    }
    d->y += 2;
    draw_list(d, NULL, d->over.items, d->over.item_count);
    d->y += 6;
}

static int order_keys(const void *left, const void *right)
{
    const key_row *a = left, *b = right;
    if (!a->number != !b->number)
        return a->number ? -1 : 1;
    return a->number != b->number ? a->number - b->number : a->space - b->space;
}

static void draw_key(drawing *d)
{
    const char **items = draw_new(d, d->key_count, sizeof *items);
    bool bare = d->what->bare;
    size_t count = 0;
    if (!items)
        return;
    for (size_t i = 0; i < d->key_count; i++)
        d->keys[i].number = d->number_of[d->keys[i].space];
    if (d->key_count)
        qsort(d->keys, d->key_count, sizeof *d->keys, order_keys);
    for (size_t i = 0; i < d->key_count; i++) {
        const ship_space *s = &d->ship->spaces[d->keys[i].space];
        if (!d->keys[i].number && bare)
            break; /* its id is enough */
        items[count++] = bare ? draw_format(d, "%d  %s", d->keys[i].number, s->id)
                         : d->keys[i].number
                             ? draw_format(d, "%d  %s (%s)", d->keys[i].number, s->name, s->id)
                             : draw_format(d, "%s: %s", s->id, s->name);
    }
    draw_list(d, bare ? "Spaces by number" : "Spaces shown by number or id", items, count);
}

static void draw_unplaced(drawing *d)
{
    size_t count = 0;
    const char **links = draw_new(d, d->ship->link_count, sizeof *links);
    char result[SHOWN];
    for (size_t i = 0; links && i < d->ship->link_count; i++) {
        const ship_link *l = &d->ship->links[i];
        if (!placed(d, l))
            links[count++] =
                draw_format(d, "%s %s, %s to %s: %s", l->id, l->name,
                            coaming_place_id(d->ship, l->a), coaming_place_id(d->ship, l->b),
                            l->passage ? "passage" : standing_words(result, d->ship, (int)i));
    }
    fputs("<g class=\"unplaced\">\n", d->out);
    draw_list(d, "Closures and passages whose place is not given, or is off the ship", links,
              count);
    fputs("</g>\n", d->out);
}

/* What would have stood in the drawing, had there been room. */
static void draw_wordless(drawing *d)
{
    size_t marks = d->unnamed_count, spaces = d->unnumbered_count;
    if (!marks && !spaces)
        return;
    fputs("<g class=\"no-room\">\n", d->out);
    draw_list(d,
              draw_format(d, "No room for the ids of %zu %s; ask for a wider page or one deck",
                          marks, marks == 1 ? "closure or passage" : "closures and passages"),
              d->unnamed, marks);
    draw_list(d,
              draw_format(d, "No room for the numbers of %zu %s; ask for a wider page or one deck",
                          spaces, spaces == 1 ? "space" : "spaces"),
              d->unnumbered, spaces);
    fputs("</g>\n", d->out);
}

void draw_foot(drawing *d)
{
    double width = d->page - 2 * d->margin;
    draw_key(d);
    draw_wordless(d);
    if (d->what->bare)
        return;
    draw_list(d, "Not seen in the profile, behind others", d->hidden, d->hidden_count);
    draw_list(d, "Closures and passages without room for a mark", d->crowded, d->crowded_count);
    draw_unplaced(d);
    if (!d->over.caution || d->what->embedded)
        return;
    fputs("<g class=\"caution\">", d->out);
    d->y += draw_paragraph(d->out, d->margin, d->y, width, NOTE_SIZE, false, INK_COLOUR,
                           draw_format(d, "Caution: %s", d->over.caution));
    fputs("</g>\n", d->out);
}
