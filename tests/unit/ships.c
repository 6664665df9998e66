#include "ships.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static void write_file(const char *path, const char *text)
{
    FILE *out = fopen(path, "w");
    if (!out || fputs(text, out) < 0 || fclose(out))
        abort();
}

coaming_status ship_from_text(const char *arrangement, const char *log, coaming_faults *faults,
                              coaming_ship **ship, coaming_error *error)
{
    char folder[] = "/tmp/coaming-test-XXXXXX", ship_path[64], log_path[64];
    if (!mkdtemp(folder))
        abort();
    snprintf(ship_path, sizeof ship_path, "%s/ship.xml", folder);
    snprintf(log_path, sizeof log_path, "%s/log.xml", folder);
    write_file(ship_path, arrangement);
    if (log)
        write_file(log_path, log);
    const char *logs[] = {log_path};
    coaming_load_options options = {logs, log ? 1 : 0, 0, 0};
    if (!coaming_date_parse("2026-11-01", &options.as_of))
        abort();
    options.today = options.as_of;
    coaming_faults *own = faults ? faults : coaming_faults_new();
    coaming_status status = coaming_ship_load(ship_path, &options, own, ship, error);
    if (!faults)
        coaming_faults_free(own);
    unlink(ship_path);
    unlink(log_path);
    rmdir(folder);
    return status;
}

/* Of a ship that must load. */
static void must(bool good, const char *what)
{
    if (good)
        return;
    fprintf(stderr, "does not load: %s\n", what);
    abort();
}

coaming_ship *ship_from_elements(const char *elements)
{
    char *text = NULL;
    size_t size;
    coaming_ship *ship = NULL;
    coaming_faults *faults = coaming_faults_new();
    FILE *out = open_memstream(&text, &size);
    fprintf(out, "<arrangement xmlns=\"urn:coaming:arrangement:1\" name=\"T\">%s</arrangement>",
            elements);
    fclose(out);
    bool good = ship_from_text(text, NULL, faults, &ship, NULL) == COAMING_OK;
    must(good, coaming_faults_count(faults) ? coaming_faults_get(faults, 0)->message : text);
    coaming_faults_free(faults);
    free(text);
    return ship;
}

coaming_ship *ship_from_parts(const char *principal, const char *parts)
{
    char *elements = NULL;
    size_t size;
    FILE *out = open_memstream(&elements, &size);
    fprintf(out, "<ship %s/>%s", principal, parts);
    fclose(out);
    coaming_ship *ship = ship_from_elements(elements);
    free(elements);
    return ship;
}

/* Files of the source tree; log: or NULL. */
static coaming_ship *from_tree(const char *path, const char *log, const char *day)
{
    char whole[1000], whole_log[1000];
    const char *root = getenv("COAMING_ROOT"), *logs[] = {whole_log};
    snprintf(whole, sizeof whole, "%s/%s", root, path);
    snprintf(whole_log, sizeof whole_log, "%s/%s", root, log ? log : "");
    coaming_load_options options = {logs, log ? 1 : 0, 0, 0};
    must(coaming_date_parse(day, &options.as_of), day);
    options.today = options.as_of;
    coaming_faults *faults = coaming_faults_new();
    coaming_ship *ship = NULL;
    must(coaming_ship_load(whole, &options, faults, &ship, NULL) == COAMING_OK, whole);
    coaming_faults_free(faults);
    return ship;
}

coaming_ship *ship_from_tree(const char *path)
{
    return from_tree(path, NULL, "2026-11-25");
}

coaming_ship *ship_with_history(const char *day)
{
    return from_tree("examples/fathom-lark.xml", "examples/fathom-lark-log.xml", day);
}

coaming_query at_equilibrium(void)
{
    coaming_query query = coaming_query_default();
    query.level.kind = COAMING_LEVEL_EQUILIBRIUM;
    query.hazard[COAMING_AIR] = false;
    return query;
}

void write_wigley(FILE *out, int along, int up)
{
    const double L = 100, B = 10, T = 6.25;
    fputs("<hull>", out);
    for (int i = 0; i <= along; i++) {
        double u = 2.0 * i / along - 1;
        fprintf(out, "<section x=\"%.17g\">", L * i / along);
        for (int k = 0; k <= up; k++) {
            double w = 1 - (double)k / up;
            fprintf(out, "<offset z=\"%.17g\" y=\"%.17g\"/>", T * k / up,
                    B / 2 * (1 - u * u) * (1 - w * w));
        }
        fprintf(out, "<offset z=\"9\" y=\"%.17g\"/></section>", B / 2 * (1 - u * u));
    }
    fputs("</hull>", out);
}

char *arrangement_with(const char *parts)
{
    static const char frame[] =
        "<?xml version=\"1.0\"?>\n<arrangement xmlns=\"urn:coaming:arrangement:1\" name=\"Test\">\n"
        "<ship length=\"60\" beam=\"12\" depth=\"7\" draft=\"3\"/>\n"
        "<condition id=\"sea\"/><condition id=\"port\"/>\n%s\n</arrangement>\n";
    size_t size = sizeof frame + strlen(parts);
    char *text = malloc(size);
    if (!text)
        abort();
    snprintf(text, size, frame, parts);
    return text;
}

uint64_t dice_next(dice *d)
{
    uint64_t z = d->state += 0x9e3779b97f4a7c15u;
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
    return z ^ (z >> 31);
}

int dice_below(dice *d, int bound)
{
    return (int)(dice_next(d) % (uint64_t)bound);
}

static const char *pick(dice *d, const char *const *words, int count)
{
    return words[dice_below(d, count)];
}

static void put_place(FILE *out, dice *d, int spaces, int not_this, int *place)
{
    do
        *place = dice_below(d, spaces + 2) - 2;
    while (*place == not_this || (*place < 0 && not_this < -2));
    if (*place < 0)
        fputs(*place == -1 ? "sea" : "weather", out);
    else
        fprintf(out, "s%d", *place);
}

static void put_link(FILE *out, dice *d, int number, int spaces)
{
    static const char *const ratings[] = {"watertight", "weathertight", "airtight", "nontight",
                                          "watertight"};
    static const char *const shut[] = {"", " shut-in=\"\"", " shut-in=\"sea\"",
                                       " shut-in=\"sea port\"", ""};
    static const char *const tests[] = {
        "", "", "<test date=\"2026-05-05\" method=\"chalk\" result=\"pass\"/>",
        "<test date=\"2026-05-05\" method=\"hose\" result=\"fail\"/>",
        ("<test date=\"2026-06-05\" method=\"chalk\" result=\"pass\"/>"
         "<test date=\"2026-05-05\" method=\"chalk\" result=\"fail\"/>")};
    bool passage = dice_below(d, 6) == 0;
    int a, b;
    fprintf(out, "<%s id=\"c%d\" kind=\"%s\" between=\"", passage ? "passage" : "closure", number,
            passage ? "duct" : "door");
    put_place(out, d, spaces, -9, &a);
    fputc(' ', out);
    put_place(out, d, spaces, a, &b);
    fputc('"', out);
    if (!passage)
        fprintf(out, " rating=\"%s\"%s", pick(d, ratings, 5), pick(d, shut, 5));
    fprintf(out, "><clear x=\"1\" y=\"0\" z=\"%d\" width=\"0.6\" height=\"1\" lies=\"deck\"/>",
            1 + dice_below(d, 4));
    if (!passage)
        fputs(pick(d, tests, 5), out);
    fprintf(out, "</%s>\n", passage ? "passage" : "closure");
}

static void put_space(FILE *out, dice *d, int number)
{
    int bottom = dice_below(d, 4);
    fprintf(out,
            "<space id=\"s%d\" name=\"Space %d\" permeability=\"0.%d\" people=\"%d\" worth=\"%d\""
            "%s><box x=\"%d %d\" y=\"0 1\" z=\"%d %d\"/></space>\n",
            number, number, 1 + dice_below(d, 9), dice_below(d, 4), dice_below(d, 6),
            dice_below(d, 2) ? " shell=\"yes\"" : "", number, number + 1, bottom,
            bottom + 1 + dice_below(d, 2));
}

char *random_arrangement(uint64_t number, int spaces, int links)
{
    dice d = {number * 2654435761u + 17};
    char *parts = NULL;
    size_t size = 0;
    FILE *out = open_memstream(&parts, &size);
    if (!out)
        abort();
    int n = 1 + dice_below(&d, spaces), m = dice_below(&d, links + 1);
    for (int s = 0; s < n; s++)
        put_space(out, &d, s);
    for (int l = 0; l < m; l++)
        put_link(out, &d, l, n);
    for (int s = dice_below(&d, 3) == 0 ? dice_below(&d, 4) : 0; s > 0; s--)
        fprintf(out, "<scenario hazard=\"%s\" source=\"s%d\" weight=\"0.%d\"/>\n",
                dice_below(&d, 2) ? "water" : "air", dice_below(&d, n), dice_below(&d, 10));
    fclose(out);
    char *text = arrangement_with(parts);
    free(parts);
    return text;
}

char *with_leaks(const char *plain, const char *const values[], int count, dice *d)
{
    static const char tag[] = "<closure ";
    char *text = NULL;
    size_t size;
    FILE *out = open_memstream(&text, &size);
    const char *at = plain;
    for (const char *next; (next = strstr(at, tag)); at = next + strlen(tag)) {
        fprintf(out, "%.*s%s", (int)(next - at), at, tag);
        if (dice_below(d, 8))
            fprintf(out, "leak-probability=\"%s\" ", values[dice_below(d, 11) % count]);
    }
    fputs(at, out);
    fclose(out);
    return text;
}

static bool let_through(const coaming_ship *ship, unsigned wet, const ship_link *l,
                        coaming_place to)
{
    coaming_place from = l->a == to ? l->b : l->a;
    return to >= 0 && (from < 0 || wet >> from & 1) && l->passage && l->clear.z < ship->draught &&
           ship->spaces[to].bottom < ship->draught;
}

unsigned made_to_be_wet(const coaming_ship *ship)
{
    unsigned wet = 0;
    for (unsigned before = 1; before != wet;) {
        before = wet;
        for (size_t i = 0; i < ship->link_count; i++) {
            const ship_link *l = &ship->links[i];
            wet |= let_through(ship, wet, l, l->a) ? 1u << l->a : 0;
            wet |= let_through(ship, wet, l, l->b) ? 1u << l->b : 0;
        }
    }
    return wet;
}
