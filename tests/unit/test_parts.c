/*
 * Shares of an answer (survival_parts.h, risk_parts.h) that are not as they were written: with any number that
 * cannot be, any that is missing, any member of the file gone or of another type, they are refused.
 */
#include <cjson/cJSON.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "coaming/risk_parts.h"
#include "coaming/survival_parts.h"
#include "runner.h"
#include "ships.h"

/* --- survival --- */

static coaming_survival_options as_built(void)
{
    coaming_survival_options how = coaming_survival_options_default();
    how.expected = false;
    return how;
}

static coaming_status put_together(const coaming_ship *ship, const coaming_survival_part *parts,
                                   size_t count)
{
    const coaming_survival_options how = as_built();
    coaming_survival *survival = NULL;
    coaming_error error;
    coaming_status status =
        coaming_survival_new_from_parts(ship, &how, parts, count, &survival, &error);
    ck_assert((status == COAMING_OK) == (survival != NULL));
    coaming_survival_free(survival);
    return status;
}

static void take_shares(const coaming_ship *ship, coaming_survival *shares[2],
                        coaming_survival_part parts[2])
{
    const coaming_survival_options how = as_built();
    for (unsigned i = 0; i < 2; i++) {
        ck_assert_int_eq(coaming_survival_new_share(ship, &how, i + 1, 2, &shares[i], NULL),
                         COAMING_OK);
        parts[i] = coaming_survival_get_part(shares[i]);
    }
    ck_assert_uint_gt(parts[0].number_count + parts[1].number_count, 20);
    ck_assert_int_eq(put_together(ship, parts, 2), COAMING_OK);
}

/* Each number is a factor, a grade, an id or a count: none is any of these. */
START_TEST(numbers_of_a_survival)
{
    static const double none[] = {-1, 1e18, NAN, -1e-9};
    coaming_ship *ship = ship_from_tree("examples/barge.xml");
    coaming_survival *shares[2];
    coaming_survival_part parts[2];
    take_shares(ship, shares, parts);
    coaming_survival_part *part = &parts[parts[0].number_count ? 0 : 1];
    const coaming_survival_part right = *part;
    double *numbers = calloc(right.number_count + 1, sizeof *numbers);
    memcpy(numbers, right.numbers, right.number_count * sizeof *numbers);
    part->numbers = numbers;
    for (size_t i = 0; i < right.number_count; i++) {
        for (size_t k = 0; k < sizeof none / sizeof *none; k++) {
            numbers[i] = none[k];
            CLAIM(put_together(ship, parts, 2) == COAMING_INPUT, "number %zu as %g", i, none[k]);
        }
        numbers[i] = right.numbers[i];
        part->number_count = i;
        CLAIM(put_together(ship, parts, 2) == COAMING_INPUT, "%zu numbers", i);
        part->number_count = right.number_count;
    }
    ck_assert_int_eq(put_together(ship, parts, 2), COAMING_OK);
    numbers[1] += 0.5; /* the first grade */
    ck_assert_int_eq(put_together(ship, parts, 2), COAMING_INPUT);
    numbers[1] = right.numbers[1];
    part->number_count++;
    ck_assert_int_eq(put_together(ship, parts, 2), COAMING_INPUT);
    free(numbers);
    coaming_survival_free(shares[0]);
    coaming_survival_free(shares[1]);
    coaming_ship_free(ship);
}
END_TEST

START_TEST(shares_of_a_survival)
{
    coaming_ship *ship = ship_from_tree("examples/barge.xml");
    coaming_survival *shares[2], *none = NULL;
    coaming_survival_part parts[2];
    coaming_survival_options how = as_built();
    take_shares(ship, shares, parts);
    for (int i = 0; i < 6; i++) {
        coaming_survival_part wrong[2] = {parts[0], parts[1]};
        wrong[1].share = (const unsigned[]){0, 3, 1, 2, 2, 2}[i];
        wrong[1].shares = (const unsigned[]){2, 2, 2, 3, 0, 2}[i];
        wrong[1].digest ^= i == 5;
        CLAIM(put_together(ship, wrong, 2) == COAMING_INPUT, "%d", i);
    }
    ck_assert_int_eq(put_together(ship, (coaming_survival_part[]){parts[1], parts[0]}, 2),
                     COAMING_OK);
    ck_assert_int_eq(put_together(ship, parts, 1), COAMING_INPUT);
    coaming_survival_part of_none = parts[0];
    of_none.shares = 0;
    ck_assert_int_eq(put_together(ship, &of_none, 1), COAMING_INPUT);
    ck_assert_int_eq(put_together(ship, parts, 0), COAMING_USAGE);
    ck_assert_uint_eq(coaming_survival_way_count(shares[0]), 0); /* none was asked for */
    ck_assert_ptr_null(coaming_survival_way_get(shares[0], 0));
    ck_assert_int_eq(coaming_survival_new_share(ship, &how, 0, 2, &none, NULL), COAMING_USAGE);
    ck_assert_int_eq(coaming_survival_new_share(ship, &how, 3, 2, &none, NULL), COAMING_USAGE);
    for (int i = 0; i < 3; i++) {
        how.within = (const double[]){0, 1.1, NAN}[i];
        ck_assert_int_eq(coaming_survival_new_share(ship, &how, 1, 2, &none, NULL), COAMING_USAGE);
        ck_assert_int_eq(coaming_survival_new(ship, &how, &none, NULL), COAMING_USAGE);
        ck_assert_int_eq(coaming_survival_new_from_parts(ship, &how, parts, 2, &none, NULL),
                         COAMING_USAGE);
    }
    coaming_survival_free(shares[0]);
    coaming_survival_free(shares[1]);
    coaming_ship_free(ship);
}
END_TEST

/* Which deck is her bulkhead deck decides what she survives, so that shares tell by it what they are of. */
START_TEST(bulkhead_decks_of_a_survival)
{
    enum { DECKS = 3 };
    coaming_ship *ship = ship_from_tree("examples/barge.xml");
    const coaming_survival_options how = as_built();
    uint64_t digests[DECKS];
    for (int i = 0; i < DECKS; i++) {
        coaming_survival *share = NULL;
        ship->bulkhead_deck = i - 1; /* the first is of none */
        ck_assert_int_eq(coaming_survival_new_share(ship, &how, 1, 2, &share, NULL), COAMING_OK);
        digests[i] = coaming_survival_get_part(share).digest;
        coaming_survival_free(share);
        for (int k = 0; k < i; k++)
            ck_assert_uint_ne(digests[i], digests[k]);
    }
    coaming_ship_free(ship);
}
END_TEST

/* --- files --- */

typedef coaming_status (*reader)(const char *path);

static coaming_status read_survival(const char *path)
{
    coaming_survival_part *parts = NULL;
    coaming_status status = coaming_survival_parts_load(&path, 1, &parts, NULL);
    ck_assert((status == COAMING_OK) == (parts != NULL));
    coaming_survival_parts_free(parts, 1);
    return status;
}

static coaming_status read_risk(const char *path)
{
    coaming_risk_part *parts = NULL;
    coaming_status status = coaming_risk_parts_load(&path, 1, &parts, NULL);
    ck_assert((status == COAMING_OK) == (parts != NULL));
    coaming_risk_parts_free(parts, 1);
    return status;
}

/* A file of these bytes, and others behind them. */
static coaming_status read_bytes(reader take, const char *text, const char *behind, size_t size)
{
    char path[] = "/tmp/coaming-part-XXXXXX";
    FILE *out = fdopen(mkstemp(path), "w");
    fputs(text, out);
    fwrite(behind, 1, size, out);
    fclose(out);
    coaming_status status = take(path);
    remove(path);
    return status;
}

static coaming_status read_text(reader take, const cJSON *root)
{
    char *text = cJSON_PrintUnformatted(root);
    coaming_status status = read_bytes(take, text, "", 0);
    free(text);
    return status;
}

/* Behind the document only white space of JSON (RFC 8259, 2) may stand. */
static void spoil_end(reader take, const char *text)
{
    static const char *const wrong[] = {"garbage", "\n{}", ",",        "}",
                                        "\v",      "\f",   "\xc2\xa0", "\x01"};
    static const char nul[] = {'\n', '\0'};
    ck_assert_int_eq(read_bytes(take, text, " \t\r\n\n", 5), COAMING_OK);
    ck_assert_int_eq(read_bytes(take, text, "", 0), COAMING_OK);
    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++)
        CLAIM(read_bytes(take, text, wrong[i], strlen(wrong[i])) == COAMING_INPUT, "%zu", i);
    ck_assert_int_eq(read_bytes(take, text, nul, sizeof nul), COAMING_INPUT);
    ck_assert_int_eq(read_bytes(take, text, text, strlen(text)), COAMING_INPUT);
}

/* The members that are read; each gone, and as what it is not. */
static void spoil(reader take, char *text, const char *const members[])
{
    static const char *const others[] = {"null", "true",        "[1, \"x\"]",
                                         "{}",   "\"xyzzy 7\"", "\"\"",
                                         "-1",   "0.5",         "\"0123456789abcdeg\""};
    cJSON *root = cJSON_Parse(text);
    spoil_end(take, text);
    ck_assert_int_eq(read_text(take, root), COAMING_OK);
    for (; *members; members++) {
        cJSON *copy = cJSON_Duplicate(root, true);
        ck_assert_ptr_nonnull(cJSON_GetObjectItemCaseSensitive(copy, *members));
        cJSON_DeleteItemFromObjectCaseSensitive(copy, *members);
        CLAIM(read_text(take, copy) == COAMING_INPUT, "without %s", *members);
        cJSON_AddItemToObject(copy, *members, cJSON_CreateNull());
        for (size_t i = 0; i < sizeof others / sizeof *others; i++) {
            cJSON_ReplaceItemInObjectCaseSensitive(copy, *members, cJSON_Parse(others[i]));
            CLAIM(read_text(take, copy) == COAMING_INPUT, "%s as %s", *members, others[i]);
        }
        cJSON_Delete(copy);
    }
    cJSON_Delete(root);
    free(text);
}

START_TEST(files_of_a_survival)
{
    static const char *const members[] = {"format", "digest", "share", "shares", "numbers", NULL};
    coaming_ship *ship = ship_from_tree("examples/barge.xml");
    const coaming_survival_options how = as_built();
    coaming_survival *share = NULL;
    char *text = NULL;
    size_t size;
    FILE *out = open_memstream(&text, &size);
    ck_assert_int_eq(coaming_survival_new_share(ship, &how, 1, 2, &share, NULL), COAMING_OK);
    ck_assert_int_eq(coaming_print_survival_part(out, ship, share, NULL), COAMING_OK);
    fclose(out);
    spoil(read_survival, text, members);
    coaming_survival_free(share);
    coaming_ship_free(ship);
}
END_TEST

static coaming_risk_part told; /* its numbers, not its sums */

static coaming_status read_told(const char *path)
{
    coaming_risk_part *parts = NULL;
    coaming_status status = coaming_risk_parts_load(&path, 1, &parts, NULL);
    if (status == COAMING_OK)
        told = parts[0];
    coaming_risk_parts_free(parts, 1);
    return status;
}

START_TEST(files_of_a_risk)
{
    static const char *const members[] = {"format", "digest", "seed", "risk", "samples",
                                          "share",  "shares", "sums", NULL};
    coaming_ship *ship = ship_from_tree("examples/barge.xml");
    coaming_risk_options how = coaming_risk_options_default();
    coaming_risk *share = NULL;
    char *text = NULL;
    size_t size;
    FILE *out = open_memstream(&text, &size);
    how.method = COAMING_RISK_SAMPLED;
    how.share = 1;
    how.shares = 2;
    how.samples = 4096;
    how.seed = 1234567890123;
    ck_assert_int_eq(coaming_risk_new(ship, coaming_query_default(), COAMING_MEASURE_WORTH, NULL,
                                      &how, &share, NULL),
                     COAMING_OK);
    ck_assert_int_eq(coaming_print_risk_part(out, ship, share, NULL), COAMING_OK);
    fclose(out);
    const coaming_risk_part part = coaming_risk_get_part(share);
    ck_assert_int_eq(read_bytes(read_told, text, "", 0), COAMING_OK);
    ck_assert(told.digest == part.digest && told.seed == part.seed && told.samples == part.samples);
    ck_assert(told.share == 1 && told.shares == 2 && told.sum_count == part.sum_count);
    spoil(read_risk, text, members);
    coaming_risk_free(share);
    coaming_ship_free(ship);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("parts");
    TCase *all = tcase_create("all");
    tcase_add_test(all, numbers_of_a_survival);
    tcase_add_test(all, shares_of_a_survival);
    tcase_add_test(all, bulkhead_decks_of_a_survival);
    tcase_add_test(all, files_of_a_survival);
    tcase_add_test(all, files_of_a_risk);
    suite_add_tcase(suite, all);
    return run_suite(suite);
}
