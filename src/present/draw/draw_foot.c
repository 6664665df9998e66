/* Title, words of the overlay, key, what has no place, caution. */
#include <math.h>
#include <stdlib.h>

#include "present/draw/drawing.h"
#include "present/form/style.h"
#include "present/tell/standing_words.h"

/* "; loaded as in Departure"; "" without a loading. */
static const char *loading_of(drawing *d)
{
    int l = d->what->query.loading;
    return l >= 0 ? draw_format(d, "; loaded as in %s", d->ship->loadings[l].name) : "";
}

/* "; as seen: D3 open"; "" where nothing is. A page that the drawing stands in has said so. */
static const char *seen_of(drawing *d)
{
    char *words = seen_words(d->ship);
    if (!words)
        d->lost = true;
    const char *said =
        words && *words && !d->what->embedded ? draw_format(d, "; " AS_SEEN ": %s", words) : "";
    free(words);
    return said;
}

void draw_title(drawing *d)
{
    char tested[SHOWN];
    double width = d->page - 2 * d->margin, size = d->what->compact ? 10 : 15;
    const char *name = text_cut(d, d->ship->name, size, true, width);
    if (!d->what->embedded)
        d->y += draw_paragraph(d->out, d->margin, d->y, width, size, true, INK_COLOUR, name);
    const char *what =
        draw_format(d, "%s%s%s. Scale 1:%d where this page is %.0f mm wide. Bow to the right%s.",
                    tested_words(tested, d->ship, d->what->query.condition), seen_of(d),
                    loading_of(d), d->one_to, d->what->width, d->what->plans ? ", port up" : "");
    d->y +=
        draw_paragraph(d->out, d->margin, d->y, width, NOTE_SIZE, false, QUIET_COLOUR, what) + 4;
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

/* Adds what earlier drawings of a set show to what this one does, and the other way round. */
static void share_seen(bool *own, bool *all, size_t count)
{
    for (size_t i = 0; all && i < count; i++)
        all[i] = own[i] = own[i] || all[i];
}

/* A closure or passage without a place is named as such, where that is done. */
static bool unseen_link(const drawing *d, size_t link)
{
    return matters(&d->over.links[link]) && !d->met_links[link] &&
           (d->what->bare || placed(d, &d->ship->links[link]));
}

/* What the overlay says of spaces and closures that are neither seen nor named in any view, nor in
 * those of the drawings that go with this one. */
static void draw_unseen(drawing *d)
{
    size_t spaces = d->ship->space_count, links = d->ship->link_count, count = 0;
    share_seen(d->met, d->what->seen, spaces);
    share_seen(d->met_links, d->what->seen_links, links);
    if (d->what->seen && d->what->more)
        return;
    const char **words = draw_new(d, spaces + links, sizeof *words);
    for (size_t i = 0; words && i < spaces; i++)
        if (d->over.fills[i] && !d->met[i])
            words[count++] = draw_hidden_words(d, (int)i);
    for (size_t i = 0; words && i < links; i++)
        if (unseen_link(d, i))
            words[count++] = draw_unseen_words(d, (int)i);
    fputs("<g class=\"unseen\">\n", d->out);
    draw_list(d, "Not seen in what is drawn here", words, count);
    fputs("</g>\n", d->out);
}

void draw_foot(drawing *d)
{
    double width = d->page - 2 * d->margin;
    draw_key(d);
    if (d->what->sketch)
        return;
    draw_wordless(d);
    draw_unseen(d);
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
