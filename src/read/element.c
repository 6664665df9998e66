#include "read/element.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "base/text.h"
#include "read/values.h"

/* Faults. */

static void name_object(const xmlNode *element, char *object, size_t size)
{
    const xmlNode *at = element;
    do {
        static const char *const keys[] = {"id", "closure"};
        for (int k = 0; k < 2; k++) {
            xmlAttrPtr a = xmlHasProp(at, (const xmlChar *)keys[k]);
            if (!a || !a->children || !a->children->content)
                continue;
            char id[160];
            text_fit(id, sizeof id, (const char *)a->children->content, 40);
            snprintf(object, size, "%s %s", k ? "closure" : (const char *)at->name, id);
            return;
        }
        at = at->parent;
    } while (at && at->type == XML_ELEMENT_NODE);
    snprintf(object, size, "%s", (const char *)element->name);
}

__attribute__((format(printf, 4, 0))) static void add_fault(reader *r, const xmlNode *element,
                                                            coaming_severity severity,
                                                            const char *format, va_list args)
{
    char object[240], message[512];
    name_object(element, object, sizeof object);
    vsnprintf(message, sizeof message, format, args);
    faults_add(r->faults, severity, r->file, xml_line(element), object, "%s", message);
}

void fault_at(reader *r, const xmlNode *element, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    add_fault(r, element, COAMING_SEVERITY_ERROR, format, args);
    va_end(args);
}

void warning_at(reader *r, const xmlNode *element, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    add_fault(r, element, COAMING_SEVERITY_WARNING, format, args);
    va_end(args);
}

void *reader_new(reader *r, size_t count, size_t size)
{
    void *piece = arena_new(&r->ship->memory, count, size);
    if (!piece)
        r->memory_lost = true;
    return piece;
}

/* Elements. */

bool element_is(const xmlNode *node, const char *name)
{
    return node->type == XML_ELEMENT_NODE && (!name || !strcmp((const char *)node->name, name));
}

static xmlNode *from_here(xmlNode *node, const char *name)
{
    while (node && !element_is(node, name))
        node = node->next;
    return node;
}

xmlNode *element_first(const xmlNode *parent, const char *name)
{
    return from_here(parent->children, name);
}

xmlNode *element_next(const xmlNode *element, const char *name)
{
    return from_here(element->next, name);
}

size_t element_count(const xmlNode *parent, const char *name)
{
    size_t count = 0;
    for (xmlNode *e = element_first(parent, name); e; e = element_next(e, name))
        count++;
    return count;
}

xmlNode *element_only(reader *r, const xmlNode *parent, const char *name)
{
    xmlNode *first = element_first(parent, name);
    for (xmlNode *e = first ? element_next(first, name) : NULL; e; e = element_next(e, name))
        fault_at(r, e, "a second <%s>; one is enough (the first is at line %ld)", name,
                 xml_line(first));
    return first;
}

static bool listed(const char *const *list, const char *name)
{
    for (; list && *list; list++)
        if (!strcmp(*list, name))
            return true;
    return false;
}

static const char *nth(const void *list, size_t i)
{
    return ((const char *const *)list)[i];
}

/* The likeliest meant of two lists; NULL if none is near. */
static const char *meant(const char *const *one, const char *const *two, const char *name)
{
    const char *all[64];
    size_t count = 0;
    for (int l = 0; l < 2; l++)
        for (const char *const *w = l ? two : one; w && *w && count < 64; w++)
            all[count++] = *w;
    return text_nearest(name, nth, all, count);
}

void element_check_attributes(reader *r, const xmlNode *element, const element_rule *rule)
{
    for (xmlAttrPtr a = element->properties; a; a = a->next) {
        const char *name = (const char *)a->name;
        if (!a->ns && (listed(rule->required, name) || listed(rule->optional, name)))
            continue;
        const char *near = meant(rule->required, rule->optional, name);
        fault_at(r, element, "<%s> has no attribute '%s'%s%s%s", element->name, BRIEF(name),
                 near ? "; is '" : "", near ? near : "", near ? "' meant?" : "");
    }
    for (const char *const *name = rule->required; name && *name; name++)
        if (!xmlHasProp(element, (const xmlChar *)*name))
            fault_at(r, element, "<%s> lacks the attribute '%s'", element->name, *name);
}

void element_check_children(reader *r, const xmlNode *element, const element_rule *rule)
{
    for (const xmlNode *n = element->children; n; n = n->next) {
        if ((n->type == XML_TEXT_NODE || n->type == XML_CDATA_SECTION_NODE) && !xmlIsBlankNode(n)) {
            char shown[64];
            text_fit(shown, sizeof shown,
                     (const char *)n->content + strspn((const char *)n->content, " \t\r\n"), 15);
            fault_at(r, element, "text in <%s> is not expected: '%s'", element->name, shown);
        }
        if (n->type != XML_ELEMENT_NODE)
            continue;
        bool own = n->ns && element->ns && xmlStrEqual(n->ns->href, element->ns->href);
        if (own && listed(rule->children, (const char *)n->name))
            continue;
        const char *near = meant(rule->children, NULL, (const char *)n->name);
        fault_at(r, n, "<%s> has no place in <%s>%s%s%s", BRIEF(n->name), element->name,
                 near ? "; is <" : "", near ? near : "", near ? "> meant?" : "");
    }
}

void element_check(reader *r, const xmlNode *element, const element_rule *rule)
{
    element_check_attributes(r, element, rule);
    element_check_children(r, element, rule);
}

/* Attributes. */

const char *attribute(reader *r, const xmlNode *element, const char *name)
{
    for (xmlAttrPtr a = element->properties; a; a = a->next) {
        if (a->ns || strcmp((const char *)a->name, name))
            continue;
        if (!a->children)
            return "";
        if (!a->children->next && a->children->type == XML_TEXT_NODE)
            return a->children->content ? (const char *)a->children->content : "";
        xmlChar *joined = xmlNodeListGetString(element->doc, a->children, 1);
        const char *kept = joined ? arena_text(&r->ship->memory, (const char *)joined) : NULL;
        xmlFree(joined);
        if (!kept)
            r->memory_lost = true;
        return kept ? kept : "";
    }
    return NULL;
}

static bool blank(const char *text)
{
    return text[strspn(text, " \t\r\n")] == '\0';
}

typedef bool (*fitness)(const char *text, char why[VALUES_WHY]);

/* Kept with the ship, if it fits. */
static const char *get_fit(reader *r, const xmlNode *element, const char *name, const char *text,
                           fitness fits)
{
    char why[VALUES_WHY];
    if (!fits(text, why)) {
        fault_at(r, element, "%s %s", name, why);
        return NULL;
    }
    char *kept = arena_text(&r->ship->memory, text);
    if (!kept)
        r->memory_lost = true;
    return kept;
}

static const char *get_text(reader *r, const xmlNode *element, const char *name, fitness fits)
{
    const char *text = attribute(r, element, name);
    if (text && !blank(text))
        return get_fit(r, element, name, text, fits);
    if (text)
        fault_at(r, element, "%s is empty; leave it out or say something", name);
    return NULL;
}

const char *get_name(reader *r, const xmlNode *element, const char *name)
{
    return get_text(r, element, name, values_name);
}

const char *get_note(reader *r, const xmlNode *element, const char *name)
{
    return get_text(r, element, name, values_note);
}

const char *get_id(reader *r, const xmlNode *element, const char *name)
{
    const char *text = attribute(r, element, name);
    return text ? get_fit(r, element, name, text, values_id) : NULL;
}

/* How the values of this file are written. */
static values_reading reading(const reader *r)
{
    return (values_reading){.exact = true,
                            .unit = r->unit,
                            .framed = r->ship->frames.given,
                            .zero = r->ship->frames.zero,
                            .spacing = r->ship->frames.spacing,
                            .unframed = "the file has no <frames spacing=...>",
                            .latest = r->latest};
}

/* Reports why a value cannot be read, unless it can. */
static bool told(reader *r, const xmlNode *element, const char *name, bool good, const char *why)
{
    if (!good)
        fault_at(r, element, "%s %s", name, why);
    return good;
}

bool get_bounded(reader *r, const xmlNode *element, const char *name, bool length,
                 const values_bounds *bounds, double *value)
{
    values_reading how = reading(r);
    values_place place;
    char why[VALUES_WHY];
    const char *text = attribute(r, element, name);
    if (!text)
        return false;
    bool good = length ? values_length(&how, text, bounds, &place, why)
                       : values_number(text, bounds, &place.metres, why);
    if (good)
        *value = place.metres;
    return told(r, element, name, good, why);
}

bool get_number(reader *r, const xmlNode *element, const char *name, double least, double greatest,
                double *value)
{
    return get_bounded(r, element, name, false, &(values_bounds){least, greatest, false}, value);
}

bool get_length(reader *r, const xmlNode *element, const char *name, double least, double greatest,
                double *value)
{
    return get_bounded(r, element, name, true, &(values_bounds){least, greatest, false}, value);
}

bool parse_length(reader *r, const xmlNode *element, const char *name, const char *text,
                  double *value)
{
    static const values_bounds any = {-INFINITY, INFINITY, false};
    values_reading how = reading(r);
    values_place place;
    char why[VALUES_WHY];
    bool good = values_length(&how, text, &any, &place, why);
    if (good)
        *value = place.metres;
    return told(r, element, name, good, why);
}

bool parse_along(reader *r, const xmlNode *element, const char *name, const char *text,
                 double *value)
{
    values_reading how = reading(r);
    values_place place;
    char why[VALUES_WHY];
    bool good = values_along(&how, text, &place, why);
    if (good)
        *value = place.metres;
    return told(r, element, name, good, why);
}

bool get_along(reader *r, const xmlNode *element, const char *name, double *value)
{
    const char *text = attribute(r, element, name);
    char word[WORD_SIZE];
    if (!text)
        return false;
    const char *rest = text;
    if (!next_word(&rest, "", word, sizeof word) || !blank(rest)) {
        fault_at(r, element, "%s '%s' is not one number", name, BRIEF(text));
        return false;
    }
    return parse_along(r, element, name, word, value);
}

typedef bool (*parser)(reader *, const xmlNode *, const char *, const char *, double *);

static bool get_pair(reader *r, const xmlNode *element, const char *name, parser parse,
                     double pair[2])
{
    const char *text = attribute(r, element, name);
    char one[WORD_SIZE], two[WORD_SIZE], why[VALUES_WHY];
    if (!text || !told(r, element, name, values_two(text, one, two, why), why))
        return false;
    double low, high;
    bool good = parse(r, element, name, one, &low);
    good = parse(r, element, name, two, &high) && good;
    if (!good || !told(r, element, name, values_rise(low, high, text, why), why))
        return false;
    pair[0] = low;
    pair[1] = high;
    return true;
}

bool get_alongs(reader *r, const xmlNode *element, const char *name, double pair[2])
{
    return get_pair(r, element, name, parse_along, pair);
}

bool get_lengths(reader *r, const xmlNode *element, const char *name, double pair[2])
{
    return get_pair(r, element, name, parse_length, pair);
}

bool get_word(reader *r, const xmlNode *element, const char *name, const char *const *words,
              int *index)
{
    values_reading how = reading(r);
    char why[VALUES_WHY];
    const char *text = attribute(r, element, name);
    if (!text)
        return false;
    int known = values_one_of(&how, text, words, why);
    if (known >= 0)
        *index = known;
    return told(r, element, name, known >= 0, why);
}

bool get_yes_no(reader *r, const xmlNode *element, const char *name, bool *value)
{
    values_reading how = reading(r);
    char why[VALUES_WHY];
    const char *text = attribute(r, element, name);
    return text && told(r, element, name, values_yes_no(&how, text, value, why), why);
}

bool get_date(reader *r, const xmlNode *element, const char *name, coaming_date *date)
{
    values_reading how = reading(r);
    char why[VALUES_WHY];
    const char *text = attribute(r, element, name);
    return text && told(r, element, name, values_date(&how, text, date, why), why);
}

const char *nearest(reader *r, const id_index *index, const char *id, char buffer[2 * TEXT_BRIEF])
{
    if (r->suggestions >= SUGGESTIONS_MAX)
        return "";
    r->suggestions++;
    const char *near = id_index_nearest(index, id);
    if (!near)
        return "";
    snprintf(buffer, 2 * TEXT_BRIEF, "; the nearest is %s", BRIEF(near));
    return buffer;
}
