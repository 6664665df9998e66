#include "ship/seen.h"

#include <string.h>

#include "base/error.h"
#include "base/hash.h"
#include "base/text.h"

const char *coaming_seen_word(coaming_seen_kind kind)
{
    static const char *const words[COAMING_SEEN_KINDS] = {"open", "shut", "failed"};
    return words[kind];
}

size_t seen_count(const coaming_ship *ship, coaming_seen_kind kind)
{
    size_t count = 0;
    for (size_t i = 0; i < ship->closure_count; i++)
        count += ship->links[i].seen[kind];
    return count;
}

bool seen_any(const coaming_ship *ship)
{
    for (int kind = 0; kind < COAMING_SEEN_KINDS; kind++)
        if (seen_count(ship, (coaming_seen_kind)kind))
            return true;
    return false;
}

uint64_t seen_digest(const coaming_ship *ship, uint64_t digest)
{
    for (size_t i = 0; i < ship->closure_count; i++)
        for (int kind = 0; kind < COAMING_SEEN_KINDS; kind++)
            if (ship->links[i].seen[kind])
                digest = hash_bytes(hash_bytes(digest, i, 8), (unsigned)kind, 1);
    return digest;
}

/* What is seen of each closure. */
typedef struct {
    const coaming_ship *ship;
    bool (*of)[COAMING_SEEN_KINDS];
} sightings;

static coaming_status refuse(const coaming_ship *ship, int link, const char *why,
                             coaming_error *error)
{
    const ship_link *l = &ship->links[link];
    char id[TEXT_BRIEF];
    return error_set(error, COAMING_USAGE, "%s: %s %s: %s", ship->path,
                     l->passage ? "passage" : "closure", text_brief(id, l->id), why);
}

coaming_status seen_find(const coaming_ship *ship, const char *id, coaming_seen_kind kind,
                         int *closure, coaming_error *error)
{
    int link = id_index_find(&ship->link_ids, id);
    if (link >= 0 && ship->links[link].passage)
        return refuse(ship, link,
                      kind == COAMING_SEEN_SHUT ? "nothing can shut a passage"
                                                : "a passage is always open, and no closure",
                      error);
    coaming_status status = coaming_find_closure(ship, id, closure, error);
    if (status == COAMING_OK && kind == COAMING_SEEN_SHUT &&
        ship->links[*closure].rating == NONTIGHT)
        return refuse(ship, *closure, "is rated nontight: shut, it keeps nothing back", error);
    return status;
}

static coaming_status look(const sightings *s, const char *id, coaming_seen_kind kind,
                           coaming_error *error)
{
    int closure = -1;
    coaming_status status = seen_find(s->ship, id, kind, &closure, error);
    if (status != COAMING_OK)
        return status;
    s->of[closure][kind] = true;
    if (s->of[closure][COAMING_SEEN_OPEN] && s->of[closure][COAMING_SEEN_SHUT])
        return refuse(s->ship, closure, "cannot be seen both open and shut", error);
    return COAMING_OK;
}

static coaming_status look_at_all(const sightings *s, const coaming_seen *seen,
                                  coaming_error *error)
{
    coaming_status status = COAMING_OK;
    for (int kind = 0; kind < COAMING_SEEN_KINDS; kind++)
        for (size_t i = 0; i < seen->count[kind] && status == COAMING_OK; i++)
            status = look(s, seen->closures[kind][i], (coaming_seen_kind)kind, error);
    return status;
}

/* A failure that is seen is neither a test nor dated; the gaps of one that stood already are still
 * those to be read. */
static void stand_failed(ship_link *l)
{
    bool noted = l->result == COAMING_FAIL && l->print && l->print->gap_count;
    l->print = noted ? l->print : NULL;
    l->result = COAMING_FAIL;
    l->decided = NULL;
    l->repair_since = l->repair_from = NULL;
}

/* Keeps how the closures are without what is seen; false when out of memory. */
static bool keep(coaming_ship *ship)
{
    size_t size = ship->closure_count * sizeof *ship->unseen;
    if (ship->unseen)
        return true;
    ship->unseen = arena_new(&ship->memory, ship->closure_count, sizeof *ship->unseen);
    if (ship->unseen && size)
        memcpy(ship->unseen, ship->links, size);
    return ship->unseen != NULL;
}

coaming_status coaming_ship_see(coaming_ship *ship, const coaming_seen *seen, coaming_error *error)
{
    sightings s = {ship, memory_new(ship->closure_count, sizeof *s.of)};
    if (!s.of)
        return error_memory(error);
    coaming_status status = look_at_all(&s, seen, error);
    if (status == COAMING_OK && !keep(ship))
        status = error_memory(error);
    for (size_t i = 0; i < ship->closure_count && status == COAMING_OK; i++) {
        ship->links[i] = ship->unseen[i];
        memcpy(ship->links[i].seen, s.of[i], sizeof s.of[i]);
        if (s.of[i][COAMING_SEEN_FAILED])
            stand_failed(&ship->links[i]);
    }
    memory_free(s.of);
    return status;
}
