#include <stdlib.h>
#include <string.h>

#include "cli.h"

static int load_ship(const options *o, coaming_ship **ship)
{
    coaming_faults *faults = coaming_faults_new();
    coaming_error error = {COAMING_OK, ""};
    if (!faults) {
        complain("out of memory");
        return EXIT_MACHINE;
    }
    coaming_load_options how = {o->logs, o->log_count, o->as_of, o->today};
    coaming_status status = coaming_ship_load(o->ship, &how, faults, ship, &error);
    size_t count = coaming_faults_count(faults), errors = coaming_faults_errors(faults);
    int result = -1;
    if (errors && status == COAMING_INPUT) {
        progress_stop();
        for (size_t i = 0; i < count; i++)
            if (coaming_faults_get(faults, i)->severity == COAMING_SEVERITY_ERROR)
                coaming_print_fault(stderr, coaming_faults_get(faults, i));
        result = EXIT_INPUT;
    } else if (status != COAMING_OK) {
        result = complain_of(&error);
    } else if (count) {
        complain("%s: %zu warning%s; 'coaming check' shows %s",
                 strcmp(o->ship, "-") ? o->ship : "standard input", count, count == 1 ? "" : "s",
                 count == 1 ? "it" : "them");
    }
    coaming_faults_free(faults);
    return result;
}

int load_asked(options *o, coaming_ship **ship)
{
    coaming_error error;
    int result = load_ship(o, ship);
    if (result < 0 && o->condition &&
        coaming_find_condition(*ship, o->condition, &o->query.condition, &error) != COAMING_OK)
        return complain_of(&error);
    if (result < 0 && !o->level_given && coaming_ship_floats(*ship))
        o->query.level.kind = COAMING_LEVEL_EQUILIBRIUM;
    return result;
}
