/*
 * coaming/air.h - air, smoke and gas in time: what drives air through her closures, where smoke or
 * gas comes how soon and what it does to people, what overpressure keeps a shelter clean, and what a
 * pressure-drop test says of a boundary.
 *
 * Units: Pa, m3/s, m2, s, degrees Celsius; wind in m/s.
 */
#ifndef COAMING_AIR_H
#define COAMING_AIR_H

#include "coaming/query.h"

#ifdef __cplusplus
extern "C" {
#endif

/*
 * Leaks: Q = c |dp|^n with the sign of dp, at the density of 1.2 kg/m3; 0.5 <= n <= 1 (form of ISO 9972
 * and ASTM E779, from memory).
 */
typedef struct {
    double c; /* m3/s at 1 Pa */
    double n;
} coaming_leak;

/* The orifice of an area, m2: Q = 0.83 A dp^0.5, as of doors ("Air leakage at differential pressure",
 * sheet of 8 pressures and 2 areas, scribd.com/document/585665127: the form of BS 5588-4 and
 * EN 12101-6). */
#define COAMING_ORIFICE 0.83
COAMING_API coaming_leak coaming_leak_orifice(double area);

/* m3/s at a difference of pressure. */
COAMING_API double coaming_leak_flow(coaming_leak leak, double dp);

/* The area, m2, of an orifice with this coefficient of discharge that passes the same at dp, in air of
 * that density, kg/m3. ELA is at 4 Pa with 1 (ASTM E779, from memory). */
COAMING_API double coaming_leak_area(coaming_leak leak, double dp, double discharge,
                                     double density);

/* Side by side, and one behind the other: of leaks with one exponent c adds up, or c^(-1/n) does (from
 * Q^(1/n) being in proportion to the drop of each). COAMING_USAGE: none, an exponent that differs, or a
 * c that is not above 0. */
COAMING_API coaming_status coaming_leak_parallel(const coaming_leak *leaks, size_t count,
                                                 coaming_leak *together, coaming_error *error);
COAMING_API coaming_status coaming_leak_series(const coaming_leak *leaks, size_t count,
                                               coaming_leak *together, coaming_error *error);

/* A space was blown up and shut, and its pressure fell. */
typedef struct {
    double volume;      /* m3 */
    double from, to;    /* Pa over what surrounds it; from > to > 0 */
    double seconds;     /* that it took */
    double surrounding; /* absolute, Pa */
    double n;           /* of the leak, 0.5 to 1 */
} coaming_tightness;

/* 101325 Pa around it, n 0.5. */
COAMING_API coaming_tightness coaming_tightness_default(void);

/*
 * The leak of its whole boundary: an ideal gas at one temperature loses V/P dp/dt = -c p^n, so that
 * p^(1-n) falls evenly, ln p for n = 1. A change of 1 K is 346 Pa at 20 degrees (101325/293.15), far
 * more than such a test measures: it counts only if temperature stood still. COAMING_USAGE if a value
 * is out of its bounds.
 */
COAMING_API coaming_status coaming_tightness_leak(const coaming_tightness *drop, coaming_leak *leak,
                                                  coaming_error *error);

/* --- what is in the air --- */

/* Code, word, g/mol (of IUPAC's standard atomic weights; of smoke that of air). */
#define COAMING_AGENT_TABLE(X)                                                                     \
    X(SMOKE, "smoke", 28.964)                                                                      \
    X(CO, "co", 28.010)                                                                            \
    X(CO2, "co2", 44.009)                                                                          \
    X(HCN, "hcn", 27.026)                                                                          \
    X(NO2, "no2", 46.006)                                                                          \
    X(H2S, "h2s", 34.08)                                                                           \
    X(CL2, "cl2", 70.90)                                                                           \
    X(NH3, "nh3", 17.031)                                                                          \
    X(SO2, "so2", 64.06)

typedef enum {
#define COAMING_AGENT_CODE(code, word, weight) COAMING_AGENT_##code,
    COAMING_AGENT_TABLE(COAMING_AGENT_CODE)
#undef COAMING_AGENT_CODE
        COAMING_AGENTS
} coaming_agent;

COAMING_API const char *coaming_agent_word(coaming_agent agent);
COAMING_API double coaming_agent_weight(coaming_agent agent); /* g/mol */

/* m3 of a mole of gas at 25 degrees and 1 atmosphere: what ppm and mg/m3 are turned by. */
#define COAMING_MOLAR_VOLUME (8.314462618 * 298.15 / 101325)

/* Where something gets into the air. Smoke is told as a share of what its source gives off. */
typedef struct {
    coaming_place place; /* a space, or COAMING_WEATHER */
    coaming_agent agent;
    double rate; /* mol/s into a space; of the weather: its share of the air outside */
} coaming_air_source;

/*
 * PLACE:RATE[:AGENT], the agent smoke unless it is said. RATE has its unit: into a space m3/s, m3/h, l/s
 * or l/min (at 25 degrees and 1 atmosphere), kg/s, g/s, g/min or mg/s; of the weather ppm, % or mg/m3.
 * Read from behind, for the id of a space may have colons.
 * COAMING_USAGE, COAMING_UNKNOWN of a space that there is not.
 */
COAMING_API coaming_status coaming_air_source_parse(const coaming_ship *ship, const char *text,
                                                    coaming_air_source *source,
                                                    coaming_error *error);

typedef enum {
    COAMING_LIMIT_SHARE,  /* of the air, at most */
    COAMING_LIMIT_DOSE,   /* share of the air times s, at most */
    COAMING_LIMIT_OXYGEN, /* share of the air, at least */
    COAMING_LIMIT_FED     /* fractional effective dose, at most */
} coaming_limit_kind;

typedef struct {
    const char *name; /* of a published one its name, else as it was given: borrowed */
    coaming_limit_kind kind;
    coaming_agent agent; /* of share and dose */
    double value;
    const char *said;   /* "1200 ppm CO": of a published one; else NULL */
    const char *source; /* who published it, and when; NULL: it was given */
} coaming_air_limit;

/* The published ones, by index; NULL past the last. Only such as were read, see the manual page. */
COAMING_API const coaming_air_limit *coaming_air_limit_published(size_t index);

/*
 * The name of a published one; or [AGENT:]NUMBER and unit: ppm, %, mg/m3 or ppm-min. Without an agent it
 * is of `agent`. COAMING_USAGE: neither, no unit, or not above 0.
 */
COAMING_API coaming_status coaming_air_limit_parse(const char *text, coaming_agent agent,
                                                   coaming_air_limit *limit, coaming_error *error);

/* How hard people breathe: l/min, and % of carboxyhaemoglobin at which they fall (SFPE Handbook of Fire
 * Protection Engineering, 5th edition, chapter 63). */
#define COAMING_ACTIVITY_TABLE(X)                                                                  \
    X(REST, "rest", 8.5, 40)                                                                       \
    X(LIGHT, "light", 25, 30)                                                                      \
    X(HEAVY, "heavy", 50, 20)

typedef enum {
#define COAMING_ACTIVITY_CODE(code, word, breath, falls) COAMING_ACTIVITY_##code,
    COAMING_ACTIVITY_TABLE(COAMING_ACTIVITY_CODE)
#undef COAMING_ACTIVITY_CODE
        COAMING_ACTIVITIES
} coaming_activity;

COAMING_API const char *coaming_activity_word(coaming_activity activity);

/* What somebody takes up a second, at shares of the air by agent: fractional effective doses of what
 * makes people fall (the same chapter): of CO 3.317e-5 ppm^1.036 V t/D, of HCN ppm^2.36 t/1.2e6, of
 * nitrogen oxides ppm t/1500, these times exp(%CO2 / 5) for deeper breath; and of want of oxygen
 * t/exp(8.13 - 0.54 (20.9 - %O2)), counted below 19.5 %, for the form would have people fall in clean
 * air; t in minutes. Oxygen is 20.9 % of what the agents but smoke leave. At most
 * one dose a second. */
COAMING_API double coaming_fed_rate(const double share[COAMING_AGENTS], coaming_activity activity);
/* The same of CO2 itself: t/exp(6.1623 - 0.5189 %CO2), counted from 3 % on, for the same reason. */
COAMING_API double coaming_fed_rate_co2(double share);
COAMING_API double coaming_oxygen(const double share[COAMING_AGENTS]);

/* --- the ship --- */

/* Code, word: what is done, or fails, at a moment. */
#define COAMING_AIR_CHANGE_TABLE(X)                                                                \
    X(SHUT, "shut")                                                                                \
    X(OPEN, "open")                                                                                \
    X(FAIL, "fail")                                                                                \
    X(FAN_ON, "fan on")                                                                            \
    X(FAN_OFF, "fan off")                                                                          \
    X(END, "end")

typedef enum {
#define COAMING_AIR_CHANGE_CODE(code, word) COAMING_AIR_CHANGE_##code,
    COAMING_AIR_CHANGE_TABLE(COAMING_AIR_CHANGE_CODE)
#undef COAMING_AIR_CHANGE_CODE
} coaming_air_change_kind;

COAMING_API const char *coaming_air_change_word(coaming_air_change_kind kind);

/* A closure that is shut passes what it does as it is rated and stands, also a nontight one and one that
 * no condition shuts; one that fails leaks from then on while it is shut. A fan that is switched on by its
 * first change is off until then; the others run from the start; one that is off passes nothing. What
 * ends is all that is given off at a place, or of the weather what the air outside has. */
typedef struct {
    double t; /* s, 0 or more, up to the end */
    coaming_air_change_kind kind;
    int which; /* closure, fan, or place of a source */
} coaming_air_change;

typedef struct {
    const coaming_air_source *sources; /* all lists are borrowed for the call */
    size_t source_count;               /* 0: pressures alone */
    const coaming_air_limit *limits;   /* NULL: the published ones of the agents that there are */
    size_t limit_count;
    const double *warmth; /* degrees by space; NULL: all as `inside` */
    double inside, outside;
    double wind, wind_from; /* m/s; degrees from ahead, to starboard: 90 comes from starboard */
    double overpressure;    /* Pa that a shelter is wanted to have over what is round it */
    const coaming_air_change *changes; /* in any order; those of one moment happen as they stand */
    size_t change_count;
    double until, every; /* s, both above 0; until: COAMING_AIR_LONGEST at most */
    int condition;       /* closures as it has them, as tested and as seen */
    coaming_activity activity;
    bool filtered; /* what fans blow in is clean; else it is the air outside */
    bool by_when;  /* until when is it worth shutting what brings a limit somewhere: costs more */
} coaming_air_options;

/* What a fan gives against, where the arrangement does not say: an assumption, Pa. */
#define COAMING_AIR_FAN_MOST 500

#define COAMING_AIR_LONGEST (30 * 86400.0)
enum { COAMING_AIR_MOMENTS = 20000 }; /* most that are told */

/* No condition, no sources, 20 degrees inside and outside, no wind, 50 Pa (of non-hazardous enclosed
 * spaces over hazardous ones: class rule at imorules.com, GUID-841BBD0D-6666-44D8-BBB7-D0AE14B76721,
 * 6.1.2), not filtered, an hour, every minute, light work. */
COAMING_API coaming_air_options coaming_air_options_default(void);

/*
 * What a link passes.
 * Open, a passage, or nontight and open: its clear opening as an orifice; where its size is not given
 * as flood.h assumes. Shut and not failed: the leak area that the arrangement gives; else that of the drop
 * of pressure of the test that decides, if it has one (it is of all that bounds the space); else 3 m3/h for
 * each metre of its gasket's run at 25 Pa, the criterion of a smoke control door in the United Kingdom
 * (floresrichardsonk2ja.web.app, citing it): an assumption from buildings, for no published leakage
 * of ships' tight closures was found. Rated nontight and shut: 0.01 m2 for 5.6 m of crack, as a single
 * door (BS 5588-4, sheet at scribd.com/document/662151014). Failed: that of
 * such a drop; else that of a sound one, and besides the
 * gaps of the print that decides, or COAMING_FLOOD_GAP of the run, times the stand-off of flood.h.
 */
#define COAMING_AIR_SMOKE_DOOR 3.0 /* m3/h each m at COAMING_AIR_SMOKE_AT */
#define COAMING_AIR_SMOKE_AT   25.0
#define COAMING_AIR_CRACK      (0.01 / 5.6) /* m2 each m */

/* Code, word. */
#define COAMING_AIR_STATE_TABLE(X)                                                                 \
    X(OPEN, "open")                                                                                \
    X(NONTIGHT, "nontight")                                                                        \
    X(SOUND, "sound")                                                                              \
    X(UNTESTED, "untested")                                                                        \
    X(FAILED, "failed")

typedef enum {
#define COAMING_AIR_STATE_CODE(code, word) COAMING_AIR_##code,
    COAMING_AIR_STATE_TABLE(COAMING_AIR_STATE_CODE)
#undef COAMING_AIR_STATE_CODE
} coaming_air_state;

COAMING_API const char *coaming_air_state_word(coaming_air_state state);

typedef struct {
    int link;
    coaming_air_state state;
    double area;        /* m2, as of an orifice */
    bool size_assumed;  /* its opening is not in the arrangement */
    bool leak_assumed;  /* how much it leaks shut is not */
    double drop;        /* Pa by which its first side is over its second, at mid-height */
    double forth, back; /* m3/s of air of 1.2 kg/m3, from the first side to the second, and back */
} coaming_air_way;

typedef struct {
    double volume;   /* m3 */
    double pressure; /* Pa over the still air outside at the height of its middle */
    double changes;  /* of its air an hour */
    bool sealed;     /* no air gets out of where it is, not even to another space that has a way */
} coaming_air_space;

/* What is in the air of a space at each of the times. */
typedef struct {
    int space;
    coaming_agent agent;
    const double *share; /* of the air */
    const double *dose;  /* share x s since the start */
} coaming_air_course;

typedef struct {
    int space;
    const double *fed; /* the greater of the two doses */
} coaming_air_harm;

typedef struct {
    double t;
    int space;
    const coaming_air_limit *limit;
    int by; /* link by which most of it comes in then; -1: its source is there, or it is a dose of more */
    coaming_air_state state; /* of that link then */
} coaming_air_event;

/* What it gains to shut a closure, which stays so, that stands open and brings a limit somewhere: from
 * the start; and with by_when the last moment found at which it still gains that. What is gained by
 * shutting late is taken to be gained by shutting earlier; each moment told was tried, and is at most
 * the greater of 1 s and 2 % before one that is too late. */
typedef struct {
    int closure;
    int space;            /* to which it brought a limit first */
    double before, after; /* s, when the first limit is passed there; after: NaN: none is */
    /* Spaces in which no limit is passed by the end of what is followed, in file order. */
    const int *kept;
    const double *latest; /* of each s from the start; NULL without by_when */
    size_t kept_count;
    /* Spaces, but for where it is given off, in which one is passed that is not as asked, or sooner, by
     * more than 1 % and a second, with it shut from the start: it goes there instead; in file order. */
    const int *worse;
    size_t worse_count;
} coaming_air_shutting;

enum { COAMING_AIR_SHUTTINGS = 12 }; /* most that are tried */

/* A boundary's part in what a shelter loses. */
typedef struct {
    int link;
    double flow;  /* m3/s out by it with the overpressure wanted */
    double sound; /* the same were it shut and sound; a link that cannot be: as flow */
} coaming_air_cost;

/* Spaces that fans supply, with all that stands open to them, but the outside. Flows are of the air
 * outside, as fans are rated. */
typedef struct {
    const int *spaces;
    size_t space_count;
    double fan;          /* m3/s that its fans give, as they stand */
    double pressure;     /* Pa, the least over what is round it at any height of its closures */
    const double *later; /* the same in each stretch but the first, of the same spaces */
    double needed;       /* m3/s for the overpressure wanted */
    double clean; /* Pa, the least at which air goes out by every one of them: COAMING_AIR_TRIED
                          at most, else NaN */
    double clean_flow;             /* m3/s for that; NaN without it */
    const coaming_air_cost *costs; /* most first */
    size_t cost_count;
} coaming_air_shelter;

#define COAMING_AIR_TRIED 2000.0

/* How the air is driven from a moment on. */
typedef struct {
    double from;                     /* s */
    const coaming_air_space *spaces; /* by index */
    const coaming_air_way *ways;     /* as many as of the answer, in the same order */
} coaming_air_stretch;

typedef struct {
    const coaming_air_space *spaces; /* by index, at the start */
    const coaming_air_way *ways;     /* those that pass air at all: neither side is the sea */
    size_t way_count;
    const coaming_air_stretch *stretches; /* the first from 0 on; a change begins the next */
    size_t stretch_count;
    const coaming_air_shelter *shelters;
    size_t shelter_count;
    /* with sources */
    const double *times; /* s, from 0 */
    size_t time_count;
    const coaming_air_course *courses; /* of spaces where there is any, by agent and space */
    size_t course_count;
    const coaming_air_harm *harms; /* the same; none without CO, CO2, HCN, NO2 */
    size_t harm_count;
    const coaming_air_event *events; /* by time */
    size_t event_count;
    const coaming_air_shutting *shuttings; /* those that gain something, by time */
    size_t shutting_count;
    double unbalanced; /* mol that are not where they should be, of all that moved: a check */
} coaming_air_answer;

typedef struct coaming_air coaming_air;

/*
 * Wind presses on openings to the weather by their side: 0.8 of its dynamic pressure times the cosine
 * where it comes on, 0.5 times it in the lee, nothing on decks (from memory, of buildings). Fans blow
 * from the outside, their flow up to their pressure.
 *
 * Air is mixed well in each space; temperatures and wind stay as they are. With each change pressures and
 * flows are another balance at once; what is in the air goes on from what it was. Shelters are told as
 * they stand at the start. Not counted: heat
 * of a fire, smoke in layers, what settles or burns out or sticks, exchange between spaces of one
 * temperature by an open door, liquids in tanks, motion of the ship. What leaves her does not come back.
 *
 * Lifetime: a coaming_air borrows the ship and owns all that it points to. COAMING_USAGE: an option out
 * of its bounds; COAMING_MEMORY, COAMING_INTERNAL.
 */
COAMING_API coaming_status coaming_air_new(const coaming_ship *ship,
                                           const coaming_air_options *options, coaming_air **air,
                                           coaming_error *error);
COAMING_API void coaming_air_free(coaming_air *air);
COAMING_API const coaming_air_answer *coaming_air_get(const coaming_air *air);
COAMING_API const coaming_air_options *coaming_air_asked(const coaming_air *air);
COAMING_API const coaming_ship *coaming_air_ship(const coaming_air *air);

#ifdef __cplusplus
}
#endif

#endif
