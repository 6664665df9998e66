/*
 * read/xml.h - an XML file into a tree, safely, with a line for each element.
 *
 * No network, no entities, no DOCTYPE, no compressed files opened unasked; size and depth are
 * capped here (libxml2's own limits stop some logs of more than 10 MB, so they are switched off).
 * libxml2 keeps lines in 16 bits, so the line of each start tag is kept beside the tree. Every
 * libxml2 header is included below this folder only.
 */
#ifndef READ_XML_H
#define READ_XML_H

#include <libxml/tree.h>

#include "base/fault.h"
#include "coaming/error.h"

enum { XML_DEPTH_MAX = 256 }; /* elements in elements */

/* Reads path ("-": standard input) and parses it. What is wrong with the text becomes one fault and
 * COAMING_INPUT. The tree is freed with xmlFreeDoc. */
coaming_status xml_read(const char *path, coaming_faults *faults, xmlDocPtr *doc,
                        coaming_error *error);

/* Line on which the start tag of an element begins. */
long xml_line(const xmlNode *element);

#endif
