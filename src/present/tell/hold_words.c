#include "present/tell/hold_words.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "present/tell/chance_words.h"
#include "present/tell/float_words.h"
#include "present/tell/standing_words.h"
#include "ship/access.h"
#include "ship/state.h"

const char *hold_clean(const coaming_hold_answer *a)
{
    return a->hazard == COAMING_WATER ? "dry" : "clean";
}

const char *hold_noun(const coaming_hold_answer *a)
{
    return a->hazard == COAMING_WATER ? "water" : "smoke or bad air";
}

const char *hold_title(coaming_hazard hazard)
{
    return hazard == COAMING_WATER ? "WATER" : "SMOKE OR BAD AIR";
}

const char *hold_trust(char buffer[SHOWN], const coaming_ship *ship, int closure)
{
    char stands[SHOWN], repaired[SHOWN];
    bool trusted = coaming_closure_result(ship, closure) == COAMING_PASS;
    standing_words(stands, ship, closure);
    repaired_words(repaired, ship, closure);
    snprintf(buffer, SHOWN, "%s%.120s%s%.80s", trusted ? "" : "CANNOT BE TRUSTED: ", stands,
             *repaired ? ", " : "", repaired);
    return buffer;
}

const char *hold_line_chance(char buffer[SHOWN], const coaming_hold_line *line)
{
    char count[SHOWN], chance[SHOWN];
    counted(count, (double)line->closure_count, "closure", "closures");
    percent(chance, line->holds);
    snprintf(buffer, SHOWN, "%.60s, %s with a chance of %.40s", count,
             line->closure_count == 1 ? "which holds" : "which all hold", chance);
    return buffer;
}

const char *hold_why_open(const ship_link *l, coaming_hazard hazard)
{
    if (l->passage)
        return "open";
    if (!link_can_be_shut(l))
        return "never shut";
    if (l->rating == NONTIGHT)
        return "not tight";
    if (link_slows(l, hazard))
        return "weathertight only, under water";
    return l->seen[COAMING_SEEN_FAILED] ? "failed " AS_SEEN : "sure to leak";
}

int hold_by_need(const void *left, const void *right)
{
    const coaming_hold_closure *a = left, *b = right;
    if (a->must_be_shut != b->must_be_shut)
        return a->must_be_shut ? -1 : 1;
    if (a->leak_probability != b->leak_probability)
        return a->leak_probability > b->leak_probability ? -1 : 1;
    return (a->closure > b->closure) - (a->closure < b->closure);
}

bool hold_gives_up(const coaming_hold_line *line, int space)
{
    return is_among(line->given_up, line->given_up_count, space);
}

coaming_place hold_clean_side(const coaming_ship *ship, const coaming_hold_line *line, int link)
{
    const ship_link *l = &ship->links[link];
    return is_among(line->kept, line->kept_count, l->a) ? l->a : l->b;
}

/* Of what is given up, how much the source can fill: what is made to be wet is not told. */
static size_t count_among(const coaming_hold_line *line)
{
    size_t count = 0;
    for (size_t i = 0; i < line->filled_count; i++)
        count += hold_gives_up(line, line->filled[i]);
    return count;
}

/* What leads past a line where she floats behind it. */
static void put_not_held(FILE *out, const coaming_ship *ship, const coaming_hold_answer *a,
                         const coaming_hold_line *line)
{
    char id[SHOWN], place[SHOWN];
    const ship_link *l = &ship->links[line->not_held];
    coaming_place kept = hold_clean_side(ship, line, line->not_held);
    fprintf(out, "BUT THE LINE CANNOT HOLD: %s (%s) is under water then and leads from ",
            shown(id, l->id, 30), hold_why_open(l, a->hazard));
    fputs(shown(place, coaming_place_id(ship, link_other_side(l, kept)), 30), out);
    fprintf(out, " past it to %s.", shown(place, coaming_place_id(ship, kept), 30));
}

/* What else of it is flooded. Returns the buffer. */
static const char *besides_words(char buffer[SHOWN], const coaming_hold_line *line)
{
    *buffer = '\0';
    if (line->let_in_count)
        snprintf(buffer, SHOWN, ", and %zu more that the sea is let into", line->let_in_count);
    return buffer;
}

char *hold_float_words(const coaming_ship *ship, const coaming_hold_answer *a,
                       const coaming_hold_line *line)
{
    char heel[SHOWN], part[SHOWN], more[SHOWN],
        *text = NULL, *grade = grade_words(ship, &line->at, &line->stability);
    size_t size = 0;
    FILE *out = grade ? open_memstream(&text, &size) : NULL;
    if (out && line->stability.grade == COAMING_GRADE_LOST)
        fprintf(out, "WITH ALL FLOODED THAT THE SOURCE CAN FILL UP TO THE LINE%s she %s.%s",
                line->let_in_count ? ", AND WHAT THE SEA IS LET INTO," : "", grade,
                a->nested ? "" : " Name more spaces with --protect for a line nearer to it.");
    else if (out)
        fprintf(out,
                "With all flooded that the source can fill up to the line (%zu of the %s given "
                "up%s), she floats at %.2f m amidships, heel %s; she %s.",
                count_among(line), counted(part, (double)line->given_up_count, "space", "spaces"),
                besides_words(more, line), line->at.draught, heel_words(heel, &line->at, 1), grade);
    if (out && line->not_held >= 0) {
        fputc(' ', out);
        put_not_held(out, ship, a, line);
    }
    free(grade);
    return words_end(out, &text);
}

/* "from A by D1 (leaks 3.0 %) to B, by P1 (open) to C". */
static void put_way(FILE *out, const coaming_ship *ship, const coaming_hold_answer *a,
                    const coaming_hold_way *w)
{
    char id[SHOWN], place[SHOWN], part[SHOWN];
    fprintf(out, "from %s", shown(place, coaming_place_id(ship, w->from), 30));
    for (size_t i = 0; i < w->step_count; i++) {
        const coaming_hold_step *s = &w->steps[i];
        const ship_link *l = &ship->links[s->link];
        fprintf(out, "%s by %s (", i ? "," : "", shown(id, l->id, 30));
        if (s->stands_open)
            fputs("stands open", out);
        else if (s->leak_probability >= 1)
            fputs(hold_why_open(l, a->hazard), out);
        else
            fprintf(out, "leaks %s", percent(part, s->leak_probability));
        fprintf(out, ") to %s", shown(place, coaming_place_id(ship, s->to), 30));
    }
}

const char *hold_not_afloat_words(char buffer[SHOWN], const coaming_hold_answer *a)
{
    *buffer = '\0';
    if (a->afloat != COAMING_AFLOAT_YES)
        snprintf(buffer, SHOWN,
                 "WITH WHAT NO LINE CAN KEEP DRY FLOODED she %s; every opening is counted as under "
                 "water.",
                 coaming_afloat_text(a->afloat));
    return buffer;
}

const char *hold_source_words(char buffer[SHOWN], const coaming_ship *ship,
                              const coaming_hold_answer *a)
{
    char place[SHOWN];
    bool several = a->source_count > 1;
    *buffer = '\0';
    if (a->source_dry)
        snprintf(buffer, SHOWN,
                 "%.120s %s above the water: lines are against what comes from outside.",
                 several ? "All of these" : shown(place, coaming_place_id(ship, a->source), 30),
                 several ? "lie" : "lies");
    return buffer;
}

char *hold_lost_words(const coaming_ship *ship, const coaming_hold_answer *a, size_t index)
{
    char *text = NULL, id[SHOWN];
    size_t size = 0;
    FILE *out = open_memstream(&text, &size);
    if (!out)
        return NULL;
    fprintf(out, "NO LINE can keep %s %s: ", shown(id, ship->spaces[a->lost_spaces[index]].id, 30),
            hold_clean(a));
    if (a->lost[index].step_count)
        put_way(out, ship, a, &a->lost[index]);
    else
        fprintf(out, "the %s is in it", hold_noun(a));
    fputc('.', out);
    return words_end(out, &text);
}

char *hold_weakest_words(const coaming_ship *ship, const coaming_hold_answer *a)
{
    char *text = NULL, part[SHOWN];
    size_t size = 0;
    FILE *out = open_memstream(&text, &size);
    if (!out)
        return NULL;
    fprintf(out, "Weakest way through%s: ", a->nested ? " to a vital space" : "");
    put_way(out, ship, a, &a->way);
    fprintf(out, "; all of it leaks with a chance of %s.", percent(part, a->way.probability));
    return words_end(out, &text);
}

size_t hold_own_count(const coaming_rest *rest)
{
    size_t own = 0;
    while (own < rest->count && rest->entries[own].link < 0)
        own++;
    return own;
}

char *hold_as_is_words(const coaming_ship *ship, const coaming_hold_answer *a, bool settles)
{
    const coaming_rest *r = &a->as_is;
    size_t own = hold_own_count(r), size = 0;
    char *text = NULL, *fate = settles ? fate_words(ship, &r->at, &r->stability) : NULL;
    char *ways = fate || !settles ? way_words(ship, r->entries + own, r->count - own) : NULL;
    FILE *out = ways ? open_memstream(&text, &size) : NULL;
    if (out)
        fprintf(out, "As the doors are the %s goes on %s%s%s%s.", hold_noun(a),
                *ways ? "by " : "nowhere", ways, settles ? ", and she " : "", settles ? fate : "");
    free(fate);
    free(ways);
    return words_end(out, &text);
}

char *hold_no_line_words(const coaming_hold_answer *a)
{
    char *text = NULL;
    size_t size = 0;
    FILE *out = open_memstream(&text, &size);
    if (!out)
        return NULL;
    const char *level = a->hazard == COAMING_WATER ? " at this level" : "";
    bool lost = a->as_is.count && a->as_is.stability.grade == COAMING_GRADE_LOST;
    if (a->nested)
        fprintf(out,
                "There is no line to name: from where the %s gets to no closure leads on that can "
                "hold. %s",
                hold_noun(a),
                lost ? "What must hold is what keeps her afloat."
                     : "Look for ways that are not recorded.");
    else if (lost)
        fputs("While she floats no way is recorded from there to what is to be kept, so there is "
              "no line to name: what must hold is what keeps her afloat.",
              out);
    else
        fprintf(out,
                "No way is recorded by which the %s could get to %s%s. Look for those that are not "
                "recorded.%s",
                hold_noun(a), a->lost_count ? "the rest" : "what is to be kept", level,
                *level ? " Others may come under water as more floods." : "");
    return words_end(out, &text);
}

enum { LISTED_MOST = 20, BRIEF_MOST = 4 };

void hold_put_spaces(FILE *out, const coaming_ship *ship, const int *spaces, size_t count)
{
    char id[SHOWN];
    for (size_t i = 0; i < count; i++)
        fprintf(out, "%s%s", i ? ", " : "", shown(id, ship->spaces[spaces[i]].id, 30));
    if (!count)
        fputs("no space", out);
}

void hold_put_sources(FILE *out, const coaming_ship *ship, const coaming_hold_answer *a,
                      size_t most)
{
    char id[SHOWN];
    for (size_t i = 0; i < a->source_count && i < most; i++)
        fprintf(out, "%s%s", i ? ", " : "", shown(id, coaming_place_id(ship, a->sources[i]), 30));
}

char *hold_kept_words(const coaming_ship *ship, const coaming_hold_answer *a,
                      const coaming_hold_line *line)
{
    char *text = NULL, id[SHOWN];
    size_t size = 0, count = line->kept_count - line->wet_count;
    bool started = false;
    FILE *out = open_memstream(&text, &size);
    if (!out)
        return NULL;
    fprintf(out, "Stays %s if all of it holds: ", hold_clean(a));
    if (count > LISTED_MOST)
        fprintf(out, "the other %zu spaces", count);
    for (size_t i = 0; i < line->kept_count && count <= LISTED_MOST; i++) {
        if (is_among(line->wet, line->wet_count, line->kept[i]))
            continue;
        fprintf(out, "%s%s", started ? ", " : "", shown(id, ship->spaces[line->kept[i]].id, 30));
        started = true;
    }
    fputs(count ? "." : "no space.", out);
    return words_end(out, &text);
}

char *hold_open_words(const coaming_ship *ship, const coaming_hold_line *line)
{
    char *text = NULL, id[SHOWN];
    size_t size = 0, told = line->open_count < LISTED_MOST ? line->open_count : LISTED_MOST;
    FILE *out = open_memstream(&text, &size);
    if (!out)
        return NULL;
    for (size_t i = 0; i < told; i++)
        fprintf(out, "%s%s", i ? ", " : "Behind the line these stand open: ",
                shown(id, ship->links[line->open_behind[i]].id, 30));
    if (told < line->open_count)
        fprintf(out, " and %zu more", line->open_count - told);
    fputs(told ? "; shut them too." : "", out);
    return words_end(out, &text);
}

/* The closures by which the sea first gets in: "SV1, SV2". */
static void put_entrances(FILE *out, const coaming_ship *ship, const coaming_hold_answer *a)
{
    char id[SHOWN];
    bool started = false;
    for (size_t i = 0; i < a->let_in_afloat; i++) {
        const ship_link *l = &ship->links[a->let_in[i].link];
        if (l->a >= 0 && l->b >= 0)
            continue;
        fprintf(out, "%s%s", started ? ", " : " (", shown(id, l->id, 30));
        started = true;
    }
    fputs(started ? ")" : "", out);
}

char *hold_wet_words(const coaming_ship *ship, const coaming_hold_answer *a,
                     const coaming_hold_line *line)
{
    char *text = NULL;
    size_t size = 0;
    FILE *out = open_memstream(&text, &size);
    if (out && line->wet_count) {
        fputs(HOLD_WET, out);
        hold_put_spaces(out, ship, line->wet, line->wet_count);
        fputs(". Dry only if what lets the sea in", out);
        put_entrances(out, ship, a);
        fputs(" is made to hold, or shut off before it gets there.", out);
    }
    return words_end(out, &text);
}

/* "; of them vital: switch, bridge". */
static void put_vital(FILE *out, const coaming_ship *ship, const coaming_hold_line *line)
{
    char id[SHOWN];
    bool started = false;
    for (size_t i = 0; i < line->given_up_count; i++) {
        const ship_space *s = &ship->spaces[line->given_up[i]];
        if (!s->vital)
            continue;
        fprintf(out, "%s%s", started ? ", " : "; of them vital: ", shown(id, s->id, 30));
        started = true;
    }
}

char *hold_given_up_words(const coaming_ship *ship, const coaming_hold_line *line,
                          const coaming_hold_line *before)
{
    char part[SHOWN], *text = NULL;
    size_t size = 0;
    bool started = false;
    FILE *out = open_memstream(&text, &size);
    if (!out)
        return NULL;
    fprintf(out, "Given up%s: ", before ? " besides" : "");
    for (size_t i = 0; i < line->given_up_count; i++) {
        if (before && hold_gives_up(before, line->given_up[i]))
            continue;
        fprintf(out, "%s%s", started ? ", " : "",
                shown(part, ship->spaces[line->given_up[i]].id, 30));
        started = true;
    }
    fprintf(out, "%s. In all %s", started ? "" : "no space",
            counted(part, (double)line->given_up_count, "space", "spaces"));
    put_vital(out, ship, line);
    if (line->people > 0)
        fprintf(out, "; %s counted there", counted(part, line->people, "person", "people"));
    fputc('.', out);
    return words_end(out, &text);
}

/* Lines from near to far */

size_t hold_told_first(const coaming_hold_answer *a)
{
    return a->recommended < a->line_count ? a->recommended : 0;
}

const char *hold_one_line(const coaming_hold_answer *a)
{
    const coaming_hold_line *line = &a->lines[a->line_count - 1];
    bool more = false;
    for (size_t i = 0; i < line->closure_count && a->nested; i++)
        more = more || !line->closures[i].last;
    return more ? "No line behind it holds better for what it gives up."
                : "There is no other line behind it.";
}

const char *hold_line_head(char buffer[SHOWN], const coaming_hold_answer *a, size_t index)
{
    static const char *const behind[] = {"LINE TO HOLD", "Second line, behind it",
                                         "Third line, behind that"};
    size_t first = hold_told_first(a);
    if (!a->nested)
        return index ? "The next line behind" : "Line most likely to hold";
    snprintf(buffer, SHOWN, "%s (%zu of %zu)",
             a->recommended == a->line_count && index == 0 ? "Nearest line" : behind[index - first],
             index + 1, a->line_count);
    return buffer;
}

const char *hold_loss_words(char buffer[SHOWN], const coaming_hold_line *line)
{
    char loss[SHOWN], error[SHOWN];
    int written = snprintf(buffer, SHOWN, "expected loss %.40s",
                           measured_loss(loss, COAMING_MEASURE_WORTH, line->expected_loss));
    if (line->expected_error > 0)
        snprintf(buffer + written, SHOWN - (size_t)written, " (standard error %.40s)",
                 amount(error, line->expected_error));
    else if (isnan(line->expected_error))
        snprintf(buffer + written, SHOWN - (size_t)written, " or more, as far as samples tell");
    return buffer;
}

/* Can it hold, and does she stay afloat with it (floats: is that asked)? */
static bool is_of_use(const coaming_hold_line *line, bool floats)
{
    return line->not_held < 0 && !(floats && line->stability.grade == COAMING_GRADE_LOST);
}

/* Is another line as good? */
static bool has_equal(const coaming_hold_answer *a, bool floats)
{
    double least = a->lines[a->recommended].expected_loss;
    for (size_t i = a->recommended + 1; i < a->line_count; i++)
        if (is_of_use(&a->lines[i], floats) && a->lines[i].expected_loss <= least * (1 + 1e-12))
            return true;
    return false;
}

/* "the least of 3 lines with which she stays afloat", of those that are of use. */
static void put_least(FILE *out, const coaming_hold_answer *a, size_t of_use, bool all_hold,
                      bool floats)
{
    char loss[SHOWN], part[SHOWN];
    hold_loss_words(loss, &a->lines[hold_told_first(a)]);
    const char *such = all_hold ? "" : " that can hold and";
    const char *equal = has_equal(a, floats) ? "; of equal ones the nearest" : "";
    if (a->line_count == 1)
        fprintf(out, "Why: it is the only one; %s.", loss);
    else if (of_use == 1)
        fprintf(out, "Why: it is the only one%s with which she stays afloat; %s.", such, loss);
    else if (of_use == a->line_count)
        fprintf(out, "Why: %s, the least of all lines%s%s.", loss,
                floats ? " with which she stays afloat" : "", equal);
    else
        fprintf(out, "Why: %s, the least of %s%s with which she stays afloat%s.", loss,
                counted(part, (double)of_use, "line", "lines"), such, equal);
}

char *hold_why_words(const coaming_hold_answer *a, bool floats)
{
    size_t of_use = 0, size = 0, next = a->recommended + 1;
    bool all_hold = true;
    char *text = NULL;
    FILE *out = open_memstream(&text, &size);
    if (!out)
        return NULL;
    for (size_t i = 0; i < a->line_count; i++) {
        of_use += is_of_use(&a->lines[i], floats);
        all_hold = all_hold && a->lines[i].not_held < 0;
    }
    if (of_use)
        put_least(out, a, of_use, all_hold, floats);
    else
        fprintf(out, "WITH NO LINE%s DOES SHE STAY AFLOAT, so none is named as the one to hold.",
                all_hold ? "" : " THAT CAN HOLD");
    if (next < a->line_count && a->lines[a->recommended].holds < 0.5)
        fprintf(out, " It is likelier to give way than to hold all through%s.",
                is_of_use(&a->lines[next], floats) ? ": make the second line ready as well"
                                                   : ", and the second line is of no use");
    return words_end(out, &text);
}

const char *hold_task(const coaming_hold_closure *c)
{
    return c->must_be_shut ? "SHUT" : "keep shut";
}

bool hold_has_closure(const coaming_hold_line *line, int closure)
{
    for (size_t i = 0; i < line->closure_count; i++)
        if (line->closures[i].closure == closure)
            return true;
    return false;
}

size_t hold_count_shared(const coaming_hold_line *line, const coaming_hold_line *other)
{
    size_t count = 0;
    for (size_t i = 0; i < line->closure_count; i++)
        count += hold_has_closure(other, line->closures[i].closure);
    return count;
}

void hold_put_sides(FILE *out, const coaming_ship *ship, int closure, coaming_place from,
                    bool elsewhere)
{
    char id[SHOWN];
    const ship_link *l = &ship->links[closure];
    coaming_place against = link_other_side(l, from);
    bool wrong_side = l->one_sided && l->from == against;
    if (link_stand(ship, l, from) != from) {
        fprintf(out, HOLD_INSIDE " %s%s ", shown(id, coaming_place_id(ship, against), 30),
                elsewhere ? " (or from elsewhere)" : "");
        fprintf(out, "against %s", shown(id, coaming_place_id(ship, from), 30));
        return;
    }
    if (elsewhere && wrong_side)
        fputs("from elsewhere (remote) ", out);
    else
        fprintf(out, "from %s%s ", shown(id, coaming_place_id(ship, from), 30),
                elsewhere ? " (or from elsewhere)" : "");
    fprintf(out, "against %s", shown(id, coaming_place_id(ship, against), 30));
    if (wrong_side && elsewhere)
        fprintf(out, "; at the door it is worked from %s only", id);
    else if (wrong_side)
        fprintf(out, ", BUT WORKED FROM %s ONLY", id);
}

/* The sides: what is given up first; of nested lines from where it is held, against what. */
static void put_sides(FILE *out, const coaming_ship *ship, const coaming_hold_answer *a,
                      const coaming_hold_line *line, const coaming_hold_closure *c)
{
    char id[SHOWN];
    coaming_place kept = hold_clean_side(ship, line, c->closure);
    coaming_place lost = link_other_side(&ship->links[c->closure], kept);
    if (!a->nested) {
        fprintf(out, "%s to ", shown(id, coaming_place_id(ship, lost), 30));
        fputs(shown(id, coaming_place_id(ship, kept), 30), out);
        return;
    }
    hold_put_sides(out, ship, c->closure, kept,
                   c->must_be_shut && link_remote_without(&ship->links[c->closure], line->given_up,
                                                          line->given_up_count));
}

char *hold_closure_words(const coaming_ship *ship, const coaming_hold_answer *a,
                         const coaming_hold_line *line, const coaming_hold_closure *c)
{
    char id[SHOWN], name[SHOWN], part[SHOWN], trust[SHOWN], *text = NULL;
    const ship_link *l = &ship->links[c->closure];
    size_t size = 0;
    FILE *out = open_memstream(&text, &size);
    if (!out)
        return NULL;
    fprintf(out, "%s %s, ", hold_task(c), shown(id, l->id, 30));
    if (l->name && strcmp(l->name, l->id))
        fprintf(out, "%s, ", shown(name, l->name, 60));
    put_sides(out, ship, a, line, c);
    if (c->slows)
        fprintf(out, ": weathertight only, under water: %s", HOLD_SLOWS);
    else
        fprintf(out, ": holds %s; %s", percent(part, 1 - c->leak_probability),
                hold_trust(trust, ship, c->closure));
    if (c->last)
        fputs("; nothing behind it", out);
    return words_end(out, &text);
}

char *hold_shared_words(const coaming_ship *ship, const coaming_hold_line *line,
                        const coaming_hold_line *before)
{
    char id[SHOWN], *text = NULL;
    size_t size = 0, shared = hold_count_shared(line, before), told = 0;
    FILE *out = open_memstream(&text, &size);
    if (!out)
        return NULL;
    if (shared)
        fprintf(out, "%sof the line before: ", shared < line->closure_count ? "and " : "only ");
    for (size_t i = 0; i < line->closure_count; i++)
        if (hold_has_closure(before, line->closures[i].closure))
            fprintf(out, "%s%s", told++ ? ", " : "",
                    shown(id, ship->links[line->closures[i].closure].id, 30));
    return words_end(out, &text);
}

bool hold_outer(const coaming_ship *ship, const coaming_hold_answer *a,
                const coaming_hold_closure *c)
{
    const ship_link *l = &ship->links[c->closure];
    return a->nested && a->source >= 0 && !a->source_dry && (l->a < 0 || l->b < 0) &&
           !c->must_be_shut && !c->slows &&
           coaming_closure_result(ship, c->closure) == COAMING_PASS;
}

char *hold_outer_words(const coaming_ship *ship, const coaming_hold_answer *a,
                       const coaming_hold_line *line, const coaming_hold_line *before)
{
    char id[SHOWN], part[SHOWN], *text = NULL;
    size_t size = 0, told = 0;
    FILE *out = open_memstream(&text, &size);
    if (!out)
        return NULL;
    for (size_t i = 0; i < line->closure_count; i++) {
        const coaming_hold_closure *c = &line->closures[i];
        if (!hold_outer(ship, a, c) || (before && hold_has_closure(before, c->closure)))
            continue;
        fputs(told++ ? ", " : "to the outside, passed, keep shut: ", out);
        fprintf(out, "%s (%s)", shown(id, ship->links[c->closure].id, 30),
                percent(part, 1 - c->leak_probability));
    }
    return words_end(out, &text);
}

char *hold_not_held_words(const coaming_ship *ship, const coaming_hold_answer *a,
                          const coaming_hold_line *line)
{
    char *text = NULL;
    size_t size = 0;
    FILE *out = open_memstream(&text, &size);
    if (out && line->not_held >= 0)
        put_not_held(out, ship, a, line);
    return words_end(out, &text);
}

static size_t count_lost_if(const coaming_hold_line *line)
{
    size_t count = 0;
    for (size_t i = 0; i < line->closure_count; i++)
        count += line->closures[i].then != COAMING_AFLOAT_YES;
    return count;
}

static void put_lost_if(FILE *out, const coaming_ship *ship, const coaming_hold_line *line)
{
    char id[SHOWN];
    size_t count = count_lost_if(line), told = 0;
    for (size_t i = 0; i < line->closure_count && told < LISTED_MOST; i++) {
        const coaming_hold_closure *c = &line->closures[i];
        if (c->then == COAMING_AFLOAT_YES)
            continue;
        if (told++)
            fputs(told == count ? " or " : ", ", out);
        fputs(shown(id, ship->links[c->closure].id, 30), out);
    }
    if (told < count)
        fprintf(out, " or one of %zu more", count - told);
}

/* ": she capsizes", where it is the same by all of them. */
static const char *why_lost_if(const coaming_hold_line *line)
{
    coaming_afloat then = COAMING_AFLOAT_YES;
    for (size_t i = 0; i < line->closure_count; i++) {
        coaming_afloat own = line->closures[i].then;
        if (own != COAMING_AFLOAT_YES && then != COAMING_AFLOAT_YES && own != then)
            return "";
        then = own != COAMING_AFLOAT_YES ? own : then;
    }
    return lost_cause(then);
}

char *hold_lost_if_words(const coaming_ship *ship, const coaming_hold_line *line, bool why)
{
    char *text = NULL;
    size_t size = 0;
    FILE *out = open_memstream(&text, &size);
    size_t count = count_lost_if(line);
    if (out && count > BRIEF_MOST && !why)
        fprintf(out, "Lost if one of %zu gives way.", count);
    else if (out && count) {
        fputs("If ", out);
        put_lost_if(out, ship, line);
        fprintf(out, " gives way she is lost%s.", why ? why_lost_if(line) : "");
    }
    return words_end(out, &text);
}

bool hold_is_bad(const coaming_hold_line *line)
{
    return line->not_held >= 0 || line->stability.grade >= COAMING_GRADE_NOT_SURVIVING;
}

const char *hold_grade_brief(const coaming_hold_line *line)
{
    if (line->not_held >= 0)
        return "not held";
    static const char *const brief[] = {"within limits", "beyond limits", "not surviving", "lost"};
    return brief[line->stability.grade];
}
