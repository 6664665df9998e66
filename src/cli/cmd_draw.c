#include <stdlib.h>
#include <string.h>

#include "ask.h"
#include "commands.h"

const char help_draw[] =
    "\nDeck plans and the profile as SVG, to scale, by the arrangement's own geometry:\n"
    "spaces with their names, closures at their places with the state of their last\n"
    "test. --overlay lays an answer over them; the other options are those of its\n"
    "command. The whole is as wide as A4 lying or A3 standing; for a page of A4 ask\n"
    "for one --deck.\n";

/* An option that belongs to certain overlays only. */
typedef struct {
    option_set bit;
    const char *name, *with;
    unsigned overlays;
} belonging;

#define WITH(overlay) (1u << COAMING_OVERLAY_##overlay)

static bool asked_well(const options *o)
{
    static const belonging belongings[] = {
        {OPT_CLOSURE, "closure", "expose", WITH(EXPOSE)},
        {OPT_SOURCE, "source", "expose and hold", WITH(EXPOSE) | WITH(HOLD)},
        {OPT_PROTECT, "protect", "hold", WITH(HOLD)},
        {OPT_MEASURE, "measure", "rank", WITH(RANK)},
        {OPT_TOP, "top", "rank and survival", WITH(RANK) | WITH(SURVIVAL)},
        {OPT_WITHIN, "within", "due", WITH(DUE)},
        {OPT_HAZARD, "hazard", "expose, rank and hold", WITH(EXPOSE) | WITH(RANK) | WITH(HOLD)},
        {OPT_LEVEL, "level", "expose, rank and hold", WITH(EXPOSE) | WITH(RANK) | WITH(HOLD)}};
    for (size_t i = 0; i < sizeof belongings / sizeof *belongings; i++) {
        const belonging *b = &belongings[i];
        if (o->given & b->bit && !(b->overlays & 1u << o->overlay)) {
            complain("--%s goes with --overlay %s", b->name, b->with);
            return false;
        }
    }
    if (o->overlay == COAMING_OVERLAY_EXPOSE && !o->closure)
        complain("say by --closure which closure fails");
    else if (o->overlay == COAMING_OVERLAY_HOLD && !o->source)
        complain(SOURCE_MISSING);
    else if (o->overlay == COAMING_OVERLAY_HOLD &&
             o->query.hazard[COAMING_WATER] == o->query.hazard[COAMING_AIR])
        complain("say by --hazard which of them it is, water or air");
    else
        return true;
    return false;
}

/* Takes comma lists of the ids of decks apart. -1 to go on, else the exit status. */
static int find_decks(const options *o, const coaming_ship *ship, int **decks, size_t *count)
{
    size_t room = 1;
    for (size_t i = 0; i < o->drawn.count; i++)
        room += strlen(o->drawn.texts[i]) + 1;
    char *words = malloc(room), *rest = NULL;
    *decks = calloc(room, sizeof **decks);
    int result = -1;
    if (!words || !*decks) {
        free(words);
        return complain_of_memory();
    }
    for (size_t i = 0; i < o->drawn.count && result < 0; i++) {
        memcpy(words, o->drawn.texts[i], strlen(o->drawn.texts[i]) + 1);
        for (char *word = strtok_r(words, ",", &rest); word && result < 0;
             word = strtok_r(NULL, ",", &rest)) {
            coaming_error error;
            if (coaming_find_deck(ship, word, &(*decks)[*count], &error) != COAMING_OK)
                result = complain_of(&error);
            else
                ++*count;
        }
    }
    if (result < 0 && o->drawn.count && !*count) {
        complain("--deck names no deck");
        result = EXIT_USAGE;
    }
    free(words);
    return result;
}

static coaming_drawing drawing_of(const options *o)
{
    coaming_drawing d = coaming_drawing_default();
    d.profile = o->profile || !(o->given & OPT_DECK);
    d.plans = (o->given & OPT_DECK) || !o->profile;
    d.overlay = o->overlay;
    d.query = o->query;
    d.measure = o->measure;
    d.compact = o->compact;
    if (o->given & OPT_TOP)
        d.top = o->top;
    if (o->given & OPT_WITHIN)
        d.within = (int)o->within;
    if (o->given & OPT_WIDTH)
        d.width = o->width;
    return d;
}

/* What is laid over, and what it is asked of. */
typedef struct {
    coaming_outset *outset;
    coaming_exposure *exposure;
    coaming_ranking *ranking;
    coaming_due *due;
    coaming_hold *hold;
    coaming_survival *survival;
} answers;

typedef struct {
    int closure;
    coaming_place source;
    int *protect;
    size_t protect_count;
} subject;

static int find_subject(const options *o, const coaming_ship *ship, subject *s)
{
    coaming_error error;
    int result = find_spaces(ship, "protect", &o->protect, &s->protect, &s->protect_count);
    if (result < 0 && o->source)
        result = find_place(ship, o->source, &s->source);
    if (result < 0 && o->closure &&
        coaming_find_closure(ship, o->closure, &s->closure, &error) != COAMING_OK)
        result = complain_of(&error);
    return result;
}

static coaming_status ask_exposure(const options *o, const coaming_ship *ship, const subject *s,
                                   answers *a, coaming_drawing *d, coaming_error *error)
{
    coaming_status status =
        coaming_exposure_new(ship, o->query, &s->closure, 1, &a->exposure, error);
    d->exposure = a->exposure;
    return status == COAMING_OK
               ? coaming_exposure_choose(a->exposure, s->closure, o->source ? &s->source : NULL,
                                         &d->row, error)
               : status;
}

static coaming_status ask_due(const coaming_ship *ship, answers *a, coaming_drawing *d,
                              coaming_error *error)
{
    coaming_status status = coaming_due_new(ship, &a->due, error);
    if (status == COAMING_OK)
        coaming_due_within(a->due, d->within);
    d->due = a->due;
    return status;
}

static coaming_status ask_hold(const options *o, const coaming_ship *ship, const subject *s,
                               answers *a, coaming_drawing *d, coaming_error *error)
{
    coaming_status status =
        s->protect_count ? coaming_hold_new(ship, o->query, s->source, s->protect, s->protect_count,
                                            &a->hold, error)
                         : coaming_hold_nested_new(ship, o->query, s->source, &a->hold, error);
    d->hold = status == COAMING_OK ? coaming_hold_get(a->hold, 0) : NULL;
    return status;
}

/* The drawing shows what is, not what is likely. */
static coaming_status ask_survival(const options *o, const coaming_ship *ship, answers *a,
                                   coaming_drawing *d, coaming_error *error)
{
    coaming_survival_options how = coaming_survival_options_default();
    how.condition = o->query.condition;
    how.loading = o->query.loading;
    how.expected = false;
    coaming_status status = coaming_survival_new(ship, &how, &a->survival, error);
    d->survival = a->survival;
    return status;
}

static int ask(const options *o, const coaming_ship *ship, const subject *s, answers *a,
               coaming_drawing *d)
{
    coaming_error error;
    coaming_status status = COAMING_OK;
    switch (o->overlay) {
    case COAMING_OVERLAY_EXPOSE:
        status = ask_exposure(o, ship, s, a, d, &error);
        break;
    case COAMING_OVERLAY_RANK:
        status = coaming_ranking_new(ship, o->query, o->measure, &a->ranking, &error);
        d->ranking = a->ranking;
        break;
    case COAMING_OVERLAY_DUE:
        status = ask_due(ship, a, d, &error);
        break;
    case COAMING_OVERLAY_HOLD:
        status = ask_hold(o, ship, s, a, d, &error);
        break;
    case COAMING_OVERLAY_SURVIVAL:
        status = ask_survival(o, ship, a, d, &error);
        break;
    default:
        break;
    }
    if (status == COAMING_OK && o->overlay != COAMING_OVERLAY_NONE &&
        o->overlay != COAMING_OVERLAY_DUE && o->overlay != COAMING_OVERLAY_SURVIVAL)
        status = coaming_outset_new(ship, o->query, &a->outset, &error);
    d->outset = a->outset;
    return status == COAMING_OK ? -1 : complain_of(&error);
}

static void answers_free(answers *a)
{
    coaming_outset_free(a->outset);
    coaming_exposure_free(a->exposure);
    coaming_ranking_free(a->ranking);
    coaming_due_free(a->due);
    coaming_hold_free(a->hold);
    coaming_survival_free(a->survival);
}

int cmd_draw(options *o)
{
    coaming_ship *ship = NULL;
    int *decks = NULL;
    subject s = {0};
    answers a = {0};
    coaming_error error;
    output out;
    int result = asked_well(o) ? load_asked(o, &ship) : EXIT_USAGE;
    coaming_drawing d = drawing_of(o);
    if (result < 0)
        result = find_decks(o, ship, &decks, &d.deck_count);
    if (result < 0)
        result = find_subject(o, ship, &s);
    if (result < 0)
        result = ask(o, ship, &s, &a, &d);
    if (result < 0)
        result = output_open(&out, o);
    if (result < 0) {
        d.decks = decks;
        result = output_close(&out, coaming_print_drawing(out.stream, ship, &d, &error), &error);
    }
    answers_free(&a);
    free(s.protect);
    free(decks);
    coaming_ship_free(ship);
    return result;
}
