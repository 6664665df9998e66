#include <math.h>
#include <string.h>
#include <strings.h>

#include "base/error.h"
#include "base/text.h"
#include "coaming/present.h"
#include "csv/table.h"
#include "present/tell/drop_words.h"
#include "present/tell/standing_words.h"
#include "present/tell/views.h"
#include "ship/fields.h"

/* A cell put together from pieces; it grows. */
typedef struct {
    char *text;
    size_t size, capacity;
    bool lost; /* out of memory */
} cell;

static void cell_add(cell *c, const char *text)
{
    for (; *text && !c->lost; text++) {
        if (!MEMORY_ROOM(c->text, c->size + 1, c->capacity))
            c->lost = true;
        else
            c->text[c->size++] = *text;
    }
    if (c->text)
        c->text[c->size] = '\0';
}

static void cell_number(cell *c, const char *before, double value)
{
    char number[NUMBER_TEXT];
    cell_add(c, before);
    cell_add(c, number_format(value, number));
}

/* Writes the cell and empties it for the next. */
static void cell_write(cell *c, csv_writer *w)
{
    csv_text(w, c->size ? c->text : NULL);
    c->size = 0;
}

static void cell_box(cell *c, const solid *s)
{
    cell_number(c, c->size ? "; " : "", s->x0);
    cell_number(c, " ", s->x1);
    cell_number(c, "/", s->y0);
    cell_number(c, " ", s->y1);
    cell_number(c, "/", s->z0);
    cell_number(c, " ", s->z1);
    if (s->derived) {
        cell_add(c, "/");
        cell_add(c, LIST_DERIVED);
    }
}

static void cell_prism(cell *c, const solid *s)
{
    cell_number(c, c->size ? "; " : "", s->z0);
    cell_number(c, " ", s->z1);
    for (size_t i = 0; i < s->corners; i++) {
        cell_number(c, i ? " " : "/", s->outline[2 * i]);
        cell_number(c, ",", s->outline[2 * i + 1]);
    }
}

/* One measured box has six columns of its own; all else goes into boxes and prisms. */
static void write_solids(csv_writer *w, cell *c, const ship_space *s)
{
    bool plain = s->solid_count == 1 && s->solids->box && !s->derived;
    const double six[] = {s->solids->x0, s->solids->x1, s->solids->y0,
                          s->solids->y1, s->solids->z0, s->solids->z1};
    for (int i = 0; i < 6; i++)
        csv_number(w, plain ? six[i] : NAN);
    for (size_t i = 0; i < s->solid_count && !plain; i++)
        if (s->solids[i].box)
            cell_box(c, &s->solids[i]);
    cell_write(c, w);
    for (size_t i = 0; i < s->solid_count; i++)
        if (!s->solids[i].box)
            cell_prism(c, &s->solids[i]);
    cell_write(c, w);
}

static void write_date(csv_writer *w, coaming_date date)
{
    char text[COAMING_DATE_TEXT];
    csv_text(w, date == COAMING_NO_DATE ? NULL : coaming_date_format(date, text));
}

static void write_field(csv_writer *w, const ship_field *f, const void *item)
{
    switch (f->kind) {
    case FIELD_NUMBER:
    case FIELD_LENGTH:
        csv_number(w, field_number(f, item));
        break;
    case FIELD_YES_NO:
        csv_text(w, field_yes(f, item) ? "yes" : "no");
        break;
    case FIELD_DATE:
        write_date(w, field_date(f, item));
        break;
    default:
        csv_text(w, field_text(f, item));
    }
}

/* The columns first to last, all of them plain fields. */
static void write_fields(csv_writer *w, coaming_list list, int first, int last, const void *item)
{
    for (int c = first; c <= last; c++)
        write_field(w, field_of(list, c), item);
}

static void write_spaces(csv_writer *w, cell *c, const coaming_ship *ship)
{
    for (int i = 0; i < SPACE_COLUMN_COUNT; i++)
        csv_text(w, space_columns[i]);
    csv_end_row(w);
    for (size_t i = 0; i < ship->space_count; i++) {
        const ship_space *s = &ship->spaces[i];
        write_fields(w, COAMING_LIST_SPACES, SPACE_ID, SPACE_NUMBER, s);
        csv_text(w, s->deck >= 0 ? ship->decks[s->deck].id : NULL);
        write_fields(w, COAMING_LIST_SPACES, SPACE_USE, SPACE_WALKABLE, s);
        write_solids(w, c, s);
        csv_end_row(w);
    }
}

/* What closures and passages have in common. */
static void write_link(csv_writer *w, const coaming_ship *ship, const ship_link *l)
{
    const opening *o = &l->clear;
    const double numbers[] = {o->x, o->y, o->z, o->width, o->height};
    write_fields(w, COAMING_LIST_CLOSURES, LINK_ID, LINK_NAME, l);
    csv_text(w, link_kind_word(l->kind));
    csv_text(w, coaming_place_id(ship, l->a));
    csv_text(w, coaming_place_id(ship, l->b));
    for (int i = 0; i < 5; i++)
        csv_number(w, o->given ? numbers[i] : NAN);
    csv_text(w, o->given ? attitude_words[o->lies] : NULL);
}

static void write_shut_in(csv_writer *w, cell *c, const coaming_ship *ship, const ship_link *l)
{
    size_t count = 0;
    const char *last = "";
    for (size_t i = 0; i < ship->condition_count && !l->always; i++) {
        if (l->shut_in[i]) {
            last = ship->conditions[i].id;
            cell_add(c, count++ ? " " : "");
            cell_add(c, last);
        }
    }
    /* a condition of that very name, alone, is written twice to tell it from the word */
    if (count == 1 && !strcasecmp(last, LIST_NEVER)) {
        cell_add(c, " ");
        cell_add(c, last);
    }
    if (!l->always && !count)
        cell_add(c, LIST_NEVER);
    cell_write(c, w);
}

/* A count, or places with semicolons between; one place has a semicolon after it. */
static void write_dogs(csv_writer *w, cell *c, const ship_link *l)
{
    for (size_t i = 0; l->dogs && i < l->dog_count; i++)
        cell_number(c, i ? ";" : "", l->dogs[i]);
    if (l->dogs && l->dog_count == 1)
        cell_add(c, ";");
    if (!l->dogs && l->dog_count)
        cell_number(c, "", (double)l->dog_count);
    cell_write(c, w);
}

static void write_joints(csv_writer *w, cell *c, const ship_link *l)
{
    for (size_t i = 0; i < l->gasket_joint_count; i++)
        cell_number(c, i ? ";" : "", l->gasket_joints[i]);
    cell_write(c, w);
}

static void write_gaps(csv_writer *w, cell *c, const ship_event *e)
{
    for (size_t i = 0; i < e->gap_count; i++) {
        cell_number(c, i ? " " : "", e->gaps[i].at);
        cell_number(c, ":", e->gaps[i].length);
        if (e->gaps[i].seen < SEEN_NOTHING) {
            cell_add(c, ":");
            cell_add(c, sight_words[e->gaps[i].seen]);
        }
    }
    cell_write(c, w);
}

static void write_test(csv_writer *w, cell *c, const coaming_ship *ship, const ship_event *test)
{
    static const ship_event none = {.set = NAN, .hinge_play = NAN};
    write_date(w, test ? test->date : COAMING_NO_DATE);
    csv_text(w, test ? method_words[test->method] : NULL);
    csv_text(w, test ? result_word(test->result) : NULL);
    test = test ? test : &none;
    write_gaps(w, c, test);
    csv_number(w, test->set);
    csv_number(w, test->hinge_play);
    csv_drop(w, ship, test->dropped ? &test->drop : NULL);
    csv_text(w, test->by);
    csv_text(w, test->note);
}

static void write_space_id(csv_writer *w, const coaming_ship *ship, int space)
{
    csv_text(w, space >= 0 ? ship->spaces[space].id : NULL);
}

static void write_link_headings(csv_writer *w, int count)
{
    for (int i = 0; i < count; i++)
        if (i != LINK_BETWEEN)
            csv_text(w, link_columns[i]);
    csv_end_row(w);
}

static void write_closures(csv_writer *w, cell *c, const coaming_ship *ship)
{
    write_link_headings(w, CLOSURE_COLUMN_COUNT);
    for (size_t i = 0; i < ship->closure_count; i++) {
        const ship_link *l = &ship->links[i];
        write_link(w, ship, l);
        write_fields(w, COAMING_LIST_CLOSURES, LINK_RATING, LINK_RATING, l);
        csv_text(w, l->one_sided ? coaming_place_id(ship, l->from) : NULL);
        write_shut_in(w, c, ship, l);
        write_space_id(w, ship, l->power);
        write_space_id(w, ship, l->control);
        write_fields(w, COAMING_LIST_CLOSURES, LINK_HOURS, LINK_GASKET_SECTION, l);
        write_joints(w, c, l);
        write_dogs(w, c, l);
        write_test(w, c, ship,
                   l->decided ? l->decided : l->last_test); /* so that it stands as it does */
        csv_end_row(w);
    }
}

static void write_passages(csv_writer *w, const coaming_ship *ship)
{
    write_link_headings(w, PASSAGE_COLUMN_COUNT);
    for (size_t i = ship->closure_count; i < ship->link_count; i++) {
        write_link(w, ship, &ship->links[i]);
        csv_end_row(w);
    }
}

static void write_headings(csv_writer *w, coaming_list list)
{
    for (int i = 0; i < field_count(list); i++)
        csv_text(w, field_heading(list, i));
    csv_end_row(w);
}

static void write_pumps(csv_writer *w, cell *c, const coaming_ship *ship)
{
    write_headings(w, COAMING_LIST_PUMPS);
    for (const ship_pump *p = ship->pumps; p < ship->pumps + ship->pump_count; p++) {
        write_fields(w, COAMING_LIST_PUMPS, PUMP_ID, PUMP_NAME, p);
        write_space_id(w, ship, p->space);
        write_fields(w, COAMING_LIST_PUMPS, PUMP_CAPACITY, PUMP_CAPACITY, p);
        for (size_t i = 0; i < p->serve_count; i++) {
            cell_add(c, i ? " " : "");
            cell_add(c, ship->spaces[p->serves[i]].id);
        }
        cell_write(c, w);
        write_space_id(w, ship, p->power);
        write_space_id(w, ship, p->control);
        csv_end_row(w);
    }
}

static void write_fans(csv_writer *w, const coaming_ship *ship)
{
    write_headings(w, COAMING_LIST_FANS);
    for (const ship_fan *f = ship->fans; f < ship->fans + ship->fan_count; f++) {
        write_fields(w, COAMING_LIST_FANS, FAN_ID, FAN_NAME, f);
        write_space_id(w, ship, f->supplies);
        write_fields(w, COAMING_LIST_FANS, FAN_FLOW, FAN_PRESSURE, f);
        csv_end_row(w);
    }
}

/* As the sheet that record reads has them; decimals are not exact in binary. */
static double millimetres(double metres)
{
    return round(metres * 1e9) / 1e6;
}

static void write_event(csv_writer *w, cell *c, const coaming_ship *ship, const ship_event *e)
{
    bool test = e->kind == EVENT_TEST;
    write_date(w, e->date);
    csv_text(w, test ? "test" : "repair");
    csv_text(w, test ? method_words[e->method] : NULL);
    csv_text(w, test ? result_word(e->result) : NULL);
    write_gaps(w, c, e);
    csv_text(w, test ? NULL : action_words[e->action]);
    csv_text(w, e->by);
    csv_text(w, e->note);
    csv_number(w, millimetres(e->set));
    csv_number(w, millimetres(e->hinge_play));
    csv_drop(w, ship, e->dropped ? &e->drop : NULL); /* as it was said */
}

static void write_tests(csv_writer *w, cell *c, const coaming_ship *ship)
{
    static const char *const headings[] = {"closure",
                                           "date",
                                           "entry",
                                           "method",
                                           "result",
                                           "gaps-m",
                                           "action",
                                           "by",
                                           "note",
                                           "set-mm",
                                           "hinge-play-mm",
                                           "space",
                                           "start-pressure-pa",
                                           "end-pressure-pa",
                                           "duration-s",
                                           "volume-m3"};
    for (size_t i = 0; i < sizeof headings / sizeof *headings; i++)
        csv_text(w, headings[i]);
    csv_end_row(w);
    for (size_t i = 0; i < ship->closure_count; i++) {
        for (size_t e = 0; e < ship->links[i].event_count; e++) {
            csv_text(w, ship->links[i].id);
            write_event(w, c, ship, &ship->links[i].events[e]);
            csv_end_row(w);
        }
    }
}

coaming_status coaming_print_table(FILE *out, const coaming_ship *ship, coaming_list list,
                                   coaming_error *error)
{
    csv_writer w = {out, false};
    cell c = {NULL, 0, 0, false};
    if (list == COAMING_LIST_SPACES)
        write_spaces(&w, &c, ship);
    else if (list == COAMING_LIST_CLOSURES)
        write_closures(&w, &c, ship);
    else if (list == COAMING_LIST_PASSAGES)
        write_passages(&w, ship);
    else if (list == COAMING_LIST_PUMPS)
        write_pumps(&w, &c, ship);
    else if (list == COAMING_LIST_FANS)
        write_fans(&w, ship);
    else
        write_tests(&w, &c, ship);
    memory_free(c.text);
    return c.lost ? error_memory(error) : COAMING_OK;
}
