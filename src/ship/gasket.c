#include "ship/gasket.h"

#include <math.h>

bool gasket_renewed_by(const ship_event *event)
{
    return event->kind == EVENT_REPAIR && (event->action == GASKET || event->action == REPLACED);
}

coaming_date gasket_fitted(const coaming_ship *ship, const ship_link *closure)
{
    bool later = closure->gasket_fitted > ship->as_of;
    return later ? COAMING_NO_DATE : closure->gasket_fitted;
}

coaming_date gasket_since(const coaming_ship *ship, const ship_link *closure)
{
    coaming_date since = gasket_fitted(ship, closure);
    for (size_t i = 0; i < closure->event_count; i++) {
        const ship_event *e = &closure->events[i];
        if (gasket_renewed_by(e) && (since == COAMING_NO_DATE || e->date > since))
            since = e->date;
    }
    return since;
}

void gaskets_count(coaming_ship *ship)
{
    for (size_t i = 0; i < ship->closure_count; i++) {
        const ship_link *l = &ship->links[i];
        coaming_date since = gasket_since(ship, l);
        if (since == COAMING_NO_DATE)
            continue;
        gasket_ages *ages = &ship->gaskets[l->kind];
        double days = ship->as_of - since;
        ages->least = ages->known ? fmin(ages->least, days) : days;
        ages->most = fmax(ages->most, days);
        ages->days += days;
        ages->known++;
    }
}
