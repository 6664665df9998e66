/* What growing the tree and grading its ends both do to a node. */
#include <string.h>

#include "analyse/survival/branching.h"
#include "base/error.h"

void branches_mark_flooded(branches *b, const tree_place *p)
{
    memset(b->flooded, 0, b->ship->space_count * sizeof *b->flooded);
    for (size_t i = 0; i < p->count; i++)
        b->flooded[p->spaces[i]] = true;
}

coaming_status branches_follow(branches *b, int node, int link, int holds, int leaks,
                               coaming_error *error)
{
    if (holds < 0 || (link >= 0 && leaks < 0))
        return error_memory(error);
    tree_node *n = &b->tree.nodes[node];
    n->open = false;
    n->link = link;
    n->child[0] = holds;
    n->child[1] = leaks;
    return COAMING_OK;
}
