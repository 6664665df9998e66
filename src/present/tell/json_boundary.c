#include <math.h>

#include "base/error.h"
#include "coaming/present.h"
#include "present/tell/json_parts.h"
#include "present/tell/standing_words.h"
#include "present/tell/views.h"

/* The link itself, and what it is between. */
static void put_link(json_document *d, cJSON *row, const coaming_ship *ship, const coaming_bound *r)
{
    const ship_link *l = &ship->links[r->link];
    bool given = l->clear.given;
    json_add(d, row, "link", json_text(l->id));
    json_add(d, row, "name", json_text(l->name));
    json_add(d, row, "kind", json_text(link_kind_word(l->kind)));
    json_add(d, row, "rating", json_text(l->passage ? NULL : rating_words[l->rating]));
    json_add(d, row, "inside", json_place(ship, r->inside));
    json_add(d, row, "outside", json_place(ship, r->outside));
    json_add(d, row, "x", json_number(given ? l->clear.x : NAN));
    json_add(d, row, "y", json_number(given ? l->clear.y : NAN));
    json_add(d, row, "z", json_number(l->clear.z));
}

static void put_keeping(json_document *d, cJSON *row, const coaming_bound *r)
{
    json_add(d, row, "water", json_text(coaming_keeps_word(r->keeps[COAMING_WATER])));
    json_add(d, row, "air", json_text(coaming_keeps_word(r->keeps[COAMING_AIR])));
    json_add(d, row, "height", json_number(r->height));
    json_add(d, row, "open", json_bool(r->open));
    json_add(d, row, "leak_probability", json_number(r->leak));
}

static void put_standing(json_document *d, cJSON *row, const coaming_ship *ship, int link)
{
    static const char *const keys[] = {STANDING_COLUMNS};
    if (!ship->links[link].passage)
        json_standing(d, row, ship, link);
    for (size_t i = 0; ship->links[link].passage && i < sizeof keys / sizeof *keys; i++)
        json_add(d, row, keys[i], json_text(NULL));
}

/* Who shuts it, and by which way he gets there. */
static void put_way(json_document *d, cJSON *row, const coaming_ship *ship, const coaming_bound *r)
{
    const coaming_round_stop *way = r->way;
    bool inside = r->can_be_worked && r->side == r->inside;
    cJSON *by = way ? json_link_ids(d, ship, way->through, way->through_count) : json_array(d);
    cJSON *enclosed =
        way ? json_space_ids(d, ship, way->enclosed, way->enclosed_count) : json_array(d);
    json_add(d, row, "side", r->can_be_worked ? json_place(ship, r->side) : json_text(NULL));
    json_add(d, row, "from_inside", json_bool(inside));
    json_add(d, row, "remote", json_bool(r->remote));
    json_add(d, row, "through_set", json_bool(r->through));
    json_add(d, row, "walk_metres", json_number(way ? way->metres : NAN));
    json_add(d, row, "walk_seconds", json_number(way ? way->seconds : NAN));
    json_add(d, row, "through", by);
    json_add(d, row, "enclosed", enclosed);
}

static cJSON *bound_row(json_document *d, const coaming_ship *ship, const coaming_bound *r,
                        size_t *stop)
{
    cJSON *row = json_object(d);
    json_add(d, row, "group", json_text(coaming_bound_group_word(r->group)));
    json_add(d, row, "stop", r->way ? json_number((double)++*stop) : json_text(NULL));
    put_link(d, row, ship, r);
    put_keeping(d, row, r);
    put_standing(d, row, ship, r->link);
    put_way(d, row, ship, r);
    return row;
}

static void put_counts(json_document *d, const coaming_boundary_sum *s)
{
    cJSON *counts = json_object(d);
    for (int g = 0; g < COAMING_BOUND_GROUPS; g++)
        json_add(d, counts, coaming_bound_group_word((coaming_bound_group)g),
                 json_number((double)s->count[g]));
    json_add(d, counts, "slow", json_number((double)s->slow));
    json_add(d, counts, "sure_to_leak", json_number((double)s->sure));
    json_member(d, "counts", counts);
    json_member(d, "chance", json_number(s->holds));
}

static void put_floating(json_document *d, const coaming_float *at)
{
    json_member(d, "afloat", at ? json_bool(at->afloat == COAMING_AFLOAT_YES) : json_text(NULL));
    json_member(d, "draught", json_number(at ? at->draught : NAN));
}

static const char *const boundary_lists[] = {"links", NULL};
static const char *const boundary_columns[] = {"group",
                                               "stop",
                                               "link",
                                               "name",
                                               "kind",
                                               "rating",
                                               "inside",
                                               "outside",
                                               "side",
                                               "from_inside",
                                               "remote",
                                               "x",
                                               "y",
                                               "z",
                                               "water",
                                               "air",
                                               "height",
                                               "open",
                                               "leak_probability",
                                               STANDING_COLUMNS,
                                               "through_set",
                                               "walk_metres",
                                               "walk_seconds",
                                               "through",
                                               "enclosed",
                                               NULL};
static const sheet_form boundary_form = {boundary_lists, boundary_columns, NULL};

coaming_status json_boundary(FILE *out, coaming_format format, const coaming_outset *outset,
                             const coaming_boundary *boundary, coaming_error *error)
{
    const coaming_ship *ship = coaming_outset_ship(outset);
    coaming_query query = coaming_outset_query(outset);
    coaming_boundary_sum sum = coaming_boundary_total(boundary);
    size_t count, stop = 0;
    const int *spaces = coaming_boundary_spaces(boundary, &count);
    json_document d;
    json_open_as(&d, out, format, &boundary_form, names_of(ship));
    json_head_at(&d, "boundary", &query, outset);
    json_member(&d, "caution", json_text(coaming_hold_caution(query.level)));
    json_member(&d, "spaces", json_space_ids(&d, ship, spaces, count));
    json_member(&d, "start", json_place(ship, coaming_boundary_walk(boundary).start));
    put_floating(&d, coaming_boundary_float(boundary));
    put_counts(&d, &sum);
    json_member(&d, "walk_metres", json_number(sum.metres));
    json_member(&d, "walk_seconds", json_number(sum.seconds));
    json_list_open(&d, "links");
    for (size_t i = 0; i < coaming_boundary_count(boundary); i++)
        json_item(&d, bound_row(&d, ship, coaming_boundary_get(boundary, i), &stop));
    json_list_close(&d);
    return json_close(&d, error);
}
