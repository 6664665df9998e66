/*
 * ship/ship.h - the ship as plain data, filled by the reader and then left alone, but for what is seen
 * of her closures (seen.c).
 *
 * Everything hangs on one arena and is freed with it. Links are closures first, then passages, each
 * in file order, so a closure's index is its link index.
 */
#ifndef SHIP_SHIP_H
#define SHIP_SHIP_H

#include "base/memory.h"
#include "coaming/query.h"
#include "coaming/seen.h"
#include "coaming/ship.h"

typedef struct {
    const char *id, *name;
    double z;
    long line;
} ship_deck;

typedef struct {
    const char *id, *name;
    long line;
} ship_condition;

/* A box or a prism: a plan outline (closed, corner after corner) between two heights. */
typedef struct {
    double x0, x1, y0, y1, z0, z1; /* extents */
    double area;                   /* of the outline, m2 */
    const double *outline;         /* x, y of each corner */
    size_t corners;
    bool box, anticlockwise; /* the outline seen from above */
    bool derived;            /* worked out from a compartment number, not measured */
} solid;

/* What there is of a solid: the part inside the hull and the part above its top (inside.h). */
typedef struct {
    double x0, x1, y0, y1, z0, z1; /* extents; empty (x0 > x1) if nothing is left */
    double inside, above;          /* m3 */
    bool whole;                    /* nothing was cut off, and it is all inside or all above */
    size_t first[2], last[2];      /* its groups in the bodies inside and above of its space */
} solid_part;

typedef struct {
    const char *id, *name, *number, *use;
    int deck; /* index or -1 */
    double permeability, people, worth;
    bool shell, vital;
    bool enclosed;       /* its air is to be tested before anybody goes in */
    bool walkable;       /* people walk there */
    const solid *solids; /* as given */
    size_t solid_count;
    bool derived; /* is one of its solids? */
    long line;
    /* of what there is: set once the hull is known */
    const solid_part *parts;           /* one for each solid */
    const struct body *inside, *above; /* the hull; what stands above it */
    double bottom, top;                /* least and greatest z */
    double volume;                     /* permeable, whole */
    double outside;                    /* m3 of its solids that do not exist */
} ship_space;

/* One row for each word of the format: code, word. */
#define CLOSURE_KINDS(X)                                                                           \
    X(DOOR, "door")                                                                                \
    X(HATCH, "hatch")                                                                              \
    X(SCUTTLE, "scuttle")                                                                          \
    X(MANHOLE, "manhole")                                                                          \
    X(VENTILATOR, "ventilator")                                                                    \
    X(VALVE, "valve")                                                                              \
    X(SIDESCUTTLE, "sidescuttle")                                                                  \
    X(COVER, "cover")
#define PASSAGE_KINDS(X)                                                                           \
    X(ARCH, "arch")                                                                                \
    X(DUCT, "duct")                                                                                \
    X(DRAIN, "drain")                                                                              \
    X(STAIR, "stair")                                                                              \
    X(CABLE, "cable")                                                                              \
    X(PIPE, "pipe")
#define RATINGS(X)                                                                                 \
    X(WATERTIGHT, "watertight")                                                                    \
    X(WEATHERTIGHT, "weathertight")                                                                \
    X(AIRTIGHT, "airtight")                                                                        \
    X(NONTIGHT, "nontight")
#define ATTITUDES(X)                                                                               \
    X(TRANSVERSE, "transverse")                                                                    \
    X(LONGITUDINAL, "longitudinal")                                                                \
    X(DECK, "deck")
#define METHODS(X)                                                                                 \
    X(CHALK, "chalk")                                                                              \
    X(HOSE, "hose")                                                                                \
    X(AIR_TEST, "air")                                                                             \
    X(ULTRASONIC, "ultrasonic")                                                                    \
    X(LIGHT, "light")                                                                              \
    X(SMOKE, "smoke")                                                                              \
    X(VISUAL, "visual")
#define RESULTS(X)                                                                                 \
    X(PASS, "pass")                                                                                \
    X(FAIL, "fail")
#define ACTIONS(X)                                                                                 \
    X(DOGS, "dogs")                                                                                \
    X(GASKET, "gasket")                                                                            \
    X(KNIFE_EDGE, "knife-edge")                                                                    \
    X(HINGE, "hinge")                                                                              \
    X(REPLACED, "replaced")

/* What a loading stands for in the index of subdivision (coaming_index_role). */
#define INDEX_ROLES(X)                                                                             \
    X(DEEPEST, "deepest")                                                                          \
    X(PARTIAL, "partial")                                                                          \
    X(LIGHT, "light")

/* What the tester saw where the print is broken, in the order in which it decides what to do. */
#define SIGHTS(X)                                                                                  \
    X(SEEN_PAINT, "paint")                                                                         \
    X(SEEN_DAMAGE, "damage")                                                                       \
    X(SEEN_JOINT, "joint")                                                                         \
    X(SEEN_EDGE, "edge")

#define ENUMERATE(code, word) code,
typedef enum { CLOSURE_KINDS(ENUMERATE) PASSAGE_KINDS(ENUMERATE) KIND_COUNT } link_kind;
typedef enum { RATINGS(ENUMERATE) } rating;
typedef enum { ATTITUDES(ENUMERATE) } attitude;
typedef enum { METHODS(ENUMERATE) METHOD_COUNT } test_method;
typedef enum { ACTIONS(ENUMERATE) ACTION_COUNT } repair_action;
typedef enum { SIGHTS(ENUMERATE) SEEN_NOTHING } sight;
#undef ENUMERATE

/* The words of each table in the order of its codes, ending in NULL. */
extern const char *const closure_kind_words[];
extern const char *const passage_kind_words[];
extern const char *const rating_words[];
extern const char *const attitude_words[];
extern const char *const method_words[];
extern const char *const result_words[];
extern const char *const action_words[];
extern const char *const sight_words[];
extern const char *const index_role_words[];

const char *link_kind_word(link_kind kind);
/* Does it turn on a hinge? Common practice, no source. */
bool kind_hinged(link_kind kind);

typedef struct {
    double x, y, z; /* middle of the opening; z of its lowest edge */
    double width, height;
    attitude lies;
    bool given; /* false: only z is set, worked out from the spaces */
} opening;

/* A stretch without print; SEEN_EDGE: one with a print that lies off the middle of the gasket. */
typedef struct {
    double at, length; /* m along the gasket run from the top corner on the hinge side */
    sight seen;
} gap;

enum { JOINTS_MAX = 100 }; /* of a gasket */

/* m: no permanent set and no play of a hinge is more; who wrote more meant mm. */
#define MEASURED_MAX 0.1

/* Upper bound of counts, worths and weights: what is larger is a slip, and sums must stay finite.
 */
#define AMOUNT_MAX 1e9

/* Pa: a pressure that a space is tested with is not more; who wrote more slipped. 10 bar, common
 * practice, no source. */
#define PRESSURE_MAX 1e6

/* m2: no closure that is shut leaks through more; who wrote more meant cm2. */
#define LEAK_AREA_MAX 1

typedef enum { EVENT_TEST, EVENT_REPAIR } event_kind;

/* One entry of a closure's history, from the arrangement or a log. */
typedef struct {
    event_kind kind;
    int closure;
    coaming_date date;
    int order; /* of reading: arrangement first, then the logs */
    test_method method;
    coaming_result result;
    repair_action action;
    const gap *gaps;
    size_t gap_count;
    double set, hinge_play; /* m, as measured at a test; NaN: not */
    bool dropped;           /* a test by air, with this drop of pressure: */
    coaming_drop drop;      /* its volume NaN where it is that of the space */
    const char *by, *note;
    long line;
    int previous; /* while a log is read: the one before of the same closure, kind and date, not undone; -1 */
    bool undone; /* taken back by an <undo> of its log */
    coaming_date undone_on;
    const char *undone_by, *undone_note;
} ship_event;

typedef struct {
    const char *id, *name;
    link_kind kind;
    bool passage;
    coaming_place a, b; /* in the order of "between" */
    opening clear;
    long line;
    /* the rest for closures only */
    rating rating;
    bool one_sided;              /* tested and worked from one side only: */
    coaming_place from;          /* this one */
    bool always;                 /* shut in every condition */
    const bool *shut_in;         /* by condition, when not always */
    bool ever_shut;              /* false: shut-in="" */
    bool protected;              /* keeps water out under water by its make, see coaming/grade.h */
    coaming_date fitted;         /* the closure itself; COAMING_NO_DATE: not given */
    double hours;                /* negative: not given */
    double leak_probability;     /* negative: not given */
    double collapse_head;        /* m of water on one side that break it; negative: not given */
    double leak_area;            /* m2, shut; negative: not given */
    bool remote;                 /* can be shut from elsewhere than beside it, */
    int power, control;          /* but not once these spaces are under water; -1: not given */
    coaming_date gasket_fitted;  /* COAMING_NO_DATE: not given */
    const char *gasket_section;  /* what it is cut from, as the ship calls it; NULL */
    const double *gasket_joints; /* places along the gasket run */
    size_t gasket_joint_count;
    const double *dogs; /* places along the gasket run; NULL: evenly spaced */
    size_t dog_count;
    const ship_event *events; /* by date, then order of reading; only up to the ship's as-of date */
    size_t event_count;
    const ship_event *undone; /* entries that were taken back by the as-of date */
    size_t undone_count;
    const ship_event *last_test; /* of any method; NULL: none */
    /* how it stands, of ship/standing.h */
    coaming_result result;
    const ship_event *decided;      /* the test that decides it; NULL: untested */
    const ship_event *looked;       /* last visual test; NULL */
    const ship_event *print;        /* the test whose print is to be read; NULL */
    const ship_event *repair_since; /* latest repair that no test has tried, or a gasket that the
                                      arrangement says was fitted since; NULL: none */
    const ship_event *repair_from;  /* the first such */
    bool seen[COAMING_SEEN_KINDS];  /* what is seen of it now: it stands so already */
} ship_link;

/* Takes water out of the spaces that it serves, and over the side. It stops once the space where it
 * stands, or that of its power or its control, is under water. */
typedef struct {
    const char *id, *name;
    int space;
    double capacity;   /* m3/h */
    const int *serves; /* spaces, in the order of the file; one at least */
    size_t serve_count;
    int power, control; /* spaces; -1: not given */
    long line;
} ship_pump;

/* Blows air from the weather into a space. */
typedef struct {
    const char *id, *name;
    int supplies;    /* space */
    double flow;     /* m3/s */
    double pressure; /* Pa, that it gives this flow against; negative: not given, then any */
    long line;
} ship_fan;

typedef struct {
    coaming_hazard hazard;
    coaming_place source;
    double weight;
} scenario;

/* Liquid in a space. */
typedef struct {
    int space;
    double fill;    /* share of the space's volume */
    double density; /* t/m3 */
    long line;
} loading_content;

/* How she is loaded. Draught at mid-length; trim as in coaming_float; the centre of gravity with
 * every liquid at rest, the ship upright and on even keel. */
typedef struct {
    const char *id, *name;
    double draught, trim;
    double kg, lcg, tcg; /* lcg and tcg NaN where not given */
    coaming_index_role role;
    const loading_content *contents;
    size_t content_count;
    long line;
} ship_loading;

typedef struct {
    link_kind kind;
    double eta_years, beta;
} ageing;

typedef struct {
    double sensitivity, specificity;
    test_method method;
    bool proves; /* does a pass prove that the closure holds? */
} method_quality;

typedef struct {
    repair_action action;
    double success; /* chance that it makes a leaking closure sound, less than 1 */
} repairing;

typedef struct {
    link_kind kind;
    test_method method;
    int days;       /* at most this many between tests */
    double minutes; /* that one takes; negative: not given */
    long line;
} interval;

typedef struct {
    double x;
    const double *offsets; /* z, half-breadth y of each, z rising */
    size_t offset_count;
    long line;
} hull_section;

typedef struct {
    double spacing, zero; /* x of frame 0 */
    bool given;
} frames;

/* Of damage: from one place along her to another. */
typedef struct {
    double from, to;
    long line;
} ship_zone;

/* Ids in alphabetical order for looking up. */
typedef struct {
    const char **ids; /* sorted */
    int *index;       /* index of each in its list */
    size_t count;
} id_index;

/* Gaskets of a kind whose age is known on the as-of date. */
typedef struct {
    size_t known;
    double days;        /* sum of their ages */
    double least, most; /* youngest and oldest, days */
} gasket_ages;

struct coaming_ship {
    arena memory;
    const char *path, *name;
    long line; /* of <ship> */
    coaming_date as_of;
    double length, beam, depth, draught, density;
    double kg, lcg, tcg; /* NaN where not given */
    int bulkhead_deck;   /* index; -1: not given, freeboard is to the hull's own deck edge */
    double persons;      /* that are not of her crew; NaN: not given */
    bool feet;
    frames frames;
    const struct hull_shape *hull; /* hull.h */
    hull_section *sections;
    size_t section_count;
    ship_deck *decks;
    size_t deck_count;
    ship_condition *conditions;
    size_t condition_count;
    ship_loading *loadings;
    size_t loading_count;
    ship_space *spaces;
    size_t space_count;
    ship_link *links;
    size_t closure_count, link_count;
    ship_pump *pumps;
    size_t pump_count;
    ship_fan *fans;
    size_t fan_count;
    scenario *scenarios;
    size_t scenario_count;
    ageing *ageings;
    size_t ageing_count;
    method_quality *methods;
    size_t method_count;
    repairing *repairings;
    size_t repairing_count;
    gasket_ages gaskets[KIND_COUNT];
    interval *intervals;
    size_t interval_count;
    ship_zone *zones; /* from aft; none: from end to end of the shell spaces */
    size_t zone_count;
    id_index space_ids, link_ids, deck_ids, condition_ids, loading_ids, pump_ids, fan_ids;
    size_t later_events; /* log entries after the as-of date, not counted */
    /* links at each space: incident[first[s] .. first[s+1]), in file order */
    int *first, *incident;
    ship_link *unseen; /* the closures without what is seen; NULL: nothing was ever seen */
};

/* The id of item `index` of a list. */
typedef const char *(*text_of_id)(const void *list, size_t index);

/* Makes an index over count ids; false when out of memory. Equal ids stay in the order of lists. */
bool id_index_make(id_index *index, arena *memory, size_t count, text_of_id text, const void *list);
int id_index_find(const id_index *index, const char *id); /* lowest index, -1: none */
const char *id_index_nearest(const id_index *index, const char *id);

/* The outside that has this id, less than 0; 0: none has. */
coaming_place outside_named(const char *id);

/* The place that the link leads to from the other. */
coaming_place link_other_side(const ship_link *l, coaming_place side);

/* Length of the gasket's run round the opening, m: along its clear edges. 0 if its size is not
 * given.
 */
double link_gasket_run(const ship_link *l);

/* Shortest piece of the gasket between two joints, m; NaN: one piece, or the run is not known. */
double link_shortest_piece(const ship_link *l);

/* Does a place, and a length, fit on the run of this length? A tape that runs round the outside of
 * the gasket may read 2 % more (common practice, no source). run 0: not known. */
bool on_gasket_run(double run, const gap *g);

/* Micrometres, whole: decimals are not exact in binary, so lengths that bounds decide on are
 * compared in these. */
long long micrometres(double metres);

/* The drop of pressure of an entry that has one. */
coaming_drop event_drop(const coaming_ship *ship, const ship_event *e);

/* Is it what she cannot do without, as is said of it, or as it is used? */
bool space_is_machinery_or_vital(const ship_space *s);

/* Does she carry 13 or more persons who are not of her crew (more than twelve passengers: SOLAS I/2)? */
bool ship_takes_passengers(const coaming_ship *ship);

/* Fills ship->first and ship->incident from the links; false when out of memory. */
bool ship_connect(coaming_ship *ship);

#endif
