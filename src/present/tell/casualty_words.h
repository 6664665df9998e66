/*
 * present/tell/casualty_words.h - what is said of a casualty, once for the page that is read aloud and
 * the sheet that hangs on the door. Each casualty_put_... writes one sentence, or nothing.
 */
#ifndef PRESENT_CASUALTY_WORDS_H
#define PRESENT_CASUALTY_WORDS_H

#include <stdio.h>

#include "coaming/casualty.h"
#include "ship/ship.h"

/* How many of each are told; the document has all. INT32_MAX: every one. */
typedef struct {
    size_t reached, by;      /* places that it goes on to; links to one of them */
    size_t named, given;     /* spaces that are saved; spaces that are given up, lost or vital */
    size_t shut, shut_brief; /* closures to be shut at once; by their ids alone, after them */
    size_t alike, reasons;   /* links that cannot be shut for one reason; reasons */
    size_t ways;             /* spaces that no line can keep, each with its way; of more, names */
    size_t posts, sound;     /* places of a line where there is something to do or know; others */
    size_t own;              /* closures that a line does not share with the one before */
} casualty_most;

/* From all that is worth telling down to what fits a page whatever the ship. */
enum { CASUALTY_CUTS = 5 };
casualty_most casualty_cut(int cut);

typedef struct {
    const coaming_ship *ship;
    int condition;
    const coaming_casualty_answer *a;
    casualty_most most;
} casualty_view;

/* Cut to 30 columns. */
void casualty_put_id(FILE *out, const char *id);
void casualty_put_sources(FILE *out, const casualty_view *v);
#define CASUALTY_DRY "That lies above the water, all of it: the line is against water from outside."
/* "As the doors are it goes on: first to a by D1; then to b by D2 and P1, c by D4." */
void casualty_put_reached(FILE *out, const casualty_view *v);

/* Over what is to be shut at once. */
#define CASUALTY_NO_SINGLE "no single one keeps her afloat"
const char *casualty_shut_head(const casualty_view *v);
/* Does it go on at all as the doors are? And where nothing helps by itself: "the whole line to
 * hold; no closure by itself keeps anything dry." */
bool casualty_goes_on(const casualty_view *v);
void casualty_put_shut_none(FILE *out, const casualty_view *v);
/* "D1 from motor against engine"; and what it does and how it stands: "KEEPS HER AFLOAT; keeps a, b
 * dry; not known to be shut; FAILED 2026-09-14 by chalk". */
void casualty_put_shut(FILE *out, const casualty_view *v, const coaming_shutting *s);
void casualty_put_shut_why(FILE *out, const casualty_view *v, const coaming_shutting *s);
/* Those that save less: "then D4 from a, D5 from b and 3 more". False: none, nothing is written. */
bool casualty_put_shut_then(FILE *out, const casualty_view *v);
/* "D15 (not tight); P2, P4 (open)." */
#define CASUALTY_CANNOT "CANNOT BE SHUT, or does not hold shut"
void casualty_put_cannot(FILE *out, const casualty_view *v);
/* What no line can keep, beyond the first `most.ways`, which hold_lost_words tells. */
void casualty_put_lost(FILE *out, const casualty_view *v);

/* Who goes where for a line: places with something to do or to know, and the others in one text. */
typedef struct {
    coaming_place at;
    bool strong; /* something is to be shut */
    char *words; /* "SHUT D1 against engine; D1 CANNOT BE TRUSTED: untested" */
} casualty_post;
typedef struct {
    casualty_post *posts;
    size_t count;
    char *sound; /* "motor D1; aux D2 and V3"; NULL: none */
    char *more;  /* "and at 3 places more; 'coaming hold' tells them"; NULL: none */
} casualty_posts;
/* From where a closure of a line is seen to. */
coaming_place casualty_stand(const coaming_ship *ship, const coaming_hold_line *line, int closure);
#define CASUALTY_SOUND "keep shut as well, from: "
/* False when out of memory; to be freed either way. */
bool casualty_posts_new(const casualty_view *v, const coaming_hold_line *line, casualty_posts *p);
void casualty_posts_free(casualty_posts *p);

/* "With it held she is afloat ... If D2 gives way she is lost." Freed by the caller, NULL when out of
 * memory. And is that bad? */
char *casualty_held_words(const casualty_view *v, const coaming_hold_line *line);
bool casualty_held_is_bad(const coaming_hold_line *line);
/* "Given up: a, b. In all 2 spaces; vital: a; 3 people counted." */
void casualty_put_given_up(FILE *out, const casualty_view *v, const coaming_hold_line *line);
/* What of a line's spaces is wet already: "" if none; freed by the caller, NULL when out of memory. */
char *casualty_wet_words(const casualty_view *v, const coaming_hold_line *line);
/* What is lost if the line told first gives way: down to the next line that can hold, and if there
 * is none all that it kept. */
void casualty_put_if_it_fails(FILE *out, const casualty_view *v);
/* Lines told behind the first: "Second line (2 of 6), holds 49.8 %: M2, C2 and 7 as before"; "Third
 * line (3 of 6), holds 60.2 %: as before without V5". */
bool casualty_told_behind(const casualty_view *v, size_t index);
void casualty_put_behind(FILE *out, const casualty_view *v, size_t index);
bool casualty_behind_is_bad(const casualty_view *v, size_t index);

#endif
