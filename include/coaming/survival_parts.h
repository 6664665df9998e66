/*
 * coaming/survival_parts.h - shares of a survival in files: worked out on one machine each, and put
 * together on another.
 *
 * A share has what the sets of spaces that its cases open do to her as built, as last tested and if
 * untested closures leak; sums are made when all shares are there, in the order of one run, so that
 * the answer has the same bits however it was split. What is as likely as the history says is worked
 * out when they are put together.
 *
 * A file is one JSON document of the schema survival-part.schema.json.
 */
#ifndef COAMING_SURVIVAL_PARTS_H
#define COAMING_SURVIVAL_PARTS_H

#include <stdint.h>
#include <stdio.h>

#include "coaming/survival.h"

#ifdef __cplusplus
extern "C" {
#endif

/* The digest is over all that the answers hang on: parts of other ships, logs, days or questions do
 * not fit. It finds mistakes, not forgeries. */
typedef struct {
    uint64_t digest;
    unsigned share, shares;
    size_t number_count;
    const double *numbers; /* answers one after the other */
    const char *name;      /* for messages, such as its file; NULL: its number */
} coaming_survival_part;

/* Works out one share, 1 to shares, and nothing else: its part is all that may be asked of it. As
 * coaming_survival_new; COAMING_USAGE also: no such share. */
COAMING_API coaming_status coaming_survival_new_share(const coaming_ship *ship,
                                                      const coaming_survival_options *options,
                                                      unsigned share, unsigned shares,
                                                      coaming_survival **survival,
                                                      coaming_error *error);
/* Its numbers are borrowed from it. */
COAMING_API coaming_survival_part coaming_survival_get_part(const coaming_survival *survival);

/* From all the parts, in any order. As coaming_survival_new; COAMING_INPUT also: they do not fit
 * (another digest or number of shares, a share twice or missing, numbers that cannot be). */
COAMING_API coaming_status coaming_survival_new_from_parts(const coaming_ship *ship,
                                                           const coaming_survival_options *options,
                                                           const coaming_survival_part *parts,
                                                           size_t count,
                                                           coaming_survival **survival,
                                                           coaming_error *error);

/* Writes a share's part. COAMING_MEMORY; errors of writing are left to ferror(out). */
COAMING_API coaming_status coaming_print_survival_part(FILE *out, const coaming_ship *ship,
                                                       const coaming_survival *survival,
                                                       coaming_error *error);
/* Reads one part from each file. *parts: `count` of them, to be freed, list and all, by
 * coaming_survival_parts_free; each bears the path that it was read from as its name, which is
 * borrowed. COAMING_INPUT: a file is no part; COAMING_NO_FILE, COAMING_READ, COAMING_MEMORY. */
COAMING_API coaming_status coaming_survival_parts_load(const char *const *paths, size_t count,
                                                       coaming_survival_part **parts,
                                                       coaming_error *error);
COAMING_API void coaming_survival_parts_free(coaming_survival_part *parts, size_t count);

#ifdef __cplusplus
}
#endif

#endif
