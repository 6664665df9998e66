#include "present/form/dot.h"

#include <string.h>

#include "base/text.h"

/* Shown so that two ids never become one. */
static void put_escaped(FILE *out, const char *text, bool label)
{
    char shown[TEXT_SHOWN];
    while (*text) {
        if (*text == '"' || *text == '\\')
            fputc('\\', out);
        text += text_kept(text, shown);
        fputs(label && *shown == '&' ? "&amp;" : shown, out);
    }
}

static void put_quoted(FILE *out, const char *text)
{
    fputc('"', out);
    put_escaped(out, text, false);
    fputc('"', out);
}

static const char *value_of(const network_item *item, const char *name)
{
    for (size_t i = 0; i < item->count; i++)
        if (!strcmp(item->values[i].name, name))
            return item->values[i].text;
    return NULL;
}

/* The id, and under it the name if there is one of its own. */
static void put_label(FILE *out, const network_item *item)
{
    const char *name = value_of(item, "name");
    fputs("label=\"", out);
    put_escaped(out, item->id, true);
    if (name && strcmp(name, item->id)) {
        fputs("\\n", out);
        put_escaped(out, name, true);
    }
    fputc('"', out);
}

static void put_values(FILE *out, const network_item *item)
{
    for (size_t i = 0; i < item->count; i++) {
        fprintf(out, ",\n  %s=", item->values[i].name);
        put_quoted(out, item->values[i].text);
    }
}

/* Words tell it as well: the values rating, result and shut. */
static void put_edge_look(FILE *out, const network_item *edge)
{
    const char *type = value_of(edge, "type"), *result = value_of(edge, "result");
    if (type && !strcmp(type, "passage"))
        fputs(", style=\"dotted\"", out);
    else if (result && !strcmp(result, "fail"))
        fputs(", style=\"bold\"", out);
    else if (result && !strcmp(result, "untested"))
        fputs(", style=\"dashed\"", out);
}

void dot_write(FILE *out, const network *n)
{
    fputs("graph ship {\ngraph [label=\"", out);
    put_escaped(out, n->whole.id, true);
    fputc('"', out);
    put_values(out, &n->whole);
    fputs("];\nnode [shape=\"box\"];\n", out);
    for (size_t i = 0; i < n->nodes.count; i++) {
        const network_item *node = &n->nodes.items[i];
        put_quoted(out, node->id);
        fputs(" [", out);
        put_label(out, node);
        put_values(out, node);
        fputs("];\n", out);
    }
    for (size_t i = 0; i < n->edges.count; i++) {
        const network_item *edge = &n->edges.items[i];
        put_quoted(out, edge->from);
        fputs(" -- ", out);
        put_quoted(out, edge->to);
        fputs(" [key=", out);
        put_quoted(out, edge->id);
        fputs(", ", out);
        put_label(out, edge);
        put_edge_look(out, edge);
        put_values(out, edge);
        fputs("];\n", out);
    }
    fputs("}\n", out);
}
