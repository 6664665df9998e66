/*
 * first-look - the smallest use of libcoaming: load a ship and name the closures whose failure
 * costs most. Built against the installed library:
 *
 *     cmake -S examples/first-look -B first-look && cmake --build first-look
 *     first-look/first-look examples/barge.xml
 */
#include <coaming/coaming.h>
#include <stdio.h>

static int fail(const coaming_error *error)
{
    fprintf(stderr, "first-look: %s\n", error->message);
    return coaming_status_exit(error->status);
}

static void print_first(const coaming_ship *ship, const coaming_ranking *ranking, size_t rows)
{
    char date[COAMING_DATE_TEXT];
    for (size_t i = 0; i < rows && i < coaming_ranking_count(ranking); i++) {
        const coaming_rank *row = coaming_ranking_get(ranking, i);
        printf("%zu. %s, worth %.3g lost if it fails; tested: %s\n", i + 1,
               coaming_closure_name(ship, row->closure), row->consequence,
               coaming_date_format(coaming_closure_tested(ship, row->closure), date));
    }
}

int main(int argc, char **argv)
{
    if (argc != 2) {
        fputs("usage: first-look SHIP.xml\n", stderr);
        return 2;
    }
    coaming_error error = {COAMING_MEMORY, "out of memory"};
    coaming_faults *faults = coaming_faults_new();
    coaming_ship *ship = NULL;
    coaming_ranking *ranking = NULL;
    coaming_load_options options = coaming_load_options_default();
    coaming_status status = COAMING_MEMORY;
    if (faults)
        status = coaming_ship_load(argv[1], &options, faults, &ship, &error);
    if (status == COAMING_OK)
        status = coaming_ranking_new(ship, coaming_query_default(), COAMING_MEASURE_WORTH, &ranking,
                                     &error);
    if (status == COAMING_OK)
        print_first(ship, ranking, 3);
    coaming_ranking_free(ranking);
    coaming_ship_free(ship);
    coaming_faults_free(faults);
    if (status == COAMING_OK)
        puts(coaming_caution());
    return status == COAMING_OK ? 0 : fail(&error);
}
