/* Spaces and links as a graph, with the values that export and rank give them in JSON. */
#include <string.h>

#include "analyse/ranking/scenarios.h"
#include "base/error.h"
#include "base/text.h"

#include "coaming/present.h"
#include "present/form/dot.h"
#include "present/tell/json_parts.h"
#include "present/tell/standing_words.h"
#include "present/tell/views.h"
#include "read/graphml.h"

static bool among(const char *word, const char *const *words)
{
    while (*words && strcmp(*words, word))
        words++;
    return *words != NULL;
}

static void put_list(network *n, network_item *item, const char *name, const cJSON *list)
{
    char *words = json_words(list);
    n->lost = n->lost || !words;
    if (words)
        network_put(n, item, name, VALUE_TEXT, words);
    memory_free(words);
}

static void put_value(network *n, network_item *item, const char *name, const cJSON *value)
{
    if (cJSON_IsRaw(value))
        network_put(n, item, name, VALUE_NUMBER, value->valuestring);
    else if (cJSON_IsString(value))
        network_put(n, item, name, VALUE_TEXT, value->valuestring);
    else if (cJSON_IsBool(value))
        network_put(n, item, name, VALUE_TRUTH, cJSON_IsTrue(value) ? "true" : "false");
    else if (cJSON_IsArray(value))
        put_list(n, item, name, value);
}

/* The values of a row but for those of the names `but`; of an object in it as object_name. Nulls
 * are left out. The row is freed. */
static void put_row(network *n, network_item *item, cJSON *row, const char *const *but)
{
    for (const cJSON *v = row ? row->child : NULL; v && item; v = v->next) {
        if (among(v->string, but))
            continue;
        if (!cJSON_IsObject(v))
            put_value(n, item, v->string, v);
        for (const cJSON *part = cJSON_IsObject(v) ? v->child : NULL; part; part = part->next) {
            char name[64];
            snprintf(name, sizeof name, "%s_%s", v->string, part->string);
            put_value(n, item, name, part);
        }
    }
    cJSON_Delete(row);
}

static const char *const ids[] = {"id", "between", NULL};

static void add_nodes(network *n, json_document *d, const coaming_ship *s)
{
    for (size_t i = 0; i < s->space_count; i++) {
        network_item *node = network_add(n, &n->nodes, s->spaces[i].id);
        network_put(n, node, "type", VALUE_TEXT, "space");
        put_row(n, node, json_space_row(d, s, i), ids);
    }
    for (coaming_place place = COAMING_SEA; place >= COAMING_WEATHER; place--) {
        network_item *node = network_add(n, &n->nodes, coaming_place_id(s, place));
        network_put(n, node, "type", VALUE_TEXT, "outside");
    }
}

/* Where the hazards come from, and how much each counts. */
static void add_scenarios(network *n, const coaming_ship *s)
{
    scenario *list = memory_new(scenarios_room(s), sizeof *list);
    n->lost = n->lost || !list;
    for (int h = 0; h < COAMING_HAZARDS && !n->lost; h++) {
        size_t count = scenarios_for(s, (coaming_hazard)h, list);
        for (size_t i = 0; i < count; i++) {
            coaming_place from = list[i].source;
            size_t at = from >= 0 ? (size_t)from : s->space_count + (from == COAMING_WEATHER);
            char name[32], weight[NUMBER_TEXT];
            snprintf(name, sizeof name, "%s_weight", coaming_hazard_word((coaming_hazard)h));
            network_put(n, &n->nodes.items[at], name, VALUE_NUMBER,
                        number_format(list[i].weight, weight));
        }
    }
    memory_free(list);
}

static network_item *add_edge(network *n, const coaming_ship *s, const ship_link *l)
{
    network_item *edge = network_add(n, &n->edges, l->id);
    if (edge) {
        edge->from = network_copy(n, coaming_place_id(s, l->a));
        edge->to = network_copy(n, coaming_place_id(s, l->b));
        network_put(n, edge, "type", VALUE_TEXT, l->passage ? "passage" : "closure");
    }
    return edge;
}

static void add_edges(network *n, json_document *d, const coaming_ship *s, int condition)
{
    /* what the arrangement gives in place of the estimate; that one is rank's */
    static const char *const but[] = {"id", "between", "leak_probability", NULL};
    for (size_t i = 0; i < s->closure_count; i++) {
        const ship_link *l = &s->links[i];
        network_item *edge = add_edge(n, s, l);
        char given[NUMBER_TEXT];
        put_row(n, edge, json_closure_row(d, s, i, condition), but);
        if (l->leak_probability >= 0)
            network_put(n, edge, "leak_probability_given", VALUE_NUMBER,
                        number_format(l->leak_probability, given));
    }
    for (size_t i = s->closure_count; i < s->link_count; i++)
        put_row(n, add_edge(n, s, &s->links[i]), json_link_row(d, s, i), ids);
}

/* What ranking and risk say of each closure. */
static coaming_status add_results(network *n, json_document *d, const coaming_ship *s,
                                  const coaming_rank_options *rank, coaming_error *error)
{
    static const char *const told[] = {"closure", STANDING_COLUMNS, "tested", "hours", NULL};
    coaming_status status = COAMING_OK;
    size_t count = coaming_ranking_count(rank->ranking);
    for (size_t i = 0; i < count && status == COAMING_OK && !n->lost; i++) {
        cJSON *row = NULL;
        status = json_rank_row(d, s, rank, i, &row, error);
        put_row(n, &n->edges.items[coaming_ranking_get(rank->ranking, i)->closure], row, told);
    }
    return status;
}

static void put_seen(json_document *d, cJSON *row, const coaming_ship *s)
{
    for (int k = 0; k < COAMING_SEEN_KINDS; k++) {
        cJSON *list = json_seen(d, s, (coaming_seen_kind)k);
        if (list)
            json_add(d, row, coaming_seen_word((coaming_seen_kind)k), list);
    }
}

static void put_head(network *n, json_document *d, const coaming_ship *s,
                     const coaming_rank_options *rank)
{
    coaming_query query = rank->query;
    const coaming_risk *risk = rank->risk;
    static const char *const none[] = {NULL};
    cJSON *row = json_object(d);
    json_add(d, row, "format", json_text("coaming/graph/1"));
    json_add(d, row, "ship", json_text(s->name));
    json_add(d, row, "condition",
             json_text(query.condition >= 0 ? s->conditions[query.condition].id : NULL));
    json_add(d, row, "loading",
             json_text(query.loading >= 0 ? s->loadings[query.loading].id : NULL));
    json_add(d, row, "as_of", json_date(s->as_of));
    put_seen(d, row, s);
    json_add(d, row, "level", json_level(query.level));
    json_add(d, row, "measure", json_text(coaming_measure_word(rank->measure)));
    json_add(d, row, "caution", json_text(coaming_caution_at(query.level)));
    json_add(d, row, "principal", json_principal(d, s));
    if (risk) {
        bool exact = coaming_risk_is_exact(risk);
        json_add(d, row, "expected_loss", json_number(coaming_risk_expected(risk)));
        json_add(d, row, "method", json_text(exact ? "exact" : "sampled"));
        json_add(d, row, "standard_error", json_number(coaming_risk_error(risk)));
        json_add(d, row, "expected_loss_limit", json_number(coaming_risk_limit(risk)));
        double low, high;
        if (coaming_risk_bounds(risk, &low, &high)) {
            json_add(d, row, "expected_loss_low", json_number(low));
            json_add(d, row, "expected_loss_high", json_number(high));
        }
        json_add(d, row, "samples", json_number((double)coaming_risk_sample_count(risk)));
    }
    n->whole.id = network_copy(n, s->name);
    put_row(n, &n->whole, row, none);
}

static coaming_status build(network *n, const coaming_ship *s, const coaming_rank_options *rank,
                            coaming_error *error)
{
    json_document d = {0}; /* only remembers whether memory was lost */
    coaming_status status = COAMING_OK;
    put_head(n, &d, s, rank);
    add_nodes(n, &d, s);
    add_scenarios(n, s);
    add_edges(n, &d, s, rank->query.condition);
    if (!n->lost)
        status = add_results(n, &d, s, rank, error);
    return status == COAMING_OK && (n->lost || d.memory_lost) ? error_memory(error) : status;
}

coaming_status coaming_print_graph(FILE *out, coaming_style style, const coaming_ship *ship,
                                   const coaming_rank_options *rank, coaming_error *error)
{
    network n = {0};
    coaming_status status = build(&n, ship, rank, error);
    if (status == COAMING_OK && style.format == COAMING_GRAPHML)
        status = graphml_write(out, &n, error);
    else if (status == COAMING_OK)
        dot_write(out, &n);
    network_free(&n);
    return status;
}
