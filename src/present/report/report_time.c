/* Water and air in time, as they were asked for: what happens when, what can still be done, and the plots
 * and plans. The words are those of flood and air, and so are the numbers. */
#include <stdlib.h>

#include "base/error.h"
#include "base/memory.h"
#include "present/draw/time_sheet.h"
#include "present/form/html.h"
#include "present/form/markup.h"
#include "present/report/reporting.h"
#include "present/tell/air_words.h"
#include "present/tell/flood_words.h"

/* --- parts of both --- */

/* A sentence of its own, in an element; freed. "" says nothing. False when out of memory. */
static bool put_in(const report *r, const char *open, const char *close, char *words)
{
    if (words && *words) {
        fputs(open, r->out);
        html_words(r->out, words);
        fputs(close, r->out);
    }
    free(words);
    return words != NULL;
}

static bool put_plain(const report *r, char *words)
{
    return put_in(r, "<p>", "</p>\n", words);
}

static bool put_strong(const report *r, char *words)
{
    return put_in(r, "<p><strong>", "</strong></p>\n", words);
}

static bool put_item(const report *r, char *words)
{
    return put_in(r, "<li>", "</li>\n", words);
}

/* What an event is, for a list; freed. */
typedef char *say_event(const report *r, size_t at);

/* With the numbers that stand over the plots. */
static bool put_events(const report *r, const char *id, const told_events *told, say_event *say)
{
    char time[SHOWN];
    bool good = true;
    if (!told->count)
        return true;
    html_table(r->out, id, "What happens, by the numbers over the plots", "#No.|After|What",
               told->count);
    for (size_t i = 0; i < told->count && good; i++) {
        markup_put(r->out, "<tr><td class=\"number\">%zu</td><td class=\"day\">%s</td>", i + 1,
                   lapse_words(time, told->t[i]));
        good = put_in(r, "<td>", "</td></tr>\n", say(r, told->at[i]));
    }
    html_table_end(r->out);
    if (told->left_out)
        markup_put(r->out, "<p>" TOLD_LEFT_OUT ".</p>\n",
                   counted(time, (double)told->left_out, "event", "events"));
    return good;
}

/* --- water --- */

static char *say_flood(const report *r, size_t at)
{
    const coaming_flood_answer *a = coaming_flood_get(r->of->flood);
    return flood_event_words(r->ship, a, &a->events[at]);
}

static bool put_deadlines(const report *r)
{
    const coaming_flood_deadlines *d = r->of->deadlines;
    size_t all = coaming_flood_deadline_count(d);
    const coaming_flood_deadline **list = memory_new(all, sizeof(coaming_flood_deadline *));
    if (!list)
        return false;
    size_t count = flood_useful(d, list);
    bool good = true;
    if (count)
        fputs("<p>" FLOOD_STILL_DONE "</p>\n<ul>\n", r->out);
    else if (!all)
        fputs("<p>" FLOOD_NOTHING_OPEN "</p>\n", r->out);
    for (size_t i = 0; i < count && good; i++)
        good = put_item(r, flood_deadline_words(r->ship, list[i]));
    fputs(count ? "</ul>\n" : "", r->out);
    memory_free(list);
    return good && put_plain(r, flood_useless_words(r->ship, d));
}

static bool put_flood_words(const report *r, const coaming_flood_page *page)
{
    const coaming_flood_answer *a = coaming_flood_get(r->of->flood);
    told_events told = flood_told(a);
    return put_plain(r, flood_source_words(r->ship, page->ask)) &&
           put_strong(r, flood_reach_words(r->ship, page)) && put_strong(r, flood_fate_words(a)) &&
           (r->of->deadlines ? put_deadlines(r) : put_plain(r, flood_open_words(r->ship, page))) &&
           put_events(r, "water-events", &told, say_flood);
}

static bool put_flood_end(const report *r)
{
    const coaming_flood_answer *a = coaming_flood_get(r->of->flood);
    char time[SHOWN];
    markup_put(r->out, "<p>After %s she ", lapse_words(time, a->end));
    return put_in(r, "", "</p>\n", flood_end_words(r->ship, a)) &&
           put_plain(r, flood_assumed_words(r->ship, a));
}

coaming_status report_water(const report *r, coaming_error *error)
{
    if (!r->of->flood)
        return COAMING_OK;
    coaming_flood_page page = {.outset = r->of->outset,
                               .ask = r->how->flood,
                               .flood = r->of->flood,
                               .deadlines = r->of->deadlines};
    fputs("<section aria-labelledby=\"water\">\n<h2 id=\"water\">Water in time</h2>\n", r->out);
    coaming_status status = put_flood_words(r, &page) ? COAMING_OK : error_memory(error);
    if (status == COAMING_OK)
        status = draw_flood_pieces(r->out, &page, error);
    if (status == COAMING_OK && !put_flood_end(r))
        status = error_memory(error);
    fputs("</section>\n", r->out);
    return status;
}

/* --- air --- */

static char *say_air(const report *r, size_t at)
{
    const coaming_air_answer *a = coaming_air_get(r->of->air);
    return air_event_words(r->ship, &a->events[at]);
}

enum { SPACES_MOST = 14 };

static void put_course(const report *r, const coaming_air_answer *a, const coaming_air_course *c)
{
    char words[SHOWN];
    size_t end = a->time_count - 1, moments[] = {end / 4, end / 2, end};
    const coaming_air_harm *harm = air_harm(a, c->space);
    markup_put(r->out, "<tr><td><bdi>%s</bdi></td><td>%s</td>", r->ship->spaces[c->space].id,
               agent_name(c->agent));
    for (size_t i = 0; i < sizeof moments / sizeof *moments; i++)
        markup_put(r->out, "<td class=\"number\">%s</td>",
                   share_words(words, c->agent, c->share[moments[i]]));
    markup_put(r->out, "<td class=\"number\">%s</td></tr>\n",
               harm ? amount(words, harm->fed[end]) : "-");
}

/* How much there is at a quarter, at half and at the end of the time, and what people there have taken
 * up. */
static bool put_courses(const report *r, const coaming_air_answer *a)
{
    char heads[4 * SHOWN], quarter[SHOWN], half[SHOWN], end[SHOWN];
    size_t last = a->time_count - 1, *order = air_by_dose(a);
    if (!order)
        return false;
    snprintf(heads, sizeof heads, "Space|Of|#After %.60s|#%.60s|#%.60s|#FED then",
             lapse_words(quarter, a->times[last / 4]), lapse_words(half, a->times[last / 2]),
             lapse_words(end, a->times[last]));
    html_table(r->out, "air-spaces", "What is in the air, and what people there have taken up",
               heads, a->course_count < SPACES_MOST ? a->course_count : SPACES_MOST);
    for (size_t i = 0; i < a->course_count && i < SPACES_MOST; i++)
        put_course(r, a, &a->courses[order[i]]);
    html_table_end(r->out);
    if (a->course_count > SPACES_MOST)
        markup_put(r->out, "<p>and %zu more, with less.</p>\n", a->course_count - SPACES_MOST);
    memory_free(order);
    return true;
}

static bool put_passed(const report *r, const coaming_air_answer *a)
{
    char more[SHOWN];
    size_t told = 0;
    bool good = true;
    if (!a->event_count) {
        markup_put(r->out, "<p>%s</p>\n", air_no_limit(r->how->air));
        return true;
    }
    fputs("<p><strong>" AIR_PASSED ":</strong></p>\n<ul>\n", r->out);
    for (size_t i = 0; i < a->event_count && good; i++)
        if (air_first_there(a, i) && told++ < SPACES_MOST)
            good = put_item(r, air_space_words(r->ship, a, i));
    if (told > SPACES_MOST)
        markup_put(r->out, "<li>and %s.</li>\n",
                   counted(more, (double)(told - SPACES_MOST), "space more", "spaces more"));
    fputs("</ul>\n", r->out);
    return good;
}

/* Each name that is passed, and who says so. */
static bool put_published(const report *r, const coaming_air_answer *a)
{
    const coaming_air_limit *limit;
    bool good = true;
    fputs(a->event_count ? "<ul>\n" : "", r->out);
    for (size_t i = 0; good && (limit = coaming_air_limit_published(i)); i++)
        if (air_passes(a, limit))
            good = put_item(r, air_limit_words(limit));
    fputs(a->event_count ? "</ul>\n" : "", r->out);
    return good;
}

static bool put_shuttings(const report *r, const coaming_air_answer *a)
{
    bool good = true;
    if (!a->shutting_count)
        return true;
    fprintf(r->out, "<p><strong>%s:</strong></p>\n<ul>\n", air_still_done(r->how->air));
    for (size_t i = 0; i < a->shutting_count && good; i++)
        good = put_item(r, air_shutting_words(r->ship, &a->shuttings[i]));
    fputs("</ul>\n", r->out);
    return good;
}

static bool put_shelters(const report *r, const coaming_air_answer *a)
{
    bool good = true;
    for (size_t i = 0; i < a->shelter_count && good; i++)
        good = put_strong(r, air_shelter_words(r->ship, &a->shelters[i])) &&
               put_plain(r, air_later_words(a, &a->shelters[i])) &&
               put_plain(r, air_clean_words(&a->shelters[i]));
    return good;
}

static bool put_air_words(const report *r, const coaming_air_answer *a)
{
    char words[2 * SHOWN];
    told_events told;
    fputs("<p>", r->out);
    html_words(r->out, weather_words(words, r->how->air));
    fputs("</p>\n", r->out);
    return put_plain(r, air_asked_words(r->ship, r->how->air)) &&
           put_plain(r, air_sealed_words(r->ship, r->how->air, a)) &&
           put_strong(r, air_much_words(r->ship, a)) && put_passed(r, a) && put_shuttings(r, a) &&
           put_shelters(r, a) && air_told(r->ship, a, &told) &&
           put_events(r, "air-events", &told, say_air) && put_published(r, a) && put_courses(r, a);
}

coaming_status report_air(const report *r, coaming_error *error)
{
    char words[4 * SHOWN];
    if (!r->of->air)
        return COAMING_OK;
    const coaming_air_answer *a = coaming_air_get(r->of->air);
    fputs("<section aria-labelledby=\"air\">\n<h2 id=\"air\">Air in time</h2>\n", r->out);
    coaming_status status = put_air_words(r, a) ? COAMING_OK : error_memory(error);
    if (status == COAMING_OK)
        status = draw_air_pieces(r->out, r->of->air, error);
    fputs("<p>", r->out);
    html_words(r->out, air_assumed(words, a));
    fputs("</p>\n<p>", r->out);
    html_words(r->out, air_not_counted);
    fputs("</p>\n</section>\n", r->out);
    return status;
}
