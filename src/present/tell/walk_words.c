#include "present/tell/walk_words.h"

#include <math.h>

static const char ENTRY[] = "Test the air and get a permit before going in.";

const char *walk_place(char buffer[SHOWN], const coaming_ship *ship, coaming_place place)
{
    return shown(buffer, place >= 0 ? ship->spaces[place].name : "the open deck", 30);
}

const char *walk_time(char buffer[SHOWN], double seconds)
{
    long minutes = (long)floor(seconds / 60 + 0.5);
    if (seconds < 180) {
        snprintf(buffer, SHOWN, "%.0f s", seconds);
        return buffer;
    }
    if (minutes >= 60)
        snprintf(buffer, SHOWN, "%ld h %02ld min", minutes / 60, minutes % 60);
    else
        snprintf(buffer, SHOWN, "%ld min", minutes);
    return buffer;
}

void say_way(FILE *out, const coaming_ship *ship, const coaming_round_stop *s)
{
    char id[SHOWN];
    fprintf(out, "walk %.0f m", s->metres);
    for (size_t i = 0; i < s->through_count; i++)
        fprintf(out, "%s%s", i ? ", " : " by ", shown(id, ship->links[s->through[i]].id, 20));
}

void list_spaces(FILE *out, const coaming_ship *ship, const int *spaces, size_t count)
{
    char name[SHOWN];
    for (size_t i = 0; i < count; i++)
        fprintf(out, "%s%s", i ? ", " : "", shown(name, ship->spaces[spaces[i]].name, 50));
}

bool print_entry(FILE *out, coaming_style style, const coaming_ship *ship,
                 const coaming_round_stop *s)
{
    paragraph p;
    if (!s->enclosed_count)
        return true;
    if (paragraph_open(&p)) {
        fputs("Enclosed: ", p.stream);
        list_spaces(p.stream, ship, s->enclosed, s->enclosed_count);
        fprintf(p.stream, ". %s", ENTRY);
    }
    return paragraph_close_in(&p, out, style, INK_BAD, 6, 8);
}

const char *walk_assumed(char buffer[SHOWN], const coaming_round_options *o)
{
    char pace[SHOWN], climb[SHOWN], door[SHOWN];
    snprintf(
        buffer, SHOWN,
        "%.20s m/s on the level, %.20s m/s climbing, %.20s s for a door, straight lines within "
        "a space",
        amount(pace, o->pace), amount(climb, o->climb), amount(door, o->door));
    return buffer;
}
