/* One page to be read aloud, what is to be done first standing first: who hears it writes down a
 * line at a time, so each line says one thing whole. */
#include <stdlib.h>
#include <string.h>

#include "base/error.h"
#include "base/memory.h"
#include "present/form/style.h"
#include "present/tell/chance_words.h"
#include "present/tell/float_words.h"
#include "present/tell/heading.h"
#include "present/tell/hold_words.h"
#include "present/tell/standing_words.h"
#include "present/tell/views.h"
#include "ship/state.h"

#define CASUALTY_ASKS "what it has reached, what to shut, what to hold"

/* What is told in full, so that a page is enough: the document has it all. */
enum { REACHED_NAMED = 12, SAVED_NAMED = 3, SHUT_IN_FULL = 4, ALIKE_NAMED = 8 };

typedef struct {
    FILE *out;
    coaming_style style;
    const coaming_ship *ship;
    const coaming_casualty *casualty;
    coaming_query query;
    const coaming_casualty_answer *a;
    bool lost; /* memory */
} page;

static void put_id(FILE *out, const char *id)
{
    char buffer[SHOWN];
    fputs(shown(buffer, id, 30), out);
}

static void put_links(const page *p, FILE *out, const int *links, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        fputs(i ? " and " : "", out);
        put_id(out, p->ship->links[links[i]].id);
    }
}

static void put_spaces(const page *p, FILE *out, const int *spaces, size_t count)
{
    for (size_t i = 0; i < count && i < SAVED_NAMED; i++) {
        fputs(i ? ", " : "", out);
        put_id(out, p->ship->spaces[spaces[i]].id);
    }
    if (count > SAVED_NAMED)
        fprintf(out, " and %zu more", count - SAVED_NAMED);
}

static bool open_text(page *p, paragraph *text)
{
    bool open = paragraph_open(text);
    p->lost = p->lost || !open;
    return open;
}

/* Ends a paragraph that was begun. */
static void end(page *p, paragraph *text, ink colour, int first)
{
    ink_on(p->out, p->style, colour);
    if (!paragraph_close(text, p->out, p->style, first, first + 2))
        p->lost = true;
    ink_off(p->out, p->style, colour);
}

/* A sentence that is to be freed; "" says nothing. */
static void tell(page *p, ink colour, int first, const char *before, char *words)
{
    paragraph text;
    if (!words)
        p->lost = true;
    else if (*words && open_text(p, &text)) {
        fprintf(text.stream, "%s%s", before, words);
        end(p, &text, colour, first);
    }
    free(words);
}

static void line(page *p, int first, const char *words)
{
    if (!print_line(p->out, p->style, first, first + 2, "%s", words))
        p->lost = true;
}

static void put_sources(const page *p, FILE *out)
{
    const coaming_hold_answer *hold = p->a->hold;
    for (size_t i = 0; i < hold->source_count; i++) {
        fputs(i ? ", " : "", out);
        put_id(out, coaming_place_id(p->ship, hold->sources[i]));
    }
}

static void print_head(page *p)
{
    paragraph text;
    if (!open_text(p, &text))
        return;
    fprintf(text.stream, "%s in ", hold_title(p->a->hazard));
    put_sources(p, text.stream);
    fputc('.', text.stream);
    end(p, &text, INK_STRONG, 0);
    if (p->a->hold->source_dry)
        line(p, 2, "That lies above the water, all of it: the line is against water from outside.");
}

/* "As the doors are it goes on: first to a by D1; then to b by D2 and P1, c by D4." */
static void print_reached(page *p)
{
    paragraph text;
    char more[SHOWN];
    int order = 0;
    size_t named = 0;
    if (!open_text(p, &text))
        return;
    fputs("As the doors are it goes on", text.stream);
    for (size_t i = 0; i < p->a->reached_count; i++) {
        const coaming_reached *r = &p->a->reached[i];
        if (!r->order || named++ >= REACHED_NAMED)
            continue;
        fputs(r->order == order ? ", " : order ? "; then to " : ": first to ", text.stream);
        order = r->order;
        put_id(text.stream, p->ship->spaces[r->space].id);
        fputs(" by ", text.stream);
        put_links(p, text.stream, r->by, r->by_count);
    }
    if (named > REACHED_NAMED)
        fprintf(text.stream, "; then to %s",
                counted(more, (double)(named - REACHED_NAMED), "space more", "spaces more"));
    fputs(order ? "." : " nowhere.", text.stream);
    end(p, &text, INK_PLAIN, 2);
}

/* Open or as it stands, so that nobody takes for shut what the condition says is. */
static void put_how_it_stands(const page *p, FILE *out, const ship_link *l, int closure)
{
    char words[SHOWN];
    if (!link_shut(l, p->query.condition))
        fputs(l->ever_shut || l->seen[COAMING_SEEN_OPEN] ? open_words(l) : "no condition shuts it",
              out);
    else
        fputs("not known to be shut", out);
    if (coaming_closure_result(p->ship, closure) != COAMING_PASS)
        fprintf(out, "; %s", standing_words(words, p->ship, closure));
}

static void print_shutting(page *p, const coaming_shutting *s)
{
    const ship_link *l = &p->ship->links[s->closure];
    paragraph text;
    if (!open_text(p, &text))
        return;
    put_id(text.stream, l->id);
    fputc(' ', text.stream);
    hold_put_sides(text.stream, p->ship, s->closure, s->from, true);
    if (s->keeps_afloat)
        fputs(": KEEPS HER AFLOAT", text.stream);
    if (s->saves_count) {
        fprintf(text.stream, "%s ",
                s->lost_anyhow    ? ": the only way to"
                : s->keeps_afloat ? "; keeps"
                                  : ": keeps");
        put_spaces(p, text.stream, s->saves, s->saves_count);
        if (!s->lost_anyhow)
            fprintf(text.stream, " %s", hold_clean(p->a->hold));
    }
    fputs("; ", text.stream);
    put_how_it_stands(p, text.stream, l, s->closure);
    end(p, &text, INK_STRONG, 4);
}

/* Those that save less, in brief. */
static void print_shut_then(page *p)
{
    paragraph text;
    if (p->a->shut_now_count <= SHUT_IN_FULL || !open_text(p, &text))
        return;
    fputs("then ", text.stream);
    for (size_t i = SHUT_IN_FULL; i < p->a->shut_now_count; i++) {
        const coaming_shutting *s = &p->a->shut_now[i];
        fputs(i > SHUT_IN_FULL ? ", " : "", text.stream);
        put_id(text.stream, p->ship->links[s->closure].id);
        fputs(" from ", text.stream);
        put_id(text.stream, coaming_place_id(p->ship, s->from));
    }
    end(p, &text, INK_STRONG, 4);
}

static void print_shut_now(page *p)
{
    const coaming_shutting *first = p->a->shut_now;
    if (p->a->shut_now_count)
        line(p, 2,
             first->lost_anyhow
                 ? "SHUT AT ONCE, what saves most first; no single one keeps her afloat:"
                 : "SHUT AT ONCE, what saves most first:");
    for (size_t i = 0; i < p->a->shut_now_count && i < SHUT_IN_FULL; i++)
        print_shutting(p, &p->a->shut_now[i]);
    print_shut_then(p);
}

/* Why shutting it does not help. */
static const char *why_not(const page *p, char buffer[SHOWN], int link)
{
    const ship_link *l = &p->ship->links[link];
    if (l->passage || l->rating == NONTIGHT || l->seen[COAMING_SEEN_FAILED])
        return l->rating == NONTIGHT && !l->passage ? "not tight" : hold_why_open(l, p->a->hazard);
    if (p->a->hazard == COAMING_WATER && l->rating == WEATHERTIGHT)
        return "weathertight only, under water: " HOLD_SLOWS;
    return standing_words(buffer, p->ship, link); /* it is shut, as seen */
}

/* "P4 and P6 (open)": all that have the reason of the first, from it on. */
static void put_cannot(const page *p, FILE *out, size_t first)
{
    char why[SHOWN], other[SHOWN];
    size_t named = 0;
    const char *reason = why_not(p, why, p->a->cannot[first]);
    for (size_t i = first; i < p->a->cannot_count; i++) {
        if (strcmp(why_not(p, other, p->a->cannot[i]), reason) != 0 || named++ >= ALIKE_NAMED)
            continue;
        fputs(i > first ? ", " : "", out);
        put_id(out, p->ship->links[p->a->cannot[i]].id);
    }
    if (named > ALIKE_NAMED)
        fprintf(out, " and %zu more", named - ALIKE_NAMED);
    fprintf(out, " (%s)", reason);
}

/* Has one before it the same reason? */
static bool reason_told(const page *p, size_t index)
{
    char why[SHOWN], other[SHOWN];
    const char *reason = why_not(p, why, p->a->cannot[index]);
    for (size_t i = 0; i < index; i++)
        if (!strcmp(why_not(p, other, p->a->cannot[i]), reason))
            return true;
    return false;
}

static void print_cannot(page *p)
{
    paragraph text;
    if (!p->a->cannot_count || !open_text(p, &text))
        return;
    fputs("CANNOT BE SHUT, or does not hold shut: ", text.stream);
    for (size_t i = 0; i < p->a->cannot_count; i++) {
        if (reason_told(p, i))
            continue;
        fputs(i ? "; " : "", text.stream);
        put_cannot(p, text.stream, i);
    }
    fputc('.', text.stream);
    end(p, &text, INK_BAD, 2);
}

/* --- the line to hold: who goes where --- */

/* Of the closures of one line, in order of need. */
typedef struct {
    coaming_hold_closure *closures;
    coaming_place *stand;
    bool *told;
    size_t count;
} posts;

/* "keep shut D1 and V6 against engine": all of one place that have the same task and other side. quiet:
 * the task is said already. */
static void put_task(const page *p, FILE *out, const posts *o, size_t first, bool quiet)
{
    const coaming_hold_closure *c = &o->closures[first];
    coaming_place from = o->stand[first];
    coaming_place against = link_other_side(&p->ship->links[c->closure], from);
    fputs(quiet ? "" : hold_task(c), out);
    for (size_t i = first, named = 0; i < o->count; i++) {
        const ship_link *l = &p->ship->links[o->closures[i].closure];
        if (o->told[i] || o->stand[i] != from || link_other_side(l, from) != against ||
            o->closures[i].must_be_shut != c->must_be_shut)
            continue;
        o->told[i] = true;
        fputs(named++ ? " and " : quiet ? "" : " ", out);
        put_id(out, l->id);
    }
    fputs(" against ", out);
    put_id(out, coaming_place_id(p->ship, against));
}

static bool worked_elsewhere(const ship_link *l, coaming_place from)
{
    return l->one_sided && l->from != from;
}

/* Is there nothing to do or to know but to see that it stays shut? */
static bool is_sound(const page *p, const coaming_hold_closure *c, coaming_place from)
{
    return coaming_closure_result(p->ship, c->closure) == COAMING_PASS && !c->slows &&
           !c->must_be_shut && !worked_elsewhere(&p->ship->links[c->closure], from);
}

/* What of one closure whoever stands there has to know. */
static void put_doubts(const page *p, FILE *out, const coaming_hold_closure *c, coaming_place from)
{
    char words[SHOWN];
    const ship_link *l = &p->ship->links[c->closure];
    bool trusted = coaming_closure_result(p->ship, c->closure) == COAMING_PASS;
    bool worked_there = worked_elsewhere(l, from);
    if (trusted && !c->slows && !worked_there && !(l->remote && c->must_be_shut))
        return;
    fputs("; ", out);
    put_id(out, l->id);
    if (c->slows)
        fputs(": " HOLD_SLOWS, out);
    else if (!trusted)
        fprintf(out, " %s", hold_trust(words, p->ship, c->closure));
    if (worked_there) {
        fputs(" IS WORKED ONLY FROM ", out);
        put_id(out, coaming_place_id(p->ship, l->from));
    }
    if (l->remote && c->must_be_shut)
        fputs(" can be shut from elsewhere", out);
}

static void print_post(page *p, const posts *o, size_t first)
{
    paragraph text;
    bool strong = false;
    coaming_place from = o->stand[first];
    if (!open_text(p, &text))
        return;
    put_id(text.stream, coaming_place_id(p->ship, from));
    for (size_t i = first, tasks = 0; i < o->count; i++) {
        if (o->told[i] || o->stand[i] != from)
            continue;
        strong = strong || o->closures[i].must_be_shut;
        fputs(tasks++ ? ", " : ": ", text.stream);
        put_task(p, text.stream, o, i, false);
    }
    for (size_t i = 0; i < o->count; i++)
        if (o->stand[i] == from)
            put_doubts(p, text.stream, &o->closures[i], from);
    end(p, &text, strong ? INK_STRONG : INK_PLAIN, 4);
}

static bool place_sound(const page *p, const posts *o, coaming_place from)
{
    for (size_t i = 0; i < o->count; i++)
        if (o->stand[i] == from && !is_sound(p, &o->closures[i], from))
            return false;
    return true;
}

/* Places where all is sound, one behind the other. */
static void print_sound(page *p, const posts *o)
{
    paragraph text;
    size_t places = 0;
    if (!open_text(p, &text))
        return;
    fputs("keep shut as well: ", text.stream);
    for (size_t first = 0; first < o->count; first++) {
        if (o->told[first])
            continue;
        fputs(places++ ? "; from " : "from ", text.stream);
        put_id(text.stream, coaming_place_id(p->ship, o->stand[first]));
        for (size_t i = first, tasks = 0; i < o->count; i++) {
            if (o->told[i] || o->stand[i] != o->stand[first])
                continue;
            fputs(tasks++ ? ", " : " ", text.stream);
            put_task(p, text.stream, o, i, true);
        }
    }
    if (!paragraph_close_list(&text, places > 0, p->out, p->style, 4, 6))
        p->lost = true;
}

static void print_posts(page *p, const coaming_hold_line *hold_line)
{
    posts o = {memory_new(hold_line->closure_count, sizeof *o.closures),
               memory_new(hold_line->closure_count, sizeof *o.stand),
               memory_new(hold_line->closure_count, sizeof *o.told), hold_line->closure_count};
    if (o.closures && o.stand && o.told) {
        memcpy(o.closures, hold_line->closures, o.count * sizeof *o.closures);
        qsort(o.closures, o.count, sizeof *o.closures, hold_by_need);
        for (size_t i = 0; i < o.count; i++)
            o.stand[i] = hold_clean_side(p->ship, hold_line, o.closures[i].closure);
        for (size_t i = 0; i < o.count; i++)
            if (!o.told[i] && !place_sound(p, &o, o.stand[i]))
                print_post(p, &o, i);
        print_sound(p, &o);
    } else {
        p->lost = true;
    }
    memory_free(o.closures);
    memory_free(o.stand);
    memory_free(o.told);
}

/* --- lines --- */

static void print_line_head(page *p, size_t index)
{
    char head[SHOWN], chance[SHOWN];
    const coaming_hold_answer *hold = p->a->hold;
    if (!print_line(p->out, p->style, 2, 4, "%s: %s.", hold_line_head(head, hold, index),
                    hold_line_chance(chance, &hold->lines[index])))
        p->lost = true;
}

/* A line behind another: its own closures, what it gives up besides, and what is lost with it. */
static void print_behind(page *p, size_t index)
{
    char head[SHOWN], part[SHOWN];
    const coaming_hold_answer *hold = p->a->hold;
    const coaming_hold_line *l = &hold->lines[index], *before = l - 1;
    size_t own = 0, given = 0;
    paragraph text;
    if (!open_text(p, &text))
        return;
    fprintf(text.stream, "%s, holds %s: ", hold_line_head(head, hold, index),
            percent(part, l->holds));
    for (size_t i = 0; i < l->closure_count; i++)
        if (!hold_has_closure(before, l->closures[i].closure)) {
            fprintf(text.stream, "%s%s", own++ ? ", " : "",
                    l->closures[i].must_be_shut ? "SHUT " : "");
            put_id(text.stream, p->ship->links[l->closures[i].closure].id);
        }
    if (own < l->closure_count)
        fprintf(text.stream, "%s %zu as before", own ? " and" : "only", l->closure_count - own);
    fputs("; gives up ", text.stream);
    for (size_t i = 0; i < l->given_up_count; i++)
        if (!hold_gives_up(before, l->given_up[i])) {
            fputs(given++ ? ", " : "", text.stream);
            put_id(text.stream, p->ship->spaces[l->given_up[i]].id);
        }
    fprintf(text.stream, " too; %s", hold_loss_words(part, l));
    if (p->a->floating)
        fprintf(text.stream, "; she is %s", hold_grade_brief(l));
    fputc('.', text.stream);
    end(p, &text,
        l->not_held >= 0 || (p->a->floating && l->stability.grade == COAMING_GRADE_LOST)
            ? INK_BAD
            : INK_PLAIN,
        2);
}

static void print_held(page *p, const coaming_hold_line *l)
{
    if (p->a->floating)
        tell(p, hold_is_bad(l) ? INK_BAD : INK_PLAIN, 4, "With it held she ",
             rest_words(p->ship, &l->at, &l->stability));
    tell(p, INK_BAD, 4, "", hold_not_held_words(p->ship, p->a->hold, l));
    print_posts(p, l);
    tell(p, INK_PLAIN, 4, "", hold_given_up_words(p->ship, l, NULL));
    tell(p, INK_BAD, 4, "", hold_wet_words(p->ship, p->a->hold, l));
}

static void print_lines(page *p)
{
    const coaming_hold_answer *hold = p->a->hold;
    size_t first = hold_told_first(hold), last = first + HOLD_TOLD;
    for (size_t i = 0; i < hold->lost_count; i++)
        tell(p, INK_BAD, 2, "", hold_lost_words(p->ship, hold, i));
    if (!hold->line_count) {
        tell(p, INK_PLAIN, 2, "", hold_no_line_words(hold));
        return;
    }
    print_line_head(p, first);
    tell(p, hold->recommended < hold->line_count ? INK_PLAIN : INK_BAD, 4, "",
         hold_why_words(hold, p->a->floating != NULL));
    print_held(p, &hold->lines[first]);
    for (size_t i = first + 1; i < hold->line_count && i < last; i++)
        print_behind(p, i);
    if (hold->line_count == first + 1)
        line(p, 2, HOLD_ONE_LINE);
}

/* How she floats as the doors are. */
static void print_floats(page *p)
{
    if (!p->a->floating)
        return;
    const coaming_floating_answer *f = coaming_floating_get(p->a->floating);
    bool bad = f->stability.grade >= COAMING_GRADE_NOT_SURVIVING;
    tell(p, bad ? INK_BAD : INK_PLAIN, 2, "With that she ",
         rest_words(p->ship, &f->at, &f->stability));
}

static void print_answer(page *p)
{
    fputc('\n', p->out);
    print_head(p);
    print_reached(p);
    print_floats(p);
    print_shut_now(p);
    print_cannot(p);
    print_lines(p);
}

static coaming_status text_casualty(FILE *out, coaming_style style, const coaming_outset *outset,
                                    const coaming_casualty *casualty, coaming_error *error)
{
    coaming_query query = coaming_outset_query(outset);
    page p = {.out = out,
              .style = style,
              .ship = coaming_outset_ship(outset),
              .casualty = casualty,
              .query = query};
    p.lost = !print_heading(out, style, outset, CASUALTY_ASKS);
    for (size_t i = 0; i < coaming_casualty_count(casualty); i++) {
        p.a = coaming_casualty_get(casualty, i);
        print_answer(&p);
    }
    if (!print_caution(out, style, coaming_casualty_caution(query.level)))
        p.lost = true;
    return p.lost ? error_memory(error) : COAMING_OK;
}

coaming_status coaming_print_casualty(FILE *out, coaming_style style, const coaming_outset *outset,
                                      const coaming_casualty *casualty, coaming_error *error)
{
    if (!outset)
        return outset_missing(error);
    return style.format == COAMING_JSON
               ? json_casualty(out, outset, casualty, error)
               : text_casualty(out, style_fit(style), outset, casualty, error);
}
