#include "read/xml.h"

#include <libxml/SAX2.h>
#include <libxml/parser.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include "base/error.h"
#include "base/file.h"
#include "base/memory.h"

long xml_line(const xmlNode *element)
{
    return (long)(intptr_t)element->_private;
}

/* What the parser's callbacks know, in ctxt->_private. */
typedef struct {
    coaming_faults *faults;
    const char *shown;
    bool reported;
    bool stopped; /* by a callback of ours, which has said why */
} watch;

/* The first error only: those after it are mostly its echo. */
static void on_error(void *context, xmlErrorPtr e)
{
    xmlParserCtxtPtr ctxt = context;
    watch *w = ctxt->_private;
    if (w->reported || w->stopped || e->level < XML_ERR_ERROR)
        return;
    w->reported = true;
    char message[300];
    snprintf(message, sizeof message, "%s", e->message ? e->message : "not well-formed");
    message[strcspn(message, "\r\n")] = '\0';
    faults_add(w->faults, COAMING_SEVERITY_ERROR, w->shown, e->line, "file", "not XML: %s",
               message);
}

static void on_doctype(void *context, const xmlChar *name, const xmlChar *public_id,
                       const xmlChar *system_id)
{
    (void)name, (void)public_id, (void)system_id;
    xmlParserCtxtPtr ctxt = context;
    watch *w = ctxt->_private;
    if (!w->stopped)
        faults_add(w->faults, COAMING_SEVERITY_ERROR, w->shown, ctxt->input->line, "file",
                   "a DOCTYPE is not accepted (entities could hide in it); take it out");
    w->stopped = true;
    xmlStopParser(ctxt);
}

/* The callback comes when the start tag has been read: go back to its '<', which can stand nowhere
 * else in a start tag. */
static long start_line(const xmlParserInput *input)
{
    long line = input->line;
    for (const xmlChar *at = input->cur; at > input->base && *at != '<'; at--)
        if (at[-1] == '\n')
            line--;
    return line;
}

static void on_element(void *context, const xmlChar *name, const xmlChar *prefix,
                       const xmlChar *uri, int namespaces, const xmlChar **namespace_list,
                       int attributes, int defaulted, const xmlChar **attribute_list)
{
    xmlParserCtxtPtr ctxt = context;
    xmlNodePtr parent = ctxt->node;
    xmlSAX2StartElementNs(context, name, prefix, uri, namespaces, namespace_list, attributes,
                          defaulted, attribute_list);
    if (!ctxt->node || ctxt->node == parent)
        return;
    ctxt->node->_private = (void *)(intptr_t)start_line(ctxt->input);
    watch *w = ctxt->_private;
    if (ctxt->nodeNr <= XML_DEPTH_MAX || w->stopped)
        return;
    faults_add(w->faults, COAMING_SEVERITY_ERROR, w->shown, xml_line(ctxt->node), "file",
               "elements nested more than %d deep", XML_DEPTH_MAX);
    w->stopped = true;
    xmlStopParser(ctxt);
}

static coaming_status parse(const char *text, size_t size, watch *w, xmlDocPtr *doc,
                            coaming_error *error)
{
    xmlParserCtxtPtr ctxt = xmlNewParserCtxt();
    if (!ctxt)
        return error_memory(error);
    ctxt->_private = w;
    ctxt->sax->serror = on_error;
    ctxt->sax->internalSubset = on_doctype;
    ctxt->sax->startElementNs = on_element;
    xmlDocPtr tree = xmlCtxtReadMemory(ctxt, text, (int)size, NULL, NULL,
                                       XML_PARSE_NONET | XML_PARSE_BIG_LINES | XML_PARSE_NOCDATA |
                                           XML_PARSE_HUGE | XML_PARSE_COMPACT | XML_PARSE_NOBLANKS);
    bool good =
        tree && ctxt->wellFormed && !w->reported && !w->stopped && xmlDocGetRootElement(tree);
    bool memory = ctxt->lastError.code == XML_ERR_NO_MEMORY;
    xmlFreeParserCtxt(ctxt);
    if (good) {
        *doc = tree;
        return COAMING_OK;
    }
    xmlFreeDoc(tree);
    if (memory)
        return error_memory(error);
    if (!w->reported && !w->stopped)
        faults_add(w->faults, COAMING_SEVERITY_ERROR, w->shown, 0, "file", "not XML");
    return error_set(error, COAMING_INPUT, "%s: not XML", w->shown);
}

coaming_status xml_read(const char *path, coaming_faults *faults, xmlDocPtr *doc,
                        coaming_error *error)
{
    char *text = NULL;
    size_t size = 0;
    coaming_status status = file_read(path, faults, &text, &size, error);
    if (status != COAMING_OK)
        return status;
    watch w = {faults, file_shown(path), false, false};
    if (size == 0) {
        faults_add(faults, COAMING_SEVERITY_ERROR, w.shown, 0, "file",
                   "empty; an XML file is expected");
        status = error_set(error, COAMING_INPUT, "%s: empty", w.shown);
    } else {
        status = parse(text, size, &w, doc, error);
    }
    memory_free(text);
    return status;
}
