#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/error.h"
#include "base/memory.h"
#include "present/form/style.h"
#include "present/tell/heading.h"
#include "present/tell/standing_words.h"
#include "present/tell/survival_lines.h"
#include "present/tell/survival_words.h"
#include "present/tell/views.h"

/* Rows of each list, unless --top says otherwise: to be read at one sitting. */
enum { CLOSURES_TOLD = 5, DAMAGE_TOLD = 3 };

typedef struct {
    FILE *out;
    coaming_style style;
    const coaming_ship *ship;
    const coaming_survival *v;
    const coaming_survival_index *index;
    const coaming_survival_rows *rows;
} page;

/* Some spaces, or some closures. */
typedef struct {
    const int *list;
    size_t count;
    bool closures;
} things;

static const char *id_of(char buffer[SHOWN], const page *p, things t, size_t i)
{
    return shown(buffer, t.closures ? p->ship->links[t.list[i]].id : p->ship->spaces[t.list[i]].id,
                 30);
}

static bool among(things t, int number)
{
    bool found = false;
    for (size_t i = 0; i < t.count && !found; i++)
        found = t.list[i] == number;
    return found;
}

/* Those of a list that are in the other, or those that are not. */
static void put_those(const page *p, paragraph *to, things t, things other, bool in, bool *started)
{
    char id[SHOWN];
    for (size_t i = 0; i < t.count; i++)
        if (among(other, t.list[i]) == in)
            paragraph_item(to, started, id_of(id, p, t, i));
}

static void put_side(const page *p, paragraph *to, things t, things other, const char *words,
                     bool *started)
{
    size_t own = 0;
    bool first = false;
    for (size_t i = 0; i < t.count; i++)
        own += !among(other, t.list[i]);
    if (!own)
        return;
    fprintf(to->stream, "%s%s ", *started ? ", " : "", words);
    *started = true;
    put_those(p, to, t, other, false, &first);
}

/* "void-aft, motor, to port workshop, to starboard winch". */
static void put_sides(const page *p, paragraph *to, things port, things starboard)
{
    bool started = false;
    put_those(p, to, port, starboard, true, &started);
    put_side(p, to, port, starboard, "to port", &started);
    put_side(p, to, starboard, port, "to starboard", &started);
    if (!port.count && !starboard.count)
        fputs("nothing", to->stream);
}

/* --- the indexes --- */

static bool print_state_index(const page *p, coaming_answer state, const char *words)
{
    char value[SHOWN], lost[SHOWN];
    index_words(value, p->index->index[state]);
    percent(lost, p->index->lost[state]);
    return print_line(p->out, p->style, 2, 10, "%-7s %s; lost to %s of damage", value, words, lost);
}

static bool print_expected(const page *p)
{
    char value[SHOWN], lost[SHOWN], limits[SHOWN];
    paragraph line;
    if (isnan(p->index->expected.value))
        return true;
    if (paragraph_open(&line)) {
        fprintf(line.stream, "%-7s " SURVIVAL_EXPECTED,
                index_words(value, p->index->expected.value));
        fputs(limit_words(limits, &p->index->expected, p->index->expected_error), line.stream);
        fprintf(line.stream, "; lost to %s of damage",
                percent(lost, p->index->lost_expected.value));
    }
    return paragraph_close(&line, p->out, p->style, 2, 10);
}

static bool print_loading(const page *p, const coaming_survival_loading *l)
{
    char name[SHOWN], value[SHOWN], part[SHOWN];
    paragraph line;
    if (paragraph_open(&line)) {
        fprintf(line.stream, "%s, counted by %s: ", shown(name, l->id, 30),
                percent(part, l->share));
        for (int state = 0; state < COAMING_ANSWERS; state++)
            fprintf(line.stream, "%s%s %s", state ? ", " : "", index_words(value, l->index[state]),
                    survival_state((coaming_answer)state));
    }
    return paragraph_close(&line, p->out, p->style, 2, 4);
}

static bool print_left_out(const page *p)
{
    char *words = left_out_words(p->ship, p->v, coaming_outset_query(p->rows->outset).loading);
    bool good = words && (!*words || print_line(p->out, p->style, 2, 4, "%s.", words));
    free(words);
    return good;
}

static bool print_lolls(const page *p)
{
    bool good = true;
    for (size_t i = 0; good && i < coaming_survival_loading_count(p->v); i++) {
        char *words = loll_words(p->ship, coaming_survival_loading_get(p->v, i));
        good = words && (!*words || print_line(p->out, p->style, 2, 4, "%s.", words));
        free(words);
    }
    return good;
}

static bool print_indexes(const page *p)
{
    size_t loadings = coaming_survival_loading_count(p->v);
    char *required = required_words(p->index);
    bool good = required != NULL;
    ink_on(p->out, p->style, INK_STRONG);
    good = good && print_line(p->out, p->style, 0, 2,
                              "Index of subdivision (1: survives all damage "
                              "that is counted):");
    ink_off(p->out, p->style, INK_STRONG);
    for (int state = 0; good && state < COAMING_ANSWERS; state++)
        good = print_state_index(p, (coaming_answer)state, survival_state((coaming_answer)state));
    good = good && print_expected(p) && print_line(p->out, p->style, 2, 4, "%s.", required) &&
           (!is_one_zone(p->ship) || print_line(p->out, p->style, 2, 4, IS_ONE_ZONE));
    for (size_t i = 0; good && loadings > 1 && i < loadings; i++)
        good = print_loading(p, coaming_survival_loading_get(p->v, i));
    free(required);
    return good && print_lolls(p) && print_left_out(p) &&
           print_line(p->out, p->style, 2, 4, "%s", NOT_STATUTORY);
}

/* --- what the difference hangs on --- */

static bool print_closure(const page *p, const coaming_survival_closure *c)
{
    char id[SHOWN], name[SHOWN], standing[SHOWN], value[SHOWN];
    const ship_link *l = &p->ship->links[c->closure];
    ink colour = result_ink(coaming_closure_result(p->ship, c->closure));
    paragraph line;
    ink_on(p->out, p->style, colour);
    if (paragraph_open(&line)) {
        fprintf(line.stream, "%s %s: %s; ", shown(id, l->id, 24), shown(name, l->name, 60),
                standing_words(standing, p->ship, c->closure));
        fputs(gain_words(value, c), line.stream);
        fputs(turned_words(value, c), line.stream);
    }
    bool good = paragraph_close(&line, p->out, p->style, 2, 4);
    ink_off(p->out, p->style, colour);
    return good;
}

static bool print_more(const page *p, size_t more, const char *what)
{
    return !more || print_line(p->out, p->style, 2, 4, "and %zu more %s.", more, what);
}

static bool print_hangs_on(const page *p)
{
    size_t all = coaming_survival_closure_count(p->v), count = 0;
    for (size_t i = 0; i < all; i++)
        count += tested_hangs_on(coaming_survival_closure_get(p->v, i));
    size_t most = p->rows->top ? p->rows->top : CLOSURES_TOLD, put = 0;
    if (!tested_differs(p->v))
        count = 0;
    char *words = tested_cost_words(p->v);
    fputc('\n', p->out);
    bool good =
        words && print_line(p->out, p->style, 0, 2, count ? "%s. It hangs on:" : "%s.", words);
    free(words);
    for (size_t i = 0; count && good && i < all && put < most; i++) {
        const coaming_survival_closure *c = coaming_survival_closure_get(p->v, i);
        if (!tested_hangs_on(c))
            continue;
        good = print_closure(p, c);
        put++;
    }
    return good && print_more(p, count - put, count - put == 1 ? "closure" : "closures");
}

/* --- as likely as the history says --- */

static bool print_gain(const page *p, const coaming_survival_closure *c)
{
    char id[SHOWN], name[SHOWN], standing[SHOWN], value[SHOWN], limits[SHOWN];
    const ship_link *l = &p->ship->links[c->closure];
    ink colour = result_ink(coaming_closure_result(p->ship, c->closure));
    paragraph line;
    ink_on(p->out, p->style, colour);
    if (paragraph_open(&line)) {
        fprintf(line.stream, "%-6s %s %s: %s", index_words(value, c->index_gain.value),
                shown(id, l->id, 24), shown(name, l->name, 60),
                standing_words(standing, p->ship, c->closure));
        if (c->index_gain.low > 0) /* else it is not sure that anything is won */
            fputs(limit_words(limits, &c->index_gain, 0), line.stream);
    }
    bool good = paragraph_close(&line, p->out, p->style, 2, 9);
    ink_off(p->out, p->style, colour);
    return good;
}

static bool print_costing(const page *p, bool heading)
{
    char *words = costing_words(p->ship, p->v);
    if (words && *words && !heading)
        fputc('\n', p->out);
    bool good = words && (!*words || print_line(p->out, p->style, heading ? 2 : 0, heading ? 4 : 2,
                                                "%s.", words));
    free(words);
    return good;
}

static bool print_gains(const page *p)
{
    char words[SHOWN];
    size_t count = 0, most = p->rows->top ? p->rows->top : CLOSURES_TOLD;
    const coaming_survival_closure **list = survival_by_gain(p->v, &count);
    if (!list)
        return false;
    bool good = true;
    if (count) {
        fputc('\n', p->out);
        good = print_line(p->out, p->style, 0, 2, "%s:", gains_words(words, p->index));
    }
    for (size_t i = 0; good && i < count && i < most; i++)
        good = print_gain(p, list[i]);
    good = good &&
           print_more(p, count > most ? count - most : 0,
                      count == most + 1 ? "closure" : "closures") &&
           print_costing(p, count > 0);
    memory_free(list);
    return good;
}

/* The same closures leak, after damage to the other side, and as likely. */
static bool twin_ways(const page *p, const coaming_survival_way *a, const coaming_survival_way *b)
{
    const coaming_survival_case *one = coaming_survival_get(p->v, a->which);
    const coaming_survival_case *other = coaming_survival_get(p->v, b->which);
    if (!(one->starboard ? survival_twins(other, one) : survival_twins(one, other)))
        return false;
    return a->closure_count == b->closure_count && a->flooded_count == b->flooded_count &&
           fabs(a->probability - b->probability) <= 1e-6 * a->probability &&
           !memcmp(a->closures, b->closures, a->closure_count * sizeof *a->closures);
}

/* From `from` up to `to`; NULL: none. */
static const coaming_survival_way *find_twin_way(const page *p, size_t of, size_t from, size_t to)
{
    const coaming_survival_way *w = coaming_survival_way_get(p->v, of);
    for (size_t i = from; i < to; i++)
        if (twin_ways(p, w, coaming_survival_way_get(p->v, i)))
            return coaming_survival_way_get(p->v, i);
    return NULL;
}

static bool print_way(const page *p, const coaming_survival_way *w,
                      const coaming_survival_way *twin)
{
    const coaming_survival_case *c = coaming_survival_get(p->v, w->which);
    char *words = case_words(p->ship, p->v, c, twin ? SIDE_EITHER : SIDE_ITS_OWN);
    const things closures = {w->closures, w->closure_count, true};
    things port = {w->flooded, w->flooded_count, false}, starboard = port;
    char value[SHOWN];
    bool started = false;
    paragraph line;
    if (twin && c->starboard)
        port = (things){twin->flooded, twin->flooded_count, false};
    else if (twin)
        starboard = (things){twin->flooded, twin->flooded_count, false};
    if (words && paragraph_open(&line)) {
        fprintf(line.stream, "%s of damage: %s; ",
                percent(value, w->probability + (twin ? twin->probability : 0)), words);
        put_those(p, &line, closures, closures, true, &started);
        fputs(w->closure_count > 1 ? " leak. Floods " : " leaks. Floods ", line.stream);
        put_sides(p, &line, port, starboard);
        fputc('.', line.stream);
    }
    bool good = words && paragraph_close(&line, p->out, p->style, 2, 4);
    free(words);
    return good;
}

static bool print_ways(const page *p)
{
    size_t count = coaming_survival_way_count(p->v), put = 0;
    size_t most = p->rows->top ? p->rows->top : DAMAGE_TOLD;
    bool good = true;
    if (count) {
        fputc('\n', p->out);
        good = print_line(p->out, p->style, 0, 2, LIKELIEST_WAYS ":");
    }
    for (size_t i = 0; good && i < count && put < most; i++) {
        if (find_twin_way(p, i, 0, i)) /* told with it */
            continue;
        good = print_way(p, coaming_survival_way_get(p->v, i), find_twin_way(p, i, i + 1, count));
        put++;
    }
    return good;
}

/* --- cases --- */

/* "s 0.62", "afloat with s 0", "lost". */
static const char *fate_words(char buffer[SHOWN], const coaming_survival_case *c, int state)
{
    char value[SHOWN];
    if (c->grade[state] == COAMING_GRADE_LOST)
        snprintf(buffer, SHOWN, "lost");
    else
        snprintf(buffer, SHOWN, "%ss %.60s", c->s[state] > 0 ? "" : "afloat with ",
                 index_words(value, c->s[state]));
    return buffer;
}

/* Is it told with a state before it? */
static bool same_fate_before(const coaming_survival_case *c, int state)
{
    char own[SHOWN], other[SHOWN];
    bool same = false;
    fate_words(own, c, state);
    for (int before = 0; before < state && !same; before++)
        same = !strcmp(own, fate_words(other, c, before));
    return same;
}

/* "s 1 as built, s 0.62 as last tested, lost if untested closures leak"; "lost in each state". */
static void put_fates(FILE *out, const coaming_survival_case *c)
{
    char own[SHOWN], other[SHOWN];
    for (int state = 0; state < COAMING_ANSWERS; state++) {
        int same = 1;
        if (same_fate_before(c, state))
            continue;
        fprintf(out, "%s%s", state ? ", " : "", fate_words(own, c, state));
        for (int more = state + 1; more < COAMING_ANSWERS; more++)
            same += !strcmp(own, fate_words(other, c, more));
        if (same == COAMING_ANSWERS)
            fputs(" in each state", out);
        else
            fprintf(out, " %s", survival_state((coaming_answer)state));
        for (int more = state + 1; same < COAMING_ANSWERS && more < COAMING_ANSWERS; more++)
            if (!strcmp(own, fate_words(other, c, more)))
                fprintf(out, " and %s", survival_state((coaming_answer)more));
    }
}

#define OF(a, list) ((things){(a)->list, (a)->list##_count, false})
#define BY(a)       ((things){(a)->turned_by, (a)->turned_by_count, true})

static bool print_case(const page *p, const survival_line *l)
{
    const coaming_survival_case *c = coaming_survival_get(p->v, l->which);
    bool two = l->twin != NO_TWIN;
    const coaming_survival_case *d = two ? coaming_survival_get(p->v, l->twin) : c;
    char *words = case_words(p->ship, p->v, c, two ? SIDE_EITHER : SIDE_ITS_OWN), value[SHOWN];
    paragraph line;
    if (words && paragraph_open(&line)) {
        fprintf(line.stream, "%s of damage: %s; ", percent(value, l->share), words);
        put_fates(line.stream, c);
        fputs(". Opens ", line.stream);
        put_sides(p, &line, OF(c, opened), OF(d, opened));
        if (c->spared_count) {
            fputs("; worst if it spares ", line.stream);
            put_sides(p, &line, OF(c, spared), OF(d, spared));
        }
        if (c->turned_by_count) {
            fputs("; worse by ", line.stream);
            put_sides(p, &line, BY(c), BY(d));
            if (c->turned_together && c->turned_by_count > 1)
                fputs(" together", line.stream);
        }
        fputc('.', line.stream);
    }
    bool good = words && paragraph_close(&line, p->out, p->style, 2, 4);
    free(words);
    return good;
}

typedef struct {
    survival_line *list;
    size_t count;
} all_lines;

/* Does the list of what is lost only as last tested tell it, or count it? */
static bool told_above(const page *p, const survival_line *l)
{
    return turned_as_tested(coaming_survival_get(p->v, l->which));
}

static bool print_lost(const page *p, const all_lines *lines)
{
    size_t lost = 0, put = 0, most = p->rows->top ? p->rows->top : DAMAGE_TOLD;
    size_t unsurvived = 0;
    char more[SHOWN], *words = lost_as_tested_words(p->v, &lost);
    unsurvived_words(more, p->v, &unsurvived);
    fputc('\n', p->out);
    ink_on(p->out, p->style, lost ? INK_BAD : INK_PLAIN);
    bool good = words && print_line(p->out, p->style, 0, 2, lost + unsurvived ? "%s%s:" : "%s%s.",
                                    words, more);
    ink_off(p->out, p->style, lost ? INK_BAD : INK_PLAIN);
    free(words);
    lost += unsurvived;
    for (size_t i = 0; good && i < lines->count && put < most; i++) {
        const survival_line *l = &lines->list[i];
        if (!told_above(p, l))
            continue;
        good = print_case(p, l);
        lost -= l->cases;
        put++;
    }
    return good && print_more(p, lost, lost == 1 ? "case" : "cases");
}

/* Those that have been told above are not told again. */
static bool print_costly(const page *p, const all_lines *lines)
{
    size_t count = coaming_survival_count(p->v), most = p->rows->top ? p->rows->top : DAMAGE_TOLD;
    size_t put = 0;
    bool above = false;
    for (size_t i = 0; i < lines->count && !above; i++)
        above = told_above(p, &lines->list[i]);
    bool good =
        print_line(p->out, p->style, 0, 2, "%s that costs most as last tested, of %zu cases:",
                   above ? "Other damage" : "Damage", count);
    for (size_t i = 0; good && i < lines->count && put < most; i++) {
        if (told_above(p, &lines->list[i]))
            continue;
        good = print_case(p, &lines->list[i]);
        put++;
    }
    return good;
}

static bool print_all(const page *p, const all_lines *lines)
{
    size_t count = coaming_survival_count(p->v), put = 0;
    size_t most = p->rows->top && p->rows->top < lines->count ? p->rows->top : lines->count;
    for (size_t i = 0; i < most; i++)
        put += lines->list[i].cases;
    bool good = put < count ? print_line(p->out, p->style, 0, 2,
                                         "The first %zu of %zu cases, from aft:", put, count)
                            : print_line(p->out, p->style, 0, 2, "All %zu cases, from aft:", count);
    for (size_t i = 0; good && i < most; i++)
        good = print_case(p, &lines->list[i]);
    return good && print_more(p, count - put, count - put == 1 ? "case" : "cases");
}

static bool print_cases(const page *p)
{
    all_lines from_aft, costly;
    from_aft.list = survival_lines(p->v, &from_aft.count);
    costly.list = survival_lines(p->v, &costly.count);
    bool good = from_aft.list && costly.list;
    if (good) {
        survival_lines_by_cost(costly.list, costly.count);
        good = print_lost(p, &costly);
        fputc('\n', p->out);
        good = good && (p->rows->all ? print_all(p, &from_aft) : print_costly(p, &costly));
    }
    memory_free(from_aft.list);
    memory_free(costly.list);
    return good;
}

static coaming_status text_survival(const page *p, coaming_error *error)
{
    bool good = print_heading(p->out, p->style, p->rows->outset, SURVIVAL_ASKS) &&
                print_indexes(p) && print_hangs_on(p) && print_gains(p) && print_ways(p) &&
                print_cases(p) && print_caution(p->out, p->style, coaming_float_caution());
    return good ? COAMING_OK : error_memory(error);
}

coaming_status coaming_print_survival(FILE *out, coaming_style style,
                                      const coaming_survival_rows *rows, coaming_error *error)
{
    if (!rows->outset || !rows->survival)
        return outset_missing(error);
    page p = {out,
              style_fit(style),
              coaming_outset_ship(rows->outset),
              rows->survival,
              coaming_survival_get_index(rows->survival),
              rows};
    return style.format != COAMING_TEXT ? json_survival(out, style.format, rows, error)
                                        : text_survival(&p, error);
}
