/*
 * read/tags.h - a text looked through, before it is parsed, for tags with too many attributes and for too many
 * prefixes of namespaces.
 *
 * libxml2 hands a start tag over when it has read it, and by then it has compared each attribute with
 * each, and looked up its prefixes. This look takes time in proportion to the text: only tags long enough to
 * hold so many attributes, or that declare a prefix, are counted. It judges nothing else, and what is no XML is left to the parser.
 */
#ifndef READ_TAGS_H
#define READ_TAGS_H

#include <stddef.h>

enum { TAG_NAME = 64 };

typedef struct {
    char name[TAG_NAME]; /* of the element, cut where it has no room */
    long line;           /* on which the tag begins */
} crowded_tag;

/* Is there a start tag with more than XML_ATTRIBUTES_MAX (read/xml.h) attributes (TAGS_CROWDED), or with the
 * first prefix beyond XML_PREFIXES_MAX of the text (TAGS_PREFIXES)? The first is told.
 * The text is in UTF-8 or another code that has ASCII, or in UTF-16 or UCS-4. */
typedef enum { TAGS_GOOD, TAGS_CROWDED, TAGS_PREFIXES, TAGS_NO_MEMORY } tags_verdict;
tags_verdict tags_look_through(const char *text, size_t size, crowded_tag *tag);

#endif
