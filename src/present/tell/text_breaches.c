#include <math.h>
#include <stdlib.h>

#include "base/error.h"
#include "base/text.h"
#include "present/form/style.h"
#include "present/tell/float_words.h"
#include "present/tell/heading.h"
#include "present/tell/survival_words.h"
#include "present/tell/views.h"

static const char *const answers[COAMING_ANSWERS] = {"as built", "as last tested",
                                                     "if untested closures leak"};
static const char *const short_grades[COAMING_GRADES] = {"within limits", "beyond limits",
                                                         "NOT SURVIVING", "LOST"};

enum { COLUMNS = 48 }; /* of the numbers, with what they are set in by */

/* "  0.79 m  12.1 deg  starboard   30.1 deg 0.95", without columns where they have no room. */
static bool print_numbers(FILE *out, coaming_style style, const coaming_breaches_answer *a)
{
    const char *side = heel_side(&a->at, 1);
    double heel = *side ? fabs(a->at.heel) : 0;
    if (style.columns < COLUMNS)
        return print_line(out, style, 4, 6, "%.2f m, %.1f deg%s, %.1f deg, %.2f", a->at.freeboard,
                          heel, side, a->range, a->s);
    fprintf(out, "  %6.2f m %5.1f deg %-12s %5.1f deg %4.2f", a->at.freeboard, heel,
            *side ? side + sizeof " to" - 1 : "", a->range, a->s);
    return true;
}

/* One answer of a case: its numbers, or that she is lost; on a line of its own if narrow. */
static bool print_answer(FILE *out, coaming_style style, bool narrow,
                         const coaming_breaches_answer *a)
{
    coaming_grade grade = a->stability.grade;
    bool good = true, lost = grade == COAMING_GRADE_LOST;
    ink_on(out, style, grade >= COAMING_GRADE_NOT_SURVIVING ? INK_BAD : INK_PLAIN);
    if (lost)
        fprintf(out, "  %-*s", narrow ? 0 : COLUMNS - 2, "LOST");
    else
        good = print_numbers(out, style, a);
    ink_off(out, style, grade >= COAMING_GRADE_NOT_SURVIVING ? INK_BAD : INK_PLAIN);
    if (lost || style.columns >= COLUMNS)
        fputs(narrow ? "\n" : "  ", out);
    return good;
}

static bool same_answer(const coaming_breaches_answer *a, const coaming_breaches_answer *b)
{
    bool lost = a->stability.grade == COAMING_GRADE_LOST;
    if (a->stability.grade != b->stability.grade || a->flooded_count != b->flooded_count)
        return false;
    return lost || (fabs(a->at.freeboard - b->at.freeboard) < 1e-9 && fabs(a->s - b->s) < 1e-9);
}

/* What floods besides what is breached, what limits her, and what turned her from afloat to lost. */
static bool print_story(FILE *out, coaming_style style, const coaming_ship *ship,
                        const coaming_breaches_answer *a)
{
    size_t breached = 0;
    while (breached < a->flooded_count && a->flooded[breached].link < 0)
        breached++;
    char *grade = grade_words(ship, &a->at, &a->stability);
    char *ends = flooding_words(ship, &a->stability);
    char *floods = entry_words(ship, a->flooded + breached, a->flooded_count - breached);
    char id[SHOWN];
    bool started = false, good = grade && ends && floods;
    paragraph p;
    if (good && a->stability.grade >= COAMING_GRADE_NOT_SURVIVING)
        good = print_line(out, style, 6, 8, "She %s%s%s.", grade, *ends ? "; " : "", ends);
    if (good && *floods)
        good = print_line(out, style, 6, 8, "Water goes on to %s.", floods);
    if (good && a->turned_by_count && paragraph_open(&p)) {
        fputs("From afloat as built to lost by: ", p.stream);
        for (size_t i = 0; i < a->turned_by_count; i++)
            paragraph_item(&p, &started, shown(id, ship->links[a->turned_by[i]].id, 24));
        good = paragraph_close(&p, out, style, 6, 8);
    }
    free(grade);
    free(ends);
    free(floods);
    return good;
}

static bool print_case(FILE *out, coaming_style style, const coaming_ship *ship,
                       const coaming_breaches_case *c)
{
    enum { WIDEST = 50 }; /* of the words behind the numbers */
    char one[SHOWN], two[SHOWN];
    bool narrow = style.columns < COLUMNS + 2 + WIDEST;
    shown(one, ship->spaces[c->space[0]].id, 24);
    bool good = c->space[1] < 0 ? print_line(out, style, 0, 2, "%s", one)
                                : print_line(out, style, 0, 2, "%s, %s", one,
                                             shown(two, ship->spaces[c->space[1]].id, 24));
    for (int a = 0; a < COAMING_ANSWERS && good; a++) {
        if (a > 0 && same_answer(&c->answer[a], &c->answer[a - 1]))
            continue;
        good = print_answer(out, style, narrow, &c->answer[a]);
        bool rest = a == 0 && same_answer(&c->answer[1], &c->answer[0]) &&
                    same_answer(&c->answer[2], &c->answer[0]);
        bool both = a == 1 && same_answer(&c->answer[2], &c->answer[1]);
        good =
            good &&
            print_line(out, style, narrow ? 6 : -COLUMNS - 2, narrow ? 8 : COLUMNS + 2, "%s%s: %s",
                       rest ? "in all three" : answers[a], both ? ", untested leaking or not" : "",
                       short_grades[c->answer[a].stability.grade]) &&
            print_story(out, style, ship, &c->answer[a]);
    }
    return good;
}

/* "Of 40 breaches as built: 30 within limits, 6 beyond limits, 3 NOT SURVIVING, 1 LOST." */
static bool print_counts(FILE *out, coaming_style style, const coaming_breaches *v)
{
    bool good = true;
    for (int a = 0; a < COAMING_ANSWERS && good; a++) {
        paragraph p;
        if (paragraph_open(&p)) {
            fprintf(p.stream, "Of %zu breaches %s: ", coaming_breaches_count(v), answers[a]);
            for (int grade = 0; grade < COAMING_GRADES; grade++)
                fprintf(p.stream, "%s%zu %s", grade ? ", " : "",
                        coaming_breaches_grade_count(v, (coaming_answer)a, (coaming_grade)grade),
                        short_grades[grade]);
            fputc('.', p.stream);
        }
        good = paragraph_close(&p, out, style, 0, 2);
    }
    return good;
}

/* The breaches after which she is lost as last tested, and what of it is due to which closures. */
static bool print_lost(FILE *out, coaming_style style, const coaming_ship *ship,
                       const coaming_breaches *v)
{
    char id[SHOWN];
    bool started = false;
    paragraph p;
    if (!paragraph_open(&p))
        return false;
    fputs("As last tested she is lost after a breach of: ", p.stream);
    for (size_t i = 0; i < coaming_breaches_count(v); i++) {
        const coaming_breaches_case *c = coaming_breaches_get(v, i);
        const coaming_breaches_answer *a = &c->answer[COAMING_AS_TESTED];
        if (a->stability.grade != COAMING_GRADE_LOST)
            continue;
        fprintf(p.stream, "%s%s", started ? "; " : "", shown(id, ship->spaces[c->space[0]].id, 24));
        if (c->space[1] >= 0)
            fprintf(p.stream, " with %s", shown(id, ship->spaces[c->space[1]].id, 24));
        for (size_t t = 0; t < a->turned_by_count; t++)
            fprintf(p.stream, "%s%s", t ? ", " : " (by ",
                    shown(id, ship->links[a->turned_by[t]].id, 24));
        fputs(a->turned_by_count ? ")" : "", p.stream);
        started = true;
    }
    if (!started)
        fputs("none of them", p.stream);
    return paragraph_close(&p, out, style, 0, 2);
}

static coaming_status text_breaches(FILE *out, coaming_style style, const coaming_outset *outset,
                                    const coaming_breaches *v, coaming_error *error)
{
    const coaming_ship *ship = coaming_outset_ship(outset);
    bool good = print_heading(out, style, outset, "every breach of the side in turn");
    if (coaming_breaches_count(v))
        good = good && print_counts(out, style, v) && print_lost(out, style, ship, v);
    else
        good = good && print_line(out, style, 0, 2, NOTHING_TO_BREACH);
    good = good &&
           print_line(out, style, 0, 2,
                      "Columns: freeboard, heel with its side, range of righting arms, and the "
                      "factor s of SOLAS II-1/7-2 for cargo ships; the limits are those of "
                      "7-2. " IS_NOT_STATUTORY ".");
    fputc('\n', out);
    for (size_t i = 0; good && i < coaming_breaches_count(v); i++)
        good = print_case(out, style, ship, coaming_breaches_get(v, i));
    good = print_caution(out, style, coaming_float_caution()) && good;
    return good ? COAMING_OK : error_memory(error);
}

coaming_status coaming_print_breaches(FILE *out, coaming_style style, const coaming_outset *outset,
                                      const coaming_breaches *survival, coaming_error *error)
{
    if (!outset)
        return outset_missing(error);
    return style.format != COAMING_TEXT
               ? json_breaches(out, style.format, outset, survival, error)
               : text_breaches(out, style_fit(style), outset, survival, error);
}
