/* A share of a survival written down and read back, both ends of the format in one place. */
#include <stdlib.h>
#include <string.h>

#include "base/error.h"
#include "base/file.h"
#include "base/memory.h"
#include "coaming/survival_parts.h"
#include "ship/ship.h"
#include "json/part.h"

static const char PART_FORMAT[] = "coaming/survival-part/1";

coaming_status coaming_print_survival_part(FILE *out, const coaming_ship *ship,
                                           const coaming_survival *survival, coaming_error *error)
{
    json_document d;
    coaming_survival_part part = coaming_survival_get_part(survival);
    json_open(&d, out);
    part_head(&d, PART_FORMAT, ship->name, ship->as_of);
    part_digest(&d, part.digest);
    json_member(&d, "share", json_number(part.share));
    json_member(&d, "shares", json_number(part.shares));
    json_list_open(&d, "numbers");
    for (size_t i = 0; i < part.number_count; i++)
        json_item(&d, json_number(part.numbers[i]));
    json_list_close(&d);
    return json_close(&d, error);
}

static bool take_digest(const cJSON *text, uint64_t *digest)
{
    if (!cJSON_IsString(text) || strlen(text->valuestring) != 16 ||
        strspn(text->valuestring, "0123456789abcdef") != 16)
        return false;
    *digest = strtoull(text->valuestring, NULL, 16);
    return true;
}

static bool take_numbers(const cJSON *list, coaming_survival_part *part)
{
    size_t count = cJSON_IsArray(list) ? (size_t)cJSON_GetArraySize(list) : 0, i = 0;
    double *numbers = memory_new(count, sizeof *numbers);
    const cJSON *item;
    part->numbers = numbers;
    part->number_count = count;
    if (!numbers || !cJSON_IsArray(list))
        return false;
    cJSON_ArrayForEach(item, list)
    {
        if (!cJSON_IsNumber(item))
            return false;
        numbers[i++] = item->valuedouble;
    }
    return true;
}

static bool take_part(const cJSON *root, void *into)
{
    coaming_survival_part *part = into;
    return part_is(root, PART_FORMAT) && take_digest(PART_MEMBER(root, "digest"), &part->digest) &&
           part_take_share(root, &part->share, &part->shares) &&
           take_numbers(PART_MEMBER(root, "numbers"), part);
}

coaming_status coaming_survival_parts_load(const char *const *paths, size_t count,
                                           coaming_survival_part **parts, coaming_error *error)
{
    coaming_survival_part *list = memory_new(count, sizeof *list);
    coaming_status status = COAMING_OK;
    if (!list)
        return error_memory(error);
    for (size_t i = 0; i < count && status == COAMING_OK; i++)
        status = part_read(paths[i], "coaming survival", take_part, &list[i], error);
    for (size_t i = 0; i < count; i++)
        list[i].name = file_shown(paths[i]);
    if (status == COAMING_OK)
        *parts = list;
    else
        coaming_survival_parts_free(list, count);
    return status;
}

void coaming_survival_parts_free(coaming_survival_part *parts, size_t count)
{
    for (size_t i = 0; parts && i < count; i++)
        memory_free((void *)(uintptr_t)parts[i].numbers); /* ours: made by take_numbers */
    memory_free(parts);
}
