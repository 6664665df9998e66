/* Sheets in and out. RFC 4180 (Shafranovich, 2005), section 2, gives the rules of quoting. */
#include <check.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "csv/table.h"
#include "runner.h"
#include "ships.h"

static csv_table *read_text(const char *text, coaming_faults *faults)
{
    char path[] = "/tmp/coaming-csv-XXXXXX";
    int descriptor = mkstemp(path);
    ck_assert(descriptor >= 0);
    FILE *f = fdopen(descriptor, "w");
    fputs(text, f);
    fclose(f);
    csv_table *t = NULL;
    coaming_error error;
    coaming_status status = csv_table_read(path, faults, &t, &error);
    remove(path);
    ck_assert_int_eq(status == COAMING_OK, t != NULL);
    if (!t)
        ck_assert_int_eq(status, COAMING_INPUT);
    return t;
}

static const char *field(const csv_table *t, size_t row, const char *heading)
{
    size_t column = 0;
    while (column < csv_table_columns(t) && strcmp(csv_table_heading(t, column), heading) != 0)
        column++;
    ck_assert_uint_lt(column, csv_table_columns(t));
    return csv_field(csv_table_row(t, row), column);
}

START_TEST(rfc_4180_quoting)
{
    coaming_faults *faults = coaming_faults_new();
    csv_table *t = read_text("id,name,note\r\n1,\"a, b\",\"he said \"\"no\"\"\"\r\n"
                             "2,\"two\r\nlines\",\r\n3,plain,x",
                             faults);
    ck_assert_uint_eq(csv_table_rows(t), 3);
    ck_assert_str_eq(field(t, 0, "name"), "a, b");
    ck_assert_str_eq(field(t, 0, "note"), "he said \"no\"");
    ck_assert_str_eq(field(t, 1, "name"), "two\r\nlines");
    ck_assert_str_eq(field(t, 1, "note"), "");
    ck_assert_str_eq(field(t, 2, "note"), "x");
    ck_assert_int_eq(csv_table_row(t, 0)->line, 2);
    ck_assert_int_eq(csv_table_row(t, 1)->line, 3);
    ck_assert_int_eq(csv_table_row(t, 2)->line, 5);
    csv_table_free(t);
    coaming_faults_free(faults);
}
END_TEST

START_TEST(separators_marks_and_empty_rows)
{
    static const char *const texts[] = {"\xEF\xBB\xBFid;name;\n1;a,b;\n;;\n\n2;c;\n",
                                        "id\tname\n1\ta,b\n2\tc\n", "id,name\n1,\"a,b\"\n2\n"};
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        coaming_faults *faults = coaming_faults_new();
        csv_table *t = read_text(texts[i], faults);
        ck_assert_uint_eq(csv_table_columns(t), 2);
        ck_assert_uint_eq(csv_table_rows(t), 2);
        ck_assert_str_eq(csv_table_heading(t, 0), "id");
        ck_assert_str_eq(field(t, 0, "name"), "a,b");
        ck_assert_str_eq(field(t, 1, "name"), i == 2 ? "" : "c");
        csv_table_free(t);
        coaming_faults_free(faults);
    }
}
END_TEST

START_TEST(every_fault_has_its_line)
{
    static const struct {
        const char *text;
        long line;
    } bad[] = {{"", 0},
               {"\n\n", 0},
               {"id,ID\n1,2\n", 1},
               {"id,name\n1,\"a\" b\n", 2},
               {"id,name\n1,a\n2,\"open\n", 3},
               {"id,name\n1,a,b\n", 2},
               {"id,name\n1,a\n2,\xFF\n", 3}};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        coaming_faults *faults = coaming_faults_new();
        ck_assert_ptr_null(read_text(bad[i].text, faults));
        ck_assert_uint_eq(coaming_faults_error_count(faults), 1);
        ck_assert_int_eq(coaming_faults_get(faults, 0)->line, bad[i].line);
        coaming_faults_free(faults);
    }
}
END_TEST

/* What is written is read back as it was. */
START_TEST(written_and_read_again)
{
    static const char *const texts[] = {"plain",   "a, b",  " blank ",    "\"",   "two\nlines",
                                        "r\r\nn",  "a;b",   "tab\tin it", "",     "caf\xC3\xA9",
                                        "\"\"x\"", "0.125", "=1+1",       "-1e-9"};
    enum { COUNT = sizeof texts / sizeof *texts };
    char *text = NULL, heading[16];
    size_t size = 0;
    csv_writer w = {open_memstream(&text, &size), false};
    for (size_t i = 0; i < COUNT; i++) {
        snprintf(heading, sizeof heading, "h%zu", i);
        csv_text(&w, heading);
    }
    csv_end_row(&w);
    for (size_t i = 0; i < COUNT; i++)
        csv_text(&w, texts[i]);
    csv_end_row(&w);
    fclose(w.out);
    coaming_faults *faults = coaming_faults_new();
    csv_table *t = read_text(text, faults);
    ck_assert_uint_eq(csv_table_rows(t), 1);
    for (size_t i = 0; i < COUNT; i++)
        ck_assert_str_eq(csv_field(csv_table_row(t, 0), i), texts[i]);
    csv_table_free(t);
    coaming_faults_free(faults);
    free(text);
}
END_TEST

/* What stands in the file: nothing that a spreadsheet works out, numbers and ranges as they are. */
START_TEST(formulas_are_marked_and_numbers_are_not)
{
    static const char *const pairs[][2] = {{"=1+1", "'=1+1"},
                                           {"-A1", "'-A1"},
                                           {"@SUM(A1)", "'@SUM(A1)"},
                                           {"+cmd", "'+cmd"},
                                           {"'=x", "''=x"},
                                           {"-1.5", "-1.5"},
                                           {"-1e-09", "-1e-09"},
                                           {"-3 3/0 1/2 4", "-3 3/0 1/2 4"},
                                           {"-", "-"},
                                           {"a=b", "a=b"},
                                           {"\t=1", "<U+0009>=1"},
                                           {"a\xE2\x80\xAEz", "a<U+202E>z"},
                                           {"<U+202E>", "<U+003C>U+202E>"},
                                           {"a\nb", "a<U+000A>b"}};
    for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++) {
        char *text = NULL;
        size_t size = 0;
        csv_writer w = {open_memstream(&text, &size), false};
        csv_text(&w, pairs[i][0]);
        fclose(w.out);
        ck_assert_str_eq(text, pairs[i][1]);
        free(text);
    }
}
END_TEST

START_TEST(memory_that_runs_out_is_told)
{
    size_t failures = 0;
    char path[] = "/tmp/coaming-csv-XXXXXX";
    FILE *f = fdopen(mkstemp(path), "w");
    fputs("id,name\n1,a\n2,b\n", f);
    fclose(f);
    for (size_t n = 1; n < 200; n++) {
        coaming_faults *faults = coaming_faults_new();
        csv_table *t = NULL;
        coaming_error error;
        memory_fail_at(n);
        coaming_status status = csv_table_read(path, faults, &t, &error);
        memory_fail_at(0);
        ck_assert(status == COAMING_OK || status == COAMING_MEMORY);
        failures += status != COAMING_OK;
        csv_table_free(t);
        coaming_faults_free(faults);
        if (status == COAMING_OK)
            break;
    }
    remove(path);
    ck_assert_uint_gt(failures, 5);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("csv");
    TCase *c = tcase_create("sheets");
    tcase_add_test(c, rfc_4180_quoting);
    tcase_add_test(c, separators_marks_and_empty_rows);
    tcase_add_test(c, every_fault_has_its_line);
    tcase_add_test(c, written_and_read_again);
    tcase_add_test(c, formulas_are_marked_and_numbers_are_not);
    tcase_add_test(c, memory_that_runs_out_is_told);
    suite_add_tcase(suite, c);
    return run_suite(suite);
}
