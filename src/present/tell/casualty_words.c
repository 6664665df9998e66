#include "present/tell/casualty_words.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "present/form/style.h"
#include "present/tell/float_words.h"
#include "present/tell/hold_words.h"
#include "present/tell/standing_words.h"
#include "ship/access.h"
#include "ship/state.h"

casualty_most casualty_cut(int cut)
{
    enum { EVERY = INT32_MAX };
    /* In the order of the members: so many places that it goes on to, links to one, and so on. */
    static const casualty_most cuts[CASUALTY_CUTS] = {
        {12, EVERY, 3, 8, 4, EVERY, 8, EVERY, EVERY, EVERY, EVERY, EVERY},
        {12, 3, 3, 8, 4, 12, 8, 6, 4, 12, 16, 8},
        {10, 2, 3, 6, 3, 10, 6, 4, 2, 8, 12, 6},
        {8, 1, 2, 4, 3, 6, 5, 3, 1, 6, 8, 5},
        {6, 1, 2, 3, 2, 4, 4, 2, 0, 4, 6, 3}};
    return cuts[cut];
}

void casualty_put_id(FILE *out, const char *id)
{
    char buffer[SHOWN];
    fputs(shown(buffer, id, 30), out);
}

static void put_link(FILE *out, const casualty_view *v, int link)
{
    casualty_put_id(out, v->ship->links[link].id);
}

static void put_place(FILE *out, const casualty_view *v, coaming_place place)
{
    casualty_put_id(out, coaming_place_id(v->ship, place));
}

static void put_more(FILE *out, size_t count, size_t told)
{
    if (count > told)
        fprintf(out, " and %zu more", count - told);
}

static size_t least(size_t a, size_t b)
{
    return a < b ? a : b;
}

static void put_spaces(FILE *out, const casualty_view *v, const int *spaces, size_t count)
{
    hold_put_spaces(out, v->ship, spaces, least(count, v->most.named));
    put_more(out, count, v->most.named);
}

void casualty_put_sources(FILE *out, const casualty_view *v)
{
    const coaming_hold_answer *hold = v->a->hold;
    hold_put_sources(out, v->ship, hold, v->most.reached);
    put_more(out, hold->source_count, v->most.reached);
}

/* --- what is reached --- */

static void put_links(FILE *out, const casualty_view *v, const int *links, size_t count)
{
    for (size_t i = 0; i < count && i < v->most.by; i++) {
        fputs(i ? " and " : "", out);
        put_link(out, v, links[i]);
    }
    put_more(out, count, v->most.by);
}

void casualty_put_reached(FILE *out, const casualty_view *v)
{
    char more[SHOWN];
    int order = 0;
    size_t named = 0, most = v->most.reached;
    fputs("As the doors are it goes on", out);
    for (size_t i = 0; i < v->a->reached_count; i++) {
        const coaming_reached *r = &v->a->reached[i];
        if (!r->order || named++ >= most)
            continue;
        fputs(r->order == order ? ", " : order ? "; then to " : ": first to ", out);
        order = r->order;
        casualty_put_id(out, v->ship->spaces[r->space].id);
        fputs(" by ", out);
        put_links(out, v, r->by, r->by_count);
    }
    if (named > most)
        fprintf(out, "; then to %s",
                counted(more, (double)(named - most), "space more", "spaces more"));
    fputs(order ? "." : " nowhere.", out);
}

/* --- what to shut at once, and what cannot be --- */

const char *casualty_shut_head(const casualty_view *v)
{
    bool lost = v->a->shut_now_count && v->a->shut_now->lost_anyhow;
    if (v->a->shut_now_count > 1)
        return lost ? "SHUT AT ONCE, what saves most first; " CASUALTY_NO_SINGLE ":"
                    : "SHUT AT ONCE, what saves most first:";
    return lost ? "SHUT AT ONCE, though it alone does not keep her afloat:" : "SHUT AT ONCE:";
}

bool casualty_goes_on(const casualty_view *v)
{
    const coaming_casualty_answer *a = v->a; /* the sources stand first */
    return a->reached_count && a->reached[a->reached_count - 1].order;
}

void casualty_put_shut_none(FILE *out, const casualty_view *v)
{
    const coaming_hold_answer *hold = v->a->hold;
    if (hold->recommended < hold->line_count)
        fputs("the whole line to hold; ", out);
    fprintf(out, "no closure by itself keeps anything %s.", hold_clean(hold));
}

void casualty_put_shut(FILE *out, const casualty_view *v, const coaming_shutting *s)
{
    put_link(out, v, s->closure);
    fputc(' ', out);
    hold_put_sides(out, v->ship, s->closure, s->from,
                   link_remote_without(&v->ship->links[s->closure], v->a->hold->sources,
                                       v->a->hold->source_count));
}

/* Open or as it stands, so that nobody takes for shut what the condition says is. */
static void put_how_it_stands(FILE *out, const casualty_view *v, int closure)
{
    char words[SHOWN];
    const ship_link *l = &v->ship->links[closure];
    if (!link_shut(l, v->condition))
        fputs(l->ever_shut || l->seen[COAMING_SEEN_OPEN] ? open_words(l) : "no condition shuts it",
              out);
    else
        fputs("not known to be shut", out);
    if (coaming_closure_result(v->ship, closure) != COAMING_PASS)
        fprintf(out, "; %s", standing_words(words, v->ship, closure));
}

void casualty_put_shut_why(FILE *out, const casualty_view *v, const coaming_shutting *s)
{
    fputs(s->keeps_afloat ? "KEEPS HER AFLOAT; " : "", out);
    if (s->saves_count) {
        fputs(s->lost_anyhow ? "while she floats the only way to " : "keeps ", out);
        put_spaces(out, v, s->saves, s->saves_count);
        if (!s->lost_anyhow)
            fprintf(out, " %s", hold_clean(v->a->hold));
        fputs("; ", out);
    }
    put_how_it_stands(out, v, s->closure);
}

bool casualty_put_shut_then(FILE *out, const casualty_view *v)
{
    size_t count = v->a->shut_now_count, first = v->most.shut;
    if (count <= first)
        return false;
    size_t told = least(count - first, v->most.shut_brief);
    for (size_t i = first; i < first + told; i++) {
        const coaming_shutting *s = &v->a->shut_now[i];
        fputs(i > first ? ", " : "then ", out);
        put_link(out, v, s->closure);
        fputs(" from ", out);
        put_place(out, v, link_stand(v->ship, &v->ship->links[s->closure], s->from));
    }
    put_more(out, count - first, told);
    return true;
}

/* Why shutting it does not help. */
static const char *why_not(const casualty_view *v, char buffer[SHOWN], int link)
{
    const ship_link *l = &v->ship->links[link];
    if (l->passage || l->rating == NONTIGHT || l->seen[COAMING_SEEN_FAILED])
        return l->rating == NONTIGHT && !l->passage ? "not tight" : hold_why_open(l, v->a->hazard);
    if (v->a->hazard == COAMING_WATER && l->rating == WEATHERTIGHT)
        return "weathertight only, under water: " HOLD_SLOWS;
    return standing_words(buffer, v->ship, link); /* it is shut, as seen */
}

/* "P4, P6 (open)": all that have the reason of the first, from it on. Returns how many. */
static size_t put_alike(FILE *out, const casualty_view *v, size_t first)
{
    char why[SHOWN], other[SHOWN];
    size_t alike = 0;
    const char *reason = why_not(v, why, v->a->cannot[first]);
    for (size_t i = first; i < v->a->cannot_count; i++) {
        if (strcmp(why_not(v, other, v->a->cannot[i]), reason) != 0 || alike++ >= v->most.alike)
            continue;
        fputs(i > first ? ", " : "", out);
        put_link(out, v, v->a->cannot[i]);
    }
    put_more(out, alike, v->most.alike);
    fprintf(out, " (%s)", reason);
    return alike;
}

/* Has one before it the same reason? */
static bool reason_told(const casualty_view *v, size_t index)
{
    char why[SHOWN], other[SHOWN];
    const char *reason = why_not(v, why, v->a->cannot[index]);
    for (size_t i = 0; i < index; i++)
        if (!strcmp(why_not(v, other, v->a->cannot[i]), reason))
            return true;
    return false;
}

void casualty_put_cannot(FILE *out, const casualty_view *v)
{
    size_t told = 0;
    for (size_t i = 0, reasons = 0; i < v->a->cannot_count; i++) {
        if (reason_told(v, i) || reasons++ >= v->most.reasons)
            continue;
        fputs(i ? "; " : "", out);
        told += put_alike(out, v, i);
    }
    put_more(out, v->a->cannot_count, told);
    fputc('.', out);
}

void casualty_put_lost(FILE *out, const casualty_view *v)
{
    const coaming_hold_answer *hold = v->a->hold;
    size_t first = least(hold->lost_count, v->most.ways);
    if (first == hold->lost_count)
        return;
    fputs(first ? "Nor " : "NO LINE can keep ", out);
    put_spaces(out, v, hold->lost_spaces + first, hold->lost_count - first);
    fprintf(out, " %s.", hold_clean(hold));
}

/* --- the line to hold: who goes where --- */

/* Of the closures of one line, in order of need. */
typedef struct {
    const coaming_hold_line *line;
    coaming_hold_closure *closures;
    coaming_place *stand;
    bool *told;
    size_t count;
} stands;

coaming_place casualty_stand(const coaming_ship *ship, const coaming_hold_line *line, int closure)
{
    return link_stand(ship, &ship->links[closure], hold_clean_side(ship, line, closure));
}

static bool is_inside(const stands *o, coaming_place place)
{
    return hold_gives_up(o->line, place);
}

static void stands_free(stands *o)
{
    memory_free(o->closures);
    memory_free(o->stand);
    memory_free(o->told);
}

static bool stands_new(const casualty_view *v, const coaming_hold_line *line, stands *o)
{
    o->line = line;
    o->count = line->closure_count;
    o->closures = memory_new(o->count, sizeof *o->closures);
    o->stand = memory_new(o->count, sizeof *o->stand);
    o->told = memory_new(o->count, sizeof *o->told);
    if (!o->closures || !o->stand || !o->told)
        return false;
    if (o->count)
        memcpy(o->closures, line->closures, o->count * sizeof *o->closures);
    qsort(o->closures, o->count, sizeof *o->closures, hold_by_need);
    for (size_t i = 0; i < o->count; i++)
        o->stand[i] = casualty_stand(v->ship, line, o->closures[i].closure);
    return true;
}

/* "keep shut D1 and V6 against engine": all of one place that have the same task and other side. */
static void put_task(FILE *out, const casualty_view *v, const stands *o, size_t first)
{
    const coaming_hold_closure *c = &o->closures[first];
    coaming_place from = o->stand[first];
    coaming_place against = link_other_side(&v->ship->links[c->closure], from);
    fputs(hold_task(c), out);
    for (size_t i = first, named = 0; i < o->count; i++) {
        const ship_link *l = &v->ship->links[o->closures[i].closure];
        if (o->told[i] || o->stand[i] != from || link_other_side(l, from) != against ||
            o->closures[i].must_be_shut != c->must_be_shut)
            continue;
        o->told[i] = true;
        fputs(named++ ? " and " : " ", out);
        casualty_put_id(out, l->id);
    }
    fputs(" against ", out);
    put_place(out, v, against);
}

static bool worked_elsewhere(const ship_link *l, coaming_place from)
{
    return l->one_sided && l->from != from;
}

/* Is there nothing to do or to know but to see that it stays shut? */
static bool is_sound(const casualty_view *v, const coaming_hold_closure *c, coaming_place from)
{
    return coaming_closure_result(v->ship, c->closure) == COAMING_PASS && !c->slows &&
           !c->must_be_shut && !worked_elsewhere(&v->ship->links[c->closure], from);
}

/* What of one closure whoever stands there has to know. */
static void put_doubts(FILE *out, const casualty_view *v, const stands *o, size_t index)
{
    const coaming_hold_closure *c = &o->closures[index];
    char words[SHOWN];
    const ship_link *l = &v->ship->links[c->closure];
    bool trusted = coaming_closure_result(v->ship, c->closure) == COAMING_PASS;
    bool worked_there = worked_elsewhere(l, o->stand[index]);
    bool elsewhere =
        c->must_be_shut && link_remote_without(l, o->line->given_up, o->line->given_up_count);
    if (trusted && !c->slows && !worked_there && !elsewhere)
        return;
    fputs("; ", out);
    casualty_put_id(out, l->id);
    if (c->slows)
        fputs(": " HOLD_SLOWS, out);
    else if (!trusted)
        fprintf(out, " %s", hold_trust(words, v->ship, c->closure));
    if (worked_there) {
        fputs(" IS WORKED ONLY FROM ", out);
        put_place(out, v, l->from);
    }
    if (elsewhere)
        fputs(" can be shut from elsewhere", out);
}

static bool make_post(const casualty_view *v, const stands *o, size_t first, casualty_post *post)
{
    char *text = NULL;
    size_t size = 0, tasks = 0;
    FILE *out = open_memstream(&text, &size);
    post->at = o->stand[first];
    if (out && is_inside(o, post->at))
        fputs(HOLD_INSIDE " ", out);
    for (size_t i = first; out && i < o->count; i++) {
        if (o->told[i] || o->stand[i] != post->at)
            continue;
        post->strong = post->strong || o->closures[i].must_be_shut;
        fputs(tasks++ ? ", " : "", out);
        put_task(out, v, o, i);
    }
    for (size_t i = 0; out && i < o->count; i++)
        if (o->stand[i] == post->at)
            put_doubts(out, v, o, i);
    post->words = words_end(out, &text);
    return post->words;
}

static bool place_sound(const casualty_view *v, const stands *o, coaming_place from)
{
    for (size_t i = 0; i < o->count; i++)
        if (o->stand[i] == from && !is_sound(v, &o->closures[i], from))
            return false;
    return true;
}

static void put_sound_place(FILE *out, const casualty_view *v, const stands *o, size_t first)
{
    size_t named = 0;
    fputs(is_inside(o, o->stand[first]) ? "inside " : "", out);
    put_place(out, v, o->stand[first]);
    for (size_t i = first; i < o->count; i++) {
        if (o->stand[i] != o->stand[first])
            continue;
        o->told[i] = true;
        fputs(named++ ? " and " : " ", out);
        put_link(out, v, o->closures[i].closure);
    }
}

/* Places where all is sound, one behind the other. False when out of memory. */
static bool make_sound(const casualty_view *v, const stands *o, casualty_posts *p)
{
    char *text = NULL;
    size_t size = 0, places = 0, most = v->most.sound, closures = 0;
    FILE *out = open_memstream(&text, &size);
    for (size_t i = 0; out && i < o->count; i++) {
        if (o->told[i] || !place_sound(v, o, o->stand[i]))
            continue;
        if (places < most) {
            fputs(places++ ? "; " : "", out);
            put_sound_place(out, v, o, i);
        } else {
            closures++;
        }
    }
    if (out)
        put_more(out, closures, 0);
    p->sound = words_end(out, &text);
    if (!p->sound)
        return false;
    if (!places) {
        free(p->sound);
        p->sound = NULL;
    }
    return true;
}

static bool make_posts(const casualty_view *v, stands *o, casualty_posts *p)
{
    size_t closures = 0, size = 0;
    p->posts = memory_new(o->count, sizeof *p->posts);
    bool good = p->posts;
    for (size_t i = 0; i < o->count && good; i++) {
        if (o->told[i] || place_sound(v, o, o->stand[i]))
            continue;
        if (p->count < v->most.posts)
            good = make_post(v, o, i, &p->posts[p->count++]);
        else
            closures++;
    }
    if (!good || !closures)
        return good;
    FILE *out = open_memstream(&p->more, &size);
    if (out)
        fprintf(out, "and %zu more to be shut or not to be trusted: 'coaming hold' tells them.",
                closures);
    p->more = words_end(out, &p->more);
    return p->more;
}

bool casualty_posts_new(const casualty_view *v, const coaming_hold_line *line, casualty_posts *p)
{
    stands o = {0};
    *p = (casualty_posts){0};
    bool good = stands_new(v, line, &o) && make_posts(v, &o, p) && make_sound(v, &o, p);
    stands_free(&o);
    return good;
}

void casualty_posts_free(casualty_posts *p)
{
    for (size_t i = 0; i < p->count; i++)
        free(p->posts[i].words);
    memory_free(p->posts);
    free(p->sound);
    free(p->more);
    *p = (casualty_posts){0};
}

/* --- what is lost --- */

char *casualty_held_words(const casualty_view *v, const coaming_hold_line *line)
{
    char *text = NULL, *rest = rest_words(v->ship, &line->at, &line->stability);
    char *lost = rest ? hold_lost_if_words(v->ship, line, false) : NULL;
    size_t size = 0;
    FILE *out = lost ? open_memstream(&text, &size) : NULL;
    if (out)
        fprintf(out, "With it held she %s%s%s", rest, *lost ? " " : "", lost);
    free(rest);
    free(lost);
    return words_end(out, &text);
}

bool casualty_held_is_bad(const coaming_hold_line *line)
{
    bool bad = hold_is_bad(line);
    for (size_t i = 0; i < line->closure_count; i++)
        bad = bad || line->closures[i].then != COAMING_AFLOAT_YES;
    return bad;
}

/* "In all 4 spaces; vital: engine; 2 people counted there" */
static void put_toll(FILE *out, const casualty_view *v, const int *spaces, size_t count)
{
    char part[SHOWN];
    double people = 0;
    size_t vital = 0;
    fprintf(out, "In all %s", counted(part, (double)count, "space", "spaces"));
    for (size_t i = 0; i < count; i++) {
        const ship_space *s = &v->ship->spaces[spaces[i]];
        people += s->people;
        if (!s->vital || vital++ >= v->most.given)
            continue;
        fputs(vital > 1 ? ", " : "; vital: ", out);
        casualty_put_id(out, s->id);
    }
    put_more(out, vital, v->most.given);
    if (people > 0)
        fprintf(out, "; %s counted", counted(part, people, "person", "people"));
}

void casualty_put_given_up(FILE *out, const casualty_view *v, const coaming_hold_line *line)
{
    fputs("Given up: ", out);
    size_t told = least(line->given_up_count, v->most.given);
    hold_put_spaces(out, v->ship, line->given_up, told);
    put_more(out, line->given_up_count, told);
    fputs(". ", out);
    put_toll(out, v, line->given_up, line->given_up_count);
    fputc('.', out);
}

char *casualty_wet_words(const casualty_view *v, const coaming_hold_line *line)
{
    char *text = NULL;
    size_t size = 0;
    if (line->wet_count <= v->most.given)
        return hold_wet_words(v->ship, v->a->hold, line);
    FILE *out = open_memstream(&text, &size);
    if (out)
        fprintf(out, HOLD_WET "%zu spaces.", line->wet_count);
    return words_end(out, &text);
}

/* Spaces that a line gives up and the one before does not: "motor, escape too". */
static void put_given_besides(FILE *out, const casualty_view *v, const coaming_hold_line *line,
                              const coaming_hold_line *before)
{
    size_t given = 0;
    for (size_t i = 0; i < line->given_up_count; i++) {
        if (hold_gives_up(before, line->given_up[i]) || given++ >= v->most.given)
            continue;
        fputs(given > 1 ? ", " : "", out);
        casualty_put_id(out, v->ship->spaces[line->given_up[i]].id);
    }
    put_more(out, given, v->most.given);
}

/* The next line behind the first that can hold where she floats; line_count: there is none. */
static size_t next_that_holds(const coaming_hold_answer *hold)
{
    size_t next = hold_told_first(hold) + 1;
    while (next < hold->line_count && hold->lines[next].not_held >= 0)
        next++;
    return next;
}

static const char *const behind[HOLD_TOLD] = {"first", "second", "third"};

void casualty_put_if_it_fails(FILE *out, const casualty_view *v)
{
    const coaming_hold_answer *hold = v->a->hold;
    size_t first = hold_told_first(hold), next = next_that_holds(hold);
    const coaming_hold_line *line = &hold->lines[first];
    if (next >= hold->line_count) {
        fputs("If it fails, no line behind it is to be counted on: all that it kept may go. ", out);
        put_toll(out, v, line->kept, line->kept_count);
        fputc('.', out);
        return;
    }
    const coaming_hold_line *then = &hold->lines[next];
    if (next - first < HOLD_TOLD)
        fprintf(out, "If it fails, and the %s line holds: ", behind[next - first]);
    else
        fprintf(out, "If it fails, and line %zu of %zu holds: ", next + 1, hold->line_count);
    put_given_besides(out, v, then, line);
    fputs(" lost too. ", out);
    put_toll(out, v, then->given_up, then->given_up_count);
    if (v->a->floating)
        fprintf(out, "; she is %s", hold_grade_brief(then));
    fputc('.', out);
}

bool casualty_told_behind(const casualty_view *v, size_t index)
{
    size_t first = hold_told_first(v->a->hold);
    return index > first && index < first + HOLD_TOLD && index < v->a->hold->line_count;
}

/* Closures that a line has and another has not, or that both have; so many at most. Returns how many
 * there are. */
static size_t put_some(FILE *out, const casualty_view *v, const coaming_hold_line *line,
                       const coaming_hold_line *other, bool shared, size_t most)
{
    size_t count = 0;
    for (size_t i = 0; i < line->closure_count; i++) {
        const coaming_hold_closure *c = &line->closures[i];
        if (hold_has_closure(other, c->closure) != shared || count++ >= most)
            continue;
        fputs(count > 1 ? ", " : "", out);
        fputs(!shared && line > other && c->must_be_shut ? "SHUT " : "", out);
        put_link(out, v, c->closure);
    }
    return count;
}

/* A line that is a part of the one before: what it leaves out, or what it keeps, whichever is less. */
static void put_part(FILE *out, const casualty_view *v, const coaming_hold_line *line)
{
    const coaming_hold_line *before = line - 1;
    size_t left_out = before->closure_count - line->closure_count, most = v->most.own;
    bool without = left_out < line->closure_count;
    fputs(without ? "as before without " : "only ", out);
    put_more(out,
             put_some(out, v, without ? before : line, without ? line : before, !without, most),
             most);
    fputs(without ? "" : ", as before", out);
}

/* Its own closures, and how many it shares with the line before. */
static void put_own(FILE *out, const casualty_view *v, const coaming_hold_line *line)
{
    size_t shared = hold_count_shared(line, line - 1), own = line->closure_count - shared;
    if (!own) {
        put_part(out, v, line);
        return;
    }
    put_some(out, v, line, line - 1, false, v->most.own);
    if (own > v->most.own)
        fprintf(out, ", %zu more", own - v->most.own);
    if (shared)
        fprintf(out, " and %zu as before", shared);
}

void casualty_put_behind(FILE *out, const casualty_view *v, size_t index)
{
    char part[SHOWN];
    const coaming_hold_answer *hold = v->a->hold;
    const coaming_hold_line *line = &hold->lines[index];
    const char *which = behind[index - hold_told_first(hold)];
    fprintf(out, "%c%s line (%zu of %zu), holds %s: ", *which - 'a' + 'A', which + 1, index + 1,
            hold->line_count, percent(part, line->holds));
    put_own(out, v, line);
    if (index != next_that_holds(hold)) { /* else it is told by what is lost if the first fails */
        fputs("; gives up ", out);
        put_given_besides(out, v, line, line - 1);
        fputs(" too", out);
        if (v->a->floating)
            fprintf(out, "; she is %s", hold_grade_brief(line));
    }
    fputc('.', out);
}

bool casualty_behind_is_bad(const casualty_view *v, size_t index)
{
    const coaming_hold_line *line = &v->a->hold->lines[index];
    return line->not_held >= 0 || (v->a->floating && line->stability.grade == COAMING_GRADE_LOST);
}
