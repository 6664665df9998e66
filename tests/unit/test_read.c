/* Loading: faults, lines, merging of logs. The program's own view of bad files is in
 * cli/test_cli.py. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "coaming/record.h"
#include "runner.h"
#include "ships.h"

#define SPACES                                                                                     \
    "<space id=\"a\" name=\"A\"><box x=\"0 5\" y=\"0 5\" z=\"0 3\"/></space>"                      \
    "<space id=\"b\" name=\"B\"><box x=\"5 9\" y=\"0 5\" z=\"0 3\"/></space>"
#define CLEAR "<clear x=\"5\" y=\"2\" z=\"0.3\" width=\"0.7\" height=\"1.7\" lies=\"transverse\"/>"
#define CLOSURE(more, inside)                                                                      \
    "<closure id=\"D1\" kind=\"door\" between=\"a b\" rating=\"watertight\"" more ">" CLEAR inside \
    "</closure>"
#define LOG(entries)                                                                               \
    "<test-log xmlns=\"urn:coaming:test-log:1\" arrangement=\"Test\">" entries "</test-log>"
#define TEST(date, result)                                                                         \
    "<test closure=\"D1\" date=\"" date "\" method=\"chalk\" result=\"" result "\"/>"
#define REPAIR(date) "<repair closure=\"D1\" date=\"" date "\" action=\"dogs\"/>"

#define PUMP(more)            "<pump id=\"P\" space=\"a\" capacity=\"60\" " more "/>"
#define FAN(more)             "<fan id=\"F\" supplies=\"a\" " more "/>"
#define LOADING(more, inside) "<loading id=\"L\" kg=\"1\" " more ">" inside "</loading>"

static coaming_ship *load(const char *parts, const char *log)
{
    char *text = arrangement_with(parts);
    coaming_ship *s = NULL;
    coaming_error error;
    coaming_status status = ship_from_text(text, log, NULL, &s, &error);
    ck_assert_msg(status == COAMING_OK, "%s", status ? error.message : "");
    free(text);
    return s;
}

static void last_result_is(const char *inside, const char *log, coaming_result result,
                           const char *date)
{
    char parts[2000], shown[COAMING_DATE_TEXT];
    snprintf(parts, sizeof parts,
             SPACES "<closure id=\"D1\" kind=\"door\" between=\"a b\" rating=\"watertight\">" CLEAR
                    "%s</closure>",
             inside);
    coaming_ship *s = load(parts, log);
    ck_assert_int_eq(coaming_closure_result(s, 0), result);
    ck_assert_str_eq(coaming_date_format(coaming_closure_tested(s, 0), shown), date);
    coaming_ship_free(s);
}

#define OWN(date, result) "<test date=\"" date "\" method=\"chalk\" result=\"" result "\"/>"

START_TEST(what_the_answers_number_can_be_counted_and_named)
{
    coaming_ship *s =
        load("<deck id=\"1\" name=\"Main\" z=\"3\"/><deck id=\"2\" z=\"0\"/>" SPACES CLOSURE(
                 "", "") "<passage id=\"P1\" name=\"Arch\" kind=\"arch\" "
                         "between=\"a b\"/><passage id=\"P2\" "
                         "kind=\"arch\" between=\"a b\"/>",
             NULL);
    ck_assert_uint_eq(coaming_space_count(s), 2);
    ck_assert_uint_eq(coaming_closure_count(s), 1);
    ck_assert_uint_eq(coaming_passage_count(s), 2);
    ck_assert_uint_eq(coaming_deck_count(s), 2);
    ck_assert_uint_eq(coaming_condition_count(s), 2);
    ck_assert_str_eq(coaming_deck_id(s, 0), "1");
    ck_assert_str_eq(coaming_deck_name(s, 0), "Main");
    ck_assert_str_eq(coaming_deck_name(s, 1), "2");
    ck_assert_str_eq(coaming_condition_id(s, 1), "port");
    ck_assert_str_eq(coaming_condition_name(s, 0), "sea");
    ck_assert_str_eq(coaming_passage_id(s, 1), "P2");
    ck_assert_str_eq(coaming_passage_name(s, 0), "Arch");
    ck_assert_str_eq(coaming_passage_name(s, 1), "P2");
    for (int i = 0; i < 3; i++) { /* links: the closures, then the passages */
        ck_assert_str_eq(coaming_link_id(s, i), i ? coaming_passage_id(s, i - 1) : "D1");
        ck_assert_str_eq(coaming_link_name(s, i),
                         i ? coaming_passage_name(s, i - 1) : coaming_closure_name(s, 0));
    }
    int found = -1;
    for (int d = 0; d < 2; d++) {
        ck_assert_int_eq(coaming_find_deck(s, coaming_deck_id(s, d), &found, NULL), COAMING_OK);
        ck_assert_int_eq(found, d);
        ck_assert_int_eq(coaming_find_condition(s, coaming_condition_id(s, d), &found, NULL),
                         COAMING_OK);
        ck_assert_int_eq(found, d);
    }
    coaming_ship_free(s);
}
END_TEST

START_TEST(options_begin_with_what_their_makers_give)
{
    coaming_load_options load = coaming_load_options_default();
    ck_assert(!load.logs && load.log_count == 0);
    ck_assert_int_eq(load.as_of, coaming_date_today());
    ck_assert_int_eq(load.today, load.as_of);

    coaming_import_options import = coaming_import_options_default();
    coaming_import *made = NULL;
    coaming_faults *faults = coaming_faults_new();
    ck_assert(isnan(import.kg) && !import.passages && !import.feet && !import.framed);
    ck_assert_int_eq(import.dates, COAMING_DATES_ISO);
    ck_assert_int_eq(import.latest, coaming_date_today());
    ck_assert_int_eq(coaming_import_new(&import, faults, &made, NULL), COAMING_USAGE);
    import.spaces = import.closures = "not-there.csv";
    ck_assert_int_eq(coaming_import_new(&import, faults, &made, NULL), COAMING_USAGE); /* no name */
    ck_assert_ptr_null(made);
    coaming_faults_free(faults);
}
END_TEST

/* A test, its date not said yet. */
static coaming_entry entry_of(const char *closure, const char *method, const char *result)
{
    coaming_entry entry = coaming_entry_default();
    entry.closure = closure;
    entry.method = method;
    entry.result = result;
    return entry;
}

/* Nothing is taken for the day of an entry. */
START_TEST(an_entry_by_default_lacks_its_date_and_nothing_that_need_not_be_said)
{
    coaming_record *record = coaming_record_new(coaming_date_today());
    coaming_faults *faults = coaming_faults_new();
    coaming_entry entry = entry_of("D1", "chalk", "pass");
    ck_assert_int_eq(coaming_record_add(record, &entry, "here", 1, faults, NULL), COAMING_INPUT);
    ck_assert_uint_eq(coaming_faults_count(faults), 1);
    ck_assert_str_eq(coaming_faults_get(faults, 0)->message, "the date is missing");
    entry.date = coaming_date_today();
    ck_assert_int_eq(coaming_record_add(record, &entry, "here", 1, faults, NULL), COAMING_OK);

    coaming_sheet sheet = coaming_sheet_default();
    ck_assert(!sheet.path && !sheet.by && !sheet.method && sheet.date == COAMING_NO_DATE);
    ck_assert_int_eq(sheet.dates, COAMING_DATES_ISO);
    coaming_faults_free(faults);
    coaming_record_free(record);
}
END_TEST

/* Each is told once, not once for each before it, which would grow with the square of the file. */
START_TEST(what_is_given_again_and_again_is_one_fault_each)
{
    static const char *const given[] = {
        "<ageing kind=\"door\" eta-years=\"8\" beta=\"2\"/>",
        "<method name=\"chalk\" sensitivity=\"0.9\" specificity=\"0.9\"/>",
        "<repairing action=\"dogs\" success=\"0.5\"/>",
        "<interval kind=\"door\" method=\"chalk\" days=\"30\"/>"};
    enum { TIMES = 100 };
    const char *one = given[_i];
    char *parts = calloc(TIMES + 1, strlen(one) + sizeof SPACES), *at = parts;
    for (int i = 0; i < TIMES; i++)
        at += sprintf(at, "%s", one);
    sprintf(at, SPACES);
    char *text = arrangement_with(parts);
    coaming_faults *faults = coaming_faults_new();
    coaming_ship *s = NULL;
    ck_assert_int_eq(ship_from_text(text, NULL, faults, &s, NULL), COAMING_INPUT);
    ck_assert_uint_eq(coaming_faults_error_count(faults), TIMES - 1);
    coaming_faults_free(faults);
    free(text);
    free(parts);
}
END_TEST

/* A log of the ship of this file with one test of D1 that has so many gaps. */
static void write_gaps(const char *path, int count)
{
    FILE *out = fopen(path, "w");
    fprintf(out, "<test-log xmlns=\"urn:coaming:test-log:1\" arrangement=\"Test\">\n<test "
                 "closure=\"D1\" date=\"2026-01-01\" method=\"chalk\" result=\"fail\">");
    for (int i = 0; i < count; i++)
        fprintf(out, "<gap at=\"%g\" length=\"0.0001\"/>", 4.0 * i / count);
    fputs("</test>\n</test-log>\n", out);
    fclose(out);
}

/* The same, as record is given it: the last entry of the log. */
static char *gaps_of(int count)
{
    char *text = calloc((size_t)count, 32), *at = text;
    for (int i = 0; i < count; i++)
        at += sprintf(at, "%s%g:0.0001", i ? " " : "", 4.0 * i / count);
    return text;
}

/* What is got of a record stays what it was, however many entries come after it, in the ship's unit once that is known. */
START_TEST(what_a_record_gives_stays)
{
    coaming_ship *ship = ship_from_tree("examples/barge.xml");
    coaming_record *record = coaming_record_new(coaming_date_today());
    coaming_faults *faults = coaming_faults_new();
    coaming_entry entry = entry_of("D1", "hose", "pass");
    entry.set = "3mm";
    entry.hinge_play = "1mm";
    ck_assert(coaming_date_parse("2026-01-01", &entry.date));
    ck_assert_int_eq(coaming_record_add(record, &entry, "here", 1, faults, NULL), COAMING_OK);
    ck_assert_int_eq(coaming_record_check(record, "/tmp/no-log", ship, false, faults, NULL),
                     COAMING_OK);
    const char *set = coaming_record_get(record, 0)->set;
    ck_assert_str_eq(set, "0.003");
    for (int i = 0; i < 300; i++) {
        char more[20];
        snprintf(more, sizeof more, "%dmm", i % 20 + 4);
        entry.closure = i % 2 ? "D2" : "H2";
        entry.set = more;
        ck_assert_int_eq(coaming_record_add(record, &entry, "here", 1, faults, NULL), COAMING_OK);
    }
    ck_assert_ptr_eq(coaming_record_get(record, 0)->set, set);
    ck_assert_str_eq(set, "0.003");
    coaming_faults_free(faults);
    coaming_record_free(record);
    coaming_ship_free(ship);
}
END_TEST

/* Gaps are put together once, not anew for each: pieces of memory do not grow with their number. That
 * all of them are seen shows where the same entry is refused, and one without the last gap is not. */
START_TEST(an_entry_with_thousands_of_gaps_costs_a_few_pieces_of_memory)
{
    enum { GAPS = 10000 };
    char log[] = "/tmp/coaming-gaps-XXXXXX", *gaps = gaps_of(GAPS);
    fclose(fdopen(mkstemp(log), "w"));
    for (int lacks = 1; lacks >= 0; lacks--) { /* first all, which changes nothing */
        coaming_record *record = coaming_record_new(coaming_date_today());
        coaming_faults *faults = coaming_faults_new();
        coaming_entry entry = coaming_entry_default();
        write_gaps(log, lacks ? GAPS : GAPS - 1);
        entry.closure = "D1";
        entry.method = "chalk";
        entry.result = "fail";
        entry.gaps = gaps;
        ck_assert(coaming_date_parse("2026-01-01", &entry.date));
        ck_assert_int_eq(coaming_record_add(record, &entry, "here", 1, faults, NULL), COAMING_OK);
        memory_fail_at(0);
        coaming_status status = coaming_record_write(record, log, NULL, false, faults, NULL);
        ck_assert_uint_lt(memory_asked(), 100);
        ck_assert_int_eq(status, lacks ? COAMING_INPUT : COAMING_OK);
        ck_assert_uint_eq(coaming_faults_count(faults), (size_t)lacks);
        coaming_faults_free(faults);
        coaming_record_free(record);
    }
    free(gaps);
    remove(log);
}
END_TEST

START_TEST(the_latest_test_counts_wherever_it_stands)
{
    last_result_is("", NULL, COAMING_UNTESTED, "never");
    last_result_is(OWN("2026-01-02", "pass"), NULL, COAMING_PASS, "2026-01-02");
    last_result_is(OWN("2026-01-02", "fail") OWN("2026-01-01", "pass"), NULL, COAMING_FAIL,
                   "2026-01-02");
    last_result_is(OWN("2026-01-02", "pass"), LOG(TEST("2026-01-01", "fail")), COAMING_PASS,
                   "2026-01-02");
    last_result_is(OWN("2026-01-02", "pass"), LOG(TEST("2026-01-03", "fail")), COAMING_FAIL,
                   "2026-01-03");
}
END_TEST

START_TEST(on_one_date_the_later_entry_counts_and_the_log_comes_after)
{
    last_result_is(OWN("2026-01-02", "fail") OWN("2026-01-02", "pass"), NULL, COAMING_PASS,
                   "2026-01-02");
    last_result_is(OWN("2026-01-02", "pass"), LOG(TEST("2026-01-02", "fail")), COAMING_FAIL,
                   "2026-01-02");
    last_result_is("", LOG(TEST("2026-01-02", "fail") TEST("2026-01-02", "pass")), COAMING_PASS,
                   "2026-01-02");
}
END_TEST

/* A test by any method, the entries in short: "C-" chalk fails, "V+" looked at and passed. The
 * rules are those of the design; sensitivities as assumed: chalk and smoke 0.80, hose 0.90, air
 * 0.95, light 0.60, visual 0.40. */
static void stands(const char *given, const char *entries, coaming_result result,
                   const char *method, int day)
{
    static const char letters[] = "CHAULSV"; /* in the order of METHODS */
    char parts[4000], tests[2000] = "", shown[COAMING_DATE_TEXT], date[COAMING_DATE_TEXT] = "never";
    int number = 0;
    for (const char *e = entries; *e; e += 2) {
        size_t used = strlen(tests);
        snprintf(tests + used, sizeof tests - used,
                 "<test date=\"2026-01-%02d\" method=\"%s\" result=\"%s\"/>", ++number,
                 method_words[strchr(letters, *e) - letters], e[1] == '+' ? "pass" : "fail");
    }
    snprintf(parts, sizeof parts, "%s" SPACES CLOSURE("", "%s"), given, tests);
    coaming_ship *s = load(parts, NULL);
    if (day)
        snprintf(date, sizeof date, "2026-01-%02d", day);
    ck_assert_msg(coaming_closure_result(s, 0) == result, "%s stands as %d", entries,
                  (int)coaming_closure_result(s, 0));
    ck_assert_str_eq(coaming_date_format(coaming_closure_tested(s, 0), shown), date);
    ck_assert_str_eq(method ? method : "", method ? coaming_closure_method(s, 0) : "");
    ck_assert(method || !coaming_closure_method(s, 0));
    coaming_ship_free(s);
}

START_TEST(a_look_clears_no_failed_test)
{
    stands("", "C-V+", COAMING_FAIL, "chalk", 1);
    stands("", "C-V+V+V+", COAMING_FAIL, "chalk", 1);
    stands("", "C-C-V+", COAMING_FAIL, "chalk", 2);
    stands("", "C-V+C+", COAMING_PASS, "chalk", 3);
    stands("", "C-V-", COAMING_FAIL, "chalk", 1); /* it takes more to clear */
    stands("", "C-V-C+", COAMING_PASS, "chalk", 3);
}
END_TEST

START_TEST(a_look_alone_proves_nothing)
{
    stands("", "V+", COAMING_UNTESTED, NULL, 0);
    stands("", "V+V+", COAMING_UNTESTED, NULL, 0);
    stands("", "C+V+", COAMING_PASS, "chalk", 1);
    stands("", "V-", COAMING_FAIL, "visual", 1);
    stands("", "V-V+", COAMING_UNTESTED, NULL, 0);
    stands("", "C+V-V+", COAMING_UNTESTED, NULL, 0); /* no pass since the failure proved it */
    stands("", "V-L+", COAMING_PASS, "light", 2);
}
END_TEST

START_TEST(a_weaker_method_clears_no_failure)
{
    stands("", "C-L+", COAMING_FAIL, "chalk", 1);
    stands("", "C-S+", COAMING_PASS, "smoke", 2); /* no weaker */
    stands("", "A-H+C+", COAMING_FAIL, "air", 1);
    stands("", "A-H+C+U+", COAMING_PASS, "ultrasonic", 4);
    stands("", "H-C-C+", COAMING_FAIL, "hose", 1); /* chalk clears its own failure alone */
    stands("", "H-C-H+", COAMING_PASS, "hose", 3);
    stands("", "H-C-L-H+", COAMING_PASS, "hose", 4);
}
END_TEST

START_TEST(the_arrangement_says_what_proves)
{
    const char *looks = "<method name=\"visual\" sensitivity=\"0.4\" specificity=\"1\" "
                        "proves=\"yes\"/>",
               *chalk = "<method name=\"chalk\" sensitivity=\"0.95\" specificity=\"1\" "
                        "proves=\"no\"/>";
    stands(looks, "V+", COAMING_PASS, "visual", 1);
    stands(looks, "V-V+", COAMING_PASS, "visual", 2);
    stands(looks, "L-V+", COAMING_FAIL, "light", 1); /* it proves, but is weaker */
    stands(chalk, "C+", COAMING_UNTESTED, NULL, 0);
    stands(chalk, "C-C+", COAMING_FAIL, "chalk", 1); /* only a visual failure goes without proof */
    stands(chalk, "C-H+", COAMING_FAIL, "chalk", 1); /* its sensitivity is as given */
    stands(chalk, "C-A+", COAMING_PASS, "air", 2);
    stands(chalk, "V-C+", COAMING_UNTESTED, NULL, 0);
}
END_TEST

START_TEST(a_repair_is_untried_until_a_test_that_counts)
{
    coaming_ship *s =
        load(SPACES CLOSURE("", OWN("2026-01-02", "fail")),
             LOG(REPAIR("2026-01-03") "<test closure=\"D1\" date=\"2026-01-04\" "
                                      "method=\"visual\" result=\"pass\"/>" REPAIR("2026-01-05")));
    ck_assert_int_eq(coaming_closure_result(s, 0), COAMING_FAIL);
    ck_assert_ptr_eq(s->links[0].repair_from, &s->links[0].events[1]);
    ck_assert_ptr_eq(s->links[0].repair_since, &s->links[0].events[3]);
    ck_assert_ptr_eq(s->links[0].looked, &s->links[0].events[2]);
    ck_assert_ptr_eq(s->links[0].decided, &s->links[0].events[0]);
    coaming_ship_free(s);
}
END_TEST

START_TEST(a_repair_leaves_the_last_result_until_a_test)
{
    last_result_is(OWN("2026-01-02", "fail"), LOG(REPAIR("2026-01-03")), COAMING_FAIL,
                   "2026-01-02");
    coaming_ship *s =
        load(SPACES CLOSURE("", OWN("2026-01-02", "fail")), LOG(REPAIR("2026-01-03")));
    ck_assert_ptr_nonnull(s->links[0].repair_since);
    coaming_ship_free(s);
    s = load(SPACES CLOSURE("", OWN("2026-01-02", "fail")),
             LOG(REPAIR("2026-01-03") TEST("2026-01-03", "pass")));
    ck_assert_ptr_null(s->links[0].repair_since);
    ck_assert_int_eq(coaming_closure_result(s, 0), COAMING_PASS);
    coaming_ship_free(s);
}
END_TEST

START_TEST(what_is_left_out_has_its_default)
{
    coaming_ship *s = load(SPACES CLOSURE("", ""), NULL);
    const ship_space *a = &s->spaces[0];
    ck_assert_double_eq(a->permeability, 0.95);
    ck_assert_double_eq(a->people, 0);
    ck_assert_double_eq(a->worth, 1);
    ck_assert(!a->shell && !a->vital && a->deck == -1);
    ck_assert(!a->enclosed && a->walkable && !s->links[0].one_sided);
    ck_assert(s->links[0].always && s->links[0].ever_shut);
    ck_assert_double_eq(s->density, 1.025);
    ck_assert_int_eq(s->links[0].gasket_fitted, COAMING_NO_DATE);
    coaming_ship_free(s);
}
END_TEST

START_TEST(loadings_are_kept_as_they_are_given)
{
    coaming_ship *s =
        load(SPACES "<loading id=\"L1\" draft=\"1.5\" kg=\"2\"/>"
                    "<loading id=\"L2\" name=\"Light\" draft=\"1.2\" trim=\"-0.2\" kg=\"2.1\" "
                    "lcg=\"9\" tcg=\"-0.1\" index=\"light\"><content space=\"b\" fill=\"0.25\" "
                    "density=\"0.86\"/><content space=\"a\" fill=\"1\" density=\"1\"/></loading>",
             NULL);
    ck_assert_uint_eq(coaming_loading_count(s), 2);
    ck_assert_str_eq(coaming_loading_id(s, 0), "L1");
    ck_assert_str_eq(coaming_loading_name(s, 0), "L1");
    ck_assert_str_eq(coaming_loading_name(s, 1), "Light");
    ck_assert_int_eq(coaming_loading_role(s, 0), COAMING_INDEX_NONE);
    ck_assert_int_eq(coaming_loading_role(s, 1), COAMING_INDEX_LIGHT);
    const ship_loading *one = &s->loadings[0], *two = &s->loadings[1];
    ck_assert_double_eq(one->draught, 1.5);
    ck_assert_double_eq(one->trim, 0);
    ck_assert_double_eq(one->kg, 2);
    ck_assert(isnan(one->lcg) && isnan(one->tcg) && one->content_count == 0);
    ck_assert_double_eq(two->trim, -0.2);
    ck_assert_double_eq(two->lcg, 9);
    ck_assert_double_eq(two->tcg, -0.1);
    ck_assert_uint_eq(two->content_count, 2);
    ck_assert_int_eq(two->contents[0].space, 1);
    ck_assert_double_eq(two->contents[0].fill, 0.25);
    ck_assert_double_eq(two->contents[0].density, 0.86);
    ck_assert_int_eq(two->contents[1].space, 0);
    int found = -1;
    coaming_error error;
    ck_assert_int_eq(coaming_find_loading(s, "L2", &found, NULL), COAMING_OK);
    ck_assert_int_eq(found, 1);
    ck_assert_int_eq(coaming_find_loading(s, "L3", &found, &error), COAMING_UNKNOWN);
    ck_assert_ptr_nonnull(strstr(error.message, "loading L3: there is none; the nearest is L"));
    coaming_ship_free(s);
}
END_TEST

START_TEST(pumps_and_fans_are_kept_as_they_are_given)
{
    coaming_ship *s = load(
        SPACES CLOSURE(" remote=\"yes\" power=\"b\" control=\"a\" leak-area=\"0.002\"",
                       "") "<pump id=\"P1\" name=\"Bilge pump\" space=\"b\" capacity=\"90\" "
                           "serves=\" b  a\" power=\"a\" control=\"b\"/>"
                           "<fan id=\"F1\" supplies=\"b\" flow=\"0.5\" pressure=\"50\"/>"
                           "<passage id=\"A\" kind=\"arch\" between=\"a b\">" CLEAR "</passage>"
                           "<pump id=\"P2\" space=\"b\" capacity=\"7.2\" serves=\"a\"/>"
                           "<fan id=\"F2\" name=\"Spare\" supplies=\"a\" flow=\"1e-3\"/>",
        NULL);
    ck_assert_uint_eq(coaming_pump_count(s), 2);
    ck_assert_str_eq(coaming_pump_id(s, 0), "P1");
    ck_assert_str_eq(coaming_pump_name(s, 0), "Bilge pump");
    ck_assert_str_eq(coaming_pump_name(s, 1), "P2");
    ck_assert_int_eq(coaming_pump_space(s, 0), 1);
    ck_assert_double_eq_tol(coaming_pump_capacity(s, 0), 0.025, 1e-15); /* 90 m3 in 3600 s */
    ck_assert_double_eq_tol(coaming_pump_capacity(s, 1), 0.002, 1e-15);
    ck_assert_uint_eq(coaming_pump_serve_count(s, 0), 2);
    ck_assert_int_eq(coaming_pump_serves(s, 0, 0), 1);
    ck_assert_int_eq(coaming_pump_serves(s, 0, 1), 0);
    ck_assert_int_eq(coaming_pump_power(s, 0), 0);
    ck_assert_int_eq(coaming_pump_control(s, 0), 1);
    ck_assert_int_eq(coaming_pump_power(s, 1), -1);
    ck_assert_int_eq(coaming_pump_control(s, 1), -1);
    ck_assert_uint_eq(coaming_fan_count(s), 2);
    ck_assert_str_eq(coaming_fan_id(s, 1), "F2");
    ck_assert_str_eq(coaming_fan_name(s, 0), "F1");
    ck_assert_str_eq(coaming_fan_name(s, 1), "Spare");
    ck_assert_int_eq(coaming_fan_supplies(s, 0), 1);
    ck_assert_double_eq(coaming_fan_flow(s, 0), 0.5);
    ck_assert_double_eq(coaming_fan_pressure(s, 0), 50);
    ck_assert(isnan(coaming_fan_pressure(s, 1)));
    ck_assert(coaming_closure_remote(s, 0) && isnan(coaming_closure_collapse_head(s, 0)));
    ck_assert_int_eq(coaming_closure_power(s, 0), 1);
    ck_assert_int_eq(coaming_closure_control(s, 0), 0);
    ck_assert_double_eq(coaming_closure_leak_area(s, 0), 0.002);
    ck_assert(s->links[1].power == -1 && s->links[1].control == -1);
    int found = -1;
    coaming_error error;
    ck_assert_int_eq(coaming_find_pump(s, "P2", &found, NULL), COAMING_OK);
    ck_assert_int_eq(found, 1);
    ck_assert_int_eq(coaming_find_fan(s, "F2", &found, NULL), COAMING_OK);
    ck_assert_int_eq(coaming_find_pump(s, "P3", &found, &error), COAMING_UNKNOWN);
    ck_assert_ptr_nonnull(strstr(error.message, "pump P3: there is none; the nearest is P"));
    ck_assert_int_eq(coaming_find_fan(s, "G", &found, &error), COAMING_UNKNOWN);
    coaming_ship_free(s);
}
END_TEST

#define DROP(more)                                                                                 \
    "<test closure=\"D1\" date=\"2026-01-02\" method=\"air\" result=\"pass\" "                     \
    "start-pressure=\"2000\" "                                                                     \
    "end-pressure=\"1500\" duration=\"600\" " more "/>"

START_TEST(drops_of_pressure_are_kept_with_the_air_they_are_of)
{
    coaming_ship *s =
        load(SPACES CLOSURE("", ""),
             LOG(DROP("space=\"b\"") TEST("2026-01-03", "pass") DROP("space=\"a\" volume=\"12.5\"")
                     DROP("space=\"a\" note=\"taken back\"") "<undo closure=\"D1\" "
                                                             "date=\"2026-01-03\" of=\"test\" "
                                                             "of-date=\"2026-01-02\"/>"));
    ck_assert_uint_eq(coaming_closure_drop_count(s, 0), 2);
    coaming_drop one = coaming_closure_drop(s, 0, 0), two = coaming_closure_drop(s, 0, 1);
    ck_assert(one.space == 1 && two.space == 0);
    ck_assert(one.start == 2000 && one.end == 1500 && one.duration == 600);
    ck_assert_double_eq_tol(one.volume, 4 * 5 * 3 * 0.95, 1e-9); /* 0.95: where no use is given */
    ck_assert_double_eq(two.volume, 12.5);
    char date[COAMING_DATE_TEXT];
    ck_assert_str_eq(coaming_date_format(one.date, date), "2026-01-02");
    coaming_ship_free(s);
}
END_TEST

static const struct {
    const char *inside, *words;
} wrong_drops[] = {
    {"start-pressure=\"1500\" end-pressure=\"2000\" duration=\"600\" space=\"a\"",
     "cannot end higher than it began"},
    {"end-pressure=\"2000\" duration=\"600\" space=\"a\"", "without start-pressure"},
    {"start-pressure=\"1500\" duration=\"600\" space=\"a\"", "without end-pressure"},
    {"start-pressure=\"1500\" end-pressure=\"1\" space=\"a\"", "without duration"},
    {"start-pressure=\"0\" end-pressure=\"0\" duration=\"600\" space=\"a\"", "start-pressure '0'"},
    {"start-pressure=\"2\" end-pressure=\"-1\" duration=\"600\" space=\"a\"", "end-pressure '-1'"},
    {"start-pressure=\"2\" end-pressure=\"1\" duration=\"0\" space=\"a\"", "duration '0'"},
    {"start-pressure=\"2\" end-pressure=\"1\" duration=\"1\" volume=\"-3\" space=\"a\"",
     "volume '-3'"},
    {"start-pressure=\"2\" end-pressure=\"1\" duration=\"1\"", "which of the two spaces"},
    {"start-pressure=\"2\" end-pressure=\"1\" duration=\"1\" space=\"c\"",
     "space 'c' is not in the file"},
    {"start-pressure=\"2\" end-pressure=\"1\" duration=\"1\" space=\"d\"", "is no side of it"}};

START_TEST(a_drop_that_cannot_be_is_an_error)
{
    char parts[3000];
    for (int by_hose = 0; by_hose < 2; by_hose++) {
        snprintf(parts, sizeof parts,
                 SPACES
                 "<space id=\"d\" name=\"D\"><box x=\"9 10\" y=\"0 5\" z=\"0 3\"/></space>" CLOSURE(
                     "", "<test date=\"2026-01-02\" method=\"%s\" result=\"pass\" %s/>"),
                 by_hose ? "hose" : "air", wrong_drops[_i].inside);
        char *text = arrangement_with(parts);
        coaming_faults *faults = coaming_faults_new();
        coaming_ship *s = NULL;
        ck_assert_int_eq(ship_from_text(text, NULL, faults, &s, NULL), COAMING_INPUT);
        bool found = false, of_air = false;
        for (size_t i = 0; i < coaming_faults_count(faults); i++) {
            const coaming_fault *f = coaming_faults_get(faults, i);
            found = found ||
                    (!strcmp(f->object, "closure D1") && strstr(f->message, wrong_drops[_i].words));
            of_air = of_air || strstr(f->message, "is of a test by air");
        }
        ck_assert_msg(found && of_air == by_hose, "%s", wrong_drops[_i].words);
        coaming_faults_free(faults);
        free(text);
    }
}
END_TEST

START_TEST(a_ship_has_no_pumps_and_fans_unless_it_is_said)
{
    coaming_ship *s = load(SPACES CLOSURE(" collapse-head=\"4.5\"", ""), NULL);
    ck_assert_uint_eq(coaming_pump_count(s), 0);
    ck_assert_uint_eq(coaming_fan_count(s), 0);
    ck_assert_double_eq(coaming_closure_collapse_head(s, 0), 4.5);
    ck_assert(isnan(coaming_closure_leak_area(s, 0)) && !coaming_closure_remote(s, 0));
    ck_assert_int_eq(coaming_closure_power(s, 0), -1);
    ck_assert_int_eq(coaming_closure_control(s, 0), -1);
    coaming_ship_free(s);
}
END_TEST

START_TEST(power_of_what_is_shut_by_hand_alone_is_told)
{
    static const char *const more[] = {" power=\"a\"", " control=\"b\"",
                                       " remote=\"yes\" power=\"a\"", ""};
    for (int i = 0; i < 4; i++) {
        char parts[2000];
        snprintf(parts, sizeof parts,
                 SPACES
                 "<closure id=\"D1\" kind=\"door\" between=\"a b\" rating=\"watertight\"%s>" CLEAR
                 "</closure>",
                 more[i]);
        char *text = arrangement_with(parts);
        coaming_faults *faults = coaming_faults_new();
        coaming_ship *s = NULL;
        size_t told = 0;
        ck_assert_int_eq(ship_from_text(text, NULL, faults, &s, NULL), COAMING_OK);
        for (size_t f = 0; f < coaming_faults_count(faults); f++)
            told += strstr(coaming_faults_get(faults, f)->message, "not remote") != NULL;
        ck_assert_uint_eq(told, i < 2);
        coaming_ship_free(s);
        coaming_faults_free(faults);
        free(text);
    }
}
END_TEST

START_TEST(draughts_of_the_index_that_are_missing_or_out_of_order_are_told)
{
    static const struct {
        double draught[3];
        int warnings;
        const char *words;
    } table[] = {{{2, 1.8, 1.5}, 0, ""},
                 {{2, 2.1, 1.5}, 1, "index partial lies deeper than the one with index deepest"},
                 {{2, 1.8, 1.9}, 1, "index light lies deeper than the one with index partial"},
                 {{0, 1.8, 1.5}, 1, "none has index deepest"},
                 {{2, 0, 2.5}, 2, "index light lies deeper than the one with index deepest"},
                 {{0, 0, 0}, 0, ""}};
    static const char *const roles[] = {"deepest", "partial", "light"};
    for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
        char parts[2000] = SPACES;
        for (int role = 0; role < 3; role++)
            if (table[i].draught[role] > 0)
                snprintf(parts + strlen(parts), sizeof parts - strlen(parts),
                         "<loading id=\"%s\" draft=\"%g\" kg=\"1\" index=\"%s\"/>", roles[role],
                         table[i].draught[role], roles[role]);
        char *text = arrangement_with(parts);
        coaming_faults *faults = coaming_faults_new();
        coaming_ship *s = NULL;
        ck_assert_int_eq(ship_from_text(text, NULL, faults, &s, NULL), COAMING_OK);
        int told = 0;
        bool found = !table[i].warnings;
        for (size_t k = 0; k < coaming_faults_count(faults); k++) {
            const char *message = coaming_faults_get(faults, k)->message;
            told += strstr(message, "index") != NULL;
            found = found || strstr(message, table[i].words);
        }
        ck_assert_int_eq(told, table[i].warnings);
        ck_assert_msg(found, "%s", table[i].words);
        coaming_faults_free(faults);
        coaming_ship_free(s);
        free(text);
    }
}
END_TEST

START_TEST(tanks_and_voids_are_enclosed_unless_it_is_said)
{
    static const char *const attributes[] = {
        "use=\"tank\"",     "use=\"void\"",   "use=\"void\" enclosed=\"no\"", "use=\"stores\"", "",
        "enclosed=\"yes\"", "walkable=\"no\""};
    static const bool enclosed[] = {true, true, false, false, false, true, false};
    for (int i = 0; i < 7; i++) {
        char parts[200];
        snprintf(parts, sizeof parts,
                 "<space id=\"a\" name=\"A\" %s><box x=\"0 5\" y=\"0 5\" z=\"0 3\"/></space>",
                 attributes[i]);
        coaming_ship *s = load(parts, NULL);
        ck_assert(s->spaces[0].enclosed == enclosed[i]);
        ck_assert(s->spaces[0].walkable == (i != 6));
        coaming_ship_free(s);
    }
}
END_TEST

START_TEST(a_closure_is_worked_from_the_side_that_is_named)
{
    static const char *const sides[] = {"b", "both", "a"};
    for (int i = 0; i < 3; i++) {
        char parts[600];
        snprintf(parts, sizeof parts, SPACES CLOSURE("", "<from side=\"%s\"/>"), sides[i]);
        coaming_ship *s = load(parts, NULL);
        ck_assert(s->links[0].one_sided == (i != 1));
        if (i != 1)
            ck_assert_int_eq(s->links[0].from, i ? 0 : 1);
        coaming_ship_free(s);
    }
}
END_TEST

START_TEST(shut_in_names_conditions_and_empty_means_never)
{
    coaming_ship *s = load(SPACES CLOSURE(" shut-in=\"port\"", ""), NULL);
    int sea, port;
    ck_assert_int_eq(coaming_find_condition(s, "sea", &sea, NULL), COAMING_OK);
    ck_assert_int_eq(coaming_find_condition(s, "port", &port, NULL), COAMING_OK);
    ck_assert(!s->links[0].shut_in[sea] && s->links[0].shut_in[port] && s->links[0].ever_shut);
    coaming_ship_free(s);
    s = load(SPACES CLOSURE(" shut-in=\"\"", ""), NULL);
    ck_assert(!s->links[0].ever_shut);
    coaming_ship_free(s);
}
END_TEST

START_TEST(without_clear_the_lowest_edge_is_the_higher_floor_and_that_is_said)
{
    static const char parts[] =
        "<space id=\"a\" name=\"A\"><box x=\"0 5\" y=\"0 5\" z=\"0 3\"/></space>"
        "<space id=\"b\" name=\"B\"><box x=\"5 9\" y=\"0 5\" z=\"1.5 3\"/></space>"
        "<closure id=\"D1\" kind=\"door\" between=\"a b\" rating=\"watertight\"/>";
    char *text = arrangement_with(parts);
    coaming_faults *faults = coaming_faults_new();
    coaming_ship *s = NULL;
    ck_assert_int_eq(ship_from_text(text, NULL, faults, &s, NULL), COAMING_OK);
    ck_assert_uint_eq(coaming_faults_count(faults), 1);
    ck_assert_int_eq(coaming_faults_get(faults, 0)->severity, COAMING_SEVERITY_WARNING);
    ck_assert_double_eq(s->links[0].clear.z, 1.5);
    coaming_faults_free(faults);
    coaming_ship_free(s);
    free(text);
}
END_TEST

/* Each wrong part and words of its message; one error each. */
static const struct {
    const char *parts, *object, *words;
} wrong[] = {
    {SPACES CLOSURE(" colour=\"red\"", ""), "closure D1", "no attribute 'colour'"},
    {SPACES CLOSURE(" hour=\"3\"", ""), "closure D1", "is 'hours' meant?"},
    {SPACES "<closure id=\"D1\" kind=\"door\" between=\"a b\"/>", "closure D1",
     "lacks the attribute 'rating'"},
    {SPACES CLOSURE("", "<hinge/>"), "closure D1", "<hinge> has no place"},
    {SPACES CLOSURE("", "words"), "closure D1", "text in <closure>"},
    {SPACES SPACES, "space a", "already taken at line 5"},
    {SPACES "<passage id=\"P\" kind=\"duct\" between=\"a c\"/>", "passage P", "'c' is no space"},
    {SPACES "<passage id=\"P\" kind=\"duct\" between=\"a a\"/>", "passage P", "to itself"},
    {SPACES "<passage id=\"P\" kind=\"duct\" between=\"a\"/>", "passage P", "must name two places"},
    {SPACES "<passage id=\"P\" kind=\"duct\" between=\"a b sea\"/>", "passage P",
     "must name two places"},
    {SPACES "<passage id=\"P\" kind=\"door\" between=\"a b\"/>", "passage P",
     "kind 'door' is not known"},
    {SPACES CLOSURE(" shut-in=\"see\"", ""), "closure D1", "the nearest is sea"},
    {SPACES CLOSURE("", "<from side=\"weather\"/>"), "closure D1",
     "'weather' is no side of it; it joins a and b"},
    {SPACES CLOSURE("", "<from side=\"c\"/>"), "closure D1", "'c' is no space"},
    {SPACES CLOSURE("", "<from/>"), "closure D1", "lacks the attribute 'side'"},
    {SPACES CLOSURE("", "<from side=\"a\"/><from side=\"a\"/>"), "closure D1", "a second <from>"},
    {SPACES "<passage id=\"P\" kind=\"duct\" between=\"a b\"><from side=\"a\"/></passage>",
     "passage P", "<from> has no place"},
    {"<space id=\"a\" name=\"A\" enclosed=\"maybe\"><box x=\"0 5\" y=\"0 5\" z=\"0 "
     "3\"/></space>",
     "space a", "enclosed"},
    {"<space id=\"a\" name=\"A\" walkable=\"1\"><box x=\"0 5\" y=\"0 5\" z=\"0 3\"/></space>",
     "space a", "walkable"},
    {SPACES CLOSURE(" hours=\"-1\"", ""), "closure D1", "must lie in 0 to"},
    {SPACES CLOSURE(" leak-probability=\"1.5\"", ""), "closure D1", "0 to 1"},
    {SPACES CLOSURE("", OWN("2026-11-02", "pass")), "closure D1", "still to come"},
    {SPACES CLOSURE("", OWN("2026-02-30", "pass")), "closure D1", "not a date"},
    {SPACES CLOSURE("", OWN("2026-02-03", "good")), "closure D1", "result 'good' is not known"},
    {SPACES CLOSURE("", CLEAR), "closure D1", "a second <clear>"},
    {"<space id=\"a\" name=\"A\"/>", "space a", "needs one or more <box>"},
    {"<space id=\"a\" name=\"A\"><box x=\"0 5\" y=\"5 0\" z=\"0 3\"/></space>", "space a",
     "must be less"},
    {"<space id=\"a\" name=\"A\"><box x=\"NaN 5\" y=\"0 5\" z=\"0 3\"/></space>", "space a",
     "not a number"},
    {"<space id=\"a\" name=\"A\"><box x=\"0 1e999\" y=\"0 5\" z=\"0 3\"/></space>", "space a",
     "too large"},
    {"<space id=\"a\" name=\"A\"><box x=\"fr1 fr2\" y=\"0 5\" z=\"0 3\"/></space>", "space a",
     "no <frames"},
    {"<space id=\"a\" name=\"A\"><prism z=\"0 1\" outline=\"0,0 1,1 1,0 0,1\"/></space>", "space a",
     "crosses"},
    {"<space id=\"a\" name=\"A\"><prism z=\"0 1\" outline=\"0,0 1,1\"/></space>", "space a",
     "2 corners"},
    {"<space id=\"a\" name=\"A\"><prism z=\"0 1\" outline=\"0,0 1 1,0\"/></space>", "space a",
     "comma"},
    {"<space id=\"sea\" name=\"A\"><box x=\"0 5\" y=\"0 5\" z=\"0 3\"/></space>", "space sea",
     "names the outside"},
    {"<space id=\"a b\" name=\"A\"><box x=\"0 5\" y=\"0 5\" z=\"0 3\"/></space>", "space a b",
     "no id"},
    {"<space id=\"a\" name=\"A\" permeability=\"-0.5\"><box x=\"0 5\" y=\"0 5\" z=\"0 "
     "3\"/></space>",
     "space a", "0 to 1"},
    {"<space id=\"a\" name=\"A\" deck=\"low\"><box x=\"0 5\" y=\"0 5\" z=\"0 3\"/></space>",
     "space a", "deck 'low' is not in the file"},
    {SPACES "<scenario hazard=\"air\" source=\"sea\"/>", "scenario", "no source of bad air"},
    {SPACES "<scenario hazard=\"air\" source=\"x\"/>", "scenario", "'x' is no space"},
    {SPACES "<ageing kind=\"door\" eta-years=\"0\" beta=\"2\"/>", "ageing", "greater than 0"},
    {SPACES "<loading id=\"L\" kg=\"1\"/>", "loading L", "lacks the attribute 'draft'"},
    {SPACES "<loading id=\"L\" draft=\"1\"/>", "loading L", "lacks the attribute 'kg'"},
    {SPACES LOADING("draft=\"9\"", ""), "loading L", "draft is greater than depth"},
    {SPACES LOADING("draft=\"0\"", ""), "loading L", "draft '0' is out of bounds"},
    {SPACES LOADING("draft=\"1\" index=\"full\"", ""), "loading L",
     "must be deepest, partial or light"},
    {SPACES LOADING("draft=\"1\"", "") LOADING("draft=\"1\"", ""), "loading L",
     "already taken at line 5"},
    {SPACES LOADING("draft=\"1\" index=\"light\"", "") "<loading id=\"M\" kg=\"1\" draft=\"1\" "
                                                       "index=\"light\"/>",
     "loading M", "a second loading with index light; the first is at line 5"},
    {SPACES LOADING("draft=\"1\"", "<content space=\"c\" fill=\"1\" density=\"1\"/>"), "loading L",
     "space 'c' is not in the file"},
    {SPACES LOADING("draft=\"1\"", "<content space=\"sea\" fill=\"1\" density=\"1\"/>"),
     "loading L", "space 'sea' is not in the file"},
    {SPACES LOADING("draft=\"1\"", "<content space=\"a\" fill=\"1.01\" density=\"1\"/>"),
     "loading L", "fill '1.01' is out of bounds; it must lie in 0 to 1"},
    {SPACES LOADING("draft=\"1\"", "<content space=\"a\" fill=\"-0.1\" density=\"1\"/>"),
     "loading L", "fill '-0.1' is out of bounds; it must lie in 0 to 1"},
    {SPACES LOADING("draft=\"1\"", "<content space=\"a\" fill=\"1\" density=\"0\"/>"), "loading L",
     "density must be greater than 0"},
    {SPACES LOADING("draft=\"1\"", "<content space=\"a\" fill=\"1\" density=\"860\"/>"),
     "loading L", "at most 5, in t/m3"},
    {SPACES LOADING("draft=\"1\"", "<content space=\"a\" fill=\"1\"/>"), "loading L",
     "lacks the attribute 'density'"},
    {SPACES LOADING("draft=\"1\"", "<content space=\"a\" fill=\"0\" density=\"1\"/>"
                                   "<content space=\"a\" fill=\"1\" density=\"1\"/>"),
     "loading L", "space 'a' has content already, at line 5"},
    {SPACES "<space id=\"n\" name=\"N\" permeability=\"0\"><box x=\"0 2\" y=\"-2 0\" z=\"0 1\"/>"
            "</space>" LOADING("draft=\"1\"", "<content space=\"n\" fill=\"1\" density=\"1\"/>"),
     "loading L", "space 'n' has no volume"},
    {SPACES PUMP("serves=\"\""), "pump P", "serves names no space"},
    {SPACES PUMP(""), "pump P", "lacks the attribute 'serves'"},
    {SPACES PUMP("serves=\"a c\""), "pump P", "serves: space 'c' is not in the file"},
    {SPACES PUMP("serves=\"sea\""), "pump P", "serves: space 'sea' is not in the file"},
    {SPACES PUMP("serves=\"a b a\""), "pump P", "serves names space 'a' twice"},
    {SPACES PUMP("serves=\"a\" power=\"x\""), "pump P", "power: space 'x' is not in the file"},
    {SPACES PUMP("serves=\"a\" control=\"weather\""), "pump P",
     "control: space 'weather' is not in the file"},
    {SPACES PUMP("serves=\"a\"") PUMP("serves=\"b\""), "pump P", "already taken at line 5"},
    {SPACES "<pump id=\"P\" capacity=\"60\" serves=\"a\"/>", "pump P",
     "lacks the attribute 'space'"},
    {SPACES "<pump id=\"P\" space=\"a\" serves=\"a\"/>", "pump P",
     "lacks the attribute 'capacity'"},
    {SPACES "<pump id=\"P\" space=\"c\" capacity=\"60\" serves=\"a\"/>", "pump P",
     "space: space 'c' is not in the file"},
    {SPACES "<pump id=\"P\" space=\"a\" capacity=\"0\" serves=\"a\"/>", "pump P",
     "capacity '0' is out of bounds; it must be greater than 0"},
    {SPACES "<pump id=\"P\" space=\"a\" capacity=\"-60\" serves=\"a\"/>", "pump P",
     "capacity '-60' is out of bounds; it must be greater than 0"},
    {SPACES "<pump id=\"P\" space=\"a\" capacity=\"INF\" serves=\"a\"/>", "pump P",
     "capacity 'INF'"},
    {SPACES "<pump id=\"P\" space=\"a\" capacity=\"NaN\" serves=\"a\"/>", "pump P",
     "capacity 'NaN'"},
    {SPACES "<pump id=\"P\" space=\"a\" capacity=\"60\" serves=\"a\" flow=\"1\"/>", "pump P",
     "flow"},
    {SPACES FAN("flow=\"0\""), "fan F", "flow '0' is out of bounds; it must be greater than 0"},
    {SPACES FAN("flow=\"-0.5\""), "fan F", "flow '-0.5' is out of bounds"},
    {SPACES FAN("flow=\"1e999\""), "fan F", "flow '1e999'"},
    {SPACES FAN(""), "fan F", "lacks the attribute 'flow'"},
    {SPACES FAN("flow=\"1\" pressure=\"0\""), "fan F",
     "pressure '0' is out of bounds; it must be greater than 0"},
    {SPACES FAN("flow=\"1\"") FAN("flow=\"1\""), "fan F", "already taken at line 5"},
    {SPACES "<fan id=\"F\" supplies=\"sea\" flow=\"1\"/>", "fan F",
     "supplies: space 'sea' is not in the file"},
    {SPACES CLOSURE(" remote=\"yes\" power=\"c\"", ""), "closure D1",
     "power: space 'c' is not in the file"},
    {SPACES CLOSURE(" leak-area=\"-1\"", ""), "closure D1", "leak-area '-1' is out of bounds"},
    {SPACES CLOSURE(" leak-area=\"25\"", ""), "closure D1", "leak-area '25' is out of bounds"},
    {"", "arrangement", "has no <space>"}};

START_TEST(a_wrong_part_is_one_error_at_its_line)
{
    char *text = arrangement_with(wrong[_i].parts);
    coaming_faults *faults = coaming_faults_new();
    coaming_ship *s = NULL;
    coaming_error error;
    ck_assert_int_eq(ship_from_text(text, NULL, faults, &s, &error), COAMING_INPUT);
    ck_assert_ptr_null(s);
    bool found = false;
    for (size_t i = 0; i < coaming_faults_count(faults); i++) {
        const coaming_fault *f = coaming_faults_get(faults, i);
        ck_assert(f->severity == COAMING_SEVERITY_WARNING || f->line == 5 || f->line == 2);
        found =
            found || (!strcmp(f->object, wrong[_i].object) && strstr(f->message, wrong[_i].words));
    }
    ck_assert_msg(found, "%s: %s", wrong[_i].object, wrong[_i].words);
    coaming_faults_free(faults);
    free(text);
}
END_TEST

START_TEST(a_log_of_another_ship_or_closure_is_refused)
{
    static const struct {
        const char *log, *words;
    } table[] = {
        {"<test-log xmlns=\"urn:coaming:test-log:1\" arrangement=\"Other\"/>", "a log of 'Other'"},
        {LOG("<test closure=\"D2\" date=\"2026-01-01\" method=\"chalk\" result=\"pass\"/>"),
         "no closure 'D2'; the nearest is D1"},
        {LOG("<test closure=\"P\" date=\"2026-01-01\" method=\"chalk\" result=\"pass\"/>"),
         "a passage"},
        {LOG("<repair closure=\"D1\" date=\"2026-01-01\" action=\"paint\"/>"), "action 'paint'"},
        {"<log/>", "is not what this file must hold"}};
    for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
        char *text = arrangement_with(SPACES CLOSURE(
            "", "") "<passage id=\"P\" kind=\"duct\" between=\"a b\">" CLEAR "</passage>");
        coaming_faults *faults = coaming_faults_new();
        coaming_ship *s = NULL;
        ck_assert_int_eq(ship_from_text(text, table[i].log, faults, &s, NULL), COAMING_INPUT);
        ck_assert_uint_eq(coaming_faults_error_count(faults), 1);
        ck_assert_msg(strstr(coaming_faults_get(faults, 0)->message, table[i].words), "%s: %s",
                      table[i].words, coaming_faults_get(faults, 0)->message);
        coaming_faults_free(faults);
        free(text);
    }
}
END_TEST

START_TEST(looking_up_finds_or_names_the_nearest)
{
    coaming_ship *s =
        load(SPACES CLOSURE("", "") "<passage id=\"P\" kind=\"duct\" between=\"a b\">" CLEAR
                                    "</passage>",
             NULL);
    coaming_error error;
    int i = -7;
    ck_assert_int_eq(coaming_find_space(s, "b", &i, &error), COAMING_OK);
    ck_assert_int_eq(i, 1);
    ck_assert_int_eq(coaming_find_closure(s, "D7", &i, &error), COAMING_UNKNOWN);
    ck_assert_int_eq(i, 1); /* untouched */
    ck_assert_ptr_nonnull(strstr(error.message, "the nearest is D1"));
    ck_assert_int_eq(coaming_find_closure(s, "P", &i, &error), COAMING_UNKNOWN);
    ck_assert_ptr_nonnull(strstr(error.message, "passage"));
    coaming_ship_free(s);
}
END_TEST

START_TEST(freeing_nothing_is_fine)
{
    coaming_ship_free(NULL);
    coaming_faults_free(NULL);
    coaming_exposure_free(NULL);
    coaming_ranking_free(NULL);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("read");
    TCase *all = tcase_create("all");
    tcase_add_test(all, what_the_answers_number_can_be_counted_and_named);
    tcase_add_test(all, options_begin_with_what_their_makers_give);
    tcase_add_test(all, an_entry_by_default_lacks_its_date_and_nothing_that_need_not_be_said);
    tcase_add_test(all, the_latest_test_counts_wherever_it_stands);
    tcase_add_test(all, on_one_date_the_later_entry_counts_and_the_log_comes_after);
    tcase_add_test(all, a_repair_leaves_the_last_result_until_a_test);
    tcase_add_test(all, a_look_clears_no_failed_test);
    tcase_add_test(all, a_look_alone_proves_nothing);
    tcase_add_test(all, a_weaker_method_clears_no_failure);
    tcase_add_test(all, the_arrangement_says_what_proves);
    tcase_add_test(all, a_repair_is_untried_until_a_test_that_counts);
    tcase_add_test(all, what_is_left_out_has_its_default);
    tcase_add_test(all, loadings_are_kept_as_they_are_given);
    tcase_add_test(all, pumps_and_fans_are_kept_as_they_are_given);
    tcase_add_test(all, drops_of_pressure_are_kept_with_the_air_they_are_of);
    tcase_add_loop_test(all, a_drop_that_cannot_be_is_an_error, 0,
                        sizeof wrong_drops / sizeof *wrong_drops);
    tcase_add_test(all, a_ship_has_no_pumps_and_fans_unless_it_is_said);
    tcase_add_test(all, power_of_what_is_shut_by_hand_alone_is_told);
    tcase_add_test(all, draughts_of_the_index_that_are_missing_or_out_of_order_are_told);
    tcase_add_test(all, tanks_and_voids_are_enclosed_unless_it_is_said);
    tcase_add_test(all, a_closure_is_worked_from_the_side_that_is_named);
    tcase_add_test(all, shut_in_names_conditions_and_empty_means_never);
    tcase_add_test(all, without_clear_the_lowest_edge_is_the_higher_floor_and_that_is_said);
    tcase_add_loop_test(all, a_wrong_part_is_one_error_at_its_line, 0,
                        sizeof wrong / sizeof *wrong);
    tcase_add_test(all, a_log_of_another_ship_or_closure_is_refused);
    tcase_add_test(all, looking_up_finds_or_names_the_nearest);
    tcase_add_loop_test(all, what_is_given_again_and_again_is_one_fault_each, 0, 4);
    tcase_add_test(all, an_entry_with_thousands_of_gaps_costs_a_few_pieces_of_memory);
    tcase_add_test(all, what_a_record_gives_stays);
    tcase_add_test(all, freeing_nothing_is_fine);
    suite_add_tcase(suite, all);
    return run_suite(suite);
}
