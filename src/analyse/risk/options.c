/* What may be asked of a risk. */
#include <math.h>

#include "analyse/risk/risk.h"
#include "base/error.h"

const char *coaming_risk_method_word(coaming_risk_method method)
{
    static const char *const words[COAMING_RISK_METHODS] = {"auto", "exact", "sampled"};
    return words[method];
}

coaming_risk_options coaming_risk_options_default(void)
{
    return (coaming_risk_options){.method = COAMING_RISK_AUTO,
                                  .memory = (size_t)64 << 20,
                                  .seed = 1,
                                  .within = 0.01,
                                  .sampling = COAMING_RISK_SAMPLING,
                                  .settlings = COAMING_RISK_SETTLINGS,
                                  .share = 1,
                                  .shares = 1};
}

uint64_t risk_blocks_of(uint64_t samples)
{
    return (samples + RISK_BLOCK - 1) / RISK_BLOCK;
}

coaming_status risk_check_options(const coaming_risk_options *o, coaming_error *error)
{
    if (isnan(o->within) || o->within < 0 || (o->within == 0 && o->samples == 0))
        return error_set(error, COAMING_USAGE,
                         "the wanted standard error must be more than 0, as a share of the value");
    if (o->samples > RISK_SAMPLES_MOST ||
        (o->samples > 0 && o->samples < COAMING_RISK_SAMPLES_LEAST))
        return error_set(error, COAMING_USAGE, "the number of samples must be %d to %d",
                         COAMING_RISK_SAMPLES_LEAST, RISK_SAMPLES_MOST);
    if (o->settlings == 0)
        return error_set(error, COAMING_USAGE, "at equilibrium she must be settled at least once");
    if (o->share == 0 || o->shares == 0 || o->share > o->shares)
        return error_set(error, COAMING_USAGE,
                         "there is no share %u of %u: shares are counted from 1", o->share,
                         o->shares);
    if (o->shares > 1 && o->samples == 0)
        return error_set(error, COAMING_USAGE,
                         "a share of the samples needs the number of all samples");
    if (o->shares > 1 && o->shares > risk_blocks_of(o->samples))
        return error_set(error, COAMING_USAGE,
                         "%u shares are too many for %llu samples: each gets whole blocks of %d",
                         o->shares, (unsigned long long)o->samples, RISK_BLOCK);
    return COAMING_OK;
}

coaming_status risk_measure_refused(coaming_measure measure, coaming_error *error)
{
    return error_set(error, COAMING_USAGE,
                     "risk is counted in worth, volume, people or spaces, not in %s",
                     coaming_measure_word(measure));
}

coaming_status risk_memory_refused(size_t memory, coaming_error *error)
{
    return error_set(error, COAMING_USAGE,
                     "the exact tables need more than %zu bytes; allow more, or sample", memory);
}
