/* Breaches of the side. */
#include "present/form/html.h"
#include "present/form/markup.h"
#include "present/form/style.h"
#include "present/report/reporting.h"
#include "present/tell/float_words.h"

enum { CASES_MOST = 60 };

/* Not survived in some answer. */
static bool listed(const coaming_breaches_case *c)
{
    for (int a = 0; a < COAMING_ANSWERS; a++)
        if (c->answer[a].stability.grade >= COAMING_GRADE_NOT_SURVIVING)
            return true;
    return false;
}

static void put_survival(FILE *out, const coaming_breaches_answer *a)
{
    char heel[SHOWN];
    bool started = false;
    coaming_grade grade = a->stability.grade;
    if (grade == COAMING_GRADE_LOST) {
        markup_put(out, "<td><span class=\"fail\">lost: %s</span></td>",
                   coaming_afloat_text(a->at.afloat));
        return;
    }
    markup_put(out, "<td>freeboard %g m, heel %s", a->at.freeboard, heel_words(heel, &a->at, 1));
    if (grade == COAMING_GRADE_NOT_SURVIVING)
        markup_put(out, ": <span class=\"fail\">%s</span>: ", coaming_grade_text(grade));
    for (int i = 0; i < COAMING_LIMITS; i++) {
        if (a->stability.passed[i])
            markup_put(out, "%s%s", started ? ", " : "", coaming_limit_text((coaming_limit)i));
        started = started || a->stability.passed[i];
    }
    fputs("</td>", out);
}

static void put_case(const report *r, const coaming_breaches_case *c)
{
    markup_put(r->out, "<tr><th scope=\"row\"><bdi>%s</bdi>", r->ship->spaces[c->space[0]].name);
    if (c->space[1] >= 0)
        markup_put(r->out, " with <bdi>%s</bdi>", r->ship->spaces[c->space[1]].name);
    fputs("</th>", r->out);
    for (int a = 0; a < COAMING_ANSWERS; a++)
        put_survival(r->out, &c->answer[a]);
    fputs("</tr>\n", r->out);
}

static void put_shares(const report *r)
{
    static const char *const words[] = {"As built", "As last tested", "If untested closures leak"};
    markup_put(
        r->out,
        "<p>%zu breaches of her side, of one space or of two neighbours, by this reckoning in "
        "still water (<code>coaming float --all-breaches</code> tells more of each):</p>\n"
        "<ul>\n",
        coaming_breaches_count(r->of->breaches));
    for (int a = 0; a < COAMING_ANSWERS; a++) {
        markup_put(r->out, "<li>%s: ", words[a]);
        for (int grade = COAMING_GRADES - 1; grade >= 0; grade--)
            markup_put(r->out, "%zu %s%-s",
                       coaming_breaches_grade_count(r->of->breaches, (coaming_answer)a,
                                                    (coaming_grade)grade),
                       coaming_grade_text((coaming_grade)grade), grade ? "; " : ".</li>\n");
    }
    fputs("</ul>\n", r->out);
}

static void put_cases(const report *r)
{
    size_t lost = 0, put = 0;
    for (size_t i = 0; i < coaming_breaches_count(r->of->breaches); i++)
        lost += listed(coaming_breaches_get(r->of->breaches, i));
    if (!lost)
        return;
    html_table(r->out, "breaches",
               "Breaches after which she is lost, or afloat but not surviving, in some answer",
               "Breached|As built|As last tested|If untested closures leak",
               lost < CASES_MOST ? lost : CASES_MOST);
    for (size_t i = 0; i < coaming_breaches_count(r->of->breaches) && put < CASES_MOST; i++) {
        const coaming_breaches_case *c = coaming_breaches_get(r->of->breaches, i);
        if (!listed(c))
            continue;
        put_case(r, c);
        put++;
    }
    html_table_end(r->out);
    if (put < lost)
        markup_put(r->out, "<p>And %zu more.</p>\n", lost - put);
}

void report_survival(const report *r)
{
    fputs("<section aria-labelledby=\"survival\">\n<h2 id=\"survival\">Breaches of her side</h2>\n",
          r->out);
    if (!coaming_ship_floats(r->ship, r->how->query.loading))
        fputs("<p>How she floats after a breach cannot be told: the arrangement gives no kg, the "
              "height of her centre of gravity.</p>\n",
              r->out);
    else if (!r->of->breaches)
        markup_put(r->out, "<p>Cannot be told: %s</p>\n", r->of->breaches_refuse.message);
    else if (!coaming_breaches_count(r->of->breaches))
        fputs("<p>" NOTHING_TO_BREACH "</p>\n", r->out);
    else {
        put_shares(r);
        put_cases(r);
    }
    fputs("</section>\n", r->out);
}
