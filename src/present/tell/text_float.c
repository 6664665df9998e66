#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/error.h"
#include "base/text.h"
#include "present/form/style.h"
#include "present/tell/float_words.h"
#include "present/tell/heading.h"
#include "present/tell/views.h"

static bool print_flooded(FILE *out, coaming_style style, const coaming_ship *ship,
                          const float_answer *a)
{
    char name[SHOWN], id[SHOWN];
    bool started = false;
    paragraph p;
    ink_on(out, style, INK_STRONG);
    if (paragraph_open(&p)) {
        fprintf(p.stream, "%s: how she floats with ", shown(name, ship->name, 40));
        for (size_t i = 0; i < a->floating->flooded_count; i++)
            paragraph_item(&p, &started, shown(id, ship->spaces[a->floating->flooded[i]].id, 24));
        fputs(started ? " open to the sea" : "nothing flooded", p.stream);
        if (a->floating->went_on_count)
            fputs(", and what water goes on to", p.stream);
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
    int over =
        (int)strlen(what) - (LABEL - 1); /* of a long label, which takes of the number's room */
    fprintf(out, "  %-*s%*.*f ", LABEL - 1, what, NUMBER - (over > 0 ? over : 0), decimals, value);
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

static bool print_heel(FILE *out, coaming_style style, const coaming_float *f)
{
    char words[96];
    snprintf(words, sizeof words, "degrees%s%s", heel_side(f, 2),
             f->loll ? ", the angle of loll: she is unstable upright" : "");
    return print_value(out, style, "heel", 2, *heel_side(f, 2) ? fabs(f->heel) : 0, words);
}

static const char *freeboard_words(const coaming_ship *ship, const coaming_float *f)
{
    bool named = ship->bulkhead_deck >= 0, under = f->freeboard < 0;
    return named   ? under ? "m, least, to the bulkhead deck: under water"
                           : "m, least, to the bulkhead deck"
           : under ? "m, least, to the deck edge: under water"
                   : "m, least, to the deck edge";
}

static bool print_position(FILE *out, coaming_style style, const coaming_ship *ship,
                           const coaming_float *f)
{
    return print_value(out, style, "draught aft", 3, f->draught_aft, "m") &&
           print_value(out, style, "draught mid", 3, f->draught, "m") &&
           print_value(out, style, "draught fwd", 3, f->draught_fwd, "m") &&
           print_leaning(out, style, "trim", 3, f->trim, "m", "by the bow", "by the stern") &&
           print_heel(out, style, f) &&
           print_value(out, style, f->loll ? "GM at that angle" : "GM", 3, f->gm,
                       f->loll ? "m; upright it is negative" : "m") &&
           print_value(out, style, "freeboard", 3, f->freeboard, freeboard_words(ship, f)) &&
           print_value(out, style, "displacement", 1, f->displacement, "t") &&
           print_value(out, style, "water taken", 1, f->flooded_volume, "m3");
}

/* As many beside each other as there is room for, three on 80 columns. */
static bool print_arms(FILE *out, coaming_style style, const coaming_ship *ship,
                       const coaming_stability *s)
{
    enum { WIDTH = 19 };
    const coaming_righting *r = &s->righting;
    int beside = style.columns / WIDTH, most = style.columns > 80 ? 6 : 3;
    beside = beside > most ? most : beside;
    fprintf(out, "\nRighting arms %s, trim free\n",
            r->arm[COAMING_RIGHTING_ARMS - 1].heel > 0 ? "to port" : "to starboard");
    for (int i = 0; i < s->arm_count; i++)
        fprintf(out, "%s  %3.0f deg %7.3f m", i % beside == 0 && i ? "\n" : "",
                fabs(r->arm[i].heel), fabs(r->arm[i].gz) < 5e-4 ? 0 : r->arm[i].gz);
    fputc('\n', out);
    bool open_end = s->arm_count == COAMING_RIGHTING_ARMS &&
                    r->arm[COAMING_RIGHTING_ARMS - 1].gz > 0 && s->flooding_opening < 0;
    char *ends = flooding_words(ship, s);
    bool good = ends && print_line(out, style, 2, 4, "greatest %.3f m; range %.1f degrees%s%s%s",
                                   r->greatest, r->range, open_end ? " or more" : "",
                                   *ends ? ": " : "", ends);
    free(ends);
    return good;
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
            double height = coaming_float_height(ship, &a->floating->at, a->openings[i]);
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

static bool print_grade(FILE *out, coaming_style style, const coaming_ship *ship,
                        const coaming_floating_answer *f)
{
    char *words = grade_words(ship, &f->at, &f->stability);
    bool bad = f->stability.grade >= COAMING_GRADE_NOT_SURVIVING;
    ink_on(out, style, bad ? INK_BAD : INK_PLAIN);
    bool good = words && print_line(out, style, 2, 4, "By this reckoning she %s.", words);
    ink_off(out, style, bad ? INK_BAD : INK_PLAIN);
    free(words);
    return good;
}

/* Where water has gone on, or would. */
static bool print_ways(FILE *out, coaming_style style, const coaming_ship *ship, const char *what,
                       const coaming_inflow *ways, size_t count)
{
    char *words = count ? way_words(ship, ways, count) : NULL;
    bool good =
        !count || (words && (!*words || print_line(out, style, 2, 4, "%s by %s.", what, words)));
    free(words);
    return good;
}

static bool print_would(FILE *out, coaming_style style, const coaming_ship *ship,
                        const float_answer *a)
{
    const coaming_floating_answer *f = a->floating;
    char *words = f->would_go_on_count ? would_go_on_words(ship, f) : NULL;
    bool bad = f->then.grade >= COAMING_GRADE_NOT_SURVIVING;
    ink_on(out, style, words && bad ? INK_BAD : INK_PLAIN);
    bool good = !f->would_go_on_count || (words && print_line(out, style, 2, 4, "%s", words));
    ink_off(out, style, words && bad ? INK_BAD : INK_PLAIN);
    free(words);
    return good;
}

static coaming_status text_float(FILE *out, coaming_style style, const coaming_ship *ship,
                                 const float_answer *a, coaming_error *error)
{
    const coaming_floating_answer *f = a->floating;
    bool good = print_flooded(out, style, ship, a) && print_state(out, style, a->outset) &&
                print_let_in(out, style, a->outset) && print_grade(out, style, ship, f) &&
                print_ways(out, style, ship, "Water goes on", f->went_on, f->went_on_count) &&
                print_would(out, style, ship, a);
    if (good && f->at.afloat == COAMING_AFLOAT_YES) {
        good =
            print_position(out, style, ship, &f->at) && print_arms(out, style, ship, &f->stability);
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

bool float_openings(const coaming_ship *ship, float_answer *a, int **openings)
{
    *openings = NULL;
    if (a->floating->at.afloat != COAMING_AFLOAT_YES)
        return true;
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
            list[count++] = (raised){coaming_float_height(ship, &a->floating->at, (int)l), (int)l};
    qsort(list, count, sizeof *list, lowest_first);
    for (size_t i = 0; i < count; i++)
        (*openings)[i] = list[i].link;
    memory_free(list);
    a->openings = *openings;
    a->opening_count = count;
    return true;
}

coaming_status coaming_print_float(FILE *out, coaming_style style, const coaming_outset *outset,
                                   const coaming_floating *floating, coaming_error *error)
{
    float_answer a = {outset, coaming_floating_get(floating), NULL, 0};
    int *openings = NULL;
    coaming_status status = COAMING_OK;
    if (!outset)
        return outset_missing(error);
    const coaming_ship *ship = coaming_outset_ship(outset);
    if (!float_openings(ship, &a, &openings))
        status = error_memory(error);
    if (status == COAMING_OK)
        status = style.format == COAMING_JSON  ? json_float(out, &a, error)
                 : style.format == COAMING_CSV ? csv_float(out, &a, error)
                                               : text_float(out, style_fit(style), ship, &a, error);
    memory_free(openings);
    return status;
}
