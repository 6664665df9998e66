#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/error.h"
#include "coaming/present.h"
#include "csv/table.h"
#include "present/tell/hold_words.h"
#include "present/tell/json_parts.h"
#include "present/tell/standing_words.h"
#include "present/tell/views.h"
#include "ship/state.h"

/* floats: is it asked at all? Else null. */
static cJSON *afloat_value(coaming_afloat afloat, bool floats)
{
    return floats ? json_bool(afloat == COAMING_AFLOAT_YES) : json_text(NULL);
}

/* What the line keeps, but for what is wet already; both are in file order. */
static cJSON *dry_ids(json_document *d, const coaming_ship *ship, const coaming_hold_line *l)
{
    cJSON *list = json_array(d);
    size_t wet = 0;
    for (size_t i = 0; i < l->kept_count; i++)
        if (wet < l->wet_count && l->wet[wet] == l->kept[i])
            wet++;
        else
            json_append(d, list, json_text(ship->spaces[l->kept[i]].id));
    return list;
}

/* How she fares as the doors are; null where she is not floated. */
static cJSON *as_is_row(json_document *d, const coaming_ship *ship, const coaming_rest *r,
                        bool floats)
{
    size_t own = hold_own_count(r);
    if (!floats)
        return json_text(NULL);
    cJSON *row = json_object(d);
    json_add(d, row, "spread", json_entries(d, ship, "closure", r->entries + own, r->count - own));
    json_add(d, row, "afloat", json_bool(r->stability.grade != COAMING_GRADE_LOST));
    json_add(d, row, "grade", json_text(coaming_grade_word(r->stability.grade)));
    json_add(d, row, "limits", json_limits(d, &r->stability));
    return row;
}

static cJSON *lost_if_ids(json_document *d, const coaming_ship *ship, const coaming_hold_line *l)
{
    cJSON *list = json_array(d);
    for (size_t i = 0; i < l->closure_count; i++)
        if (l->closures[i].then != COAMING_AFLOAT_YES)
            json_append(d, list, json_text(ship->links[l->closures[i].closure].id));
    return list;
}

static cJSON *line_row(json_document *d, const coaming_ship *ship, const coaming_hold_answer *a,
                       size_t index, bool floats)
{
    const coaming_hold_line *l = &a->lines[index];
    cJSON *row = json_object(d), *closures = json_array(d);
    json_add(d, row, "line", json_number((double)index + 1));
    for (size_t i = 0; i < l->closure_count; i++) {
        const coaming_hold_closure *c = &l->closures[i];
        cJSON *one = json_object(d);
        json_add(d, one, "closure", json_text(ship->links[c->closure].id));
        json_add(d, one, "leak_probability", json_number(c->leak_probability));
        json_add(d, one, "must_be_shut", json_bool(c->must_be_shut));
        json_add(d, one, "last", json_bool(c->last));
        json_add(d, one, "slows", json_bool(c->slows));
        json_standing(d, one, ship, c->closure);
        json_add(d, one, "tested", json_date(coaming_closure_tested(ship, c->closure)));
        json_append(d, closures, one);
    }
    json_add(d, row, "closures", closures);
    json_add(d, row, "holds", json_number(l->holds));
    json_add(d, row, "chance", json_number(l->holds));
    json_add(d, row, "given_up", json_space_ids(d, ship, l->given_up, l->given_up_count));
    json_add(d, row, "kept", dry_ids(d, ship, l));
    json_add(d, row, "wet", json_space_ids(d, ship, l->wet, l->wet_count));
    json_add(d, row, "open_behind", json_link_ids(d, ship, l->open_behind, l->open_count));
    json_add(d, row, "afloat", afloat_value(l->at.afloat, floats));
    json_add(d, row, "draught", json_number(floats ? l->at.draught : NAN));
    json_add(d, row, "grade", json_text(floats ? coaming_grade_word(l->stability.grade) : NULL));
    json_add(d, row, "limits", floats ? json_limits(d, &l->stability) : json_array(d));
    json_add(d, row, "not_held", json_text(l->not_held < 0 ? NULL : ship->links[l->not_held].id));
    json_add(d, row, "lost_if", lost_if_ids(d, ship, l));
    json_add(d, row, "people", json_number(l->people));
    json_add(d, row, "worth", json_number(l->worth));
    json_add(d, row, "expected_loss", json_number(l->expected_loss));
    json_add(d, row, "expected_loss_error", json_number(l->expected_error));
    json_add(d, row, "recommended", json_bool(index == a->recommended));
    return row;
}

/* Closures and passages alike, in the order in which they are gone over. */
static cJSON *way_row(json_document *d, const coaming_ship *ship, const coaming_hold_way *w)
{
    cJSON *row = json_object(d), *steps = json_array(d), *closures = json_array(d);
    json_add(d, row, "from", json_place(ship, w->from));
    for (size_t i = 0; i < w->step_count; i++) {
        const coaming_hold_step *s = &w->steps[i];
        cJSON *one = json_object(d);
        json_add(d, one, "by", json_text(ship->links[s->link].id));
        json_add(d, one, "to", json_place(ship, s->to));
        json_add(d, one, "leak_probability", json_number(s->leak_probability));
        json_append(d, steps, one);
        if (!ship->links[s->link].passage)
            json_append(d, closures, json_text(ship->links[s->link].id));
    }
    json_add(d, row, "closures", closures);
    json_add(d, row, "steps", steps);
    json_add(d, row, "probability", json_number(w->probability));
    return row;
}

cJSON *json_hold_lost(json_document *d, const coaming_ship *ship, const coaming_hold_answer *a)
{
    cJSON *lost = json_array(d);
    for (size_t i = 0; i < a->lost_count; i++) {
        cJSON *one = json_object(d);
        json_add(d, one, "space", json_text(ship->spaces[a->lost_spaces[i]].id));
        json_add(d, one, "way", way_row(d, ship, &a->lost[i]));
        json_append(d, lost, one);
    }
    return lost;
}

cJSON *json_hold_lines(json_document *d, const coaming_ship *ship, const coaming_hold_answer *a,
                       bool floats)
{
    cJSON *lines = json_array(d);
    for (size_t i = 0; i < a->line_count; i++)
        json_append(d, lines, line_row(d, ship, a, i, floats));
    return lines;
}

cJSON *json_hold_sources(json_document *d, const coaming_ship *ship, const coaming_hold_answer *a)
{
    cJSON *sources = json_array(d);
    for (size_t i = 0; i < a->source_count; i++)
        json_append(d, sources, json_place(ship, a->sources[i]));
    return sources;
}

static cJSON *answer_row(json_document *d, const coaming_ship *ship, const coaming_hold_answer *a,
                         bool floats)
{
    cJSON *row = json_object(d);
    json_add(d, row, "hazard", json_text(coaming_hazard_word(a->hazard)));
    json_add(d, row, "source", json_place(ship, a->source));
    json_add(d, row, "source_dry", json_bool(a->source_dry));
    json_add(d, row, "nested", json_bool(a->nested));
    json_add(d, row, "protect", json_space_ids(d, ship, a->protect, a->protect_count));
    json_add(d, row, "level", json_number(a->level));
    json_add(d, row, "afloat", afloat_value(a->afloat, floats));
    json_add(d, row, "as_tested", as_is_row(d, ship, &a->as_is, floats));
    json_add(d, row, "lost", json_hold_lost(d, ship, a));
    json_add(d, row, "lines", json_hold_lines(d, ship, a, floats));
    json_add(d, row, "weakest_way", a->has_way ? way_row(d, ship, &a->way) : json_text(NULL));
    return row;
}

coaming_status json_hold(FILE *out, const coaming_outset *outset, const coaming_hold *hold,
                         coaming_error *error)
{
    const coaming_ship *ship = coaming_outset_ship(outset);
    coaming_query query = coaming_outset_query(outset);
    json_document d;
    json_open(&d, out);
    json_head_at(&d, "hold", &query, outset);
    json_member(&d, "caution", json_text(coaming_hold_caution(query.level)));
    if (coaming_hold_get(hold, 0)->source_count > 1)
        json_member(&d, "sources", json_hold_sources(&d, ship, coaming_hold_get(hold, 0)));
    json_list_open(&d, "answers");
    for (size_t i = 0; i < coaming_hold_count(hold); i++) {
        const coaming_hold_answer *a = coaming_hold_get(hold, i);
        json_item(&d, answer_row(&d, ship, a, level_settles(query.level, a->hazard)));
    }
    json_list_close(&d);
    return json_close(&d, error);
}

typedef struct {
    csv_writer w;
    const coaming_ship *ship;
    const coaming_hold_answer *a;
    char *sources; /* of it, with spaces between */
    bool floats;
} hold_sheet;

/* What every line of the sheet begins with; number: which of the lines or spaces of one answer. */
static void begin_line(hold_sheet *s, const char *table, size_t number, double chance)
{
    csv_text(&s->w, table);
    csv_text(&s->w, coaming_hazard_word(s->a->hazard));
    csv_text(&s->w, s->sources);
    csv_number(&s->w, (double)number + 1);
    csv_number(&s->w, chance);
}

static const char *yes_or_no(bool yes)
{
    return yes ? "yes" : "no";
}

static void put_closures(hold_sheet *s, size_t number)
{
    const coaming_hold_line *l = &s->a->lines[number];
    for (size_t i = 0; i < l->closure_count; i++) {
        const coaming_hold_closure *c = &l->closures[i];
        char date[COAMING_DATE_TEXT];
        coaming_date tested = coaming_closure_tested(s->ship, c->closure);
        begin_line(s, "line", number, l->holds);
        csv_text(&s->w, s->ship->links[c->closure].id);
        csv_text(&s->w, s->ship->links[c->closure].name);
        csv_text(&s->w, NULL);
        csv_number(&s->w, c->leak_probability);
        csv_text(&s->w, yes_or_no(c->must_be_shut));
        csv_text(&s->w, result_word(coaming_closure_result(s->ship, c->closure)));
        csv_text(&s->w, tested == COAMING_NO_DATE ? NULL : coaming_date_format(tested, date));
        csv_text(&s->w, s->floats ? yes_or_no(l->at.afloat == COAMING_AFLOAT_YES) : NULL);
        csv_number(&s->w, l->expected_loss);
        csv_text(&s->w, yes_or_no(number == s->a->recommended));
        csv_text(&s->w, l->not_held < 0 ? NULL : s->ship->links[l->not_held].id);
        csv_text(&s->w, s->floats ? yes_or_no(c->then != COAMING_AFLOAT_YES) : NULL);
        csv_end_row(&s->w);
    }
}

static void put_steps(hold_sheet *s, const char *table, size_t number, const coaming_hold_way *way)
{
    for (size_t i = 0; i < way->step_count; i++) {
        const coaming_hold_step *step = &way->steps[i];
        begin_line(s, table, number, way->probability);
        csv_text(&s->w, s->ship->links[step->link].id);
        csv_text(&s->w, s->ship->links[step->link].name);
        csv_text(&s->w, coaming_place_id(s->ship, step->to));
        csv_number(&s->w, step->leak_probability);
        for (int empty = 0; empty < 8; empty++)
            csv_text(&s->w, NULL);
        csv_end_row(&s->w);
    }
}

static char *sources_in_one(const coaming_ship *ship, const coaming_hold_answer *a)
{
    char *text = NULL;
    size_t size = 0;
    FILE *out = open_memstream(&text, &size);
    if (!out)
        return NULL;
    for (size_t i = 0; i < a->source_count; i++)
        fprintf(out, "%s%s", i ? " " : "", coaming_place_id(ship, a->sources[i]));
    if (!fclose(out))
        return text;
    free(text);
    return NULL;
}

static void put_answer(hold_sheet *s)
{
    const coaming_hold_answer *a = s->a;
    for (size_t l = 0; l < a->line_count; l++)
        put_closures(s, l);
    if (a->has_way)
        put_steps(s, "weakest_way", 0, &a->way);
    for (size_t l = 0; l < a->lost_count; l++)
        put_steps(s, "lost", l, &a->lost[l]);
}

coaming_status csv_hold(FILE *out, const coaming_outset *outset, const coaming_hold *hold,
                        coaming_error *error)
{
    coaming_query query = coaming_outset_query(outset);
    static const char *const headings[] = {
        "table",    "hazard", "source", "number",           "probability",
        "closure",  "name",   "to",     "leak_probability", "must_be_shut",
        "result",   "tested", "afloat", "expected_loss",    "recommended",
        "not_held", "lost_if"};
    hold_sheet s = {.w = {out, false}, .ship = coaming_outset_ship(outset)};
    for (size_t i = 0; i < sizeof headings / sizeof *headings; i++)
        csv_text(&s.w, headings[i]);
    csv_end_row(&s.w);
    for (size_t i = 0; i < coaming_hold_count(hold); i++) {
        s.a = coaming_hold_get(hold, i);
        s.floats = level_settles(query.level, s.a->hazard);
        s.sources = sources_in_one(s.ship, s.a);
        if (!s.sources)
            return error_memory(error);
        put_answer(&s);
        free(s.sources);
    }
    return COAMING_OK;
}
