#include "analyse/rounds/gasket.h"

#include <math.h>

static bool renews(const ship_event *e)
{
    return e->kind == EVENT_REPAIR && (e->action == GASKET || e->action == REPLACED);
}

static bool mends_hinge(const ship_event *e)
{
    return e->kind == EVENT_REPAIR && (e->action == HINGE || e->action == REPLACED);
}

bool joints_known(const ship_link *l)
{
    for (size_t i = 0; i < l->event_count; i++)
        if (renews(&l->events[i]) &&
            (l->gasket_fitted == COAMING_NO_DATE || l->events[i].date > l->gasket_fitted))
            return false;
    return true;
}

static void measured(const ship_link *l, coaming_reading *r)
{
    r->set = r->play = NAN;
    for (size_t i = 0; i < l->event_count; i++) {
        const ship_event *e = &l->events[i];
        bool before = l->gasket_fitted != COAMING_NO_DATE && e->date < l->gasket_fitted;
        if (renews(e))
            r->set = NAN;
        if (mends_hinge(e))
            r->play = NAN;
        if (!isnan(e->set) && !before)
            r->set = e->set;
        if (!isnan(e->hinge_play))
            r->play = e->hinge_play;
    }
}

static bool above(double value, double bound)
{
    return !isnan(value) && !isnan(bound) && micrometres(value) > micrometres(bound);
}

static void find(coaming_reading *r, bool fits, coaming_reason reason)
{
    if (fits)
        r->findings[r->finding_count++] = reason;
}

void read_gasket_state(const ship_link *l, coaming_reading *r)
{
    measured(l, r);
    r->joint_count = joints_known(l) ? l->gasket_joint_count : 0;
    r->piece = r->joint_count ? link_shortest_piece(l) : NAN;
    find(r, above(r->set, COAMING_SET_MOST), COAMING_REASON_SET);
    find(r, r->joint_count > COAMING_JOINTS_MOST, COAMING_REASON_JOINTS);
    find(r, above(COAMING_PIECE_LEAST, r->piece), COAMING_REASON_PIECE);
    find(r, kind_hinged(l->kind) && above(r->play, COAMING_PLAY_MOST), COAMING_REASON_HINGE_PLAY);
}
