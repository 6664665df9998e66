#include "json/json.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/error.h"
#include "base/memory.h"
#include "base/text.h"
#include "json/written.h"

void json_open(json_document *d, FILE *out)
{
    *d = (json_document){.out = out, .first_member = true, .first_item = true};
    fputs("{", out);
}

void json_open_line(json_document *d, FILE *out)
{
    json_open(d, out);
    d->in_one_line = true;
}

/* Between pieces, where they stand in lines of their own. */
static const char *end_of_line(const json_document *d)
{
    return d->in_one_line ? "" : "\n";
}

void json_open_as(json_document *d, FILE *out, coaming_format format, const sheet_form *form,
                  sheet_names names)
{
    if (format != COAMING_CSV) {
        json_open(d, out);
        return;
    }
    *d = (json_document){.out = out, .form = form, .names = names, .sheet = {out, false}};
    sheet_head(&d->sheet, form);
}

coaming_status json_close(json_document *d, coaming_error *error)
{
    if (!d->form)
        fprintf(d->out, "%s}\n", end_of_line(d));
    memory_free(d->texts);
    d->texts = NULL;
    return d->memory_lost ? error_memory(error) : COAMING_OK;
}

static void write_value(json_document *d, cJSON *value)
{
    char *text = value ? cJSON_PrintUnformatted(value) : NULL;
    if (text)
        json_put_escaped(d->out, text);
    else
        d->memory_lost = true;
    cJSON_free(text);
    cJSON_Delete(value);
}

static void write_key(json_document *d, const char *key)
{
    fprintf(d->out, "%s%s\"%s\":%s", d->first_member ? "" : ",", end_of_line(d), key,
            d->in_one_line ? "" : " ");
    d->first_member = false;
}

void json_member(json_document *d, const char *key, cJSON *value)
{
    if (d->form) {
        d->memory_lost = d->memory_lost || !value;
        cJSON_Delete(value);
        return;
    }
    write_key(d, key);
    write_value(d, value);
}

void json_list_open(json_document *d, const char *key)
{
    d->list = key;
    if (d->form)
        return;
    write_key(d, key);
    fputs("[", d->out);
    d->first_item = true;
}

void json_item(json_document *d, cJSON *value)
{
    if (d->form) {
        if (!value || (sheet_takes(d->form, d->list) &&
                       !sheet_row(&d->sheet, d->form, d->names, d->list, value)))
            d->memory_lost = true;
        cJSON_Delete(value);
        return;
    }
    fprintf(d->out, "%s%s", d->first_item ? "" : ",", end_of_line(d));
    d->first_item = false;
    write_value(d, value);
}

void json_list_close(json_document *d)
{
    if (!d->form)
        fputs("]", d->out);
}

cJSON *json_number(double value)
{
    char text[NUMBER_TEXT];
    return isfinite(value) ? cJSON_CreateRaw(number_format(value, text)) : cJSON_CreateNull();
}

cJSON *json_text(const char *text)
{
    if (!text)
        return cJSON_CreateNull();
    if (text_is_utf8(text))
        return cJSON_CreateString(text);
    size_t size = TEXT_SHOWN * strlen(text) + 2;
    char *clean = memory_new(size, 1);
    if (!clean)
        return NULL;
    text_fit(clean, size, text, size);
    cJSON *value = cJSON_CreateString(clean);
    memory_free(clean);
    return value;
}

cJSON *json_date(coaming_date date)
{
    char text[COAMING_DATE_TEXT];
    return date == COAMING_NO_DATE ? cJSON_CreateNull()
                                   : cJSON_CreateString(coaming_date_format(date, text));
}

cJSON *json_bool(bool value)
{
    return cJSON_CreateBool(value);
}

void json_add(json_document *d, cJSON *object, const char *key, cJSON *value)
{
    if (!object || !value || !cJSON_AddItemToObjectCS(object, key, value)) {
        cJSON_Delete(value);
        d->memory_lost = true;
    }
}

void json_append(json_document *d, cJSON *array, cJSON *value)
{
    if (!array || !value || !cJSON_AddItemToArray(array, value)) {
        cJSON_Delete(value);
        d->memory_lost = true;
    }
}

cJSON *json_object(json_document *d)
{
    cJSON *object = cJSON_CreateObject();
    if (!object)
        d->memory_lost = true;
    return object;
}

cJSON *json_array(json_document *d)
{
    cJSON *array = cJSON_CreateArray();
    if (!array)
        d->memory_lost = true;
    return array;
}

/* --- lists of texts --- */

/* Copies a text that JSON takes as it stands, without its end; 0: it is empty, something is to be
 * escaped, or it has no room. */
static size_t copy_as_it_stands(char *to, size_t room, const char *text)
{
    size_t length = 0;
    for (; text[length]; length++) {
        char c = text[length];
        if (length == room || c < ' ' || c > '~' || c == '"' || c == '\\')
            return 0;
        to[length] = c;
    }
    return length;
}

enum { AROUND = 5 }; /* quotes, a comma, a bracket, the end */

static bool put_in(json_document *d, size_t *used, const char *text, size_t length)
{
    while (d->texts_room - *used < length + AROUND) {
        size_t room = d->texts_room ? 2 * d->texts_room : 1024;
        char *wider = memory_resize(d->texts, room, 1);
        if (!wider)
            return false;
        d->texts = wider;
        d->texts_room = room;
    }
    memcpy(d->texts + *used, text, length);
    *used += length;
    return true;
}

static bool put_text(json_document *d, size_t *used, const char *text)
{
    char *to = d->texts + *used;
    size_t left = d->texts_room - *used, room = left > AROUND ? left - AROUND : 0;
    size_t length = text ? copy_as_it_stands(to + 1, room, text) : 0;
    if (length) {
        to[0] = to[length + 1] = '"';
        *used += length + 2;
        return true;
    }
    cJSON *value = json_text(text);
    char *written = value ? cJSON_PrintUnformatted(value) : NULL;
    bool good = written && put_in(d, used, written, strlen(written));
    cJSON_free(written);
    cJSON_Delete(value);
    return good;
}

static cJSON *in_one_piece(json_document *d, json_text_at *text, const void *of, size_t count)
{
    size_t used = 0;
    bool good = put_in(d, &used, "[", 1);
    for (size_t i = 0; i < count && good; i++) {
        if (i)
            d->texts[used++] = ',';
        good = put_text(d, &used, text(of, i));
    }
    cJSON *list = NULL;
    if (good) {
        memcpy(d->texts + used, "]", 2);
        list = cJSON_CreateRaw(d->texts);
    }
    d->memory_lost = d->memory_lost || !list;
    return list;
}

cJSON *json_texts(json_document *d, json_text_at *text, const void *of, size_t count)
{
    if (d->out && !d->form)
        return in_one_piece(d, text, of, count);
    cJSON *list = json_array(d); /* a sheet takes it apart, and so does whoever has no file */
    for (size_t i = 0; i < count; i++)
        json_append(d, list, json_text(text(of, i)));
    return list;
}

void json_library(coaming_library *library)
{
    *library = (coaming_library){"cJSON", "MIT", "JSON", "", ""};
    snprintf(library->built, sizeof library->built, "%d.%d.%d", CJSON_VERSION_MAJOR,
             CJSON_VERSION_MINOR, CJSON_VERSION_PATCH);
    snprintf(library->running, sizeof library->running, "%s", cJSON_Version());
}
