/* How much work stands failed or untested, in words. */
#include "base/text.h"
#include "present/form/style.h"
#include "present/tell/views.h"

/* " (30 h to make good if all need it, 2 without hours)" */
static void say_hours(FILE *out, coaming_work w, bool failed)
{
    char hours[SHOWN];
    bool started = false;
    if (w.closure_count > w.without_hours_count) {
        fprintf(out, " (%s h to make good%s", amount(hours, w.hours),
                failed ? "" : " if all need it");
        started = true;
    }
    if (w.without_hours_count) {
        fprintf(out, "%s%zu without hours", started ? ", " : " (", w.without_hours_count);
        started = true;
    }
    if (w.not_tested_count) {
        fprintf(out, "%s%zu more " NEVER_TESTED, started ? ", " : " (", w.not_tested_count);
        started = true;
    }
    fputs(started ? ")" : "", out);
}

void say_open_work(FILE *out, const coaming_ranking *k, unsigned standing)
{
    static const coaming_result open[] = {COAMING_FAIL, COAMING_UNTESTED};
    bool started = false;
    for (int i = 0; i < 2; i++) {
        bool failed = open[i] == COAMING_FAIL;
        if (!(COAMING_STANDS(open[i]) & standing))
            continue;
        coaming_work w = coaming_ranking_work(k, open[i]);
        fprintf(out, "%s%zu %s", started ? ", " : "", w.closure_count,
                failed ? "failed" : "untested");
        say_hours(out, w, failed);
        started = true;
    }
}

static bool repairs(const coaming_plan *plan, int closure)
{
    for (size_t i = 0; i < plan->repair_count; i++)
        if (plan->repairs[i].closure == closure)
            return true;
    return false;
}

bool plan_leaves_to_be_lost(const coaming_ship *ship, const coaming_plan *plan,
                            const coaming_rank *row)
{
    return row->lost && coaming_closure_result(ship, row->closure) != COAMING_PASS &&
           !repairs(plan, row->closure);
}

bool plan_leaves_failed(const coaming_ship *ship, const coaming_plan *plan, int closure)
{
    return ship->links[closure].hours >= 0 &&
           coaming_closure_result(ship, closure) == COAMING_FAIL && !repairs(plan, closure);
}
