/* Every allocation of our own is made to fail in turn: the answer is COAMING_MEMORY, never a crash,
 * a wrong answer or a leak (the full tier runs this under sanitizers and valgrind). */
#include <cjson/cJSON.h>
#include <libxml/parser.h>
#include <stdlib.h>
#include <string.h>

#include "analyse/plan/planner.h"
#include "graph/graph.h"
#include "read/xml.h"
#include "runner.h"
#include "ships.h"
#include "starved.h"

static const coaming_format formats[] = {COAMING_TEXT, COAMING_JSON, COAMING_CSV};

/* Rank, and with an exposure the whole document and the graphs, as the program asks them. */
static coaming_status print_ranked(FILE *out, coaming_style style, const coaming_ship *s,
                                   coaming_rank_options how, coaming_exposure *exposure)
{
    double leaks[16];
    coaming_error error;
    coaming_risk *risk = NULL;
    ck_assert_uint_le(coaming_closure_count(s), sizeof leaks / sizeof *leaks);
    coaming_likelihood_all(s, leaks);
    how.leaks = leaks;
    coaming_outset *outset = NULL;
    coaming_status status = coaming_outset_new(s, how.query, &outset, &error);
    how.outset = outset;
    if (status == COAMING_OK)
        status = coaming_ranking_new(s, how.query, how.measure, &how.ranking, &error);
    if (status == COAMING_OK && exposure)
        status = coaming_risk_new(s, how.query, how.measure, NULL, NULL, &risk, &error);
    how.risk = risk;
    if (status == COAMING_OK)
        status = coaming_print_rank(out, style, s, &how, &error);
    if (status == COAMING_OK && exposure)
        status = coaming_print_export(out, s, exposure, &how, &error);
    for (int f = 0; f < 2 && status == COAMING_OK && exposure; f++) {
        style.format = f ? COAMING_DOT : COAMING_GRAPHML;
        status = coaming_print_graph(out, style, s, &how, &error);
    }
    coaming_outset_free(outset);
    coaming_ranking_free(how.ranking);
    coaming_risk_free(risk);
    return status;
}

static coaming_status print_exported(FILE *out, coaming_style style, const coaming_ship *s,
                                     coaming_query q)
{
    coaming_exposure *e = NULL;
    coaming_status status = coaming_exposure_new(s, q, NULL, 0, &e, NULL);
    if (status == COAMING_OK)
        status = print_ranked(out, style, s, (coaming_rank_options){.query = q}, e);
    coaming_exposure_free(e);
    return status;
}

static coaming_status print_exposed(FILE *out, coaming_style style, const coaming_ship *s,
                                    coaming_query q, const int *closures, size_t count)
{
    coaming_exposure *e = NULL;
    coaming_error error;
    coaming_outset *outset = NULL;
    coaming_status status = coaming_exposure_new(s, q, closures, count, &e, &error);
    if (status == COAMING_OK)
        status = coaming_outset_new(s, q, &outset, &error);
    if (status == COAMING_OK)
        status = coaming_print_expose(out, style, outset, e, &error);
    coaming_outset_free(outset);
    coaming_exposure_free(e);
    return status;
}

static coaming_status print_afloat(FILE *out, coaming_style style, const coaming_ship *s,
                                   const int *flooded, size_t count)
{
    coaming_floating *floating = NULL;
    coaming_survival *survival = NULL;
    coaming_outset *outset = NULL;
    coaming_survival_options how = coaming_survival_options_default();
    coaming_query query = coaming_query_default();
    coaming_error error;
    query.level.kind = COAMING_LEVEL_EQUILIBRIUM;
    query.loading = coaming_loading_count(s) ? 0 : COAMING_NO_LOADING;
    coaming_status status = coaming_floating_new(s, query, flooded, count,
                                                 style.format == COAMING_JSON, &floating, &error);
    if (status == COAMING_OK)
        status = coaming_outset_new(s, query, &outset, &error);
    if (status == COAMING_OK)
        status = coaming_print_float(out, style, outset, floating, &error);
    if (status == COAMING_OK)
        status = coaming_survival_new(s, &how, &survival, &error);
    if (status == COAMING_OK)
        status = coaming_print_survival(
            out, style, &(coaming_survival_rows){.outset = outset, .survival = survival}, &error);
    coaming_outset_free(outset);
    coaming_floating_free(floating);
    coaming_survival_free(survival);
    return status;
}

/* A plan by the index; threads: one, so that the same allocation fails each time. */
static coaming_status print_planned(FILE *out, coaming_style style, const coaming_ship *s)
{
    coaming_plan *plan = NULL;
    coaming_outset *outset = NULL;
    coaming_survival_options how = coaming_survival_options_default();
    coaming_query query = coaming_query_default();
    coaming_error error;
    how.work = 60;
    query.level.kind = COAMING_LEVEL_EQUILIBRIUM;
    coaming_status status = plan_survival(s, &how, 9, COAMING_PLAN_EXHAUSTIVE, 1, &plan, &error);
    if (status == COAMING_OK)
        status = coaming_outset_new(s, query, &outset, &error);
    if (status == COAMING_OK)
        status = coaming_print_plan(
            out, style, s,
            &(coaming_plan_answer){.query = query, .outset = outset, .hours = 9, .plan = plan},
            &error);
    coaming_outset_free(outset);
    coaming_plan_free(plan);
    return status;
}

static coaming_status print_past(FILE *out, coaming_style style, const coaming_ship *s, int closure)
{
    coaming_history *history = NULL;
    coaming_error error;
    coaming_status status = coaming_history_new(s, closure, &history, &error);
    if (status == COAMING_OK)
        status = coaming_print_history(out, style, s, closure, history, &error);
    coaming_history_free(history);
    return status;
}

/* Both walks: of what is open, some is got at from inside alone. */
static coaming_status print_boundary(FILE *out, coaming_style style, const coaming_ship *s,
                                     coaming_query q, const int *spaces, size_t count)
{
    coaming_round_options how = coaming_round_options_default();
    coaming_boundary *boundary = NULL;
    coaming_outset *outset = NULL;
    coaming_error error;
    coaming_status status = coaming_boundary_new(s, q, spaces, count, &how, &boundary, &error);
    if (status == COAMING_OK)
        status = coaming_outset_new(s, q, &outset, &error);
    if (status == COAMING_OK)
        status = coaming_print_boundary(out, style, outset, boundary, &error);
    coaming_outset_free(outset);
    coaming_boundary_free(boundary);
    return status;
}

static coaming_status print_casualty(FILE *out, coaming_style style, const coaming_ship *s,
                                     coaming_query q, const int *sources, size_t count)
{
    coaming_casualty *casualty = NULL;
    coaming_outset *outset = NULL;
    coaming_error error;
    coaming_status status =
        coaming_casualty_new(s, q, COAMING_MEASURE_VOLUME, sources, count, &casualty, &error);
    if (status == COAMING_OK)
        status = coaming_outset_new(s, q, &outset, &error);
    if (status == COAMING_OK)
        status = coaming_print_casualty(out, style, outset, casualty, &error);
    coaming_outset_free(outset);
    coaming_casualty_free(casualty);
    return status;
}

/* Two reports, the second of which is answered. */
static coaming_status print_followed(FILE *out, coaming_ship *s, coaming_query q)
{
    static const coaming_seen nothing;
    coaming_follow *follow = NULL;
    coaming_followed told = {.line = 2};
    coaming_casualty *casualty = NULL;
    coaming_outset *outset = NULL;
    coaming_error error;
    const coaming_place source = 0;
    char line[128];
    int size =
        snprintf(line, sizeof line, "{\"t\": 2, \"failed\": \"%s\"}", coaming_closure_id(s, 0));
    coaming_status status = coaming_follow_new(s, &source, 1, &follow, &error);
    for (int i = 0; i < 2 && status == COAMING_OK; i++)
        status = coaming_follow_take(follow, line, (size_t)size, &told.report, &error);
    q.hazard[COAMING_AIR] = false;
    if (status == COAMING_OK)
        status = coaming_casualty_new(s, q, told.measure, &source, 1, &casualty, &error);
    if (status == COAMING_OK)
        status = coaming_outset_new(s, q, &outset, &error);
    told.outset = outset;
    told.of[COAMING_WATER] = casualty;
    if (status == COAMING_OK)
        status = coaming_print_followed(out, &told, &error);
    if (status == COAMING_OK)
        status = coaming_print_no_report(out, 3, "is none", &error);
    coaming_outset_free(outset);
    coaming_casualty_free(casualty);
    coaming_follow_free(follow);
    return status == COAMING_OK ? coaming_ship_see(s, &nothing, &error) : status;
}

static coaming_status print_seen(FILE *out, coaming_style style, coaming_ship *s, coaming_query q)
{
    static const coaming_seen nothing;
    const char *id = coaming_closure_id(s, 0);
    const coaming_seen seen = {{&id, NULL, &id}, {1, 0, 1}};
    coaming_error error;
    coaming_status status = coaming_ship_see(s, &seen, &error);
    if (status == COAMING_OK)
        status = print_exposed(out, style, s, q, NULL, 0);
    return status == COAMING_OK ? coaming_ship_see(s, &nothing, &error) : status;
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
    for (int f = 0; f < 3 && status == COAMING_OK; f++) {
        style.format = formats[f];
        coaming_unfilled *unfilled = NULL;
        status = coaming_unfilled_new(s, &unfilled, &error);
        coaming_check_answer checked = {"ship", faults, s, unfilled};
        if (status == COAMING_OK)
            status = coaming_print_check(out, style, &checked, &error);
        coaming_unfilled_free(unfilled);
        if (status == COAMING_OK)
            status = print_exposed(out, style, s, q, NULL, 0);
        if (status == COAMING_OK)
            status = print_exposed(out, style, s, q, some, 2);
        if (status == COAMING_OK)
            status = print_ranked(out, style, s, (coaming_rank_options){.query = q}, NULL);
        if (status == COAMING_OK)
            status = print_seen(out, style, s, q);
        if (status == COAMING_OK)
            status = print_boundary(out, style, s, q, some, 1);
        if (status == COAMING_OK)
            status = print_casualty(out, style, s, q, some, 2);
    }
    if (status == COAMING_OK)
        status = print_exported(out, style, s, q);
    if (status == COAMING_OK)
        status = print_followed(out, s, q);
    if (status == COAMING_OK && coaming_ship_floats(s, COAMING_NO_LOADING)) {
        q.level.kind = COAMING_LEVEL_EQUILIBRIUM;
        status = print_exposed(out, style, s, q, some, 2);
        if (status == COAMING_OK)
            status = print_ranked(
                out, style, s,
                (coaming_rank_options){.query = q, .measure = COAMING_MEASURE_GM, .top = 1}, NULL);
        for (int f = 0; f < 3 && status == COAMING_OK; f++) {
            style.format = formats[f];
            status = print_afloat(out, style, s, some, 1);
            if (status == COAMING_OK)
                status = print_boundary(out, style, s, q, some, 1);
            if (status == COAMING_OK)
                status = print_casualty(out, style, s, q, some, 2);
        }
        if (status == COAMING_OK)
            status = coaming_loadings_check(s, faults, &error);
    }
    fclose(out);
    coaming_ship_free(s);
    coaming_faults_free(faults);
    return status;
}

/* A hull of sections, and spaces that it cuts: one to full breadth, one hollow, up through the deck. */
static const char cut_by_the_shell[] =
    "<hull><section x=\"0\"><offset z=\"0\" y=\"4\"/><offset z=\"7\" y=\"6\"/></section>"
    "<section x=\"30\"><offset z=\"0\" y=\"5\"/><offset z=\"3\" y=\"6\"/><offset z=\"7\" y=\"6\"/>"
    "</section><section x=\"60\"><offset z=\"0\" y=\"1\"/><offset z=\"8\" "
    "y=\"3\"/></section></hull>"
    "<space id=\"full\" name=\"F\"><box x=\"35 55\" y=\"-6 6\" z=\"0 4\"/></space>"
    "<space id=\"hollow\" name=\"H\"><prism z=\"5 9\" outline=\"40,-6 58,-6 58,6 40,6 "
    "50,0\"/></space><loading id=\"L\" draft=\"2.9\" kg=\"4\" index=\"deepest\">"
    "<content space=\"full\" fill=\"0.1\" density=\"1\"/></loading>";

/* A random ship with kg and these put in, so that she floats. */
static char *floating_arrangement(void)
{
    char *plain = random_arrangement(11, 6, 14), *at = strstr(plain, "draft=\"3\"");
    size_t head = (size_t)(at - plain), size = strlen(plain) + sizeof cut_by_the_shell + 20;
    char *text = malloc(size);
    snprintf(text, size, "%.*skg=\"4\" %s", (int)head, plain, at);
    free(plain);
    char *end = strstr(text, "</arrangement>");
    snprintf(end, size - (size_t)(end - text), "%s</arrangement>\n", cut_by_the_shell);
    return text;
}

/* How far it is to the next allocation to fail: so many, or as COAMING_MEMORY_STEP says. */
static size_t step(size_t usual)
{
    const char *asked = getenv("COAMING_MEMORY_STEP");
    return asked ? strtoul(asked, NULL, 10) : usual;
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
    for (size_t n = 1; n <= all; n += step(n < 400 ? 1 : 101)) {
        memory_fail_at(n);
        ck_assert_msg(told(everything(text, log), n), "allocation %zu of %zu", n, all);
        ck_assert_int_eq(graph_left_over(), 0);
    }
    memory_fail_at(0);
    cJSON_InitHooks(NULL);
    free(text);
}
END_TEST

static coaming_status planned(const coaming_ship *ship)
{
    char *text = NULL;
    size_t size;
    FILE *out = open_memstream(&text, &size);
    coaming_status status = COAMING_OK;
    for (int f = 0; f < 2 && status == COAMING_OK; f++) {
        coaming_style style = {formats[f], false, 80};
        status = print_planned(out, style, ship);
    }
    fclose(out);
    free(text);
    return status;
}

START_TEST(out_of_memory_is_told_by_a_plan_at_every_allocation)
{
    coaming_ship *ship = ship_from_tree("examples/barge.xml");
    cJSON_Hooks hooks = {counted, memory_free};
    cJSON_InitHooks(&hooks);
    memory_fail_at(0);
    ck_assert_int_eq(planned(ship), COAMING_OK);
    size_t all = memory_asked();
    ck_assert_uint_gt(all, 400);
    for (size_t n = 1; n <= all; n += step(n < 200 ? 1 : 97)) {
        memory_fail_at(n);
        coaming_status status = planned(ship);
        ck_assert_msg(status == COAMING_MEMORY, "allocation %zu of %zu", n, all);
    }
    memory_fail_at(0);
    cJSON_InitHooks(NULL);
    coaming_ship_free(ship);
}
END_TEST

/* A tester's day: due, round, record from words and from a sheet, adjust, history. */

static const char day_ship[] =
    "<ship length=\"20\" beam=\"6\" depth=\"4\" draft=\"2\"/>"
    "<interval kind=\"door\" method=\"chalk\" days=\"30\" minutes=\"9\"/>"
    "<space id=\"a\" name=\"A\"><box x=\"0 10\" y=\"-3 3\" z=\"0 4\"/></space>"
    "<space id=\"b\" name=\"B\"><box x=\"10 20\" y=\"-3 3\" z=\"0 4\"/></space>"
    "<closure id=\"D\" kind=\"door\" between=\"a b\" rating=\"watertight\">"
    "<clear x=\"10\" y=\"0\" z=\"0.5\" width=\"0.7\" height=\"1.7\" lies=\"transverse\"/>"
    "<gasket fitted=\"2020-01-01\" section=\"20x15\" joints=\"0.2 2.4\"/><dogs "
    "count=\"6\"/></closure>"
    "<closure id=\"H\" kind=\"hatch\" between=\"b weather\" rating=\"weathertight\">"
    "<clear x=\"15\" y=\"0\" z=\"4.4\" width=\"0.7\" height=\"0.7\" lies=\"deck\"/></closure>";
static const char day_log[] =
    "<test-log xmlns=\"urn:coaming:test-log:1\" arrangement=\"Test\">\n"
    "<test closure=\"D\" date=\"2026-01-01\" method=\"chalk\" result=\"fail\">"
    "<gap at=\"1.5\" length=\"0.1\"/><gap at=\"2.39\" length=\"0.1\" seen=\"paint\"/></test>\n"
    "<repair closure=\"D\" date=\"2026-01-02\" action=\"dogs\"/>\n"
    "<test closure=\"D\" date=\"2026-02-01\" method=\"chalk\" result=\"fail\" by=\"AB\" "
    "set=\"0.0035\" hinge-play=\"0.006\">"
    "<gap at=\"1\" length=\"0.2\"/><gap at=\"1.1\" length=\"0.2\" seen=\"edge\"/></test>\n"
    "<test closure=\"H\" date=\"2026-02-01\" method=\"hose\" result=\"pass\"/>\n"
    "<undo closure=\"H\" date=\"2026-02-02\" of=\"test\" of-date=\"2026-02-01\"/>\n"
    "</test-log>\n";
static const char day_sheet[] =
    "closure,method,result,gaps,set-mm,action,retest,note,start-pressure-pa,end-pressure-pa,"
    "duration-s\r\n"
    "D,,fail,1:0.2 2:0.1:joint,3.1,dogs,pass,\"a, b\"\r\nH,air,pass,,,,,,2000,1500,600\r\n";

static void write_text(const char *path, const char *text)
{
    FILE *f = fopen(path, "w");
    fputs(text, f);
    fclose(f);
}

static bool holds(const char *path, const char *text)
{
    char read[4096] = "";
    FILE *f = fopen(path, "r");
    size_t size = fread(read, 1, sizeof read - 1, f);
    fclose(f);
    return size == strlen(text) && !memcmp(read, text, size);
}

/* How many pieces were asked for when the log was written; what comes after only tells of it. */
static size_t asked_until_written;

/* Puts a test and a sheet into the log at `log`. */
static coaming_status record_some(const coaming_ship *ship, const char *log, const char *sheet,
                                  FILE *out)
{
    coaming_date today = coaming_ship_as_of(ship);
    coaming_record *r = coaming_record_new(today);
    coaming_faults *faults = coaming_faults_new();
    coaming_error error;
    coaming_entry undo = {.kind = COAMING_ENTRY_UNDO, .closure = "D", .date = today};
    coaming_style style = {COAMING_TEXT, false, 80};
    size_t skipped = 0;
    coaming_status status = r && faults ? COAMING_OK : COAMING_MEMORY;
    if (status == COAMING_OK)
        status = coaming_record_add(r, &undo, "here", 0, faults, &error);
    if (status == COAMING_OK) {
        const coaming_sheet asked = {.path = sheet, .date = today, .by = "AB"};
        coaming_record_of(r, ship);
        status = coaming_record_sheet(r, &asked, &skipped, faults, &error);
    }
    if (status == COAMING_OK)
        status = coaming_record_write(r, log, ship, false, faults, &error);
    asked_until_written = memory_asked();
    const int both[] = {0, 1};
    coaming_readings *readings = NULL;
    if (status == COAMING_OK)
        status = coaming_readings_new(ship, both, 2, &readings, &error);
    for (int f = 0; f < 2 && status == COAMING_OK; f++) {
        style.format = formats[f];
        status = coaming_print_record(out, style, log, r, skipped, readings, &error);
    }
    coaming_readings_free(readings);
    coaming_record_free(r);
    coaming_faults_free(faults);
    return status;
}

static coaming_status print_day(FILE *out, const coaming_ship *ship)
{
    const int both[] = {0, 1};
    coaming_round_options how = coaming_round_options_default();
    coaming_due *due = NULL;
    coaming_round *round = NULL;
    coaming_readings *readings = NULL, *to_do = NULL;
    coaming_error error;
    coaming_query query = coaming_query_default();
    coaming_status status = coaming_due_new(ship, &due, &error);
    if (status == COAMING_OK)
        status = coaming_due_weigh(due, query, COAMING_MEASURE_WORTH, &error);
    if (status == COAMING_OK)
        status = coaming_round_new(ship, &how, both, 2, &round, &error);
    if (status == COAMING_OK)
        status = coaming_readings_new(ship, both, 2, &readings, &error);
    if (status == COAMING_OK)
        status = coaming_readings_new(ship, NULL, 0, &to_do, &error);
    const coaming_round_answer answer = {ship, &how, round, due, readings};
    for (int f = 0; f < 3 && status == COAMING_OK; f++) {
        coaming_style style = {formats[f], true, 80};
        status = coaming_print_due(out, style, ship, due, &error);
        if (status == COAMING_OK)
            status = coaming_print_round(out, style, &answer, &error);
        if (status == COAMING_OK)
            status = print_past(out, style, ship, 0);
        if (status == COAMING_OK)
            status = coaming_print_adjust(out, style, to_do, &error);
    }
    coaming_readings_free(readings);
    coaming_readings_free(to_do);
    coaming_round_free(round);
    coaming_due_free(due);
    return status;
}

static coaming_status whole_day(const char *text, const char *log, const char *sheet)
{
    coaming_ship *ship = NULL;
    coaming_error error;
    FILE *out = fopen("/dev/null", "w");
    coaming_status status = ship_from_text(text, day_log, NULL, &ship, &error);
    if (status == COAMING_OK)
        status = print_day(out, ship);
    if (status == COAMING_OK)
        status = record_some(ship, log, sheet, out);
    coaming_ship_free(ship);
    fclose(out);
    return status;
}

START_TEST(out_of_memory_leaves_the_log_whole)
{
    char log[] = "/tmp/coaming-log-XXXXXX", sheet[] = "/tmp/coaming-sheet-XXXXXX";
    char text[4096];
    snprintf(text, sizeof text,
             "<arrangement xmlns=\"urn:coaming:arrangement:1\" name=\"Test\">%s</arrangement>",
             day_ship);
    fclose(fdopen(mkstemp(log), "w"));
    fclose(fdopen(mkstemp(sheet), "w"));
    write_text(sheet, day_sheet);
    write_text(log, day_log);
    cJSON_Hooks hooks = {counted, memory_free};
    cJSON_InitHooks(&hooks);
    memory_fail_at(0);
    ck_assert_int_eq(whole_day(text, log, sheet), COAMING_OK);
    size_t all = memory_asked(), until = asked_until_written;
    ck_assert(!holds(log, day_log));
    ck_assert(until > 300 && until < all);
    for (size_t n = 1; n <= all; n += step(1)) {
        write_text(log, day_log);
        memory_fail_at(n);
        ck_assert_msg(whole_day(text, log, sheet) == COAMING_MEMORY, "allocation %zu of %zu", n,
                      all);
        ck_assert_msg(holds(log, day_log) == (n <= until), "the log after allocation %zu", n);
    }
    memory_fail_at(0);
    cJSON_InitHooks(NULL);
    remove(log);
    remove(sheet);
}
END_TEST

/* The report of both days of the tester's ship, with kg so that she is also breached, and with water and
 * air in time. */
static coaming_status report_of(coaming_ship *ship, coaming_ship *before)
{
    coaming_report_options how = coaming_report_options_default();
    coaming_error error;
    coaming_report *report = NULL;
    FILE *out = fopen("/dev/null", "w");
    const coaming_flood_breach hole = {0, 0.05, NAN};
    const coaming_air_source source = {0, COAMING_AGENT_CO, 0.1};
    coaming_flood_ask flood = coaming_flood_ask_default();
    coaming_air_options air = coaming_air_options_default();
    flood.breaches = &hole;
    flood.breach_count = air.source_count = 1;
    air.sources = &source;
    flood.until = air.until = 60;
    flood.every = air.every = 30;
    how.before = before;
    how.flood = &flood;
    how.air = &air;
    coaming_status status = coaming_report_new(ship, &how, &report, &error);
    if (status == COAMING_OK)
        status = coaming_print_report(out, report, &error);
    coaming_report_free(report);
    fclose(out);
    return status;
}

START_TEST(out_of_memory_is_told_by_the_report)
{
    char text[4096];
    coaming_ship *ship = NULL, *before = NULL;
    snprintf(
        text, sizeof text,
        "<arrangement xmlns=\"urn:coaming:arrangement:1\" name=\"Test\"><ship length=\"20\" "
        "beam=\"6\" depth=\"4\" draft=\"2\" kg=\"1.5\"/><deck id=\"k\" z=\"0\"/>%s</arrangement>",
        strstr(day_ship, "<interval"));
    ck_assert_int_eq(ship_from_text(text, day_log, NULL, &ship, NULL), COAMING_OK);
    ck_assert_int_eq(ship_from_text(text, NULL, NULL, &before, NULL), COAMING_OK);
    before->as_of -= 400;
    memory_fail_at(0);
    ck_assert_int_eq(report_of(ship, before), COAMING_OK);
    size_t all = memory_asked();
    ck_assert_uint_gt(all, 200);
    for (size_t n = 1; n <= all; n += step(n < 600 ? 1 : 7)) {
        memory_fail_at(n);
        ck_assert_msg(told(report_of(ship, before), n), "allocation %zu of %zu", n, all);
        ck_assert_int_eq(graph_left_over(), 0);
    }
    memory_fail_at(0);
    ck_assert_int_eq(report_of(ship, ship), COAMING_USAGE); /* not of an earlier day */
    coaming_ship_free(ship);
    coaming_ship_free(before);
}
END_TEST

static void count_id(const char *id, void *count)
{
    ck_assert_str_ne(id, "");
    ++*(size_t *)count;
}

START_TEST(out_of_memory_is_told_by_a_scan_for_ids)
{
    char log[] = "/tmp/coaming-log-XXXXXX";
    coaming_error error;
    size_t count = 0, tested = 0;
    for (const char *at = day_log; (at = strstr(at, "<")); at++)
        tested += !strncmp(at, "<test ", 6) || !strncmp(at, "<repair ", 8);
    fclose(fdopen(mkstemp(log), "w"));
    write_text(log, day_log);
    memory_fail_at(0);
    ck_assert_int_eq(coaming_ids_scan(log, COAMING_IDS_LOGGED, count_id, &count, &error),
                     COAMING_OK);
    ck_assert_uint_gt(count, 0);
    ck_assert_uint_eq(count, tested);
    size_t all = memory_asked();
    for (size_t n = 1; n <= all; n++) {
        memory_fail_at(n);
        ck_assert_int_eq(coaming_ids_scan(log, COAMING_IDS_LOGGED, count_id, &count, &error),
                         COAMING_MEMORY);
        ck_assert_int_eq(error.status, COAMING_MEMORY);
    }
    memory_fail_at(0);
    ck_assert_uint_eq(count, tested); /* none was given again */
    remove(log);
    ck_assert_int_eq(coaming_ids_scan(log, COAMING_IDS_LOGGED, count_id, &count, &error),
                     COAMING_NO_FILE);
}
END_TEST

/* libxml2's own calls: the one of this number (from 1) fails, or all from there on. */
static size_t parser_calls, parser_fails_at;
static bool parser_fails_on;

static bool parser_refused(void)
{
    size_t number = ++parser_calls;
    return parser_fails_at &&
           (parser_fails_on ? number >= parser_fails_at : number == parser_fails_at);
}

static void *parser_new(size_t size)
{
    return parser_refused() ? NULL : malloc(size);
}

static void *parser_again(void *old, size_t size)
{
    return parser_refused() ? NULL : realloc(old, size);
}

static char *parser_text(const char *text)
{
    return parser_refused() ? NULL : strdup(text);
}

static void ignore_end(const char *name, int depth, long end, void *data)
{
    (void)name, (void)depth, (void)end, (void)data;
}

static void count_start(const xml_start *element, void *count)
{
    (void)element;
    ++*(size_t *)count;
}

/* A log parsed to a tree, or scanned, with the parser's call of this number failing. */
static void parse_starved(bool scanned, size_t n)
{
    coaming_error error;
    size_t count = 0;
    const xml_scanner scanner = {count_start, ignore_end, &count};
    coaming_faults *faults = coaming_faults_new();
    xmlDocPtr doc = NULL;
    parser_calls = 0;
    parser_fails_at = n;
    coaming_status status =
        scanned ? xml_scan(day_log, strlen(day_log), "log", faults, &scanner, &error)
                : xml_read_text(day_log, strlen(day_log), "log", faults, &doc, &error);
    parser_fails_at = 0;
    ck_assert_int_eq(status, n ? COAMING_MEMORY : COAMING_OK);
    ck_assert_uint_eq(coaming_faults_error_count(faults), 0);
    xmlFreeDoc(doc);
    coaming_faults_free(faults);
}

/* What it had no memory for is never taken for a fault of the file, nor left out of it in silence.
 * The schema is not asked: its compiler crashes after some of them. */
START_TEST(out_of_memory_inside_the_parser_is_told)
{
    xmlFreeFunc free_before;
    xmlMallocFunc malloc_before;
    xmlReallocFunc realloc_before;
    xmlStrdupFunc strdup_before;
    xmlInitParser();
    xmlMemGet(&free_before, &malloc_before, &realloc_before, &strdup_before);
    ck_assert_int_eq(xmlMemSetup(free, parser_new, parser_again, parser_text), 0);
    for (int way = 0; way < 4; way++) {
        parser_fails_on = way & 1;
        parse_starved(way & 2, 0);
        size_t all = parser_calls;
        ck_assert_uint_gt(all, 20);
        for (size_t n = 1; n <= all; n++)
            parse_starved(way & 2, n);
    }
    xmlMemSetup(free_before, malloc_before, realloc_before, strdup_before);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("memory");
    TCase *all = tcase_create("all");
    tcase_add_test(all, out_of_memory_is_told_at_every_allocation);
    tcase_add_test(all, out_of_memory_is_told_by_a_plan_at_every_allocation);
    tcase_add_test(all, out_of_memory_leaves_the_log_whole);
    tcase_add_test(all, out_of_memory_is_told_by_the_report);
    tcase_add_test(all, out_of_memory_is_told_by_a_scan_for_ids);
    suite_add_tcase(suite, all);
    TCase *parser = tcase_create("parser");
    tcase_add_test(parser, out_of_memory_inside_the_parser_is_told);
    suite_add_tcase(suite, parser);
    return run_suite(suite);
}
