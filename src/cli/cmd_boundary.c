#include <stdlib.h>
#include <string.h>

#include "ask.h"
#include "commands.h"

const char help_boundary[] =
    "\nGas, fire or water is in these spaces, or is to be kept out of them: every link\n"
    "that leads out of them, first what cannot be shut, then what is open, in walking\n"
    "order and with the side to shut it from, then what is shut already, each with\n"
    "how it stands. Exit status 1 if something cannot be shut, or may not hold.\n";

#define SPACES_MISSING "name one or more spaces; see 'coaming boundary --help'"

/* Something that must be shut and cannot be, or does not hold once it is. */
static bool leaves_open(const coaming_boundary *boundary)
{
    coaming_boundary_sum sum = coaming_boundary_total(boundary);
    return sum.count[COAMING_BOUND_CANNOT] || sum.slow || sum.sure;
}

/* Is a place named that is no space? Then that is told. */
static bool names_outside(const options *o)
{
    for (int i = 0; i < o->argument_count; i++) {
        if (strcmp(o->arguments[i], "sea") && strcmp(o->arguments[i], "weather"))
            continue;
        complain("'%s' is no space that could be sealed off; name spaces", o->arguments[i]);
        return true;
    }
    return false;
}

/* The spaces behind the file; each word may be a list. */
static int find_set(const options *o, const coaming_ship *ship, int **spaces, size_t *count)
{
    text_list named = {calloc((size_t)o->argument_count, sizeof *named.texts),
                       (size_t)o->argument_count};
    if (!named.texts)
        return complain_of_memory();
    for (int i = 0; i < o->argument_count; i++)
        named.texts[i] = o->arguments[i];
    int result = find_spaces(ship, NULL, &named, spaces, count);
    free(named.texts);
    if (result < 0 && !*count) {
        complain(SPACES_MISSING);
        return EXIT_USAGE;
    }
    return result;
}

static int print(const options *o, const coaming_ship *ship, const coaming_boundary *boundary)
{
    coaming_error error;
    coaming_outset *outset = NULL;
    output out;
    int result = ask_outset(ship, o->query, &outset);
    if (result < 0)
        result = output_open(&out, o);
    if (result < 0) {
        coaming_status status =
            coaming_print_boundary(out.stream, out.style, outset, boundary, &error);
        result = output_close(&out, status, &error);
        if (result == EXIT_DONE && leaves_open(boundary))
            result = EXIT_FOUND;
    }
    coaming_outset_free(outset);
    return result;
}

int cmd_boundary(options *o)
{
    coaming_ship *ship = NULL;
    coaming_boundary *boundary = NULL;
    coaming_error error;
    coaming_round_options walk = coaming_round_options_default();
    int *spaces = NULL;
    size_t count = 0;
    if (!o->argument_count) {
        complain(SPACES_MISSING);
        return EXIT_USAGE;
    }
    int result = names_outside(o) ? EXIT_USAGE : load_asked(o, &ship);
    if (result < 0)
        result = find_set(o, ship, &spaces, &count);
    if (result < 0)
        result = ask_walk(o, ship, &walk);
    if (result < 0 &&
        coaming_boundary_new(ship, o->query, spaces, count, &walk, &boundary, &error) != COAMING_OK)
        result = complain_of(&error);
    if (result < 0)
        result = print(o, ship, boundary);
    coaming_boundary_free(boundary);
    free(spaces);
    coaming_ship_free(ship);
    return result;
}
