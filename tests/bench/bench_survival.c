/*
 * bench_survival [LENGTH...] - survival of damage to her side, of ships in which water finds many ways:
 * each case in three states, then as likely as the history of the closures says as well.
 *
 * For each length (default: 6 and 13, which is 240 and 520 spaces) the time by the clock and of the
 * processor. For the three states also the ratio to the plain way, in the same run: one thread, and
 * nothing kept of floating positions, curves and grades, so that each set of opened spaces is settled
 * from the start. It is asked of some sets only, evenly spread, and multiplied up; what the two say of
 * these must be the same to the bit, or the benchmark fails. Of the lengths after the first also how
 * many times the first they cost.
 */
#include "analyse/survival/answers.h"
#include "bench.h"
#include "coaming/survival.h"
#include "hard_ship.h"

typedef struct {
    double clock, processor;
} spell;

static spell now(void)
{
    return (spell){seconds(CLOCK_MONOTONIC), seconds(CLOCK_PROCESS_CPUTIME_ID)};
}

static spell since(spell start)
{
    spell end = now();
    return (spell){end.clock - start.clock, end.processor - start.processor};
}

static coaming_survival *survival_of(const coaming_ship *ship, bool expected, spell *spent)
{
    coaming_survival *v = NULL;
    coaming_error error;
    coaming_survival_options how = coaming_survival_options_default();
    how.expected = expected;
    spell start = now();
    must(coaming_survival_new(ship, &how, &v, &error), &error);
    *spent = since(start);
    return v;
}

/* One set, with nothing kept that another left. */
static void same_plainly(const coaming_ship *ship, const damage_cases *sets, size_t set,
                         const set_answer *found, double *spent)
{
    settlers by;
    coaming_error error;
    arena memory[TOGETHER_MOST] = {{NULL}};
    set_answer *plain = calloc(damage_cases_set_count(sets), sizeof *plain);
    answer_terms terms = {ship, COAMING_NO_CONDITION, &by};
    must(settlers_make(&by, ship, COAMING_NO_CONDITION, COAMING_NO_LOADING, 1, &error), &error);
    settler_keep(by.each[0], 0);
    double start = seconds(CLOCK_PROCESS_CPUTIME_ID);
    must(answer_sets(&terms, sets, &set, 1, memory, plain, &error), &error);
    *spent += seconds(CLOCK_PROCESS_CPUTIME_ID) - start;
    for (int state = 0; state < COAMING_ANSWERS; state++)
        if (plain[set].s[state] != found->s[state] ||
            plain[set].grade[state] != found->grade[state]) {
            fprintf(stderr, "benchmark: set %zu, state %d: s %.17g, the plain way %.17g\n", set,
                    state, found->s[state], plain[set].s[state]);
            exit(1);
        }
    settlers_free(&by);
    arena_free(&memory[0]);
    free(plain);
}

/* Every `step`-th set by both ways. */
static void compare(const coaming_ship *ship, size_t step)
{
    damage_cases *sets = NULL;
    case_list cases = {0};
    settlers by;
    coaming_error error;
    arena memory[TOGETHER_MOST] = {{NULL}};
    must(damage_cases_new(ship, ship->draught, &sets, &error), &error);
    must(damage_cases_list(sets, ship->draught, &cases, &error), &error);
    size_t count = damage_cases_set_count(sets), done = 0, *list = calloc(count, sizeof *list);
    set_answer *answers = calloc(count, sizeof *answers);
    unsigned threads = together_threads(count);
    answer_terms terms = {ship, COAMING_NO_CONDITION, &by};
    for (size_t i = 0; i < count; i++)
        list[i] = i;
    must(settlers_make(&by, ship, COAMING_NO_CONDITION, COAMING_NO_LOADING, threads, &error),
         &error);
    spell start = now();
    must(answer_sets(&terms, sets, list, count, memory, answers, &error), &error);
    spell whole = since(start);
    double plain = 0;
    for (size_t i = step / 2; i < count; i += step, done++)
        same_plainly(ship, sets, i, &answers[i], &plain);
    plain *= (double)count / (double)done;
    printf("  %zu sets in three states: %.2f s, of the processor %.2f s; the plain way %.0f s (%zu "
           "of them, multiplied up), ratio %.0f\n",
           count, whole.clock, whole.processor, plain, done, plain / whole.processor);
    settlers_free(&by);
    for (unsigned i = 0; i < threads; i++)
        arena_free(&memory[i]);
    case_list_free(&cases);
    damage_cases_free(sets);
    free(answers);
    free(list);
}

static void ask_ship(size_t length, spell spent[2])
{
    const char *path = "bench_survival.xml";
    size_t spaces = hard_ship(path, length, 50);
    coaming_ship *ship = load(path);
    remove(path);
    printf("%zu spaces, %zu links:\n", spaces, ship->link_count);
    for (int expected = 0; expected < 2; expected++) {
        coaming_survival *v = survival_of(ship, expected == 1, &spent[expected]);
        printf("  %zu cases%s: %.2f s, of the processor %.2f s\n", coaming_survival_count(v),
               expected ? ", as likely as the history says as well" : "", spent[expected].clock,
               spent[expected].processor);
        fflush(stdout);
        coaming_survival_free(v);
    }
    compare(ship, spaces / 12);
    coaming_ship_free(ship);
}

int main(int argc, char **argv)
{
    static const size_t usual[] = {6, 13};
    size_t count = argc > 1 ? (size_t)argc - 1 : 2;
    spell first[2], spent[2];
    for (size_t i = 0; i < count; i++) {
        size_t length = argc > 1 ? (size_t)atoi(argv[i + 1]) : usual[i];
        ask_ship(length, i ? spent : first);
        if (i)
            printf("  times the first, of the processor: %.1f, %.1f\n",
                   spent[0].processor / first[0].processor,
                   spent[1].processor / first[1].processor);
    }
    return 0;
}
