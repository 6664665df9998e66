#include <math.h>

#include "base/error.h"
#include "present/form/style.h"
#include "present/tell/chance_words.h"
#include "present/tell/float_words.h"
#include "present/tell/heading.h"
#include "present/tell/place_words.h"
#include "present/tell/standing_words.h"
#include "present/tell/views.h"
#include "present/tell/walk_words.h"
#include "ship/access.h"
#include "ship/state.h"

typedef struct {
    FILE *out;
    coaming_style style;
    const coaming_ship *ship;
    const coaming_outset *outset;
    const coaming_boundary *boundary;
    coaming_boundary_sum sum;
    size_t stops; /* told so far */
} page;

static const char *place_name(char buffer[SHOWN], const coaming_ship *ship, coaming_place place)
{
    return place == COAMING_SEA       ? "the sea"
           : place == COAMING_WEATHER ? walk_place(buffer, ship, place)
                                      : shown(buffer, ship->spaces[place].name, 50);
}

/* Without a condition nobody has said that they are shut. */
static const char *already(const page *t)
{
    return coaming_outset_query(t->outset).condition < 0 ? "taken as shut" : "shut already";
}

/* Of more the names would bury the answer. */
enum { NAMED_MOST = 8 };

/* "3 to shut, 2 CANNOT BE SHUT, 5 shut already" */
static bool print_first(const page *t)
{
    const coaming_boundary_sum *s = &t->sum;
    size_t count, cannot = s->count[COAMING_BOUND_CANNOT];
    const int *spaces = coaming_boundary_spaces(t->boundary, &count);
    paragraph p;
    if (paragraph_open(&p)) {
        fputs("TO SEAL OFF ", p.stream);
        if (count <= NAMED_MOST)
            list_spaces(p.stream, t->ship, spaces, count);
        else
            fprintf(p.stream, "%zu spaces", count);
        fprintf(p.stream, ": %zu to shut, ", s->count[COAMING_BOUND_TO_SHUT]);
        fprintf(p.stream, cannot ? "%zu CANNOT BE SHUT, " : "none that cannot be shut, ", cannot);
        fprintf(p.stream, "%zu %s.", s->count[COAMING_BOUND_SHUT], already(t));
    }
    return paragraph_close_in(&p, t->out, t->style, cannot ? INK_BAD : INK_STRONG, 0, 2);
}

static bool print_slow(const page *t)
{
    char count[SHOWN];
    if (!t->sum.slow)
        return true;
    ink_on(t->out, t->style, INK_BAD);
    bool good = print_line(t->out, t->style, 2, 4,
                           "%s weathertight only and would be under water: shut, %s, and may not "
                           "hold.",
                           counted(count, (double)t->sum.slow, "closure is", "closures are"),
                           t->sum.slow == 1 ? "it slows the water" : "they slow the water");
    ink_off(t->out, t->style, INK_BAD);
    return good;
}

static bool print_doubt(const page *t)
{
    const coaming_boundary_sum *s = &t->sum;
    if (!s->failed && !s->untested)
        return true;
    return print_line(t->out, t->style, 2, 4,
                      "Of those %s %zu stand%s as FAILED, %zu as "
                      "untested.",
                      already(t), s->failed, s->failed == 1 ? "s" : "", s->untested);
}

static bool print_chance(const page *t)
{
    char chance[SHOWN];
    const coaming_boundary_sum *s = &t->sum;
    if (s->count[COAMING_BOUND_CANNOT] || s->sure)
        return print_line(t->out, t->style, 2, 4,
                          "What %s leaves a way open whatever else is done.",
                          s->count[COAMING_BOUND_CANNOT] ? "cannot be shut" : "is sure to leak");
    return print_line(t->out, t->style, 2, 4,
                      "All of it shut, all of it holds with a chance of %s.",
                      percent(chance, s->holds));
}

/* Where the water stands, if she was floated for it. */
static bool print_water(const page *t)
{
    char heel[SHOWN];
    const coaming_float *at = coaming_boundary_float(t->boundary);
    if (!at)
        return true;
    if (at->afloat == COAMING_AFLOAT_YES)
        return print_line(
            t->out, t->style, 2, 4,
            "With these spaces open to the sea, and nothing more, she floats at %.2f m "
            "amidships, heel %s.",
            at->draught, heel_words(heel, at, 1));
    ink_on(t->out, t->style, INK_BAD);
    bool good = print_line(t->out, t->style, 2, 4,
                           "WITH THESE SPACES OPEN TO THE SEA she %s; all openings are taken as "
                           "under water.",
                           coaming_afloat_text(at->afloat));
    ink_off(t->out, t->style, INK_BAD);
    return good;
}

/* What it keeps back once it is shut; of what keeps nothing back, why. */

static const char *why_nothing(const ship_link *l)
{
    if (l->passage)
        return "nothing is there to shut it with";
    return link_can_be_shut(l) ? "shut or not, it keeps nothing back" : "no condition shuts it";
}

/* Of what lies above the water, though it is open to air. */
#define ABOVE_WATER "; the water does not reach it"

static void say_keeps(FILE *out, const ship_link *l, const coaming_bound *r)
{
    coaming_keeps water = r->keeps[COAMING_WATER], air = r->keeps[COAMING_AIR];
    bool wet = water == COAMING_KEEPS_BACK, clean = air == COAMING_KEEPS_BACK;
    if (r->group == COAMING_BOUND_CANNOT) {
        fputs(why_nothing(l), out);
        fputs(water == COAMING_KEEPS_UNREACHED ? ABOVE_WATER
              : air == COAMING_KEEPS_UNASKED || water == COAMING_KEEPS_UNASKED
                  ? ""
                  : "; water and air go through",
              out);
        return;
    }
    if (wet || clean)
        fprintf(out, "rated to keep %s%s%s back", wet ? "water" : "", wet && clean ? " and " : "",
                clean ? "air" : "");
    if (water == COAMING_KEEPS_SLOWED)
        fprintf(out, "%sunder water it SLOWS and may not hold", clean ? "; " : "");
    else if (water == COAMING_KEEPS_UNREACHED && clean)
        fputs(ABOVE_WATER, out);
}

static void say_link(FILE *out, const coaming_ship *ship, const ship_link *l)
{
    char id[SHOWN], name[SHOWN], word[SHOWN], spot[SHOWN];
    fprintf(out, "%s %s", shown(id, l->id, 24), shown(name, l->name, 50));
    fprintf(out, " (%s%s%s", l->passage ? "" : rating_words[l->rating], l->passage ? "" : " ",
            shown(word, link_kind_word(l->kind), 20));
    spot_words(spot, ship, l);
    fprintf(out, "%s%s)", *spot ? ", " : "", spot);
}

/* "against Engine room" */
static void say_side(FILE *out, const coaming_ship *ship, const coaming_bound *r)
{
    char name[SHOWN];
    bool inner = r->side == r->inside;
    fprintf(out, "%s %s", inner ? "FROM INSIDE, in" : "from", place_name(name, ship, r->side));
    fprintf(out, ", against %s", place_name(name, ship, inner ? r->outside : r->inside));
}

/* Who cannot walk there. */
static void say_no_way(FILE *out, const coaming_ship *ship, const coaming_bound *r)
{
    coaming_place side;
    if (r->can_be_worked) {
        fputs(NO_WAY_ON_FOOT "; to be shut ", out);
        say_side(out, ship, r);
    } else if (link_from_outside(ship, &ship->links[r->link], &side)) {
        fputs(outside_way(side), out);
    } else {
        fputs("Nobody can stand where it is worked", out);
    }
}

static void say_standing(FILE *out, const coaming_ship *ship, const coaming_bound *r)
{
    char stands[SHOWN], repaired[SHOWN], chance[SHOWN];
    repaired_words(repaired, ship, r->link);
    fprintf(out, "%s%s%s; leaks with a chance of %s", standing_words(stands, ship, r->link),
            *repaired ? "; " : "", repaired, percent(chance, r->leak));
}

static void say_remote(FILE *out, const coaming_bound *r)
{
    fputs(r->remote ? "; by remote control too" : "", out);
}

static bool print_head_of(const page *t, const coaming_bound *r, const char *number)
{
    paragraph p;
    if (paragraph_open(&p)) {
        fputs(number, p.stream);
        say_link(p.stream, t->ship, &t->ship->links[r->link]);
    }
    return paragraph_close_in(&p, t->out, t->style, INK_STRONG, 2, 6);
}

static bool print_cannot(const page *t, const coaming_bound *r)
{
    char name[SHOWN];
    paragraph p;
    bool good = print_head_of(t, r, "");
    if (good && paragraph_open(&p)) {
        fprintf(p.stream, "between %s and ", place_name(name, t->ship, r->inside));
        fprintf(p.stream, "%s: ", place_name(name, t->ship, r->outside));
        say_keeps(p.stream, &t->ship->links[r->link], r);
        fputc('.', p.stream);
        good = paragraph_close(&p, t->out, t->style, 6, 8);
    }
    return good;
}

static bool print_quality(const page *t, const coaming_bound *r)
{
    paragraph p;
    if (paragraph_open(&p)) {
        say_keeps(p.stream, &t->ship->links[r->link], r);
        fputs("; ", p.stream);
        say_standing(p.stream, t->ship, r);
        fputc('.', p.stream);
    }
    ink colour = result_ink(coaming_closure_result(t->ship, r->link));
    return paragraph_close_in(&p, t->out, t->style, colour, 6, 8);
}

static bool print_open(page *t, const coaming_bound *r)
{
    char number[32] = "";
    paragraph p;
    if (r->way)
        snprintf(number, sizeof number, "%zu. ", ++t->stops);
    bool good = print_head_of(t, r, number);
    if (good && paragraph_open(&p)) {
        if (r->way) {
            say_way(p.stream, t->ship, r->way);
            fputs("; shut it ", p.stream);
            say_side(p.stream, t->ship, r);
        } else {
            say_no_way(p.stream, t->ship, r);
        }
        say_remote(p.stream, r);
        fputc('.', p.stream);
        good = paragraph_close(&p, t->out, t->style, 6, 8);
    }
    if (good && r->way)
        good = print_entry(t->out, t->style, t->ship, r->way);
    return good && print_quality(t, r);
}

static bool print_shut(const page *t, const coaming_bound *r)
{
    paragraph p;
    bool good = print_head_of(t, r, "");
    if (good && paragraph_open(&p)) {
        if (r->can_be_worked)
            say_side(p.stream, t->ship, r);
        else
            say_no_way(p.stream, t->ship, r);
        say_remote(p.stream, r);
        fputc('.', p.stream);
        good = paragraph_close(&p, t->out, t->style, 6, 8);
    }
    return good && print_quality(t, r);
}

/* Groups */

static bool print_group(const page *t, const char *head)
{
    fputc('\n', t->out);
    ink_on(t->out, t->style, INK_STRONG);
    bool good = print_line(t->out, t->style, 0, 2, "%s", head);
    ink_off(t->out, t->style, INK_STRONG);
    return good;
}

static bool print_walk(const page *t)
{
    char from[SHOWN], time[SHOWN], assumed[SHOWN];
    coaming_round_options walk = coaming_boundary_walk(t->boundary);
    if (t->sum.through + t->sum.no_way == t->sum.count[COAMING_BOUND_TO_SHUT])
        return true;
    return print_line(t->out, t->style, 2, 4,
                      "From %s, going into none of these spaces, and back: %.0f m, %s of walking.",
                      walk_place(from, t->ship, walk.start), t->sum.metres,
                      walk_time(time, t->sum.seconds)) &&
           print_line(t->out, t->style, 2, 4, WALK_ASSUMED "%s.", walk_assumed(assumed, &walk));
}

/* What stands before a row: the head of its group, or of its part of those to shut. */
static bool print_before(const page *t, const coaming_bound *r, const coaming_bound *before)
{
    bool first = !before || before->group != r->group;
    switch (r->group) {
    case COAMING_BOUND_CANNOT:
        return !first || print_group(t, "CANNOT BE SHUT");
    case COAMING_BOUND_SHUT:
        return !first ||
               print_group(t, coaming_outset_query(t->outset).condition < 0
                                  ? "TAKEN AS SHUT, for no condition is named: see that they are"
                                  : "SHUT ALREADY");
    default:
        break;
    }
    if (first && !(print_group(t, "TO SHUT, in walking order") && print_walk(t)))
        return false;
    if (r->through && (first || !before->through))
        return print_line(t->out, t->style, 2, 4,
                          "Only from inside, or by a way through these spaces:");
    return r->way || (!first && !before->way) || print_line(t->out, t->style, 2, 4, "Not on foot:");
}

static bool print_row(page *t, const coaming_bound *r)
{
    return r->group == COAMING_BOUND_CANNOT    ? print_cannot(t, r)
           : r->group == COAMING_BOUND_TO_SHUT ? print_open(t, r)
                                               : print_shut(t, r);
}

/* "above the water: D7 by 1.2 m; ..." */
static bool print_unreached(const page *t)
{
    char id[SHOWN];
    bool started = false;
    paragraph p;
    if (!t->sum.count[COAMING_BOUND_UNREACHED])
        return true;
    fputc('\n', t->out);
    if (paragraph_open(&p))
        fputs("Not needed, since nothing that was asked for acts there: ", p.stream);
    for (size_t i = 0; i < coaming_boundary_count(t->boundary); i++) {
        const coaming_bound *r = coaming_boundary_get(t->boundary, i);
        if (r->group != COAMING_BOUND_UNREACHED)
            continue;
        paragraph_item(&p, &started, shown(id, t->ship->links[r->link].id, 24));
        if (p.stream && r->keeps[COAMING_WATER] == COAMING_KEEPS_UNREACHED)
            fprintf(p.stream, " (%.1f m above the water)", r->height);
    }
    return paragraph_close_list(&p, started, t->out, t->style, 0, 2);
}

static bool print_rows(page *t)
{
    const coaming_bound *before = NULL;
    bool good = true;
    for (size_t i = 0; i < coaming_boundary_count(t->boundary) && good; i++) {
        const coaming_bound *r = coaming_boundary_get(t->boundary, i);
        if (r->group == COAMING_BOUND_UNREACHED)
            break;
        good = print_before(t, r, before) && print_row(t, r);
        before = r;
    }
    return good && print_unreached(t);
}

static coaming_status text_boundary(FILE *out, coaming_style style, const coaming_outset *outset,
                                    const coaming_boundary *boundary, coaming_error *error)
{
    page t = {.out = out,
              .style = style,
              .ship = coaming_outset_ship(outset),
              .outset = outset,
              .boundary = boundary,
              .sum = coaming_boundary_total(boundary)};
    bool good = print_heading(out, style, outset, "what seals spaces off");
    fputc('\n', out);
    good = good && print_first(&t) && print_slow(&t) && print_doubt(&t) && print_chance(&t) &&
           print_water(&t) && print_rows(&t) &&
           print_caution(out, style, coaming_hold_caution(coaming_outset_query(outset).level));
    return good ? COAMING_OK : error_memory(error);
}

coaming_status coaming_print_boundary(FILE *out, coaming_style style, const coaming_outset *outset,
                                      const coaming_boundary *boundary, coaming_error *error)
{
    if (!outset)
        return outset_missing(error);
    return style.format == COAMING_TEXT
               ? text_boundary(out, style_fit(style), outset, boundary, error)
               : json_boundary(out, style.format, outset, boundary, error);
}
