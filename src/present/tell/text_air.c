/* What it reaches and when comes first, with what brings it there; then how much there is at the end,
 * then the shelters. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/error.h"
#include "base/memory.h"
#include "present/form/style.h"
#include "present/tell/air_words.h"
#include "present/tell/flood_words.h"
#include "present/tell/heading.h"
#include "present/tell/views.h"
#include "ship/state.h"

/* The documents have all. */
enum { ROWS_MOST = 14, COSTS_MOST = 5 };

typedef struct {
    FILE *out;
    coaming_style style;
    const coaming_ship *ship;
    const coaming_air_options *o;
    const coaming_air_answer *a;
} page;

static bool print_sources(const page *p)
{
    bool none = !p->o->source_count;
    if (none &&
        !print_line(p->out, p->style, 0, 2,
                    "Nothing is said to get into the air (--source): pressures and flows alone."))
        return false;
    return print_words(p->out, p->style, INK_STRONG, 0, air_asked_words(p->ship, p->o));
}

/* --- limits --- */

/* What each name means, and who says so. */
static bool print_published(const page *p)
{
    const coaming_air_limit *limit;
    bool good = true;
    for (size_t i = 0; good && (limit = coaming_air_limit_published(i)); i++)
        if (air_passes(p->a, limit))
            good = print_words(p->out, p->style, INK_PLAIN, 2, air_limit_words(limit));
    return good;
}

static bool print_limits(const page *p)
{
    char more[SHOWN];
    size_t told = 0;
    if (!p->o->source_count)
        return true;
    if (!p->a->event_count)
        return print_line(p->out, p->style, 0, 2, "%s", air_no_limit(p->o));
    bool good = print_line(p->out, p->style, 0, 2, AIR_PASSED ":");
    for (size_t i = 0; i < p->a->event_count && good; i++)
        if (air_first_there(p->a, i) && told++ < ROWS_MOST)
            good = print_words(p->out, p->style, INK_PLAIN, 2, air_space_words(p->ship, p->a, i));
    if (good && told > ROWS_MOST)
        good = print_line(p->out, p->style, 2, 4, "and %s (JSON has them).",
                          counted(more, (double)(told - ROWS_MOST), "space more", "spaces more"));
    return good && print_published(p);
}

/* --- what can still be done --- */

static bool print_shut(const page *p)
{
    bool good =
        !p->a->shutting_count || print_line(p->out, p->style, 0, 2, "%s:", air_still_done(p->o));
    for (size_t i = 0; i < p->a->shutting_count && good; i++)
        good = print_words(p->out, p->style, INK_STRONG, 2,
                           air_shutting_words(p->ship, &p->a->shuttings[i]));
    return good;
}

/* --- how much --- */

/* As many moments as there is room for: the end, and what goes before. */
static size_t moments_of(const page *p, size_t moments[3])
{
    size_t end = p->a->time_count - 1, all[] = {end / 4, end / 2, end};
    size_t count = p->style.columns < 51 ? 1 : p->style.columns < 62 ? 2 : 3;
    memcpy(moments, all + 3 - count, count * sizeof *moments);
    return count;
}

static void print_row(const page *p, const coaming_air_course *c)
{
    char id[SHOWN], words[SHOWN];
    size_t moments[3], count = moments_of(p, moments);
    const coaming_air_harm *harm = air_harm(p->a, c->space);
    fprintf(p->out, "  %-10s %-5s", shown(id, p->ship->spaces[c->space].id, 10),
            agent_name(c->agent));
    for (size_t i = 0; i < count; i++)
        fprintf(p->out, " %10s", share_words(words, c->agent, c->share[moments[i]]));
    fprintf(p->out, " %10s\n", harm ? amount(words, harm->fed[p->a->time_count - 1]) : "-");
}

static void print_table_head(const page *p)
{
    char words[SHOWN];
    size_t moments[3], count = moments_of(p, moments);
    fprintf(p->out, "\n  %-10s %-5s", "space", "of");
    for (size_t i = 0; i < count; i++)
        fprintf(p->out, " %10s", clock_words(words, p->a->times[moments[i]]));
    fprintf(p->out, " %10s\n", "FED");
}

static bool print_table(const page *p)
{
    size_t count = p->a->course_count;
    if (!p->o->source_count || !count)
        return true;
    size_t *order = air_by_dose(p->a);
    if (!order)
        return false;
    print_table_head(p);
    for (size_t i = 0; i < count && i < ROWS_MOST; i++)
        print_row(p, &p->a->courses[order[i]]);
    memory_free(order);
    return count <= ROWS_MOST ||
           print_line(p->out, p->style, 2, 4, "and %zu more, with less.", count - ROWS_MOST);
}

/* --- pressures --- */

/* Most changed first; of equal ones that of the greater pressure. */
static int by_change(const void *left, const void *right)
{
    const coaming_air_space *a = *(const coaming_air_space *const *)left,
                            *b = *(const coaming_air_space *const *)right;
    if (a->changes != b->changes)
        return a->changes > b->changes ? -1 : 1;
    return a < b ? -1 : 1;
}

static bool print_pressures(const page *p)
{
    char id[SHOWN];
    size_t count = 0;
    if (p->o->source_count)
        return true;
    const coaming_air_space **rows = memory_new(p->ship->space_count, sizeof(*rows));
    if (!rows)
        return false;
    for (size_t s = 0; s < p->ship->space_count; s++)
        if (p->a->spaces[s].changes >= 0.005)
            rows[count++] = &p->a->spaces[s];
    qsort(rows, count, sizeof(*rows), by_change);
    if (count)
        fprintf(p->out, "\n  %-12s %10s %14s\n", "space", "Pa", "air changes/h");
    for (size_t i = 0; i < count && i < ROWS_MOST; i++)
        fprintf(p->out, "  %-12s %10.1f %14.2f\n",
                shown(id, p->ship->spaces[rows[i] - p->a->spaces].id, 12), rows[i]->pressure,
                rows[i]->changes);
    memory_free(rows);
    if (!count)
        return print_line(p->out, p->style, 0, 2,
                          "No wind, no fan and no difference of temperature drives any air.");
    return count <= ROWS_MOST ||
           print_line(p->out, p->style, 2, 4, "and %zu more (JSON has them).", count - ROWS_MOST);
}

static bool print_remarks(const page *p)
{
    return print_words(p->out, p->style, INK_PLAIN, 0, air_sealed_words(p->ship, p->o, p->a)) &&
           print_words(p->out, p->style, INK_BAD, 0, air_much_words(p->ship, p->a));
}

/* --- shelters --- */

static bool print_costs(const page *p, const coaming_air_shelter *s)
{
    char id[SHOWN], flow[SHOWN], sound[SHOWN], share[SHOWN];
    bool good = true;
    for (size_t i = 0; i < s->cost_count && i < COSTS_MOST && good; i++) {
        const coaming_air_cost *c = &s->costs[i];
        const coaming_air_way *way = air_way(p->a, c->link);
        if (!(c->flow > 0))
            break;
        amount(flow, c->flow);
        amount(sound, c->sound);
        good = print_line(p->out, p->style, 4, 6, "%s (%s): %.40s m3/s, %s%s%.40s%s",
                          shown(id, p->ship->links[c->link].id, 24), air_state_words(way->state),
                          flow, percent(share, c->flow / s->needed),
                          c->sound < c->flow ? "; shut and sound " : "",
                          c->sound < c->flow ? sound : "", c->sound < c->flow ? " m3/s" : "");
    }
    return good;
}

static bool print_shelter(const page *p, const coaming_air_shelter *s)
{
    char flow[SHOWN];
    ink colour = s->pressure < p->o->overpressure ? INK_BAD : INK_STRONG;
    fputc('\n', p->out);
    return print_words(p->out, p->style, colour, 0, air_shelter_words(p->ship, s)) &&
           print_words(p->out, p->style, INK_PLAIN, 2, air_later_words(p->a, s)) &&
           print_words(p->out, p->style, INK_PLAIN, 2, air_clean_words(s)) &&
           print_line(
               p->out, p->style, 2, 4,
               "For %g Pa over the air outside it needs %.40s m3/s; most of that is lost by:",
               p->o->overpressure, amount(flow, s->needed)) &&
           print_costs(p, s);
}

static bool print_shelters(const page *p)
{
    bool good = true;
    for (size_t i = 0; i < p->a->shelter_count && good; i++)
        good = print_shelter(p, &p->a->shelters[i]);
    return good;
}

static coaming_status text_air(FILE *out, coaming_style style, const coaming_outset *outset,
                               const coaming_air *air, coaming_error *error)
{
    char words[4 * SHOWN];
    page p = {out, style, coaming_air_ship(air), coaming_air_asked(air), coaming_air_get(air)};
    bool good = print_heading(out, style, outset, AIR_TITLE) &&
                print_line(out, style, 0, 2, "%s", weather_words(words, p.o));
    fputc('\n', out);
    good = good && print_sources(&p) && print_remarks(&p) && print_limits(&p) && print_shut(&p) &&
           print_table(&p) && print_pressures(&p) && print_shelters(&p);
    fputc('\n', out);
    good = good && print_line(out, style, 0, 2, "%s", air_assumed(words, p.a)) &&
           print_line(out, style, 0, 2, "%s", air_not_counted) &&
           print_caution(out, style, coaming_air_caution());
    return good ? COAMING_OK : error_memory(error);
}

coaming_status coaming_print_air(FILE *out, coaming_style style, const coaming_outset *outset,
                                 const coaming_air *air, coaming_error *error)
{
    if (style.format == COAMING_JSON)
        return json_air(out, air, error);
    if (style.format == COAMING_CSV)
        return csv_air(out, air);
    if (!outset)
        return outset_missing(error);
    return text_air(out, style_fit(style), outset, air, error);
}

static coaming_status text_drop(FILE *out, coaming_style style, const coaming_tightness_answer *a,
                                coaming_error *error)
{
    char id[SHOWN], volume[SHOWN], flow[SHOWN], area[SHOWN];
    amount(volume, a->drop.volume);
    amount(flow, 3600 * coaming_leak_flow(a->leak, 50));
    amount(area, 1e4 * a->leak.c / COAMING_ORIFICE);
    bool good =
        print_title(out, style, a->ship, "a drop of pressure") &&
        print_line(out, style, 0, 2,
                   "%s, %.40s m3: from %g to %g Pa over its surroundings in %g s.",
                   shown(id, a->ship->spaces[a->space].id, 30), volume, a->drop.from, a->drop.to,
                   a->drop.seconds) &&
        print_line(
            out, style, 0, 2,
            "Its whole boundary leaks like an orifice of %.40s cm2: %.40s m3/h at 50 Pa (flow as "
            "pressure to the %g).",
            area, flow, a->leak.n) &&
        print_line(out, style, 0, 2,
                   "One degree of warmth moves the pressure by 346 Pa: this counts only if the "
                   "temperature stood still.") &&
        print_caution(out, style, coaming_test_caution());
    return good ? COAMING_OK : error_memory(error);
}

coaming_status coaming_print_tightness(FILE *out, coaming_style style,
                                       const coaming_tightness_answer *answer, coaming_error *error)
{
    return style.format == COAMING_JSON ? json_tightness(out, answer, error)
                                        : text_drop(out, style_fit(style), answer, error);
}
