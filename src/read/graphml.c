#include "read/graphml.h"

#include <libxml/tree.h>
#include <string.h>

#include "base/error.h"
#include "base/text.h"
#include "read/pen.h"

/* The code point that begins with these bytes of well-formed UTF-8. */
static unsigned code_point(const char *bytes, size_t size)
{
    unsigned code = (unsigned char)*bytes & (size == 1 ? 0x7fu : 0xffu >> (size + 1));
    for (size_t i = 1; i < size; i++)
        code = code << 6 | ((unsigned char)bytes[i] & 0x3fu);
    return code;
}

/* An attribute with an id in it as a name token. */
static void put_id(pen *p, const char *name, const char *id)
{
    p->lost = p->lost || xmlTextWriterStartAttribute(p->writer, (const xmlChar *)name) < 0;
    for (size_t size; *id; id += size) {
        char one[8] = {0}, code[16];
        size = text_next(id);
        memcpy(one, id, size < sizeof one ? size : sizeof one - 1);
        bool escape = *id == '_' && id[1] == 'x';
        if (!escape && xmlValidateNMToken((const xmlChar *)one, 0) == 0) {
            pen_text(p, one);
        } else {
            snprintf(code, sizeof code, "_x%04X_", code_point(id, size));
            pen_text(p, code);
        }
    }
    p->lost = p->lost || xmlTextWriterEndAttribute(p->writer) < 0;
}

static void key_id(char *text, size_t size, const char *domain, const char *name)
{
    snprintf(text, size, "%s.%s", domain, name);
}

static void write_keys(pen *p, const char *domain, const network_item *items, size_t count)
{
    static const char *const types[] = {"string", "double", "boolean"};
    size_t name_count = 0;
    network_value *names = network_names(items, count, &name_count);
    p->lost = p->lost || !names;
    for (size_t i = 0; i < name_count && !p->lost; i++) {
        char id[128];
        key_id(id, sizeof id, domain, names[i].name);
        pen_begin(p, "key");
        pen_put(p, "id", id);
        pen_put(p, "for", domain);
        pen_put(p, "attr.name", names[i].name);
        pen_put(p, "attr.type", types[names[i].kind]);
        pen_end(p);
    }
    memory_free(names);
}

static void write_values(pen *p, const char *domain, const network_item *item)
{
    for (size_t i = 0; i < item->count && !p->lost; i++) {
        char id[128];
        key_id(id, sizeof id, domain, item->values[i].name);
        pen_begin(p, "data");
        pen_put(p, "key", id);
        pen_text(p, item->values[i].text);
        pen_end(p);
    }
}

static void write_items(pen *p, const char *domain, const network_list *list)
{
    for (size_t i = 0; i < list->count && !p->lost; i++) {
        const network_item *item = &list->items[i];
        pen_begin(p, domain);
        put_id(p, "id", item->id);
        if (item->from) {
            put_id(p, "source", item->from);
            put_id(p, "target", item->to);
        }
        write_values(p, domain, item);
        pen_end(p);
    }
}

static void write_all(pen *p, const network *n)
{
    xmlTextWriterSetIndent(p->writer, 1);
    xmlTextWriterSetIndentString(p->writer, (const xmlChar *)" ");
    p->lost = xmlTextWriterStartDocument(p->writer, NULL, "UTF-8", NULL) < 0;
    pen_begin(p, "graphml");
    pen_put(p, "xmlns", "http://graphml.graphdrawing.org/xmlns");
    pen_put(p, "xmlns:xsi", "http://www.w3.org/2001/XMLSchema-instance");
    pen_put(p, "xsi:schemaLocation",
            "http://graphml.graphdrawing.org/xmlns "
            "http://graphml.graphdrawing.org/xmlns/1.0/graphml.xsd");
    write_keys(p, "graph", &n->whole, 1);
    write_keys(p, "node", n->nodes.items, n->nodes.count);
    write_keys(p, "edge", n->edges.items, n->edges.count);
    pen_begin(p, "graph");
    pen_put(p, "id", "ship");
    pen_put(p, "edgedefault", "undirected");
    write_values(p, "graph", &n->whole);
    write_items(p, "node", &n->nodes);
    write_items(p, "edge", &n->edges);
    pen_end(p);
    pen_end(p);
    p->lost = p->lost || xmlTextWriterEndDocument(p->writer) < 0;
}

/* What cannot be written is remembered by the stream, and asked for when it is closed. */
static int pass_on(void *stream, const char *bytes, int size)
{
    fwrite(bytes, 1, (size_t)size, stream);
    return size;
}

coaming_status graphml_write(FILE *out, const network *n, coaming_error *error)
{
    xmlOutputBufferPtr buffer = xmlOutputBufferCreateIO(pass_on, NULL, out, NULL);
    pen p = {buffer ? xmlNewTextWriter(buffer) : NULL, true};
    if (p.writer)
        write_all(&p, n);
    else if (buffer)
        xmlOutputBufferClose(buffer);
    xmlFreeTextWriter(p.writer);
    return p.lost ? error_memory(error) : COAMING_OK;
}
