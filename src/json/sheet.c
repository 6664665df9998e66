/* The rows of a document as lines of comma separated values. */
#include "json/sheet.h"

#include <string.h>

#include "base/error.h"
#include "base/memory.h"
#include "json/written.h"

char *json_words(const cJSON *list)
{
    size_t room = 1, used = 0;
    for (const cJSON *v = list->child; v; v = v->next) {
        bool blank = v->valuestring && strchr(v->valuestring, ' ');
        if (cJSON_IsObject(v) || cJSON_IsArray(v) || blank)
            return json_written(list);
        room += (v->valuestring ? strlen(v->valuestring) : 1) + 1;
    }
    char *words = memory_new(room, 1);
    for (const cJSON *v = list->child; v && words; v = v->next)
        used += (size_t)snprintf(words + used, room - used, "%s%s", used ? " " : "",
                                 v->valuestring ? v->valuestring : "-");
    return words;
}

void sheet_head(csv_writer *w, const sheet_form *form)
{
    for (const char *const *c = form->columns; *c; c++)
        csv_text(w, *c);
    csv_end_row(w);
}

/* The value of a name, or of a name in an object in it: "object_name". */
static const cJSON *find(const cJSON *row, const char *name)
{
    for (const cJSON *v = row ? row->child : NULL; v; v = v->next) {
        size_t size = strlen(v->string);
        if (!strcmp(v->string, name))
            return v;
        if (cJSON_IsObject(v) && !strncmp(v->string, name, size) && name[size] == '_') {
            const cJSON *inner = find(v, name + size + 1);
            if (inner)
                return inner;
        }
    }
    return NULL;
}

static bool put_value(csv_writer *w, const cJSON *value)
{
    bool list = value && cJSON_IsArray(value);
    char *words = list ? json_words(value) : NULL;
    bool good = words || !list;
    if (cJSON_IsBool(value))
        csv_text(w, cJSON_IsTrue(value) ? "yes" : "no");
    else
        csv_text(w, words ? words : value ? value->valuestring : NULL);
    memory_free(words);
    return good;
}

/* One line; item: of the list that is taken apart, or NULL. */
static bool put_line(csv_writer *w, const sheet_form *form, sheet_names names, const char *list,
                     const cJSON *row, const cJSON *item)
{
    size_t prefix = form->each ? strlen(form->each) + 1 : 0;
    bool good = true;
    for (const char *const *c = form->columns; *c; c++) {
        bool inner = form->each && !strncmp(*c, form->each, prefix - 1) && (*c)[prefix - 1] == '_';
        const cJSON *value = inner ? find(item, *c + prefix) : find(row, *c);
        const cJSON *closure = value ? NULL : find(row, "closure");
        if (!value && !strcmp(*c, "table")) {
            csv_text(w, list);
        } else if (!value && !strcmp(*c, "name") && names.find && cJSON_IsString(closure)) {
            csv_text(w, names.find(names.of, closure->valuestring));
        } else {
            good = put_value(w, value) && good;
        }
    }
    csv_end_row(w);
    return good;
}

bool sheet_row(csv_writer *w, const sheet_form *form, sheet_names names, const char *list,
               const cJSON *row)
{
    const cJSON *items = form->each ? find(row, form->each) : NULL;
    if (!items || !items->child)
        return put_line(w, form, names, list, row, NULL);
    bool good = true;
    for (const cJSON *item = items->child; item; item = item->next)
        good = put_line(w, form, names, list, row, item) && good;
    return good;
}

bool sheet_takes(const sheet_form *form, const char *list)
{
    for (const char *const *l = form->lists; *l; l++)
        if (!strcmp(*l, list))
            return true;
    return false;
}
