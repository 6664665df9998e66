/* analyse/hold/as_is.h - where the hazard goes on as the doors are, at a plane or through the air. */
#ifndef ANALYSE_HOLD_AS_IS_H
#define ANALYSE_HOLD_AS_IS_H

#include "analyse/hold/net.h"

/*
 * Breadth first from the sources, and from the outside where that is one, over what lets it through by
 * the condition and as last tested. *entries: the sources by no link, then each space with the link by
 * which it is first reached, but for what is wet by design; to be freed by coaming_inflows_free.
 * n: with what the level reaches, before any lines are sought. COAMING_MEMORY.
 */
coaming_status as_is_find(const net *n, coaming_inflow **entries, size_t *count,
                          coaming_error *error);

#endif
