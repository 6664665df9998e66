#include "base/fault.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "base/text.h"

typedef struct {
    coaming_fault shown;
    size_t number; /* order of finding: makes the sort stable */
} entry;

struct coaming_faults {
    entry *list;
    size_t count, capacity, errors;
    bool lost;
    arena texts;
};

coaming_faults *coaming_faults_new(void)
{
    return memory_new(1, sizeof(coaming_faults));
}

void coaming_faults_free(coaming_faults *faults)
{
    if (!faults)
        return;
    arena_free(&faults->texts);
    memory_free(faults->list);
    memory_free(faults);
}

size_t coaming_faults_count(const coaming_faults *faults)
{
    return faults->count;
}

size_t coaming_faults_error_count(const coaming_faults *faults)
{
    return faults->errors;
}

const coaming_fault *coaming_faults_get(const coaming_faults *faults, size_t index)
{
    return &faults->list[index].shown;
}

bool faults_lost(const coaming_faults *faults)
{
    return faults->lost;
}

void faults_add(coaming_faults *faults, coaming_severity severity, const char *file, long line,
                const char *object, const char *format, ...)
{
    char message[1024];
    va_list args;
    va_start(args, format);
    vsnprintf(message, sizeof message, format, args);
    va_end(args);
    char clean_object[256], clean_message[1024];
    text_fit(clean_object, sizeof clean_object, object, sizeof clean_object);
    text_fit(clean_message, sizeof clean_message, message, sizeof clean_message);

    if (severity == COAMING_SEVERITY_ERROR)
        faults->errors++;
    if (!MEMORY_ROOM(faults->list, faults->count, faults->capacity)) {
        faults->lost = true;
        return;
    }
    coaming_fault f = {arena_text(&faults->texts, file), line,
                       arena_text(&faults->texts, clean_object), severity,
                       arena_text(&faults->texts, clean_message)};
    if (!f.file || !f.object || !f.message) {
        faults->lost = true;
        return;
    }
    faults->list[faults->count] = (entry){f, faults->count};
    faults->count++;
}

static int by_line(const void *left, const void *right)
{
    const entry *a = left, *b = right;
    if (a->shown.line != b->shown.line)
        return a->shown.line < b->shown.line ? -1 : 1;
    return a->number < b->number ? -1 : a->number > b->number;
}

void faults_sort_from(coaming_faults *faults, size_t from)
{
    if (faults->count > from)
        qsort(faults->list + from, faults->count - from, sizeof *faults->list, by_line);
}

size_t faults_errors_from(const coaming_faults *faults, size_t from)
{
    size_t errors = 0;
    for (size_t i = from; i < faults->count; i++)
        errors += faults->list[i].shown.severity == COAMING_SEVERITY_ERROR;
    return errors;
}
