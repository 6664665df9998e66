#include "generate.h"

#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

#include "bench.h"
#include "coaming/seen.h"
#include "ship/ship.h"

enum { DECKS = 5, ABREAST = 3 };
static const double LONG = 6, WIDE = 4, HIGH = 2.6;

static uint64_t roll(uint64_t *state)
{
    *state = *state * 6364136223846793005u + 1442695040888963407u; /* Knuth, MMIX */
    return *state >> 33;
}

static size_t number(size_t along, size_t across, size_t deck)
{
    return (along * DECKS + deck) * ABREAST + across;
}

static void put_space(FILE *out, size_t along, size_t across, size_t deck)
{
    double x = LONG * (double)along, y = WIDE * ((double)across - 1.5), z = HIGH * (double)deck;
    fprintf(out,
            "<space id=\"s%zu\" name=\"Space %zu\" use=\"%s\" people=\"%zu\" worth=\"%zu\"%s>"
            "<box x=\"%g %g\" y=\"%g %g\" z=\"%g %g\"/></space>\n",
            number(along, across, deck), number(along, across, deck),
            deck < 2 ? "machinery" : "accommodation", along % 3, 1 + (along + deck) % 9,
            across != 1 ? " shell=\"yes\"" : "", x, x + LONG, y, y + WIDE, z, z + HIGH);
}

typedef struct {
    double x, y, z;
    const char *lies;
} place;

static void put_closure(FILE *out, size_t id, size_t from, const char *to, place at,
                        uint64_t *state)
{
    int fate = (int)(roll(state) % 100);
    fprintf(out,
            "<closure id=\"c%zu\" name=\"Closure %zu\" kind=\"door\" between=\"s%zu %s\" "
            "rating=\"%s\" hours=\"3\"><clear x=\"%g\" y=\"%g\" z=\"%g\" width=\"0.66\" "
            "height=\"1.68\" lies=\"%s\"/>",
            id, id, from, to, fate < 2 ? "nontight" : "watertight", at.x, at.y, at.z, at.lies);
    if (fate >= 6)
        fprintf(out, "<test date=\"2026-0%d-11\" method=\"chalk\" result=\"%s\"/>", 1 + fate % 8,
                fate < 10 ? "fail" : "pass");
    fputs("</closure>\n", out);
}

/* The three closures of a space: forward, to port, upward. */
static void put_closures(FILE *out, size_t length, size_t along, size_t across, size_t deck,
                         size_t *id, uint64_t *state)
{
    double x = LONG * (double)along, y = WIDE * ((double)across - 1.5), z = HIGH * (double)deck;
    size_t from = number(along, across, deck);
    const char *outside = deck < 2 ? "sea" : "weather";
    char to[32];
    snprintf(to, sizeof to, "s%zu", number(along + 1, across, deck));
    put_closure(out, (*id)++, from, along + 1 < length ? to : outside,
                (place){x + LONG, y + WIDE / 2, z + 0.3, "transverse"}, state);
    snprintf(to, sizeof to, "s%zu", number(along, across + 1, deck));
    put_closure(out, (*id)++, from, across + 1 < ABREAST ? to : outside,
                (place){x + LONG / 2, y + WIDE, z + 0.3, "longitudinal"}, state);
    snprintf(to, sizeof to, "s%zu", number(along, across, deck + 1));
    put_closure(out, (*id)++, from, deck + 1 < DECKS ? to : "weather",
                (place){x + LONG / 2, y + WIDE / 2, z + HIGH, "deck"}, state);
}

size_t generate_ship(const char *path, size_t spaces)
{
    size_t length = (spaces + DECKS * ABREAST - 1) / (DECKS * ABREAST), id = 0;
    uint64_t state = spaces;
    FILE *out = fopen(path, "w");
    if (!out)
        return 0;
    fprintf(out,
            "<?xml version=\"1.0\"?>\n<arrangement xmlns=\"urn:coaming:arrangement:1\" "
            "name=\"Benchmark %zu\">\n<ship length=\"%g\" beam=\"12\" depth=\"13\" draft=\"5.2\" "
            "kg=\"4.5\"/>\n",
            spaces, LONG * (double)length);
    for (size_t along = 0; along < length; along++)
        for (size_t deck = 0; deck < DECKS; deck++)
            for (size_t across = 0; across < ABREAST; across++)
                put_space(out, along, across, deck);
    for (size_t along = 0; along < length; along++)
        for (size_t deck = 0; deck < DECKS; deck++)
            for (size_t across = 0; across < ABREAST; across++)
                put_closures(out, length, along, across, deck, &id, &state);
    fputs("</arrangement>\n", out);
    return fclose(out) == 0 ? length * DECKS * ABREAST : 0;
}

void generate_open(coaming_ship *ship)
{
    const char **ids = calloc(ship->closure_count, sizeof *ids);
    coaming_seen seen = {{ids, NULL, NULL}, {0, 0, 0}};
    coaming_error error;
    for (size_t i = 0; i < ship->closure_count; i++)
        if (ship->links[i].a >= 0 && ship->links[i].b >= 0)
            ids[seen.count[COAMING_SEEN_OPEN]++] = ship->links[i].id;
    must(coaming_ship_see(ship, &seen, &error), &error);
    free(ids);
}
