/*
 * bench_settled [LENGTH...] - what floods where she settles, of ships in which water finds many
 * ways: expose --all, rank --hazard water and every breach.
 *
 * For each length (default: 50 and 200, which is 2,000 and 8,000 spaces) the time of each by the
 * clock. For the first also the ratio to the way of before, in the same run: every body cut by every
 * plane, each closure that holds settled from the start, one thread. That way takes minutes to hours,
 * so it is asked of some rows, closures and cases only, evenly spread, and multiplied up. What the
 * two say of these must be the same to 1e-9, or the benchmark fails. Of the lengths after the first
 * also how many times the first they cost, and how many times as much there is to say: rows name
 * spaces, and a larger ship stays afloat, and is graded, where a smaller one is lost. Lastly the same ship with a
 * link in every place, in which nearly every breach is the end of her.
 */
#include <math.h>
#include <string.h>
#include <unistd.h>

#include "analyse/ranking/loss.h"
#include "bench.h"
#include "coaming/breaches.h"
#include "hard_ship.h"
#include "plain_settle.h"
#include "ship/state.h"

typedef struct {
    coaming_ship *ship, *plainly;
    coaming_query query;
} asked;

static void same(double found, double wanted, const char *what)
{
    if ((isnan(found) && isnan(wanted)) || fabs(found - wanted) <= 1e-9 * (1 + fabs(wanted)))
        return;
    fprintf(stderr, "benchmark: %s: %.17g, the plain way %.17g\n", what, found, wanted);
    exit(1);
}

static double clock_now(void)
{
    return seconds(CLOCK_MONOTONIC);
}

static double processor_now(void)
{
    return seconds(CLOCK_PROCESS_CPUTIME_ID);
}

/* How long something took, by the clock and of the processor. */
typedef struct {
    double clock, processor;
} spell;

static spell begin(void)
{
    return (spell){clock_now(), processor_now()};
}

static spell since(spell start)
{
    return (spell){clock_now() - start.clock, processor_now() - start.processor};
}

/* The ratio is that of times of the processor: others may use the machine. */
static void tell(const char *what, spell whole, double plain, size_t done, size_t of)
{
    printf("  %s: %.2f s, of the processor %.2f s", what, whole.clock, whole.processor);
    if (of)
        printf("; the plain way %.0f s (%zu of %zu, multiplied up), ratio %.0f",
               plain * (double)of / (double)done, done, of,
               plain * (double)of / (double)done / whole.processor);
    putchar('\n');
    fflush(stdout);
}

/* --- expose --all --- */

static coaming_exposure *exposure_of(const coaming_ship *ship, coaming_query query)
{
    coaming_exposure *e = NULL;
    coaming_error error;
    must(coaming_exposure_new(ship, query, NULL, 0, &e, &error), &error);
    return e;
}

/* As the command, with all that it prints. */
static spell expose_all(const asked *a)
{
    coaming_style style = {COAMING_JSON, false, 80};
    coaming_outset *outset = NULL;
    coaming_error error;
    FILE *out = fopen("/dev/null", "w");
    spell start = begin();
    coaming_exposure *e = exposure_of(a->ship, a->query);
    must(coaming_outset_new(a->ship, a->query, &outset, &error), &error);
    must(coaming_print_expose(out, style, outset, e, &error), &error);
    coaming_outset_free(outset);
    coaming_exposure_free(e);
    fclose(out);
    return since(start);
}

static double sum_new(plain_settler *t, const coaming_ship *ship, const settled *s,
                      const bool *held)
{
    double sum = 0;
    for (size_t i = 0; i < s->count; i++)
        if (!held[s->spaces[i]])
            sum += ship->spaces[s->spaces[i]].worth + 1e-3 * (double)s->spaces[i];
    (void)t;
    return sum;
}

/* What the rows of a ship say, by number. */
typedef struct {
    double pairs;  /* of a row and a space that one of its lists names */
    size_t graded; /* rows with something exposed, in which she stays afloat */
} said;

/* The rows and grades alone: what is printed grows with the rows times the spaces that they list. */
static spell expose_rows(const asked *a, said *says)
{
    coaming_error error;
    spell start = begin();
    coaming_exposure *e = exposure_of(a->ship, a->query);
    for (size_t i = 0; i < coaming_exposure_row_count(e); i++) {
        coaming_exposure_row row;
        coaming_float at;
        coaming_stability stability;
        must(coaming_exposure_row_get(e, i, &row, &error), &error);
        if (row.settled)
            must(coaming_exposure_grade(e, &at, &stability, &error), &error);
        says->pairs += (double)(row.exposed_count + row.exposed_if_untested_leak_count);
        says->graded += row.settled && row.exposed_count && row.afloat;
    }
    coaming_exposure_free(e);
    return since(start);
}

/* Worth and numbers of what is exposed, added up; at: how she then floats. */
static double plain_row(plain_settler *t, const asked *a, const coaming_exposure_row *row,
                        bool untested, coaming_float *at)
{
    const settled *s = NULL;
    coaming_error error;
    bool *held = calloc(a->ship->space_count, sizeof *held);
    must(plain_forced(t, row->source, untested, row->closure, false, &s, &error), &error);
    for (size_t i = 0; i < s->count; i++)
        held[s->spaces[i]] = true;
    must(plain_forced(t, row->source, untested, row->closure, true, &s, &error), &error);
    *at = s->at;
    double sum = sum_new(t, a->ship, s, held);
    coaming_stability stability;
    if (!untested && s->at.afloat == COAMING_AFLOAT_YES) {
        memset(held, 0, a->ship->space_count * sizeof *held);
        for (size_t i = 0; i < s->count; i++)
            held[s->spaces[i]] = true;
        grade_terms terms = {
            .condition = COAMING_NO_CONDITION, .answer = COAMING_AS_TESTED, .detail = ARMS_ENOUGH};
        must(flotation_grade(plain_flotation(t), held, at, &terms, &stability, &error), &error);
    }
    free(held);
    return sum;
}

static double sum_row(const asked *a, const int *list, size_t count)
{
    double sum = 0;
    for (size_t i = 0; i < count; i++)
        sum += a->ship->spaces[list[i]].worth + 1e-3 * (double)list[i];
    return sum;
}

static void check_exposures(const asked *a, size_t step, spell whole)
{
    plain_settler *t = NULL;
    coaming_error error;
    coaming_query q = a->query;
    q.hazard[COAMING_AIR] = false;
    coaming_exposure *e = exposure_of(a->ship, q);
    size_t rows = coaming_exposure_row_count(e), done = 0;
    double spent = -processor_now();
    must(plain_new(a->plainly, COAMING_NO_CONDITION, &t, &error), &error);
    spent += processor_now();
    for (size_t i = step / 2; i < rows; i += step, done++) {
        coaming_exposure_row row;
        coaming_float at[2];
        must(coaming_exposure_row_get(e, i, &row, &error), &error);
        double start = processor_now();
        double tested = plain_row(t, a, &row, false, &at[0]);
        double untested = plain_row(t, a, &row, true, &at[1]);
        spent += processor_now() - start;
        same(sum_row(a, row.exposed, row.exposed_count), tested, "exposed");
        same(sum_row(a, row.exposed_if_untested_leak, row.exposed_if_untested_leak_count), untested,
             "exposed if untested leak");
        same(row.level, row.afloat ? at[0].draught : NAN, "draught");
    }
    tell("expose --all", whole, spent, done, rows);
    coaming_exposure_free(e);
    plain_free(t);
}

/* --- rank --- */

static coaming_ranking *ranking_of(const asked *a)
{
    coaming_ranking *k = NULL;
    coaming_error error;
    coaming_query q = a->query;
    q.hazard[COAMING_AIR] = false;
    must(coaming_ranking_new(a->ship, q, COAMING_MEASURE_WORTH, &k, &error), &error);
    return k;
}

static double worth_in(const coaming_ship *ship, const settled *s)
{
    double worth = 0;
    for (size_t i = 0; i < s->count; i++)
        worth += ship->spaces[s->spaces[i]].worth;
    return worth;
}

/* Default scenarios: the outside, and a breach of each shell space. */
static double plain_consequence(plain_settler *t, const coaming_ship *ship, int closure)
{
    double sum = 0, shell = 0;
    for (size_t s = 0; s < ship->space_count; s++)
        shell += ship->spaces[s].shell;
    for (int s = -1; s < (int)ship->space_count; s++) {
        const settled *state = NULL;
        coaming_error error;
        if (s >= 0 && !ship->spaces[s].shell)
            continue;
        must(plain_forced(t, s, false, closure, false, &state, &error), &error);
        double loss = -worth_in(ship, state);
        must(plain_forced(t, s, false, closure, true, &state, &error), &error);
        loss += worth_in(ship, state);
        sum += (s < 0 ? 1 : 1 / shell) * loss;
    }
    return sum;
}

static void check_ranking(const asked *a, size_t step, spell whole)
{
    plain_settler *t = NULL;
    coaming_error error;
    coaming_ranking *k = ranking_of(a);
    size_t closures = coaming_ranking_count(k), done = 0;
    double spent = 0;
    must(plain_new(a->plainly, COAMING_NO_CONDITION, &t, &error), &error);
    for (int s = -1; s < (int)a->ship->space_count; s++) { /* once for all closures */
        const settled *state = NULL;
        must(plain_base(t, s, false, &state, &error), &error);
    }
    for (size_t i = step / 2; i < closures; i += step, done++) {
        const coaming_rank *row = coaming_ranking_get(k, i);
        double start = processor_now();
        double wanted = plain_consequence(t, a->plainly, row->closure);
        spent += processor_now() - start;
        same(row->consequence, wanted, "consequence");
    }
    tell("rank --hazard water", whole, spent, done, closures);
    coaming_ranking_free(k);
    plain_free(t);
}

/* --- every breach --- */

static coaming_breaches *breaches_of(const asked *a)
{
    coaming_breaches *v = NULL;
    coaming_error error;
    must(coaming_breaches_new(a->ship, a->query, &v, &error), &error);
    return v;
}

/* How many of the closures that water came by, and that would hold as built, would each alone have
 * kept her afloat. */
static size_t plain_turning(plain_settler *t, const coaming_ship *ship,
                            const coaming_breaches_case *c, int which, const int *by, size_t count)
{
    size_t critical = 0;
    for (size_t i = 0; i < count; i++) {
        const settled *s = NULL;
        coaming_error error;
        const ship_link *l = by[i] < 0 ? NULL : &ship->links[by[i]];
        if (!l || link_passes(l, COAMING_NO_CONDITION, COAMING_WATER, false, false) ||
            !link_passes(l, COAMING_NO_CONDITION, COAMING_WATER, true,
                         which == COAMING_UNTESTED_LEAK))
            continue;
        must(plain_breach(t, c->space, c->space[1] < 0 ? 1 : 2, (coaming_answer)which, by[i], &s,
                          &error),
             &error);
        critical += s->at.afloat == COAMING_AFLOAT_YES;
    }
    return critical;
}

static void check_case(plain_settler *t, const asked *a, const coaming_breaches_case *c, int which,
                       double *spent)
{
    const coaming_breaches_answer *found = &c->answer[which];
    const settled *s = NULL;
    coaming_error error;
    coaming_stability stability;
    grade_terms terms = {
        .condition = COAMING_NO_CONDITION, .answer = (coaming_answer)which, .detail = ARMS_ALL};
    double start = processor_now();
    must(plain_breach(t, c->space, c->space[1] < 0 ? 1 : 2, terms.answer, -1, &s, &error), &error);
    coaming_float at = s->at;
    must(flotation_grade(plain_flotation(t), plain_flooded(t), &at, &terms, &stability, &error),
         &error);
    size_t count = s->afloat_count, critical = 0;
    int *by = calloc(count + 1, sizeof *by);
    memcpy(by, s->by, count * sizeof *by);
    bool turned = stability.grade == COAMING_GRADE_LOST &&
                  c->answer[COAMING_AS_BUILT].stability.grade != COAMING_GRADE_LOST;
    if (turned)
        critical = plain_turning(t, a->plainly, c, which, by, count);
    *spent += processor_now() - start;
    free(by);
    same(found->stability.grade, stability.grade, "grade");
    same((double)found->flooded_count, (double)count, "flooded");
    same(found->at.height, at.height, "height of the plane");
    same(found->at.heel, at.heel, "heel");
    same(found->stability.s, stability.s, "s");
    if (turned && critical)
        same((double)found->turned_by_count, (double)critical, "closures that turned it");
}

static void check_breaches(const asked *a, size_t step, spell whole)
{
    plain_settler *t = NULL;
    coaming_error error;
    coaming_breaches *v = breaches_of(a);
    size_t cases = coaming_breaches_count(v), done = 0;
    double spent = 0;
    must(plain_new(a->plainly, COAMING_NO_CONDITION, &t, &error), &error);
    for (size_t i = step / 2; i < cases; i += step, done++)
        for (int which = 0; which < COAMING_ANSWERS; which++)
            check_case(t, a, coaming_breaches_get(v, i), which, &spent);
    tell("every breach", whole, spent, done, cases);
    coaming_breaches_free(v);
    plain_free(t);
}

/* --- ships --- */

static coaming_ship *hard(size_t length, unsigned share)
{
    char path[] = "/tmp/coaming-bench-XXXXXX";
    int file = mkstemp(path);
    if (file < 0 || !hard_ship(path, length, share))
        exit(1);
    close(file);
    coaming_ship *ship = load(path);
    unlink(path);
    return ship;
}

/* The three of one ship; with the plain way beside them or not. */
static void ask_ship(size_t length, unsigned share, bool plainly, spell spent[4], said *says)
{
    *says = (said){0, 0};
    asked a = {hard(length, share), NULL, coaming_query_default()};
    a.query.level.kind = COAMING_LEVEL_EQUILIBRIUM;
    printf("%zu spaces, %zu links:\n", a.ship->space_count, a.ship->link_count);
    fflush(stdout);
    spent[0] = expose_all(&a);
    spent[3] = expose_rows(&a, says);
    spell start = begin();
    coaming_ranking_free(ranking_of(&a));
    spent[1] = since(start);
    start = begin();
    coaming_breaches_free(breaches_of(&a));
    spent[2] = since(start);
    if (plainly) {
        a.plainly = hard(length, share);
        plain_make(a.plainly);
        check_exposures(&a, 197, spent[0]);
        check_ranking(&a, 701, spent[1]);
        check_breaches(&a, 199, spent[2]);
        coaming_ship_free(a.plainly);
    } else {
        tell("expose --all", spent[0], 0, 0, 0);
        tell("rank --hazard water", spent[1], 0, 0, 0);
        tell("every breach", spent[2], 0, 0, 0);
    }
    tell("of expose --all the rows alone", spent[3], 0, 0, 0);
    printf("  they name %.0f spaces, and %zu are graded afloat\n", says->pairs, says->graded);
    coaming_ship_free(a.ship);
}

static void compare(const spell spent[4], const said *says, const spell first[4],
                    const said *first_says)
{
    double expose = spent[0].processor / first[0].processor;
    double rows = spent[3].processor / first[3].processor;
    double pairs = says->pairs / first_says->pairs;
    printf("  times the first, of the processor: %.1f (rows %.1f), %.1f, %.1f\n", expose, rows,
           spent[1].processor / first[1].processor, spent[2].processor / first[2].processor);
    printf(
        "  of expose --all for each space named: %.2f (rows %.2f); %.1f times as many are named, "
        "%.1f times as many rows graded afloat\n",
        expose / pairs, rows / pairs, pairs, (double)says->graded / (double)first_says->graded);
}

int main(int argc, char **argv)
{
    static const size_t usual[] = {50, 200};
    size_t count = argc > 1 ? (size_t)argc - 1 : 2;
    spell first[4], spent[4];
    said first_says, says;
    for (size_t i = 0; i < count; i++) {
        size_t length = argc > 1 ? (size_t)atoi(argv[i + 1]) : usual[i];
        ask_ship(length, 50, i == 0, i ? spent : first, i ? &says : &first_says);
        if (i)
            compare(spent, &says, first, &first_says);
    }
    puts("with a link in every place:");
    ask_ship(argc > 1 ? (size_t)atoi(argv[1]) : usual[0], 100, false, spent, &says);
    return 0;
}
