/* Survival of damage to her side: the indexes, what they hang on, and how she is lost. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/error.h"
#include "base/memory.h"
#include "coaming/draw.h"
#include "present/form/html.h"
#include "present/form/markup.h"
#include "present/report/reporting.h"
#include "present/tell/survival_words.h"

enum { CLOSURES_MOST = 15, DAMAGES_MOST = 15, WAYS_MOST = 10 };

static void put_index(FILE *out, double value)
{
    char text[SHOWN];
    markup_put(out, "<td class=\"number\">%s</td>", index_words(text, value));
}

static void put_share(FILE *out, double share)
{
    char text[SHOWN];
    markup_put(out, "<td class=\"number\">%s</td>", html_percent(text, share));
}

static void put_spaces(const report *r, const int *spaces, size_t count)
{
    for (size_t i = 0; i < count; i++)
        markup_put(r->out, "%s<bdi>%s</bdi>", i ? ", " : "", r->ship->spaces[spaces[i]].id);
}

static void put_links(const report *r, const int *links, size_t count)
{
    for (size_t i = 0; i < count; i++)
        markup_put(r->out, "%s<bdi>%s</bdi>", i ? ", " : "", r->ship->links[links[i]].id);
}

static void put_more(const report *r, size_t more, const char *one, const char *many)
{
    char text[SHOWN];
    if (more)
        markup_put(r->out, "<p>And %s more.</p>\n", counted(text, (double)more, one, many));
}

/* A sentence made into memory, as a paragraph. */
static coaming_status put_sentence(const report *r, char *words, const char *end,
                                   coaming_error *error)
{
    if (!words)
        return error_memory(error);
    fputs("<p>", r->out);
    html_words(r->out, words);
    markup_put(r->out, "%s</p>\n", end);
    free(words);
    return COAMING_OK;
}

/* The same; "": none. */
static coaming_status put_any_sentence(const report *r, char *words, coaming_error *error)
{
    if (!words || *words)
        return put_sentence(r, words, ".", error);
    free(words);
    return COAMING_OK;
}

/* --- the indexes --- */

static void put_states(const report *r, const coaming_survival_index *index)
{
    char limits[SHOWN];
    bool expected = !isnan(index->expected.value);
    html_table(r->out, "survival-index", "Index of subdivision (1: survives all damage counted)",
               "Her closures|#Index|#Lost to, of all damage", COAMING_ANSWERS + expected);
    for (int state = 0; state < COAMING_ANSWERS; state++) {
        markup_put(r->out, "<tr><th scope=\"row\">%s</th>", survival_state((coaming_answer)state));
        put_index(r->out, index->index[state]);
        put_share(r->out, index->lost[state]);
        fputs("</tr>\n", r->out);
    }
    if (expected) {
        markup_put(r->out, "<tr><th scope=\"row\">%s%s</th>", SURVIVAL_EXPECTED,
                   limit_words(limits, &index->expected, index->expected_error));
        put_index(r->out, index->expected.value);
        put_share(r->out, index->lost_expected.value);
        fputs("</tr>\n", r->out);
    }
    html_table_end(r->out);
}

static void put_loadings(const report *r, const coaming_survival *v)
{
    size_t count = coaming_survival_loading_count(v);
    if (count < 2)
        return;
    html_table(r->out, "survival-loadings", "The index in each loading",
               "Loading|#Counts for|#As built|#As last tested|#If untested closures leak", count);
    for (size_t i = 0; i < count; i++) {
        const coaming_survival_loading *l = coaming_survival_loading_get(v, i);
        markup_put(r->out, "<tr><th scope=\"row\"><b class=\"id\"><bdi>%s</bdi></b></th>", l->id);
        put_share(r->out, l->share);
        for (int state = 0; state < COAMING_ANSWERS; state++)
            put_index(r->out, l->index[state]);
        fputs("</tr>\n", r->out);
    }
    html_table_end(r->out);
}

static coaming_status put_lolls(const report *r, const coaming_survival *v, coaming_error *error)
{
    coaming_status status = COAMING_OK;
    for (size_t i = 0; i < coaming_survival_loading_count(v) && status == COAMING_OK; i++)
        status =
            put_any_sentence(r, loll_words(r->ship, coaming_survival_loading_get(v, i)), error);
    return status;
}

/* Loadings that the index does not count, if there are any. */
static coaming_status put_left_out(const report *r, const coaming_survival *v, coaming_error *error)
{
    return put_any_sentence(r, left_out_words(r->ship, v, r->how->query.loading), error);
}

/* --- what the difference hangs on --- */

static void put_closure(const report *r, const coaming_survival_closure *c)
{
    fputs("<tr><th scope=\"row\">", r->out);
    report_closure(r, c->closure);
    fputs("</th><td>", r->out);
    report_result(r->out, r->ship, c->closure);
    fputs("</td>", r->out);
}

/* Damage that she survives as built, and not as last tested: lost, or afloat with s 0. */
static double unsurvived_by(const coaming_survival_closure *c)
{
    return fmin(
        c->turned_alone[COAMING_TURN_UNSURVIVED] + c->turned_together[COAMING_TURN_UNSURVIVED], 1);
}

static void put_hangs_on(const report *r, const coaming_survival *v)
{
    char gain[SHOWN];
    size_t all = coaming_survival_closure_count(v), count = 0, put = 0;
    for (size_t i = 0; i < all; i++)
        count += tested_hangs_on(coaming_survival_closure_get(v, i));
    if (!count)
        return;
    size_t most = count < CLOSURES_MOST ? count : CLOSURES_MOST;
    html_table(r->out, "survival-closures", "Closures that it hangs on",
               "Closure|Stands|What it costs the index|#Lost by it, of all damage|"
               "#No longer survived by it",
               most);
    for (size_t i = 0; put < most; i++) {
        const coaming_survival_closure *c = coaming_survival_closure_get(v, i);
        if (!tested_hangs_on(c))
            continue;
        put_closure(r, c);
        markup_put(r->out, "<td>%s</td>", gain_words(gain, c));
        put_share(r->out, c->turned);
        put_share(r->out, unsurvived_by(c));
        fputs("</tr>\n", r->out);
        put++;
    }
    html_table_end(r->out);
    put_more(r, count - most, "closure", "closures");
}

/* --- as likely as the history says --- */

static coaming_status put_gains(const report *r, const coaming_survival *v, coaming_error *error)
{
    char words[SHOWN], value[SHOWN], limits[SHOWN];
    size_t count = 0;
    const coaming_survival_closure **list = survival_by_gain(v, &count);
    if (!list)
        return error_memory(error);
    size_t most = count < CLOSURES_MOST ? count : CLOSURES_MOST;
    if (count)
        html_table(r->out, "survival-gains", gains_words(words, coaming_survival_get_index(v)),
                   "Closure|Stands|#It would win|Limits", most);
    for (size_t i = 0; i < most; i++) {
        bool sure = list[i]->index_gain.low > 0; /* else it is not sure that anything is won */
        put_closure(r, list[i]);
        markup_put(r->out, "<td class=\"number\">%s</td><td>%s</td></tr>\n",
                   index_words(value, list[i]->index_gain.value),
                   sure ? limit_words(limits, &list[i]->index_gain, 0) : "may win nothing");
    }
    if (count)
        html_table_end(r->out);
    put_more(r, count - most, "closure", "closures");
    memory_free(list);
    return put_any_sentence(r, costing_words(r->ship, v), error);
}

/* --- how she is lost --- */

/* Cases of one side that open the same spaces, in whatever loading and however far. */
typedef struct {
    const coaming_survival_case *heaviest;
    double share, most; /* of all damage: together, and of the heaviest */
} damage;

static int by_opened(const void *left, const void *right)
{
    const coaming_survival_case *a = ((const damage *)left)->heaviest;
    const coaming_survival_case *b = ((const damage *)right)->heaviest;
    if (a->starboard != b->starboard)
        return a->starboard - b->starboard;
    if (a->opened_count != b->opened_count)
        return a->opened_count < b->opened_count ? -1 : 1;
    for (size_t i = 0; i < a->opened_count; i++)
        if (a->opened[i] != b->opened[i])
            return a->opened[i] < b->opened[i] ? -1 : 1;
    return 0;
}

static int by_share(const void *left, const void *right)
{
    const damage *a = left, *b = right;
    if (a->share != b->share)
        return a->share > b->share ? -1 : 1;
    return by_opened(left, right);
}

/* Makes one of those that open the same; returns how many are left. */
static size_t join(damage *list, size_t count)
{
    size_t kept = 0;
    qsort(list, count, sizeof *list, by_opened);
    for (size_t i = 0; i < count; i++) {
        if (!kept || by_opened(&list[kept - 1], &list[i])) {
            list[kept++] = list[i];
            continue;
        }
        damage *d = &list[kept - 1];
        d->share += list[i].share;
        if (list[i].most > d->most) {
            d->heaviest = list[i].heaviest;
            d->most = list[i].most;
        }
    }
    qsort(list, kept, sizeof *list, by_share);
    return kept;
}

static void put_damage(const report *r, const damage *d)
{
    char where[SHOWN];
    fputs("<tr>", r->out);
    put_share(r->out, d->share);
    markup_put(r->out, "<th scope=\"row\">%s</th><td>",
               zone_words(where, r->ship, r->of->survival, d->heaviest, SIDE_ITS_OWN));
    put_spaces(r, d->heaviest->opened, d->heaviest->opened_count);
    fputs("</td><td>", r->out);
    put_links(r, d->heaviest->turned_by, d->heaviest->turned_by_count);
    fputs(d->heaviest->turned_by_count ? "</td></tr>\n" : "none alone</td></tr>\n", r->out);
}

/* Damage of one kind that only stands so as tested. */
typedef struct {
    bool (*is_of)(const coaming_survival_case *c);
    size_t cases;
    const char *id, *caption;
} damage_kind;

/* By what it opens, the likeliest first. */
static coaming_status put_damages(const report *r, const coaming_survival *v,
                                  const damage_kind *kind, coaming_error *error)
{
    damage *list = memory_new(kind->cases, sizeof *list);
    size_t count = 0;
    if (!list)
        return error_memory(error);
    for (size_t i = 0; i < coaming_survival_count(v); i++) {
        const coaming_survival_case *c = coaming_survival_get(v, i);
        double share = coaming_survival_share(v, i);
        if (kind->is_of(c))
            list[count++] = (damage){c, share, share};
    }
    count = join(list, count);
    size_t most = count < DAMAGES_MOST ? count : DAMAGES_MOST;
    html_table(r->out, kind->id, kind->caption, "#Of all damage|Where|Opens|Worse by", most);
    for (size_t i = 0; i < most; i++)
        put_damage(r, &list[i]);
    html_table_end(r->out);
    put_more(r, count - most, "such damage", "such damages");
    memory_free(list);
    return COAMING_OK;
}

/* What she is lost to only as tested, and what she is afloat after but no longer survives. */
static coaming_status put_lost(const report *r, const coaming_survival *v, coaming_error *error)
{
    char unsurvived[SHOWN];
    damage_kind kinds[] = {
        {lost_as_tested_only, 0, "survival-lost",
         "Damage that she is lost to only as last tested, by what it opens; "
         "where the likeliest of its cases lies"},
        {unsurvived_as_tested_only, 0, "survival-unsurvived",
         "Damage no longer survived as last tested, though she stays afloat, by what "
         "it opens; where the likeliest of its cases lies"}};
    char *lost = lost_as_tested_words(v, &kinds[0].cases);
    unsurvived_words(unsurvived, v, &kinds[1].cases);
    coaming_status status = lost ? COAMING_OK : error_memory(error);
    if (status == COAMING_OK) {
        fputs("<p>", r->out);
        html_words(r->out, lost);
        html_words(r->out, unsurvived);
        markup_put(r->out, "%s</p>\n", kinds[0].cases + kinds[1].cases ? ":" : ".");
    }
    free(lost);
    for (int i = 0; i < 2 && status == COAMING_OK; i++)
        if (kinds[i].cases)
            status = put_damages(r, v, &kinds[i], error);
    return status;
}

static coaming_status put_ways(const report *r, const coaming_survival *v, coaming_error *error)
{
    size_t count = coaming_survival_way_count(v), most = count < WAYS_MOST ? count : WAYS_MOST;
    coaming_status status = COAMING_OK;
    if (!count)
        return COAMING_OK;
    html_table(r->out, "survival-ways", LIKELIEST_WAYS, "#Likely, of all damage|Where|Opens|Leak",
               most);
    for (size_t i = 0; i < most && status == COAMING_OK; i++) {
        const coaming_survival_way *w = coaming_survival_way_get(v, i);
        const coaming_survival_case *c = coaming_survival_get(v, w->which);
        char *words = case_words(r->ship, v, c, SIDE_ITS_OWN);
        if (!words)
            return error_memory(error);
        fputs("<tr>", r->out);
        put_share(r->out, w->probability);
        fputs("<th scope=\"row\">", r->out);
        html_words(r->out, words);
        fputs("</th><td>", r->out);
        put_spaces(r, c->opened, c->opened_count);
        fputs("</td><td>", r->out);
        put_links(r, w->closures, w->closure_count);
        fputs(w->closure_count ? "</td></tr>\n" : "none: whatever holds</td></tr>\n", r->out);
        free(words);
    }
    html_table_end(r->out);
    return status;
}

static coaming_status put_picture(const report *r, const coaming_survival *v, coaming_error *error)
{
    enum { WIDTH = 180 }; /* mm between the margins of A4 */
    coaming_drawing d = coaming_drawing_default();
    d.overlay = COAMING_OVERLAY_SURVIVAL;
    d.survival = v;
    d.top = CLOSURES_MOST;
    d.query = r->how->query;
    d.width = WIDTH;
    d.plans = false;
    d.compact = d.embedded = d.bare = true;
    d.prefix = "survival-picture";
    fputs("<figure>\n<div class=\"scroll picture\" role=\"region\" tabindex=\"0\" "
          "aria-label=\"Picture of survival\">\n",
          r->out);
    coaming_status status = coaming_print_drawing(r->out, r->ship, &d, error);
    fputs(
        "</div>\n<figcaption>Profile. Above it the zones along her are shaded by what damage there "
        "costs; closures are numbered as in the list.</figcaption>\n</figure>\n",
        r->out);
    return status;
}

static coaming_status put_survival(const report *r, const coaming_survival *v, coaming_error *error)
{
    const coaming_survival_index *index = coaming_survival_get_index(v);
    put_states(r, index);
    put_loadings(r, v);
    coaming_status status = put_lolls(r, v, error);
    if (status == COAMING_OK)
        status = put_left_out(r, v, error);
    if (status == COAMING_OK)
        status = put_sentence(r, required_words(index), ".", error);
    if (is_one_zone(r->ship))
        fputs("<p>" IS_ONE_ZONE "</p>\n", r->out);
    fputs("<p>" NOT_STATUTORY " <code>coaming survival</code> tells more of each case.</p>\n",
          r->out);
    if (status == COAMING_OK)
        status = put_sentence(r, tested_cost_words(v), ".", error);
    if (status != COAMING_OK)
        return status;
    put_hangs_on(r, v);
    if (tested_differs(v))
        status = put_picture(r, v, error);
    if (status == COAMING_OK)
        status = put_lost(r, v, error);
    if (status == COAMING_OK)
        status = put_gains(r, v, error);
    return status == COAMING_OK ? put_ways(r, v, error) : status;
}

coaming_status report_survival(const report *r, coaming_error *error)
{
    coaming_status status = COAMING_OK;
    char words[SHOWN];
    markup_put(r->out, "<section aria-labelledby=\"survival\">\n<h2 id=\"survival\">%s</h2>\n",
               capital(words, SURVIVAL_ASKS));
    if (r->of->survival)
        status = put_survival(r, r->of->survival, error);
    else if (!r->how->query.hazard[COAMING_WATER])
        fputs("<p>Not told: water is not asked for.</p>\n", r->out);
    else if (!coaming_ship_floats(r->ship, -1))
        fputs("<p>What damage to her side does cannot be told: the arrangement gives no kg, the "
              "height "
              "of her centre of gravity.</p>\n",
              r->out);
    else if (r->of->survival_refuse.status != COAMING_OK)
        markup_put(r->out, "<p>Cannot be told: %s</p>\n", r->of->survival_refuse.message);
    else
        markup_put(r->out,
                   "<p>She has more than %d spaces: <code>coaming survival</code> tells it, and "
                   "takes its time.</p>\n",
                   (int)COAMING_REPORT_SETTLED);
    fputs("</section>\n", r->out);
    return status;
}
