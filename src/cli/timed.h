/* cli/timed.h - what is done when: comma lists of an id, @ and a time. */
#ifndef CLI_TIMED_H
#define CLI_TIMED_H

#include "cli.h"

typedef enum { TIMED_CLOSURE, TIMED_PUMP, TIMED_FAN, TIMED_SOURCE } timed_subject;

/* An option and what was given to it. */
typedef struct {
    const char *option;
    const text_list *given;
    timed_subject subject;
    int kind;    /* the caller's word for what is done */
    bool beside; /* may happen to it at one moment with something else */
} timed_option;

typedef struct {
    double t;
    int which;
    const timed_option *of;
} timed_change;

/* At most so many are made of the options. */
size_t timed_room(const timed_option *list, size_t count);

/* Appends to `made` what is to happen up to `until`; a closure without a time is seen so now and left
 * out; a pump or fan without one changes at the start. Without a ship only what is written is judged,
 * and nothing is made. -1 to go on, else the exit status, with the error told. */
int timed_take(const timed_option *list, size_t count, const coaming_ship *ship, double until,
               timed_change *made, size_t *made_count);

/* Takes each word of comma lists by a function; -1 to go on. The word may be written into. */
typedef int take_one(void *data, char *word);
int each_word(const text_list *texts, const char *option, take_one *take, void *data);

/* What stands behind the last of these signs, which is taken out; NULL: there is none. */
char *cut_at(char *word, char sign);

#endif
