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

static bool print_given(FILE *out, coaming_style style, const char *words)
{
    return !*words || print_line(out, style, 2, 4, "%s", words);
}

static bool print_closure(FILE *out, coaming_style style, const coaming_ship *ship,
                          const coaming_hold_answer *a, const coaming_hold_line *line,
                          const coaming_hold_closure *c)
{
    ink colour =
        c->must_be_shut ? INK_STRONG : result_ink(coaming_closure_result(ship, c->closure));
    return print_words(out, style, colour, 4, hold_closure_words(ship, a, line, c));
}

/* before: the line of which the closures are told already; those that it has too are only named. */
static bool print_closures(FILE *out, coaming_style style, const coaming_ship *ship,
                           const coaming_hold_answer *a, const coaming_hold_line *line,
                           const coaming_hold_line *before)
{
    coaming_hold_closure *sorted = memory_new(line->closure_count, sizeof *sorted);
    if (!sorted)
        return false;
    memcpy(sorted, line->closures, line->closure_count * sizeof *sorted);
    qsort(sorted, line->closure_count, sizeof *sorted, hold_by_need);
    bool good = true;
    for (size_t i = 0; i < line->closure_count && good; i++)
        if (!hold_outer(ship, a, &sorted[i]) &&
            (!before || !hold_has_closure(before, sorted[i].closure)))
            good = print_closure(out, style, ship, a, line, &sorted[i]);
    memory_free(sorted);
    good = good && print_words(out, style, INK_PLAIN, 4, hold_outer_words(ship, a, line, before));
    return good && (!before ||
                    print_words(out, style, INK_PLAIN, 4, hold_shared_words(ship, line, before)));
}

/* What the line gives up and keeps. Of a line behind another what it gives up besides. */
static bool print_sides(FILE *out, coaming_style style, const coaming_ship *ship,
                        const coaming_hold_answer *a, const coaming_hold_line *line,
                        const coaming_hold_line *before)
{
    bool good = print_words(out, style, INK_PLAIN, 2, hold_given_up_words(ship, line, before));
    if (!good || before)
        return good;
    return (!a->nested || print_words(out, style, INK_STRONG, 2, hold_open_words(ship, line))) &&
           print_words(out, style, INK_PLAIN, 2, hold_kept_words(ship, a, line)) &&
           print_words(out, style, INK_BAD, 2, hold_wet_words(ship, a, line));
}

/* before: the line told before it, NULL: none. */
static bool print_one(FILE *out, coaming_style style, const coaming_ship *ship,
                      const coaming_hold_answer *a, const coaming_hold_line *line,
                      const coaming_hold_line *before, bool settles)
{
    char words[SHOWN], head[SHOWN];
    const coaming_hold_line *shared = a->nested ? before : NULL;
    bool good =
        print_line(out, style, 2, 4, "%s: %s.", hold_line_head(head, a, (size_t)(line - a->lines)),
                   hold_line_chance(words, line));
    if (good && a->nested && !before)
        good = print_words(out, style, a->recommended < a->line_count ? INK_PLAIN : INK_BAD, 4,
                           hold_why_words(a, settles));
    if (good && settles)
        good = print_words(out, style, hold_is_bad(line) ? INK_BAD : INK_PLAIN, 4,
                           hold_float_words(ship, a, line)) &&
               print_words(out, style, INK_BAD, 4, hold_lost_if_words(ship, line, true));
    return good && print_closures(out, style, ship, a, line, shared) &&
           print_sides(out, style, ship, a, line, before);
}

/* A row for each of the nested lines; as words where there is no room for the columns. */
enum { TABLE_COLUMNS = 78 };

static bool print_row_words(FILE *out, coaming_style style, const coaming_hold_answer *a, size_t i,
                            bool settles)
{
    char chance[SHOWN], spaces[SHOWN], people[SHOWN], loss[SHOWN];
    const coaming_hold_line *l = &a->lines[i];
    return print_line(out, style, 4, 6, "%zu%s: %s; %s, %s given up; %s%s%s.", i + 1,
                      i == a->recommended ? " *" : "", hold_line_chance(chance, l),
                      counted(spaces, (double)l->given_up_count, "space", "spaces"),
                      counted(people, l->people, "person", "people"), hold_loss_words(loss, l),
                      settles ? "; " : "", settles ? hold_grade_brief(l) : "");
}

static void print_row(FILE *out, const coaming_hold_answer *a, size_t i, bool settles)
{
    char holds[SHOWN], worth[SHOWN], loss[SHOWN];
    const coaming_hold_line *l = &a->lines[i];
    fprintf(out, "  %c %4zu %8zu %11s %6zu %6g %7s %9s", i == a->recommended ? '*' : ' ', i + 1,
            l->closure_count, percent(holds, l->holds), l->given_up_count, l->people,
            amount(worth, l->worth), amount(loss, l->expected_loss));
    fprintf(out, "%s%s\n", settles ? "  " : "", settles ? hold_grade_brief(l) : "");
}

static bool print_table(FILE *out, coaming_style style, const coaming_hold_answer *a, bool settles)
{
    bool narrow = style.columns < TABLE_COLUMNS, good;
    good = print_line(out, style, 2, 4, settles ? HOLD_SETTLED : HOLD_NESTED);
    if (!narrow)
        fprintf(out, "    line closures       holds spaces people   worth  expected%s\n",
                settles ? "  she is" : "");
    for (size_t i = 0; i < a->line_count && good; i++) {
        if (narrow)
            good = print_row_words(out, style, a, i, settles);
        else
            print_row(out, a, i, settles);
    }
    return good &&
           print_line(out, style, 2, 4, "%s%s",
                      a->recommended < a->line_count ? "* The line to hold. " : "", HOLD_EXPECTED);
}

static bool print_head(FILE *out, coaming_style style, const coaming_ship *ship,
                       const coaming_hold_answer *a)
{
    paragraph p;
    ink_on(out, style, INK_STRONG);
    if (paragraph_open(&p)) {
        fprintf(p.stream, "%s in ", hold_title(a->hazard));
        hold_put_sources(p.stream, ship, a, a->source_count);
        if (!a->nested) {
            fprintf(p.stream, "; to stay %s: ", hold_clean(a));
            hold_put_spaces(p.stream, ship, a->protect, a->protect_count);
            if (a->vital)
                fprintf(p.stream, " (the%s vital spaces)", a->source_left_out ? " other" : "");
        }
        fputc('.', p.stream);
    }
    bool good = paragraph_close(&p, out, style, 0, 2);
    ink_off(out, style, INK_STRONG);
    return good;
}

/* The line to hold, where it is weakest, and what is behind it. */
static bool print_lines(FILE *out, coaming_style style, const coaming_ship *ship,
                        const coaming_hold_answer *a, bool settles)
{
    size_t first = a->nested ? hold_told_first(a) : 0, end = a->line_count;
    bool good = true;
    if (a->nested && end > first + HOLD_TOLD)
        end = first + HOLD_TOLD;
    if (a->line_count)
        good = print_one(out, style, ship, a, &a->lines[first], NULL, settles);
    if (good && a->has_way && !a->nested)
        good = print_words(out, style, INK_PLAIN, 2, hold_weakest_words(ship, a));
    for (size_t i = first + 1; i < end && good; i++)
        good = print_one(out, style, ship, a, &a->lines[i], &a->lines[i - 1], settles);
    if (good && a->line_count == first + 1)
        good = print_line(out, style, 2, 4, "%s", hold_one_line(a));
    if (good && a->has_way && a->nested)
        good = print_words(out, style, INK_PLAIN, 2, hold_weakest_words(ship, a));
    if (good && a->nested && a->line_count > 1)
        good = print_table(out, style, a, settles);
    return good;
}

static bool print_answer(FILE *out, coaming_style style, const coaming_ship *ship,
                         const coaming_hold_answer *a, bool settles)
{
    char words[SHOWN];
    bool bad = settles && a->as_is.stability.grade >= COAMING_GRADE_NOT_SURVIVING;
    bool good = print_head(out, style, ship, a);
    if (good)
        good = print_words(out, style, bad ? INK_BAD : INK_PLAIN, 2,
                           hold_as_is_words(ship, a, settles));
    ink_on(out, style, INK_BAD);
    good = good && print_given(out, style, hold_not_afloat_words(words, a));
    ink_off(out, style, INK_BAD);
    good = good && print_given(out, style, hold_source_words(words, ship, a));
    for (size_t i = 0; i < a->lost_count && good; i++)
        good = print_words(out, style, INK_BAD, 2, hold_lost_words(ship, a, i));
    if (good && !a->line_count && (a->nested || a->lost_count < a->protect_count))
        good = print_words(out, style, INK_PLAIN, 2, hold_no_line_words(a));
    return good && print_lines(out, style, ship, a, settles);
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
        good = print_answer(out, style, ship, a, level_settles(query.level, a->hazard));
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
           : style.format == COAMING_CSV ? csv_hold(out, outset, hold, error)
                                         : text_hold(out, style_fit(style), outset, hold, error);
}
