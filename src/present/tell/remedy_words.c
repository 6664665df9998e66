#include "present/tell/remedy_words.h"

#include <string.h>

#include "present/form/style.h"
#include "present/tell/standing_words.h"

/* What the parts are called, by kind of closure. Common practice, no source. */
typedef struct {
    const char *frame; /* that it shuts against */
    const char *leaf;
    const char *bears; /* what the gasket bears on */
    const char *fasteners;
} part_names;

static const part_names *parts_of(const coaming_ship *ship, const coaming_reading *r)
{
    static const part_names door = {"frame", "door", "knife edge", "dogs"},
                            lid = {"coaming", "cover", "knife edge", "dogs"},
                            port = {"frame", "glass holder", "seat", "screw dogs"},
                            bolted = {"seat", "cover", "seat", "nuts"},
                            vent = {"coaming", "cover", "seat", "fastenings"};
    switch (ship->links[r->closure].kind) {
    case HATCH:
    case SCUTTLE:
        return &lid;
    case SIDESCUTTLE:
        return &port;
    case VENTILATOR:
        return &vent;
    case MANHOLE:
    case COVER:
        return &bolted;
    default:
        return &door;
    }
}

/* "at the top corner on the free side", "on the free side", "". */
static const char *gap_place(const coaming_gap_reading *g)
{
    static const char *const sides[] = {"on the top edge", "on the free side", "on the bottom edge",
                                        "on the hinge side"};
    static const char *const corners[] = {
        "at the top corner on the hinge side", "at the top corner on the free side",
        "at the bottom corner on the free side", "at the bottom corner on the hinge side"};
    return g->corner >= 0 ? corners[g->corner] : g->side >= 0 ? sides[g->side] : "";
}

/* "dogs 3 and 4", "nut 1", "the dogs on either side" */
static void say_fasteners(FILE *out, const part_names *p, const coaming_gap_reading *g)
{
    if (!g->dog_count) {
        fprintf(out, "the %s on either side", p->fasteners);
        return;
    }
    fprintf(out, "%.*s", (int)strlen(p->fasteners) - (g->dog_count == 1), p->fasteners);
    for (int i = 0; i < g->dog_count; i++)
        fprintf(out, "%s%d", i == 0 ? " " : i == g->dog_count - 1 ? " and " : ", ", g->dogs[i]);
}

static void say_taking_up(FILE *out, const coaming_reading *r, const part_names *p,
                          const coaming_gap_reading *g)
{
    bool dogs = r->fastening == COAMING_SHUT_BY_DOGS;
    fputs(dogs ? "take up " : "tighten ", out);
    say_fasteners(out, p, g);
    if (r->fastening == COAMING_SHUT_BY_NUTS)
        fputs(", then all evenly and crosswise,", out);
    fputs(" and retest", out);
    if (r->fastening == COAMING_SHUT_BY_SCREW_DOGS)
        fputs("; until it holds keep the deadlight shut", out);
}

static void say_off_middle(FILE *out, bool hinged, const part_names *p)
{
    fputs("outside the middle three fifths of the gasket", out);
    if (hinged)
        fprintf(out,
                ": hinge or %s out of line; try the hinges for play and the %s with a straight "
                "edge, do not take up %s for it",
                p->frame, p->frame, p->fasteners);
    else
        fprintf(out, ": slacken the %s, set the %s fair on its seat, tighten evenly and retest",
                p->fasteners, p->leaf);
}

static void say_gap_remedy(FILE *out, const coaming_reading *r, const part_names *p,
                           const coaming_gap_reading *g)
{
    char run[SHOWN];
    switch (g->reason) {
    case COAMING_REASON_PAINT:
        fprintf(out, "paint on the %s: clean it and chalk again before adjusting", p->bears);
        break;
    case COAMING_REASON_DAMAGE:
        fputs("the gasket is damaged: renew it", out);
        break;
    case COAMING_REASON_JOINT:
        fputs("a joint of the gasket: renew the gasket", out);
        break;
    case COAMING_REASON_SIDE:
        fprintf(out,
                "along the whole side: %s or %s out of true; try both with a straight edge, and "
                "the hinges for play",
                p->frame, p->leaf);
        break;
    case COAMING_REASON_CORNER:
        fprintf(out,
                "%s or %s out of true there; try both with a straight edge before taking up dogs",
                p->frame, p->leaf);
        break;
    case COAMING_REASON_BEYOND:
        fprintf(out, "the gasket runs only %s m round: measure and chalk again",
                amount(run, r->run));
        break;
    default:
        say_taking_up(out, r, p, g);
        break;
    }
}

/* Not to be taken up: what is to be done is said of the closure as a whole. */
static bool told_as_a_whole(coaming_reason reason)
{
    return reason == COAMING_REASON_ADJUSTED || reason == COAMING_REASON_RENEWED ||
           reason == COAMING_REASON_SET || reason == COAMING_REASON_JOINTS ||
           reason == COAMING_REASON_PIECE;
}

static void say_gap(FILE *out, const coaming_reading *r, const part_names *p,
                    const coaming_gap_reading *g)
{
    char length[SHOWN], at[SHOWN];
    bool edge = g->reason == COAMING_REASON_EDGE;
    fprintf(out, "%s of %s m from %s m%s%s", edge ? "Print" : "Gap", amount(length, g->length),
            amount(at, g->at), *gap_place(g) ? " " : "", gap_place(g));
    if (edge) {
        fputc(' ', out);
        say_off_middle(out, g->advice == COAMING_ADVICE_HINGE, p);
    } else if (!told_as_a_whole(g->reason)) {
        fputs(": ", out);
        say_gap_remedy(out, r, p, g);
    }
}

static void say_finding(FILE *out, const coaming_reading *r, coaming_reason reason)
{
    char value[SHOWN];
    if (reason == COAMING_REASON_SET)
        fprintf(out, "Permanent set of the gasket %s mm, over 3.2 mm (1/8 in)",
                amount(value, r->set * 1000));
    else if (reason == COAMING_REASON_JOINTS)
        fprintf(out, "%zu joints in the gasket, more than %d", r->joint_count, COAMING_JOINTS_MOST);
    else if (reason == COAMING_REASON_PIECE)
        fprintf(out, "A piece of the gasket is %s m long, under 0.61 m (24 in)",
                amount(value, r->piece));
    else
        fprintf(out, "Hinge play %s mm, over 4.8 mm (3/16 in): see to the hinge",
                amount(value, r->play * 1000));
}

size_t reading_lines(const coaming_reading *r)
{
    return (size_t)r->finding_count + r->gap_count;
}

void say_line(FILE *out, const coaming_ship *ship, const coaming_reading *r, size_t line)
{
    if (line < (size_t)r->finding_count)
        say_finding(out, r, r->findings[line]);
    else
        say_gap(out, r, parts_of(ship, r), &r->gaps[line - (size_t)r->finding_count]);
    fputc('.', out);
}

bool said_by_line(const coaming_reading *r)
{
    return reading_lines(r) == 1 && !told_as_a_whole(r->reason) &&
           (r->finding_count || r->reason == r->gaps[0].reason);
}

/* Taking up, in words for the closure as a whole. */
static void say_all_taking_up(FILE *out, const coaming_reading *r, const part_names *p)
{
    bool dogs = r->fastening == COAMING_SHUT_BY_DOGS;
    fprintf(out, "%s the %s at the gaps%s and retest", dogs ? "take up" : "tighten", p->fasteners,
            r->fastening == COAMING_SHUT_BY_NUTS ? ", then all evenly and crosswise," : "");
}

static void say_since_gasket(FILE *out, const coaming_reading *r, const part_names *p)
{
    char date[COAMING_DATE_TEXT];
    const char *done = r->fastening == COAMING_SHUT_BY_DOGS ? "taken up" : "tightened";
    if (r->reason == COAMING_REASON_RENEWED)
        fprintf(out,
                "gasket renewed %s, %s %s %d times since, and gaps again: look to the %s and the "
                "%s",
                coaming_date_format(r->renewed, date), p->fasteners, done, r->adjustment_count,
                p->bears, p->frame == p->bears ? p->leaf : p->frame);
    else
        fprintf(out,
                "%s %s %d times since the gasket was %s, and gaps again: renew the gasket, do not "
                "%s further",
                p->fasteners, done, r->adjustment_count,
                r->renewed == COAMING_NO_DATE ? "fitted" : "renewed",
                r->fastening == COAMING_SHUT_BY_DOGS ? "take up" : "tighten");
}

static void say_nothing_to_do(FILE *out, const ship_link *l)
{
    if (l->result == COAMING_UNTESTED)
        fputs("Looked at, which proves nothing: test it", out);
    else if (l->print->method == CHALK && l->kind != VALVE)
        fputs("Nothing to adjust: the print is unbroken", out);
    else
        fprintf(out, "Nothing to adjust: passed by %s", method_words[l->print->method]);
}

/* How it was failed or repaired, for advice that goes by the test that counts alone. */
static void say_state(FILE *out, const coaming_ship *ship, const coaming_reading *r)
{
    char words[SHOWN];
    const ship_link *l = &ship->links[r->closure];
    const char *by = l->decided ? method_words[l->decided->method] : NULL;
    if (r->reason == COAMING_REASON_NONE)
        say_nothing_to_do(out, l);
    else if (r->reason == COAMING_REASON_REPAIRED)
        fprintf(out, "%s: retest", repaired_words(words, ship, r->closure));
    else if (r->advice == COAMING_ADVICE_OVERHAUL)
        fprintf(out,
                "failed %s%s: overhaul the valve, seat and disc first, then the packing of the "
                "spindle, and retest",
                by ? "by " : AS_SEEN, by ? by : "");
    else
        fprintf(out, "failed %s%s, and where is not noted: chalk it and note the gaps",
                by ? "by " : AS_SEEN, by ? by : "");
}

void say_advice(FILE *out, const coaming_ship *ship, const coaming_reading *r)
{
    const part_names *p = parts_of(ship, r);
    switch (r->reason) {
    case COAMING_REASON_NONE:
    case COAMING_REASON_REPAIRED:
    case COAMING_REASON_FAILED:
        say_state(out, ship, r);
        break;
    case COAMING_REASON_ADJUSTED:
    case COAMING_REASON_RENEWED:
        say_since_gasket(out, r, p);
        break;
    case COAMING_REASON_LOOSE:
        say_all_taking_up(out, r, p);
        break;
    case COAMING_REASON_PAINT:
        fprintf(out, "clean the %s and chalk again before adjusting", p->bears);
        break;
    case COAMING_REASON_BEYOND:
        fputs("measure and chalk again: a gap is noted where there is no gasket", out);
        break;
    case COAMING_REASON_HINGE_PLAY:
        fputs("see to the hinge and retest", out);
        break;
    case COAMING_REASON_EDGE:
        if (r->advice == COAMING_ADVICE_HINGE)
            fprintf(out, "hinge or %s out of line: try both before anything else", p->frame);
        else
            fprintf(out, "set the %s fair on its seat and retest", p->leaf);
        break;
    case COAMING_REASON_SIDE:
    case COAMING_REASON_CORNER:
        fprintf(out, "%s or %s out of true: try both with a straight edge, and the hinges for play",
                p->frame, p->leaf);
        break;
    default:
        fputs("renew the gasket", out);
        break;
    }
}
