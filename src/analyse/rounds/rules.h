/* analyse/rounds/rules.h - by which methods a closure is to be tested, and how often. */
#ifndef ANALYSE_ROUNDS_RULES_H
#define ANALYSE_ROUNDS_RULES_H

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

#endif
