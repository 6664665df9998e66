/*
 * bench_flood SHIP.xml MOST [ORACLE.py] - how fast she floods.
 *
 * An hour of the given ship with a hole of 0.2 m2 in each shell space in turn, without and with grades;
 * the same equations by Runge and Kutta's method of fixed steps, as long as they stay stable, with the
 * ratio; an hour of a made-up ship of 2,000 spaces, and some minutes of such ships of 500, twice as many
 * and so on up to MOST with every door open, by which cost is seen to grow; all in time of the processor.
 * --open SPACES SECONDS: one of these alone. Where the script that
 * floods box ships by scipy is given (COAMING names the program), the ratio to it at the same error, in
 * the same run.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "analyse/flood/flood.h"
#include "bench.h"
#include "generate.h"

static double now(void)
{
    return seconds(CLOCK_PROCESS_CPUTIME_ID);
}

static coaming_flood_ask ask_holed(const coaming_flood_breach *hole)
{
    coaming_flood_ask ask = coaming_flood_ask_default();
    ask.breaches = hole;
    ask.breach_count = 1;
    return ask;
}

/* Adds up spaces and steps; returns seconds. */
static double flood_once(const coaming_ship *ship, const coaming_flood_breach *hole, double until,
                         bool grades, size_t *spaces, size_t *steps)
{
    coaming_flood_ask ask = ask_holed(hole);
    coaming_flood *f = NULL;
    coaming_error error;
    ask.until = until;
    ask.grades = grades;
    double start = now();
    must(coaming_flood_new(ship, &ask, &f, &error), &error);
    double spent = now() - start;
    *spaces += coaming_flood_get(f)->space_count;
    *steps += coaming_flood_get(f)->steps;
    coaming_flood_free(f);
    return spent;
}

static double each_shell_space(const coaming_ship *ship, bool grades)
{
    size_t holed = 0, spaces = 0, steps = 0;
    double spent = 0, most = 0;
    for (size_t s = 0; s < ship->space_count; s++) {
        if (!ship->spaces[s].shell)
            continue;
        const coaming_flood_breach hole = {(int)s, 0.2, NAN};
        double one = flood_once(ship, &hole, 3600, grades, &spaces, &steps);
        spent += one;
        most = fmax(most, one);
        holed++;
    }
    printf(
        "an hour of flooding%s: mean %.4f s, most %.4f s (%zu breaches, %.1f spaces wet and %.0f "
        "steps each)\n",
        grades ? ", graded each minute" : "", spent / (double)holed, most, holed,
        (double)spaces / (double)holed, (double)steps / (double)holed);
    return spent / (double)holed;
}

/* A minute by fixed steps so short that nothing of what is stiff runs away: half the lag. */
static double plain_minute(const coaming_ship *ship, int space)
{
    const coaming_flood_breach hole = {space, 0.2, NAN};
    coaming_flood_ask ask = ask_holed(&hole);
    water_model m;
    water_watching w;
    coaming_error error;
    must(water_model_make(&m, ship, &ask, NULL, &error), &error);
    w = (water_watching){.m = &m};
    size_t n = water_unknowns(&m), steps = (size_t)(60 / (0.5 * COAMING_FLOOD_LAG));
    double *y = calloc(6 * n, sizeof *y), *at = y + n, *k = at + n, h = 0.5 * COAMING_FLOOD_LAG;
    water_begin(&m, y);
    double start = now();
    for (size_t step = 0; step < steps; step++) {
        static const double part[] = {0, 0.5, 0.5, 1}, weight[] = {1, 2, 2, 1};
        memcpy(at, y, n * sizeof *y);
        for (int stage = 0; stage < 4; stage++) {
            for (size_t i = 0; stage && i < n; i++)
                at[i] = y[i] + h * part[stage] * k[(size_t)(stage - 1) * n + i];
            if (!water_rates(&w, 0, at, k + (size_t)stage * n))
                exit(1);
        }
        for (size_t i = 0; i < n; i++)
            for (int stage = 0; stage < 4; stage++)
                y[i] += h / 6 * weight[stage] * k[(size_t)stage * n + i];
    }
    double spent = now() - start;
    free(y);
    water_model_free(&m);
    return spent;
}

static int first_shell(const coaming_ship *ship)
{
    for (size_t s = 0; s < ship->space_count; s++)
        if (ship->spaces[s].shell)
            return (int)s;
    return 0;
}

/* As her closures stand, and with every door open: then hundreds of spaces fill one after the other, and
 * each asks for steps of its own. */
static void large(size_t size, double until, bool open)
{
    char path[] = "/tmp/bench-flood-XXXXXX";
    int file = mkstemp(path);
    if (file < 0)
        exit(1);
    close(file);
    generate_ship(path, size);
    coaming_ship *ship = load(path);
    if (open)
        generate_open(ship);
    size_t spaces = 0, steps = 0;
    const coaming_flood_breach hole = {first_shell(ship), 2, NAN};
    double spent = flood_once(ship, &hole, until, false, &spaces, &steps);
    printf("%g min of a ship of %zu spaces%s, %zu of them wet: %.2f s (%zu steps)\n", until / 60,
           ship->space_count, open ? " with every door open" : "", spaces, spent, steps);
    coaming_ship_free(ship);
    unlink(path);
}

/* --one SHIP SPACE AREA HEIGHT UNTIL: prints the seconds of one flood. */
static int one(char **arguments)
{
    coaming_ship *ship = load(arguments[0]);
    const coaming_flood_breach hole = {atoi(arguments[1]), atof(arguments[2]), atof(arguments[3])};
    size_t spaces = 0, steps = 0;
    printf("%.6f\n", flood_once(ship, &hole, atof(arguments[4]), false, &spaces, &steps));
    coaming_ship_free(ship);
    return 0;
}

int main(int count, char **arguments)
{
    if (count == 7 && strcmp(arguments[1], "--one") == 0)
        return one(arguments + 2);
    if (count == 4 && strcmp(arguments[1], "--open") == 0) {
        large((size_t)atol(arguments[2]), atof(arguments[3]), true);
        return 0;
    }
    if (count < 3)
        return 2;
    coaming_ship *ship = load(arguments[1]);
    double mean = each_shell_space(ship, false);
    each_shell_space(ship, true);
    double plain = 60 * plain_minute(ship, first_shell(ship));
    printf("by Runge and Kutta's method of fixed steps: %.3f s, ratio %.0f\n", plain, plain / mean);
    coaming_ship_free(ship);
    large(2000, 3600, false);
    for (size_t size = 500; size <= (size_t)atol(arguments[2]); size *= 2)
        large(size, 300, true);
    if (count > 3) {
        char command[4096];
        snprintf(command, sizeof command, "/usr/bin/python3 '%s' --bench '%s'", arguments[3],
                 arguments[0]);
        fflush(stdout);
        return system(command) != 0;
    }
    return 0;
}
