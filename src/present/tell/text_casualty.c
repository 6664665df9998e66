/* One page to be read aloud, what is to be done first standing first: who hears it writes down a
 * line at a time, so each line says one thing whole. */
#include <stdlib.h>
#include <string.h>

#include "base/error.h"
#include "base/memory.h"
#include "present/form/style.h"
#include "present/tell/casualty_words.h"
#include "present/tell/chance_words.h"
#include "present/tell/float_words.h"
#include "present/tell/heading.h"
#include "present/tell/hold_words.h"
#include "present/tell/views.h"

#define CASUALTY_ASKS "what it has reached, what to shut, what to hold"

/* The page that it is made for. */
enum { PAGE_LINES = 60, PAGE_COLUMNS = 80 };

typedef struct {
    FILE *out;
    coaming_style style;
    const coaming_outset *outset;
    const coaming_casualty *casualty;
    casualty_view v;
    bool lost; /* memory */
} page;

static bool open_text(page *p, paragraph *text)
{
    bool open = paragraph_open(text);
    p->lost = p->lost || !open;
    return open;
}

/* Ends a paragraph that was begun. */
static void end(page *p, paragraph *text, ink colour, int first)
{
    if (!paragraph_close_in(text, p->out, p->style, colour, first, first + 2))
        p->lost = true;
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

/* A sentence of casualty_words. */
static void say(page *p, ink colour, const char *before,
                void words_of(FILE *, const casualty_view *))
{
    paragraph text;
    if (!open_text(p, &text))
        return;
    fputs(before, text.stream);
    words_of(text.stream, &p->v);
    end(p, &text, colour, 2);
}

static void line(page *p, int first, const char *words)
{
    if (!print_line(p->out, p->style, first, first + 2, "%s", words))
        p->lost = true;
}

static void print_head(page *p)
{
    paragraph text;
    if (!open_text(p, &text))
        return;
    fprintf(text.stream, "%s in ", hold_title(p->v.a->hazard));
    casualty_put_sources(text.stream, &p->v);
    fputc('.', text.stream);
    end(p, &text, INK_STRONG, 0);
    if (p->v.a->hold->source_dry)
        line(p, 2, CASUALTY_DRY);
}

/* head: what stands before it in the same lines; "": it has lines of its own. */
static void print_shutting(page *p, const char *head, const coaming_shutting *s)
{
    paragraph text;
    if (!open_text(p, &text))
        return;
    fprintf(text.stream, "%s%s", head, *head ? " " : "");
    casualty_put_shut(text.stream, &p->v, s);
    fputs(": ", text.stream);
    casualty_put_shut_why(text.stream, &p->v, s);
    end(p, &text, INK_STRONG, *head ? 2 : 4);
}

static void print_shut_then(page *p)
{
    paragraph text;
    if (!open_text(p, &text))
        return;
    bool any = casualty_put_shut_then(text.stream, &p->v);
    if (!paragraph_close_list(&text, any, p->out, p->style, 4, 6))
        p->lost = true;
}

static void print_shut_now(page *p)
{
    const coaming_casualty_answer *a = p->v.a;
    const char *head = casualty_shut_head(&p->v);
    if (a->shut_now_count == 1) {
        print_shutting(p, head, a->shut_now);
        return;
    }
    if (a->shut_now_count)
        line(p, 2, head);
    else if (casualty_goes_on(&p->v)) /* not left to silence: there are doors to be shut */
        say(p, INK_STRONG, "SHUT AT ONCE: ", casualty_put_shut_none);
    for (size_t i = 0; i < a->shut_now_count && i < p->v.most.shut; i++)
        print_shutting(p, "", &a->shut_now[i]);
    print_shut_then(p);
}

static void print_post(page *p, const casualty_post *post)
{
    paragraph text;
    if (!open_text(p, &text))
        return;
    casualty_put_id(text.stream, coaming_place_id(p->v.ship, post->at));
    fprintf(text.stream, ": %s", post->words);
    end(p, &text, post->strong ? INK_STRONG : INK_PLAIN, 4);
}

static void print_posts(page *p, const coaming_hold_line *hold_line)
{
    casualty_posts posts;
    if (casualty_posts_new(&p->v, hold_line, &posts)) {
        for (size_t i = 0; i < posts.count; i++)
            print_post(p, &posts.posts[i]);
        if (posts.more)
            line(p, 4, posts.more);
        if (posts.sound && !print_line(p->out, p->style, 4, 6, CASUALTY_SOUND "%s", posts.sound))
            p->lost = true;
    } else {
        p->lost = true;
    }
    casualty_posts_free(&posts);
}

static void print_line_head(page *p, size_t index)
{
    char head[SHOWN], chance[SHOWN];
    const coaming_hold_answer *hold = p->v.a->hold;
    if (!print_line(p->out, p->style, 2, 4, "%s: %s.", hold_line_head(head, hold, index),
                    hold_line_chance(chance, &hold->lines[index])))
        p->lost = true;
}

static void print_given_up(page *p, const coaming_hold_line *l)
{
    paragraph text;
    if (!open_text(p, &text))
        return;
    casualty_put_given_up(text.stream, &p->v, l);
    end(p, &text, INK_PLAIN, 4);
}

static void print_behind(page *p, size_t index)
{
    paragraph text;
    if (!open_text(p, &text))
        return;
    casualty_put_behind(text.stream, &p->v, index);
    end(p, &text, casualty_behind_is_bad(&p->v, index) ? INK_BAD : INK_PLAIN, 2);
}

static void print_held(page *p, const coaming_hold_line *l)
{
    const casualty_view *v = &p->v;
    if (v->a->floating)
        tell(p, casualty_held_is_bad(l) ? INK_BAD : INK_PLAIN, 4, "", casualty_held_words(v, l));
    tell(p, INK_BAD, 4, "", hold_not_held_words(v->ship, v->a->hold, l));
    print_posts(p, l);
    print_given_up(p, l);
    tell(p, INK_BAD, 4, "", casualty_wet_words(v, l));
}

static void print_lost(page *p)
{
    const coaming_hold_answer *hold = p->v.a->hold;
    for (size_t i = 0; i < hold->lost_count && i < p->v.most.ways; i++)
        tell(p, INK_BAD, 2, "", hold_lost_words(p->v.ship, hold, i));
    if (hold->lost_count > p->v.most.ways)
        say(p, INK_BAD, "", casualty_put_lost);
}

static void print_lines(page *p)
{
    const coaming_hold_answer *hold = p->v.a->hold;
    size_t first = hold_told_first(hold);
    print_lost(p);
    if (!hold->line_count) {
        tell(p, INK_PLAIN, 2, "", hold_no_line_words(hold));
        return;
    }
    print_line_head(p, first);
    tell(p, hold->recommended < hold->line_count ? INK_PLAIN : INK_BAD, 4, "",
         hold_why_words(hold, p->v.a->floating != NULL));
    print_held(p, &hold->lines[first]);
    say(p, INK_STRONG, "", casualty_put_if_it_fails);
    for (size_t i = first + 1; casualty_told_behind(&p->v, i); i++)
        print_behind(p, i);
}

/* How she floats as the doors are. */
static void print_floats(page *p)
{
    if (!p->v.a->floating)
        return;
    const coaming_floating_answer *f = coaming_floating_get(p->v.a->floating);
    bool bad = f->stability.grade >= COAMING_GRADE_NOT_SURVIVING;
    tell(p, bad ? INK_BAD : INK_PLAIN, 2, "With that she ",
         rest_words(p->v.ship, &f->at, &f->stability));
}

static void print_answer(page *p, size_t index)
{
    p->v.a = coaming_casualty_get(p->casualty, index);
    fputc('\n', p->out);
    print_head(p);
    say(p, INK_PLAIN, "", casualty_put_reached);
    print_floats(p);
    print_shut_now(p);
    if (p->v.a->cannot_count)
        say(p, INK_BAD, CASUALTY_CANNOT ": ", casualty_put_cannot);
    print_lines(p);
}

/* What stands round the answers. */
static void print_round(page *p, bool before)
{
    coaming_query query = coaming_outset_query(p->outset);
    bool good = before ? print_heading(p->out, p->style, p->outset, CASUALTY_ASKS)
                       : print_caution(p->out, p->style, coaming_casualty_caution(query.level));
    p->lost = p->lost || !good;
}

static size_t lines_of(const char *text)
{
    size_t lines = 0;
    for (; *text; text++)
        lines += *text == '\n';
    return lines;
}

/* So many lines it takes on a page of the width that is meant: the answers from `first` to before
 * `end`, as they are cut now, with all that stands round them. */
static size_t count_lines(page *p, size_t first, size_t end)
{
    char *text = NULL;
    size_t size = 0;
    page sized = *p;
    sized.out = open_memstream(&text, &size);
    if (!sized.out) {
        p->lost = true;
        return 0;
    }
    sized.style = (coaming_style){.format = COAMING_TEXT, .columns = PAGE_COLUMNS};
    print_round(&sized, true);
    for (size_t i = first; i < end; i++)
        print_answer(&sized, i);
    print_round(&sized, false);
    p->lost = fclose(sized.out) || !text || sized.lost;
    size_t lines = p->lost ? 0 : lines_of(text);
    free(text);
    return lines;
}

/* Cuts as little as lets them take one page, from that cut to before another. False: none does. */
static bool fit(page *p, size_t first, size_t end, int cuts)
{
    for (int cut = 0; cut < cuts && !p->lost; cut++) {
        p->v.most = casualty_cut(cut);
        if (count_lines(p, first, end) <= PAGE_LINES)
            return true;
    }
    return false;
}

/* All on one page if little has to be cut for it; else a page for each hazard. */
static void print_answers(page *p)
{
    enum { LITTLE = 3 };
    size_t count = coaming_casualty_count(p->casualty);
    bool together = fit(p, 0, count, LITTLE);
    for (size_t i = 0; i < count && !p->lost; i++) {
        if (!together)
            fit(p, i, i + 1, CASUALTY_CUTS);
        print_answer(p, i);
    }
}

static coaming_status text_casualty(FILE *out, coaming_style style, const coaming_outset *outset,
                                    const coaming_casualty *casualty, coaming_error *error)
{
    page p = {.out = out,
              .style = style,
              .outset = outset,
              .casualty = casualty,
              .v = {.ship = coaming_outset_ship(outset),
                    .condition = coaming_outset_query(outset).condition}};
    print_round(&p, true);
    print_answers(&p);
    print_round(&p, false);
    return p.lost ? error_memory(error) : COAMING_OK;
}

coaming_status coaming_print_casualty(FILE *out, coaming_style style, const coaming_outset *outset,
                                      const coaming_casualty *casualty, coaming_error *error)
{
    if (!outset)
        return outset_missing(error);
    return style.format == COAMING_JSON ? json_casualty(out, outset, casualty, error)
           : style.format == COAMING_CSV
               ? csv_casualty(out, coaming_outset_ship(outset), casualty, error)
               : text_casualty(out, style_fit(style), outset, casualty, error);
}
