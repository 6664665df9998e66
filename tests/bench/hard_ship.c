#include "hard_ship.h"

#include <stdint.h>
#include <stdio.h>

enum { ABREAST = 8, DECKS = 5, ACROSS = 6 };
static const double LONG = 10, WIDE = 6, HIGH = 2.5;

typedef struct {
    FILE *out;
    size_t length, links;
    uint64_t state;
    int passages; /* whether passages are written, or closures: these come first in a file */
} yard;

static unsigned roll(yard *y, unsigned sides)
{
    y->state = y->state * 6364136223846793005u + 1442695040888963407u; /* Knuth, MMIX */
    return (unsigned)((y->state >> 33) % sides);
}

/* A box, by its place along, across and up. */
typedef struct {
    size_t x, y, z;
} box;

static size_t number(box b)
{
    return (b.x * DECKS + b.z) * ABREAST + b.y;
}

static void put_space(yard *y, box b)
{
    double x = LONG * (double)b.x, across = WIDE * ((double)b.y - ABREAST / 2),
           z = HIGH * (double)b.z;
    unsigned worth = 1 + roll(y, 9), people = roll(y, 4);
    fprintf(y->out,
            "<space id=\"s%zu\" name=\"Space %zu\" worth=\"%u\" people=\"%u\"%s>"
            "<box x=\"%g %g\" y=\"%g %g\" z=\"%g %g\"/></space>\n",
            number(b), number(b), worth, people,
            b.z < 4 && (b.y == 0 || b.y == ABREAST - 1) ? " shell=\"yes\"" : "", x, x + LONG,
            across, across + WIDE, z, z + HIGH);
}

static const char *rating(unsigned rolled)
{
    static const char *const others[] = {"weathertight", "airtight", "nontight"};
    return rolled < 6 ? "watertight" : others[rolled - 6];
}

/* Somewhere in the side that the two have in common. `lies`: 0 along, 1 across, 2 up. */
static void put_link(yard *y, box a, box b, int lies)
{
    static const char *const planes[] = {"transverse", "longitudinal", "deck"};
    double at[3] = {LONG * (double)a.x + LONG * roll(y, 99) / 100,
                    WIDE * ((double)a.y - ABREAST / 2) + WIDE * roll(y, 99) / 100,
                    HIGH * (double)a.z + roll(y, 130) / 100.0};
    const double far[3] = {LONG * (double)b.x, WIDE * ((double)b.y - ABREAST / 2),
                           HIGH * (double)b.z};
    at[lies] = far[lies];
    size_t id = y->links++;
    int passage = roll(y, 100) < 8;
    unsigned rated = roll(y, 9), tested = roll(y, 9), month = 1 + roll(y, 9), open = roll(y, 10);
    if (passage != y->passages)
        return;
    fprintf(y->out, "<%s id=\"l%zu\" name=\"Link %zu\" between=\"s%zu s%zu\" kind=\"%s\"",
            passage ? "passage" : "closure", id, id, number(a), number(b),
            passage ? "arch" : "door");
    if (!passage)
        fprintf(y->out, " rating=\"%s\" hours=\"3\" shut-in=\"%s\"", rating(rated),
                open ? "sea working" : "sea");
    fprintf(y->out,
            "><clear x=\"%.2f\" y=\"%.2f\" z=\"%.2f\" width=\"0.7\" height=\"1.2\" lies=\"%s\"/>",
            at[0], at[1], at[2], planes[lies]);
    if (!passage && tested < 7)
        fprintf(y->out, "<test date=\"2026-0%u-11\" method=\"chalk\" result=\"%s\"/>", month,
                tested ? "pass" : "fail");
    fprintf(y->out, "</%s>\n", passage ? "passage" : "closure");
}

static void put_links_of(yard *y, box b, unsigned share)
{
    const box next[] = {{b.x + 1, b.y, b.z}, {b.x, b.y + 1, b.z}, {b.x, b.y, b.z + 1}};
    for (int lies = 0; lies < 3; lies++)
        for (int place = 0; place < 2; place++)
            if (roll(y, 100) < share && next[lies].x < y->length && next[lies].y < ABREAST &&
                next[lies].z < DECKS)
                put_link(y, b, next[lies], lies);
}

static void each_box(yard *y, void (*put)(yard *, box, unsigned), unsigned share)
{
    for (size_t x = 0; x < y->length; x++)
        for (size_t z = 0; z < DECKS; z++)
            for (size_t across = 0; across < ABREAST; across++)
                put(y, (box){x, across, z}, share);
}

static void put_one(yard *y, box b, unsigned share)
{
    (void)share;
    put_space(y, b);
}

static void put_links(yard *y, unsigned share, int passages)
{
    y->passages = passages;
    y->links = 0;
    y->state = 12;
    each_box(y, put_links_of, share);
    for (int i = 0; i < ACROSS; i++) {
        size_t x = roll(y, (unsigned)y->length), z = roll(y, DECKS);
        put_link(y, (box){x, 0, z}, (box){x, ABREAST - 1, z}, 1);
    }
}

size_t hard_ship(const char *path, size_t length, unsigned share)
{
    yard y = {.out = fopen(path, "w"), .length = length, .state = 7};
    if (!y.out)
        return 0;
    fprintf(y.out,
            "<?xml version=\"1.0\"?>\n<arrangement xmlns=\"urn:coaming:arrangement:1\" "
            "name=\"Hard %zu\">\n<ship length=\"%g\" beam=\"%g\" depth=\"%g\" draft=\"7\" "
            "kg=\"6\"/>\n<condition id=\"sea\" name=\"At sea\"/>\n"
            "<condition id=\"working\" name=\"Working\"/>\n",
            length * ABREAST * DECKS, LONG * (double)length, WIDE * ABREAST, HIGH * DECKS);
    each_box(&y, put_one, 0);
    put_links(&y, share, 0);
    put_links(&y, share, 1);
    fputs("</arrangement>\n", y.out);
    return fclose(y.out) == 0 ? length * ABREAST * DECKS : 0;
}
