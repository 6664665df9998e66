#include "plain.h"

#include <igraph/igraph.h>
#include <stdlib.h>

#include "ship/state.h"

static double reached_worth(const coaming_ship *ship, coaming_hazard hazard, coaming_place source,
                            int closure, bool pass)
{
    igraph_integer_t n = (igraph_integer_t)ship->space_count;
    bool water = hazard == COAMING_WATER, outside = water || source == COAMING_WEATHER;
    igraph_vector_int_t edges, reached;
    igraph_t g;
    double worth = 0;
    igraph_vector_int_init(&edges, 0);
    igraph_vector_int_init(&reached, 0);
    for (size_t l = 0; l < ship->link_count; l++) {
        const ship_link *k = &ship->links[l];
        bool open = (int)l == closure
                        ? pass
                        : link_state_in(k, COAMING_NO_CONDITION, hazard) == LINK_PASSES;
        if (!open || !link_reached(k, hazard, ship->draught) ||
            ((k->a < 0 || k->b < 0) && !outside))
            continue;
        if ((k->a >= 0 && !space_reached(&ship->spaces[k->a], hazard, ship->draught)) ||
            (k->b >= 0 && !space_reached(&ship->spaces[k->b], hazard, ship->draught)))
            continue;
        igraph_vector_int_push_back(&edges, k->a < 0 ? n : k->a);
        igraph_vector_int_push_back(&edges, k->b < 0 ? n : k->b);
    }
    /* the outside is a source besides: tie it to the space that is breached */
    if (water && source >= 0 && space_reached(&ship->spaces[source], hazard, ship->draught)) {
        igraph_vector_int_push_back(&edges, source);
        igraph_vector_int_push_back(&edges, n);
    }
    igraph_create(&g, &edges, n + 1, IGRAPH_UNDIRECTED);
    igraph_subcomponent(&g, &reached, water || source < 0 ? n : source, IGRAPH_ALL);
    for (igraph_integer_t i = 0; i < igraph_vector_int_size(&reached); i++)
        if (VECTOR(reached)[i] < n)
            worth += ship->spaces[VECTOR(reached)[i]].worth;
    igraph_destroy(&g);
    igraph_vector_int_destroy(&edges);
    igraph_vector_int_destroy(&reached);
    return worth;
}

double plain_loss(const coaming_ship *ship, coaming_hazard hazard, coaming_place source,
                  int closure)
{
    return reached_worth(ship, hazard, source, closure, true) -
           reached_worth(ship, hazard, source, closure, false);
}
