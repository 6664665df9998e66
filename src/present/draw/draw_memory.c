/* What is made for a drawing hangs on it: memory, texts put together, lists that grow. */
#include <stdarg.h>
#include <stdio.h>

#include "present/draw/drawing.h"

void *draw_new(drawing *d, size_t count, size_t size)
{
    void *made = arena_new(&d->memory, count, size);
    d->lost = d->lost || !made;
    return made;
}

const char *draw_format(drawing *d, const char *format, ...)
{
    va_list args, again;
    va_start(args, format);
    va_copy(again, args);
    int length = vsnprintf(NULL, 0, format, args);
    char *text = length < 0 ? NULL : draw_new(d, (size_t)length + 1, 1);
    if (text)
        vsnprintf(text, (size_t)length + 1, format, again);
    va_end(again);
    va_end(args);
    return text ? text : "";
}

void draw_append(drawing *d, const char ***list, size_t *count, size_t *capacity, const char *text)
{
    const char **all = *list;
    if (MEMORY_ROOM(all, *count, *capacity))
        all[(*count)++] = text;
    else
        d->lost = true;
    *list = all;
}
