#include "coaming/ids.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

#include "base/error.h"
#include "base/memory.h"
#include "read/log_scan.h"
#include "read/parts.h"
#include "read/xml.h"

/* Ids longer than this are passed over: nobody wants them offered. */
enum { ID_ROOM = 4096 };

static const struct {
    const char *element, *also, *attribute, *space; /* also: NULL, or an element of the same kind */
} kinds[COAMING_IDS_KINDS] = {[COAMING_IDS_SPACES] = {"space", NULL, "id", ARRANGEMENT_NS},
                              [COAMING_IDS_CLOSURES] = {"closure", NULL, "id", ARRANGEMENT_NS},
                              [COAMING_IDS_CONDITIONS] = {"condition", NULL, "id", ARRANGEMENT_NS},
                              [COAMING_IDS_LOADINGS] = {"loading", NULL, "id", ARRANGEMENT_NS},
                              [COAMING_IDS_PUMPS] = {"pump", NULL, "id", ARRANGEMENT_NS},
                              [COAMING_IDS_FANS] = {"fan", NULL, "id", ARRANGEMENT_NS},
                              [COAMING_IDS_DECKS] = {"deck", NULL, "id", ARRANGEMENT_NS},
                              [COAMING_IDS_LOGGED] = {"test", "repair", "closure", TEST_LOG_NS}};

typedef struct {
    coaming_ids which;
    void (*take)(const char *id, void *data);
    void *data;
} walker;

static void on_start(const xml_start *e, void *data)
{
    const walker *w = data;
    const char *also = kinds[w->which].also;
    char id[ID_ROOM];
    if (e->depth != 1 || !e->space || strcmp(e->space, kinds[w->which].space) != 0)
        return;
    if (strcmp(e->name, kinds[w->which].element) != 0 && (!also || strcmp(e->name, also) != 0))
        return;
    if (xml_scanned(e, kinds[w->which].attribute, id, sizeof id) && *id)
        w->take(id, w->data);
}

static void on_end(const char *name, int depth, long end, void *data)
{
    (void)name, (void)depth, (void)end, (void)data;
}

/* The beginning of a regular file; anything else could keep whoever waits for an answer waiting. */
static coaming_status read_beginning(const char *path, char **text, size_t *size,
                                     coaming_error *error)
{
    struct stat about;
    if (stat(path, &about) != 0)
        return error_set(error, COAMING_NO_FILE, "%s: %s", path, strerror(errno));
    if (!S_ISREG(about.st_mode))
        return error_set(error, COAMING_NO_FILE, "%s: is no file", path);
    size_t wanted = about.st_size < COAMING_IDS_MOST ? (size_t)about.st_size : COAMING_IDS_MOST;
    FILE *in = fopen(path, "rb");
    if (!in)
        return error_set(error, COAMING_NO_FILE, "%s: %s", path, strerror(errno));
    *text = memory_new(wanted, 1);
    *size = *text ? fread(*text, 1, wanted, in) : 0;
    bool failed = ferror(in);
    fclose(in);
    if (!*text)
        return error_memory(error);
    return failed ? error_set(error, COAMING_READ, "%s: cannot be read", path) : COAMING_OK;
}

coaming_status coaming_ids_scan(const char *path, coaming_ids which,
                                void (*take)(const char *id, void *data), void *data,
                                coaming_error *error)
{
    char *text = NULL;
    size_t size = 0;
    walker w = {which, take, data};
    const xml_scanner scanner = {on_start, on_end, &w};
    coaming_faults *faults = coaming_faults_new(); /* not told: see the header */
    coaming_status status = COAMING_OK;
    if (!faults)
        status = error_memory(error);
    else if (which != COAMING_IDS_NONE)
        status = read_beginning(path, &text, &size, error);
    if (status == COAMING_OK && size)
        status = xml_scan(text, size, path, faults, &scanner, error);
    memory_free(text);
    coaming_faults_free(faults);
    return status == COAMING_INPUT ? COAMING_OK : status;
}
