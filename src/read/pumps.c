/* Pumps and fans, and the spaces that these and remote closures hang on. */
#include <string.h>

#include "base/text.h"
#include "read/parts.h"
#include "ship/state.h"

int read_space_named(reader *r, const xmlNode *e, const char *what, const char *id)
{
    int space = id_index_find(&r->ship->space_ids, id);
    if (space < 0)
        fault_at(r, e, "%s: space '%s' is not in the file%s", what, BRIEF(id),
                 NEAREST(r, &r->ship->space_ids, id));
    return space;
}

int read_space_of(reader *r, const xmlNode *e, const char *name)
{
    const char *id = get_id(r, e, name);
    return id ? read_space_named(r, e, name, id) : -1;
}

static size_t count_words(const char *text)
{
    char word[WORD_SIZE];
    size_t count = 0;
    while (next_word(&text, "", word, sizeof word))
        count++;
    return count;
}

static void read_serves(reader *r, const xmlNode *e, ship_pump *p)
{
    const char *text = attribute(r, e, "serves");
    if (!text) /* which has been told */
        return;
    size_t count = count_words(text);
    int *serves = reader_new(r, count, sizeof *serves);
    char word[WORD_SIZE];
    if (!count)
        fault_at(r, e, "serves names no space: a pump that draws from nowhere pumps nothing");
    if (!serves)
        return;
    p->serves = serves;
    while (next_word(&text, "", word, sizeof word)) {
        int space = read_space_named(r, e, "serves", word);
        if (space >= 0 && is_among(p->serves, p->serve_count, space))
            fault_at(r, e, "serves names space '%s' twice", BRIEF(word));
        else if (space >= 0)
            serves[p->serve_count++] = space;
    }
}

static void read_pump(reader *r, const xmlNode *e, ship_pump *p)
{
    fields_check(r, e, COAMING_LIST_PUMPS, NULL, NULL);
    fields_begin(COAMING_LIST_PUMPS, p);
    const char *id = get_id(r, e, "id"), *name = get_name(r, e, "name");
    p->id = id ? id : "";
    p->name = name ? name : p->id;
    p->line = xml_line(e);
    p->space = read_space_of(r, e, "space");
    fields_read(r, e, COAMING_LIST_PUMPS, PUMP_CAPACITY, PUMP_CAPACITY, p);
    read_serves(r, e, p);
    p->power = read_space_of(r, e, "power");
    p->control = read_space_of(r, e, "control");
}

static void read_fan(reader *r, const xmlNode *e, ship_fan *f)
{
    fields_check(r, e, COAMING_LIST_FANS, NULL, NULL);
    fields_begin(COAMING_LIST_FANS, f);
    const char *id = get_id(r, e, "id"), *name = get_name(r, e, "name");
    f->id = id ? id : "";
    f->name = name ? name : f->id;
    f->line = xml_line(e);
    f->supplies = read_space_of(r, e, "supplies");
    fields_read(r, e, COAMING_LIST_FANS, FAN_FLOW, FAN_PRESSURE, f);
}

static const char *pump_id(const void *list, size_t i)
{
    return ((const ship_pump *)list)[i].id;
}

static long pump_line(const void *list, size_t i)
{
    return ((const ship_pump *)list)[i].line;
}

static const char *fan_id(const void *list, size_t i)
{
    return ((const ship_fan *)list)[i].id;
}

static long fan_line(const void *list, size_t i)
{
    return ((const ship_fan *)list)[i].line;
}

static void read_fans(reader *r, const xmlNode *root)
{
    coaming_ship *s = r->ship;
    size_t count = element_count(root, "fan"), i = 0;
    s->fans = reader_new(r, count, sizeof *s->fans);
    if (!s->fans)
        return;
    for (xmlNode *e = element_first(root, "fan"); e; e = element_next(e, "fan"))
        read_fan(r, e, &s->fans[i++]);
    s->fan_count = count;
    read_index(r, &s->fan_ids, "fan", count, fan_id, fan_line, s->fans);
}

void read_pumps(reader *r, const xmlNode *root)
{
    coaming_ship *s = r->ship;
    size_t count = element_count(root, "pump"), i = 0;
    s->pumps = reader_new(r, count, sizeof *s->pumps);
    if (s->pumps) {
        for (xmlNode *e = element_first(root, "pump"); e; e = element_next(e, "pump"))
            read_pump(r, e, &s->pumps[i++]);
        s->pump_count = count;
        read_index(r, &s->pump_ids, "pump", count, pump_id, pump_line, s->pumps);
    }
    read_fans(r, root);
}
