/* Whose failure would cost most, numbered in the drawing. */
#include "base/text.h"
#include "present/draw/drawing.h"
#include "present/tell/chance_words.h"
#include "present/tell/float_words.h"

/* Closures whose failure she does not survive in some scenario: named before anything else. */
static void say_lost(drawing *d, const coaming_ranking *k)
{
    size_t count = 0;
    int *lost = draw_new(d, coaming_ranking_count(k), sizeof *lost);
    for (size_t i = 0; i < coaming_ranking_count(k) && lost; i++)
        if (coaming_ranking_get(k, i)->lost)
            lost[count++] = coaming_ranking_get(k, i)->closure;
    if (count)
        ALARM("%s: %s.", LOST_IF_ONE_FAILS, overlay_listed_links(d, lost, count));
}

void overlay_make_rank(drawing *d)
{
    const coaming_drawing *w = d->what;
    const coaming_ranking *k = w->ranking;
    char words[SHOWN], asks[SHOWN];
    d->over.heading =
        draw_format(d, "%s, by %s", capital(asks, RANK_ASKS), measure_words(words, w->measure));
    d->over.badge_means = "rank by cost of failure";
    say_lost(d, k);
    overlay_say_level(d, w->query.hazard[COAMING_WATER]);
    size_t count = coaming_ranking_count(k), top = w->top && w->top < count ? w->top : count;
    for (size_t i = 0; i < top; i++) {
        const coaming_rank *r = coaming_ranking_get(k, i);
        if (r->consequence <= 0)
            break;
        d->over.links[r->closure].badge = (int)i + 1;
        ITEM("%zu. %s %s: %s", i + 1, BRIEF(d->ship->links[r->closure].id),
             BRIEF(d->ship->links[r->closure].name), measured(words, w->measure, r->consequence));
    }
    if (!d->over.item_count)
        SAY(NOTHING_LOST);
    d->over.caution = coaming_caution_at(w->query.level);
}
