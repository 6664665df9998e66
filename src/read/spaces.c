#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/text.h"
#include "read/parts.h"
#include "read/said.h"
#include "ship/geometry.h"

/* SOLAS consolidated edition 2020, regulation II-1/7-3.1: stores 0.60, accommodation 0.95,
 * machinery 0.85, void spaces 0.95, liquids 0 or 0.95, whichever is the more severe (taken: 0.95).
 */
static const struct {
    const char *use;
    double permeability;
} permeabilities[] = {
    {"stores", 0.60}, {"machinery", 0.85}, {"accommodation", 0.95}, {"void", 0.95}, {"tank", 0.95}};
static const double PERMEABILITY_ELSE = 0.95;

static double default_permeability(reader *r, const xmlNode *e, const char *use)
{
    if (!use)
        return PERMEABILITY_ELSE;
    for (size_t i = 0; i < sizeof permeabilities / sizeof *permeabilities; i++)
        if (!strcmp(permeabilities[i].use, use))
            return permeabilities[i].permeability;
    if (!attribute(r, e, "permeability"))
        warning_at(r, e,
                   "use '%s' has no permeability of its own; 0.95 is taken (known: stores, "
                   "machinery, accommodation, void, tank)",
                   BRIEF(use));
    return PERMEABILITY_ELSE;
}

static void read_box(reader *r, const xmlNode *e, solid *s)
{
    static const char *const required[] = {"x", "y", "z", NULL};
    static const char *const optional[] = {"derived", NULL};
    element_check(r, e, &(element_rule){required, optional, NULL});
    double x[2], y[2], z[2];
    bool derived = false;
    get_yes_no(r, e, "derived", &derived);
    bool good = get_alongs(r, e, "x", x);
    good = get_lengths(r, e, "y", y) && good;
    good = get_lengths(r, e, "z", z) && good;
    double *xy = good ? reader_new(r, 8, sizeof *xy) : NULL;
    if (!xy)
        return;
    const double corners[] = {x[0], y[0], x[1], y[0], x[1], y[1], x[0], y[1]};
    memcpy(xy, corners, sizeof corners);
    *s = (solid){
        .z0 = z[0], .z1 = z[1], .outline = xy, .corners = 4, .box = true, .derived = derived};
    solid_measure(s);
}

/* "x,y x,y x,y": counts and, where xy is given, keeps the corners; false where it does not parse.
 */
static bool read_corners(reader *r, const xmlNode *e, const char *text, double *xy, size_t *count)
{
    char one[WORD_SIZE], two[WORD_SIZE], why[VALUES_WHY];
    corner_result result;
    for (*count = 0; !(result = values_corner(&text, one, two, why)); ++*count) {
        double x, y;
        if (!xy)
            continue;
        if (!parse_along(r, e, "outline", one, &x) || !parse_length(r, e, "outline", two, &y))
            return false;
        xy[2 * *count] = x;
        xy[2 * *count + 1] = y;
    }
    if (result == CORNER_FAULTY)
        fault_at(r, e, "%s", why);
    return result == CORNER_NONE;
}

static void read_prism(reader *r, const xmlNode *e, solid *s)
{
    static const char *const required[] = {"z", "outline", NULL};
    element_check(r, e, &(element_rule){required, NULL, NULL});
    double z[2];
    char why[VALUES_WHY];
    bool good = get_lengths(r, e, "z", z);
    const char *text = attribute(r, e, "outline");
    size_t corners;
    if (!text || !read_corners(r, e, text, NULL, &corners))
        return;
    if (!values_corner_count(corners, why)) {
        fault_at(r, e, "%s", why);
        return;
    }
    double *xy = reader_new(r, 2 * corners, sizeof *xy);
    if (!xy || !read_corners(r, e, text, xy, &corners) || !good)
        return;
    if (!values_outline(xy, corners, why)) {
        fault_at(r, e, "%s", why);
        return;
    }
    *s = (solid){.z0 = z[0], .z1 = z[1], .outline = xy, .corners = corners};
    solid_measure(s);
}

static void read_solids(reader *r, const xmlNode *e, ship_space *s)
{
    size_t count = element_count(e, "box") + element_count(e, "prism");
    if (!count)
        fault_at(r, e, "<space> needs one or more <box> or <prism>");
    solid *list = reader_new(r, count, sizeof *list);
    if (!list)
        return;
    s->solids = list;
    for (xmlNode *n = element_first(e, NULL); n; n = element_next(n, NULL)) {
        if (element_is(n, "box"))
            read_box(r, n, &list[s->solid_count++]);
        else if (element_is(n, "prism"))
            read_prism(r, n, &list[s->solid_count++]);
    }
    for (size_t i = 0; i < s->solid_count; i++)
        s->derived = s->derived || list[i].derived;
}

static int read_deck_of(reader *r, const xmlNode *e)
{
    const char *id = get_id(r, e, "deck");
    if (!id)
        return -1;
    int found = id_index_find(&r->ship->deck_ids, id);
    if (found < 0)
        fault_at(r, e, "deck '%s' is not in the file%s", BRIEF(id),
                 NEAREST(r, &r->ship->deck_ids, id));
    return found;
}

static void read_space(reader *r, const xmlNode *e, ship_space *s)
{
    fields_check(r, e, COAMING_LIST_SPACES, NULL, NULL);
    fields_begin(COAMING_LIST_SPACES, s);
    const char *id = get_id(r, e, "id"), *name = get_name(r, e, "name");
    s->id = id ? id : "";
    s->name = name ? name : s->id;
    s->line = xml_line(e);
    if (outside_named(s->id) < 0)
        fault_at(r, e, "'%s' names the outside and cannot be the id of a space", s->id);
    fields_read(r, e, COAMING_LIST_SPACES, SPACE_NUMBER, SPACE_USE, s);
    s->deck = read_deck_of(r, e);
    s->permeability = default_permeability(r, e, s->use);
    s->enclosed = s->use && (!strcmp(s->use, "tank") || !strcmp(s->use, "void"));
    fields_read(r, e, COAMING_LIST_SPACES, SPACE_PERMEABILITY, SPACE_WALKABLE, s);
    read_solids(r, e, s);
}

static const char *space_id(const void *list, size_t i)
{
    return ((const ship_space *)list)[i].id;
}

static long space_line(const void *list, size_t i)
{
    return ((const ship_space *)list)[i].line;
}

void read_spaces(reader *r, const xmlNode *root)
{
    size_t count = element_count(root, "space"), i = 0;
    if (!count)
        fault_at(r, root, "the arrangement has no <space>");
    ship_space *list = r->ship->spaces = reader_new(r, count, sizeof *list);
    if (!list)
        return;
    for (xmlNode *e = element_first(root, "space"); e; e = element_next(e, "space"))
        read_space(r, e, &list[i++]);
    r->ship->space_count = count;
    read_index(r, &r->ship->space_ids, "space", count, space_id, space_line, list);
}

void read_index(reader *r, id_index *index, const char *what, size_t count, text_of_id id,
                line_of_item line, const void *list)
{
    if (!id_index_make(index, &r->ship->memory, count, id, list)) {
        r->memory_lost = true;
        return;
    }
    size_t first = 0; /* of those with the same id */
    for (size_t i = 1; i < count; i++) {
        if (strcmp(index->ids[first], index->ids[i])) {
            first = i;
            continue;
        }
        if (!*index->ids[i]) /* lacking, which has been told */
            continue;
        char object[240];
        snprintf(object, sizeof object, "%s %s", what, BRIEF(index->ids[i]));
        faults_add(r->faults, COAMING_SEVERITY_ERROR, r->file, line(list, (size_t)index->index[i]),
                   object, "the id is already taken at line %ld; ids must differ",
                   line(list, (size_t)index->index[first]));
    }
}

bool read_place(reader *r, const xmlNode *element, const char *name, const char *id,
                coaming_place *place)
{
    coaming_place outside = outside_named(id);
    int found = outside < 0 ? outside : id_index_find(&r->ship->space_ids, id);
    if (outside < 0 || found >= 0) {
        *place = found;
        return true;
    }
    fault_at(r, element, "%s: " SAID_NO_PLACE "%s", name, BRIEF(id),
             NEAREST(r, &r->ship->space_ids, id));
    return false;
}

void read_scenarios(reader *r, const xmlNode *root)
{
    static const char *const required[] = {"hazard", "source", NULL};
    static const char *const optional[] = {"weight", NULL};
    static const char *const hazards[] = {"water", "air", NULL};
    size_t count = element_count(root, "scenario"), i = 0;
    scenario *list = r->ship->scenarios = reader_new(r, count, sizeof *list);
    if (!list)
        return;
    for (xmlNode *e = element_first(root, "scenario"); e; e = element_next(e, "scenario"), i++) {
        element_check(r, e, &(element_rule){required, optional, NULL});
        int hazard = 0;
        list[i].weight = 1;
        get_word(r, e, "hazard", hazards, &hazard);
        list[i].hazard = (coaming_hazard)hazard;
        get_number(r, e, "weight", 0, AMOUNT_MAX, &list[i].weight);
        const char *source = get_id(r, e, "source");
        if (source && read_place(r, e, "source", source, &list[i].source) &&
            list[i].hazard == COAMING_AIR && list[i].source == COAMING_SEA)
            fault_at(r, e, SAID_SEA_AIR);
    }
    r->ship->scenario_count = count;
}
