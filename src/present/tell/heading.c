#include "present/tell/heading.h"

#include <stdlib.h>

#include "base/error.h"
#include "present/tell/float_words.h"
#include "present/tell/level_words.h"
#include "present/tell/standing_words.h"

bool print_title(FILE *out, coaming_style style, const coaming_ship *ship, const char *what)
{
    char name[SHOWN];
    paragraph p;
    ink_on(out, style, INK_STRONG);
    if (paragraph_open(&p))
        fprintf(p.stream, "%s: %s", shown(name, ship->name, 40), what);
    bool good = paragraph_close(&p, out, style, 0, 2);
    ink_off(out, style, INK_STRONG);
    return good;
}

static bool print_seen(FILE *out, coaming_style style, const coaming_ship *ship)
{
    char *words = seen_words(ship);
    bool good = words && (!*words || print_line(out, style, 0, 2, SEEN_TITLE ": %s.", words));
    free(words);
    return good;
}

bool print_state(FILE *out, coaming_style style, const coaming_outset *outset)
{
    const coaming_ship *ship = coaming_outset_ship(outset);
    coaming_query query = coaming_outset_query(outset);
    char words[SHOWN];
    bool good = print_line(out, style, 0, 2, "%s.", tested_words(words, ship, query.condition)) &&
                print_seen(out, style, ship);
    if (query.loading < 0)
        return good;
    return good && print_line(out, style, 0, 2,
                              "Loaded as in: %s; liquids move as she heels, nothing else shifts.",
                              shown(words, ship->loadings[query.loading].name, 60));
}

bool print_let_in(FILE *out, coaming_style style, const coaming_outset *outset)
{
    return print_words(out, style, INK_BAD, 0, let_in_words(outset));
}

bool print_scope(FILE *out, coaming_style style, const coaming_outset *outset)
{
    const coaming_ship *ship = coaming_outset_ship(outset);
    coaming_query query = coaming_outset_query(outset);
    char level[SHOWN];
    bool good = print_state(out, style, outset);
    if (!good || !query.hazard[COAMING_WATER])
        return good;
    return print_line(out, style, 0, 2, "%s", level_sentence(level, ship, query)) &&
           print_let_in(out, style, outset);
}

bool print_heading(FILE *out, coaming_style style, const coaming_outset *outset, const char *what)
{
    return print_title(out, style, coaming_outset_ship(outset), what) &&
           print_scope(out, style, outset);
}

coaming_status outset_missing(coaming_error *error)
{
    return error_set(error, COAMING_USAGE, "what the answer starts from was not asked");
}
