/* Zones along her, in step with the profile: a row as built and one as last tested, each zone shaded
 * by the share that is lost there, with the figure where there is room. */
#include <math.h>
#include <string.h>

#include "present/draw/drawing.h"
#include "present/form/markup.h"
#include "present/form/style.h"

enum { ABOVE = 32, NUMBERS = 9, CAPTION = 10, CELL = 12 }; /* points; ABOVE: the scale of frames */

typedef struct {
    coaming_answer state;
    const char *word, *caption;
} strip_row;

static const strip_row rows[] = {
    {COAMING_AS_BUILT, "as-built", "Lost of the index that damage there bears, as built:"},
    {COAMING_AS_TESTED, "as-tested", "The same, as last tested:"}};
enum { ROWS = sizeof rows / sizeof *rows };

double strip_height(const drawing *d, const view *v)
{
    return v->profile && d->over.zone_count ? NUMBERS + ROWS * (CAPTION + CELL) + 6 : 0;
}

loss_shade shade_of(double lost)
{
    loss_shade shade = lost > 0 ? SHADE_LITTLE : SHADE_NONE;
    while (shade && shade + 1 < SHADE_COUNT && lost >= loss_shades[shade + 1].from)
        shade++;
    return shade;
}

static void draw_numbers(drawing *d, const view *v, double y)
{
    for (size_t i = 0; i < d->over.zone_count; i++) {
        const zone_cell *z = &d->over.zones[i];
        const char *number = draw_format(d, "%zu", i + 1);
        if (text_points(number, LABEL_SIZE, false) < (z->to - z->from) * d->scale)
            draw_label(d->out, v->ox + (z->from + z->to) / 2 * d->scale, y, "middle", false, number,
                       strlen(number));
    }
    draw_label(d->out, v->area.x0 - 9, y, "end", false, "zone", strlen("zone"));
}

static void draw_cell(drawing *d, const view *v, const strip_row *row, size_t zone, double y)
{
    const zone_cell *z = &d->over.zones[zone];
    double lost = z->lost[row->state], x = v->ox + z->from * d->scale;
    double width = (z->to - z->from) * d->scale;
    loss_shade shade = shade_of(lost);
    char words[SHOWN];
    percent(words, lost);
    d->seen.shades[shade] = true;
    markup_put(d->out,
               "<rect class=\"zone\" data-zone=\"%zu\" data-shade=\"%s\" x=\"%f\" y=\"%f\" "
               "width=\"%f\" height=\"%d\" fill=\"%s\" stroke=\"%s\" stroke-width=\"0.6\">"
               "<title>zone %zu, %s: %s</title></rect>",
               zone + 1, loss_shades[shade].word, x, y, width, CELL, loss_shades[shade].fill,
               INK_COLOUR, zone + 1, row->word, words);
    if (text_points(words, LABEL_SIZE, false) + 2 < width)
        draw_label(d->out, x + width / 2, y + 8.5, "middle", false, words, strlen(words));
}

void draw_strip(drawing *d, const view *v)
{
    double y = v->area.y1 + ABOVE + NUMBERS;
    if (!strip_height(d, v))
        return;
    fputs("<g class=\"zones\">\n", d->out);
    draw_numbers(d, v, y - 2);
    for (int i = 0; i < ROWS; i++) {
        markup_put(d->out, "<g class=\"zone-row\" data-state=\"%s\">", rows[i].word);
        draw_label(d->out, v->area.x0, y + CAPTION - 2.5, "", false, rows[i].caption,
                   strlen(rows[i].caption));
        y += CAPTION;
        for (size_t zone = 0; zone < d->over.zone_count; zone++)
            draw_cell(d, v, &rows[i], zone, y);
        y += CELL;
        fputs("</g>\n", d->out);
    }
    fputs("</g>\n", d->out);
}
