#include "read/pen.h"

void pen_begin(pen *p, const char *element)
{
    p->lost = p->lost || xmlTextWriterStartElement(p->writer, (const xmlChar *)element) < 0;
}

void pen_end(pen *p)
{
    p->lost = p->lost || xmlTextWriterEndElement(p->writer) < 0;
}

void pen_put(pen *p, const char *name, const char *value)
{
    p->lost = p->lost || (value && xmlTextWriterWriteAttribute(p->writer, (const xmlChar *)name,
                                                               (const xmlChar *)value) < 0);
}

void pen_text(pen *p, const char *text)
{
    p->lost = p->lost || xmlTextWriterWriteString(p->writer, (const xmlChar *)text) < 0;
}
