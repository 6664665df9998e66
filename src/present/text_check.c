#include <string.h>

#include "base/error.h"
#include "base/text.h"
#include "present/style.h"
#include "present/views.h"

void coaming_print_clean(FILE *out, const char *text)
{
    char piece[8];
    while (*text) {
        size_t length = text_next(text);
        snprintf(piece, sizeof piece, "%.*s", (int)length, text);
        fputs(text_is_plain(piece) ? piece : "?", out);
        text += length;
    }
}

void coaming_print_fault(FILE *out, const coaming_fault *fault)
{
    coaming_print_clean(out, fault->file);
    fputc(':', out);
    if (fault->line > 0)
        fprintf(out, "%ld:", fault->line);
    fprintf(out, " %s: %s: %s\n", fault->severity == COAMING_SEVERITY_ERROR ? "error" : "warning",
            fault->object, fault->message);
}

static void print_ship(FILE *out, const coaming_ship *ship)
{
    char a[SHOWN], b[SHOWN], c[SHOWN];
    size_t tested = 0, failed = 0;
    for (size_t i = 0; i < ship->closure_count; i++) {
        coaming_result result = coaming_closure_result(ship, (int)i);
        tested += result != COAMING_UNTESTED;
        failed += result == COAMING_FAIL;
    }
    fprintf(out, "  %s, %s, %s\n", counted(a, (double)ship->space_count, "space", "spaces"),
            counted(b, (double)ship->closure_count, "closure", "closures"),
            counted(c, (double)coaming_ship_passages(ship), "passage", "passages"));
    fprintf(out, "  closures by last test: %zu pass, %zu fail, %zu untested\n", tested - failed,
            failed, ship->closure_count - tested);
    size_t derived = coaming_ship_derived(ship);
    if (derived)
        fprintf(out, "  %s with boxes worked out from %s, not measured\n",
                counted(a, (double)derived, "space", "spaces"),
                derived == 1 ? "its number" : "their numbers");
    if (ship->later_events)
        fprintf(out, "  %s later than that day: not counted\n",
                counted(a, (double)ship->later_events, "entry", "entries"));
}

/* Is one of the errors in this file? */
static bool names_file(const coaming_faults *faults, const char *path)
{
    for (size_t i = 0; i < coaming_faults_count(faults); i++) {
        const coaming_fault *f = coaming_faults_get(faults, i);
        if (f->severity == COAMING_SEVERITY_ERROR && !strcmp(f->file, path))
            return true;
    }
    return false;
}

static void text_check(FILE *out, const char *path, const coaming_ship *ship,
                       const coaming_faults *faults)
{
    char a[SHOWN], b[SHOWN], name[SHOWN], date[COAMING_DATE_TEXT];
    size_t errors = coaming_faults_errors(faults);
    size_t warnings = coaming_faults_count(faults) - errors;
    coaming_print_clean(out, path);
    if (ship)
        fprintf(out, ": %s, as of %s\n", shown(name, ship->name, 40),
                coaming_date_format(ship->as_of, date));
    else
        fputs(names_file(faults, path) ? ": cannot be used\n"
                                       : ": cannot be used with these logs\n",
              out);
    if (ship)
        print_ship(out, ship);
    fprintf(out, "  %s, %s\n", counted(a, (double)errors, "error", "errors"),
            counted(b, (double)warnings, "warning", "warnings"));
}

coaming_status coaming_print_check(FILE *out, coaming_style style, const char *path,
                                   const coaming_ship *ship, const coaming_faults *faults,
                                   coaming_error *error)
{
    if (style.format != COAMING_TEXT)
        return json_check(out, style.format, path, ship, faults, error);
    text_check(out, path, ship, faults);
    return COAMING_OK;
}
