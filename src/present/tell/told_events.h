/* present/tell/told_events.h - which of many events a short list tells: text that is put beside numbered
 * marks of a plot, the same in a drawing and in the report. */
#ifndef PRESENT_TOLD_EVENTS_H
#define PRESENT_TOLD_EVENTS_H

#include <stddef.h>

enum { TOLD_MOST = 24 };

/* What a list says at its end of those for which it has no room. */
#define TOLD_LEFT_OUT "Not told here: %s more"

/* How an event is told of. */
typedef enum { TOLD_NEVER, TOLD_IF_ROOM, TOLD_ALWAYS } told_rank;

typedef struct {
    size_t at[TOLD_MOST]; /* in the answer's events, by time */
    double t[TOLD_MOST];  /* s */
    size_t count;
    size_t left_out; /* for which there was no room */
} told_events;

/* Those that are always told, up to TOLD_MOST of them, and of the others the first for which that
 * leaves room. `rank` and `time` are asked of each event of `of`. */
told_events told_choose(const void *of, size_t count, told_rank (*rank)(const void *of, size_t i),
                        double (*time)(const void *of, size_t i));

#endif
