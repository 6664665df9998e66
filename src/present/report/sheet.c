/* A sheet to hang up, one page each. A browser breaks the lines, so how high the page gets is worked
 * out here from widths that no common face exceeds, and lists are cut until it fits: a second page
 * would hang on nobody's door. */
#include "coaming/casualty_sheet.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/error.h"
#include "base/memory.h"
#include "coaming/draw.h"
#include "present/draw/drawing.h"
#include "present/form/html.h"
#include "present/form/markup.h"
#include "present/report/report_picture.h"
#include "present/sheet_files.h"
#include "present/tell/casualty_words.h"
#include "present/tell/float_words.h"
#include "present/tell/heading.h"
#include "present/tell/hold_words.h"
#include "present/tell/level_words.h"
#include "present/tell/place_words.h"
#include "present/tell/standing_words.h"
#include "present/tell/until_words.h"

#define POINTS(mm) ((mm)*72 / 25.4)

/* Millimetres, as sheet.css has them: of a page between its margins, between columns and within. */
enum { WIDE = 190, HIGH = 276, APART = 12 };

/* The same of text in a column, as sheet.css makes it larger where there is room. */
static const double scales[] = {8 / 8.5, 1, 10 / 8.5, 11.5 / 8.5};

/* Blocks of text: how each is written, and its sizes in points as sheet.css has them. */
typedef struct {
    const char *tag, *name;
    double size, leading, gap, indent;
    bool bold;
} block;

static const block over = {"p", "over", 12, 15, 0, 0, true};
static const block title = {"h1", "title", 30, 32, 0, 0, true};
static const block long_title = {"h1", "long", 23, 26, 0, 0, true};
static const block where = {"p", "where", 12, 15, 0, 0, false};
static const block until = {"p", "until", 11, 13.5, 17, 15, true};
static const block hazard_head = {"h2", "name", 16, 20, 3, 0, true};
static const block part_head = {"h3", "part", 14, 17, 3, 0, true};
static const block text = {"p", "text", 8.5, 10, 1.5, 0, false};
static const block strong = {"p", "strong", 8.5, 10, 1.5, 0, true};
static const block shut = {"p", "shut", 14, 16, 0, 0, true};
static const block detail = {"p", "detail", 8.5, 10, 2, 0, false};
static const block post = {"p", "post", 9.5, 11.5, 1.5, 22, false};
static const block small = {"p", "small", 8, 9.5, 0, 0, false};
static const block caution = {"p", "caution", 8, 9.5, 0, 0, true};

/* What is being written, and how high it gets. */
typedef struct {
    FILE *out;
    casualty_view v;
    double width, height; /* points */
    double scale;         /* of all sizes: larger where there is room */
    bool lost;            /* memory */
} column;

/* Where lines break, as a browser does. */
static int lines_of(const char *words, double size, bool bold, double width)
{
    char word[SHOWN];
    double at = 0, blank = text_points(" ", size, bold);
    int lines = 1;
    while (*words) {
        size_t length = strcspn(words, " ");
        snprintf(word, sizeof word, "%.*s", (int)length, words);
        double wide = text_points(word, size, bold);
        if (at > 0 && at + blank + wide > width) {
            lines++;
            at = 0;
        }
        at += (at > 0 ? blank : 0) + wide;
        while (at > width) { /* taken apart */
            lines++;
            at -= width;
        }
        words += length + (words[length] == ' ');
    }
    return lines;
}

/* Words that are to be freed; "" says nothing. */
static void put(column *c, const block *b, char *words)
{
    if (!words) {
        c->lost = true;
        return;
    }
    if (*words) {
        int lines = lines_of(words, c->scale * b->size, b->bold, c->width - c->scale * b->indent);
        c->height += c->scale * (b->gap + b->leading * lines);
        markup_put(c->out, "<%-s class=\"%-s\">", b->tag, b->name);
        html_words(c->out, words);
        markup_put(c->out, "</%-s>\n", b->tag);
    }
    free(words);
}

static void put_given(column *c, const block *b, const char *words)
{
    put(c, b, strdup(words));
}

/* Words that are being made. */
typedef struct {
    FILE *out;
    char *made;
    size_t size;
} words;

/* False when out of memory. */
static bool begin(column *c, words *w)
{
    *w = (words){0};
    w->out = open_memstream(&w->made, &w->size);
    c->lost = c->lost || !w->out;
    return w->out;
}

static void end(column *c, const block *b, words *w)
{
    if (fclose(w->out)) {
        free(w->made);
        w->made = NULL;
    }
    put(c, b, w->made);
}

/* A sentence of casualty_words. */
static void say(column *c, const block *b, const char *before,
                void words_of(FILE *, const casualty_view *))
{
    words w;
    if (!begin(c, &w))
        return;
    fputs(before, w.out);
    words_of(w.out, &c->v);
    end(c, b, &w);
}

/* --- one hazard --- */

static void put_shut(column *c, const coaming_shutting *s)
{
    char name[SHOWN], spot[SHOWN];
    const ship_link *l = &c->v.ship->links[s->closure];
    words w;
    if (!begin(c, &w))
        return;
    casualty_put_shut(w.out, &c->v, s);
    end(c, &shut, &w);
    if (!begin(c, &w))
        return;
    fprintf(w.out, "%s", shown(name, l->name, 50));
    spot_words(spot, c->v.ship, l);
    fprintf(w.out, "%s%s; ", *spot ? ", " : "", spot);
    casualty_put_shut_why(w.out, &c->v, s);
    end(c, &detail, &w);
}

static void put_shut_now(column *c)
{
    char none[SHOWN];
    const coaming_casualty_answer *a = c->v.a;
    words w;
    bool goes_on = casualty_goes_on(&c->v);
    put_given(c, &part_head,
              a->shut_now_count || goes_on ? "SHUT AT ONCE" : "NOTHING TO SHUT AT ONCE");
    if (!a->shut_now_count && goes_on)
        say(c, &strong, "", casualty_put_shut_none);
    if (a->shut_now_count && a->shut_now->lost_anyhow)
        put_given(c, &strong, capital(none, CASUALTY_NO_SINGLE));
    for (size_t i = 0; i < a->shut_now_count && i < c->v.most.shut; i++)
        put_shut(c, &a->shut_now[i]);
    if (!begin(c, &w))
        return;
    casualty_put_shut_then(w.out, &c->v);
    end(c, &strong, &w);
    if (a->cannot_count)
        say(c, &strong, CASUALTY_CANNOT ": ", casualty_put_cannot);
}

/* Places with their names while at least so many that are sound are told. */
enum { SCARCE = 12 };

/* "Propulsion motor room (motor)": where somebody is sent; by its id alone where room is scarce. */
static void put_where(FILE *out, const casualty_view *v, coaming_place at)
{
    char name[SHOWN];
    const coaming_ship *ship = v->ship;
    bool named = at >= 0 && v->most.sound > SCARCE;
    if (named)
        fprintf(out, "%s (", shown(name, ship->spaces[at].name, 40));
    casualty_put_id(out, coaming_place_id(ship, at));
    fputs(named ? ")" : "", out);
}

static void put_posts(column *c, const coaming_hold_line *line)
{
    casualty_posts posts;
    words w;
    if (!casualty_posts_new(&c->v, line, &posts))
        c->lost = true;
    for (size_t i = 0; i < posts.count && !c->lost && begin(c, &w); i++) {
        put_where(w.out, &c->v, posts.posts[i].at);
        fprintf(w.out, ": %s", posts.posts[i].words);
        end(c, &post, &w);
    }
    if (!c->lost && posts.more)
        put_given(c, &strong, posts.more);
    if (!c->lost && posts.sound && begin(c, &w)) {
        fprintf(w.out, CASUALTY_SOUND "%s", posts.sound);
        end(c, &post, &w);
    }
    casualty_posts_free(&posts);
}

static void put_held(column *c, const coaming_hold_line *line)
{
    char chance[SHOWN];
    words w;
    if (!begin(c, &w))
        return;
    fprintf(w.out, "%s.", hold_line_chance(chance, line));
    end(c, &text, &w);
    put_posts(c, line);
    if (c->v.a->floating)
        put(c, casualty_held_is_bad(line) ? &strong : &text, casualty_held_words(&c->v, line));
    put(c, &strong, hold_not_held_words(c->v.ship, c->v.a->hold, line));
    if (!begin(c, &w))
        return;
    casualty_put_given_up(w.out, &c->v, line);
    end(c, &text, &w);
    put(c, &strong, casualty_wet_words(&c->v, line));
}

static void put_lines(column *c)
{
    char head[SHOWN];
    const coaming_hold_answer *hold = c->v.a->hold;
    size_t first = hold_told_first(hold);
    words w;
    for (size_t i = 0; i < hold->lost_count && i < c->v.most.ways; i++)
        put(c, &strong, hold_lost_words(c->v.ship, hold, i));
    if (hold->lost_count > c->v.most.ways)
        say(c, &strong, "", casualty_put_lost);
    if (!hold->line_count) {
        put(c, &text, hold_no_line_words(hold));
        return;
    }
    put_given(c, &part_head, hold_line_head(head, hold, first));
    if (hold->recommended == hold->line_count)
        put(c, &strong, hold_why_words(hold, c->v.a->floating != NULL));
    put_held(c, &hold->lines[first]);
    say(c, &strong, "", casualty_put_if_it_fails);
    for (size_t i = first + 1; casualty_told_behind(&c->v, i) && begin(c, &w); i++) {
        casualty_put_behind(w.out, &c->v, i);
        end(c, casualty_behind_is_bad(&c->v, i) ? &strong : &text, &w);
    }
}

static void put_hazard(column *c)
{
    const coaming_casualty_answer *a = c->v.a;
    put_given(c, &hazard_head, hold_title(a->hazard));
    if (a->hold->source_dry)
        put_given(c, &text, CASUALTY_DRY);
    put_shut_now(c);
    put_lines(c);
    say(c, &text, "", casualty_put_reached);
    if (a->floating) {
        const coaming_floating_answer *f = coaming_floating_get(a->floating);
        words w;
        char *rest = rest_words(c->v.ship, &f->at, &f->stability);
        c->lost = c->lost || !rest;
        if (rest && begin(c, &w)) {
            fprintf(w.out, "With that she %s", rest);
            end(c, f->stability.grade >= COAMING_GRADE_NOT_SURVIVING ? &strong : &text, &w);
        }
        free(rest);
    }
}

/* --- the drawing --- */

typedef struct {
    char *made;    /* owned */
    double height; /* mm, as wide as the page */
} picture_made;

/* How high a drawing is that is as wide as the page, mm, from the size that it says it has. */
static double drawing_height(const char *drawn)
{
    const char *at = strstr(drawn, "<svg "), *wide = at ? strstr(at, " width=\"") : NULL,
               *high = at ? strstr(at, " height=\"") : NULL;
    if (!wide || !high)
        return 0;
    double width = strtod(wide + strlen(" width=\""), NULL);
    return strtod(high + strlen(" height=\""), NULL) * WIDE / width;
}

/* Below the drawing: what it is of, and what its signs mean. */
static void put_caption(FILE *out, const coaming_ship *ship, coaming_hazard hazard, int deck)
{
    fputs("<figcaption class=\"small\">", out);
    if (deck >= 0)
        markup_put(out, "%s: what is on this deck, %s; bow right, port up. ", hold_title(hazard),
                   ship->decks[deck].name);
    else
        markup_put(out, "%s: profile. ", hold_title(hazard));
    fputs(
        "Edge: whole, line to hold (1); dashed, the second (2); dotted, the third. Crossed: here; "
        "level stripes: given up; upright: vital. Diamond: FAILED; open circle: untested."
        "</figcaption>\n",
        out);
}

/* Its own, or else that on which its floor is; -1: none. */
static int deck_of(const coaming_ship *ship, coaming_place source)
{
    if (source < 0 || !ship->spaces[source].solid_count)
        return -1;
    const ship_space *s = &ship->spaces[source];
    return s->deck >= 0 ? s->deck : picture_deck_at(ship, s->bottom);
}

/* The plan of the deck on which it is, or where there is none the profile. */
static coaming_status draw_line(const coaming_casualty_sheet *sheet,
                                const coaming_casualty_answer *a, picture_made *to,
                                coaming_error *error)
{
    char prefix[64];
    size_t size = 0;
    const coaming_ship *ship = coaming_outset_ship(sheet->outset);
    int deck = deck_of(ship, a->hold->source);
    coaming_drawing d = coaming_drawing_default();
    snprintf(prefix, sizeof prefix, "sheet-%zu-%s", sheet->number,
             a->hazard == COAMING_WATER ? "water" : "air");
    d.overlay = COAMING_OVERLAY_HOLD;
    d.query = coaming_outset_query(sheet->outset);
    d.outset = sheet->outset;
    d.hold = a->hold;
    d.width = WIDE;
    d.compact = d.embedded = d.bare = d.sketch = true;
    d.prefix = prefix;
    d.decks = &deck;
    d.deck_count = deck >= 0;
    d.plans = deck >= 0;
    d.profile = deck < 0;
    FILE *out = open_memstream(&to->made, &size);
    if (!out)
        return error_memory(error);
    coaming_status status = coaming_print_drawing(out, ship, &d, error);
    put_caption(out, ship, a->hazard, deck);
    if (fclose(out))
        return error_memory(error);
    to->height = drawing_height(to->made);
    return status;
}

/* --- the page --- */

typedef struct {
    const coaming_casualty_sheet *sheet;
    const coaming_ship *ship;
    coaming_query query;
    column head, foot;
    const coaming_casualty_answer *answers[COAMING_HAZARDS]; /* that have a column */
    picture_made pictures[COAMING_HAZARDS];
    char *columns[COAMING_HAZARDS]; /* as they are to be written; owned */
    size_t count;
} page;

/* Lies it above the water, and nothing comes of it? */
static bool stays_dry(const coaming_casualty_answer *a)
{
    bool on = false;
    for (size_t i = 0; i < a->reached_count; i++)
        on = on || a->reached[i].order > 0;
    return a->hazard == COAMING_WATER && a->hold->source_dry && !on;
}

static void put_title(page *p, const coaming_hold_answer *hold)
{
    char name[SHOWN];
    words w;
    if (!begin(&p->head, &w))
        return;
    for (size_t i = 0; i < hold->source_count; i++) {
        coaming_place at = hold->sources[i];
        fprintf(w.out, "%s%s", i ? ", " : "",
                at >= 0             ? p->ship->spaces[at].name
                : at == COAMING_SEA ? "The sea"
                                    : "The weather");
    }
    fflush(w.out);
    shown(name, w.made, SHOWN_COLUMNS);
    bool fits = lines_of(name, title.size, title.bold, p->head.width) == 1;
    put_given(&p->head, fits ? &title : &long_title, name);
    fclose(w.out);
    free(w.made);
}

/* "engine, 3-36-0-E, Hold deck; vital; 2 people counted" */
static void put_place(page *p, const coaming_hold_answer *hold)
{
    char part[SHOWN];
    words w;
    if (!begin(&p->head, &w))
        return;
    casualty_put_sources(w.out, &p->head.v);
    if (hold->source_count == 1 && hold->source >= 0) {
        const ship_space *s = &p->ship->spaces[hold->source];
        if (s->number)
            fprintf(w.out, ", %s", shown(part, s->number, 30));
        if (s->deck >= 0)
            fprintf(w.out, ", %s", shown(part, p->ship->decks[s->deck].name, 40));
        fputs(s->vital ? "; vital" : "", w.out);
        if (s->people > 0)
            fprintf(w.out, "; %s counted", counted(part, s->people, "person", "people"));
    }
    end(&p->head, &where, &w);
}

static void put_head(page *p)
{
    const bool *asked = p->query.hazard;
    const coaming_casualty_answer *a = coaming_casualty_get(p->sheet->casualty, 0);
    p->head.v.a = a;
    put_given(&p->head, &over,
              asked[COAMING_WATER] && asked[COAMING_AIR] ? "IF HOLED OR ON FIRE HERE:"
              : asked[COAMING_WATER]                     ? "IF HOLED HERE:"
                                                         : "IF ON FIRE HERE:");
    put_title(p, a->hold);
    put_place(p, a->hold);
    put(&p->head, &until, until_words(p->sheet));
    if (asked[COAMING_WATER])
        put(&p->head, &strong, let_in_words(p->sheet->outset));
    if (stays_dry(a))
        put_given(&p->head, &text,
                  "WATER: no part of it is under water, and none goes on from it.");
}

static void put_basis(page *p)
{
    enum { SEEN_MOST = 200 };
    char part[SHOWN], level[SHOWN], *seen = seen_words(p->ship);
    words w;
    if (!seen || !begin(&p->foot, &w)) {
        p->foot.lost = true;
        free(seen);
        return;
    }
    fprintf(w.out, "%s. ", shown(part, p->ship->name, 40));
    fprintf(w.out, "%s.", tested_words(part, p->ship, p->query.condition));
    if (strlen(seen) > SEEN_MOST)
        fputs(" " SEEN_TITLE ": more than there is room for.", w.out);
    else if (*seen)
        fprintf(w.out, " " SEEN_TITLE ": %s.", seen);
    if (p->query.loading >= 0)
        fprintf(w.out, " Loading: %s.", shown(part, p->ship->loadings[p->query.loading].name, 60));
    if (p->query.hazard[COAMING_WATER])
        fprintf(w.out, " %s", level_sentence(level, p->ship, p->query));
    fprintf(w.out, " Sheet %zu of %zu.", p->sheet->number, p->sheet->count);
    end(&p->foot, &small, &w);
    free(seen);
}

static void put_foot(page *p)
{
    fputs("<div class=\"foot\">\n", p->foot.out);
    put_given(&p->foot, &caution, coaming_casualty_caution(p->query.level));
    put_basis(p);
    fputs("</div>\n", p->foot.out);
}

/* A column cut so far. Its height in points; 0: memory. */
static double make_column(page *p, size_t index, int cut, double scale)
{
    double wide = p->count > 1 ? (WIDE - APART) / 2.0 : WIDE;
    size_t size = 0;
    column c = {.v = {p->ship, p->query.condition, p->answers[index], casualty_cut(cut)},
                .width = POINTS(wide),
                .scale = scale};
    free(p->columns[index]);
    p->columns[index] = NULL;
    c.out = open_memstream(&p->columns[index], &size);
    if (!c.out)
        return 0;
    put_hazard(&c);
    return fclose(c.out) || c.lost ? 0 : c.height;
}

/* How a page is filled. */
typedef struct {
    size_t pictures; /* at most */
    double high;     /* mm: of each, at most */
    int cut;         /* of lists, at most */
    int scale;       /* of text */
} filling;

/* Makes all columns, each cut as little as fits, so far at most. False: one does not. */
static bool fit_columns(page *p, double room, const filling *f, bool *lost)
{
    for (size_t i = 0; i < p->count; i++) {
        double height = room + 1;
        for (int cut = 0; cut <= f->cut && height > room; cut++) {
            height = make_column(p, i, cut, scales[f->scale]);
            *lost = *lost || height <= 0;
        }
        if (height > room)
            return false;
    }
    return true;
}

/* Large text and a drawing of each hazard if nothing has to be cut for it; then smaller text, fewer
 * and smaller drawings, shorter lists; last, none. */
static filling fit(page *p, double room, bool *lost)
{
    enum { CAPTION = 24, UNDRAWN = 10 }; /* points */
    static const filling ways[] = {{2, 66, 0, 3}, {2, 66, 0, 2}, {2, 66, 1, 1}, {1, 66, 1, 1},
                                   {1, 60, 2, 1}, {1, 54, 3, 1}, {1, 50, 3, 0}, {1, 46, 4, 0},
                                   {1, 38, 4, 0}, {0, 0, 4, 0}};
    filling f = ways[0];
    for (size_t i = 0; i < sizeof ways / sizeof *ways && !*lost; i++) {
        f = ways[i];
        f.pictures = f.pictures < p->count ? f.pictures : p->count;
        double left = room - UNDRAWN * (double)(p->count - f.pictures);
        for (size_t k = 0; k < f.pictures; k++)
            left -= POINTS(fmin(p->pictures[k].height, f.high)) + CAPTION;
        if (fit_columns(p, left, &f, lost))
            break;
    }
    return f;
}

/* Which drawings there was no room for, and how to get them. */
static void put_undrawn(const page *p, size_t pictures, FILE *out)
{
    char id[SHOWN], part[SHOWN], in[SHOWN] = "";
    if (p->query.condition >= 0)
        snprintf(in, sizeof in, " --condition %s",
                 shown(part, p->ship->conditions[p->query.condition].id, 30));
    for (size_t i = pictures; i < p->count; i++) {
        const coaming_hold_answer *hold = p->answers[i]->hold;
        markup_put(out,
                   "<p class=\"small\">No room for the drawing of the line against %s: 'coaming "
                   "draw --overlay hold --source %s --hazard %s%s'.</p>\n",
                   hold_noun(hold), shown(id, coaming_place_id(p->ship, hold->source), 30),
                   hold->hazard == COAMING_WATER ? "water" : "air", in);
    }
}

static coaming_status put_columns(page *p, double room, FILE *out, coaming_error *error)
{
    coaming_status status = COAMING_OK;
    bool lost = false;
    for (size_t i = 0; i < p->count && status == COAMING_OK; i++)
        status = draw_line(p->sheet, p->answers[i], &p->pictures[i], error);
    if (status != COAMING_OK)
        return status;
    filling f = fit(p, room, &lost);
    if (lost)
        return error_memory(error);
    markup_put(out, "<div class=\"hazards scale-%d\">\n", f.scale);
    for (size_t i = 0; i < p->count; i++)
        markup_put(out, "<section class=\"hazard\">\n%-s</section>\n", p->columns[i]);
    fputs("</div>\n", out);
    for (size_t i = 0; i < f.pictures; i++)
        markup_put(out, "<figure style=\"--high: %fmm\">%-s</figure>\n", f.high,
                   p->pictures[i].made);
    put_undrawn(p, f.pictures, out);
    return status;
}

static void choose_columns(page *p)
{
    size_t count = coaming_casualty_count(p->sheet->casualty);
    for (size_t i = 0; i < count; i++) {
        const coaming_casualty_answer *a = coaming_casualty_get(p->sheet->casualty, i);
        if (!stays_dry(a) || count == 1)
            p->answers[p->count++] = a;
    }
}

static void open_document(FILE *out, const coaming_ship *ship)
{
    fputs("<!DOCTYPE html>\n<html xmlns=\"http://www.w3.org/1999/xhtml\" lang=\"en\">\n<head>\n"
          "<meta charset=\"utf-8\"/>\n"
          "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src "
          "'unsafe-inline'; base-uri 'none'; form-action 'none'\"/>\n",
          out);
    markup_put(out, "<title>%s: sheets for a casualty</title>\n<style>\n", ship->name);
    fwrite(sheet_css, 1, sheet_css_size, out);
    fputs("</style>\n</head>\n<body>\n", out);
}

static coaming_status put_sheet(page *p, FILE *out, coaming_error *error)
{
    enum { SLACK = 14 }; /* points */
    char *head = NULL, *foot = NULL;
    size_t size = 0;
    casualty_view v = {p->ship, p->query.condition, NULL, casualty_cut(0)};
    p->head = (column){open_memstream(&head, &size), v, POINTS(WIDE), 0, 1, false};
    p->foot = (column){open_memstream(&foot, &size), v, POINTS(WIDE), 0, 1, false};
    bool good = p->head.out && p->foot.out;
    if (good) {
        put_head(p);
        put_foot(p);
    }
    good = (!p->head.out || !fclose(p->head.out)) && (!p->foot.out || !fclose(p->foot.out)) &&
           good && !p->head.lost && !p->foot.lost;
    coaming_status status = good ? COAMING_OK : error_memory(error);
    if (good) {
        markup_put(out, "<section class=\"sheet\">\n%-s", head);
        status = put_columns(p, POINTS(HIGH) - SLACK - p->head.height - p->foot.height, out, error);
        markup_put(out, "%-s</section>\n", foot);
    }
    free(head);
    free(foot);
    return status;
}

coaming_status coaming_print_casualty_sheet(FILE *out, const coaming_casualty_sheet *sheet,
                                            coaming_error *error)
{
    if (!sheet->outset)
        return outset_missing(error);
    page p = {.sheet = sheet,
              .ship = coaming_outset_ship(sheet->outset),
              .query = coaming_outset_query(sheet->outset)};
    choose_columns(&p);
    if (sheet->number == 1)
        open_document(out, p.ship);
    coaming_status status = put_sheet(&p, out, error);
    for (size_t i = 0; i < COAMING_HAZARDS; i++) {
        free(p.pictures[i].made);
        free(p.columns[i]);
    }
    if (sheet->number == sheet->count)
        fputs("</body>\n</html>\n", out);
    return status;
}
