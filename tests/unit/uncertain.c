#include "uncertain.h"

#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "ships.h"

enum { SPACES = 14 };

static void put_space(FILE *out, dice *d, int number, const int box[6])
{
    fprintf(out,
            "<space id=\"s%d\" name=\"n\" permeability=\"0.%d\" worth=\"%d\" people=\"%d\">"
            "<box x=\"%d %d\" y=\"%d %d\" z=\"%d %d\"/></space>",
            number, 5 + dice_below(d, 5), dice_below(d, 6), dice_below(d, 3), box[0], box[1],
            box[2], box[3], box[4], box[5]);
}

static void put_closure(FILE *out, dice *d, int number, int spaces, bool may_leak)
{
    static const char *const chances[] = {"0.3", "0.05", "0.9", "1", "0.5", "0.01"};
    int a = dice_below(d, spaces), b = dice_below(d, spaces + 3) - 2;
    if (b == a)
        b = -1;
    fprintf(
        out,
        "<closure id=\"c%d\" kind=\"door\" rating=\"%s\" leak-probability=\"%s\"%s between=\"s%d ",
        number,
        may_leak           ? "watertight"
        : dice_below(d, 2) ? "nontight"
                           : "weathertight",
        may_leak ? chances[dice_below(d, 6)] : "0.2", dice_below(d, 9) ? "" : " protected=\"yes\"",
        a);
    if (b < 0)
        fputs(b == -1 ? "sea" : "weather", out);
    else
        fprintf(out, "s%d", b < spaces ? b : a ? 0 : spaces > 1);
    fprintf(out,
            "\"><clear x=\"%d\" y=\"%d\" z=\"%d.%d\" width=\"0.6\" height=\"1\" lies=\"deck\"/>"
            "</closure>",
            dice_below(d, 60), dice_below(d, 12) - 6, dice_below(d, 7), dice_below(d, 10));
}

coaming_ship *random_uncertain_ship(int number, const char *more)
{
    dice d = {(uint64_t)number * 131 + 17};
    char *text = NULL;
    size_t size;
    int spaces = 0, uncertain = dice_below(&d, MOST_UNCERTAIN + 1);
    FILE *out = open_memstream(&text, &size);
    fprintf(out,
            "<arrangement xmlns=\"urn:coaming:arrangement:1\" name=\"T\"><ship length=\"60\" "
            "beam=\"12\" depth=\"7\" draft=\"%d.%d\" kg=\"4.%d\"/>",
            2 + dice_below(&d, 3), dice_below(&d, 10), dice_below(&d, 8));
    for (int i = 0; i < SPACES; i++) {
        if (i && dice_below(&d, 6) == 0)
            continue;
        int x = i % 3 * 20, y = i / 3 % 2 ? 0 : -6, z = i / 6 * 3;
        int box[] = {x, x + 20, y, y + 6, z, z + 3},
            house[] = {20 * i - 240, 20 * i - 221, -4, 4, 7, 9};
        put_space(out, &d, spaces++, i < 12 ? box : house);
    }
    for (int c = 0, others = dice_below(&d, 5); c < uncertain + others; c++)
        put_closure(out, &d, c, spaces, c < uncertain);
    fprintf(out, "%s</arrangement>", more);
    fclose(out);
    coaming_ship *ship = NULL;
    coaming_error error = {0};
    coaming_status status = ship_from_text(text, NULL, NULL, &ship, &error);
    ck_assert_msg(status == COAMING_OK, "ship %d: %s", number, error.message);
    free(text);
    return ship;
}

/* Chance of the others than closure i. */
static double chance_without(const question *q, int state, int i)
{
    question others = *q;
    others.leaks[q->uncertain[i]] = state & 1 << i ? 1 : 0;
    return chance_of(&others, state);
}

static double value_of(const rest *r, value which)
{
    double all[] = {r->s, r->lost, r->worth, r->volume, is_lost(&r->at)};
    return all[which];
}

void enumerate_states(const question *q, rest *rests, truth *t)
{
    memset(t, 0, sizeof *t);
    for (int state = 0; state < 1 << q->count; state++) {
        plain_rest(q, state, &rests[state]);
        for (int v = 0; v < VALUES; v++) {
            double found = value_of(&rests[state], (enum value)v);
            t->expected[v] += chance_of(q, state) * found;
            for (int i = 0; i < q->count; i++)
                (state & 1 << i ? t->leaks : t->holds)[v][i] += chance_without(q, state, i) * found;
        }
    }
}
