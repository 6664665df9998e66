/* ship/rules.h - by which methods a closure is to be tested, and how often. */
#ifndef SHIP_RULES_H
#define SHIP_RULES_H

#include "coaming/due.h"
#include "ship/ship.h"

typedef struct {
    test_method method;
    int days;
    coaming_due_basis basis;
    double minutes; /* negative: not given */
} test_rule;

enum { TEST_RULES_MOST = 8 };

/* The arrangement's intervals for the kind of closure, else the defaults of due.h; none for what is
 * rated nontight. Returns how many. */
size_t test_rules(const coaming_ship *ship, const ship_link *l, test_rule rules[TEST_RULES_MOST]);

/* By which method a closure is tested when nobody says: of the rules whose method proves that it
 * holds, the one of the shortest interval (the first of equal ones). False: it has none, as a valve
 * that is only looked at, and whoever tested it must say. */
bool usual_method(const coaming_ship *ship, const ship_link *l, test_method *method);

#endif
