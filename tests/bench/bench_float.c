/*
 * bench_float SHIP.xml [ORACLE.py] - how fast she is floated.
 *
 * One equilibrium of the given ship (each space flooded in turn, nothing kept between), cutting her
 * hull and spaces by a plane with the ratio to the plain way (every face looked at), in each of her
 * loadings liquids brought level with the ratio to looking for each from its level upright, and range
 * and greatest arm of each space flooded with the ratio to steps and halves over positions alone,
 * expose --all at equilibrium of a made-up ship of 2,000 spaces, all in time of the processor, and, where a
 * script that solves the same equilibria with scipy is given, the ratio to it in the same run.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "arms_plain.h"
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

/* Liquids at planes as a curve meets them; both ways come to the same shift. */
static void levelling(const coaming_ship *ship, coaming_flotation *f)
{
    enum { PLANES = 400 };
    double spent[2] = {0, 0}, sum[2] = {0, 0};
    for (int way = 0; way < 2; way++) {
        double start = now();
        for (int i = 0; i < PLANES; i++) {
            plane p = plane_make((i % 80 - 40) * 0.0175, 1e-4 * i - 0.02, 0, f->middle);
            if (way == 0)
                sum[0] += laden_move(&f->laden, ship, NULL, &p, false, f->scratch).shift[1];
            for (size_t k = 0; way == 1 && k < f->laden.liquid_count; k++) {
                const laden_liquid *l = &f->laden.liquids[k];
                liquid at;
                if (!l->moves)
                    continue;
                liquid_settle(&(liquid_part){&ship->spaces[l->space], l->volume, 0}, &p, l->surface,
                              f->scratch, &at);
                sum[1] += l->weight / f->laden.weight * (at.centre[1] - l->centre[1]);
            }
        }
        spent[way] = now() - start;
    }
    if (!(fabs(sum[0] - sum[1]) < 1e-9 * PLANES))
        exit(1);
    printf("  liquids level: %.1f us a plane, each from upright %.1f us, ratio %.1f\n",
           1e6 * spent[0] / PLANES, 1e6 * spent[1] / PLANES, spent[1] / spent[0]);
}

/* Range and greatest arm of one set of flooded spaces, both ways, if she floats. */
static void arms_of_set(coaming_flotation *f, const bool *flooded, double spent[2])
{
    coaming_float at;
    coaming_righting r;
    double range, greatest;
    if (coaming_flotation_solve(f, flooded, &at, NULL) != COAMING_OK)
        exit(1);
    if (at.afloat != COAMING_AFLOAT_YES)
        return;
    double side = at.heel < 0 ? -1 : 1, begun = now();
    arm_curve *a = arms_of(f, flooded, &at, side);
    arms_measure(f, flooded, a, COAMING_HEEL_MOST, ARMS_ALL, &r);
    double middle = now();
    plain_measure(f, flooded, side, a->start, &range, &greatest);
    spent[0] += middle - begun;
    spent[1] += now() - middle;
    if (!(fabs(r.range - range) < 1e-6 && fabs(r.greatest - greatest) < 1e-8))
        exit(1);
}

static void righting(const coaming_ship *ship, coaming_flotation *f)
{
    size_t n = coaming_space_count(ship), step = n / 6 + 1;
    bool *flooded = calloc(n, sizeof *flooded);
    double spent[2] = {0, 0};
    for (size_t s = 0; s < n; s += step) {
        flooded[s] = true;
        arms_of_set(f, flooded, spent);
        flooded[s] = false;
    }
    free(flooded);
    printf("  righting arms: %.2f ms, from positions alone %.1f ms, ratio %.0f\n",
           1e3 * spent[0] / 6, 1e3 * spent[1] / 6, spent[1] / spent[0]);
}

static void in_each_loading(const coaming_ship *ship)
{
    for (size_t i = 0; i < ship->loading_count; i++) {
        coaming_flotation *f = NULL;
        if (coaming_flotation_new(ship, (int)i, &f, NULL) != COAMING_OK)
            exit(1);
        printf("loading %s:\n", ship->loadings[i].id);
        if (f->laden.liquid_count)
            levelling(ship, f);
        righting(ship, f);
        coaming_flotation_free(f);
    }
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
        if (!isfinite(script))
            return 1;
        printf("the same by scipy: %.3f ms, ratio %.0f\n", 1e3 * script, script / one);
    }
    cutting(ship);
    in_each_loading(ship);
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
