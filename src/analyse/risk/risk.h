/* analyse/risk/risk.h - the inside of a coaming_risk. */
#ifndef ANALYSE_RISK_RISK_H
#define ANALYSE_RISK_RISK_H

#include "analyse/risk/settled.h"
#include "analyse/risk/sums.h"

/* What is known of one model. */
typedef struct {
    bool exact;      /* expected and birnbaum are there */
    bool enumerated; /* by_way is there */
    bool sampled;    /* one of the two has to be sampled */
    double expected;
    double *birnbaum, *by_way; /* by edge */
    risk_tally tally;
} risk_answer;

struct coaming_risk {
    coaming_risk_options options;
    size_t closure_count;
    coaming_risk_row *rows; /* by closure */
    double expected, error, limit, low, high;
    double greatest; /* loss of all models */
    bool settles;    /* water is counted at equilibrium */
    bool exact;
    uint64_t samples, digest;
    coaming_risk_sum *sums;
    size_t sum_count;

    /* while it is worked out */
    risk_model *models;
    risk_answer *answers; /* by model */
    size_t model_count;
    risk_settled *settled; /* NULL: no water at equilibrium */
    bool branched;         /* its sums count */
    bool *whatever;        /* by closure: water passes it where she settles, whatever its gasket */
    double *probabilities; /* that each closure leaks; once the models are made, passes */
    uint64_t work;         /* left to try the exact method in vain, with AUTO */
    struct risk_gathered *gathered; /* by closure */
};

/* COAMING_USAGE: options that make no sense. */
coaming_status risk_check_options(const coaming_risk_options *o, coaming_error *error);

/* Fills the rows and the expected loss from the answers as they are. */
struct risk_gathered {
    double passes_gain, way, way_variance, way_covariance, way_beyond, risk_variance, risk_beyond;
};
void risk_fill_rows(coaming_risk *k);

/* COAMING_USAGE. */
coaming_status risk_measure_refused(coaming_measure measure, coaming_error *error);
coaming_status risk_memory_refused(size_t memory, coaming_error *error);

/* What one model says of the expected loss and of the figures of an edge's closure. */
typedef struct {
    double mean, variance; /* variance of the mean */
    double unseen;         /* 0: exact, or seen to vary; else how much more it may be in a sample in
                              which it does */
} risk_estimate;

typedef struct {
    double birnbaum;
    risk_estimate effect, way; /* p times what is lost by it, and by ways through it */
    double way_with_loss;      /* covariance of way and the loss */
} risk_edge_estimate;

double risk_greatest_loss(const risk_model *m);
risk_estimate risk_loss_of(const risk_model *m, const risk_answer *a);
/* scale: the greatest loss */
risk_edge_estimate risk_edge_of(const risk_model *m, const risk_answer *a, size_t edge,
                                double scale);

/* Are the standard errors within what is wanted? After risk_fill_rows. */
bool risk_within(const coaming_risk *k);
/* blocks: of each model, those that it has; on return those that it is to have, a multiple of
 * RISK_ALLOTTED more, at most as many again. None more: all have as many as there may be, or it is
 * within. COAMING_MEMORY. */
enum { RISK_ALLOTTED = 4 };
coaming_status risk_allot(const coaming_risk *k, uint64_t *blocks, coaming_error *error);

/* Digest of the models, room for the sums, and the way between tallies and sums. */
uint64_t risk_digest_of(const coaming_risk *k);
size_t risk_sums_of(const coaming_risk *k);
void risk_write_sums(coaming_risk *k);
/* Checks parts against each other and the digest and adds them up in the tallies. */
coaming_status risk_read_parts(coaming_risk *k, const coaming_risk_part *parts, size_t count,
                               coaming_error *error);

#endif
