#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/error.h"
#include "base/memory.h"
#include "present/form/style.h"
#include "present/tell/heading.h"
#include "present/tell/hold_words.h"
#include "present/tell/standing_words.h"
#include "present/tell/views.h"
#include "ship/state.h"

static void put_ids(FILE *out, const coaming_ship *ship, const int *spaces, size_t count)
{
    char id[SHOWN];
    for (size_t i = 0; i < count; i++)
        fprintf(out, "%s%s", i ? ", " : "", shown(id, ship->spaces[spaces[i]].id, 30));
    if (!count)
        fputs("no space", out);
}

/* A sentence of hold_words; "" says nothing. Frees it. */
static bool print_words(FILE *out, coaming_style style, ink colour, char *words)
{
    ink_on(out, style, colour);
    bool good = words && (!*words || print_line(out, style, 2, 4, "%s", words));
    ink_off(out, style, colour);
    free(words);
    return good;
}

static bool print_given(FILE *out, coaming_style style, const char *words)
{
    return !*words || print_line(out, style, 2, 4, "%s", words);
}

static bool among(const int *spaces, size_t count, coaming_place place)
{
    for (size_t i = 0; i < count; i++)
        if (spaces[i] == place)
            return true;
    return false;
}

/* The two sides of a closure, what is given up first. */
static void put_sides(FILE *out, const coaming_ship *ship, const coaming_hold_line *line,
                      const ship_link *l)
{
    char id[SHOWN];
    bool turn = among(line->kept, line->kept_count, l->a);
    fprintf(out, "%s to ", shown(id, coaming_place_id(ship, turn ? l->b : l->a), 30));
    fputs(shown(id, coaming_place_id(ship, turn ? l->a : l->b), 30), out);
}

static bool print_closure(FILE *out, coaming_style style, const coaming_ship *ship,
                          const coaming_hold_line *line, const coaming_hold_closure *c)
{
    char id[SHOWN], name[SHOWN], part[SHOWN], trust[SHOWN];
    const ship_link *l = &ship->links[c->closure];
    paragraph p;
    ink colour =
        c->must_be_shut ? INK_STRONG : result_ink(coaming_closure_result(ship, c->closure));
    ink_on(out, style, colour);
    if (paragraph_open(&p)) {
        fprintf(p.stream, "%s %s, ", c->must_be_shut ? "SHUT" : "keep shut", shown(id, l->id, 30));
        if (l->name && strcmp(l->name, l->id))
            fprintf(p.stream, "%s, ", shown(name, l->name, 60));
        put_sides(p.stream, ship, line, l);
        fprintf(p.stream, ": holds %s; ", percent(part, 1 - c->leak_probability));
        fputs(hold_trust(trust, ship, c->closure), p.stream);
        if (c->last)
            fputs("; nothing behind it", p.stream);
    }
    bool good = paragraph_close(&p, out, style, 4, 6);
    ink_off(out, style, colour);
    return good;
}

static bool print_closures(FILE *out, coaming_style style, const coaming_ship *ship,
                           const coaming_hold_line *line)
{
    coaming_hold_closure *sorted = memory_new(line->closure_count, sizeof *sorted);
    if (!sorted)
        return false;
    memcpy(sorted, line->closures, line->closure_count * sizeof *sorted);
    qsort(sorted, line->closure_count, sizeof *sorted, hold_by_need);
    bool good = true;
    for (size_t i = 0; i < line->closure_count && good; i++)
        good = print_closure(out, style, ship, line, &sorted[i]);
    memory_free(sorted);
    return good;
}

/* What the line gives up and keeps. Of a line behind another what it gives up besides. */
static bool print_sides(FILE *out, coaming_style style, const coaming_ship *ship,
                        const coaming_hold_answer *a, size_t index)
{
    const coaming_hold_line *line = &a->lines[index];
    bool good = print_words(out, style, INK_PLAIN, hold_given_up_words(ship, a, index));
    if (!good || index)
        return good;
    return print_words(out, style, INK_PLAIN, hold_kept_words(ship, a, line)) &&
           print_words(out, style, INK_BAD, hold_wet_words(ship, a, line));
}

static bool print_afloat(FILE *out, coaming_style style, const coaming_ship *ship,
                         const coaming_hold_line *line)
{
    ink colour = line->stability.grade >= COAMING_GRADE_NOT_SURVIVING ? INK_BAD : INK_PLAIN;
    char *words = hold_float_words(ship, line);
    ink_on(out, style, colour);
    bool good = words && print_line(out, style, 4, 6, "%s", words);
    ink_off(out, style, colour);
    free(words);
    return good;
}

static bool print_one(FILE *out, coaming_style style, const coaming_ship *ship,
                      const coaming_hold_answer *a, size_t index, bool settles)
{
    const coaming_hold_line *line = &a->lines[index];
    char words[SHOWN];
    bool good = print_line(out, style, 2, 4, "%s: %s.", HOLD_LINE_HEAD(index),
                           hold_line_chance(words, line));
    if (good && settles)
        good = print_afloat(out, style, ship, line);
    return good && print_closures(out, style, ship, line) &&
           print_sides(out, style, ship, a, index);
}

static bool print_head(FILE *out, coaming_style style, const coaming_ship *ship,
                       const coaming_hold_answer *a)
{
    char place[SHOWN];
    paragraph p;
    ink_on(out, style, INK_STRONG);
    if (paragraph_open(&p)) {
        fprintf(p.stream,
                "%s in %s; to stay %s: ", a->hazard == COAMING_WATER ? "WATER" : "SMOKE OR BAD AIR",
                shown(place, coaming_place_id(ship, a->source), 30), hold_clean(a));
        put_ids(p.stream, ship, a->protect, a->protect_count);
        if (a->vital)
            fprintf(p.stream, " (the%s vital spaces)", a->source_left_out ? " other" : "");
        fputc('.', p.stream);
    }
    bool good = paragraph_close(&p, out, style, 0, 2);
    ink_off(out, style, INK_STRONG);
    return good;
}

static bool print_answer(FILE *out, coaming_style style, const coaming_ship *ship,
                         const coaming_hold_answer *a, bool settles)
{
    char words[SHOWN];
    bool bad = a->as_is.stability.grade >= COAMING_GRADE_NOT_SURVIVING;
    bool good = print_head(out, style, ship, a);
    if (good && settles)
        good = print_words(out, style, bad ? INK_BAD : INK_PLAIN, hold_as_is_words(ship, a));
    ink_on(out, style, INK_BAD);
    good = good && print_given(out, style, hold_not_afloat_words(words, a));
    ink_off(out, style, INK_BAD);
    good = good && print_given(out, style, hold_source_words(words, ship, a));
    for (size_t i = 0; i < a->lost_count && good; i++)
        good = print_words(out, style, INK_BAD, hold_lost_words(ship, a, i));
    if (good && !a->line_count && a->lost_count < a->protect_count)
        good = print_words(out, style, INK_PLAIN, hold_no_line_words(a));
    if (good && a->line_count)
        good = print_one(out, style, ship, a, 0, settles);
    if (good && a->has_way)
        good = print_words(out, style, INK_PLAIN, hold_weakest_words(ship, a));
    for (size_t i = 1; i < a->line_count && good; i++)
        good = print_one(out, style, ship, a, i, settles);
    if (good && a->line_count == 1)
        good = print_line(out, style, 2, 4, HOLD_ONE_LINE);
    return good;
}

static coaming_status text_hold(FILE *out, coaming_style style, const coaming_outset *outset,
                                const coaming_hold *hold, coaming_error *error)
{
    const coaming_ship *ship = coaming_outset_ship(outset);
    coaming_query query = coaming_outset_query(outset);
    bool good = print_heading(out, style, outset, HOLD_ASKS);
    for (size_t i = 0; i < coaming_hold_count(hold) && good; i++) {
        const coaming_hold_answer *a = coaming_hold_get(hold, i);
        fputc('\n', out);
        good = print_answer(out, style, ship, a,
                            a->hazard == COAMING_WATER &&
                                query.level.kind == COAMING_LEVEL_EQUILIBRIUM);
    }
    good = good && print_caution(out, style, coaming_hold_caution(query.level));
    return good ? COAMING_OK : error_memory(error);
}

coaming_status coaming_print_hold(FILE *out, coaming_style style, const coaming_outset *outset,
                                  const coaming_hold *hold, coaming_error *error)
{
    if (!outset)
        return outset_missing(error);
    return style.format == COAMING_JSON  ? json_hold(out, outset, hold, error)
           : style.format == COAMING_CSV ? csv_hold(out, outset, hold)
                                         : text_hold(out, style_fit(style), outset, hold, error);
}
