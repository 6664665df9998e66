#include <math.h>
#include <stdint.h>
#include <string.h>

#include "analyse/rounds/advice.h"
#include "analyse/rounds/gasket.h"
#include "analyse/rounds/printed.h"
#include "base/error.h"
#include "base/memory.h"
#include "coaming/chalk.h"
#include "ship/standing.h"

/* Common practice, no source. */
static const double NEAR = 0.05;       /* m: a gap so near to a corner or a joint is at it */
static const double WHOLE_SIDE = 0.80; /* share of a side that a gap covers */

/* The run as a ring. */

/* From `from` forward along the ring to `to`. */
static double ahead(double run, double from, double to)
{
    double way = fmod(to - from, run);
    return way < 0 ? way + run : way;
}

/* How far a place lies from a gap, micrometres; 0 in it. */
static long long away(double run, const coaming_gap_reading *g, double place)
{
    double from_start = ahead(run, g->at, place);
    long long behind = micrometres(from_start - g->length), before = micrometres(run - from_start);
    if (behind <= 0)
        return 0;
    return behind < before ? behind : before;
}

static bool near(double run, const coaming_gap_reading *g, double place)
{
    return away(run, g, place) <= micrometres(NEAR);
}

static void corners_of(const ship_link *l, double corners[4])
{
    double w = l->clear.width, h = l->clear.height;
    memcpy(corners, (const double[]){0, w, w + h, 2 * w + h}, 4 * sizeof *corners);
}

/* Length of a gap that lies on one side of the opening. */
static double on_side(double run, const coaming_gap_reading *g, double from, double to)
{
    double covered = 0;
    for (int turn = -1; turn <= 1; turn++) {
        double low = fmax(from, g->at + turn * run),
               high = fmin(to, g->at + g->length + turn * run);
        covered += fmax(0, high - low);
    }
    return covered;
}

/* Dogs. */

static double dog_at(const ship_link *l, double run, size_t dog)
{
    return l->dogs ? l->dogs[dog] : ((double)dog + 0.5) * run / (double)l->dog_count;
}

/* The last dog before the gap, those along it, and the first behind it, by number. */
static coaming_status find_dogs(const ship_link *l, double run, coaming_gap_reading *g,
                                coaming_error *error)
{
    size_t before = SIZE_MAX, behind = SIZE_MAX, along = 0;
    double least_before = INFINITY, least_behind = INFINITY;
    for (size_t i = 0; i < l->dog_count; i++) {
        double at = dog_at(l, run, i);
        if (away(run, g, at) == 0) {
            along++;
            continue;
        }
        double back = ahead(run, at, g->at), forth = ahead(run, g->at + g->length, at);
        before = back < least_before ? i : before;
        behind = forth < least_behind ? i : behind;
        least_before = fmin(least_before, back);
        least_behind = fmin(least_behind, forth);
    }
    g->dogs = memory_new(along + 2, sizeof *g->dogs);
    if (!g->dogs)
        return error_memory(error);
    for (size_t i = 0; i < l->dog_count; i++)
        if (i == before || i == behind || away(run, g, dog_at(l, run, i)) == 0)
            g->dogs[g->dog_count++] = (int)i + 1;
    return COAMING_OK;
}

/* One gap. */

static bool at_joint(const ship_link *l, const coaming_reading *r, const coaming_gap_reading *g)
{
    for (size_t i = 0; i < r->joint_count; i++)
        if (near(r->run, g, l->gasket_joints[i]))
            return true;
    return false;
}

/* The side on which most of it lies; true: along the whole of that. */
static bool find_side(const ship_link *l, double run, coaming_gap_reading *g)
{
    double corners[5], most = 0;
    corners_of(l, corners);
    corners[4] = run;
    for (int i = 0; i < 4; i++) {
        double covered = on_side(run, g, corners[i], corners[i + 1]);
        if (covered > most) {
            most = covered;
            g->side = i;
        }
        if (micrometres(covered) >= micrometres(WHOLE_SIDE * (corners[i + 1] - corners[i]))) {
            g->side = i;
            return true;
        }
    }
    return false;
}

static bool find_corner(const ship_link *l, double run, coaming_gap_reading *g)
{
    double corners[4];
    corners_of(l, corners);
    for (int i = 0; i < 4 && g->corner < 0; i++)
        if (near(run, g, corners[i]))
            g->corner = i;
    return g->corner >= 0;
}

/* By its place. loose: what it is if nothing else is to be said of it. */
static coaming_reason reason_by_place(const ship_link *l, const coaming_reading *r,
                                      coaming_gap_reading *g, coaming_reason loose)
{
    if (!(r->run > 0))
        return loose;
    if (!on_gasket_run(r->run, &(gap){g->at, g->length, SEEN_NOTHING}))
        return COAMING_REASON_BEYOND;
    if (at_joint(l, r, g))
        return COAMING_REASON_JOINT;
    if (r->fastening != COAMING_SHUT_BY_DOGS)
        return loose;
    if (find_side(l, r->run, g))
        return COAMING_REASON_SIDE;
    return find_corner(l, r->run, g) ? COAMING_REASON_CORNER : loose;
}

static coaming_reason reason_of(const ship_link *l, const coaming_reading *r,
                                coaming_gap_reading *g, sight seen, coaming_reason loose)
{
    static const coaming_reason seen_there[] = {[SEEN_PAINT] = COAMING_REASON_PAINT,
                                                [SEEN_DAMAGE] = COAMING_REASON_DAMAGE,
                                                [SEEN_JOINT] = COAMING_REASON_JOINT,
                                                [SEEN_EDGE] = COAMING_REASON_EDGE};
    g->side = g->corner = -1;
    return seen == SEEN_NOTHING ? reason_by_place(l, r, g, loose) : seen_there[seen];
}

/* The closure as a whole. */

/* Dogs taken up since the gasket was fitted or renewed, and when it was renewed. */
static void count_adjustments(const ship_link *l, coaming_reading *r)
{
    r->renewed = COAMING_NO_DATE;
    for (size_t i = 0; i < l->event_count; i++) {
        const ship_event *e = &l->events[i];
        if (e->kind != EVENT_REPAIR || (l->print && e > l->print))
            continue;
        if (e->action == GASKET || e->action == REPLACED) {
            r->renewed = e->date;
            r->adjustment_count = 0;
        } else if (e->action == DOGS &&
                   (l->gasket_fitted == COAMING_NO_DATE || e->date >= l->gasket_fitted)) {
            r->adjustment_count++;
        }
    }
}

/* Did it pass a test that proves since the gasket was renewed? Then it did bear. */
static bool bore_since(const coaming_ship *ship, const ship_link *l, coaming_date renewed)
{
    for (size_t i = 0; i < l->event_count; i++) {
        const ship_event *e = &l->events[i];
        if (e->kind == EVENT_TEST && e->date >= renewed && e->result == COAMING_PASS &&
            !e->gap_count && standing_quality(ship, e->method, NULL).proves)
            return true;
    }
    return false;
}

/* What gaps ask for that call for no more than taking up. */
static coaming_reason loose_reason(const coaming_ship *ship, const coaming_reading *r)
{
    const ship_link *l = &ship->links[r->closure];
    if (r->finding_count && r->findings[0] <= COAMING_REASON_PIECE)
        return r->findings[0]; /* a new gasket comes first */
    if (r->adjustment_count < COAMING_ADJUSTMENTS)
        return COAMING_REASON_LOOSE;
    return r->renewed != COAMING_NO_DATE && !bore_since(ship, l, r->renewed)
               ? COAMING_REASON_RENEWED
               : COAMING_REASON_ADJUSTED;
}

/* What comes first of the gaps: what must be done before the print says anything, then the
 * greatest work. */
static coaming_reason first_of_gaps(const coaming_reading *r, coaming_reason loose)
{
    coaming_reason first = COAMING_REASONS;
    bool broken = false;
    for (size_t i = 0; i < r->gap_count; i++) {
        first = r->gaps[i].reason < first ? r->gaps[i].reason : first;
        broken = broken || r->gaps[i].reason != COAMING_REASON_EDGE;
    }
    return loose == COAMING_REASON_RENEWED && broken && first > COAMING_REASON_JOINT ? loose
                                                                                     : first;
}

static coaming_reason first_reason(const ship_link *l, const coaming_reading *r,
                                   coaming_reason loose)
{
    if (r->finding_count)
        return r->findings[0];
    if (l->seen[COAMING_SEEN_FAILED] && !l->print)
        return COAMING_REASON_FAILED;
    if (!l->print)
        return COAMING_REASON_NONE;
    if (l->repair_since)
        return COAMING_REASON_REPAIRED;
    if (r->gap_count)
        return first_of_gaps(r, loose);
    return l->result == COAMING_FAIL ? COAMING_REASON_FAILED : COAMING_REASON_NONE;
}

static coaming_status measure(const coaming_ship *ship, const gap *gaps, coaming_reading *r,
                              coaming_error *error)
{
    const ship_link *l = &ship->links[r->closure];
    coaming_reason loose = loose_reason(ship, r);
    coaming_status status = COAMING_OK;
    for (size_t i = 0; i < r->gap_count && status == COAMING_OK; i++) {
        coaming_gap_reading *g = &r->gaps[i];
        bool broken = gaps[i].seen != SEEN_EDGE;
        g->at = gaps[i].at;
        g->length = gaps[i].length;
        g->area = broken ? g->length * 0.001 : 0;
        g->reason = reason_of(l, r, g, gaps[i].seen, loose);
        g->advice = coaming_reason_advice(g->reason, r->fastening);
        if (g->reason == COAMING_REASON_LOOSE && r->run > 0)
            status = find_dogs(l, r->run, g, error);
        r->longest = broken ? fmax(r->longest, g->length) : r->longest;
        r->area += g->area;
    }
    r->printed = l->print && r->run > 0 ? printed_share(l, l->print, gaps, r->gap_count) : NAN;
    r->reason = first_reason(l, r, loose);
    r->advice = coaming_reason_advice(r->reason, r->fastening);
    return status;
}

/* A valve has no print: its seat does not show. */
static size_t gaps_to_read(const ship_link *l)
{
    return l->print && l->kind != VALVE ? l->print->gap_count : 0;
}

coaming_status coaming_reading_new(const coaming_ship *ship, int closure, coaming_reading **reading,
                                   coaming_error *error)
{
    const ship_link *l = &ship->links[closure];
    size_t count = gaps_to_read(l);
    coaming_reading *r = memory_new(1, sizeof *r);
    coaming_gap_reading *list = memory_new(count, sizeof *list);
    gap *gaps = memory_new(count, sizeof *gaps);
    if (!r || !list || !gaps) {
        memory_free(r);
        memory_free(list);
        memory_free(gaps);
        return error_memory(error);
    }
    for (size_t i = 0; i < count; i++)
        gaps[i] = l->print->gaps[i];
    *r = (coaming_reading){.closure = closure,
                           .fastening = fastening_of(l->kind),
                           .run = l->kind == VALVE ? 0 : link_gasket_run(l),
                           .date = l->print ? l->print->date : COAMING_NO_DATE,
                           .gaps = list};
    r->gap_count = join_gaps(gaps, count, r->run);
    count_adjustments(l, r);
    read_gasket_state(l, r);
    coaming_status status = measure(ship, gaps, r, error);
    memory_free(gaps);
    if (status == COAMING_OK)
        *reading = r;
    else
        coaming_reading_free(r);
    return status;
}

void coaming_reading_free(coaming_reading *reading)
{
    if (!reading)
        return;
    for (size_t i = 0; i < reading->gap_count; i++)
        memory_free(reading->gaps[i].dogs);
    memory_free(reading->gaps);
    memory_free(reading);
}
