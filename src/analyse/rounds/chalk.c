#include <math.h>
#include <stdlib.h>

#include "analyse/rounds/printed.h"
#include "base/error.h"
#include "base/memory.h"
#include "coaming/chalk.h"
#include "ship/standing.h"

/* Common practice, no source. */
static const double NEAR = 0.05;       /* m: a gap so near to a corner or a joint is at it */
static const double WHOLE_SIDE = 0.80; /* share of a side that a gap covers */

const char *coaming_advice_word(coaming_advice advice)
{
#define WORD(code, word) word,
    static const char *const words[] = {COAMING_ADVICE_TABLE(WORD)};
#undef WORD
    return words[advice];
}

const char *coaming_advice_source(coaming_advice advice)
{
    return advice == COAMING_ADVICE_DOGS ? "US Army, TM 55-1905-223-24-18-1, watertight doors"
                                         : "common practice, no source";
}

/* The run as a ring. */

/* From `from` forward along the ring to `to`. */
static double ahead(double run, double from, double to)
{
    double way = fmod(to - from, run);
    return way < 0 ? way + run : way;
}

/* How far a place lies from a gap; 0 in it. */
static double away(double run, const coaming_gap_reading *g, double place)
{
    double from_start = ahead(run, g->at, place);
    if (from_start <= g->length)
        return 0;
    return fmin(from_start - g->length, run - from_start);
}

static void corners_of(const ship_link *l, double corners[4])
{
    double w = l->clear.width, h = l->clear.height;
    corners[0] = 0;
    corners[1] = w;
    corners[2] = w + h;
    corners[3] = 2 * w + h;
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

static int by_number(const void *left, const void *right)
{
    int a = *(const int *)left, b = *(const int *)right;
    return (a > b) - (a < b);
}

/* The last dog before the gap, those along it, and the first behind it. */
static void find_dogs(const ship_link *l, double run, coaming_gap_reading *g)
{
    int before = -1, behind = -1;
    double least_before = INFINITY, least_behind = INFINITY;
    g->dog_count = 0;
    for (size_t i = 0; i < l->dog_count; i++) {
        double at = dog_at(l, run, i);
        if (away(run, g, at) == 0) {
            if (g->dog_count < COAMING_GAP_DOGS - 2)
                g->dogs[g->dog_count++] = (int)i + 1;
            continue;
        }
        double back = ahead(run, at, g->at), forth = ahead(run, g->at + g->length, at);
        if (back < least_before) {
            least_before = back;
            before = (int)i + 1;
        }
        if (forth < least_behind) {
            least_behind = forth;
            behind = (int)i + 1;
        }
    }
    if (before > 0)
        g->dogs[g->dog_count++] = before;
    if (behind > 0 && behind != before)
        g->dogs[g->dog_count++] = behind;
    qsort(g->dogs, (size_t)g->dog_count, sizeof *g->dogs, by_number);
}

/* One gap. */

static coaming_advice advice_for(const ship_link *l, double run, coaming_gap_reading *g, sight seen)
{
    double corners[5];
    g->side = g->corner = -1;
    if (seen == SEEN_PAINT)
        return COAMING_ADVICE_CLEAN;
    if (seen == SEEN_DAMAGE)
        return COAMING_ADVICE_GASKET;
    if (seen == SEEN_JOINT)
        return COAMING_ADVICE_JOINT;
    if (!(run > 0))
        return COAMING_ADVICE_DOGS;
    for (size_t i = 0; i < l->gasket_joint_count; i++)
        if (away(run, g, l->gasket_joints[i]) <= NEAR)
            return COAMING_ADVICE_JOINT;
    corners_of(l, corners);
    corners[4] = run;
    double most = 0;
    for (int i = 0; i < 4; i++) {
        double covered = on_side(run, g, corners[i], corners[i + 1]);
        double share = covered / (corners[i + 1] - corners[i]);
        if (covered > most) {
            most = covered;
            g->side = i;
        }
        if (share >= WHOLE_SIDE) {
            g->side = i;
            return COAMING_ADVICE_SIDE;
        }
    }
    for (int i = 0; i < 4 && g->corner < 0; i++)
        if (away(run, g, corners[i]) <= NEAR)
            g->corner = i;
    return g->corner >= 0 ? COAMING_ADVICE_CORNER : COAMING_ADVICE_DOGS;
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
            r->adjustments = 0;
        } else if (e->action == DOGS &&
                   (l->gasket_fitted == COAMING_NO_DATE || e->date >= l->gasket_fitted)) {
            r->adjustments++;
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

/* What comes first: what must be done before the print says anything, then the greatest work. */
static coaming_advice first_advice(const coaming_reading *r)
{
    static const coaming_advice order[] = {COAMING_ADVICE_CLEAN, COAMING_ADVICE_GASKET,
                                           COAMING_ADVICE_SIDE,  COAMING_ADVICE_CORNER,
                                           COAMING_ADVICE_JOINT, COAMING_ADVICE_DOGS};
    for (size_t o = 0; o < sizeof order / sizeof *order; o++)
        for (size_t i = 0; i < r->gap_count; i++)
            if (r->gaps[i].advice == order[o])
                return order[o];
    return COAMING_ADVICE_NONE;
}

static coaming_advice whole_advice(const coaming_ship *ship, const coaming_reading *r)
{
    const ship_link *l = &ship->links[r->closure];
    if (!l->print)
        return COAMING_ADVICE_NONE;
    if (l->repair_since)
        return COAMING_ADVICE_RETEST;
    if (!r->gap_count)
        return l->result == COAMING_FAIL ? COAMING_ADVICE_CHALK : COAMING_ADVICE_NONE;
    coaming_advice advice = first_advice(r);
    if (advice == COAMING_ADVICE_CLEAN || advice == COAMING_ADVICE_GASKET ||
        r->adjustments < COAMING_ADJUSTMENTS)
        return advice;
    if (r->renewed != COAMING_NO_DATE && !bore_since(ship, l, r->renewed))
        return COAMING_ADVICE_KNIFE_EDGE;
    return advice == COAMING_ADVICE_DOGS ? COAMING_ADVICE_GASKET : advice;
}

static void measure(const ship_link *l, const gap *gaps, coaming_reading *r)
{
    for (size_t i = 0; i < r->gap_count; i++) {
        coaming_gap_reading *g = &r->gaps[i];
        g->at = gaps[i].at;
        g->length = gaps[i].length;
        g->area = g->length * 0.001;
        g->advice = advice_for(l, r->run, g, gaps[i].seen);
        if (g->advice == COAMING_ADVICE_DOGS && r->run > 0)
            find_dogs(l, r->run, g);
        r->longest = fmax(r->longest, g->length);
        r->area += g->area;
    }
    r->printed = l->print ? printed_share(l, l->print, gaps, r->gap_count) : NAN;
}

coaming_status coaming_reading_new(const coaming_ship *ship, int closure, coaming_reading **reading,
                                   coaming_error *error)
{
    const ship_link *l = &ship->links[closure];
    size_t count = l->print ? l->print->gap_count : 0;
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
    *r = (coaming_reading){.closure = closure, .run = link_gasket_run(l), .gaps = list};
    r->date = l->print ? l->print->date : COAMING_NO_DATE;
    r->gap_count = join_gaps(gaps, count, r->run);
    count_adjustments(l, r);
    measure(l, gaps, r);
    r->advice = whole_advice(ship, r);
    memory_free(gaps);
    *reading = r;
    return COAMING_OK;
}

void coaming_reading_free(coaming_reading *reading)
{
    if (!reading)
        return;
    memory_free(reading->gaps);
    memory_free(reading);
}
