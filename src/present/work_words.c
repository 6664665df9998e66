/* How much work stands failed or untested, in words. */
#include "base/text.h"
#include "present/style.h"
#include "present/views.h"

void say_open_work(FILE *out, const coaming_ranking *k, unsigned standing)
{
    static const coaming_result open[] = {COAMING_FAIL, COAMING_UNTESTED};
    char hours[SHOWN];
    bool started = false;
    for (int i = 0; i < 2; i++) {
        coaming_work w = coaming_ranking_work(k, open[i]);
        if (!(COAMING_STANDS(open[i]) & standing))
            continue;
        fprintf(out, "%s%zu %s", started ? ", " : "", w.closures,
                open[i] == COAMING_FAIL ? "failed" : "untested");
        started = true;
        if (w.closures > w.without_hours)
            fprintf(out, " (%s h to make good%s", amount(hours, w.hours),
                    open[i] == COAMING_FAIL ? "" : " if all need it");
        if (w.closures > w.without_hours && w.without_hours)
            fprintf(out, ", %zu without hours)", w.without_hours);
        else if (w.closures > w.without_hours)
            fputc(')', out);
        else if (w.closures)
            fputs(" (without hours)", out);
    }
}
