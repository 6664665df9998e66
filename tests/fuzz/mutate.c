/*
 * mutate - bends good files at random and reads them: whatever comes, the reader must answer with
 * faults or with a ship that every analysis can take. Crashes, leaks and undefined behaviour are
 * for the sanitizers to find; a file that is refused without a fault is an error here. Logs are
 * recorded into as well, and sheets imported and recorded.
 */
#include <fcntl.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "coaming/coaming.h"

static uint64_t state = 1;

static size_t below(size_t bound)
{
    state = state * 6364136223846793005u + 1442695040888963407u; /* Knuth, MMIX */
    return bound ? (size_t)(state >> 33) % bound : 0;
}

typedef struct {
    char *bytes;
    size_t size;
} text;

static text read_file(const char *path)
{
    text t = {malloc(1 << 20), 0};
    FILE *in = fopen(path, "rb");
    if (!t.bytes || !in)
        exit(2);
    t.size = fread(t.bytes, 1, 1 << 20, in);
    fclose(in);
    return t;
}

/* Puts a piece in the place of a stretch of `gone` bytes. */
static void splice(text *t, size_t at, size_t gone, const char *piece, size_t length)
{
    char *bent = malloc(t->size - gone + length + 1);
    if (!bent)
        exit(2);
    memcpy(bent, t->bytes, at);
    memcpy(bent + at, piece, length);
    memcpy(bent + at + length, t->bytes + at + gone, t->size - at - gone);
    free(t->bytes);
    t->bytes = bent;
    t->size = t->size - gone + length;
}

/* The value of a random attribute: what stands between two quotes. False if there is none near. */
static int find_value(const text *t, size_t *at, size_t *length)
{
    const char *open = memchr(t->bytes + *at, '"', t->size - *at);
    const char *close =
        open ? memchr(open + 1, '"', t->size - (size_t)(open + 1 - t->bytes)) : NULL;
    if (!close)
        return 0;
    *at = (size_t)(open + 1 - t->bytes);
    *length = (size_t)(close - open - 1);
    return 1;
}

static void bend(text *t)
{
    static const char *const values[] = {
        "",           "0",           "-1", "NaN",  "1e999", "1e308",    "-1e-320", "a",
        "sea",        "fr1",         "fr", "fr1+", "0 0",   "0 1e300",  "a a",     "D1",
        "2026-02-30", "0,0 1,0 0,1", "no", "door", "&lt;",  "\xff\xfe", "&#x9b;"};
    size_t at = below(t->size), length = 0;
    switch (below(6)) {
    case 0:
        t->bytes[at] = (char)below(256);
        break;
    case 1: {
        size_t gone = below(200);
        splice(t, at, gone < t->size - at ? gone : t->size - at, "", 0);
        break;
    }
    case 2: {
        size_t from = below(t->size), many = below(400);
        many = many < t->size - from ? many : t->size - from;
        char piece[400];
        memcpy(piece, t->bytes + from, many);
        splice(t, at, 0, piece, many);
        break;
    }
    default:
        if (find_value(t, &at, &length)) {
            const char *value = values[below(sizeof values / sizeof *values)];
            splice(t, at, length, value, strlen(value));
        }
    }
}

/* What the tester asks for. */
static int ask_tests(const coaming_ship *ship, coaming_style style, FILE *out)
{
    coaming_round_options how = coaming_round_options_default();
    coaming_due *due = NULL;
    coaming_round *round = NULL;
    coaming_readings *readings = NULL, *to_do = NULL;
    coaming_error error;
    int all[64], count = 0, good = coaming_due_new(ship, &due, &error) == COAMING_OK;
    while (count < 64 && (size_t)count < coaming_closure_count(ship)) {
        all[count] = count;
        count++;
    }
    good = good && coaming_print_due(out, style, ship, due, &error) == COAMING_OK &&
           coaming_round_new(ship, &how, all, (size_t)count, &round, &error) == COAMING_OK &&
           coaming_readings_new(ship, all, (size_t)count, &readings, &error) == COAMING_OK &&
           coaming_readings_new(ship, NULL, 0, &to_do, &error) == COAMING_OK;
    if (good) {
        coaming_round_answer answer = {ship, &how, round, due, readings};
        good = coaming_print_round(out, style, &answer, &error) == COAMING_OK &&
               coaming_print_adjust(out, style, to_do, &error) == COAMING_OK;
    }
    for (int i = 0; i < count && good; i++) {
        coaming_history *history = NULL;
        good = coaming_history_new(ship, i, &history, &error) == COAMING_OK &&
               coaming_print_history(out, style, ship, i, history, &error) == COAMING_OK;
        coaming_history_free(history);
    }
    coaming_readings_free(readings);
    coaming_readings_free(to_do);
    coaming_round_free(round);
    coaming_due_free(due);
    return good;
}

static int ask_rank(const coaming_ship *ship, coaming_query q, coaming_style style, FILE *out)
{
    coaming_error error;
    coaming_exposure *exposure = NULL;
    coaming_risk *risk = NULL;
    coaming_outset *outset = NULL;
    double *leaks = calloc(coaming_closure_count(ship) + 1, sizeof *leaks);
    coaming_rank_options how = {.query = q,
                                .measure = (coaming_measure)below(4),
                                .leaks = leaks,
                                .top = below(3),
                                .standing = (unsigned)below(COAMING_STANDS_ALL + 1)};
    int good = leaks != NULL;
    if (good)
        coaming_likelihood_all(ship, leaks);
    good = good && coaming_ranking_new(ship, q, how.measure, &how.ranking, &error) == COAMING_OK &&
           coaming_risk_new(ship, q, how.measure, NULL, NULL, &risk, &error) == COAMING_OK &&
           coaming_exposure_new(ship, q, NULL, 0, &exposure, &error) == COAMING_OK &&
           coaming_outset_new(ship, q, &outset, &error) == COAMING_OK;
    how.risk = risk;
    how.outset = outset;
    good = good && coaming_print_expose(out, style, outset, exposure, &error) == COAMING_OK &&
           coaming_print_rank(out, style, ship, &how, &error) == COAMING_OK &&
           coaming_print_export(out, ship, exposure, &how, &error) == COAMING_OK;
    coaming_outset_free(outset);
    coaming_exposure_free(exposure);
    coaming_ranking_free(how.ranking);
    coaming_risk_free(risk);
    free(leaks);
    return good;
}

/* In each of her loadings, whatever these are bent to. */
static int ask_loadings(const coaming_ship *ship)
{
    coaming_error error;
    coaming_faults *faults = coaming_faults_new();
    int good = faults && coaming_loadings_check(ship, faults, &error) == COAMING_OK;
    coaming_faults_free(faults);
    return good;
}

/* What comes in time, from a space and a closure drawn of those that there are. */
static int ask_in_time(const coaming_ship *ship, coaming_style style, FILE *out)
{
    size_t spaces = coaming_space_count(ship), closures = coaming_closure_count(ship);
    if (!spaces)
        return 1;
    coaming_error error;
    coaming_outset *outset = NULL;
    coaming_flood *flood = NULL;
    coaming_air *air = NULL;
    coaming_flood_breach hole = {(int)below(spaces), 0.2, NAN};
    coaming_flood_change shut = {30, COAMING_FLOOD_FAIL, (int)below(closures)};
    coaming_air_source source = {(int)below(spaces), COAMING_AGENT_CO, 0.5};
    coaming_air_change opened = {30, COAMING_AIR_CHANGE_OPEN, (int)below(closures)};
    coaming_flood_ask ask = coaming_flood_ask_default();
    coaming_air_options how = coaming_air_options_default();
    coaming_query query = coaming_query_default();
    query.level.kind = COAMING_LEVEL_EQUILIBRIUM;
    ask.breaches = &hole;
    ask.changes = &shut;
    ask.until = how.until = 60;
    ask.every = how.every = 20;
    how.sources = &source;
    how.changes = &opened;
    ask.breach_count = how.source_count = 1;
    ask.change_count = how.change_count = closures ? 1 : 0;
    int good = coaming_air_new(ship, &how, &air, &error) == COAMING_OK;
    if (good && coaming_ship_floats(ship, COAMING_NO_LOADING) &&
        coaming_outset_new(ship, query, &outset, &error) == COAMING_OK) {
        coaming_status status = coaming_flood_new(ship, &ask, &flood, &error);
        coaming_flood_page page = {.outset = outset, .ask = &ask, .flood = flood};
        good =
            status == COAMING_USAGE || status == COAMING_INPUT ||
            (status == COAMING_OK && coaming_print_flood(out, style, &page, &error) == COAMING_OK);
    }
    coaming_outset_free(outset);
    query.hazard[COAMING_WATER] = false;
    outset = NULL;
    good = good && coaming_outset_new(ship, query, &outset, &error) == COAMING_OK &&
           coaming_print_air(out, style, outset, air, &error) == COAMING_OK;
    if (!good)
        fprintf(stderr, "mutate: in time: %s\n", error.message);
    coaming_outset_free(outset);
    coaming_flood_free(flood);
    coaming_air_free(air);
    return good;
}

static int ask_everything(const coaming_ship *ship, FILE *out)
{
    coaming_query q = coaming_query_default();
    coaming_style style = {COAMING_TEXT, true, 80};
    q.level.kind = (coaming_level_kind)below(3);
    return ask_rank(ship, q, style, out) && ask_tests(ship, style, out) && ask_loadings(ship) &&
           ask_in_time(ship, style, out);
}

/* A status that says what is wrong, or none. */
static int answered(const char *what, coaming_status status, const coaming_faults *faults)
{
    if (status == COAMING_OK || (status == COAMING_INPUT && coaming_faults_error_count(faults)))
        return status == COAMING_OK;
    fprintf(stderr, "mutate: %s: status %d\n", what, status);
    exit(1);
}

/* Records into a bent log: what can be recorded into once can be recorded into again. */
static void try_record(const char *log, FILE *out)
{
    coaming_entry entry = {.kind = COAMING_ENTRY_TEST,
                           .closure = "D4",
                           .date = 20782,
                           .method = "chalk",
                           .result = "fail",
                           .gaps = "0.5:0.1 1:0.2:paint",
                           .note = "a & b <\"'"};
    int written = 1;
    for (int i = 0; i < 2 && written; i++) {
        coaming_record *r = coaming_record_new(20782);
        coaming_faults *faults = coaming_faults_new();
        coaming_error error;
        coaming_status status = coaming_record_add(r, &entry, "mutate", 0, faults, &error);
        if (status == COAMING_OK)
            status = coaming_record_write(r, log, NULL, true, faults, &error);
        int good = answered("record", status, faults);
        if (i && !good) {
            fprintf(stderr, "mutate: recorded into once, then no more: %s\n", error.message);
            exit(1);
        }
        written = good;
        for (size_t f = 0; f < coaming_faults_count(faults); f++)
            coaming_print_fault(out, coaming_faults_get(faults, f));
        coaming_record_free(r);
        coaming_faults_free(faults);
    }
}

/* A bent sheet, as lists to import and as a sheet to record. */
static int try_sheet(const char *path, const char *name, const char *good_closures, FILE *out)
{
    static const coaming_import_deck decks[] = {{"2", "hold", NULL, 0.3}, {"1", "main", NULL, 2.6}};
    coaming_faults *faults = coaming_faults_new();
    coaming_import_options options = {.spaces = strstr(name, "spaces") ? path : name,
                                      .closures = strstr(name, "spaces") ? good_closures : path,
                                      .name = "Bent",
                                      .length = 18,
                                      .beam = 4.8,
                                      .depth = 2.6,
                                      .draft = 1.1,
                                      .kg = 1.2,
                                      .framed = true,
                                      .frame_spacing = 0.5,
                                      .decks = decks,
                                      .deck_count = 2,
                                      .latest = 20782};
    coaming_import *import = NULL;
    coaming_error error;
    coaming_record *r = coaming_record_new(20782);
    int made = answered("import", coaming_import_new(&options, faults, &import, &error), faults);
    if (made)
        coaming_import_write(import, out);
    coaming_import_free(import);
    coaming_faults_free(faults);
    faults = coaming_faults_new();
    const coaming_sheet sheet = {.path = path, .date = 20782, .method = "chalk"};
    answered("sheet", coaming_record_sheet(r, &sheet, NULL, faults, &error), faults);
    coaming_record_free(r);
    coaming_faults_free(faults);
    return made;
}

/* Reads one bent file; 1 if it made a ship. */
static int try_file(const char *path, const char *good_ship, int as_log, FILE *out)
{
    const char *logs[] = {path};
    coaming_load_options options = {logs, as_log ? 1 : 0, 20782, 20782}; /* 2026-11-25 */
    coaming_faults *faults = coaming_faults_new();
    coaming_ship *ship = NULL;
    coaming_error error;
    coaming_status status =
        coaming_ship_load(as_log ? good_ship : path, &options, faults, &ship, &error);
    int made = status == COAMING_OK;
    if ((!made && !(status == COAMING_INPUT && coaming_faults_error_count(faults))) ||
        (made && !ask_everything(ship, out))) {
        fprintf(stderr, "mutate: %s: status %d\n", path, status);
        exit(1);
    }
    for (size_t i = 0; i < coaming_faults_count(faults); i++)
        coaming_print_fault(out, coaming_faults_get(faults, i));
    coaming_ship_free(ship);
    coaming_faults_free(faults);
    if (as_log)
        try_record(path, out);
    return made;
}

int main(int argc, char **argv)
{
    if (argc < 3) {
        fputs("usage: mutate ROUNDS FILE...\n", stderr);
        return 2;
    }
    long rounds = strtol(argv[1], NULL, 10), made = 0;
    char path[] = "/tmp/coaming-mutate-XXXXXX";
    close(mkstemp(path));
    FILE *out = fopen("/dev/null", "w");
    const char *good_ship = argv[2], *good_closures = argv[2];
    for (int i = 2; i < argc; i++) {
        if (strstr(argv[i], "lark.xml"))
            good_ship = argv[i];
        if (strstr(argv[i], "closures.csv"))
            good_closures = argv[i];
    }
    for (long r = 0; r < rounds; r++) {
        const char *name = argv[2 + below((size_t)argc - 2)];
        text t = read_file(name);
        for (size_t bends = 1 + below(4); bends && t.size; bends--)
            bend(&t);
        int descriptor = open(path, O_WRONLY | O_CREAT | O_TRUNC, 0600);
        if (descriptor < 0 || write(descriptor, t.bytes, t.size) != (ssize_t)t.size)
            return 2;
        close(descriptor);
        made += strstr(name, ".csv") ? try_sheet(path, name, good_closures, out)
                                     : try_file(path, good_ship, strstr(name, "-log") != NULL, out);
        free(t.bytes);
    }
    fclose(out);
    unlink(path);
    printf("%ld bent files read, %ld of them still ships\n", rounds, made);
    return 0;
}
