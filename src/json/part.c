#include "json/part.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/error.h"
#include "base/fault.h"
#include "base/file.h"
#include "base/memory.h"

void part_head(json_document *d, const char *format, const char *ship, coaming_date as_of)
{
    json_member(d, "format", json_text(format));
    json_member(d, "ship", json_text(ship));
    json_member(d, "as_of", json_date(as_of));
}

void part_digest(json_document *d, uint64_t digest)
{
    char text[32];
    snprintf(text, sizeof text, "%016llx", (unsigned long long)digest);
    json_member(d, "digest", json_text(text));
}

bool part_is(const cJSON *root, const char *format)
{
    const cJSON *told = PART_MEMBER(root, "format");
    return cJSON_IsString(told) && !strcmp(told->valuestring, format);
}

bool part_take_count(const cJSON *number, double most, double *value)
{
    if (!cJSON_IsNumber(number) || !(number->valuedouble >= 1) || number->valuedouble > most ||
        floor(number->valuedouble) != number->valuedouble)
        return false;
    *value = number->valuedouble;
    return true;
}

bool part_take_share(const cJSON *root, unsigned *share, unsigned *shares)
{
    double one = 0, of = 0;
    if (!part_take_count(PART_MEMBER(root, "share"), 1e9, &one) ||
        !part_take_count(PART_MEMBER(root, "shares"), 1e9, &of))
        return false;
    *share = (unsigned)one;
    *shares = (unsigned)of;
    return true;
}

/* Bytes that cJSON takes for a document though they are more than one, or none. NULL when out of
 * memory as well. */
static cJSON *document(const char *text, size_t size)
{
    const char *end = NULL;
    if (memchr(text, '\0', size))
        return NULL;
    cJSON *root = cJSON_ParseWithLengthOpts(text, size, &end, 0);
    size_t left = root ? size - (size_t)(end - text) : 0;
    for (; left && strchr(" \t\r\n", *end); left--)
        end++;
    if (!left)
        return root;
    cJSON_Delete(root);
    return NULL;
}

coaming_status part_read(const char *path, const char *command,
                         bool (*take)(const cJSON *root, void *into), void *into,
                         coaming_error *error)
{
    coaming_faults *faults = coaming_faults_new();
    char *text = NULL;
    size_t size = 0;
    if (!faults)
        return error_memory(error);
    coaming_status status = file_read(path, faults, &text, &size, error);
    coaming_faults_free(faults);
    if (status != COAMING_OK)
        return status;
    cJSON *root = document(text, size);
    bool good = root && take(root, into);
    cJSON_Delete(root);
    memory_free(text);
    return good ? COAMING_OK
                : error_set(error, COAMING_INPUT, "%s: is no part that '%s --share' has written",
                            file_shown(path), command);
}
