#include "present/tell/float_words.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

const char *heel_side(const coaming_float *at, int decimals)
{
    if (!(fabs(at->heel) >= 0.5 * pow(10, -decimals)))
        return "";
    return at->either_side ? " to either side" : at->heel > 0 ? " to port" : " to starboard";
}

const char *heel_words(char buffer[SHOWN], const coaming_float *at, int decimals)
{
    const char *side = heel_side(at, decimals);
    snprintf(buffer, SHOWN, "%.*f degrees%s", decimals, *side ? fabs(at->heel) : 0, side);
    return buffer;
}

static void put_limits(FILE *out, const coaming_ship *ship, const coaming_stability *s)
{
    char id[SHOWN];
    bool started = false;
    for (int i = 0; i < COAMING_LIMITS; i++) {
        if (!s->passed[i])
            continue;
        fputs(started ? ", " : ": ", out);
        fputs(coaming_limit_text((coaming_limit)i), out);
        if (i == COAMING_LIMIT_OPENING)
            fprintf(out, " (%s)", shown(id, ship->links[s->flooding_opening].id, 24));
        started = true;
    }
}

static const char *capsize_side(const coaming_float *at)
{
    return at->capsizes_to > 0 ? " to port" : at->capsizes_to < 0 ? " to starboard" : "";
}

char *grade_words(const coaming_ship *ship, const coaming_float *at, const coaming_stability *s)
{
    char heel[SHOWN];
    sentence w;
    if (!sentence_begin(&w))
        return NULL;
    if (s->grade == COAMING_GRADE_LOST) {
        fprintf(w.out, "%s%s", coaming_afloat_text(at->afloat), capsize_side(at));
        return sentence_end(&w);
    }
    fprintf(w.out, "is %s", coaming_grade_text(s->grade));
    put_limits(w.out, ship, s);
    if (at->loll)
        fprintf(w.out, "; unstable upright, she lolls at %s", heel_words(heel, at, 1));
    return sentence_end(&w);
}

const char *lost_cause(coaming_afloat afloat)
{
    const char *cause = strstr(coaming_afloat_text(afloat), ": ");
    return cause ? cause : "";
}

char *fate_words(const coaming_ship *ship, const coaming_float *at, const coaming_stability *s)
{
    sentence w;
    if (s->grade != COAMING_GRADE_LOST)
        return grade_words(ship, at, s);
    if (!sentence_begin(&w))
        return NULL;
    fprintf(w.out, "is lost%s%s", lost_cause(at->afloat), capsize_side(at));
    return sentence_end(&w);
}

char *rest_words(const coaming_ship *ship, const coaming_float *at, const coaming_stability *s)
{
    char heel[SHOWN], *fate = fate_words(ship, at, s);
    sentence w;
    if (!fate || !sentence_begin(&w)) {
        free(fate);
        return NULL;
    }
    fputs(fate, w.out);
    if (s->grade != COAMING_GRADE_LOST)
        fprintf(w.out, ", at %.2f m amidships, heel %s", at->draught, heel_words(heel, at, 1));
    fputc('.', w.out);
    free(fate);
    return sentence_end(&w);
}

const char *lost_whether(bool decides)
{
    return decides ? ", and would if it held" : ", whether it holds or not";
}

char *flooding_words(const coaming_ship *ship, const coaming_stability *s)
{
    char id[SHOWN];
    sentence w;
    if (!sentence_begin(&w))
        return NULL;
    if (s->flooding_opening >= 0)
        fprintf(w.out, "the arms end at %.1f degrees, where %s %s and lets water on",
                s->flooding_angle, shown(id, ship->links[s->flooding_opening].id, 24),
                s->passed[COAMING_LIMIT_OPENING] ? "is under" : "goes under");
    return sentence_end(&w);
}

enum { NAMED_MOST = 12 };

static void put_entries(FILE *out, const coaming_ship *ship, const coaming_inflow *entries,
                        size_t count, bool link_first)
{
    char id[SHOWN], place[SHOWN];
    size_t named = 0;
    for (size_t i = 0; i < count; i++) {
        if (entries[i].by_design || named++ >= NAMED_MOST)
            continue;
        fputs(named > 1 ? ", " : "", out);
        shown(place, ship->spaces[entries[i].space].id, 24);
        if (entries[i].link < 0)
            fputs(place, out);
        else if (link_first)
            fprintf(out, "%s to %s", shown(id, ship->links[entries[i].link].id, 24), place);
        else
            fprintf(out, "%s by %s", place, shown(id, ship->links[entries[i].link].id, 24));
    }
    if (named > NAMED_MOST)
        fprintf(out, " and %zu more", named - NAMED_MOST);
}

char *entry_words(const coaming_ship *ship, const coaming_inflow *entries, size_t count)
{
    sentence w;
    if (!sentence_begin(&w))
        return NULL;
    put_entries(w.out, ship, entries, count, false);
    return sentence_end(&w);
}

char *way_words(const coaming_ship *ship, const coaming_inflow *entries, size_t count)
{
    sentence w;
    if (!sentence_begin(&w))
        return NULL;
    put_entries(w.out, ship, entries, count, true);
    return sentence_end(&w);
}

char *would_go_on_words(const coaming_ship *ship, const coaming_floating_answer *a)
{
    char part[SHOWN], *fate = fate_words(ship, &a->then_at, &a->then);
    size_t first = a->flooded_count + a->would_go_on_count;
    sentence w;
    if (!fate || !sentence_begin(&w)) {
        free(fate);
        return NULL;
    }
    fputs("As the doors are, water would go on by ", w.out);
    put_entries(w.out, ship, a->would_go_on, a->would_go_on_count, true);
    if (a->then_count > first)
        fprintf(w.out, ", from there as she settles to %s more",
                counted(part, (double)(a->then_count - first), "space", "spaces"));
    fprintf(w.out, ", and with that she %s.", fate);
    free(fate);
    return sentence_end(&w);
}

/* "engine by V1; with these open she is lost: she capsizes", and how many of `count` spaces water
 * gets to only as she goes. False when out of memory. */
static bool put_let_in_fate(FILE *out, const coaming_ship *ship, const coaming_rest *rest,
                            const coaming_inflow *entries, size_t count)
{
    char part[SHOWN], *fate = fate_words(ship, &rest->at, &rest->stability);
    size_t named = rest->count ? rest->count : count;
    put_entries(out, ship, entries, named, false);
    fprintf(out, "; with %s open she %s", count > 1 ? "these" : "this", fate ? fate : "");
    if (count > named)
        fprintf(out, ", and as she goes water gets to %s more",
                counted(part, (double)(count - named), "space", "spaces"));
    bool good = fate;
    free(fate);
    return good;
}

char *let_in_words(const coaming_outset *outset)
{
    size_t count = 0;
    const coaming_ship *ship = coaming_outset_ship(outset);
    const coaming_inflow *entries = coaming_outset_let_in(outset, &count);
    const coaming_rest *rest = coaming_outset_rest(outset);
    bool good = true;
    sentence w;
    if (!sentence_begin(&w))
        return NULL;
    if (count)
        fputs("As tested the sea is let into ", w.out);
    if (rest)
        good = put_let_in_fate(w.out, ship, rest, entries, count);
    else
        put_entries(w.out, ship, entries, count, false);
    if (count)
        fputc('.', w.out);
    char *text = sentence_end(&w);
    if (good)
        return text;
    free(text);
    return NULL;
}
