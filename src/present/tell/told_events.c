#include "present/tell/told_events.h"

told_events told_choose(const void *of, size_t count, told_rank (*rank)(const void *of, size_t i),
                        double (*time)(const void *of, size_t i))
{
    told_events told = {.count = 0};
    size_t always = 0, others = 0;
    for (size_t i = 0; i < count; i++)
        always += rank(of, i) == TOLD_ALWAYS;
    for (size_t i = 0; i < count; i++) {
        told_rank r = rank(of, i);
        if (r == TOLD_NEVER)
            continue;
        if (told.count == TOLD_MOST || (r == TOLD_IF_ROOM && always + ++others > TOLD_MOST)) {
            told.left_out++;
            continue;
        }
        told.t[told.count] = time(of, i);
        told.at[told.count++] = i;
    }
    return told;
}
