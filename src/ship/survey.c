#include "ship/survey.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "coaming/chalk.h"
#include "ship/crossing.h"
#include "ship/fit.h"
#include "ship/geometry.h"
#include "ship/number.h"

/* Common practice, no source: what a hand-measured arrangement may be off before it is worth a
 * word. */
static const double OVERLAP_LEAST = 0.01; /* m3 */
static const size_t OVERLAPS_MAX = 200;   /* more are not looked for */
static const double AWAY_SIDEWAYS = 0.30; /* m */
static const double AWAY_UPWARDS = 1.00;  /* m; a coaming stands up to this far above its deck */

static void warn(coaming_faults *faults, const coaming_ship *ship, long line, const char *what,
                 const char *id, const char *message)
{
    char object[240];
    snprintf(object, sizeof object, "%s %s", what, BRIEF(id));
    faults_add(faults, COAMING_SEVERITY_WARNING, ship->path, line, object, "%s", message);
}

/* Overlaps: solids sorted by where they begin along one axis are compared with those that have not
 * ended yet. The axis is that on which fewest pairs share a place: decks have their frames in common,
 * what stands in a row its heights. */

typedef struct {
    const solid *solid;
    int space;
    double from, to; /* along the axis */
} placed;

static int by_beginning(const void *left, const void *right)
{
    const placed *a = left, *b = right;
    if (a->from != b->from)
        return a->from < b->from ? -1 : 1;
    if (a->space != b->space)
        return a->space < b->space ? -1 : 1;
    return (a->solid > b->solid) - (a->solid < b->solid);
}

static int by_value(const void *left, const void *right)
{
    double a = *(const double *)left, b = *(const double *)right;
    return (a > b) - (a < b);
}

enum { AXES = 3 };

static void place_along(int axis, placed *p)
{
    const solid *s = p->solid;
    const double ends[AXES][2] = {{s->x0, s->x1}, {s->y0, s->y1}, {s->z0, s->z1}};
    p->from = ends[axis][0];
    p->to = ends[axis][1];
}

/* Sorts along the axis; how many have begun before another ended, in all. ends: room. */
static double pairs_along(int axis, placed *list, size_t count, double *ends)
{
    double pairs = 0;
    size_t ended = 0;
    for (size_t i = 0; i < count; i++) {
        place_along(axis, &list[i]);
        ends[i] = list[i].to;
    }
    qsort(list, count, sizeof *list, by_beginning);
    qsort(ends, count, sizeof *ends, by_value);
    for (size_t i = 0; i < count; i++) {
        while (ended < i && ends[ended] <= list[i].from)
            ended++;
        pairs += (double)(i - ended);
    }
    return pairs;
}

/* Leaves them sorted along the best axis; of equals the first. */
static void sort_along_best(placed *list, size_t count, double *ends)
{
    int best = 0;
    double least = INFINITY;
    for (int axis = 0; axis < AXES; axis++) {
        double pairs = pairs_along(axis, list, count, ends);
        if (pairs < least) {
            least = pairs;
            best = axis;
        }
    }
    pairs_along(best, list, count, ends);
}

static bool is_whole(const coaming_ship *ship, placed p)
{
    const ship_space *s = &ship->spaces[p.space];
    return s->parts[p.solid - s->solids].whole;
}

/* Outside the shell nothing overlaps. -1: out of memory. */
static double overlap_of(const coaming_ship *ship, placed a, placed b)
{
    double volume = solid_overlap(a.solid, b.solid);
    if (volume < OVERLAP_LEAST || (is_whole(ship, a) && is_whole(ship, b)))
        return volume;
    hull_room room = {0};
    double shared = solids_share(ship, &room, a.solid, b.solid);
    hull_room_free(&room);
    return shared;
}

/* 1 if the two overlap by enough to be told of; -1: out of memory. */
static int warn_overlap(const coaming_ship *ship, coaming_faults *faults, placed a, placed b)
{
    double volume = overlap_of(ship, a, b);
    if (volume < OVERLAP_LEAST)
        return volume < 0 ? -1 : 0;
    int first = a.space < b.space ? a.space : b.space;
    int second = a.space < b.space ? b.space : a.space;
    char message[300];
    if (first == second)
        snprintf(message, sizeof message,
                 "two of its boxes or prisms overlap by %.2f m3, which is "
                 "counted twice",
                 volume);
    else
        snprintf(message, sizeof message, "overlaps space %s by %.2f m3",
                 BRIEF(ship->spaces[first].id), volume);
    warn(faults, ship, ship->spaces[second].line, "space", ship->spaces[second].id, message);
    return 1;
}

/* Each against those that began before it and have not ended. open: room. False: out of memory. */
static bool sweep(const coaming_ship *ship, coaming_faults *faults, const placed *list,
                  size_t count, placed *open)
{
    size_t active = 0, found = 0;
    bool lost = false; /* memory */
    for (size_t i = 0; i < count && found < OVERLAPS_MAX && !lost; i++) {
        size_t kept = 0;
        for (size_t j = 0; j < active; j++)
            if (open[j].to > list[i].from)
                open[kept++] = open[j];
        active = kept;
        for (size_t j = 0; j < active && found < OVERLAPS_MAX && !lost; j++) {
            int told = warn_overlap(ship, faults, open[j], list[i]);
            lost = told < 0;
            found += told > 0;
        }
        open[active++] = list[i];
    }
    if (found == OVERLAPS_MAX)
        faults_add(faults, COAMING_SEVERITY_WARNING, ship->path, 0, "arrangement",
                   "%zu overlaps are told; there may be more", found);
    return !lost;
}

static bool survey_overlaps(const coaming_ship *ship, coaming_faults *faults)
{
    size_t count = 0;
    for (size_t s = 0; s < ship->space_count; s++)
        count += ship->spaces[s].solid_count;
    placed *list = memory_new(count, sizeof *list), *open = memory_new(count, sizeof *open);
    double *ends = memory_new(count, sizeof *ends);
    bool good = list && open && ends;
    count = 0;
    for (size_t s = 0; s < ship->space_count && good; s++)
        for (size_t i = 0; i < ship->spaces[s].solid_count; i++)
            list[count++] = (placed){.solid = &ship->spaces[s].solids[i], .space = (int)s};
    if (good && count) {
        sort_along_best(list, count, ends);
        good = sweep(ship, faults, list, count, open);
    }
    memory_free(list);
    memory_free(open);
    memory_free(ends);
    return good;
}

/* Openings. */

static double away_upwards(const ship_space *s, const opening *o)
{
    double top = o->lies == DECK ? o->z : o->z + o->height;
    return fmax(0, fmax(s->bottom - top, o->z - s->top));
}

static void survey_side(const coaming_ship *ship, coaming_faults *faults, const ship_link *l,
                        coaming_place place)
{
    const char *what = l->passage ? "passage" : "closure";
    char message[300];
    if (place == COAMING_SEA && l->clear.z >= ship->draught) {
        snprintf(
            message, sizeof message,
            "opens to the sea, but its lowest edge (%.2f m) is not below the waterline (%.2f m)",
            l->clear.z, ship->draught);
        warn(faults, ship, l->line, what, l->id, message);
    }
    if (place == COAMING_WEATHER && l->clear.z < ship->draught) {
        snprintf(message, sizeof message,
                 "opens to the weather, but its lowest edge (%.2f m) is below the waterline "
                 "(%.2f m); is the sea meant?",
                 l->clear.z, ship->draught);
        warn(faults, ship, l->line, what, l->id, message);
    }
    if (place < 0 || !l->clear.given)
        return;
    const ship_space *s = &ship->spaces[place];
    double sideways = space_distance(s, l->clear.x, l->clear.y),
           upwards = away_upwards(s, &l->clear);
    if (sideways <= AWAY_SIDEWAYS && upwards <= AWAY_UPWARDS)
        return;
    snprintf(message, sizeof message, "the opening lies %.2f m away from space %s, which it joins",
             hypot(sideways, upwards), BRIEF(s->id));
    warn(faults, ship, l->line, what, l->id, message);
}

static bool survey_crossings(const coaming_ship *ship, coaming_faults *faults)
{
    bool lost = false;
    crossings *c = crossings_new(ship);
    if (!c)
        return false;
    for (size_t i = 0; i < ship->link_count; i++) {
        const ship_link *l = &ship->links[i];
        int third = crossings_find(c, l);
        lost = third == CROSSINGS_NO_MEMORY;
        if (lost)
            break;
        if (third < 0)
            continue;
        char message[300];
        snprintf(message, sizeof message,
                 "the opening crosses the boundary of space %s, which it does not join",
                 BRIEF(ship->spaces[third].id));
        warn(faults, ship, l->line, l->passage ? "passage" : "closure", l->id, message);
    }
    crossings_free(c);
    return !lost;
}

/* Compartment numbers deck-frame-side-use: the frame must be one of the space's own, side 0 crosses
 * the centre line, odd lies to starboard and even to port. Common practice, no source. */

static void survey_number(const coaming_ship *ship, coaming_faults *faults, const ship_space *s)
{
    number_parts n;
    if (!s->number || !number_split(s->number, &n) || !isupper((unsigned char)*n.use) ||
        strspn(n.use, "ABCDEFGHIJKLMNOPQRSTUVWXYZ") != strlen(n.use))
        return;
    double x0 = INFINITY, x1 = -INFINITY, y0 = INFINITY, y1 = -INFINITY;
    for (size_t i = 0; i < s->solid_count; i++) {
        x0 = fmin(x0, s->parts[i].x0);
        x1 = fmax(x1, s->parts[i].x1);
        y0 = fmin(y0, s->parts[i].y0);
        y1 = fmax(y1, s->parts[i].y1);
    }
    char message[240];
    if (ship->frames.given) {
        double x = ship->frames.zero + (double)n.frame * ship->frames.spacing;
        if (x < x0 - ship->frames.spacing || x > x1 + ship->frames.spacing) {
            snprintf(message, sizeof message,
                     "number %s says frame %ld (x %.2f m), but the space lies from %.2f to %.2f m",
                     BRIEF(s->number), n.frame, x, x0, x1);
            warn(faults, ship, s->line, "space", s->id, message);
        }
    }
    const char *wrong = NULL;
    if (n.side == 0 && (y0 > 0 || y1 < 0))
        wrong = "on the centre line, but the space does not meet it";
    else if (n.side % 2 == 1 && y0 >= 0)
        wrong = "to starboard, but the space lies to port";
    else if (n.side > 0 && n.side % 2 == 0 && y1 <= 0)
        wrong = "to port, but the space lies to starboard";
    if (wrong) {
        snprintf(message, sizeof message, "number %s says %s", BRIEF(s->number), wrong);
        warn(faults, ship, s->line, "space", s->id, message);
    }
}

/* What stands out of the hull does not count, and may be a slip of the pen. Common practice, no
 * source: the tolerance of a hand-measured arrangement; and how little of a space is too little,
 * when a box to full breadth at the stem keeps a quarter. */
static void survey_fit(const coaming_ship *ship, coaming_faults *faults, const ship_space *s)
{
    const double least = 0.10, most_outside = 0.95; /* m; share */
    double most = 0, given = s->outside;
    char message[200];
    for (size_t i = 0; i < s->solid_count; i++) {
        const solid_part *p = &s->parts[i];
        most = fmax(most, solid_outside(ship->hull, &s->solids[i]));
        given += p->inside + p->above;
        if (p->inside + p->above > 0)
            continue;
        warn(faults, ship, s->line, "space", s->id,
             "one of its boxes or prisms lies wholly outside the hull and does not count");
    }
    if (most > least) {
        snprintf(message, sizeof message,
                 "stands out of the hull by up to %.2f m; what is outside does not count", most);
        warn(faults, ship, s->line, "space", s->id, message);
    }
    if (s->outside > most_outside * given) {
        snprintf(message, sizeof message, "%.1f %% of it lies outside the hull and does not count",
                 100 * s->outside / given);
        warn(faults, ship, s->line, "space", s->id, message);
    }
}

/* A gasket of too many or too short pieces, as coaming/chalk.h has the bounds and their source. */
static void survey_gasket(const coaming_ship *ship, coaming_faults *faults, const ship_link *l)
{
    char message[200];
    double run = link_gasket_run(l), piece = link_shortest_piece(l);
    if (l->gasket_joint_count > COAMING_JOINTS_MOST) {
        snprintf(message, sizeof message, "its gasket has %zu joints, more than %d",
                 l->gasket_joint_count, COAMING_JOINTS_MOST);
        warn(faults, ship, l->line, "closure", l->id, message);
    }
    if (!isnan(piece) && micrometres(piece) < micrometres(COAMING_PIECE_LEAST)) {
        snprintf(message, sizeof message,
                 "a piece of its gasket is %.3f m long, under 0.61 m (24 in)", piece);
        warn(faults, ship, l->line, "closure", l->id, message);
    }
    for (size_t i = 0; i < l->gasket_joint_count; i++) {
        if (on_gasket_run(run, &(gap){l->gasket_joints[i], 0, SEEN_NOTHING}))
            continue;
        snprintf(message, sizeof message,
                 "a joint at %.4g m does not lie on the gasket, which runs %.4g m round",
                 l->gasket_joints[i], run);
        warn(faults, ship, l->line, "closure", l->id, message);
    }
}

/* Power and control are of what shuts it from elsewhere. */
static void survey_hanging(const coaming_ship *ship, coaming_faults *faults, const ship_link *l)
{
    if (!l->passage && !l->remote && (l->power >= 0 || l->control >= 0))
        warn(faults, ship, l->line, "closure", l->id,
             "has a power or control, but is not remote: they do nothing");
}

bool ship_survey(const coaming_ship *ship, coaming_faults *faults)
{
    for (size_t s = 0; s < ship->space_count; s++) {
        survey_number(ship, faults, &ship->spaces[s]);
        survey_fit(ship, faults, &ship->spaces[s]);
    }
    for (size_t l = 0; l < ship->link_count; l++) {
        survey_side(ship, faults, &ship->links[l], ship->links[l].a);
        survey_side(ship, faults, &ship->links[l], ship->links[l].b);
        survey_gasket(ship, faults, &ship->links[l]);
        survey_hanging(ship, faults, &ship->links[l]);
    }
    return survey_crossings(ship, faults) && survey_overlaps(ship, faults);
}
