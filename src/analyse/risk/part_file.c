/* A share of the samples written down and read back, both ends of the format in one place. Whole
 * numbers are hexadecimal text, for JSON has none of 128 bits. */
#include "coaming/risk_parts.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/error.h"
#include "base/file.h"
#include "base/memory.h"
#include "ship/ship.h"
#include "json/part.h"

static const char PART_FORMAT[] = "coaming/risk-part/1";

coaming_status coaming_print_risk_part(FILE *out, const coaming_ship *ship,
                                       const coaming_risk *risk, coaming_error *error)
{
    json_document d;
    coaming_risk_part part = coaming_risk_get_part(risk);
    char text[COAMING_RISK_SUM_TEXT], number[32];
    json_open(&d, out);
    part_head(&d, PART_FORMAT, ship->name, ship->as_of);
    part_digest(&d, part.digest);
    snprintf(number, sizeof number, "%llu", (unsigned long long)part.seed);
    json_member(&d, "seed", json_text(number));
    json_member(&d, "risk", json_text(coaming_risk_method_word(part.method)));
    json_member(&d, "samples", json_number((double)part.samples));
    json_member(&d, "share", json_number(part.share));
    json_member(&d, "shares", json_number(part.shares));
    json_list_open(&d, "sums");
    for (size_t i = 0; i < part.sum_count; i++)
        json_item(&d, json_text(coaming_risk_sum_format(part.sums[i], text)));
    json_list_close(&d);
    return json_close(&d, error);
}

static bool take_unsigned(const cJSON *text, int base, uint64_t *value)
{
    char *end;
    if (!cJSON_IsString(text) || !*text->valuestring ||
        strspn(text->valuestring, "0123456789abcdef") != strlen(text->valuestring))
        return false;
    *value = strtoull(text->valuestring, &end, base);
    return !*end;
}

static bool take_method(const cJSON *text, coaming_risk_method *method)
{
    for (int m = 0; cJSON_IsString(text) && m < COAMING_RISK_METHODS; m++) {
        *method = (coaming_risk_method)m;
        if (!strcmp(text->valuestring, coaming_risk_method_word(*method)))
            return true;
    }
    return false;
}

static bool take_sums(const cJSON *list, coaming_risk_part *part)
{
    size_t count = cJSON_IsArray(list) ? (size_t)cJSON_GetArraySize(list) : 0, i = 0;
    coaming_risk_sum *sums = memory_new(count, sizeof *sums);
    const cJSON *item;
    part->sums = sums;
    part->sum_count = count;
    if (!sums || !cJSON_IsArray(list))
        return false;
    cJSON_ArrayForEach(item, list)
    {
        if (!cJSON_IsString(item) || !coaming_risk_sum_parse(item->valuestring, &sums[i++]))
            return false;
    }
    return true;
}

static bool take_part(const cJSON *root, void *into)
{
    coaming_risk_part *part = into;
    double samples = 0;
    if (!part_is(root, PART_FORMAT) ||
        !take_unsigned(PART_MEMBER(root, "digest"), 16, &part->digest) ||
        !take_unsigned(PART_MEMBER(root, "seed"), 10, &part->seed) ||
        !take_method(PART_MEMBER(root, "risk"), &part->method) ||
        !part_take_count(PART_MEMBER(root, "samples"), 1e15, &samples) ||
        !part_take_share(root, &part->share, &part->shares))
        return false;
    part->samples = (uint64_t)samples;
    return take_sums(PART_MEMBER(root, "sums"), part);
}

coaming_status coaming_risk_parts_load(const char *const *paths, size_t count,
                                       coaming_risk_part **parts, coaming_error *error)
{
    coaming_risk_part *list = memory_new(count, sizeof *list);
    coaming_status status = COAMING_OK;
    if (!list)
        return error_memory(error);
    for (size_t i = 0; i < count && status == COAMING_OK; i++)
        status = part_read(paths[i], "coaming rank", take_part, &list[i], error);
    for (size_t i = 0; i < count; i++)
        list[i].name = file_shown(paths[i]);
    if (status == COAMING_OK)
        *parts = list;
    else
        coaming_risk_parts_free(list, count);
    return status;
}

void coaming_risk_parts_free(coaming_risk_part *parts, size_t count)
{
    for (size_t i = 0; parts && i < count; i++)
        memory_free((void *)(uintptr_t)parts[i].sums); /* ours: made by take_sums */
    memory_free(parts);
}
