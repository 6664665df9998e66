/* Every allocation of our own is made to fail in turn: the answer is COAMING_MEMORY, never a crash,
 * a wrong answer or a leak (the full tier runs this under sanitizers and valgrind). */
#include <cjson/cJSON.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "graph/graph.h"
#include "runner.h"
#include "ships.h"

static void *counted(size_t size)
{
    return memory_new(size, 1);
}

/* Load, and every way of presenting; the first status that is not COAMING_OK. */
static coaming_status everything(const char *text, const char *log)
{
    coaming_ship *s = NULL;
    coaming_error error;
    coaming_faults *faults = coaming_faults_new();
    if (!faults)
        return COAMING_MEMORY;
    coaming_status status = ship_from_text(text, log, faults, &s, &error);
    FILE *out = fopen("/dev/null", "w");
    coaming_query q = coaming_query_default();
    coaming_style style = {COAMING_TEXT, true, 80};
    const int some[] = {0, 1};
    for (int f = 0; f < 2 && status == COAMING_OK; f++) {
        style.format = f ? COAMING_JSON : COAMING_TEXT;
        status = coaming_print_check(out, style, "ship", s, faults, &error);
        if (status == COAMING_OK)
            status = coaming_print_expose(out, style, s, q, NULL, 0, &error);
        if (status == COAMING_OK)
            status = coaming_print_expose(out, style, s, q, some, 2, &error);
        if (status == COAMING_OK)
            status = coaming_print_rank(out, style, s, q, COAMING_MEASURE_WORTH, 0, &error);
    }
    if (status == COAMING_OK)
        status = coaming_print_export(out, s, q, COAMING_MEASURE_WORTH, &error);
    if (status == COAMING_OK && coaming_ship_floats(s)) {
        q.level.kind = COAMING_LEVEL_EQUILIBRIUM;
        status = coaming_print_expose(out, style, s, q, some, 2, &error);
        if (status == COAMING_OK)
            status = coaming_print_rank(out, style, s, q, COAMING_MEASURE_GM, 0, &error);
        for (int f = 0; f < 2 && status == COAMING_OK; f++) {
            style.format = f ? COAMING_JSON : COAMING_TEXT;
            status = coaming_print_float(out, style, s, COAMING_NO_CONDITION, some, 1, &error);
            if (status == COAMING_OK)
                status = coaming_print_survival(out, style, s, COAMING_NO_CONDITION, &error);
        }
    }
    fclose(out);
    coaming_ship_free(s);
    coaming_faults_free(faults);
    return status;
}

/* A random ship with kg put in, so that she floats. */
static char *floating_arrangement(void)
{
    char *plain = random_arrangement(11, 6, 14), *at = strstr(plain, "draft=\"3\"");
    size_t head = (size_t)(at - plain), size = strlen(plain) + 20;
    char *text = malloc(size);
    snprintf(text, size, "%.*skg=\"4\" %s", (int)head, plain, at);
    free(plain);
    return text;
}

START_TEST(out_of_memory_is_told_at_every_allocation)
{
    char *text = floating_arrangement();
    static const char log[] =
        "<test-log xmlns=\"urn:coaming:test-log:1\" arrangement=\"Test\"></test-log>";
    cJSON_Hooks hooks = {counted, memory_free};
    cJSON_InitHooks(&hooks);
    memory_fail_at(0);
    ck_assert_int_eq(everything(text, log), COAMING_OK);
    size_t all = memory_asked();
    ck_assert_uint_gt(all, 100);
    for (size_t n = 1; n <= all; n += n < 400 ? 1 : 13) {
        memory_fail_at(n);
        ck_assert_msg(everything(text, log) == COAMING_MEMORY, "allocation %zu of %zu", n, all);
        ck_assert_int_eq(graph_left_over(), 0);
    }
    memory_fail_at(0);
    cJSON_InitHooks(NULL);
    free(text);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("memory");
    TCase *all = tcase_create("all");
    tcase_set_timeout(all, 120);
    tcase_add_test(all, out_of_memory_is_told_at_every_allocation);
    suite_add_tcase(suite, all);
    return run_suite(suite);
}
