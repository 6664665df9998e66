#include <math.h>
#include <stdlib.h>

#include "base/error.h"
#include "base/text.h"
#include "present/style.h"
#include "present/views.h"

const char *coaming_float_caution(void)
{
    return "Worked out from the arrangement as recorded, for still water and a ship at rest: "
           "displacement and centre of gravity as when intact, the hull tight up to its deck, "
           "nothing shifting, no wind and no waves. Ship's orders, class, flag and licensed "
           "practice decide.";
}

static bool print_flooded(FILE *out, coaming_style style, const coaming_ship *ship,
                          const float_answer *a)
{
    char name[SHOWN], id[SHOWN];
    bool started = false;
    paragraph p;
    ink_on(out, style, INK_STRONG);
    if (paragraph_open(&p)) {
        fprintf(p.stream, "%s: how she floats with ", shown(name, ship->name, 40));
        for (size_t i = 0; i < a->flooded_count; i++)
            paragraph_item(&p, &started, shown(id, ship->spaces[a->flooded[i]].id, 24));
        fputs(started ? " open to the sea" : "nothing flooded", p.stream);
    }
    bool good = paragraph_close(&p, out, style, 0, 2);
    ink_off(out, style, INK_STRONG);
    return good;
}

enum { LABEL = 16, NUMBER = 7, WORDS = LABEL + NUMBER + 2 }; /* columns */

/* "  draught aft    5.044 m" */
static bool print_value(FILE *out, coaming_style style, const char *what, int decimals,
                        double value, const char *words)
{
    fprintf(out, "  %-*s%*.*f ", LABEL - 1, what, NUMBER, decimals, value);
    return print_line(out, style, -WORDS, WORDS, "%s", words);
}

/* "  trim             2.405 m by the stern"; what is no more than rounding is 0 to neither side. */
static bool print_leaning(FILE *out, coaming_style style, const char *what, int decimals,
                          double value, const char *unit, const char *positive,
                          const char *negative)
{
    char words[64];
    bool none = fabs(value) < 0.5 * pow(10, -decimals);
    snprintf(words, sizeof words, "%s%s%s", unit, none ? "" : " ",
             none        ? ""
             : value > 0 ? positive
                         : negative);
    return print_value(out, style, what, decimals, none ? 0 : fabs(value), words);
}

static bool print_position(FILE *out, coaming_style style, const coaming_float *f)
{
    return print_value(out, style, "draught aft", 3, f->draught_aft, "m") &&
           print_value(out, style, "draught mid", 3, f->draught, "m") &&
           print_value(out, style, "draught fwd", 3, f->draught_fwd, "m") &&
           print_leaning(out, style, "trim", 3, f->trim, "m", "by the bow", "by the stern") &&
           print_leaning(out, style, "heel", 2, f->heel, "degrees", "to port", "to starboard") &&
           print_value(out, style, "GM", 3, f->gm, "m") &&
           print_value(out, style, "freeboard", 3, f->freeboard,
                       f->freeboard < 0 ? "m, least, to the deck edge: under water"
                                        : "m, least, to the deck edge") &&
           print_value(out, style, "displacement", 1, f->displacement, "t") &&
           print_value(out, style, "water taken", 1, f->flooded_volume, "m3");
}

/* As many beside each other as there is room for, three on 80 columns. */
static bool print_arms(FILE *out, coaming_style style, const float_answer *a)
{
    enum { WIDTH = 19 };
    const coaming_righting *r = &a->righting;
    int beside = style.columns / WIDTH, most = style.columns > 80 ? 6 : 3;
    beside = beside > most ? most : beside;
    fprintf(out, "\nRighting arms %s, trim free\n",
            r->arm[COAMING_RIGHTING_ARMS - 1].heel > 0 ? "to port" : "to starboard");
    for (int i = 0; i < COAMING_RIGHTING_ARMS; i++)
        fprintf(out, "%s  %3.0f deg %7.3f m", i % beside == 0 && i ? "\n" : "",
                fabs(r->arm[i].heel), fabs(r->arm[i].gz) < 5e-4 ? 0 : r->arm[i].gz);
    fputc('\n', out);
    return print_line(out, style, 2, 4, "greatest %.3f m; range %.1f degrees%s", r->greatest,
                      r->range, r->arm[COAMING_RIGHTING_ARMS - 1].gz > 0 ? " or more" : "");
}

/* Openings to the weather: those under water, then how far the rest are above it. */
static bool print_openings(FILE *out, coaming_style style, const coaming_ship *ship,
                           const float_answer *a)
{
    for (int dry = 0; dry < 2; dry++) {
        char id[SHOWN], item[2 * SHOWN];
        bool started = false;
        paragraph p;
        if (!paragraph_open(&p))
            return false;
        fputs(dry ? "Openings to the weather, above the water by: "
                  : "Openings to the weather under water: ",
              p.stream);
        for (size_t i = 0; i < a->opening_count; i++) {
            double height = coaming_float_height(ship, &a->at, a->openings[i]);
            if ((height >= 0) != (dry == 1))
                continue;
            shown(id, ship->links[a->openings[i]].id, 24);
            if (dry)
                snprintf(item, sizeof item, "%s %.2f m", id, height);
            else
                snprintf(item, sizeof item, "%s", id);
            paragraph_item(&p, &started, item);
        }
        if (!started)
            fputs("none", p.stream);
        if (!paragraph_close(&p, out, style, 0, 2))
            return false;
    }
    return true;
}

static coaming_status text_float(FILE *out, coaming_style style, const coaming_ship *ship,
                                 const float_answer *a, coaming_error *error)
{
    bool good = print_flooded(out, style, ship, a), afloat = a->at.afloat == COAMING_AFLOAT_YES;
    good = good && print_line(out, style, 2, 4, "By this reckoning she %s.",
                              coaming_afloat_text(a->at.afloat));
    if (afloat) {
        good = good && print_position(out, style, &a->at) && print_arms(out, style, a);
        fputc('\n', out);
        good = good && print_openings(out, style, ship, a);
    }
    good = print_caution(out, style, coaming_float_caution()) && good;
    return good ? COAMING_OK : error_memory(error);
}

typedef struct {
    double height;
    int link;
} raised;

static int lowest_first(const void *left, const void *right)
{
    const raised *a = left, *b = right;
    if (a->height != b->height)
        return a->height < b->height ? -1 : 1;
    return (a->link > b->link) - (a->link < b->link);
}

/* The links to the weather by their height above the water; *openings is to be freed. */
static bool sort_openings(const coaming_ship *ship, float_answer *a, int **openings)
{
    raised *list = memory_new(ship->link_count, sizeof *list);
    *openings = memory_new(ship->link_count, sizeof **openings);
    size_t count = 0;
    if (!list || !*openings) {
        memory_free(list);
        return false;
    }
    for (size_t l = 0; l < ship->link_count; l++)
        if ((ship->links[l].a == COAMING_WEATHER && ship->links[l].b >= 0) ||
            (ship->links[l].b == COAMING_WEATHER && ship->links[l].a >= 0))
            list[count++] = (raised){coaming_float_height(ship, &a->at, (int)l), (int)l};
    qsort(list, count, sizeof *list, lowest_first);
    for (size_t i = 0; i < count; i++)
        (*openings)[i] = list[i].link;
    memory_free(list);
    a->openings = *openings;
    a->opening_count = count;
    return true;
}

static coaming_status answer(const coaming_ship *ship, float_answer *a, int **openings,
                             coaming_error *error)
{
    coaming_flotation *f = NULL;
    bool *flooded = memory_new(ship->space_count, sizeof *flooded);
    if (!flooded)
        return error_memory(error);
    for (size_t i = 0; i < a->flooded_count; i++)
        flooded[a->flooded[i]] = true;
    coaming_status status = coaming_flotation_new(ship, &f, error);
    if (status == COAMING_OK)
        status = coaming_flotation_solve(f, flooded, &a->at, error);
    if (status == COAMING_OK && a->at.afloat == COAMING_AFLOAT_YES) {
        coaming_flotation_righting(f, flooded, &a->at, &a->righting);
        if (!sort_openings(ship, a, openings))
            status = error_memory(error);
    }
    coaming_flotation_free(f);
    memory_free(flooded);
    return status;
}

coaming_status coaming_print_float(FILE *out, coaming_style style, const coaming_ship *ship,
                                   int condition, const int *flooded, size_t count,
                                   coaming_error *error)
{
    float_answer a = {.condition = condition, .flooded = flooded, .flooded_count = count};
    int *openings = NULL;
    coaming_status status = answer(ship, &a, &openings, error);
    if (status == COAMING_OK)
        status = style.format == COAMING_JSON  ? json_float(out, ship, &a, error)
                 : style.format == COAMING_CSV ? csv_float(out, ship, &a, error)
                                               : text_float(out, style_fit(style), ship, &a, error);
    memory_free(openings);
    return status;
}
