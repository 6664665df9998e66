#include "follow.h"

#include <errno.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>

enum { LONGEST = COAMING_FOLLOW_LONGEST };

typedef struct {
    const options *o;
    coaming_ship *ship;
    coaming_follow *reported;
    size_t line, bad;
    size_t size;
    char text[LONGEST + 2]; /* the line; one byte more tells that it is too long */
} follower;

bool follow_fits(const options *o)
{
    if (is_standard_input(o->follow) && reads_standard_input(o))
        complain("standard input cannot be both the reports and another file");
    else if (o->given & OPT_FORMAT && o->format != COAMING_JSON)
        complain("--follow writes JSON, an answer in a line; there is no other format");
    else if (o->given & OPT_OUTPUT)
        complain("--follow answers on standard output as it goes; --output is not for it");
    else
        return true;
    return false;
}

/* Some programs begin a file with a byte order mark; it is no part of the first line. */
static void drop_mark(follower *f)
{
    static const char mark[] = "\xEF\xBB\xBF";
    size_t size = sizeof mark - 1;
    if (f->size < size || memcmp(f->text, mark, size) != 0)
        return;
    f->size -= size;
    memmove(f->text, f->text + size, f->size + 1);
}

/* False: there is none. What has no room is passed over. */
static bool next_line(follower *f, FILE *in)
{
    int c = getc(in);
    bool any = c != EOF;
    for (f->size = 0; c != EOF && c != '\n'; c = getc(in))
        if (f->size <= LONGEST)
            f->text[f->size++] = (char)c;
    f->text[f->size] = '\0';
    if (!f->line++)
        drop_mark(f);
    return any;
}

/* Of each hazard alone: it has places of its own. */
static coaming_status ask(follower *f, coaming_casualty *of[COAMING_HAZARDS], coaming_error *error)
{
    coaming_status status = COAMING_OK;
    for (int h = 0; h < COAMING_HAZARDS && status == COAMING_OK; h++) {
        size_t count = 0;
        const coaming_place *sources =
            coaming_follow_sources(f->reported, (coaming_hazard)h, &count);
        coaming_query query = f->o->query;
        for (int other = 0; other < COAMING_HAZARDS; other++)
            query.hazard[other] = query.hazard[other] && other == h;
        if (count && query.hazard[h])
            status =
                coaming_casualty_new(f->ship, query, f->o->measure, sources, count, &of[h], error);
    }
    return status;
}

static coaming_status answer(follower *f, coaming_follow_report report, FILE *out,
                             coaming_error *error)
{
    coaming_casualty *of[COAMING_HAZARDS] = {NULL};
    coaming_outset *outset = NULL;
    coaming_followed told = {.line = f->line, .report = report, .measure = f->o->measure};
    coaming_status status = coaming_outset_new(f->ship, f->o->query, &outset, error);
    if (status == COAMING_OK)
        status = ask(f, of, error);
    told.outset = outset;
    for (int h = 0; h < COAMING_HAZARDS; h++)
        told.of[h] = of[h];
    if (status == COAMING_OK)
        status = coaming_print_followed(out, &told, error);
    for (int h = 0; h < COAMING_HAZARDS; h++)
        coaming_casualty_free(of[h]);
    coaming_outset_free(outset);
    return status;
}

/* The answer to a line, or what is wrong with it. */
static coaming_status respond(follower *f, FILE *out, coaming_error *error)
{
    coaming_follow_report report;
    coaming_status status = coaming_follow_take(f->reported, f->text, f->size, &report, error);
    if (status == COAMING_OK)
        return answer(f, report, out, error);
    if (coaming_status_exit(status) == EXIT_MACHINE)
        return status;
    f->bad++;
    return coaming_print_no_report(out, f->line, error->message, error);
}

static int cannot_write(int reason)
{
    complain("standard output: cannot be written: %s", strerror(reason));
    return EXIT_MACHINE;
}

/* Whole or not at all, at once. -1 to go on, else the exit status. */
static int put(const char *text, size_t size)
{
    errno = 0;
    if (fwrite(text, 1, size, stdout) == size && fflush(stdout) == 0)
        return -1;
    return cannot_write(errno ? errno : EIO);
}

static int take_line(follower *f)
{
    char *text = NULL;
    size_t size = 0;
    coaming_error error;
    if (coaming_follow_blank(f->text, f->size))
        return -1;
    FILE *out = open_memstream(&text, &size);
    if (!out)
        return complain_of_memory();
    coaming_status status = respond(f, out, &error);
    bool lost = ferror(out);
    lost = fclose(out) || lost;
    int result = status != COAMING_OK ? complain_of(&error)
                 : lost               ? complain_of_memory()
                                      : put(text, size);
    free(text);
    return result;
}

static int cannot_read(const char *path, int reason, int status)
{
    complain("%s: %s", input_shown(path), reason == EISDIR ? "is a folder" : strerror(reason));
    return reason == EISDIR ? EXIT_INPUT : status;
}

/* Every line to the end of the file. */
static int take_all(follower *f, FILE *in)
{
    int result = -1;
    errno = 0;
    while (result < 0 && next_line(f, in))
        result = take_line(f);
    if (result >= 0)
        return result;
    if (ferror(in))
        return cannot_read(f->o->follow, errno, EXIT_MACHINE);
    if (!f->bad)
        return EXIT_DONE;
    complain("%s: %zu line%s no report%s; nothing was changed by %s", input_shown(f->o->follow),
             f->bad, f->bad == 1 ? " is" : "s are", f->bad == 1 ? "" : "s",
             f->bad == 1 ? "it" : "them");
    return EXIT_INPUT;
}

static int read_reports(follower *f)
{
    const char *path = f->o->follow;
    bool standard = is_standard_input(path);
    FILE *in = standard ? stdin : fopen(path, "rb");
    if (!in)
        return cannot_read(path, errno, errno == ENOMEM ? EXIT_MACHINE : EXIT_INPUT);
    int result = take_all(f, in);
    if (!standard)
        fclose(in);
    return result;
}

int follow(const options *o, coaming_ship *ship, const coaming_place *sources, size_t count)
{
    follower f = {.o = o, .ship = ship};
    coaming_error error;
    progress_stop(); /* from now on it is waited for others */
    signal(SIGPIPE,
           SIG_IGN); /* who no longer listens is told of as any that cannot be written to */
    int result = coaming_follow_new(ship, sources, count, &f.reported, &error) == COAMING_OK
                     ? read_reports(&f)
                     : complain_of(&error);
    coaming_follow_free(f.reported);
    return result;
}
