/* The closures whose tests are due, framed in the drawing. */
#include "base/text.h"
#include "present/draw/drawing.h"
#include "present/tell/late_words.h"

void overlay_make_due(drawing *d)
{
    const coaming_due *due = d->what->due;
    char words[SHOWN];
    int marked = 0;
    for (size_t i = 0; i < coaming_due_count(due); i++) {
        const coaming_due_row *r = coaming_due_get(due, i);
        link_note *n = &d->over.links[r->closure];
        ITEM("%s %s: %s", BRIEF(d->ship->links[r->closure].id), r->method, late_words(words, r));
        if (n->frame)
            continue; /* of its tests the most overdue stands first */
        n->frame = r->overdue ? FRAME_SQUARE : FRAME_DASHED;
        n->tag = draw_format(d, "%s", late_alone_words(words, r));
        marked++;
    }
    d->over.heading = draw_format(d, "Tests that are due within %d days", d->what->within);
    SAY("%s, at %d %s.", due_count_words(words, due), marked, marked == 1 ? "closure" : "closures");
    SAY("Intervals are the arrangement's own or assumed; 'coaming due' tells which.");
    d->over.caution = coaming_test_caution();
}
