/* What is most likely to hold, laid over the drawing: the line and how far it can be trusted, the
 * weakest way through it, and the ways that nothing can hold. The words are those of the text. */
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "coaming/present.h"
#include "present/draw/drawing.h"
#include "present/form/style.h"
#include "present/tell/hold_words.h"
#include "ship/state.h"

/* A sentence of hold_words; "" says nothing. Frees it. */
static void say_words(drawing *d, bool alarm, char *words)
{
    if (!words)
        d->lost = true;
    else if (*words)
        overlay_say(d, alarm, draw_format(d, "%s", words));
    free(words);
}

static void say_given(drawing *d, bool alarm, const char *words)
{
    if (*words)
        overlay_say(d, alarm, draw_format(d, "%s", words));
}

static void show_way(drawing *d, const coaming_hold_way *way)
{
    for (size_t i = 0; i < way->step_count; i++)
        overlay_way(d, way->steps[i].link, way->steps[i].to);
}

/* Rings: of lines one behind the other by the weight of the nearest told that a closure is of, with
 * the numbers of all of those; else of the one line. */
static void mark_closures(drawing *d, const coaming_hold_answer *a, const coaming_hold_line *line,
                          int told)
{
    for (size_t i = 0; i < line->closure_count; i++) {
        link_note *n = &d->over.links[line->closures[i].closure];
        n->lines |= a->nested ? 1U << told : 0;
        if (n->frame)
            continue;
        n->frame = a->nested ? (mark_frame)(FRAME_FIRST + told) : FRAME_RING;
        n->badge = a->nested ? told + 1 : 0;
        n->tag = hold_task(&line->closures[i]);
        n->tag_spared = !line->closures[i].must_be_shut;
    }
}

/* What a told line gives up, for its edge; the source is of it. */
static void mark_given_up(drawing *d, const coaming_hold_answer *a, const coaming_hold_line *line,
                          int told)
{
    if (!a->nested || !d->over.behind)
        return;
    for (size_t i = 0; i < line->given_up_count; i++)
        d->over.behind[line->given_up[i]] |= (unsigned char)(1U << told);
}

static void mark_line(drawing *d, const coaming_hold_answer *a, const coaming_hold_line *line,
                      int told)
{
    mark_closures(d, a, line, told);
    mark_given_up(d, a, line, told);
}

/* "keep shut D1: holds 51.9 %; CANNOT BE TRUSTED: FAILED 2026-09-14; nothing behind it". */
static void show_closure(drawing *d, const coaming_hold_closure *c)
{
    char holds[SHOWN], trust[SHOWN];
    const char *last = c->last ? "; nothing behind it" : "";
    if (c->slows)
        ITEM("%s %s: " HOLD_SLOWS "%s", hold_task(c), BRIEF(d->ship->links[c->closure].id), last);
    else
        ITEM("%s %s: holds %s; %s%s", hold_task(c), BRIEF(d->ship->links[c->closure].id),
             percent(holds, 1 - c->leak_probability), hold_trust(trust, d->ship, c->closure), last);
}

static void show_closures(drawing *d, const coaming_hold_line *line)
{
    coaming_hold_closure *sorted = draw_new(d, line->closure_count, sizeof *sorted);
    if (!sorted || !line->closure_count)
        return;
    memcpy(sorted, line->closures, line->closure_count * sizeof *sorted);
    qsort(sorted, line->closure_count, sizeof *sorted, hold_by_need);
    for (size_t i = 0; i < line->closure_count; i++)
        show_closure(d, &sorted[i]);
}

static bool settles(const drawing *d, const coaming_hold_answer *a)
{
    return level_settles(d->what->query.level, a->hazard);
}

/* Does she float with what the source fills up to the line? Asked only where she settles. */
static void say_afloat(drawing *d, const coaming_hold_answer *a, const coaming_hold_line *line)
{
    if (!settles(d, a))
        return;
    say_words(d, hold_is_bad(line), hold_float_words(d->ship, a, line));
}

/* How she fares as the doors are: before anything else. */
static void say_as_is(drawing *d, const coaming_hold_answer *a)
{
    if (settles(d, a))
        say_words(d, a->as_is.stability.grade >= COAMING_GRADE_NOT_SURVIVING,
                  hold_as_is_words(d->ship, a, true));
}

/* What the sea is let into already is not shown as kept. */
static void fill_let_in(drawing *d, const coaming_hold_answer *a)
{
    for (size_t i = 0; i < a->let_in_count; i++)
        overlay_fill_all(d, &a->let_in[i].space, 1, FILL_WATER);
}

static void say_given_up(drawing *d, const coaming_hold_line *line, const coaming_hold_line *before)
{
    say_words(d, false, hold_given_up_words(d->ship, line, before));
}

static void show_line(drawing *d, const coaming_hold_answer *a, size_t index)
{
    char words[SHOWN], head[SHOWN];
    const coaming_hold_line *line = &a->lines[index];
    bool doubtful = false;
    for (size_t i = 0; i < line->closure_count; i++)
        doubtful =
            doubtful || coaming_closure_result(d->ship, line->closures[i].closure) != COAMING_PASS;
    overlay_fill_all(d, line->given_up, line->given_up_count, FILL_LOST);
    say_afloat(d, a, line);
    SAY("%s: %s.", hold_line_head(head, a, index), hold_line_chance(words, line));
    if (a->nested)
        say_words(d, a->recommended == a->line_count, hold_why_words(a, settles(d, a)));
    say_words(d, true, hold_lost_if_words(d->ship, line, true));
    if (doubtful)
        ALARM("NOT ALL OF THE LINE CAN BE TRUSTED: see the list.");
    mark_line(d, a, line, 0);
    show_closures(d, line);
    say_given_up(d, line, NULL);
    say_words(d, true, hold_wet_words(d->ship, a, line));
}

static void say_behind(drawing *d, const coaming_hold_answer *a, size_t index, bool last)
{
    char words[SHOWN], head[SHOWN];
    const coaming_hold_line *next = &a->lines[index];
    int *ids = draw_new(d, next->closure_count, sizeof *ids);
    for (size_t i = 0; i < next->closure_count && ids; i++)
        ids[i] = next->closures[i].closure;
    if (!ids)
        return;
    SAY("%s: %s: %s.%s", hold_line_head(head, a, index), hold_line_chance(words, next),
        overlay_listed_links(d, ids, next->closure_count),
        last ? " 'coaming hold' tells how far each can be trusted." : "");
    say_afloat(d, a, next);
    say_words(d, true, hold_lost_if_words(d->ship, next, true));
    say_given_up(d, next, &a->lines[index - 1]);
}

/* What stands behind the line once it gives way: of nested lines two more, and they are marked. */
static void say_next(drawing *d, const coaming_hold_answer *a, size_t first)
{
    size_t end = first + (a->nested ? HOLD_TOLD : 2);
    if (a->line_count == first + 1)
        SAY("%s", hold_one_line(a));
    for (size_t i = first + 1; i < end && i < a->line_count; i++) {
        say_behind(d, a, i, i + 1 == end || i + 1 == a->line_count);
        if (a->nested)
            mark_line(d, a, &a->lines[i], (int)(i - first));
    }
    if (a->line_count > end)
        SAY("%zu more behind that.", a->line_count - end);
}

/* What no line can keep, each with the way to it. */
static void show_lost(drawing *d, const coaming_hold_answer *a)
{
    enum { TOLD_MOST = 200 };
    for (size_t i = 0; i < a->lost_count; i++) {
        show_way(d, &a->lost[i]);
        if (i < TOLD_MOST)
            say_words(d, true, hold_lost_words(d->ship, a, i));
    }
    if (a->lost_count > TOLD_MOST)
        ALARM("and %zu more.", a->lost_count - TOLD_MOST);
    if (!a->line_count && (a->nested || a->lost_count < a->protect_count))
        say_words(d, false, hold_no_line_words(a));
}

static void say_signs(const coaming_hold_answer *a, overlay *o)
{
    static const char *const lines[LINES_DRAWN] = {
        "first: of the line to hold", "second line behind it", "third line behind that"};
    static const char *const edges[LINES_DRAWN] = {"first: edge of what it gives up",
                                                   "second, where it leaves the first",
                                                   "third, where it leaves the second"};
    o->ring_means = "of the line";
    memcpy(o->line_means, lines, sizeof lines);
    memcpy(o->edge_means, edges, sizeof edges);
    o->badge_means = "numbers of the lines that it is of";
    o->arrow_means = !a->lost_count ? "weakest way through"
                     : a->has_way   ? "way that nothing can hold, or weakest way through"
                                    : "way that nothing can hold";
}

void overlay_make_hold(drawing *d)
{
    const coaming_hold_answer *a = d->what->hold;
    char words[SHOWN];
    size_t first = a->nested ? hold_told_first(a) : 0;
    d->over.behind = draw_new(d, d->ship->space_count, sizeof *d->over.behind);
    d->over.heading = draw_format(d, "%s, with %s in %s", capital(words, HOLD_ASKS), hold_noun(a),
                                  overlay_place(d, a->source));
    say_as_is(d, a);
    say_given(d, true, hold_not_afloat_words(words, a));
    overlay_fill_all(d, a->protect, a->protect_count, FILL_KEEP);
    show_lost(d, a);
    if (a->line_count)
        show_line(d, a, first);
    overlay_say_level(d, a->hazard == COAMING_WATER);
    say_given(d, false, hold_source_words(words, d->ship, a));
    fill_let_in(d, a);
    overlay_fill_all(d, a->lost_spaces, a->lost_count, FILL_LOST);
    overlay_fill_source(d, a->source);
    if (a->protect_count)
        SAY("%s %s: %s.", a->nested ? "Vital, to stay" : "To stay", hold_clean(a),
            overlay_listed(d, a->protect, a->protect_count));
    if (a->has_way) {
        show_way(d, &a->way);
        say_words(d, false, hold_weakest_words(d->ship, a));
    }
    say_next(d, a, first);
    say_signs(a, &d->over);
    d->over.caution = coaming_hold_caution(d->what->query.level);
}
