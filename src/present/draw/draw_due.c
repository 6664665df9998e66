/* The closures whose tests are due, framed in the drawing. */
#include <string.h>

#include "base/text.h"
#include "present/draw/drawing.h"
#include "present/form/style.h"

/* Tested by another method only, it was not "never tested". */
static const char *due_tag(drawing *d, const coaming_due_row *r)
{
    if (r->due == COAMING_NO_DATE)
        return d->ship->links[r->closure].last_test ? draw_format(d, "never by %s", r->method)
                                                    : "never tested";
    if (r->late == 0)
        return "today";
    return draw_format(d, r->overdue ? "%d d over" : "in %d d", r->overdue ? r->late : -r->late);
}

void overlay_make_due(drawing *d)
{
    const coaming_due *due = d->what->due;
    int marked = 0;
    for (size_t i = 0; i < coaming_due_count(due); i++) {
        const coaming_due_row *r = coaming_due_get(due, i);
        link_note *n = &d->over.links[r->closure];
        const char *tag = due_tag(d, r);
        ITEM("%s%s%s: %s", BRIEF(d->ship->links[r->closure].id), strstr(tag, " by ") ? "" : " ",
             strstr(tag, " by ") ? "" : r->method, tag);
        if (n->frame)
            continue; /* of its tests the most overdue stands first */
        n->frame = r->overdue ? FRAME_SQUARE : FRAME_DASHED;
        n->tag = tag;
        marked++;
    }
    size_t over = coaming_due_overdue_count(due), all = coaming_due_count(due);
    d->over.heading = draw_format(d, "Tests that are due within %d days", d->what->within);
    SAY("%zu %s overdue, %zu due after that, at %d %s.", over, over == 1 ? "test" : "tests",
        all - over, marked, marked == 1 ? "closure" : "closures");
    SAY("Intervals are the arrangement's own or assumed; 'coaming due' tells which.");
    d->over.caution = coaming_test_caution();
}
