#include <math.h>
#include <string.h>

#include "base/text.h"
#include "read/parts.h"

static void read_clear(reader *r, const xmlNode *parent, opening *o)
{
    xmlNode *e = element_only(r, parent, "clear");
    if (!e)
        return;
    fields_check(r, e, COAMING_LIST_PASSAGES, "clear", NULL);
    int lies = 0;
    o->given = true;
    get_along(r, e, "x", &o->x);
    get_length(r, e, "y", -INFINITY, INFINITY, &o->y);
    get_length(r, e, "z", -INFINITY, INFINITY, &o->z);
    get_length(r, e, "width", 0, INFINITY, &o->width);
    get_length(r, e, "height", 0, INFINITY, &o->height);
    get_word(r, e, "lies", attitude_words, &lies);
    o->lies = (attitude)lies;
}

/* Without <clear> the lowest edge is taken where it lets water by soonest: at the higher of the two
 * floors. */
static void assume_clear(reader *r, const xmlNode *e, ship_link *l)
{
    const coaming_ship *s = r->ship;
    if (l->clear.given)
        return;
    double a = l->a >= 0 ? s->spaces[l->a].bottom : -INFINITY;
    double b = l->b >= 0 ? s->spaces[l->b].bottom : -INFINITY;
    l->clear.z = l->a < 0 && l->b < 0 ? 0 : fmax(a, b);
    warning_at(r, e, "no <clear>: the lowest edge is taken at the higher of the two floors");
}

static bool read_between(reader *r, const xmlNode *e, ship_link *l)
{
    const char *text = attribute(r, e, "between");
    if (!text)
        return false;
    char one[WORD_SIZE], two[WORD_SIZE], three[WORD_SIZE];
    const char *rest = text;
    if (!next_word(&rest, "", one, sizeof one) || !next_word(&rest, "", two, sizeof two) ||
        next_word(&rest, "", three, sizeof three)) {
        fault_at(r, e, "between '%s' must name two places with a blank between", BRIEF(text));
        return false;
    }
    bool good = read_place(r, e, "between", one, &l->a);
    good = read_place(r, e, "between", two, &l->b) && good;
    if (good && l->a == l->b) {
        fault_at(r, e, "joins '%s' to itself; a link needs two different places", BRIEF(one));
        good = false;
    }
    if (good && l->a < 0 && l->b < 0)
        warning_at(r, e, "joins the sea to the weather; it can do nothing");
    return good;
}

static void read_shut_in(reader *r, const xmlNode *e, ship_link *l)
{
    const char *text = attribute(r, e, "shut-in");
    l->always = !text;
    l->ever_shut = true;
    if (!text)
        return;
    l->ever_shut = false;
    bool *shut = reader_new(r, r->ship->condition_count, sizeof *shut);
    if (!shut)
        return;
    l->shut_in = shut;
    char word[WORD_SIZE];
    while (next_word(&text, "", word, sizeof word)) {
        int c = id_index_find(&r->ship->condition_ids, word);
        if (c >= 0)
            shut[c] = true;
        else
            fault_at(r, e, "shut-in: condition '%s' is not in the file%s", BRIEF(word),
                     NEAREST(r, &r->ship->condition_ids, word));
        l->ever_shut = true;
    }
}

static void read_dogs(reader *r, const xmlNode *parent, ship_link *l)
{
    static const char *const children[] = {"dog", NULL}, *const of_dog[] = {"at", NULL};
    xmlNode *e = element_only(r, parent, "dogs");
    if (!e)
        return;
    fields_check(r, e, COAMING_LIST_CLOSURES, "dogs", children);
    double count;
    if (get_number(r, e, "count", 0, 1000, &count)) {
        if (count != floor(count))
            fault_at(r, e, "dogs: count must be a whole number");
        l->dog_count = (size_t)count;
    }
    size_t placed = element_count(e, "dog");
    if (!placed)
        return;
    if (attribute(r, e, "count") && placed != l->dog_count)
        fault_at(r, e, "dogs: count says %zu but %zu <dog> are given", l->dog_count, placed);
    double *at = reader_new(r, placed, sizeof *at);
    if (!at)
        return;
    size_t i = 0;
    for (xmlNode *d = element_first(e, "dog"); d; d = element_next(d, "dog")) {
        element_check(r, d, &(element_rule){of_dog, NULL, NULL});
        get_length(r, d, "at", 0, INFINITY, &at[i++]);
    }
    l->dogs = at;
    l->dog_count = placed;
}

/* Where the ends of the gasket meet. */
static void read_joints(reader *r, const xmlNode *e, ship_link *l)
{
    const char *rest = attribute(r, e, "joints");
    double *at = rest ? reader_new(r, JOINTS_MAX, sizeof *at) : NULL;
    char word[WORD_SIZE];
    if (!at)
        return;
    l->gasket_joints = at;
    while (next_word(&rest, "", word, sizeof word)) {
        if (l->gasket_joint_count == JOINTS_MAX) {
            fault_at(r, e, "joints: more than %d places", JOINTS_MAX);
            return;
        }
        if (!parse_length(r, e, "joints", word, &at[l->gasket_joint_count]))
            return;
        if (at[l->gasket_joint_count++] < 0)
            fault_at(r, e, "joints: a place along the gasket is 0 or more");
    }
}

static void read_gasket(reader *r, const xmlNode *parent, ship_link *l)
{
    xmlNode *e = element_only(r, parent, "gasket");
    if (!e)
        return;
    fields_check(r, e, COAMING_LIST_CLOSURES, "gasket", NULL);
    fields_read(r, e, COAMING_LIST_CLOSURES, LINK_GASKET_FITTED, LINK_GASKET_SECTION, l);
    read_joints(r, e, l);
}

/* The side that it is tested and worked from. */
static void read_from(reader *r, const xmlNode *parent, ship_link *l, bool joined)
{
    xmlNode *e = element_only(r, parent, "from");
    if (!e)
        return;
    fields_check(r, e, COAMING_LIST_CLOSURES, "from", NULL);
    const char *side = get_id(r, e, "side");
    if (!side || !strcmp(side, "both") || !read_place(r, e, "from", side, &l->from) || !joined)
        return;
    l->one_sided = true;
    if (l->from != l->a && l->from != l->b)
        fault_at(r, e, "from: '%s' is no side of it; it joins %s and %s", BRIEF(side),
                 BRIEF(coaming_place_id(r->ship, l->a)), BRIEF(coaming_place_id(r->ship, l->b)));
}

static bool read_identity(reader *r, const xmlNode *e, ship_link *l)
{
    const char *id = get_id(r, e, "id"), *name = get_name(r, e, "name");
    l->id = id ? id : "";
    l->name = name ? name : l->id;
    l->line = xml_line(e);
    bool joined = read_between(r, e, l);
    read_clear(r, e, &l->clear);
    if (joined)
        assume_clear(r, e, l);
    return joined;
}

static void read_closure(reader *r, const xmlNode *e, int index)
{
    static const char *const of_test[] = {"gap", NULL};
    ship_link *l = &r->ship->links[index];
    int kind = 0;
    fields_check(r, e, COAMING_LIST_CLOSURES, NULL, NULL);
    fields_begin(COAMING_LIST_CLOSURES, l);
    l->result = COAMING_UNTESTED;
    read_from(r, e, l, read_identity(r, e, l));
    get_word(r, e, "kind", closure_kind_words, &kind);
    l->kind = (link_kind)kind;
    fields_read(r, e, COAMING_LIST_CLOSURES, LINK_RATING, LINK_RATING, l);
    read_shut_in(r, e, l);
    l->power = read_space_of(r, e, "power");
    l->control = read_space_of(r, e, "control");
    fields_read(r, e, COAMING_LIST_CLOSURES, LINK_HOURS, LINK_FITTED, l);
    read_gasket(r, e, l);
    if (l->gasket_fitted != COAMING_NO_DATE && l->gasket_fitted < l->fitted)
        fault_at(r, e, "its gasket was fitted before the closure itself");
    read_dogs(r, e, l);
    for (xmlNode *t = element_first(e, "test"); t; t = element_next(t, "test")) {
        fields_check(r, t, COAMING_LIST_CLOSURES, "test", of_test);
        read_test(r, t, index);
    }
}

static void read_passage(reader *r, const xmlNode *e, ship_link *l)
{
    fields_check(r, e, COAMING_LIST_PASSAGES, NULL, NULL);
    l->passage = true;
    l->power = l->control = -1;
    read_identity(r, e, l);
    int kind = 0;
    get_word(r, e, "kind", passage_kind_words, &kind);
    l->kind = (link_kind)(ARCH + kind);
}

static const char *link_id(const void *list, size_t i)
{
    return ((const ship_link *)list)[i].id;
}

static long link_line(const void *list, size_t i)
{
    return ((const ship_link *)list)[i].line;
}

void read_links(reader *r, const xmlNode *root)
{
    coaming_ship *s = r->ship;
    size_t closures = element_count(root, "closure"), passages = element_count(root, "passage");
    s->links = reader_new(r, closures + passages, sizeof *s->links);
    if (!s->links)
        return;
    s->closure_count = closures;
    s->link_count = closures + passages;
    int i = 0;
    for (xmlNode *e = element_first(root, "closure"); e; e = element_next(e, "closure"))
        read_closure(r, e, i++);
    for (xmlNode *e = element_first(root, "passage"); e; e = element_next(e, "passage"))
        read_passage(r, e, &s->links[i++]);
    read_index(r, &s->link_ids, "closure or passage", s->link_count, link_id, link_line, s->links);
}
