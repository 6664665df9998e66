/* What is bent goes through the command line itself, main and all, in this process: whatever comes, the
 * status is one that the pages tell of, and memory is for the sanitizers to watch. */
#define _GNU_SOURCE /* fopencookie */
#include "targets.h"

#include <dirent.h>
#include <fcntl.h>
#include <getopt.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

int coaming_main(int argc, char **argv); /* src/cli/main.c, by another name */

enum { WORDS = 40, LONGEST = 4096, FAILED = 4 };

typedef struct {
    const char *name, *file;  /* the input is put into this file; NULL: it is words */
    const char *const *lines; /* NULL at the end; the first is run always */
} target;

/* Everything of a ship. What takes long is asked in a small way. */
#define SHIP_LINES(ship)                                                                           \
    "check " ship, "expose " ship " --all --format json",                                          \
        "expose " ship " --all --hazard water --level still", "rank " ship " --samples 500",       \
        "rank " ship " --risk exact --level full --format csv",                                    \
        "plan " ship " --hours 3 --samples 500", "plan " ship " --hours 3 --measure survival",     \
        "export " ship " --samples 200", "export " ship " --format graphml --samples 200",         \
        "export " ship " --format dot --samples 200",                                              \
        "export " ship " --format csv --table closures", "float " ship " --flooded a,b",           \
        "float " ship " --spread --flooded a --format json", "survival " ship " --cases",          \
        "hold " ship " --source a,b --hazard water",                                               \
        "hold " ship " --source a --hazard air --format json", "boundary " ship " a b",            \
        "casualty " ship " --source a,b", "casualty " ship " --format html",                       \
        "casualty " ship " --source a --hazard water --level equilibrium --format csv",            \
        "flood " ship " --breach a:0.1 --until 10min --by-when",                                   \
        "flood " ship " --breach a:0.1 --format svg",                                              \
        "flood " ship " --inflow b:10m3/h --until 10min --likely 3 --format json",                 \
        "air " ship " --source a:1l/s:co --until 10min",                                           \
        "air " ship " --wind 10@30 --format json", "draw " ship,                                   \
        "draw " ship " --overlay due --profile", "draw " ship " --overlay hold --source a",        \
        "draw " ship " --overlay expose --closure D1", "report " ship " --samples 200",            \
        "due " ship " --all --format ical", "due " ship " --format csv",                           \
        "round " ship " --by-consequence", "round " ship " --format csv", "adjust " ship,          \
        "history " ship " D1 --format json"

static const char *const of_ship[] = {SHIP_LINES("bent"), NULL};
static const char *const of_log[] = {
    SHIP_LINES("small.xml --log bent"), "record bent D1 chalk pass --date 2026-11-10",
    "record bent D1 chalk fail --gap 0.5:0.1 --date 2026-11-10 --ship small.xml",
    "record bent D1 undo --date 2026-11-10", NULL};
#define LAUNCH                                                                                     \
    " --name N --size 18x4.8x2.6 --draft 1.1 --kg 1.2 --deck 2:hold:0.3 --deck 1:main:2.6 "        \
    "--frames 0.5"
static const char *const of_lists[] = {"import --spaces bent --closures launch-closures.csv" LAUNCH,
                                       "import --spaces launch-spaces.csv --closures bent" LAUNCH,
                                       "import --spaces bent --closures bent" LAUNCH, NULL};
static const char *const of_sheet[] = {
    "record log.xml --sheet bent --date 2026-11-10 --ship small.xml",
    "record new.xml --sheet bent --date 2026-11-10 --method chalk --ship small.xml", NULL};
#define DAY " --as-of 2026-11-10"
static const char *const of_part[] = {"rank small.xml" DAY " --merge bent half.json",
                                      "rank small.xml" DAY " --merge bent bent",
                                      "survival small.xml" DAY " --merge bent other.json",
                                      "survival small.xml" DAY " --merge bent", NULL};
/* The other shares of what is merged, written at the start. */
static const char *const shares[] = {
    "rank small.xml --risk sampled --samples 2048" DAY " --share 2/2 --output half.json",
    "survival small.xml" DAY " --share 2/2 --output other.json", NULL};
static const char *const of_reports[] = {"casualty small.xml --follow bent", NULL};

static const target targets[] = {{"arrangement", "bent", of_ship},
                                 {"log", "bent", of_log},
                                 {"lists", "bent", of_lists},
                                 {"sheet", "bent", of_sheet},
                                 {"part", "bent", of_part},
                                 {"follow", "bent", of_reports},
                                 {"words", NULL, NULL},
                                 {NULL, NULL, NULL}};

static const target *at;
static char folder[LONGEST];
static const struct {
    const char *name, *path;
} good[] = {{"small.xml", "tests/fuzz/seeds/arrangement/small.xml"},
            {"log.xml", "tests/fuzz/seeds/log/small.xml"},
            {"launch-spaces.csv", "examples/launch-spaces.csv"},
            {"launch-closures.csv", "examples/launch-closures.csv"}};
enum { GOOD = sizeof good / sizeof *good };
static char *kept[GOOD];
static size_t sizes[GOOD];

static bool put(const char *name, const void *bytes, size_t size)
{
    int to = open(name, O_WRONLY | O_CREAT | O_TRUNC, 0600);
    bool done = to >= 0 && write(to, bytes, size) == (ssize_t)size;
    return to >= 0 && close(to) == 0 && done;
}

static bool keep(const char *root, int number)
{
    char path[LONGEST];
    snprintf(path, sizeof path, "%s/%s", root, good[number].path);
    FILE *in = fopen(path, "rb");
    kept[number] = malloc(1 << 16);
    if (in && kept[number])
        sizes[number] = fread(kept[number], 1, 1 << 16, in);
    return in && fclose(in) == 0 && sizes[number];
}

/* A standard output that takes all, and tells whether the program closed it. */
static ssize_t take(void *open, const char *bytes, size_t size)
{
    (void)open;
    (void)bytes;
    return (ssize_t)size;
}

static int shut(void *open)
{
    *(bool *)open = false;
    return 0;
}

/* As in a new process: getopt from its start, and a standard output. */
static int run_anew(int count, char **words)
{
    bool open = true;
    FILE *ours = stdout;
    stdout = fopencookie(&open, "w", (cookie_io_functions_t){.write = take, .close = shut});
    if (!stdout)
        abort();
    optind = 0;
    int status = coaming_main(count, words);
    if (open)
        fclose(stdout);
    stdout = ours;
    return status;
}

static void run(int count, char **words)
{
    int status = run_anew(count, words);
    if (status < 0 || status >= FAILED) {
        fprintf(stderr, "status %d of:", status);
        for (int i = 1; i < count; i++)
            fprintf(stderr, " %s", words[i]);
        fputc('\n', stderr);
        abort();
    }
}

/* The words of a line, which is cut up. */
static void run_line(char *line, const char *between)
{
    char program[] = "coaming", *words[WORDS + 1] = {program}, *rest = NULL;
    int count = 1;
    for (char *w = strtok_r(line, between, &rest); w && count < WORDS;
         w = strtok_r(NULL, between, &rest))
        words[count++] = w;
    run(count, words);
}

static void run_copy(const char *line)
{
    char copy[LONGEST];
    snprintf(copy, sizeof copy, "%s", line);
    run_line(copy, " ");
}

static void put_good(void)
{
    unlink("new.xml");
    for (int i = 0; i < GOOD; i++)
        if (!put(good[i].name, kept[i], sizes[i]))
            abort();
}

bool target_begin(const char *name, const char *root)
{
    for (at = targets; at->name && strcmp(at->name, name); at++)
        ;
    for (int i = 0; i < GOOD; i++)
        if (!keep(root, i))
            return false;
    const char *below = getenv("TMPDIR");
    snprintf(folder, sizeof folder, "%s/coaming-fuzz-XXXXXX", below ? below : "/tmp");
    if (!at->name || !mkdtemp(folder) || chdir(folder))
        return false;
    put_good();
    for (int i = 0; shares[i]; i++)
        run_copy(shares[i]);
    return true;
}

void target_end(void)
{
    DIR *left = opendir(folder);
    for (struct dirent *file = left ? readdir(left) : NULL; file; file = readdir(left))
        if (file->d_type == DT_REG) /* a command line may have written any */
            unlinkat(dirfd(left), file->d_name, 0);
    if (left)
        closedir(left);
    for (int i = 0; i < GOOD; i++)
        free(kept[i]);
    if (chdir("/") == 0)
        rmdir(folder);
}

/* Words of a command line, one a line: nothing that leaves the folder, and no work without end. */
static bool too_far(const char *words)
{
    size_t digits = 0;
    if (strchr(words, '/') || strstr(words, ".."))
        return true;
    for (; *words; words++) {
        digits = *words >= '0' && *words <= '9' ? digits + 1 : 0;
        if (digits > 3 && words[1] != '-' && words[1] != '\n')
            return true;
    }
    return false;
}

static void run_words(const uint8_t *data, size_t size)
{
    char line[LONGEST];
    if (size >= sizeof line)
        return;
    memcpy(line, data, size);
    line[size] = '\0';
    if (!too_far(line))
        run_line(line, "\n");
}

void target_run(const uint8_t *data, size_t size, bool all)
{
    size_t count = 0, chosen = 0;
    put_good();
    if (!at->lines) {
        run_words(data, size);
        return;
    }
    for (size_t i = 0; i < size; i++)
        chosen = chosen * 31 + data[i];
    while (at->lines[count])
        count++;
    for (size_t i = 0; i < count; i++) {
        if (!all && i && i != 1 + chosen % (count - 1))
            continue;
        if (!put(at->file, data, size))
            abort();
        run_copy(at->lines[i]);
    }
}
