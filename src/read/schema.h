/* read/schema.h - validation against the RELAX NG schemas that are compiled into the program. */
#ifndef READ_SCHEMA_H
#define READ_SCHEMA_H

#include "read/xml.h"

typedef enum { SCHEMA_ARRANGEMENT, SCHEMA_TEST_LOG } schema_kind;

/* A schema ready for use; NULL when out of memory. */
typedef struct _xmlRelaxNG schema; /* as libxml2 has it */
schema *schema_new(schema_kind kind);
void schema_free(schema *s);

/*
 * Adds a fault for each thing that libxml2 finds. Meant for a tree in which the loader has found no
 * error: the loader's words are plainer, and libxml2 stops at the first fault of structure.
 * COAMING_MEMORY if it runs out, or did when the schema (which may be NULL) was compiled.
 */
coaming_status schema_check(schema *s, xmlDocPtr doc, const char *file, coaming_faults *faults,
                            coaming_error *error);

#endif
