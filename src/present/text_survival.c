#include <math.h>

#include "base/error.h"
#include "base/text.h"
#include "present/style.h"
#include "present/views.h"

static const char *const answers[COAMING_ANSWERS] = {"as built", "as last tested",
                                                     "if untested closures leak"};

/* One answer of a case: "1.23 m   2.1 deg  30.1 deg  0.95" or "LOST". */
static void print_answer(FILE *out, coaming_style style, const coaming_survival_answer *a)
{
    if (a->at.afloat != COAMING_AFLOAT_YES) {
        ink_on(out, style, INK_BAD);
        fputs("     does not stay afloat      ", out);
        ink_off(out, style, INK_BAD);
        return;
    }
    fprintf(out, "  %6.2f m %5.1f deg %5.1f deg %4.2f", a->at.freeboard, fabs(a->at.heel), a->range,
            a->s);
}

static bool same_answer(const coaming_survival_answer *a, const coaming_survival_answer *b)
{
    bool afloat = a->at.afloat == COAMING_AFLOAT_YES;
    return afloat == (b->at.afloat == COAMING_AFLOAT_YES) &&
           (!afloat || fabs(a->at.freeboard - b->at.freeboard) < 1e-9);
}

static bool print_case(FILE *out, coaming_style style, const coaming_ship *ship,
                       const coaming_survival_case *c)
{
    enum { COLUMNS = 35, WIDEST = 39 }; /* of the numbers, of the words behind them */
    char one[SHOWN], two[SHOWN];
    bool narrow = style.columns < COLUMNS + 2 + WIDEST;
    shown(one, ship->spaces[c->space[0]].id, 24);
    bool good = c->space[1] < 0 ? print_line(out, style, 0, 2, "%s", one)
                                : print_line(out, style, 0, 2, "%s, %s", one,
                                             shown(two, ship->spaces[c->space[1]].id, 24));
    for (int a = 0; a < COAMING_ANSWERS && good; a++) {
        if (a > 0 && same_answer(&c->answer[a], &c->answer[a - 1]))
            continue;
        print_answer(out, style, &c->answer[a]);
        bool rest = a == 0 && same_answer(&c->answer[1], &c->answer[0]) &&
                    same_answer(&c->answer[2], &c->answer[0]);
        bool both = a == 1 && same_answer(&c->answer[2], &c->answer[1]);
        fputs(narrow ? "\n" : "  ", out);
        good =
            print_line(out, style, narrow ? 6 : -COLUMNS - 2, narrow ? 8 : COLUMNS + 2, "%s%s",
                       rest ? "in all three" : answers[a], both ? ", untested leaking or not" : "");
    }
    return good;
}

static bool print_shares(FILE *out, coaming_style style, const coaming_survival *v)
{
    char share[SHOWN];
    paragraph p;
    if (paragraph_open(&p)) {
        fprintf(p.stream, "Of %zu breaches she stays afloat after: ", coaming_survival_count(v));
        for (int a = 0; a < COAMING_ANSWERS; a++)
            fprintf(p.stream, "%s%s %% %s", a ? ", " : "",
                    amount(share, 100 * coaming_survival_share(v, a)), answers[a]);
        fputc('.', p.stream);
    }
    return paragraph_close(&p, out, style, 0, 2);
}

/* The breaches that she does not survive as last tested. */
static bool print_lost(FILE *out, coaming_style style, const coaming_ship *ship,
                       const coaming_survival *v)
{
    char id[SHOWN];
    bool started = false;
    paragraph p;
    if (!paragraph_open(&p))
        return false;
    fputs("As last tested she does not stay afloat after a breach of: ", p.stream);
    for (size_t i = 0; i < coaming_survival_count(v); i++) {
        const coaming_survival_case *c = coaming_survival_get(v, i);
        if (c->answer[COAMING_AS_TESTED].at.afloat == COAMING_AFLOAT_YES)
            continue;
        fprintf(p.stream, "%s%s", started ? "; " : "", shown(id, ship->spaces[c->space[0]].id, 24));
        if (c->space[1] >= 0)
            fprintf(p.stream, " with %s", shown(id, ship->spaces[c->space[1]].id, 24));
        started = true;
    }
    if (!started)
        fputs("none of them", p.stream);
    return paragraph_close(&p, out, style, 0, 2);
}

static coaming_status text_survival(FILE *out, coaming_style style, const coaming_ship *ship,
                                    int condition, const coaming_survival *v, coaming_error *error)
{
    coaming_query query = coaming_query_default();
    query.condition = condition;
    query.level.kind = COAMING_LEVEL_EQUILIBRIUM;
    bool good = print_heading(out, style, ship, query, "every breach of the side in turn");
    if (coaming_survival_count(v))
        good = good && print_shares(out, style, v) && print_lost(out, style, ship, v);
    else
        good = good && print_line(out, style, 0, 2,
                                  "No space is marked shell, so there is nothing to breach.");
    paragraph p;
    if (paragraph_open(&p))
        fputs(
            "Columns: freeboard, heel, range of righting arms, and the factor s of SOLAS II-1/7-2 "
            "for cargo ships, its constants from memory. Openings and deck edge under water are "
            "not counted in s; freeboard below 0 tells of them.",
            p.stream);
    good = paragraph_close(&p, out, style, 0, 2) && good;
    fputc('\n', out);
    for (size_t i = 0; good && i < coaming_survival_count(v); i++)
        good = print_case(out, style, ship, coaming_survival_get(v, i));
    good = print_caution(out, style, coaming_float_caution()) && good;
    return good ? COAMING_OK : error_memory(error);
}

coaming_status coaming_print_survival(FILE *out, coaming_style style, const coaming_ship *ship,
                                      int condition, coaming_error *error)
{
    coaming_survival *v = NULL;
    coaming_status status = coaming_survival_new(ship, condition, &v, error);
    if (status == COAMING_OK)
        status = style.format != COAMING_TEXT
                     ? json_survival(out, style.format, ship, condition, v, error)
                     : text_survival(out, style_fit(style), ship, condition, v, error);
    coaming_survival_free(v);
    return status;
}
