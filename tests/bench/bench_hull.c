/*
 * bench_hull SHIP.xml - how fast spaces are cut by the shell.
 *
 * The hull of the given ship (27 sections with 14 heights each: tests/data/container-hull.xml) is
 * filled with 2,000 boxes, 40 along, 5 high and 10 abreast out to her greatest breadth; the outer
 * ones stand out of the shell. Times the cutting, which is done once on loading, and the loading.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "bench.h"
#include "ship/inside.h"

enum { ALONG = 40, HIGH = 5, ABREAST = 10 };

static void put_spaces(FILE *out, const hull_shape *hull)
{
    double length = (hull->x1 - hull->x0 - 100) / ALONG, breadth = 2 * hull->greatest / ABREAST;
    for (int i = 0; i < ALONG; i++)
        for (int k = 0; k < HIGH; k++)
            for (int j = 0; j < ABREAST; j++) {
                double x = hull->x0 + 20 + i * length, y = -hull->greatest + j * breadth;
                double top = 33 - k * 3.5;
                fprintf(out,
                        "<space id=\"s%d-%d-%d\" name=\"S\"><box x=\"%.9g %.9g\" y=\"%.9g %.9g\" "
                        "z=\"%.9g %.9g\"/></space>\n",
                        i, k, j, x, x + length, y, y + breadth, top - 3.5, k ? top : 40.0);
            }
}

/* Copies the file up to the end of its hull, and puts the boxes in place of the rest. */
static void write_ship(const char *from, FILE *out, const hull_shape *hull)
{
    char line[1000];
    FILE *in = fopen(from, "r");
    while (in && fgets(line, sizeof line, in)) {
        fputs(line, out);
        if (strstr(line, "</hull>"))
            break;
    }
    if (in)
        fclose(in);
    put_spaces(out, hull);
    fputs("</arrangement>\n", out);
}

static double now(void)
{
    return seconds(CLOCK_PROCESS_CPUTIME_ID);
}

int main(int argc, char **argv)
{
    if (argc < 2) {
        fputs("usage: bench_hull SHIP.xml\n", stderr);
        return 2;
    }
    char path[] = "/tmp/coaming-bench-XXXXXX";
    int file = mkstemp(path);
    FILE *out = file < 0 ? NULL : fdopen(file, "w");
    if (!out)
        return 1;
    coaming_ship *hull = load(argv[1]);
    write_ship(argv[1], out, hull->hull);
    fclose(out);
    coaming_ship_free(hull);
    double start = now();
    coaming_ship *ship = load(path);
    double loaded = now() - start;
    size_t cut = 0, faces = 0;
    for (size_t i = 0; i < ship->space_count; i++) {
        cut += !ship->spaces[i].parts->whole;
        faces += ship->spaces[i].inside->faces + ship->spaces[i].above->faces;
    }
    coaming_faults *faults = coaming_faults_new();
    start = now();
    if (!ship_cut(ship, faults))
        return 1;
    printf("cutting %zu spaces by a hull of %zu faces: %.3f s (loading all: %.3f s); %zu are cut, "
           "%zu faces\n",
           ship->space_count, ship->hull->body.faces, now() - start, loaded, cut, faces);
    coaming_faults_free(faults);
    coaming_ship_free(ship);
    unlink(path);
    return 0;
}
