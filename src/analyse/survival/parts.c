#include "analyse/survival/parts.h"

#include <math.h>
#include <stdio.h>

#include "base/error.h"
#include "base/hash.h"
#include "base/share.h"
#include "ship/seen.h"
#include "ship/state.h"

enum { BLOCK = 64 };

void parts_free(survival_parts *p)
{
    memory_free(p->numbers);
    memory_free(p->at);
    memory_free(p->sorted);
}

unsigned parts_share(size_t i, unsigned shares)
{
    return (unsigned)(i / BLOCK % shares) + 1;
}

/* --- digest: over the numbers' bits --- */

static void digest_word(uint64_t *d, uint64_t word)
{
    *d = hash_bytes(*d, word, 8);
}

static void digest_number(uint64_t *d, double number)
{
    digest_word(d, isnan(number) ? 1 : hash_bits(number));
}

static void digest_numbers(uint64_t *d, const double *numbers, size_t count)
{
    digest_word(d, count);
    for (size_t i = 0; i < count; i++)
        digest_number(d, numbers[i]);
}

static void digest_whole(uint64_t *d, const coaming_ship *s)
{
    const double own[] = {s->length, s->beam, s->depth, s->draught, s->density,
                          s->kg,     s->lcg,  s->tcg,   s->persons};
    digest_numbers(d, own, sizeof own / sizeof *own);
    digest_number(d, s->bulkhead_deck < 0 ? NAN : s->decks[s->bulkhead_deck].z);
    for (size_t i = 0; i < s->section_count; i++) {
        digest_number(d, s->sections[i].x);
        digest_numbers(d, s->sections[i].offsets, 2 * s->sections[i].offset_count);
    }
    for (size_t i = 0; i < s->zone_count; i++)
        digest_numbers(d, (const double[]){s->zones[i].from, s->zones[i].to}, 2);
}

static void digest_spaces(uint64_t *d, const coaming_ship *s)
{
    digest_word(d, s->space_count);
    for (size_t i = 0; i < s->space_count; i++) {
        const ship_space *space = &s->spaces[i];
        digest_word(d, space->shell);
        digest_number(d, space->permeability);
        for (size_t k = 0; k < space->solid_count; k++) {
            const solid *given = &space->solids[k];
            digest_numbers(d, given->outline, 2 * given->corners);
            digest_numbers(d, (const double[]){given->z0, given->z1}, 2);
        }
    }
}

static void digest_links(uint64_t *d, const coaming_ship *s, int condition)
{
    digest_word(d, s->link_count);
    for (size_t i = 0; i < s->link_count; i++) {
        const ship_link *l = &s->links[i];
        digest_word(d, (uint64_t)l->a + 2);
        digest_word(d, (uint64_t)l->b + 2);
        digest_word(d, l->protected);
        digest_word(d, link_state_in(l, condition, COAMING_WATER));
        digest_word(d, link_state_as_built(l, condition, COAMING_WATER));
        digest_numbers(d, (const double[]){l->clear.x, l->clear.y, l->clear.z}, 3);
    }
}

static void digest_loadings(uint64_t *d, const coaming_ship *s)
{
    for (size_t i = 0; i < s->loading_count; i++) {
        const ship_loading *l = &s->loadings[i];
        digest_word(d, l->role);
        digest_numbers(d, (const double[]){l->draught, l->trim, l->kg, l->lcg, l->tcg}, 5);
        for (size_t k = 0; k < l->content_count; k++) {
            digest_word(d, (uint64_t)l->contents[k].space);
            digest_numbers(d, (const double[]){l->contents[k].fill, l->contents[k].density}, 2);
        }
    }
}

uint64_t parts_digest(const coaming_ship *ship, const coaming_survival_options *options,
                      const double *leaks)
{
    uint64_t d = HASH_START;
    digest_word(&d, 2); /* of this way of writing */
    digest_word(&d, (uint64_t)options->condition + 1);
    digest_word(&d, (uint64_t)options->loading + 1);
    digest_whole(&d, ship);
    digest_spaces(&d, ship);
    digest_links(&d, ship, options->condition);
    digest_loadings(&d, ship);
    digest_numbers(&d, leaks, ship->closure_count);
    return seen_digest(ship, d);
}

/* --- parts against each other --- */

static coaming_status check_part(const survival_parts *p, const coaming_survival_part *parts,
                                 size_t index, coaming_error *error)
{
    const coaming_survival_part *part = &parts[index];
    char name[SHARE_NAME], first[SHARE_NAME];
    share_name(part->name, index, name);
    if (part->digest != p->digest)
        return share_of_other(name, error);
    if (part->shares != parts[0].shares)
        return error_set(error, COAMING_INPUT, "%s: of %u shares, but %s of %u", name, part->shares,
                         share_name(parts[0].name, 0, first), parts[0].shares);
    if (part->shares == 0 || part->share == 0 || part->share > part->shares)
        return share_damaged(name, error);
    return COAMING_OK;
}

/* Puts each part in the place of its share. */
static coaming_status sort_parts(survival_parts *p, const coaming_survival_part *parts,
                                 size_t count, coaming_error *error)
{
    char name[SHARE_NAME], other[SHARE_NAME];
    unsigned shares = parts[0].shares;
    if (count < shares) /* before anything of that size is taken */
        return error_set(error, COAMING_INPUT, "%zu of %u shares are there: all are needed", count,
                         shares);
    p->sorted = memory_new(shares, sizeof *p->sorted);
    p->at = memory_new(shares, sizeof *p->at);
    if (!p->sorted || !p->at)
        return error_memory(error);
    for (size_t i = 0; i < count; i++) {
        for (size_t j = 0; j < i; j++)
            if (parts[j].share == parts[i].share)
                return share_twice(share_name(parts[i].name, i, name), parts[i].share, shares,
                                   share_name(parts[j].name, j, other), error);
        p->sorted[parts[i].share - 1] = parts[i];
    }
    p->read = p->sorted;
    return COAMING_OK;
}

coaming_status parts_begin(survival_parts *p, const coaming_survival_part *parts, size_t count,
                           coaming_error *error)
{
    if (count == 0)
        return error_set(error, COAMING_USAGE, "there are no parts to put together");
    for (size_t i = 0; i < count; i++) {
        coaming_status status = check_part(p, parts, i, error);
        if (status != COAMING_OK)
            return status;
    }
    return sort_parts(p, parts, count, error);
}

static coaming_status damaged(const survival_parts *p, unsigned share, coaming_error *error)
{
    char name[SHARE_NAME];
    return share_damaged(share_name(p->read[share - 1].name, share - 1, name), error);
}

coaming_status parts_end(const survival_parts *p, coaming_error *error)
{
    for (unsigned i = 0; p->read && i < p->read[0].shares; i++)
        if (p->at[i] != p->read[i].number_count)
            return damaged(p, i + 1, error);
    return COAMING_OK;
}

/* --- answers --- */

static bool put(survival_parts *p, double number)
{
    if (!MEMORY_ROOM(p->numbers, p->count, p->capacity))
        return false;
    p->numbers[p->count++] = number;
    return true;
}

static bool put_list(survival_parts *p, const int *list, size_t count)
{
    bool good = put(p, (double)count);
    for (size_t i = 0; good && i < count; i++)
        good = put(p, list[i]);
    return good;
}

bool parts_put(survival_parts *p, const set_answer *a)
{
    bool good = true;
    for (int state = 0; state < COAMING_ANSWERS; state++)
        good = good && put(p, a->s[state]) && put(p, a->grade[state]);
    good = good && put_list(p, a->flooded, a->flooded_count) && put(p, (double)a->held_count);
    for (size_t i = 0; good && i < a->held_count; i++)
        good = put(p, a->held[i].closure) && put(p, a->held[i].s) && put(p, a->held[i].grade);
    return good && put_list(p, a->needed, a->needed_count);
}

/* The next number; NaN where there is none. */
static double next(survival_parts *p, unsigned share)
{
    const coaming_survival_part *part = &p->read[share - 1];
    size_t *at = &p->at[share - 1];
    return *at < part->number_count ? part->numbers[(*at)++] : NAN;
}

/* A whole number below `most`; false: it is none. */
static bool next_whole(survival_parts *p, unsigned share, size_t most, size_t *value)
{
    double number = next(p, share);
    if (!(number >= 0 && number < (double)most) || number != floor(number))
        return false;
    *value = (size_t)number;
    return true;
}

static bool next_factor(survival_parts *p, unsigned share, double *s)
{
    *s = next(p, share);
    return *s >= 0 && *s <= 1;
}

static bool take_states(survival_parts *p, unsigned share, set_answer *a)
{
    bool good = true;
    for (int state = 0; good && state < COAMING_ANSWERS; state++) {
        size_t grade = 0;
        good = next_factor(p, share, &a->s[state]) && next_whole(p, share, COAMING_GRADES, &grade);
        a->grade[state] = (coaming_grade)grade;
    }
    return good;
}

/* Ids below `most`, as put_list has put them. */
static coaming_status take_list(survival_parts *p, unsigned share, size_t most, arena *memory,
                                const int **list, size_t *count, coaming_error *error)
{
    if (!next_whole(p, share, most + 1, count))
        return damaged(p, share, error);
    int *ids = arena_new(memory, *count, sizeof *ids);
    if (!ids)
        return error_memory(error);
    *list = ids;
    for (size_t k = 0, id; k < *count; k++) {
        if (!next_whole(p, share, most, &id))
            return damaged(p, share, error);
        ids[k] = (int)id;
    }
    return COAMING_OK;
}

static coaming_status take_held(survival_parts *p, unsigned share, size_t closures, arena *memory,
                                set_answer *a, coaming_error *error)
{
    if (!next_whole(p, share, closures + 1, &a->held_count))
        return damaged(p, share, error);
    held_answer *held = arena_new(memory, a->held_count, sizeof *held);
    if (!held)
        return error_memory(error);
    a->held = held;
    for (size_t k = 0, closure, grade; k < a->held_count; k++, held++) {
        if (!next_whole(p, share, closures, &closure) || !next_factor(p, share, &held->s) ||
            !next_whole(p, share, COAMING_GRADES, &grade))
            return damaged(p, share, error);
        held->closure = (int)closure;
        held->grade = (coaming_grade)grade;
    }
    return COAMING_OK;
}

coaming_status parts_take(survival_parts *p, const coaming_ship *ship, size_t i, arena *memory,
                          set_answer *a, coaming_error *error)
{
    unsigned share = parts_share(i, p->read[0].shares);
    *a = (set_answer){0};
    if (!take_states(p, share, a))
        return damaged(p, share, error);
    coaming_status status =
        take_list(p, share, ship->space_count, memory, &a->flooded, &a->flooded_count, error);
    if (status == COAMING_OK)
        status = take_held(p, share, ship->closure_count, memory, a, error);
    if (status == COAMING_OK)
        status =
            take_list(p, share, ship->closure_count, memory, &a->needed, &a->needed_count, error);
    return status;
}
