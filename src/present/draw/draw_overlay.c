/* What overlays are made of: lines and rows of words, fills and ways. */
#include <stdlib.h>

#include "present/draw/drawing.h"
#include "present/form/style.h"
#include "present/tell/float_words.h"
#include "present/tell/level_words.h"

enum { ITEMS_MOST = 200 };

void overlay_say(drawing *d, bool alarm, const char *text)
{
    overlay *o = &d->over;
    if (MEMORY_ROOM(o->lines, o->line_count, o->line_capacity))
        o->lines[o->line_count++] = (overlay_line){text, alarm};
    else
        d->lost = true;
}

void overlay_item(drawing *d, const char *text)
{
    overlay *o = &d->over;
    if (o->item_count < ITEMS_MOST)
        draw_append(d, &o->items, &o->item_count, &o->item_capacity, text);
    else
        o->items_left_out++;
}

const char *overlay_place(drawing *d, coaming_place place)
{
    char id[SHOWN], name[SHOWN];
    if (place == COAMING_SEA || place == COAMING_WEATHER)
        return coaming_place_id(d->ship, place);
    return draw_format(d, "%s (%s)", shown(id, d->ship->spaces[place].id, 24),
                       shown(name, d->ship->spaces[place].name, 50));
}

/* In one buffer: a ship may have thousands. */
static const char *listed(drawing *d, const int *of, size_t count, bool links)
{
    enum { COLUMNS = 24, ROOM = 4 * COLUMNS + 3 };
    char id[SHOWN], *list = draw_new(d, count * ROOM + 1, 1), *at = list;
    for (size_t i = 0; i < count && list; i++)
        at += snprintf(
            at, ROOM, "%s%s", i ? ", " : "",
            shown(id, links ? d->ship->links[of[i]].id : d->ship->spaces[of[i]].id, COLUMNS));
    return count && list ? list : "none";
}

const char *overlay_listed(drawing *d, const int *spaces, size_t count)
{
    return listed(d, spaces, count, false);
}

const char *overlay_listed_links(drawing *d, const int *links, size_t count)
{
    return listed(d, links, count, true);
}

void overlay_fill_all(drawing *d, const int *spaces, size_t count, space_fill fill)
{
    for (size_t i = 0; i < count; i++)
        d->over.fills[spaces[i]] = (unsigned char)fill;
}

void overlay_fill_source(drawing *d, coaming_place source)
{
    if (source >= 0)
        d->over.fills[source] = FILL_SOURCE;
}

static void say_let_in(drawing *d)
{
    char *words = let_in_words(d->what->outset);
    if (!words)
        d->lost = true;
    else if (*words)
        ALARM("%s", words);
    free(words);
}

void overlay_say_level(drawing *d, bool water)
{
    char words[SHOWN];
    if (!water)
        return;
    say_let_in(d);
    SAY("%s", level_sentence(words, d->ship, d->what->query));
}

/* Through a deck it goes to the side whose middle lies higher, outside of her up unless to sea. */
static int rise_into(const coaming_ship *ship, const ship_link *l, coaming_place into)
{
    coaming_place from = into == l->a ? l->b : l->a;
    if (l->clear.lies != DECK)
        return 0;
    if (into < 0 || from < 0)
        return (into == COAMING_WEATHER || from == COAMING_SEA) ? 1 : -1;
    const ship_space *to = &ship->spaces[into], *of = &ship->spaces[from];
    return to->top + to->bottom > of->top + of->bottom ? 1 : -1;
}

void overlay_way(drawing *d, int link, coaming_place into)
{
    link_note *n = &d->over.links[link];
    n->enters = true;
    n->into = into;
    n->rise = rise_into(d->ship, &d->ship->links[link], into);
}

const char *badge_numbers(const link_note *n, char numbers[BADGE_NUMBERS])
{
    size_t length = 0;
    numbers[0] = '\0';
    if (n->badge && !n->lines)
        snprintf(numbers, BADGE_NUMBERS, "%d", n->badge);
    for (int line = 0; n->lines && line < LINES_DRAWN; line++)
        if (n->lines >> line & 1)
            length += (size_t)snprintf(numbers + length, BADGE_NUMBERS - length, "%s%d",
                                       length ? " " : "", line + 1);
    return numbers;
}
