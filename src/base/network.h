/*
 * base/network.h - a graph as nodes and edges with named values, on its way into a file.
 *
 * Values are kept as the text that is written, so that all formats write the same digits. A value
 * that is not given is not there. Everything hangs on one arena; network_free frees it all. Out of
 * memory is remembered in `lost`, for whoever builds to ask once at the end.
 */
#ifndef BASE_NETWORK_H
#define BASE_NETWORK_H

#include "base/memory.h"

typedef enum { VALUE_TEXT, VALUE_NUMBER, VALUE_TRUTH } value_kind;

typedef struct {
    const char *name, *text; /* a truth is "true" or "false" */
    value_kind kind;
} network_value;

typedef struct {
    const char *id, *from, *to; /* from, to: ids of nodes, of edges only */
    network_value *values;
    size_t count, capacity;
} network_item;

typedef struct {
    network_item *items;
    size_t count, capacity;
} network_list;

typedef struct {
    arena memory;
    network_item whole; /* the graph itself */
    network_list nodes, edges;
    bool lost;
} network;

void network_free(network *n);
/* A copy of text that lives as long as the network; NULL when out of memory. */
const char *network_copy(network *n, const char *text);
/* A new item; valid until the next one of its list is added. NULL when out of memory. */
network_item *network_add(network *n, network_list *list, const char *id);
/* A value more, both texts copied; nothing is done without an item. */
void network_put(network *n, network_item *item, const char *name, value_kind kind,
                 const char *text);
/* The names that the values of these items have, each once, in the order of their first use. NULL
 * when out of memory; to be freed with memory_free, and to be used no longer than the network. */
network_value *network_names(const network_item *items, size_t item_count, size_t *count);

#endif
