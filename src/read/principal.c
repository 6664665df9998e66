#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/fault.h"
#include "base/text.h"
#include "read/parts.h"
#include "ship/hull.h"

void read_arrangement_root(reader *r, const xmlNode *root)
{
    static const char *const required[] = {"name", NULL}, *const optional[] = {"units", NULL};
    static const char *const children[] = {
        "ship",   "hull",      "frames",   "deck",    "condition", "ageing",
        "method", "repairing", "interval", "loading", "zone",      "scenario",
        "space",  "closure",   "passage",  "pump",    "fan",       NULL};
    static const char *const units[] = {"m", "ft", NULL};
    element_check(r, root, &(element_rule){required, optional, children});
    int unit = 0;
    get_word(r, root, "units", units, &unit);
    r->ship->feet = unit == 1;
    r->unit = unit == 1 ? 0.3048 : 1;
    const char *name = get_name(r, root, "name");
    r->ship->name = name ? name : "";
}

static void read_ship(reader *r, const xmlNode *root)
{
    static const char *const required[] = {"length", "beam", "depth", "draft", NULL};
    static const char *const optional[] = {"kg",      "lcg", "tcg", "density", "bulkhead-deck",
                                           "persons", NULL};
    coaming_ship *s = r->ship;
    s->kg = s->lcg = s->tcg = s->persons = NAN;
    s->density = 1.025;
    xmlNode *e = element_only(r, root, "ship");
    if (!e) {
        fault_at(r, root, "<ship length= beam= depth= draft=/> is missing");
        return;
    }
    s->line = xml_line(e);
    element_check(r, e, &(element_rule){required, optional, NULL});
    const double least = 1e-3;
    bool sized = get_length(r, e, "length", least, INFINITY, &s->length);
    sized = get_length(r, e, "beam", least, INFINITY, &s->beam) && sized;
    sized = get_length(r, e, "depth", least, INFINITY, &s->depth) && sized;
    if (get_length(r, e, "draft", least, INFINITY, &s->draught) && sized && s->draught > s->depth)
        fault_at(r, e, "draft is greater than depth; the deck edge would be under water");
    get_length(r, e, "kg", -INFINITY, INFINITY, &s->kg);
    get_length(r, e, "lcg", -INFINITY, INFINITY, &s->lcg);
    get_length(r, e, "tcg", -INFINITY, INFINITY, &s->tcg);
    get_number(r, e, "density", 0.5, 2, &s->density);
    if (get_number(r, e, "persons", 0, AMOUNT_MAX, &s->persons) && s->persons != floor(s->persons))
        fault_at(r, e, "persons must be a whole number");
}

static void read_section(reader *r, const xmlNode *e, hull_section *section)
{
    static const char *const of_section[] = {"x", NULL}, *const in_section[] = {"offset", NULL};
    static const char *const of_offset[] = {"z", "y", NULL};
    element_check(r, e, &(element_rule){of_section, NULL, in_section});
    section->line = xml_line(e);
    get_along(r, e, "x", &section->x);
    section->offset_count = element_count(e, "offset");
    double *zy = reader_new(r, 2 * section->offset_count, sizeof *zy);
    if (!zy)
        return;
    if (section->offset_count < 2)
        fault_at(r, e, "<section> needs two or more <offset z= y=/>");
    section->offsets = zy;
    size_t i = 0;
    for (xmlNode *o = element_first(e, "offset"); o; o = element_next(o, "offset"), i++) {
        element_check(r, o, &(element_rule){of_offset, NULL, NULL});
        get_length(r, o, "z", -INFINITY, INFINITY, &zy[2 * i]);
        get_length(r, o, "y", 0, INFINITY, &zy[2 * i + 1]);
        if (i > 0 && zy[2 * i] < zy[2 * i - 2])
            fault_at(r, o, "offsets must rise: z is less than that of the offset before");
    }
}

static void read_hull(reader *r, const xmlNode *root)
{
    static const char *const children[] = {"section", NULL};
    xmlNode *e = element_only(r, root, "hull");
    if (!e)
        return;
    element_check(r, e, &(element_rule){NULL, NULL, children});
    size_t count = element_count(e, "section");
    if (count < 2)
        fault_at(r, e, "<hull> needs two or more <section x=>");
    r->ship->sections = reader_new(r, count, sizeof *r->ship->sections);
    if (!r->ship->sections)
        return;
    r->ship->section_count = count;
    size_t i = 0;
    for (xmlNode *s = element_first(e, "section"); s; s = element_next(s, "section"), i++) {
        read_section(r, s, &r->ship->sections[i]);
        if (i > 0 && r->ship->sections[i].x <= r->ship->sections[i - 1].x)
            fault_at(r, s,
                     "sections must stand from aft to forward: x is not greater than that of "
                     "the section before");
    }
}

static void read_frames(reader *r, const xmlNode *root)
{
    static const char *const required[] = {"spacing", NULL}, *const optional[] = {"zero", NULL};
    xmlNode *e = element_only(r, root, "frames");
    if (!e)
        return;
    element_check(r, e, &(element_rule){required, optional, NULL});
    r->ship->frames.given = true;
    get_length(r, e, "spacing", 1e-3, INFINITY, &r->ship->frames.spacing);
    get_length(r, e, "zero", -INFINITY, INFINITY, &r->ship->frames.zero);
}

static const char *deck_id(const void *list, size_t i)
{
    return ((const ship_deck *)list)[i].id;
}

static long deck_line(const void *list, size_t i)
{
    return ((const ship_deck *)list)[i].line;
}

static void read_decks(reader *r, const xmlNode *root)
{
    static const char *const required[] = {"id", "z", NULL}, *const optional[] = {"name", NULL};
    size_t count = element_count(root, "deck"), i = 0;
    ship_deck *list = r->ship->decks = reader_new(r, count, sizeof *list);
    if (!list)
        return;
    for (xmlNode *e = element_first(root, "deck"); e; e = element_next(e, "deck"), i++) {
        element_check(r, e, &(element_rule){required, optional, NULL});
        const char *id = get_id(r, e, "id"), *name = get_name(r, e, "name");
        list[i].id = id ? id : "";
        list[i].name = name ? name : list[i].id;
        list[i].line = xml_line(e);
        get_length(r, e, "z", -INFINITY, INFINITY, &list[i].z);
    }
    r->ship->deck_count = count;
    read_index(r, &r->ship->deck_ids, "deck", count, deck_id, deck_line, list);
}

static const char *condition_id(const void *list, size_t i)
{
    return ((const ship_condition *)list)[i].id;
}

static long condition_line(const void *list, size_t i)
{
    return ((const ship_condition *)list)[i].line;
}

static void read_conditions(reader *r, const xmlNode *root)
{
    static const char *const required[] = {"id", NULL}, *const optional[] = {"name", NULL};
    size_t count = element_count(root, "condition"), i = 0;
    ship_condition *list = r->ship->conditions = reader_new(r, count, sizeof *list);
    if (!list)
        return;
    for (xmlNode *e = element_first(root, "condition"); e; e = element_next(e, "condition"), i++) {
        element_check(r, e, &(element_rule){required, optional, NULL});
        const char *id = get_id(r, e, "id"), *name = get_name(r, e, "name");
        list[i].id = id ? id : "";
        list[i].name = name ? name : list[i].id;
        list[i].line = xml_line(e);
    }
    r->ship->condition_count = count;
    read_index(r, &r->ship->condition_ids, "condition", count, condition_id, condition_line, list);
}

static void read_ageings(reader *r, const xmlNode *root)
{
    static const char *const required[] = {"kind", "eta-years", "beta", NULL};
    static const values_bounds above_0 = {0, AMOUNT_MAX, true};
    bool met[KIND_COUNT] = {false};
    size_t count = element_count(root, "ageing"), i = 0;
    ageing *list = r->ship->ageings = reader_new(r, count, sizeof *list);
    if (!list)
        return;
    for (xmlNode *e = element_first(root, "ageing"); e; e = element_next(e, "ageing"), i++) {
        int kind = 0;
        element_check(r, e, &(element_rule){required, NULL, NULL});
        get_word(r, e, "kind", closure_kind_words, &kind);
        list[i].kind = (link_kind)kind;
        if (met[kind])
            fault_at(r, e, "a second <ageing> for kind %s", closure_kind_words[kind]);
        met[kind] = true;
        get_bounded(r, e, "eta-years", false, &above_0, &list[i].eta_years);
        get_bounded(r, e, "beta", false, &above_0, &list[i].beta);
    }
    r->ship->ageing_count = count;
}

static void read_methods(reader *r, const xmlNode *root)
{
    static const char *const required[] = {"name", "sensitivity", "specificity", NULL};
    static const char *const optional[] = {"proves", NULL};
    bool met[METHOD_COUNT] = {false};
    size_t count = element_count(root, "method"), i = 0;
    method_quality *list = r->ship->methods = reader_new(r, count, sizeof *list);
    if (!list)
        return;
    for (xmlNode *e = element_first(root, "method"); e; e = element_next(e, "method"), i++) {
        int method = 0;
        element_check(r, e, &(element_rule){required, optional, NULL});
        get_word(r, e, "name", method_words, &method);
        list[i].method = (test_method)method;
        list[i].proves = method != VISUAL;
        get_yes_no(r, e, "proves", &list[i].proves);
        if (met[method])
            fault_at(r, e, "a second <method> for %s", method_words[method]);
        met[method] = true;
        bool good = get_number(r, e, "sensitivity", 0, 1, &list[i].sensitivity);
        good = get_number(r, e, "specificity", 0, 1, &list[i].specificity) && good;
        if (good && list[i].sensitivity + list[i].specificity <= 1)
            warning_at(r, e,
                       "a failed test by it makes no leak likelier: sensitivity and "
                       "specificity add up to no more than 1");
    }
    r->ship->method_count = count;
}

static void read_repairings(reader *r, const xmlNode *root)
{
    static const char *const required[] = {"action", "success", NULL};
    bool met[ACTION_COUNT] = {false};
    size_t count = element_count(root, "repairing"), i = 0;
    repairing *list = r->ship->repairings = reader_new(r, count, sizeof *list);
    if (!list)
        return;
    for (xmlNode *e = element_first(root, "repairing"); e; e = element_next(e, "repairing"), i++) {
        int action = 0;
        element_check(r, e, &(element_rule){required, NULL, NULL});
        get_word(r, e, "action", action_words, &action);
        list[i].action = (repair_action)action;
        if (met[action])
            fault_at(r, e, "a second <repairing> for %s", action_words[action]);
        met[action] = true;
        if (get_number(r, e, "success", -INFINITY, INFINITY, &list[i].success) &&
            !(list[i].success >= 0 && list[i].success < 1))
            fault_at(r, e,
                     "success must be 0 or more and less than 1: after a repair that never fails "
                     "no failed retest would count");
    }
    r->ship->repairing_count = count;
}

static void read_intervals(reader *r, const xmlNode *root)
{
    static const char *const required[] = {"kind", "method", "days", NULL};
    static const char *const optional[] = {"minutes", NULL};
    bool met[KIND_COUNT][METHOD_COUNT] = {{false}};
    size_t count = element_count(root, "interval"), i = 0;
    interval *list = r->ship->intervals = reader_new(r, count, sizeof *list);
    if (!list)
        return;
    for (xmlNode *e = element_first(root, "interval"); e; e = element_next(e, "interval"), i++) {
        int kind = 0, method = 0;
        double days = 0;
        element_check(r, e, &(element_rule){required, optional, NULL});
        get_word(r, e, "kind", closure_kind_words, &kind);
        get_word(r, e, "method", method_words, &method);
        if (get_number(r, e, "days", 1, 36525, &days) && days != floor(days))
            fault_at(r, e, "days must be a whole number");
        list[i] = (interval){(link_kind)kind, (test_method)method, (int)days, -1, xml_line(e)};
        get_number(r, e, "minutes", 0, 10000, &list[i].minutes);
        if (met[kind][method])
            fault_at(r, e, "a second <interval> for kind %s and method %s",
                     closure_kind_words[kind], method_words[method]);
        met[kind][method] = true;
    }
    r->ship->interval_count = count;
}

static int order_zones(const void *left, const void *right)
{
    double a = ((const ship_zone *)left)->from, b = ((const ship_zone *)right)->from;
    return (a > b) - (a < b);
}

static void read_zones(reader *r, const xmlNode *root)
{
    static const char *const required[] = {"from", "to", NULL};
    size_t count = element_count(root, "zone"), i = 0;
    ship_zone *list = r->ship->zones = reader_new(r, count, sizeof *list);
    if (!list)
        return;
    for (xmlNode *e = element_first(root, "zone"); e; e = element_next(e, "zone")) {
        ship_zone z = {0, 0, xml_line(e)};
        element_check(r, e, &(element_rule){required, NULL, NULL});
        bool good = get_along(r, e, "from", &z.from);
        good = get_along(r, e, "to", &z.to) && good;
        if (good && !(z.from < z.to))
            fault_at(r, e, "from must be aft of to");
        else if (good)
            list[i++] = z;
    }
    r->ship->zone_count = i;
    qsort(list, i, sizeof *list, order_zones);
}

#define ZONE_FAULT(r, zone, ...)                                                                   \
    faults_add((r)->faults, COAMING_SEVERITY_ERROR, (r)->file, (zone)->line, "zone", __VA_ARGS__)
/* A place in the file's unit. */
#define PLACE(r, x) number_format((x) / (r)->unit, (char[NUMBER_TEXT]){""})

/* Ends no further apart stand for one bulkhead, m (common practice, no source); as
 * analyse/survival/zones.h has it of what is no part of a zone. */
static const double ONE_BULKHEAD = 0.15;

static void check_zone_ends(reader *r)
{
    const ship_zone *list = r->ship->zones, *last = list + r->ship->zone_count - 1;
    const hull_shape *hull = r->ship->hull;
    if (micrometres(list->from) > micrometres(hull->x0))
        ZONE_FAULT(r, list, "no zone is from the after end of the hull, %s, to %s",
                   PLACE(r, hull->x0), PLACE(r, list->from));
    else if (micrometres(list->from) < micrometres(hull->x0))
        ZONE_FAULT(r, list, "begins at %s, aft of the hull, which begins at %s",
                   PLACE(r, list->from), PLACE(r, hull->x0));
    if (micrometres(last->to) < micrometres(hull->x1))
        ZONE_FAULT(r, last, "no zone is from %s to the forward end of the hull, %s",
                   PLACE(r, last->to), PLACE(r, hull->x1));
    else if (micrometres(last->to) > micrometres(hull->x1))
        ZONE_FAULT(r, last, "ends at %s, forward of the hull, which ends at %s", PLACE(r, last->to),
                   PLACE(r, hull->x1));
}

/* Zones stand end to end over the whole hull and no further, to the micrometre. */
void check_zones(reader *r)
{
    const ship_zone *list = r->ship->zones, *last = list + r->ship->zone_count - 1;
    if (!r->ship->zone_count)
        return;
    check_zone_ends(r);
    for (const ship_zone *z = list; z <= last; z++)
        if (micrometres(z->to) - micrometres(z->from) <= micrometres(ONE_BULKHEAD))
            ZONE_FAULT(r, z, "from %s to %s is no zone: within %s it is one bulkhead",
                       PLACE(r, z->from), PLACE(r, z->to), PLACE(r, ONE_BULKHEAD));
    for (const ship_zone *z = list + 1; z <= last; z++) {
        long long apart = micrometres(z->from) - micrometres(z[-1].to);
        if (apart > 0)
            ZONE_FAULT(r, z, "no zone is from %s to %s", PLACE(r, z[-1].to), PLACE(r, z->from));
        else if (apart < 0)
            ZONE_FAULT(r, z, "overlaps the zone aft of it, from %s to %s", PLACE(r, z->from),
                       PLACE(r, fmin(z->to, z[-1].to)));
    }
}

/* After the decks. */
static void read_bulkhead_deck(reader *r, const xmlNode *root)
{
    coaming_ship *s = r->ship;
    const xmlNode *e = element_first(root, "ship");
    const char *id = e ? attribute(r, e, "bulkhead-deck") : NULL;
    s->bulkhead_deck = -1;
    if (!id)
        return;
    s->bulkhead_deck = id_index_find(&s->deck_ids, id);
    if (s->bulkhead_deck < 0)
        fault_at(r, e, "bulkhead-deck: deck '%s' is not in the file%s", BRIEF(id),
                 NEAREST(r, &s->deck_ids, id));
    else if (s->draught > 0 && s->decks[s->bulkhead_deck].z <= s->draught)
        fault_at(r, e, "bulkhead-deck: deck '%s' is not above the draft", BRIEF(id));
}

void read_principal(reader *r, const xmlNode *root)
{
    read_ship(r, root);
    read_frames(r, root); /* before all that may be given by frames */
    read_hull(r, root);
    read_decks(r, root);
    read_bulkhead_deck(r, root);
    read_conditions(r, root);
    read_ageings(r, root);
    read_methods(r, root);
    read_repairings(r, root);
    read_intervals(r, root);
    read_zones(r, root);
}
