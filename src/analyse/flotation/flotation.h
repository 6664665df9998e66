/* analyse/flotation/flotation.h - what the flotation's own files share. */
#ifndef ANALYSE_FLOTATION_FLOTATION_H
#define ANALYSE_FLOTATION_FLOTATION_H

#include "analyse/flotation/laden.h"
#include "analyse/flotation/lost.h"
#include "coaming/grade.h"

typedef struct kept_float kept_float;

/* Where she balances at one heel, to the side of a curve. */
typedef struct {
    double angle;                      /* degrees to that side */
    double gz;                         /* arm, m; NaN: nowhere */
    double trim, d;                    /* of the plane, radians and m */
    double gz_rate, trim_rate, d_rate; /* change with the angle, a radian; NaN: not told */
    bool stable;                       /* does the arm rise with the angle? */
} arm_place;

/* The curve of righting arms of one set of flooded spaces to one side, with every opening tight. It
 * is traced upwards from the heel at rest and, where asked for, downwards from it, each as far as
 * asked: what stands at an angle never depends on what was asked before. */
typedef struct {
    bool begun;
    double side;           /* 1 port, -1 starboard */
    double start, trim, d; /* the heel at rest, degrees to that side, and the plane */
    bool traced;           /* what follows stands */
    arm_place rest;
    int first;        /* of the grid beyond the heel at rest */
    int above, below; /* traced: from first to above, and from below to first, not counted */
    bool vanished;    /* is it known where the arm vanishes? */
    double vanishing; /* degrees */
    arm_place at[COAMING_RIGHTING_ARMS]; /* the grid */
} arm_curve;

typedef struct {
    int *link;
    size_t count;
} opening_list;

struct coaming_flotation {
    const coaming_ship *ship;
    int loading;
    arena memory;
    laden laden;          /* what she weighs, undamaged, m3 */
    char refused[160];    /* why she cannot be floated so */
    double middle[3];     /* amidships on the centre line at the draught */
    double *scratch;      /* for body_add */
    lost_buoyancy lost;   /* of the flooded spaces of the position at work */
    coaming_float intact; /* how she floats undamaged */
    kept_float **kept;    /* by hash of the set of flooded spaces */
    size_t kept_places, kept_count;
    size_t kept_bytes, kept_most; /* what all that is kept takes, and may take */
    uint64_t *kept_key;           /* room for a bit for each space */
    arm_curve spare;              /* of a set that is not kept */
    bool *open_by_design;         /* by space, for grades: see ship/state.h */
    bool *inlet;                  /* by space, for grades: water that gets in takes buoyancy */
    int *queue;                   /* room for every space */
    opening_list openings;        /* room for every link */
    /* for grades: spaces open by design, links with an outside end, and does some space lie
     * outside the hull altogether? */
    int *open, *outside;
    size_t open_count, outside_count;
    bool leads_on;
};

/* coaming_flotation_new; COAMING_INPUT leaves one that says why in `refused`. To be freed whatever is
 * returned. */
coaming_status flotation_begin(const coaming_ship *ship, int loading, coaming_flotation **flotation,
                               coaming_error *error);

/* The same ship with these contents in place of those of her loading, whatever she floats like; near:
 * about how she lies then. */
coaming_status flotation_refilled(const coaming_flotation *of, const loading_content *contents,
                                  size_t count, const coaming_float *near,
                                  coaming_flotation **flotation, coaming_error *error);

/* A trial position: the plane at given heel and trim that leaves the displacement, and what is
 * below it net of the flooded spaces. */
typedef struct {
    plane plane;
    submerged net;
    double lever[3];      /* gravity - buoyancy: along e1, along e2, along n */
    double guu, guv, gvv; /* metacentric heights: Hessian over displacement */
    double slice; /* how far the plane is above that of the displacement, m: taken off in the levers
                   * to first order; 0: exact */
} position;

/* False if the volume cannot be had: she sinks. Start from the plane height d. */
bool position_find(coaming_flotation *f, const bool *flooded, double heel, double trim, double d,
                   position *at);

/* From a plane near one in which displacement and trim balance at its heel, to that one, all to first
 * order: the second order of what is off is left out. */
typedef struct {
    double by, raise;                     /* to be added to trim (radians) and height */
    double slice;                         /* how thick a slice of the waterplane is too much, m */
    double lever;                         /* there: lever[1] */
    double trim_rate, d_rate, lever_rate; /* change with heel, balanced, a radian */
} nearing;

/* What there is at a given plane, and the way from it to the balance. False far from there. */
bool position_near(coaming_flotation *f, const bool *flooded, double heel, double trim, double d,
                   position *at, nearing *to);
/* The rates of one that balances. */
void position_rates(const coaming_flotation *f, const position *at, nearing *to);

/* The water's plane where she floats. */
plane flotation_plane(const coaming_flotation *f, const coaming_float *at);

/* Degrees of trim beyond which she is taken to go down by one end. Common practice, no source: no
 * ship is worked, or left, on such a slope. */
enum { FLOTATION_ON_END = 45 };

/* Of a water's plane: heel and trim in degrees, and draught at x along the ship. */
double flotation_heel(const plane *p);
double flotation_trim_angle(const plane *p);
double flotation_draught(const plane *p, double x);

/* Water in a space that is open to the sea, m3: also in what of it stands above the hull. */
double flotation_water_in(const coaming_flotation *f, int space, const plane *p);

/* What a space takes of her where it is open to the sea and wholly under, m3; and how much may be
 * taken, with these flooded, before she sinks whatever the plane. */
double flotation_takes(const coaming_flotation *f, int space);
double flotation_spare(const coaming_flotation *f, const bool *flooded);

/* How far the least lever may be off, m: rounding of volumes of a few thousand m3 is far below. */
static const double LEVER_LEAST = 1e-11;

/* Least height of the deck edge above the plane, m; and is the deck under water right across
 * somewhere? (deck.c) */
double deck_freeboard(const coaming_ship *ship, const plane *p);
bool deck_crossed(const coaming_ship *ship, const plane *p);

/* All of the curve; only what a grade can depend on; only what the factor s and whether she is lost
 * can, so that where s is 0 anyhow neither range nor arms are told. */
typedef enum { ARMS_ALL, ARMS_ENOUGH, ARMS_FACTOR } arm_detail;

/* The curve about a floating position; lives until the next call. */
arm_curve *arms_of(coaming_flotation *f, const bool *flooded, const coaming_float *at, double side);
/* Range from rest, degrees, and greatest arm, both up to a heel of `limit`. */
void arms_measure(coaming_flotation *f, const bool *flooded, arm_curve *a, double limit,
                  arm_detail detail, coaming_righting *r);
/* The range alone, of all angles. */
double arms_range(coaming_flotation *f, const bool *flooded, arm_curve *a, arm_detail detail);
/* Would she stay upright, near where she is at rest? */
bool arms_upright(coaming_flotation *f, const bool *flooded, arm_curve *a);
/* Does the arm turn her back at the first angle of the grid beyond her rest? */
bool arms_rise(coaming_flotation *f, const bool *flooded, arm_curve *a);
/* Does one of the openings go under from the heel at rest to the angle of the grid at or after
 * `end`? *angle: where the first does, the heel at rest if it is under there. */
bool arms_flooding(coaming_flotation *f, const bool *flooded, arm_curve *a,
                   const opening_list *openings, double end, double *angle, int *which);
/* The arms themselves. */
void arms_put(coaming_flotation *f, const bool *flooded, arm_curve *a, coaming_righting *righting);
bool righting_worse(const coaming_righting *a, const coaming_righting *b);

/* In which state she is graded. */
typedef struct {
    int condition;
    coaming_answer answer;
    arm_detail detail;
    const bool *held;  /* by link: holds, whatever its state; NULL: none */
    const bool *leaks; /* by link: lets water through, whatever its state or make; NULL: none */
} grade_terms;

/* coaming_flotation_grade; with ARMS_ENOUGH arms are left out, and range, greatest and flooding
 * angle where they are beyond what the grade depends on. */
coaming_status flotation_grade(coaming_flotation *f, const bool *flooded, coaming_float *at,
                               const grade_terms *terms, coaming_stability *stability,
                               coaming_error *error);

/* Is she not lost, by the arms alone, where she floats? The grade tells the same, for more. */
bool flotation_turns_back(coaming_flotation *f, const bool *flooded, const coaming_float *at);

/* What is known of a ship that does not float. */
coaming_float flotation_nowhere(const coaming_flotation *f, const bool *flooded,
                                coaming_afloat why);

/* Memory that kept results take at most: usual, of all that work at one answer. Beyond it nothing more
 * is kept: answers stay the same, and take longer. */
enum { FLOTATION_KEPT = 256 << 20 };

/* Another bound, from now on. */
void kept_bound(coaming_flotation *f, size_t most);

/* Kept results. find: NULL if there is none; flooded NULL: no space is. add: false if there is no
 * memory, true if nothing was kept because of the bound. */
const coaming_float *kept_find(const coaming_flotation *f, const bool *flooded);
bool kept_add(coaming_flotation *f, const bool *flooded, const coaming_float *result);
void kept_free(coaming_flotation *f);
/* Where the curve of a set is kept; NULL: the set is not, or nothing more is. */
arm_curve *kept_arms(coaming_flotation *f, const bool *flooded, double side);

typedef struct {
    coaming_float at; /* where she does float */
    coaming_stability stability;
} graded;

/* A grade, and what it was asked of. */
typedef struct {
    bool known;
    int condition;
    arm_detail detail;
    coaming_float asked; /* where she was said to float */
    graded found;
} kept_grade;

bool same_water_plane(const coaming_float *a, const coaming_float *b);
/* Are the grades of the two alike too: do both lie on this side alone, or may both lie on the other? */
bool same_rest(const coaming_float *a, const coaming_float *b);

/* Where the grade of a set in one answer is kept; NULL as above. */
kept_grade *kept_grade_of(coaming_flotation *f, const bool *flooded, coaming_answer answer);

/* The grade of a set with the openings in f->openings; NULL: not kept. */
const graded *kept_opened(const coaming_flotation *f, const bool *flooded, const coaming_float *at,
                          arm_detail detail);
void kept_add_opened(coaming_flotation *f, const bool *flooded, const coaming_float *asked,
                     arm_detail detail, const graded *found);

#endif
