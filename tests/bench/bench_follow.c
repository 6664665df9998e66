/*
 * bench_follow [SPACES|SHIP.xml] - a casualty that is followed, line by line, against starting anew for
 * each line, in the same run: the ship loaded, all reports until then taken in, and the last answered.
 *
 * The ship (default: a made-up one of 2,000 spaces) is asked at the waterline at rest and where she
 * settles, water and air. Reports go through her: water and bad air in places, closures open, failed
 * and to hold. Anew is asked of some lines only. What the two write must be the same, or the benchmark
 * fails. Processor time; of each line that of its answer as text too.
 */
#include <string.h>
#include <unistd.h>

#include "bench.h"
#include "generate.h"
#include "ship/ship.h"

enum { LINES = 24, EVERY = 6, LONGEST_LINE = 256 };

typedef struct {
    const char *path;
    coaming_query query;
    char lines[LINES][LONGEST_LINE];
} asked;

static double now(void)
{
    return seconds(CLOCK_PROCESS_CPUTIME_ID);
}

static void make_lines(const coaming_ship *ship, asked *a)
{
    static const char *const keys[] = {"water", "open", "air", "failed", "holds", "water"};
    for (size_t i = 0; i < LINES; i++) {
        size_t k = i % (sizeof keys / sizeof *keys), step = i * 7919 + 13;
        bool place = !strcmp(keys[k], "water") || !strcmp(keys[k], "air");
        const char *id = place ? ship->spaces[step % ship->space_count].id
                               : ship->links[step % ship->closure_count].id;
        snprintf(a->lines[i], LONGEST_LINE, "{\"t\": %zu, \"%s\": \"%s\"}", i, keys[k], id);
    }
}

static char *answer(const asked *a, coaming_ship *ship, coaming_follow *follow, size_t line,
                    coaming_follow_report report)
{
    coaming_casualty *of[COAMING_HAZARDS] = {NULL};
    coaming_outset *outset = NULL;
    coaming_error error;
    char *text = NULL;
    size_t size = 0;
    FILE *out = open_memstream(&text, &size);
    must(coaming_outset_new(ship, a->query, &outset, &error), &error);
    for (int h = 0; h < COAMING_HAZARDS; h++) {
        size_t count = 0;
        const coaming_place *sources = coaming_follow_sources(follow, (coaming_hazard)h, &count);
        coaming_query query = a->query;
        query.hazard[!h] = false;
        if (count)
            must(coaming_casualty_new(ship, query, COAMING_MEASURE_WORTH, sources, count, &of[h],
                                      &error),
                 &error);
    }
    coaming_followed told = {line + 1, report, outset, COAMING_MEASURE_WORTH, {of[0], of[1]}};
    must(coaming_print_followed(out, &told, &error), &error);
    for (int h = 0; h < COAMING_HAZARDS; h++)
        coaming_casualty_free(of[h]);
    coaming_outset_free(outset);
    fclose(out);
    return text;
}

/* A line is taken in; nothing is reported by one that may not be, such as a door rated nontight that
 * is to hold. */
static bool take(const asked *a, coaming_follow *follow, size_t line, coaming_follow_report *report)
{
    const char *text = a->lines[line];
    return coaming_follow_take(follow, text, strlen(text), report, NULL) == COAMING_OK;
}

/* The answer to a line, everything from the beginning. */
static char *anew(const asked *a, size_t line)
{
    coaming_ship *ship = load(a->path);
    coaming_follow *follow = NULL;
    coaming_follow_report report = {0};
    coaming_error error;
    must(coaming_follow_new(ship, NULL, 0, &follow, &error), &error);
    for (size_t i = 0; i <= line; i++)
        take(a, follow, i, &report);
    char *text = answer(a, ship, follow, line, report);
    coaming_follow_free(follow);
    coaming_ship_free(ship);
    return text;
}

typedef struct {
    double followed, most, again, same; /* s; same: those of the lines that were asked anew */
    size_t count, compared;
} spent;

static void compare(const asked *a, size_t line, const char *text, double taken, spent *s)
{
    double start = now();
    char *plain = anew(a, line);
    s->again += now() - start;
    s->same += taken;
    s->compared++;
    if (strcmp(plain, text)) {
        fprintf(stderr, "benchmark: line %zu is answered in another way from the beginning\n",
                line + 1);
        exit(1);
    }
    free(plain);
}

static spent run(const asked *a, coaming_ship *ship)
{
    spent s = {0};
    coaming_follow *follow = NULL;
    coaming_error error;
    must(coaming_follow_new(ship, NULL, 0, &follow, &error), &error);
    for (size_t i = 0; i < LINES; i++) {
        coaming_follow_report report;
        double start = now();
        if (!take(a, follow, i, &report))
            continue;
        char *text = answer(a, ship, follow, i, report);
        double taken = now() - start;
        s.followed += taken;
        s.most = taken > s.most ? taken : s.most;
        s.count++;
        if (i % EVERY == EVERY - 1)
            compare(a, i, text, taken, &s);
        free(text);
    }
    coaming_follow_free(follow);
    return s;
}

static void tell(asked *a)
{
    static const coaming_level_kind kinds[] = {COAMING_LEVEL_STILL, COAMING_LEVEL_EQUILIBRIUM};
    for (size_t k = 0; k < sizeof kinds / sizeof *kinds; k++) {
        coaming_ship *ship = load(a->path);
        make_lines(ship, a);
        a->query = coaming_query_default();
        a->query.level.kind = kinds[k];
        spent s = run(a, ship);
        printf("%s: %zu lines, %.4f s each, at most %.4f s; anew %.4f s, ratio %.1f\n",
               kinds[k] == COAMING_LEVEL_STILL ? "at rest" : "settled", s.count,
               s.followed / (double)s.count, s.most, s.again / (double)s.compared,
               s.again / s.same);
        coaming_ship_free(ship);
    }
}

int main(int argc, char **argv)
{
    char made[] = "/tmp/coaming-follow-XXXXXX";
    asked a = {.path = argc > 1 && strchr(argv[1], '.') ? argv[1] : made};
    size_t spaces = argc > 1 ? strtoul(argv[1], NULL, 10) : 2000;
    int file = a.path == made ? mkstemp(made) : -1;
    if (a.path == made && (file < 0 || !generate_ship(made, spaces)))
        return EXIT_FAILURE;
    tell(&a);
    if (file >= 0) {
        close(file);
        unlink(made);
    }
    return EXIT_SUCCESS;
}
