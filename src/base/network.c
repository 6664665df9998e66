#include "base/network.h"

#include <string.h>

static void item_free(network_item *item)
{
    memory_free(item->values);
}

static void list_free(network_list *list)
{
    for (size_t i = 0; i < list->count; i++)
        item_free(&list->items[i]);
    memory_free(list->items);
}

void network_free(network *n)
{
    item_free(&n->whole);
    list_free(&n->nodes);
    list_free(&n->edges);
    arena_free(&n->memory);
    *n = (network){0};
}

const char *network_copy(network *n, const char *text)
{
    const char *copy = arena_text(&n->memory, text);
    n->lost = n->lost || !copy;
    return copy;
}

network_item *network_add(network *n, network_list *list, const char *id)
{
    const char *copy = network_copy(n, id);
    if (!copy || !MEMORY_ROOM(list->items, list->count, list->capacity)) {
        n->lost = true;
        return NULL;
    }
    network_item *item = &list->items[list->count++];
    *item = (network_item){.id = copy};
    return item;
}

void network_put(network *n, network_item *item, const char *name, value_kind kind,
                 const char *text)
{
    if (!item)
        return;
    network_value value = {network_copy(n, name), network_copy(n, text), kind};
    if (!value.name || !value.text || !MEMORY_ROOM(item->values, item->count, item->capacity))
        n->lost = true;
    else
        item->values[item->count++] = value;
}

static bool known(const network_value *names, size_t count, size_t likely, const char *name)
{
    if (likely < count && !strcmp(names[likely].name, name))
        return true;
    for (size_t i = 0; i < count; i++)
        if (!strcmp(names[i].name, name))
            return true;
    return false;
}

network_value *network_names(const network_item *items, size_t item_count, size_t *count)
{
    size_t capacity = 16;
    network_value *names = memory_new(capacity, sizeof *names);
    *count = 0;
    for (size_t i = 0; i < item_count && names; i++) {
        for (size_t v = 0; v < items[i].count; v++) {
            if (known(names, *count, v, items[i].values[v].name))
                continue;
            if (!MEMORY_ROOM(names, *count, capacity)) {
                memory_free(names);
                return NULL;
            }
            names[(*count)++] = items[i].values[v];
        }
    }
    return names;
}
