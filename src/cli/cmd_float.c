#include <stdlib.h>
#include <string.h>

#include "commands.h"

const char help_float[] =
    "\nHow she floats with spaces open to the sea: draughts, trim, heel, GM, freeboard,\n"
    "righting arms, and which openings to the weather are under water. Constant\n"
    "displacement, lost buoyancy; the arrangement must give kg.\n";

/* Is the space at `count` one of those before it? */
static bool among(const int *spaces, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (spaces[i] == spaces[count])
            return true;
    return false;
}

/* Takes the comma lists of --flooded apart. -1 to go on with *spaces (to be freed). */
static int find_flooded(const options *o, const coaming_ship *ship, int **spaces, size_t *count)
{
    size_t room = 1;
    for (size_t i = 0; i < o->flooded_count; i++)
        room += strlen(o->flooded[i]);
    char *word = malloc(room);
    *spaces = calloc(room, sizeof **spaces);
    int result = word && *spaces ? -1 : EXIT_MACHINE;
    for (size_t i = 0; i < o->flooded_count && result < 0; i++) {
        for (const char *at = o->flooded[i]; *at && result < 0; at += *at == ',') {
            size_t length = strcspn(at, ",");
            coaming_error error;
            memcpy(word, at, length);
            word[length] = '\0';
            at += length;
            if (length == 0)
                continue;
            if (coaming_find_space(ship, word, &(*spaces)[*count], &error) != COAMING_OK)
                result = complain_of(&error);
            else if (!among(*spaces, *count))
                ++*count;
        }
    }
    if (result < 0 && o->flooded_count && *count == 0) {
        complain("--flooded names no space");
        result = EXIT_USAGE;
    }
    free(word);
    return result;
}

int cmd_float(options *o)
{
    coaming_ship *ship = NULL;
    coaming_error error;
    output out;
    int *spaces = NULL;
    size_t count = 0;
    if (o->all_breaches && o->flooded_count) {
        complain("give --flooded or --all-breaches, not both");
        return EXIT_USAGE;
    }
    int result = load_asked(o, &ship);
    if (result < 0)
        result = find_flooded(o, ship, &spaces, &count);
    if (result < 0)
        result = output_open(&out, o);
    if (result < 0) {
        coaming_status status =
            o->all_breaches
                ? coaming_print_survival(out.stream, out.style, ship, o->query.condition, &error)
                : coaming_print_float(out.stream, out.style, ship, o->query.condition, spaces,
                                      count, &error);
        result = output_close(&out, status, &error);
    }
    free(spaces);
    coaming_ship_free(ship);
    return result;
}
