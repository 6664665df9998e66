/*
 * bench_air SHIP.xml MOST [ORACLE.py] - how fast smoke and gas are followed through her.
 *
 * An hour of the given ship with CO from each space in turn; an hour of made-up ships of 500 spaces, twice as
 * many and so on up to MOST, with two agents, shut, and with every inner door open, when what can still be
 * done is tried twelve times; all in time of the processor. Where the script that follows air by scipy is
 * given (COAMING names the program), the ratio to it at the same error, in the same run.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "bench.h"
#include "generate.h"
#include "ship/ship.h"

static double now(void)
{
    return seconds(CLOCK_PROCESS_CPUTIME_ID);
}

static coaming_air_options asked(const coaming_air_source *sources, size_t count)
{
    coaming_air_options how = coaming_air_options_default();
    how.sources = sources;
    how.source_count = count;
    how.wind = 8;
    how.wind_from = 200;
    return how;
}

static double follow_once(const coaming_ship *ship, const coaming_air_options *how, size_t *events)
{
    coaming_air *air = NULL;
    coaming_error error;
    double start = now();
    must(coaming_air_new(ship, how, &air, &error), &error);
    double spent = now() - start;
    *events += coaming_air_get(air)->event_count;
    coaming_air_free(air);
    return spent;
}

static void each_space(const coaming_ship *ship)
{
    double spent = 0, most = 0;
    size_t events = 0;
    for (size_t s = 0; s < ship->space_count; s++) {
        coaming_air_source source = {(int)s, COAMING_AGENT_CO, 0.5};
        coaming_air_options how = asked(&source, 1);
        double one = follow_once(ship, &how, &events);
        spent += one;
        most = fmax(most, one);
    }
    printf(
        "an hour of air from each of %zu spaces: mean %.4f s, most %.4f s (%.1f limits passed)\n",
        ship->space_count, spent / (double)ship->space_count, most,
        (double)events / (double)ship->space_count);
}

static void large(size_t size)
{
    char path[] = "/tmp/bench-air-XXXXXX";
    int file = mkstemp(path);
    if (file < 0)
        exit(1);
    close(file);
    generate_ship(path, size);
    coaming_ship *ship = load(path);
    const coaming_air_source sources[] = {{200, COAMING_AGENT_CO, 0.7},
                                          {200, COAMING_AGENT_CO2, 2.3}};
    coaming_air_options how = asked(sources, 2);
    for (int open = 0; open < 2; open++) {
        size_t events = 0;
        if (open)
            generate_open(ship);
        double spent = follow_once(ship, &how, &events);
        printf("an hour of a ship of %zu spaces%s, two agents, %zu limits passed: %.2f s\n",
               ship->space_count, open ? " with every door open" : "", events, spent);
    }
    coaming_ship_free(ship);
    unlink(path);
}

int main(int count, char **arguments)
{
    if (count < 3)
        return 2;
    coaming_ship *ship = load(arguments[1]);
    each_space(ship);
    coaming_ship_free(ship);
    for (size_t size = 500; size <= (size_t)atol(arguments[2]); size *= 2)
        large(size);
    if (count > 3) {
        char command[4096];
        snprintf(command, sizeof command, "/usr/bin/python3 '%s' --coaming \"$COAMING\" --bench",
                 arguments[3]);
        fflush(stdout);
        return system(command) != 0;
    }
    return 0;
}
