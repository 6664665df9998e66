#include "ode/sparse.h"

#include <klu.h>
#include <math.h>
#include <stdio.h>

#include "base/loaded.h"
#include "base/memory.h"

struct sparse {
    int n;
    int *starts, *rows; /* KLU reads them only, but wants them writable */
    klu_common how;
    klu_symbolic *order;
    klu_numeric *factors;
};

void sparse_put(int *rows, int *count, int row)
{
    int at = *count;
    for (int k = 0; k < *count; k++)
        if (rows[k] == row)
            return;
    for (; at > 0 && rows[at - 1] > row; at--)
        rows[at] = rows[at - 1];
    rows[at] = row;
    ++*count;
}

sparse *sparse_new(int n, const int *starts, const int *rows)
{
    sparse *s = memory_new(1, sizeof *s);
    if (!s)
        return NULL;
    s->n = n;
    s->starts = memory_new((size_t)n + 1, sizeof *s->starts);
    s->rows = memory_new((size_t)starts[n], sizeof *s->rows);
    if (s->starts && s->rows) {
        for (int j = 0; j <= n; j++)
            s->starts[j] = starts[j];
        for (int k = 0; k < starts[n]; k++)
            s->rows[k] = rows[k];
        klu_defaults(&s->how);
        s->order = n ? klu_analyze(n, s->starts, s->rows, &s->how) : NULL;
    }
    if (n && !s->order) {
        sparse_free(s);
        return NULL;
    }
    return s;
}

void sparse_free(sparse *s)
{
    if (!s)
        return;
    klu_free_numeric(&s->factors, &s->how);
    klu_free_symbolic(&s->order, &s->how);
    memory_free(s->starts);
    memory_free(s->rows);
    memory_free(s);
}

/* The pivots of the first values serve the next, unless they have become too small for that. */
bool sparse_factor(sparse *s, double *values)
{
    if (!s->n)
        return true;
    if (s->factors && klu_refactor(s->starts, s->rows, values, s->order, s->factors, &s->how) &&
        klu_rcond(s->order, s->factors, &s->how) && s->how.rcond > 1e-14)
        return true;
    klu_free_numeric(&s->factors, &s->how);
    s->factors = klu_factor(s->starts, s->rows, values, s->order, &s->how);
    return s->factors && s->how.status == KLU_OK;
}

bool sparse_solve(sparse *s, double *side)
{
    if (!s->n)
        return true;
    if (!klu_solve(s->order, s->factors, s->n, 1, side, &s->how))
        return false;
    for (int i = 0; i < s->n; i++)
        if (!isfinite(side[i]))
            return false;
    return true;
}

void sparse_library(coaming_library *library)
{
    *library = (coaming_library){"KLU", "LGPL-2.1-or-later", "equations", "", ""};
    snprintf(library->built, sizeof library->built, "%d.%d.%d", KLU_MAIN_VERSION, KLU_SUB_VERSION,
             KLU_SUBSUB_VERSION);
    loaded_from((void (*)(void))klu_defaults, library->running, sizeof library->running);
}
