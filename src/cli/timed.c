#include "timed.h"

#include <string.h>

char *cut_at(char *word, char sign)
{
    char *at = strrchr(word, sign);
    if (at)
        *at++ = '\0';
    return at;
}

int each_word(const text_list *texts, const char *option, take_one *take, void *data)
{
    id_list list;
    int result = id_list_make(texts, &list) ? -1 : complain_of_memory();
    for (size_t i = 0; i < list.count && result < 0; i++)
        result = take(data, list.words + (list.ids[i] - list.words));
    if (result < 0 && texts->count && !list.count) {
        complain("--%s names nothing", option);
        result = EXIT_USAGE;
    }
    id_list_free(&list);
    return result;
}

size_t timed_room(const timed_option *list, size_t count)
{
    size_t room = 1;
    for (size_t i = 0; i < count; i++)
        room += id_list_room(list[i].given);
    return room;
}

typedef struct {
    const timed_option *of;
    const coaming_ship *ship; /* NULL: not yet */
    double until;
    timed_change *made;
    size_t *made_count;
} taking;

static int find_subject(const taking *t, const char *id, int *which)
{
    coaming_error error;
    coaming_status status = COAMING_OK;
    if (!t->ship)
        return -1;
    switch (t->of->subject) {
    case TIMED_SOURCE:
        return find_place(t->ship, id, which);
    case TIMED_CLOSURE:
        status = coaming_find_closure(t->ship, id, which, &error);
        break;
    case TIMED_PUMP:
        status = coaming_find_pump(t->ship, id, which, &error);
        break;
    case TIMED_FAN:
        status = coaming_find_fan(t->ship, id, which, &error);
        break;
    }
    return status == COAMING_OK ? -1 : complain_of(&error);
}

/* Is that to be changed otherwise at that moment? */
static bool contradicted(const taking *t, const timed_change *c)
{
    for (size_t i = 0; i < *t->made_count; i++) {
        const timed_change *other = &t->made[i];
        if (other->t == c->t && other->which == c->which && other->of->subject == c->of->subject &&
            other->of->kind != c->of->kind && !c->of->beside && !other->of->beside)
            return true;
    }
    return false;
}

/* "D3@120"; without a time a closure is seen so, and what runs does from the start. */
static int take_change(void *data, char *word)
{
    taking *t = data;
    char whole[256];
    timed_change c = {.of = t->of};
    snprintf(whole, sizeof whole, "%s", word);
    char *time = cut_at(word, '@');
    if (!time && t->of->subject == TIMED_CLOSURE)
        return -1;
    if (!*word || (!time && t->of->subject == TIMED_SOURCE) ||
        (time && (!parse_time(time, &c.t) || c.t < 0)))
        return refuse_usage(t->of->option, whole,
                            "ID@TIME with a time of 0 or more, such as D3@90, D3@10min "
                            "or D3@1.5h");
    if (c.t > t->until) {
        complain("--%s %s is after the end; --until says how long it is followed (here %g s)",
                 t->of->option, whole, t->until);
        return EXIT_USAGE;
    }
    int result = find_subject(t, word, &c.which);
    if (result >= 0 || !t->ship)
        return result;
    if (contradicted(t, &c)) {
        complain("--%s %s: another option changes %s at the same moment", t->of->option, whole,
                 word);
        return EXIT_USAGE;
    }
    t->made[(*t->made_count)++] = c;
    return -1;
}

int timed_take(const timed_option *list, size_t count, const coaming_ship *ship, double until,
               timed_change *made, size_t *made_count)
{
    int result = -1;
    for (size_t i = 0; i < count && result < 0; i++) {
        taking t = {&list[i], ship, until, made, made_count};
        result = each_word(list[i].given, list[i].option, take_change, &t);
    }
    return result;
}
