/* read/schema.h - validation against the RELAX NG schemas that are compiled into the program. */
#ifndef READ_SCHEMA_H
#define READ_SCHEMA_H

#include "read/xml.h"

typedef enum { SCHEMA_ARRANGEMENT, SCHEMA_TEST_LOG } schema_kind;

/*
 * Adds a fault for each thing that libxml2 finds, at most one a line and none on a line that has an
 * error already among those from index `from` on (the loader's words are plainer).
 * COAMING_INTERNAL if the schema itself does not compile.
 */
coaming_status schema_check(schema_kind kind, xmlDocPtr doc, const char *file,
                            coaming_faults *faults, size_t from, coaming_error *error);

#endif
