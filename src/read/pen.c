#include "read/pen.h"

#include <stdio.h>
#include <string.h>

#include "base/text.h"

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
    if (!value)
        return;
    p->lost = p->lost || xmlTextWriterStartAttribute(p->writer, (const xmlChar *)name) < 0;
    pen_text(p, value);
    p->lost = p->lost || xmlTextWriterEndAttribute(p->writer) < 0;
}

/* Is it a sign that the library leaves as it is, but that would deceive who reads the file? */
static bool is_hidden(const char *text)
{
    return (unsigned char)*text >= ' ' && !text_is_plain(text);
}

static void put_number(pen *p, const char *text)
{
    char number[16];
    uint32_t point;
    text_point(text, &point);
    snprintf(number, sizeof number, "&#x%lX;", (unsigned long)point);
    p->lost = p->lost || xmlTextWriterWriteRaw(p->writer, (const xmlChar *)number) < 0;
}

void pen_text(pen *p, const char *text)
{
    while (*text && !p->lost) {
        char piece[256];
        size_t size = 0;
        while (text[size] && !is_hidden(text + size) && size + 4 < sizeof piece)
            size += text_next(text + size);
        memcpy(piece, text, size);
        piece[size] = '\0';
        p->lost = size && xmlTextWriterWriteString(p->writer, (const xmlChar *)piece) < 0;
        text += size;
        if (*text && is_hidden(text)) {
            put_number(p, text);
            text += text_next(text);
        }
    }
}
