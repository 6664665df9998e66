#include "present/tell/seen_words.h"

#include <stdio.h>

#include "present/form/style.h"
#include "ship/seen.h"

static void put_kind(FILE *out, const coaming_ship *ship, coaming_seen_kind kind, bool *started)
{
    char id[SHOWN];
    bool first = true;
    for (size_t i = 0; i < ship->closure_count; i++) {
        if (!ship->links[i].seen[kind])
            continue;
        fputs(!first ? ", " : *started ? "; " : "", out);
        fputs(shown(id, ship->links[i].id, 24), out);
        first = false;
        *started = true;
    }
    if (!first)
        fprintf(out, " %s", coaming_seen_word(kind));
}

char *seen_words(const coaming_ship *ship)
{
    char *text = NULL;
    size_t size = 0;
    bool started = false;
    FILE *out = open_memstream(&text, &size);
    if (!out)
        return NULL;
    for (int kind = 0; kind < COAMING_SEEN_KINDS; kind++)
        put_kind(out, ship, (coaming_seen_kind)kind, &started);
    return words_end(out, &text);
}

cJSON *json_seen(json_document *d, const coaming_ship *ship, coaming_seen_kind kind)
{
    if (!ship || !seen_count(ship, kind))
        return NULL;
    cJSON *list = json_array(d);
    for (size_t i = 0; i < ship->closure_count; i++)
        if (ship->links[i].seen[kind])
            json_append(d, list, json_text(ship->links[i].id));
    return list;
}

void json_member_seen(json_document *d, const coaming_ship *ship)
{
    for (int k = 0; ship && k < COAMING_SEEN_KINDS; k++) {
        coaming_seen_kind kind = (coaming_seen_kind)k;
        if (seen_count(ship, kind))
            json_member(d, coaming_seen_word(kind), json_seen(d, ship, kind));
    }
}
