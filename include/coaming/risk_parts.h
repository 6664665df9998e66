/*
 * coaming/risk_parts.h - shares of the samples of a risk in files: written on one machine, read and
 * put together on another (coaming_risk_new_from_parts).
 *
 * A file is one JSON document of the schema risk-part.schema.json. It is taken as it is: that the
 * parts fit together, and fit the ship, is seen when they are put together (risk.h).
 */
#ifndef COAMING_RISK_PARTS_H
#define COAMING_RISK_PARTS_H

#include <stdio.h>

#include "coaming/risk.h"

#ifdef __cplusplus
extern "C" {
#endif

/* Writes the part that a risk was worked out from. COAMING_MEMORY; errors of writing are left to
 * ferror(out). */
COAMING_API coaming_status coaming_print_risk_part(FILE *out, const coaming_ship *ship,
                                                   const coaming_risk *risk, coaming_error *error);

/* Reads one part from each file. *parts: `count` of them, to be freed, list and all, by
 * coaming_risk_parts_free; each bears the path that it was read from as its name, which is
 * borrowed. COAMING_INPUT: a file is no part; COAMING_NO_FILE, COAMING_READ, COAMING_MEMORY. Cost:
 * linear in the size of the files. */
COAMING_API coaming_status coaming_risk_parts_load(const char *const *paths, size_t count,
                                                   coaming_risk_part **parts, coaming_error *error);
COAMING_API void coaming_risk_parts_free(coaming_risk_part *parts, size_t count);

#ifdef __cplusplus
}
#endif

#endif
