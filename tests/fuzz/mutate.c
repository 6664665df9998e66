/*
 * mutate - bends good files at random and reads them: whatever comes, the reader must answer with
 * faults or with a ship that every analysis can take. Crashes, leaks and undefined behaviour are
 * for the sanitizers to find; a file that is refused without a fault is an error here.
 */
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

static int ask_everything(const coaming_ship *ship, FILE *out)
{
    coaming_query q = coaming_query_default();
    coaming_style style = {COAMING_TEXT, true, 80};
    coaming_error error;
    q.level.kind = (coaming_level_kind)below(3);
    return coaming_print_expose(out, style, ship, q, NULL, 0, &error) == COAMING_OK &&
           coaming_print_rank(out, style, ship, q, (coaming_measure)below(4), 0, &error) ==
               COAMING_OK &&
           coaming_print_export(out, ship, q, COAMING_MEASURE_WORTH, &error) == COAMING_OK;
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
    if ((!made && !(status == COAMING_INPUT && coaming_faults_errors(faults))) ||
        (made && !ask_everything(ship, out))) {
        fprintf(stderr, "mutate: %s: status %d\n", path, status);
        exit(1);
    }
    for (size_t i = 0; i < coaming_faults_count(faults); i++)
        coaming_print_fault(out, coaming_faults_get(faults, i));
    coaming_ship_free(ship);
    coaming_faults_free(faults);
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
    int descriptor = mkstemp(path);
    FILE *out = fopen("/dev/null", "w");
    const char *good_ship = argv[2];
    for (int i = 2; i < argc; i++)
        if (!strstr(argv[i], "-log") && !strstr(argv[i], "barge"))
            good_ship = argv[i];
    for (long r = 0; r < rounds; r++) {
        const char *name = argv[2 + below((size_t)argc - 2)];
        text t = read_file(name);
        for (size_t bends = 1 + below(4); bends && t.size; bends--)
            bend(&t);
        if (ftruncate(descriptor, 0) || pwrite(descriptor, t.bytes, t.size, 0) != (ssize_t)t.size)
            return 2;
        made += try_file(path, good_ship, strstr(name, "-log") != NULL, out);
        free(t.bytes);
    }
    fclose(out);
    close(descriptor);
    unlink(path);
    printf("%ld bent files read, %ld of them still ships\n", rounds, made);
    return 0;
}
