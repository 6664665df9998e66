/* Loading conditions: draughts, centre of gravity, and the liquids in her spaces. */
#include <math.h>
#include <string.h>

#include "base/text.h"
#include "read/parts.h"

/* t/m3: no liquid that ships carry is denser; who wrote more meant kg/m3. Common practice, no
 * source. */
static const double DENSEST = 5;

static int content_space(reader *r, const xmlNode *e)
{
    const char *id = get_id(r, e, "space");
    return id ? read_space_named(r, e, "content", id) : -1;
}

static void read_content(reader *r, const xmlNode *e, loading_content *c)
{
    static const char *const required[] = {"space", "fill", "density", NULL};
    element_check(r, e, &(element_rule){required, NULL, NULL});
    c->line = xml_line(e);
    c->space = content_space(r, e);
    get_number(r, e, "fill", 0, 1, &c->fill);
    if (get_number(r, e, "density", -INFINITY, INFINITY, &c->density) &&
        !(c->density > 0 && c->density <= DENSEST))
        fault_at(r, e, "content: density must be greater than 0 and at most %g, in t/m3", DENSEST);
    const ship_space *s = c->space < 0 ? NULL : &r->ship->spaces[c->space];
    if (s && s->inside && !(s->volume > 0)) /* else the file is faulty before, and nothing is cut */
        fault_at(r, e, "content: space '%s' has no volume to hold anything", BRIEF(s->id));
}

/* by_space: for each space the last loading, from 1, with content in it, and its line. */
typedef struct {
    size_t loading;
    long line;
} holder;

static void read_contents(reader *r, const xmlNode *root, size_t number, holder *by_space)
{
    ship_loading *l = &r->ship->loadings[number];
    size_t count = element_count(root, "content"), i = 0;
    loading_content *list = reader_new(r, count, sizeof *list);
    if (!list)
        return;
    l->contents = list;
    l->content_count = count;
    for (xmlNode *e = element_first(root, "content"); e; e = element_next(e, "content"), i++) {
        read_content(r, e, &list[i]);
        holder *h = list[i].space < 0 ? NULL : &by_space[list[i].space];
        if (h && h->loading == number + 1)
            fault_at(r, e, "content: space '%s' has content already, at line %ld",
                     BRIEF(r->ship->spaces[list[i].space].id), h->line);
        else if (h)
            *h = (holder){number + 1, list[i].line};
    }
}

static void read_role(reader *r, const xmlNode *e, size_t number)
{
    ship_loading *list = r->ship->loadings;
    int role = 0;
    list[number].role = COAMING_INDEX_NONE;
    if (!get_word(r, e, "index", index_role_words, &role))
        return;
    for (size_t i = 0; i < number; i++)
        if ((int)list[i].role == role)
            fault_at(r, e, "a second loading with index %s; the first is at line %ld",
                     index_role_words[role], list[i].line);
    list[number].role = (coaming_index_role)role;
}

static void read_weights(reader *r, const xmlNode *e, ship_loading *l)
{
    const coaming_ship *s = r->ship;
    const double least = 1e-3;
    l->lcg = l->tcg = NAN;
    if (get_length(r, e, "draft", least, INFINITY, &l->draught) && s->depth > 0) {
        if (l->draught > s->depth)
            fault_at(r, e, "draft is greater than depth; the deck edge would be under water");
        else if (s->bulkhead_deck >= 0 && s->decks[s->bulkhead_deck].z <= l->draught)
            fault_at(r, e, "the bulkhead deck '%s' is not above the draft",
                     BRIEF(s->decks[s->bulkhead_deck].id));
    }
    get_length(r, e, "trim", -INFINITY, INFINITY, &l->trim);
    get_length(r, e, "kg", -INFINITY, INFINITY, &l->kg);
    get_length(r, e, "lcg", -INFINITY, INFINITY, &l->lcg);
    get_length(r, e, "tcg", -INFINITY, INFINITY, &l->tcg);
}

static void read_loading(reader *r, const xmlNode *e, size_t number, holder *by_space)
{
    static const char *const required[] = {"id", "draft", "kg", NULL};
    static const char *const optional[] = {"name", "trim", "lcg", "tcg", "index", NULL};
    static const char *const children[] = {"content", NULL};
    ship_loading *l = &r->ship->loadings[number];
    element_check(r, e, &(element_rule){required, optional, children});
    const char *id = get_id(r, e, "id"), *name = get_name(r, e, "name");
    l->id = id ? id : "";
    l->name = name ? name : l->id;
    l->line = xml_line(e);
    read_weights(r, e, l);
    read_role(r, e, number);
    read_contents(r, e, number, by_space);
}

static const char *loading_id(const void *list, size_t i)
{
    return ((const ship_loading *)list)[i].id;
}

static long loading_line(const void *list, size_t i)
{
    return ((const ship_loading *)list)[i].line;
}

static const ship_loading *of_role(const coaming_ship *ship, int role)
{
    for (size_t i = 0; i < ship->loading_count; i++)
        if ((int)ship->loadings[i].role == role)
            return &ship->loadings[i];
    return NULL;
}

/* The three draughts of the index belong together. */
static void survey_roles(reader *r, const xmlNode *root)
{
    const ship_loading *before = NULL;
    for (int role = 0; role < COAMING_INDEX_NONE; role++) {
        const ship_loading *l = of_role(r->ship, role);
        if (!l) {
            warning_at(r, root, "loadings have the index of some draughts, but none has index %s",
                       index_role_words[role]);
        } else if (before && l->draught > before->draught) {
            warning_at(r, root, "the loading with index %s lies deeper than the one with index %s",
                       index_role_words[role], index_role_words[before->role]);
        }
        before = l ? l : before;
    }
}

void read_loadings(reader *r, const xmlNode *root)
{
    coaming_ship *s = r->ship;
    size_t count = element_count(root, "loading"), i = 0;
    if (!count)
        return;
    holder *by_space = reader_new(r, s->space_count, sizeof *by_space);
    s->loadings = reader_new(r, count, sizeof *s->loadings);
    if (!s->loadings || !by_space)
        return;
    bool any = false;
    for (xmlNode *e = element_first(root, "loading"); e; e = element_next(e, "loading"), i++) {
        read_loading(r, e, i, by_space);
        any = any || s->loadings[i].role != COAMING_INDEX_NONE;
    }
    s->loading_count = count;
    read_index(r, &s->loading_ids, "loading", count, loading_id, loading_line, s->loadings);
    if (any)
        survey_roles(r, element_first(root, "loading"));
}
