#include "commands.h"

const char help_check[] =
    "\nReads the arrangement and the logs and reports every fault: errors, which stop\n"
    "every analysis, and warnings, which do not. Faults go to standard error, a line\n"
    "each; the summary to standard output. Exit status 3 if there is an error.\n";

int cmd_check(options *o)
{
    coaming_faults *faults = coaming_faults_new();
    coaming_error error = {COAMING_OK, ""};
    coaming_ship *ship = NULL;
    coaming_unfilled *unfilled = NULL;
    if (!faults) {
        return complain_of_memory();
    }
    coaming_load_options how = {o->logs.texts, o->logs.count, o->as_of, o->today};
    coaming_status status = coaming_ship_load(o->ship, &how, faults, &ship, &error);
    if (status == COAMING_OK && o->condition)
        status = coaming_find_condition(ship, o->condition, &o->query.condition, &error);
    if (status == COAMING_OK)
        status = coaming_loadings_check(ship, faults, &error);
    bool faulty =
        coaming_faults_error_count(faults) && (status == COAMING_INPUT || status == COAMING_OK);
    int result = EXIT_DONE;
    if (status != COAMING_OK && !faulty) {
        result = complain_of(&error);
    } else {
        progress_stop();
        for (size_t i = 0; i < coaming_faults_count(faults); i++)
            coaming_print_fault(stderr, coaming_faults_get(faults, i));
        output out;
        result = output_open(&out, o);
        if (result < 0) {
            status = ship ? coaming_unfilled_new(ship, &unfilled, &error) : COAMING_OK;
            coaming_check_answer answer = {input_shown(o->ship), faults, ship, unfilled};
            if (status == COAMING_OK)
                status = coaming_print_check(out.stream, out.style, &answer, &error);
            result = output_close(&out, status, &error);
        }
        if (result == EXIT_DONE && faulty)
            result = EXIT_INPUT;
    }
    coaming_unfilled_free(unfilled);
    coaming_ship_free(ship);
    coaming_faults_free(faults);
    return result;
}
