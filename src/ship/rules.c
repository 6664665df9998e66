#include "ship/rules.h"

#include "ship/standing.h"

static size_t given_rules(const coaming_ship *ship, link_kind kind, test_rule *rules)
{
    size_t count = 0;
    for (size_t i = 0; i < ship->interval_count; i++) {
        const interval *v = &ship->intervals[i];
        if (v->kind == kind && count < TEST_RULES_MOST)
            rules[count++] = (test_rule){v->method, v->days, COAMING_BASIS_ARRANGEMENT, v->minutes};
    }
    return count;
}

static size_t default_rules(const ship_link *l, test_rule *rules)
{
    size_t count = 0;
    bool watertight = l->rating == WATERTIGHT;
    bool weekly = watertight && (l->kind == DOOR || l->kind == SIDESCUTTLE || l->kind == VALVE);
    if (weekly)
        rules[count++] = (test_rule){VISUAL, 7, COAMING_BASIS_SOLAS, -1};
    if (l->kind == DOOR || l->kind == HATCH || l->kind == SCUTTLE || l->kind == SIDESCUTTLE)
        rules[count++] = (test_rule){CHALK, 182, COAMING_BASIS_ASSUMED, -1};
    else if (l->kind == MANHOLE || l->kind == COVER)
        rules[count++] = (test_rule){CHALK, 365, COAMING_BASIS_ASSUMED, -1};
    else if (!weekly)
        rules[count++] = (test_rule){VISUAL, 91, COAMING_BASIS_ASSUMED, -1};
    return count;
}

size_t test_rules(const coaming_ship *ship, const ship_link *l, test_rule rules[TEST_RULES_MOST])
{
    if (l->rating == NONTIGHT)
        return 0;
    size_t given = given_rules(ship, l->kind, rules);
    return given ? given : default_rules(l, rules);
}

bool usual_method(const coaming_ship *ship, const ship_link *l, test_method *method)
{
    test_rule rules[TEST_RULES_MOST];
    const test_rule *shortest = NULL;
    size_t count = test_rules(ship, l, rules);
    for (size_t i = 0; i < count; i++)
        if (standing_quality(ship, rules[i].method, NULL).proves &&
            (!shortest || rules[i].days < shortest->days))
            shortest = &rules[i];
    if (shortest)
        *method = shortest->method;
    return shortest != NULL;
}
