#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/error.h"
#include "base/text.h"
#include "coaming/exposure.h"
#include "present/form/style.h"
#include "present/tell/float_words.h"
#include "present/tell/heading.h"
#include "present/tell/standing_words.h"
#include "present/tell/views.h"

typedef struct {
    FILE *out;
    coaming_style style;
    const coaming_ship *ship;
    coaming_exposure *exposure;
    int *entry; /* by space: the link that lets it in; only for the row being written */
    bool memory_lost;
} view;

static void close_paragraph(view *v, paragraph *p, int first, int rest)
{
    if (!paragraph_close(p, v->out, v->style, first, rest))
        v->memory_lost = true;
}

static void put_place(const view *v, coaming_place place, FILE *out)
{
    char id[SHOWN], name[SHOWN];
    if (place < 0) {
        fputs(place == COAMING_SEA ? "the sea" : "the weather", out);
        return;
    }
    const ship_space *s = &v->ship->spaces[place];
    fprintf(out, "%s (%s)", shown(id, s->id, 24), shown(name, s->name, 40));
}

static void print_closure(view *v, int closure)
{
    const ship_link *l = &v->ship->links[closure];
    char id[SHOWN], name[SHOWN], result[SHOWN];
    ink state = result_ink(coaming_closure_result(v->ship, closure));
    paragraph p;
    fputc('\n', v->out);
    ink_on(v->out, v->style, INK_STRONG);
    fprintf(v->out, "%s  ", shown(id, l->id, 24));
    if (paragraph_open(&p))
        fputs(shown(name, l->name, 60), p.stream);
    close_paragraph(v, &p, -(int)(text_width(id) + 2), 4);
    ink_off(v->out, v->style, INK_STRONG);

    ink_on(v->out, v->style, state);
    if (paragraph_open(&p))
        fprintf(p.stream, "%s %s, %s", rating_words[l->rating], link_kind_word(l->kind),
                standing_words(result, v->ship, closure));
    close_paragraph(v, &p, 4, 6);
    ink_off(v->out, v->style, state);
    if (*repaired_words(result, v->ship, closure) &&
        !print_line(v->out, v->style, 4, 6, "%s", result))
        v->memory_lost = true;
}

/* "2 spaces, 410.3 m3, 3 people, worth 12:" */
static void print_sums(view *v, const coaming_exposure_row *row)
{
    char spaces[SHOWN], people[SHOWN], volume[SHOWN], worth[SHOWN];
    paragraph p;
    if (paragraph_open(&p))
        fprintf(p.stream, "%s, %s m3, %s, worth %s:",
                counted(spaces, (double)row->exposed_count, "space", "spaces"),
                amount(volume, row->volume),
                row->people == 0 ? "nobody" : counted(people, row->people, "person", "people"),
                amount(worth, row->worth));
    close_paragraph(v, &p, 4, 6);
}

enum { WAY_MAX = 32, NOT_EXPOSED = -2 }; /* a longer way is not spelt out */

/* The links from the closure to a space: "by D1, P3". */
static void put_way(view *v, const coaming_exposure_row *row, int space, FILE *out)
{
    char id[SHOWN];
    int links[WAY_MAX], count = 0, at = space;
    bool whole = false;
    while (count < WAY_MAX && !whole) {
        int l = v->entry[at];
        if (l < 0) /* the water starts here */
            break;
        links[count++] = l;
        const ship_link *k = &v->ship->links[l];
        at = k->a == at ? k->b : k->a;
        whole = l == row->closure || at < 0 || v->entry[at] == NOT_EXPOSED;
    }
    if (count == 0)
        return;
    if (!whole && count == WAY_MAX) {
        fprintf(out, ", by more than %d links, the last %s", WAY_MAX,
                shown(id, v->ship->links[links[0]].id, 24));
        return;
    }
    fputs(", by ", out);
    for (int i = count - 1; i >= 0; i--)
        fprintf(out, "%s%s", shown(id, v->ship->links[links[i]].id, 24), i ? ", " : "");
}

static void print_spaces(view *v, const coaming_exposure_row *row)
{
    char id[SHOWN], name[SHOWN];
    size_t widest = 4;
    for (size_t i = 0; i < row->exposed_count; i++) {
        v->entry[row->exposed[i]] = row->by[i];
        size_t width = text_width(v->ship->spaces[row->exposed[i]].id);
        widest = width > widest ? width : widest;
    }
    widest = widest > 16 ? 16 : widest;
    for (size_t i = 0; i < row->exposed_count; i++) {
        const ship_space *s = &v->ship->spaces[row->exposed[i]];
        paragraph p;
        shown(id, s->id, widest);
        if (paragraph_open(&p)) {
            fprintf(p.stream, "%s%s", shown(name, s->name, 40), s->vital ? " (vital)" : "");
            put_way(v, row, row->exposed[i], p.stream);
        }
        fprintf(v->out, "      %s%*s", id, (int)(widest - text_width(id)) + 2, "");
        close_paragraph(v, &p, -(8 + (int)widest), 8 + (int)widest);
    }
    for (size_t i = 0; i < row->exposed_count; i++)
        v->entry[row->exposed[i]] = NOT_EXPOSED;
}

/* Of all closures a list names so many and counts the rest, for together the lists grow with the
 * square of the ship. */
enum { IDS_OF_ALL = 100 };

/* How many of a list's ids are left unnamed. */
static void put_more(paragraph *p, size_t more)
{
    if (p->stream && more)
        fprintf(p->stream, " and %zu more", more);
}

/* What the second answer has besides the first. */
static void print_untested(view *v, const coaming_exposure_row *row, size_t most)
{
    bool started = false;
    char id[SHOWN];
    size_t j = 0, shared = 0, more = 0;
    paragraph p;
    if (!paragraph_open(&p)) {
        v->memory_lost = true;
        return;
    }
    fputs("if untested closures leak, also: ", p.stream);
    for (size_t i = 0; i < row->exposed_if_untested_leak_count; i++) {
        int s = row->exposed_if_untested_leak[i];
        while (j < row->exposed_count && row->exposed[j] < s)
            j++;
        if (j < row->exposed_count && row->exposed[j] == s) {
            shared++;
            continue;
        }
        if (i - shared < most)
            paragraph_item(&p, &started, shown(id, v->ship->spaces[s].id, 24));
        else
            more++;
    }
    put_more(&p, more);
    if (!paragraph_close_list(&p, started, v->out, v->style, 4, 6))
        v->memory_lost = true;
    if (shared < row->exposed_count && paragraph_open(&p)) {
        fprintf(p.stream, "if untested closures leak, %s of it is reached by other ways anyhow",
                shared ? "part" : "all");
        close_paragraph(v, &p, 4, 6);
    }
}

static void print_border(view *v, coaming_error *error)
{
    const coaming_border *border = NULL;
    size_t count = 0;
    if (coaming_exposure_border(v->exposure, &border, &count, error) != COAMING_OK) {
        v->memory_lost = true;
        return;
    }
    static const struct {
        coaming_kept kept;
        const char *words;
    } kinds[] = {{COAMING_KEPT_SHUT, "stopped by "},
                 {COAMING_KEPT_UNTESTED, "stopped only if these untested ones hold: "},
                 {COAMING_KEPT_BY_HEIGHT, "above the water: "}};
    for (size_t k = 0; k < sizeof kinds / sizeof *kinds; k++) {
        bool started = false;
        paragraph p;
        char id[SHOWN], item[SHOWN + 64], beyond[SHOWN];
        size_t matching = 0;
        for (size_t i = 0; i < count; i++)
            matching += border[i].kept == kinds[k].kept;
        if (!matching)
            continue;
        if (paragraph_open(&p)) {
            fputs(kinds[k].words, p.stream);
            for (size_t i = 0; i < count; i++) {
                if (border[i].kept != kinds[k].kept)
                    continue;
                shown(id, v->ship->links[border[i].link].id, 24);
                if (border[i].kept == COAMING_KEPT_BY_HEIGHT)
                    snprintf(item, sizeof item, "%s to %s by %.2f m", id,
                             shown(beyond, coaming_place_id(v->ship, border[i].beyond), 24),
                             border[i].height);
                else
                    snprintf(item, sizeof item, "%s", id);
                paragraph_item(&p, &started, item);
            }
        }
        close_paragraph(v, &p, 4, 6);
    }
}

static void put_reason(const view *v, const coaming_exposure_row *row, FILE *out)
{
    fprintf(out, ": nothing more (%s", coaming_note_text(row->note));
    if (row->note == COAMING_NOTE_ABOVE_WATER)
        fprintf(out, ": lowest edge %.2f m, %.2f m up", v->ship->links[row->closure].clear.z,
                v->ship->links[row->closure].clear.z - row->level);
    fputs(")", out);
}

/* "Water from engine (Engine room) floods" and, on lines of its own, how much. */
static void print_row_head(view *v, const coaming_exposure_row *row)
{
    bool water = row->hazard == COAMING_WATER;
    paragraph p;
    if (paragraph_open(&p)) {
        fputs(water ? "Water from " : "Bad air from ", p.stream);
        put_place(v, row->source, p.stream);
        if (!row->afloat)
            fprintf(p.stream, ": " NOT_AFLOAT "%s%s", lost_whether(row->exposed_count),
                    row->exposed_count ? "; it" : "");
        if (row->exposed_count)
            fputs(water ? " floods" : " reaches", p.stream);
        else if (row->afloat)
            put_reason(v, row, p.stream);
    }
    close_paragraph(v, &p, 2, 4);
    if (!row->exposed_count)
        return;
    print_sums(v, row);
}

static void print_ids(view *v, const coaming_exposure_row *row)
{
    paragraph p;
    bool started = false;
    char id[SHOWN];
    if (paragraph_open(&p)) {
        size_t named = row->exposed_count < IDS_OF_ALL ? row->exposed_count : IDS_OF_ALL;
        for (size_t i = 0; i < named; i++)
            paragraph_item(&p, &started, shown(id, v->ship->spaces[row->exposed[i]].id, 24));
        put_more(&p, row->exposed_count - named);
    }
    close_paragraph(v, &p, 6, 6);
}

/* How she floats then; nothing where she is lost, which stands above, or within all limits. */
static void print_grade(view *v, const coaming_exposure_row *row)
{
    coaming_float at;
    coaming_stability stability;
    if (!row->settled || !row->afloat)
        return;
    if (coaming_exposure_grade(v->exposure, &at, &stability, NULL) != COAMING_OK) {
        v->memory_lost = true;
        return;
    }
    if (stability.grade == COAMING_GRADE_WITHIN)
        return;
    ink colour = stability.grade >= COAMING_GRADE_NOT_SURVIVING ? INK_BAD : INK_PLAIN;
    char *words = grade_words(v->ship, &at, &stability);
    ink_on(v->out, v->style, colour);
    if (!words || !print_line(v->out, v->style, 4, 6, "Then she %s.", words))
        v->memory_lost = true;
    ink_off(v->out, v->style, colour);
    free(words);
}

static void print_row(view *v, const coaming_exposure_row *row, bool in_full, coaming_error *error)
{
    print_row_head(v, row);
    if (row->exposed_count)
        print_grade(v, row);
    if (row->exposed_count && in_full)
        print_spaces(v, row);
    else if (row->exposed_count)
        print_ids(v, row);
    if (row->exposed_count || row->exposed_if_untested_leak_count)
        print_untested(v, row, in_full ? SIZE_MAX : IDS_OF_ALL);
    if (row->exposed_count && in_full)
        print_border(v, error);
}

/* With --all a row is worth its lines only if something is exposed in either answer. */
static bool worth_showing(const coaming_exposure_row *row)
{
    return row->exposed_count || row->exposed_if_untested_leak_count;
}

static coaming_status print_chosen(view *v, size_t rows_each, coaming_error *error)
{
    coaming_status status = COAMING_OK;
    for (size_t i = 0; i < coaming_exposure_row_count(v->exposure) && status == COAMING_OK; i++) {
        coaming_exposure_row row;
        status = coaming_exposure_row_get(v->exposure, i, &row, error);
        if (status != COAMING_OK)
            break;
        if (i % rows_each == 0)
            print_closure(v, row.closure);
        print_row(v, &row, true, error);
    }
    return status;
}

static coaming_status print_all(view *v, size_t rows_each, coaming_error *error)
{
    coaming_status status = COAMING_OK;
    paragraph none;
    bool started = false, headed = false;
    char id[SHOWN];
    if (!paragraph_open(&none))
        v->memory_lost = true;
    else
        fputs("Nothing more is exposed by failure of any one of: ", none.stream);
    for (size_t i = 0; i < coaming_exposure_row_count(v->exposure) && status == COAMING_OK; i++) {
        coaming_exposure_row row;
        status = coaming_exposure_row_get(v->exposure, i, &row, error);
        if (status != COAMING_OK)
            break;
        if (i % rows_each == 0)
            headed = false;
        if (worth_showing(&row)) {
            if (!headed)
                print_closure(v, row.closure);
            headed = true;
            print_row(v, &row, false, error);
        }
        if (i % rows_each == rows_each - 1 && !headed)
            paragraph_item(&none, &started, shown(id, v->ship->links[row.closure].id, 24));
    }
    if (started)
        fputc('\n', v->out);
    if (started && none.stream)
        fputc('.', none.stream);
    if (!paragraph_close_list(&none, started, v->out, v->style, 0, 2))
        v->memory_lost = true;
    return status;
}

static coaming_status text_expose(FILE *out, coaming_style style, const coaming_outset *outset,
                                  coaming_exposure *exposure, coaming_error *error)
{
    const coaming_ship *ship = coaming_outset_ship(outset);
    coaming_query query = coaming_outset_query(outset);
    view v = {.out = out, .style = style_fit(style), .ship = ship, .exposure = exposure};
    v.entry = memory_new(ship->space_count, sizeof *v.entry);
    if (!v.entry)
        return error_memory(error);
    for (size_t s = 0; s < ship->space_count; s++)
        v.entry[s] = NOT_EXPOSED;
    size_t rows_each =
        2 * ((size_t)query.hazard[COAMING_WATER] + (size_t)query.hazard[COAMING_AIR]);
    v.memory_lost = !print_heading(out, v.style, outset, "what is exposed if a closure fails");
    coaming_status status = coaming_exposure_of_all(exposure) ? print_all(&v, rows_each, error)
                                                              : print_chosen(&v, rows_each, error);
    if (status == COAMING_OK && !v.memory_lost)
        v.memory_lost = !print_caution(out, v.style, coaming_caution_at(query.level));
    memory_free(v.entry);
    return status == COAMING_OK && v.memory_lost ? error_memory(error) : status;
}

coaming_status coaming_print_expose(FILE *out, coaming_style style, const coaming_outset *outset,
                                    coaming_exposure *exposure, coaming_error *error)
{
    if (!outset)
        return outset_missing(error);
    if (style.format != COAMING_TEXT)
        return json_expose(out, style.format, outset, exposure, error);
    return text_expose(out, style, outset, exposure, error);
}
