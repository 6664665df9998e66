#include "read/schema.h"

#include <libxml/relaxng.h>
#include <stdio.h>
#include <string.h>

#include "base/error.h"
#include "read/schema_text.h"

typedef struct {
    const char *file;
    coaming_faults *faults;
} sink;

static void on_fault(void *context, xmlErrorPtr e)
{
    sink *s = context;
    const xmlNode *node = e->node;
    while (node && node->type != XML_ELEMENT_NODE)
        node = node->parent;
    char message[300];
    snprintf(message, sizeof message, "%s", e->message ? e->message : "not valid");
    message[strcspn(message, "\r\n")] = '\0';
    faults_add(s->faults, COAMING_SEVERITY_ERROR, s->file, node ? xml_line(node) : 0,
               node ? (const char *)node->name : "file", "schema: %s", message);
}

static void be_quiet(void *context, xmlErrorPtr e)
{
    (void)context, (void)e;
}

schema *schema_new(schema_kind kind)
{
    const unsigned char *text =
        kind == SCHEMA_ARRANGEMENT ? schema_arrangement_rng : schema_test_log_rng;
    size_t size =
        kind == SCHEMA_ARRANGEMENT ? schema_arrangement_rng_size : schema_test_log_rng_size;
    xmlRelaxNGParserCtxtPtr parser = xmlRelaxNGNewMemParserCtxt((const char *)text, (int)size);
    if (!parser)
        return NULL;
    xmlRelaxNGSetParserStructuredErrors(parser, be_quiet, NULL);
    schema *s = xmlRelaxNGParse(parser);
    xmlRelaxNGFreeParserCtxt(parser);
    return s;
}

void schema_free(schema *s)
{
    xmlRelaxNGFree(s);
}

coaming_status schema_check(schema *s, xmlDocPtr doc, const char *file, coaming_faults *faults,
                            coaming_error *error)
{
    sink to = {file, faults};
    size_t before = coaming_faults_error_count(faults);
    xmlRelaxNGValidCtxtPtr validation = s ? xmlRelaxNGNewValidCtxt(s) : NULL;
    if (!validation)
        return error_set(error, COAMING_INTERNAL, "the schema does not compile");
    xmlRelaxNGSetValidStructuredErrors(validation, on_fault, &to);
    int result = xmlRelaxNGValidateDoc(validation, doc);
    if (result > 0 && coaming_faults_error_count(faults) == before)
        faults_add(faults, COAMING_SEVERITY_ERROR, file, 0, "file", "not valid by the schema");
    xmlRelaxNGFreeValidCtxt(validation);
    return result < 0 ? error_set(error, COAMING_INTERNAL, "%s: the schema check failed", file)
                      : COAMING_OK;
}
