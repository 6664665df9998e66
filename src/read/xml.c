#include "read/xml.h"

#include <libxml/SAX2.h>
#include <libxml/parser.h>
#include <libxml/parserInternals.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/error.h"
#include "base/file.h"
#include "base/memory.h"
#include "base/text.h"
#include "read/tags.h"

long xml_line(const xmlNode *element)
{
    return (long)(intptr_t)element->_private;
}

bool xml_ran_out(xml_ear *ear, const xmlError *e)
{
    ear->memory_lost = ear->memory_lost || e->code == XML_ERR_NO_MEMORY;
    return e->code == XML_ERR_NO_MEMORY;
}

static void on_told(void *data, xmlErrorPtr e)
{
    xml_ear *ear = data;
    if (!xml_ran_out(ear, e) && ear->before)
        ear->before(ear->before_data, e);
}

void xml_listen(xml_ear *ear)
{
    *ear = (xml_ear){xmlStructuredError, xmlStructuredErrorContext, false};
    xmlSetStructuredErrorFunc(ear, on_told);
}

bool xml_heard(xml_ear *ear)
{
    xmlSetStructuredErrorFunc(ear->before_data, ear->before);
    return ear->memory_lost;
}

/* What the parser's callbacks know, in ctxt->_private. */
typedef struct {
    coaming_faults *faults;
    const char *shown;
    bool reported;
    bool stopped;               /* by a callback of ours, which has said why */
    const xml_scanner *scanner; /* when no tree is built */
    int depth;
    xml_part part; /* when the tree is handed over in parts */
    void *part_data;
    size_t part_count;
    bool part_first;
    xml_ear ear;
} watch;

/* The first error only: those after it are mostly its echo. */
static void on_error(void *context, xmlErrorPtr e)
{
    xmlParserCtxtPtr ctxt = context;
    watch *w = ctxt->_private;
    if (xml_ran_out(&w->ear, e) || w->ear.memory_lost || w->reported || w->stopped ||
        e->level < XML_ERR_ERROR)
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

static void stop_too_deep(xmlParserCtxtPtr ctxt, watch *w, long line)
{
    faults_add(w->faults, COAMING_SEVERITY_ERROR, w->shown, line, "file",
               "elements nested more than %d deep", XML_DEPTH_MAX);
    w->stopped = true;
    xmlStopParser(ctxt);
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
    stop_too_deep(ctxt, w, xml_line(ctxt->node));
}

static void hand_over(xmlParserCtxtPtr ctxt, watch *w, xmlNodePtr root)
{
    bool go_on = w->part(root, w->part_first, w->part_data);
    xmlNodePtr children = root->children;
    root->children = root->last = NULL;
    xmlFreeNodeList(children);
    w->part_first = false;
    w->part_count = 0;
    if (go_on)
        return;
    w->stopped = true;
    xmlStopParser(ctxt);
}

static void on_end(void *context, const xmlChar *name, const xmlChar *prefix, const xmlChar *uri)
{
    xmlParserCtxtPtr ctxt = context;
    watch *w = ctxt->_private;
    xmlSAX2EndElementNs(context, name, prefix, uri);
    if (!w->stopped && ctxt->nodeNr == 1 && ++w->part_count >= XML_PART_MOST)
        hand_over(ctxt, w, ctxt->node);
}

static coaming_status parse(const char *text, size_t size, watch *w, xmlDocPtr *doc,
                            coaming_error *error)
{
    xml_listen(&w->ear);
    xmlParserCtxtPtr ctxt = xmlNewParserCtxt();
    if (!ctxt) {
        xml_heard(&w->ear);
        return error_memory(error);
    }
    ctxt->_private = w;
    ctxt->sax->serror = on_error;
    ctxt->sax->internalSubset = on_doctype;
    ctxt->sax->startElementNs = on_element;
    if (w->part)
        ctxt->sax->endElementNs = on_end;
    xmlDocPtr tree = xmlCtxtReadMemory(ctxt, text, (int)size, NULL, NULL,
                                       XML_PARSE_NONET | XML_PARSE_BIG_LINES | XML_PARSE_NOCDATA |
                                           XML_PARSE_HUGE | XML_PARSE_COMPACT | XML_PARSE_NOBLANKS);
    bool good =
        tree && ctxt->wellFormed && !w->reported && !w->stopped && xmlDocGetRootElement(tree);
    if (good && w->part && !w->ear.memory_lost)
        hand_over(ctxt, w, xmlDocGetRootElement(tree));
    xmlFreeParserCtxt(ctxt);
    bool lost = xml_heard(&w->ear);
    if (good && !lost) {
        *doc = tree;
        return COAMING_OK;
    }
    xmlFreeDoc(tree);
    if (lost)
        return error_memory(error);
    if (!w->reported && !w->stopped)
        faults_add(w->faults, COAMING_SEVERITY_ERROR, w->shown, 0, "file", "not XML");
    return error_set(error, COAMING_INPUT, "%s: not XML", w->shown);
}

static coaming_status empty_file(const watch *w, coaming_error *error)
{
    faults_add(w->faults, COAMING_SEVERITY_ERROR, w->shown, 0, "file",
               "empty; an XML file is expected");
    return error_set(error, COAMING_INPUT, "%s: empty", w->shown);
}

/* Names what would take the parser the square of the tag's length, or of the file's. */
static coaming_status too_many(tags_verdict verdict, const watch *w, const crowded_tag *tag,
                               coaming_error *error)
{
    char object[TEXT_BRIEF];
    text_fit(object, sizeof object, tag->name, 40);
    faults_add(w->faults, COAMING_SEVERITY_ERROR, w->shown, tag->line, object,
               verdict == TAGS_CROWDED
                   ? "has more than %d attributes"
                   : "up to here the file declares more than %d prefixes of namespaces",
               verdict == TAGS_CROWDED ? XML_ATTRIBUTES_MAX : XML_PREFIXES_MAX);
    return error_set(error, COAMING_INPUT, "%s: more in a tag than is read", w->shown);
}

static coaming_status check_tags(const char *text, size_t size, const watch *w,
                                 coaming_error *error)
{
    crowded_tag tag;
    if (!size)
        return empty_file(w, error);
    const tags_verdict verdict = tags_look_through(text, size, &tag);
    switch (verdict) {
    case TAGS_CROWDED:
    case TAGS_PREFIXES:
        return too_many(verdict, w, &tag, error);
    case TAGS_NO_MEMORY:
        return error_memory(error);
    case TAGS_GOOD:
        break;
    }
    return COAMING_OK;
}

static coaming_status parse_any(const char *text, size_t size, watch *w, xmlDocPtr *doc,
                                coaming_error *error)
{
    coaming_status status = check_tags(text, size, w, error);
    return status == COAMING_OK ? parse(text, size, w, doc, error) : status;
}

coaming_status xml_read_text(const char *text, size_t size, const char *shown,
                             coaming_faults *faults, xmlDocPtr *doc, coaming_error *error)
{
    watch w = {.faults = faults, .shown = shown};
    return parse_any(text, size, &w, doc, error);
}

coaming_status xml_read_parts(const char *text, size_t size, const char *shown,
                              coaming_faults *faults, xml_part part, void *data,
                              coaming_error *error)
{
    watch w = {
        .faults = faults, .shown = shown, .part = part, .part_data = data, .part_first = true};
    xmlDocPtr doc = NULL;
    coaming_status status = parse_any(text, size, &w, &doc, error);
    xmlFreeDoc(doc);
    return status;
}

coaming_status xml_read(const char *path, coaming_faults *faults, xmlDocPtr *doc,
                        coaming_error *error)
{
    char *text = NULL;
    size_t size = 0;
    coaming_status status = file_read(path, faults, &text, &size, error);
    if (status == COAMING_OK)
        status = xml_read_text(text, size, file_shown(path), faults, doc, error);
    memory_free(text);
    return status;
}

static void on_scanned_start(void *context, const xmlChar *name, const xmlChar *prefix,
                             const xmlChar *uri, int namespaces, const xmlChar **namespace_list,
                             int attributes, int defaulted, const xmlChar **attribute_list)
{
    (void)namespaces, (void)namespace_list, (void)defaulted;
    xmlParserCtxtPtr ctxt = context;
    watch *w = ctxt->_private;
    xml_start element = {(const char *)name,     (const char *)prefix, (const char *)uri,
                         attribute_list,         attributes,           w->depth,
                         start_line(ctxt->input)};
    if (w->stopped)
        return;
    w->scanner->start(&element, w->scanner->data);
    if (++w->depth > XML_DEPTH_MAX)
        stop_too_deep(ctxt, w, element.line);
}

static void on_scanned_end(void *context, const xmlChar *name, const xmlChar *prefix,
                           const xmlChar *uri)
{
    (void)prefix, (void)uri;
    xmlParserCtxtPtr ctxt = context;
    watch *w = ctxt->_private;
    const xmlParserInput *in = ctxt->input;
    bool converted = in->buf && in->buf->encoder;
    if (w->stopped)
        return;
    w->scanner->end((const char *)name, --w->depth,
                    converted ? -1 : (long)(in->consumed + (unsigned long)(in->cur - in->base)),
                    w->scanner->data);
}

coaming_status xml_scan(const char *text, size_t size, const char *shown, coaming_faults *faults,
                        const xml_scanner *scanner, coaming_error *error)
{
    watch w = {.faults = faults, .shown = shown, .scanner = scanner};
    coaming_status tags = check_tags(text, size, &w, error);
    if (tags != COAMING_OK)
        return tags;
    xml_listen(&w.ear);
    xmlParserCtxtPtr ctxt = xmlCreateMemoryParserCtxt(text, (int)size);
    if (!ctxt) {
        xml_heard(&w.ear);
        return error_memory(error);
    }
    ctxt->_private = &w;
    memset(ctxt->sax, 0, sizeof *ctxt->sax);
    ctxt->sax->initialized = XML_SAX2_MAGIC;
    ctxt->sax->serror = on_error;
    ctxt->sax->internalSubset = on_doctype;
    ctxt->sax->startElementNs = on_scanned_start;
    ctxt->sax->endElementNs = on_scanned_end;
    xmlCtxtUseOptions(ctxt, XML_PARSE_NONET | XML_PARSE_HUGE);
    xmlParseDocument(ctxt);
    bool good = ctxt->wellFormed && !w.reported && !w.stopped;
    xmlFreeDoc(ctxt->myDoc);
    xmlFreeParserCtxt(ctxt);
    if (xml_heard(&w.ear))
        return error_memory(error);
    if (good)
        return COAMING_OK;
    if (!w.reported && !w.stopped)
        faults_add(faults, COAMING_SEVERITY_ERROR, shown, 0, "file", "not XML");
    return error_set(error, COAMING_INPUT, "%s: not XML", shown);
}

/* libxml2 hands an ampersand over as &#38;, for its tree builder to read again. */
static void copy_value(char *value, const char *from, size_t length)
{
    static const char ampersand[] = "&#38;";
    enum { CODED = sizeof ampersand - 1 };
    for (size_t i = 0; i < length;) {
        bool coded = length - i >= CODED && !memcmp(from + i, ampersand, CODED);
        *value++ = from[i];
        i += coded ? CODED : 1;
    }
    *value = '\0';
}

bool xml_scanned(const xml_start *element, const char *name, char *value, size_t room)
{
    for (int i = 0; i < element->attribute_count; i++) {
        const xmlChar **a = element->attributes + 5 * i;
        if (strcmp((const char *)a[0], name) || a[1])
            continue;
        size_t length = (size_t)(a[4] - a[3]);
        if (length >= room)
            return false;
        copy_value(value, (const char *)a[3], length);
        return true;
    }
    return false;
}

void xml_library(coaming_library *library)
{
    *library = (coaming_library){"libxml2", "MIT", "XML", LIBXML_DOTTED_VERSION, ""};
    long number = strtol(xmlParserVersion, NULL, 10); /* 20914 */
    snprintf(library->running, sizeof library->running, "%ld.%ld.%ld", number / 10000,
             number / 100 % 100, number % 100);
}
