/* read/pen.h - writes XML; once something is lost (out of memory), nothing more is written. */
#ifndef READ_PEN_H
#define READ_PEN_H

#include <libxml/xmlwriter.h>
#include <stdbool.h>

typedef struct {
    xmlTextWriterPtr writer;
    bool lost;
} pen;

void pen_begin(pen *p, const char *element);
void pen_end(pen *p);
/* An attribute; NULL: it is left out. */
void pen_put(pen *p, const char *name, const char *value);
void pen_text(pen *p, const char *text);

#endif
