/*
 * bench_float SHIP.xml [ORACLE.py] - how fast she is floated.
 *
 * One equilibrium of the given ship (each space flooded in turn, nothing kept between), cutting her
 * hull and spaces by a plane with the ratio to the plain way (every face looked at), expose --all
 * at equilibrium of a made-up ship of 2,000 spaces, all in time of the processor, and, where a
 * script that solves the same equilibria with scipy is given, the ratio to it in the same run.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "bench.h"
#include "body_plain.h"
#include "generate.h"
#include "ship/hull.h"

static double now(void)
{
    return seconds(CLOCK_PROCESS_CPUTIME_ID);
}

/* Seconds of the processor for one equilibrium, over all spaces flooded one by one. */
static double one_equilibrium(const coaming_ship *ship)
{
    size_t n = coaming_space_count(ship), solved = 0;
    bool *flooded = calloc(n, sizeof *flooded);
    double spent = 0;
    for (int round = 0; round < 5; round++) {
        coaming_flotation *f = NULL;
        if (coaming_flotation_new(ship, COAMING_NO_LOADING, &f, NULL) != COAMING_OK)
            exit(1);
        double start = now();
        for (size_t s = 0; s < n; s++, solved++) {
            coaming_float at;
            flooded[s] = true;
            if (coaming_flotation_solve(f, flooded, &at, NULL) != COAMING_OK)
                exit(1);
            flooded[s] = false;
        }
        spent += now() - start;
        coaming_flotation_free(f);
    }
    free(flooded);
    return spent / (double)solved;
}

/* Cuts the hull and every space; returns their volume below. */
static double cut_all(const coaming_ship *ship, const plane *p, double *scratch, bool plainly)
{
    double volume = 0;
    for (size_t s = 0; s <= ship->space_count; s++) {
        const body *b = s ? ship->spaces[s - 1].inside : &ship->hull->body;
        submerged w = {0};
        if (!plainly)
            body_add(b, p, 1, scratch, &w);
        volume += plainly ? plain_below(b, p).sum[VOLUME] : w.volume;
    }
    return volume;
}

/* At heels to 40 degrees; both ways come to the same volume, or there is nothing to compare. */
static void cutting(const coaming_ship *ship)
{
    enum { PLANES = 161, TIMES = 20 };
    size_t largest = ship->hull->body.largest;
    for (size_t s = 0; s < ship->space_count; s++)
        if (ship->spaces[s].inside->largest > largest)
            largest = ship->spaces[s].inside->largest;
    double *scratch = calloc(6 * (largest + 8), sizeof *scratch), spent[2] = {0, 0}, volume[2];
    const double middle[] = {ship->length / 2, 0, ship->draught};
    for (int i = 0; i < PLANES; i++) {
        plane p = plane_make((i - PLANES / 2) * 0.5 / 57.29577951308232, 0.01, 0, middle);
        p = plane_make((i - PLANES / 2) * 0.5 / 57.29577951308232, 0.01,
                       p.n[0] * middle[0] + p.n[2] * middle[2], middle);
        for (int plainly = 0; plainly < 2; plainly++) {
            double start = now();
            for (int k = 0; k < TIMES; k++)
                volume[plainly] = cut_all(ship, &p, scratch, plainly == 1);
            spent[plainly] += now() - start;
        }
        if (!(fabs(volume[0] - volume[1]) <= 1e-9 * volume[1]))
            exit(1);
    }
    free(scratch);
    printf("cutting hull and %zu spaces: %.1f us, the plain way %.1f us, ratio %.1f\n",
           ship->space_count, 1e6 * spent[0] / (PLANES * TIMES), 1e6 * spent[1] / (PLANES * TIMES),
           spent[1] / spent[0]);
}

static double expose_all(const coaming_ship *ship)
{
    coaming_query q = coaming_query_default();
    coaming_style style = {COAMING_JSON, false, 80};
    FILE *out = fopen("/dev/null", "w");
    coaming_exposure *e = NULL;
    coaming_outset *outset = NULL;
    double start = now();
    q.level.kind = COAMING_LEVEL_EQUILIBRIUM;
    if (coaming_exposure_new(ship, q, NULL, 0, &e, NULL) != COAMING_OK ||
        coaming_outset_new(ship, q, &outset, NULL) != COAMING_OK ||
        coaming_print_expose(out, style, outset, e, NULL) != COAMING_OK)
        exit(1);
    coaming_outset_free(outset);
    coaming_exposure_free(e);
    fclose(out);
    return now() - start;
}

/* Mean seconds that the script needs for one equilibrium of the same ship, over a few spaces. */
static double by_script(const char *script, const char *path, const coaming_ship *ship)
{
    double sum = 0;
    int asked = 0;
    for (size_t s = 0; s < coaming_space_count(ship); s += coaming_space_count(ship) / 4 + 1) {
        char command[1200];
        double seconds;
        snprintf(command, sizeof command,
                 "/usr/bin/python3 '%s' --time '%s' --flooded %s --repeat 3 | sed -n "
                 "'s/^seconds_per_equilibrium //p'",
                 script, path, coaming_space_id(ship, (int)s));
        FILE *in = popen(command, "r");
        if (in && fscanf(in, "%lf", &seconds) == 1) {
            sum += seconds;
            asked++;
        }
        if (in)
            pclose(in);
    }
    return asked ? sum / asked : NAN;
}

int main(int argc, char **argv)
{
    if (argc < 2) {
        fputs("usage: bench_float SHIP.xml [ORACLE.py]\n", stderr);
        return 2;
    }
    coaming_ship *ship = load(argv[1]);
    double one = one_equilibrium(ship);
    printf("one equilibrium of %s: %.3f ms\n", coaming_ship_name(ship), 1e3 * one);
    if (argc > 2) {
        double script = by_script(argv[2], argv[1], ship);
        printf("the same by scipy: %.3f ms, ratio %.0f\n", 1e3 * script, script / one);
    }
    cutting(ship);
    coaming_ship_free(ship);
    char path[] = "/tmp/coaming-bench-XXXXXX";
    int file = mkstemp(path);
    if (file < 0)
        return 1;
    close(file);
    size_t spaces = generate_ship(path, 2000);
    ship = load(path);
    printf("expose --all at equilibrium, %zu spaces: %.2f s\n", spaces, expose_all(ship));
    coaming_ship_free(ship);
    unlink(path);
    return 0;
}
