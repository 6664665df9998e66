/* A sheet is written before the next is asked, so that hundreds take no more memory than one. */
#include "sheets.h"

#include <stdlib.h>

#include "ask.h"

typedef struct {
    options *o;
    const coaming_ship *ship;
    coaming_outset *outset;
    coaming_due *due;
    coaming_place *places; /* the sources, or the spaces that have a sheet each */
    size_t count;
    bool each;
} asked;

/* -1 to go on, else the exit status. */
static int find_each(asked *a)
{
    size_t spaces = coaming_space_count(a->ship);
    a->places = calloc(spaces + 1, sizeof *a->places);
    if (!a->places)
        return complain_of_memory();
    for (size_t i = 0; i < spaces; i++)
        if (coaming_space_has_sheet(a->ship, (int)i))
            a->places[a->count++] = (coaming_place)i;
    if (a->count)
        return -1;
    complain(
        "%s: no space has use=\"machinery\" or vital=\"yes\", so there is none to draw a sheet "
        "for; name places by --source",
        a->o->ship);
    return EXIT_INPUT;
}

static int find(asked *a)
{
    coaming_error error;
    a->each = !a->o->sources.count;
    int result = a->each ? find_each(a)
                         : find_places(a->ship, "source", &a->o->sources, &a->places, &a->count);
    if (result < 0 && !a->each)
        result = leave_out_air(a->o, a->places, a->count);
    if (result < 0)
        result = ask_outset(a->ship, a->o->query, &a->outset);
    if (result < 0 && coaming_due_new(a->ship, &a->due, &error) != COAMING_OK)
        result = complain_of(&error);
    return result;
}

/* One sheet, of the places from this one on. */
static coaming_status print_one(const asked *a, FILE *out, size_t index, coaming_error *error)
{
    coaming_casualty *casualty = NULL;
    coaming_status status =
        coaming_casualty_new(a->ship, a->o->query, a->o->measure, a->places + index,
                             a->each ? 1 : a->count, &casualty, error);
    if (status == COAMING_OK) {
        coaming_casualty_sheet sheet = {a->outset, casualty, a->due, index + 1,
                                        a->each ? a->count : 1};
        status = coaming_print_casualty_sheet(out, &sheet, error);
    }
    coaming_casualty_free(casualty);
    return status;
}

static int print_all(const asked *a)
{
    output out;
    coaming_error error;
    coaming_status status = COAMING_OK;
    int result = output_open(&out, a->o);
    if (result >= 0)
        return result;
    for (size_t i = 0; status == COAMING_OK && i < (a->each ? a->count : 1); i++)
        status = print_one(a, out.stream, i, &error);
    return output_close(&out, status, &error);
}

int print_sheets(options *o, const coaming_ship *ship)
{
    asked a = {.o = o, .ship = ship};
    int result = find(&a);
    if (result < 0)
        result = print_all(&a);
    coaming_outset_free(a.outset);
    coaming_due_free(a.due);
    free(a.places);
    return result;
}
