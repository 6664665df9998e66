/*
 * analyse/survival/cases.h - damage cases: what opens which spaces, and how likely.
 *
 * What a case is, and where a space begins, says coaming/survival.h. Of a group of zones the weight
 * of a penetration is that of damage that lies in each of its zones, for all limits of them taken
 * together (damage.h), so that the weights of a side add up to 1 whatever the arrangement is. (With
 * limits of each zone by itself the usual bookkeeping gives sums other than 1: H. J. Koelman and J.
 * A. Pinkster, "Rationalizing the practice of probabilistic damage stability calculations",
 * International Shipbuilding Progress 50(3), 2003, pages 239-253, abstract.)
 *
 * Cost: groups x penetrations x heights x lower limits x parts of spaces in the group.
 */
#ifndef ANALYSE_SURVIVAL_CASES_H
#define ANALYSE_SURVIVAL_CASES_H

#include "coaming/error.h"
#include "coaming/survival.h"
#include "ship/ship.h"

typedef struct {
    const int *spaces; /* in file order */
    size_t count;
} space_set;

/* What has a weight of its own. */
typedef struct {
    size_t first, last; /* zones from aft, from 0 */
    double weight;
} damage_box;

typedef struct {
    bool starboard;
    size_t first, last;         /* zones, of the heaviest box */
    double penetration, height; /* m; the height above the baseline, infinite: without limit */
    double weight;              /* of all boxes that open the same */
    size_t first_box, box_count;
    const size_t *extents; /* sets: of the whole box, then of what leaves its lower part whole */
    size_t extent_count;
} damage_case;

typedef struct {
    damage_case *cases;
    size_t count, capacity;
    damage_box *boxes; /* of all cases */
} case_list;

typedef struct damage_cases damage_cases;

/* deepest: the draught at which breadth and penetrations are measured. COAMING_MEMORY. */
coaming_status damage_cases_new(const coaming_ship *ship, double deepest, damage_cases **out,
                                coaming_error *error);
void damage_cases_free(damage_cases *c);

/* All cases at a draught, port then starboard, from aft; sets are numbered on from call to call.
 * The list is freed by case_list_free, extents stay with c. COAMING_INPUT: all sets together name more
 * than COAMING_SURVIVAL_NAMED_MOST spaces, which grow with the cube of decks or bulkheads; COAMING_MEMORY. */
coaming_status damage_cases_list(damage_cases *c, double draught, case_list *list,
                                 coaming_error *error);
void case_list_free(case_list *list);

size_t damage_cases_set_count(const damage_cases *c);
space_set damage_cases_set(const damage_cases *c, size_t set);

/* Zones: zone i is from place i to place i + 1, m along her. */
size_t damage_cases_zone_count(const damage_cases *c);
double damage_cases_place(const damage_cases *c, size_t i);
double damage_cases_length(const damage_cases *c);
double damage_cases_breadth(const damage_cases *c);

#endif
