/* Lists of texts in one piece, against the same made value by value. */
#include <check.h>
#include <cjson/cJSON.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "runner.h"
#include "ships.h"
#include "json/json.h"

enum { MOST_TEXTS = 600, LONGEST = 400 };

static const char *text_at(const void *of, size_t i)
{
    return ((const char *const *)of)[i];
}

/* What a document writes of the list. */
static char *written(const char *const *texts, size_t count, bool in_one_piece)
{
    char *text = NULL;
    size_t size;
    FILE *out = open_memstream(&text, &size);
    json_document d;
    json_open(&d, out);
    cJSON *list = in_one_piece ? json_texts(&d, text_at, texts, count) : json_array(&d);
    for (size_t i = 0; !in_one_piece && i < count; i++)
        json_append(&d, list, json_text(texts[i]));
    json_member(&d, "list", list);
    ck_assert_int_eq(json_close(&d, NULL), COAMING_OK);
    fclose(out);
    return text;
}

/* Mostly letters; some with what has to be escaped, some empty, some none at all. */
static char *random_text(dice *d, int longest)
{
    static const char *const odd[] = {"\"", "\\", "\n", "\xc3\xa9", "\x01", "\x7f"};
    int length = dice_below(d, longest), kind = dice_below(d, 9);
    if (kind == 0)
        return NULL;
    char *text = calloc((size_t)length + 4, 1);
    for (int i = 0; i < length; i++)
        text[i] = (char)('a' + dice_below(d, 26));
    if (kind == 1)
        strcat(text, odd[dice_below(d, 6)]);
    return text;
}

/* Of every length, so that the room ends at every place in a text. */
START_TEST(lists_in_one_piece_are_the_same)
{
    dice d = {(uint64_t)_i + 3};
    char *texts[MOST_TEXTS] = {NULL};
    size_t count = (size_t)dice_below(&d, MOST_TEXTS);
    int longest = 1 + dice_below(&d, _i % 2 ? LONGEST : 12);
    for (size_t i = 0; i < count; i++)
        texts[i] = random_text(&d, longest);
    char *plain = written((const char *const *)texts, count, false);
    char *whole = written((const char *const *)texts, count, true);
    ck_assert_str_eq(plain, whole);
    free(plain);
    free(whole);
    for (size_t i = 0; i < count; i++)
        free(texts[i]);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("json");
    TCase *all = tcase_create("lists");
    tcase_add_loop_test(all, lists_in_one_piece_are_the_same, 0, 200);
    suite_add_tcase(suite, all);
    return run_suite(suite);
}
