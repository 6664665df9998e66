/* Comma lists of the command line. */
#include <stdlib.h>
#include <string.h>

#include "cli.h"

void id_list_free(id_list *list)
{
    free(list->words);
    free(list->ids);
}

size_t id_list_room(const text_list *lists)
{
    size_t room = 1;
    for (size_t i = 0; i < lists->count; i++)
        room += strlen(lists->texts[i]) + 1;
    return room;
}

bool id_list_make(const text_list *lists, id_list *made)
{
    size_t room = id_list_room(lists);
    *made = (id_list){malloc(room), calloc(room, sizeof *made->ids), 0};
    if (!made->words || !made->ids)
        return false;
    char *to = made->words, *rest = NULL;
    for (size_t i = 0; i < lists->count; i++) {
        size_t size = strlen(lists->texts[i]) + 1;
        memcpy(to, lists->texts[i], size);
        for (char *word = strtok_r(to, ",", &rest); word; word = strtok_r(NULL, ",", &rest))
            made->ids[made->count++] = word;
        to += size;
    }
    return true;
}
