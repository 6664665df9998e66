/*
 * read/xml.h - an XML file into a tree, safely, with a line for each element.
 *
 * No network, no entities, no DOCTYPE, no compressed files opened unasked; size and depth are
 * capped here (libxml2's own limits stop some logs of more than 10 MB, so they are switched off), and
 * so are the attributes of an element and the prefixes of namespaces, before libxml2 sees them: it compares
 * each attribute with each, and looks for each prefix among all that are declared around it.
 * libxml2 keeps lines in 16 bits, so the line of each start tag is kept beside the tree. Every
 * libxml2 header is included below this folder only.
 */
#ifndef READ_XML_H
#define READ_XML_H

#include <libxml/tree.h>
#include <libxml/xmlerror.h>

#include <stdbool.h>

#include "base/fault.h"
#include "coaming/error.h"
#include "coaming/libraries.h"

enum {
    XML_DEPTH_MAX = 256,      /* elements in elements */
    XML_ATTRIBUTES_MAX = 256, /* of an element, namespaces too */
    XML_PREFIXES_MAX = 256    /* of namespaces, declared in a file */
};

/* Reads path ("-": standard input) and parses it. What is wrong with the text becomes one fault and
 * COAMING_INPUT. The tree is freed with xmlFreeDoc. */
coaming_status xml_read(const char *path, coaming_faults *faults, xmlDocPtr *doc,
                        coaming_error *error);

/* The same for a text in memory, not above FILE_MAX (base/file.h); shown: what faults call it. */
coaming_status xml_read_text(const char *text, size_t size, const char *shown,
                             coaming_faults *faults, xmlDocPtr *doc, coaming_error *error);

/*
 * The same for a large file of many like elements: the root is handed over again and again, each
 * time with the next of its children (XML_PART_MOST of them at most), which are freed afterwards,
 * so that the file is never held as a whole. The last time may be without any. false: stop reading.
 */
enum { XML_PART_MOST = 1000 };
typedef bool (*xml_part)(xmlNode *root, bool first, void *data);
coaming_status xml_read_parts(const char *text, size_t size, const char *shown,
                              coaming_faults *faults, xml_part part, void *data,
                              coaming_error *error);

/*
 * The same text looked through without building a tree: quick, for large files of which little is
 * wanted. Callbacks are given what they are declared with and `data`.
 */
typedef struct {
    const char *name, *prefix, *space; /* prefix, space: NULL where there is none */
    const xmlChar **attributes;        /* five pointers each, as libxml2's SAX2 gives them */
    int attribute_count;
    int depth; /* the root is 0 */
    long line;
} xml_start;
typedef struct {
    void (*start)(const xml_start *element, void *data);
    /* end: bytes from the beginning of the text to behind the element; -1 where the text is not
     * UTF-8 and so cannot be told. */
    void (*end)(const char *name, int depth, long end, void *data);
    void *data;
} xml_scanner;
coaming_status xml_scan(const char *text, size_t size, const char *shown, coaming_faults *faults,
                        const xml_scanner *scanner, coaming_error *error);
/* Copies an attribute's value; false if there is none or it does not fit. */
bool xml_scanned(const xml_start *element, const char *name, char *value, size_t room);

/*
 * libxml2 may go on without what it found no memory for, and tells of it only to who listens, mostly
 * in the thread. What else is told there meanwhile goes to who listened before. heard: ends listening
 * and says whether memory ran out. Callbacks of a parser or a schema that get such an error mark it.
 */
typedef struct {
    xmlStructuredErrorFunc before;
    void *before_data;
    bool memory_lost;
} xml_ear;
void xml_listen(xml_ear *ear);
bool xml_heard(xml_ear *ear);
/* Is an error of that sort, which is marked? */
bool xml_ran_out(xml_ear *ear, const xmlError *e);

/* Line on which the start tag of an element begins. */
long xml_line(const xmlNode *element);

/* What is to be told of libxml2. */
void xml_library(coaming_library *library);

#endif
