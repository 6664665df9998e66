#include "read/schema.h"

#include <libxml/relaxng.h>
#include <stdio.h>
#include <string.h>

#include "base/error.h"
#include "read/schema_text.h"

typedef struct {
    const char *file;
    coaming_faults *faults;
    xml_ear ear;
} sink;

static void on_fault(void *context, xmlErrorPtr e)
{
    sink *s = context;
    if (xml_ran_out(&s->ear, e))
        return;
    const xmlNode *node = e->node;
    while (node && node->type != XML_ELEMENT_NODE)
        node = node->parent;
    char message[300];
    snprintf(message, sizeof message, "%s", e->message ? e->message : "not valid");
    message[strcspn(message, "\r\n")] = '\0';
    faults_add(s->faults, COAMING_SEVERITY_ERROR, s->file, node ? xml_line(node) : 0,
               node ? (const char *)node->name : "file", "schema: %s", message);
}

/* The schema is sound: nothing but memory can be wrong with it. */
static void be_quiet(void *context, xmlErrorPtr e)
{
    xml_ran_out(context, e);
}

schema *schema_new(schema_kind kind)
{
    const unsigned char *text =
        kind == SCHEMA_ARRANGEMENT ? schema_arrangement_rng : schema_test_log_rng;
    size_t size =
        kind == SCHEMA_ARRANGEMENT ? schema_arrangement_rng_size : schema_test_log_rng_size;
    xml_ear ear;
    xml_listen(&ear);
    xmlRelaxNGParserCtxtPtr parser = xmlRelaxNGNewMemParserCtxt((const char *)text, (int)size);
    schema *s = NULL;
    if (parser) {
        xmlRelaxNGSetParserStructuredErrors(parser, be_quiet, &ear);
        s = xmlRelaxNGParse(parser);
        xmlRelaxNGFreeParserCtxt(parser);
    }
    if (!xml_heard(&ear))
        return s;
    schema_free(s);
    return NULL;
}

void schema_free(schema *s)
{
    xmlRelaxNGFree(s);
}

coaming_status schema_check(schema *s, xmlDocPtr doc, const char *file, coaming_faults *faults,
                            coaming_error *error)
{
    sink to = {.file = file, .faults = faults};
    size_t before = coaming_faults_error_count(faults);
    xml_listen(&to.ear);
    xmlRelaxNGValidCtxtPtr validation = s ? xmlRelaxNGNewValidCtxt(s) : NULL;
    int result = 0;
    if (validation) {
        xmlRelaxNGSetValidStructuredErrors(validation, on_fault, &to);
        result = xmlRelaxNGValidateDoc(validation, doc);
        xmlRelaxNGFreeValidCtxt(validation);
    }
    if (xml_heard(&to.ear) || !validation)
        return error_memory(error);
    if (result > 0 && coaming_faults_error_count(faults) == before)
        faults_add(faults, COAMING_SEVERITY_ERROR, file, 0, "file", "not valid by the schema");
    return result < 0 ? error_set(error, COAMING_INTERNAL, "%s: the schema check failed", file)
                      : COAMING_OK;
}
