/*
 * bench_draw [MOST] - the drawing of made-up ships of 200 to 8,000 spaces, or to MOST: processor time,
 * size, and the ratio to a plain baseline in the same run, which only writes the outline of each solid
 * once for each deck, without names, signs or anything kept apart.
 */
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>
#include <unistd.h>

#include "bench.h"
#include "generate.h"
#include "ship/ship.h"

static double now(void)
{
    return seconds(CLOCK_PROCESS_CPUTIME_ID);
}

static void write_plainly(FILE *out, const coaming_ship *ship)
{
    fputs("<svg xmlns=\"http://www.w3.org/2000/svg\">\n", out);
    for (size_t d = 0; d <= ship->deck_count; d++) {
        for (size_t s = 0; s < ship->space_count; s++) {
            const ship_space *space = &ship->spaces[s];
            for (size_t k = 0; k < space->solid_count; k++) {
                if (d < ship->deck_count && space->deck >= 0 && (size_t)space->deck != d)
                    continue;
                fputs("<polygon points=\"", out);
                for (size_t i = 0; i < space->solids[k].corners; i++)
                    fprintf(out, "%.2f,%.2f ", space->solids[k].outline[2 * i],
                            space->solids[k].outline[2 * i + 1]);
                fputs("\"/>\n", out);
            }
        }
    }
    fputs("</svg>\n", out);
}

static void row(const char *what, const coaming_ship *ship, const coaming_drawing *drawing,
                double plain)
{
    char *text = NULL;
    size_t size = 0;
    coaming_error error;
    FILE *out = open_memstream(&text, &size);
    double start = now();
    must(coaming_print_drawing(out, ship, drawing, &error), &error);
    fclose(out);
    double taken = now() - start;
    printf("  %-28s %8.3f s  %7.2f MB  %6.1f x plain\n", what, taken, (double)size / 1e6,
           taken / plain);
    free(text);
}

static void ship_of(size_t spaces)
{
    char path[] = "/tmp/coaming-bench-XXXXXX";
    int descriptor = mkstemp(path);
    if (descriptor < 0 || !generate_ship(path, spaces))
        exit(1);
    close(descriptor);
    double start = now();
    coaming_ship *ship = load(path);
    printf("%zu spaces, %zu closures, loaded in %.3f s\n", coaming_space_count(ship),
           coaming_closure_count(ship), now() - start);
    char *text = NULL;
    size_t size = 0;
    FILE *out = open_memstream(&text, &size);
    start = now();
    write_plainly(out, ship);
    fclose(out);
    double plain = now() - start;
    printf("  %-28s %8.3f s  %7.2f MB\n", "plain outlines", plain, (double)size / 1e6);
    free(text);
    coaming_drawing drawing = coaming_drawing_default();
    row("profile and plans, 297 mm", ship, &drawing, plain);
    drawing.width = 2000;
    row("the same, 2000 mm", ship, &drawing, plain);
    coaming_due *due = NULL;
    coaming_error error;
    must(coaming_due_new(ship, &due, &error), &error);
    coaming_due_within(due, drawing.within);
    drawing.overlay = COAMING_OVERLAY_DUE;
    drawing.due = due;
    row("with what is due", ship, &drawing, plain);
    coaming_due_free(due);
    coaming_ship_free(ship);
    unlink(path);
}

int main(int argc, char **argv)
{
    static const size_t sizes[] = {200, 2000, 8000};
    size_t most = argc > 1 ? strtoul(argv[1], NULL, 10) : SIZE_MAX;
    for (size_t i = 0; i < sizeof sizes / sizeof *sizes && sizes[i] <= most; i++)
        ship_of(sizes[i]);
    return 0;
}
