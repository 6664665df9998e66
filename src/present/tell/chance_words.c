#include "present/tell/chance_words.h"

#include <math.h>
#include <stdio.h>

#include "present/tell/float_words.h"

const char *measured(char buffer[SHOWN], coaming_measure measure, double value)
{
    char number[SHOWN];
    const char *unit = coaming_measure_unit(measure);
    snprintf(buffer, SHOWN, "%.100s%s%s", amount(number, value), *unit ? " " : "", unit);
    return buffer;
}

const char *measured_loss(char buffer[SHOWN], coaming_measure measure, double value)
{
    char number[SHOWN];
    if (*coaming_measure_unit(measure))
        return measured(buffer, measure, value);
    snprintf(buffer, SHOWN, "%.100s %s", amount(number, value), coaming_measure_word(measure));
    return buffer;
}

const char *measure_words(char buffer[SHOWN], coaming_measure measure)
{
    snprintf(buffer, SHOWN, "%s %s", coaming_measure_word(measure),
             measure < COAMING_MEASURE_FREEBOARD ? "in reach" : "lost");
    return buffer;
}

bool by_history(const coaming_likelihood *l)
{
    coaming_step_kind first = l->step_count ? l->steps[0].kind : COAMING_STEP_NOW;
    return first != COAMING_STEP_GIVEN && first != COAMING_STEP_SEEN;
}

bool passes_anyhow(const coaming_risk_row *risk)
{
    return risk && (risk->risk > 0 || isnan(risk->risk)) && !(risk->repair_gain > 0);
}

const char *leak_words(char buffer[SHOWN], double leaks, const coaming_risk_row *risk)
{
    if (!passes_anyhow(risk))
        return percent(buffer, leaks);
    snprintf(buffer, SHOWN, "passes whatever its gasket");
    return buffer;
}

const char *risk_doubt_words(char buffer[SHOWN], const coaming_risk_row *risk)
{
    char number[SHOWN];
    *buffer = '\0';
    if (risk->risk_limit > 0)
        snprintf(buffer, SHOWN, " (never seen to vary; at most %.20s)",
                 amount(number, risk->risk_limit));
    else if (risk->risk_error > 0)
        snprintf(buffer, SHOWN, " (standard error %.20s)", amount(number, risk->risk_error));
    return buffer;
}

const char *risk_words(char buffer[SHOWN], coaming_measure measure, const coaming_risk_row *risk,
                       bool lost)
{
    char gain[SHOWN], doubt[SHOWN];
    measured(gain, measure, risk->repair_gain);
    snprintf(buffer, SHOWN, "%.60s%.80s%s", gain, risk_doubt_words(doubt, risk),
             lost && !(risk->repair_gain > 0) ? THOUGH_NOT_AFLOAT : "");
    return buffer;
}

const char *sampled_words(char buffer[SHOWN], const coaming_risk *risk)
{
    char number[SHOWN], least[SHOWN], most[SHOWN], sure[80] = "";
    double low, high;
    if (coaming_risk_bounds(risk, &low, &high))
        snprintf(sure, sizeof sure, ", surely %.20s to %.20s", amount(least, low),
                 amount(most, high));
    if (coaming_risk_is_exact(risk))
        snprintf(buffer, SHOWN, "exact");
    else if (coaming_risk_limit(risk) >= 0)
        snprintf(buffer, SHOWN,
                 "sampled, and in no sample otherwise; with 95 %% confidence at most %.40s%s",
                 amount(number, coaming_risk_limit(risk)), sure);
    else
        snprintf(buffer, SHOWN, "sampled, standard error %.40s%s",
                 amount(number, coaming_risk_error(risk)), sure);
    return buffer;
}
