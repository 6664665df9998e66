/*
 * coaming/risk.h - what the uncertain closures cost together, and what each has to do with it.
 *
 * Every closure passes with its own probability (likelihood.h; 1 for what is open, nontight, or
 * weathertight under water), independent of the others. Expected loss: over all scenarios the
 * weight times what is reached, summed as in ranking.h, in expectation over all states. At the
 * level of equilibrium, which is not one plane, each scenario is branched: see Settling below.
 *
 * Importance measures (Rausand and Hoyland, System Reliability Theory, chapter 5, where they are
 * defined for the probability of failure; here for the expected loss E, with E1(c) if c passes and
 * E0(c) if c holds; definitions from memory, their numbers derived in the tests):
 *   Birnbaum            E1 - E0
 *   criticality         p (E1 - E0) / E
 *   Fussell-Vesely      share of E that comes by some minimal way through c: of the loss at a space
 *                       v in a scenario, the states count in which c passes and lies on a way of
 *                       passing closures from any of its sources (for water the space that it
 *                       starts in, and the outside) to v that meets no space twice and no second
 *                       source. (Not 1 - E0/E, which is the criticality here.)
 *   achievement worth   E1 / E (RAW)
 *   reduction worth     E / E0 (RRW)
 *   risk                p (E1 - E0)
 *
 * Methods. Exact: the frontier (transfer state) method over the spaces in the ship's own order
 * along her length, with all derivatives by one sweep back; where its tables would take more memory
 * or more work than the bounds, sampling: each closure's effect is worked out with the others drawn
 * (conditional Monte Carlo), all closures from the same draws (common random numbers) of a
 * counter-based generator, so that a sample depends on the seed and its number alone. Sums are kept
 * as whole numbers, so that the same seed gives the same bits however the samples are split, over
 * threads (as many as there are processors) or over runs (parts). The expected loss is taken over
 * the states of single closures too, and so does not miss what closures leak together as long as
 * one of them is drawn; and with what the closures that pass in a sample would each do alone as
 * control variate.
 *
 * Settling. For water at equilibrium what passes whatever its gasket passes first and she settles; then
 * what is wet, with water on one side, leaks or holds by its chance, and she settles on, until none is
 * left (branch and bound over the states of the closures: analyse/survival/branches.h, the process and
 * the trees of coaming/survival.h). Scenarios that come to the same rest are one. Exact where no state
 * is left open within `settlings`; else what is left open is sampled: without bias, by a difference
 * estimator, and the expected loss has sure limits besides. `samples` of the options are shared by the
 * scenarios by weight, at least 4 of each; one known exactly draws none. E1 and E0 come from the same
 * branches:
 * E1 - E0 is the sum, over the states where the closure is decided, of chance x (loss if it leaks - loss
 * if it holds). It may be below 0: what leaks may take heel off her. Not known, NaN: Fussell-Vesely,
 * for there is no one graph to have ways in, and the sets that flood come of where she lies in turn; of
 * what passes whatever its gasket, which is decided nowhere, all but achievement and repair_gain; of
 * what leaks with 0 Birnbaum and achievement.
 *
 * Standard errors are of the samples drawn: what is rarer than one in some thousands of them may
 * not be in them at all. Where a figure was not seen to vary in any sample, its standard error is
 * NaN, and an upper limit is given in its place: what was in none of n samples has, with a
 * confidence of 95 %, a probability of at most 1 - 0.05^(1/n), some 3 / n (Clopper and Pearson,
 * "The use of confidence or fiducial limits illustrated in the case of the binomial", Biometrika
 * 26(4), 1934, from memory), and loses no more than where everything leaks that may.
 */
#ifndef COAMING_RISK_H
#define COAMING_RISK_H

#include <stdint.h>

#include "coaming/ranking.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef enum { COAMING_RISK_AUTO, COAMING_RISK_EXACT, COAMING_RISK_SAMPLED } coaming_risk_method;

typedef struct {
    coaming_risk_method method; /* AUTO: exact if it fits into the memory and takes no more than
                                   COAMING_RISK_WORK, else sampled; model by model */
    size_t memory;              /* bytes that the exact tables may take */
    uint64_t seed;
    uint64_t samples;   /* of each model; 0: until `within` is met, of each model at least 4,096 and
                         as many as its part in the errors asks for */
    double within;      /* wanted standard error of the expected loss, of the ten greatest risks and
                         of their Fussell-Vesely measures, as a share of each; ignored if `samples`
                         is not 0 */
    uint64_t sampling;  /* work after which no more samples are drawn though `within` is not met,
                           counted as COAMING_RISK_SAMPLING; 0: only `within` counts */
    uint64_t settlings; /* at equilibrium: how often she is settled at most; beyond
                           COAMING_RISK_SETTLINGS only as far as `within` asks for. SAMPLED: of the
                           samples alone; EXACT: as often as it takes */
    bool loss_only;     /* without the Fussell-Vesely measures, which are mostly sampled: NaN */
    unsigned share, shares; /* only this share of the samples, 1 to shares; 1 of 1: all */
} coaming_risk_options;

/* Samples that may be asked for, and what is drawn together: a share gets every shares-th of these
 * blocks, so that there must be as many blocks as shares. */
enum {
    COAMING_RISK_SAMPLES_LEAST = 100,
    COAMING_RISK_SAMPLES_MOST = 1 << 24,
    COAMING_RISK_BLOCK = 1024
};

/* Work with which AUTO may try the exact method in vain, over all models together, each of which
 * gets half of what is left. It is counted in numbers of the tables, not by the clock, so that the
 * choice is the same everywhere: a second or two in all. EXACT is bound by memory alone. */
enum { COAMING_RISK_WORK = 64000000 };

/* Work of sampling that is usual: edges and nodes of all samples of all models together, some seconds
 * of a processor; of each model 4,096 samples are drawn whatever they take. */
enum { COAMING_RISK_SAMPLING = 200000000 };

/* Settlings at equilibrium that are usual: about a second. Each is a position found, so that the
 * choice is the same everywhere. */
enum { COAMING_RISK_SETTLINGS = 12000 };

/* "auto", "exact", "sampled"; COAMING_RISK_METHODS of them. */
enum { COAMING_RISK_METHODS = 3 };
COAMING_API const char *coaming_risk_method_word(coaming_risk_method method);

/* AUTO, 64 MiB, seed 1, within 0.01 and the usual work, all of it. */
COAMING_API coaming_risk_options coaming_risk_options_default(void);

typedef struct {
    int closure;
    double probability; /* that it passes, as used; the greatest, where water and air differ */
    /* Where nothing is expected to be lost, the shares of it are 0, and achievement and reduction
     * 1; achievement is infinite if the closure would lose something then, reduction where nothing
     * is lost without it, or no more than rounding or two standard errors may leave. */
    double birnbaum, criticality, fussell_vesely, achievement, reduction, risk;
    double
        repair_gain;   /* what E is less if this closure never leaked, so the most that a repair can
                           gain (plan.h: what one gains that works with a chance): risk, but for
                           where it passes whatever its gasket (open, nontight, weathertight under
                           water) */
    double risk_error; /* standard error of risk; 0 if exact */
    double fussell_vesely_error;             /* sampled unless there are few uncertain closures */
    double risk_limit, fussell_vesely_limit; /* where the error is NaN: the upper limit; else NaN */
} coaming_risk_row;

typedef struct coaming_risk coaming_risk;

/* probabilities: by closure, or NULL for those of likelihood.h. options: NULL for the default.
 * COAMING_USAGE: no hazard, a measure that is not added up by space, samples and shares that make
 * no sense (a share needs a number of samples), a probability outside 0 to 1, or EXACT where the
 * tables do not fit; COAMING_INPUT: likelihood.h; COAMING_MEMORY. A coaming_risk borrows nothing.
 * Cost of samples: see analyse/risk/sums.h; memory: (spaces + closures) x (planes + processors). */
COAMING_API coaming_status coaming_risk_new(const coaming_ship *ship, coaming_query query,
                                            coaming_measure measure, const double *probabilities,
                                            const coaming_risk_options *options,
                                            coaming_risk **risk, coaming_error *error);
COAMING_API void coaming_risk_free(coaming_risk *risk);

/* By closure, in file order. */
COAMING_API const coaming_risk_row *coaming_risk_get(const coaming_risk *risk, int closure);
COAMING_API double coaming_risk_expected(const coaming_risk *risk);
COAMING_API double coaming_risk_error(const coaming_risk *risk); /* standard error of expected */
COAMING_API double coaming_risk_limit(const coaming_risk *risk); /* where that is NaN, else NaN */
/* At equilibrium: limits that the expected loss surely lies within, if what is counted of air is
 * exact; false: none are known, NaN. */
COAMING_API bool coaming_risk_bounds(const coaming_risk *risk, double *low, double *high);
COAMING_API bool coaming_risk_is_exact(const coaming_risk *risk);
/* Of the model with most; of water at equilibrium over all scenarios. The error is of all models. */
COAMING_API uint64_t coaming_risk_sample_count(const coaming_risk *risk);

/*
 * Parts: the sums of one share of the samples, to be written down and put together elsewhere. A sum
 * is a whole number of 128 bits, two's complement. The digest is over everything that the models
 * are made of, and over which of them are sampled: parts of other ships, logs, days or questions do
 * not fit. It finds mistakes, not forgeries.
 */
typedef struct {
    int64_t high;
    uint64_t low;
} coaming_risk_sum;

typedef struct {
    uint64_t digest, seed, samples; /* samples: of all shares together */
    coaming_risk_method method;     /* that was asked for */
    unsigned share, shares;
    size_t sum_count;
    const coaming_risk_sum *sums; /* in an order that is fixed by the models */
    const char *name;             /* for messages, such as its file; NULL: its number */
} coaming_risk_part;

/* The part that this risk was worked out from (of share 1 of 1 if it is whole, then with the
 * samples that it took); its sums are borrowed. */
COAMING_API coaming_risk_part coaming_risk_get_part(const coaming_risk *risk);
COAMING_API uint64_t coaming_risk_digest(const coaming_risk *risk);

/* From all the parts, in any order: the same bits as from one run without shares. Of the options
 * memory counts, and must be that of the parts; the rest is theirs. COAMING_INPUT: the
 * parts do not fit (another digest, seed, number of samples or shares, a share twice or missing,
 * sums that cannot be); and as coaming_risk_new. */
COAMING_API coaming_status coaming_risk_new_from_parts(const coaming_ship *ship,
                                                       coaming_query query, coaming_measure measure,
                                                       const double *probabilities,
                                                       const coaming_risk_options *options,
                                                       const coaming_risk_part *parts, size_t count,
                                                       coaming_risk **risk, coaming_error *error);

/* A sum as text: hexadecimal digits, without leading zeros, after a minus sign if it is negative.
 */
enum { COAMING_RISK_SUM_TEXT = 34 };
COAMING_API const char *coaming_risk_sum_format(coaming_risk_sum sum,
                                                char text[COAMING_RISK_SUM_TEXT]);
COAMING_API bool coaming_risk_sum_parse(const char *text, coaming_risk_sum *sum);

#ifdef __cplusplus
}
#endif

#endif
