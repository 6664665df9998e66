/* Spaces and links by the rows of their fields. */
#include "ship/fields.h"

#include <string.h>

#include "read/parts.h"

_Static_assert(sizeof(rating) == sizeof(int), "a word's number is read as an int");

enum { NAMES_MAX = LIST_COLUMNS_MAX + 1 };

static bool same(const char *one, const char *two)
{
    return one && two ? !strcmp(one, two) : one == two;
}

static void add_once(const char *names[NAMES_MAX], const char *name)
{
    for (; *names; names++)
        if (!strcmp(*names, name))
            return;
    *names = name;
}

void fields_check(reader *r, const xmlNode *e, coaming_list list, const char *within,
                  const char *const *children)
{
    const char *required[NAMES_MAX] = {NULL}, *optional[NAMES_MAX] = {NULL};
    const char *elements[NAMES_MAX] = {NULL};
    for (int c = 0; c < field_count(list); c++) {
        const ship_field *f = field_of(list, c);
        if (f->element)
            add_once(elements, f->element);
        if (f->attribute && same(f->element, within))
            add_once(f->required ? required : optional, f->attribute);
    }
    element_check(r, e, &(element_rule){required, optional, within ? children : elements});
}

static void read_field(reader *r, const xmlNode *e, const ship_field *f, void *member)
{
    int word = 0;
    const values_bounds bounds = values_field_bounds(f);
    switch (f->kind) {
    case FIELD_LABEL:
    case FIELD_TEXT:
        *(const char **)member = get_name(r, e, f->attribute);
        break;
    case FIELD_WORD:
        get_word(r, e, f->attribute, f->words, &word);
        memcpy(member, &word, sizeof word);
        break;
    case FIELD_YES_NO:
        get_yes_no(r, e, f->attribute, member);
        break;
    case FIELD_DATE:
        get_date(r, e, f->attribute, member);
        break;
    default:
        get_bounded(r, e, f->attribute, f->kind == FIELD_LENGTH, &bounds, member);
    }
}

void fields_read(reader *r, const xmlNode *e, coaming_list list, int first, int last, void *item)
{
    for (int c = first; c <= last; c++) {
        const ship_field *f = field_of(list, c);
        if (f->plain)
            read_field(r, e, f, (char *)item + f->member);
    }
}
