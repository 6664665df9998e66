/* What is given off and what people bear: words, units, published limits and doses. */
#include "analyse/air/agents.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/error.h"
#include "base/memory.h"
#include "base/text.h"

static const struct {
    const char *word;
    double weight;
} agents[] = {
#define AGENT(code, word, weight) {word, weight},
    COAMING_AGENT_TABLE(AGENT)
#undef AGENT
};

static const struct {
    const char *word;
    double breath, falls;
} activities[] = {
#define ACTIVITY(code, word, breath, falls) {word, breath, falls},
    COAMING_ACTIVITY_TABLE(ACTIVITY)
#undef ACTIVITY
};

const char *coaming_agent_word(coaming_agent agent)
{
    return agents[agent].word;
}

double coaming_agent_weight(coaming_agent agent)
{
    return agents[agent].weight;
}

const char *coaming_activity_word(coaming_activity activity)
{
    return activities[activity].word;
}

/* Only what was read, each with where. */
static const coaming_air_limit published[] = {
    {"co-idlh", COAMING_LIMIT_SHARE, COAMING_AGENT_CO, 1200e-6, "1200 ppm of CO",
     "NIOSH 1994, IDLH, cdc.gov/niosh/idlh/630080"},
    {"co-ceiling", COAMING_LIMIT_SHARE, COAMING_AGENT_CO, 200e-6, "200 ppm of CO",
     "NIOSH REL, ceiling, cdc.gov/niosh/idlh/630080 (1994)"},
    {"co-dose", COAMING_LIMIT_DOSE, COAMING_AGENT_CO, 35000e-6 * 60, "35000 ppm min of CO",
     "ISO 13571, by the SFPE Handbook, 5th edition (2016), chapter 63"},
    {"hcn-idlh", COAMING_LIMIT_SHARE, COAMING_AGENT_HCN, 50e-6, "50 ppm of HCN",
     "NIOSH IDLH (as of 2005), by the National Research Council, nap.edu 12040, page 10"},
    {"no2-idlh", COAMING_LIMIT_SHARE, COAMING_AGENT_NO2, 13e-6, "13 ppm of NO2",
     "NIOSH 2017, IDLH"},
    {"h2s-idlh", COAMING_LIMIT_SHARE, COAMING_AGENT_H2S, 100e-6, "100 ppm of H2S",
     "NIOSH IDLH documentation, niosh.dnacih.com/nioshdbs/idlh/7783064.htm (1994, the year "
     "from memory)"},
    {"h2s-ceiling", COAMING_LIMIT_SHARE, COAMING_AGENT_H2S, 20e-6, "20 ppm of H2S",
     "OSHA 29 CFR 1910.1000, table Z-2, ceiling, by jjkellercompliancenetwork.com (read "
     "without a year)"},
    {"h2s-aegl-2", COAMING_LIMIT_SHARE, COAMING_AGENT_H2S, 27e-6, "27 ppm of H2S (of an hour)",
     "AEGL-2, 60 min, National Research Council volume 9 (2010)"},
    {"cl2-aegl-2", COAMING_LIMIT_SHARE, COAMING_AGENT_CL2, 2e-6, "2 ppm of Cl2 (of an hour)",
     "AEGL-2, 60 min, National Research Council volume 4 (2004)"},
    {"cl2-aegl-3", COAMING_LIMIT_SHARE, COAMING_AGENT_CL2, 20e-6, "20 ppm of Cl2 (of an hour)",
     "AEGL-3, 60 min, National Research Council volume 4 (2004)"},
    {"oxygen", COAMING_LIMIT_OXYGEN, COAMING_AGENT_CO2, 0.195, "19.5 % of oxygen",
     "OSHA 29 CFR 1910.134(d)(2)(iii), deficient, by its interpretation of 2 April 2007"},
    {"fed-0.3", COAMING_LIMIT_FED, COAMING_AGENT_CO, 0.3, "0.3 of the dose at which people fall",
     "SFPE Handbook, 5th edition (2016), chapter 63: some 11 % of people"},
    {"fed-1", COAMING_LIMIT_FED, COAMING_AGENT_CO, 1, "the dose at which people fall",
     "SFPE Handbook, 5th edition (2016), chapter 63: half of people"},
};

const coaming_air_limit *coaming_air_limit_published(size_t index)
{
    return index < sizeof published / sizeof *published ? &published[index] : NULL;
}

/* --- doses --- */

#define OXYGEN      0.209
#define OXYGEN_LOW  0.195
#define CO2_COUNTED 0.03

double coaming_oxygen(const double share[COAMING_AGENTS])
{
    double left = 1;
    for (int a = 0; a < COAMING_AGENTS; a++)
        left -= a == COAMING_AGENT_SMOKE ? 0 : share[a];
    return OXYGEN * fmax(0, left);
}

static double ppm(double share)
{
    return 1e6 * fmin(fmax(0, share), 1);
}

/* A whole dose in a second is at once; the forms go on to numbers that mean nothing. */
static double at_most_once(double a_minute)
{
    return fmin(a_minute / 60, 1);
}

double coaming_fed_rate(const double share[COAMING_AGENTS], coaming_activity activity)
{
    double co = 3.317e-5 * pow(ppm(share[COAMING_AGENT_CO]), 1.036) * activities[activity].breath /
                activities[activity].falls;
    double hcn = pow(ppm(share[COAMING_AGENT_HCN]), 2.36) / 1.2e6;
    double nox = ppm(share[COAMING_AGENT_NO2]) / 1500;
    double deeper = exp(1e-4 * ppm(share[COAMING_AGENT_CO2]) / 5);
    double oxygen = coaming_oxygen(share);
    double want = oxygen < OXYGEN_LOW ? 1 / exp(8.13 - 0.54 * (20.9 - 100 * oxygen)) : 0;
    return at_most_once((co + hcn + nox) * deeper + want);
}

double coaming_fed_rate_co2(double share)
{
    return share < CO2_COUNTED ? 0 : at_most_once(exp(0.5189e-4 * ppm(share) - 6.1623));
}

int air_harm_counts(const double share[COAMING_AGENTS])
{
    return 2 * (coaming_oxygen(share) < OXYGEN_LOW) + !(share[COAMING_AGENT_CO2] < CO2_COUNTED);
}

/* --- what is given --- */

typedef struct {
    const char *name;
    double worth;
    bool mass; /* of kg; else of m3 or of the air */
    bool dose;
} unit;

static const unit given_off[] = {{"m3/s", 1, false, false},
                                 {"m3/h", 1 / 3600.0, false, false},
                                 {"l/s", 1e-3, false, false},
                                 {"l/min", 1e-3 / 60, false, false},
                                 {"kg/s", 1, true, false},
                                 {"g/s", 1e-3, true, false},
                                 {"g/min", 1e-3 / 60, true, false},
                                 {"mg/s", 1e-6, true, false},
                                 {.name = NULL}};
static const unit in_air[] = {{"ppm", 1e-6, false, false},    {"%", 1e-2, false, false},
                              {"mg/m3", 1e-6, true, false},   {"g/m3", 1e-3, true, false},
                              {"ppm-min", 6e-5, false, true}, {.name = NULL}};

static const unit *find_unit(const unit *units, const char *name)
{
    for (; units->name; units++)
        if (!strcmp(units->name, name))
            return units;
    return NULL;
}

static bool find_agent(const char *word, size_t length, coaming_agent *agent)
{
    for (int a = 0; a < COAMING_AGENTS; a++)
        if (strlen(agents[a].word) == length && !strncmp(agents[a].word, word, length)) {
            *agent = (coaming_agent)a;
            return true;
        }
    return false;
}

/* A number and what stands behind it, where no sign of a number stands. */
static bool split_unit(const char *text, double *number, const char **behind)
{
    char digits[40];
    size_t size = strspn(text, "+-.0123456789eE");
    if (!size || size >= sizeof digits)
        return false;
    memcpy(digits, text, size);
    digits[size] = '\0';
    *behind = text + size;
    return number_parse(digits, number) == NUMBER_OK;
}

#define RATE_UNITS "m3/s, m3/h, l/s, l/min, kg/s, g/s, g/min or mg/s"
#define AIR_UNITS  "ppm, %, mg/m3 or g/m3"

/* A rate or a share: its number, unit and agent are known. */
static coaming_status measure(const char *text, bool outside, coaming_air_source *source,
                              coaming_error *error)
{
    const char *behind = text;
    double number;
    const char *units = outside ? AIR_UNITS : RATE_UNITS;
    if (!split_unit(text, &number, &behind))
        return error_set(error, COAMING_USAGE,
                         "--source: '%s' is no rate; it must be a number and a unit such as %s",
                         BRIEF(text), outside ? "500ppm" : "2g/s or 0.1m3/s");
    const unit *u = find_unit(outside ? in_air : given_off, behind);
    if (!u || u->dose)
        return error_set(error, COAMING_USAGE, "--source: the rate '%s' needs one of the units %s",
                         BRIEF(text), units);
    if (!(number > 0))
        return error_set(error, COAMING_USAGE, "--source: a rate must be above 0, not '%s'",
                         BRIEF(text));
    source->rate = number * u->worth / (outside ? 1 : COAMING_MOLAR_VOLUME);
    if (u->mass)
        source->rate = number * u->worth / (1e-3 * agents[source->agent].weight) *
                       (outside ? COAMING_MOLAR_VOLUME : 1);
    if (outside && source->rate > 1)
        return error_set(error, COAMING_USAGE,
                         "--source: the air has no more than all of it, not '%s'", BRIEF(text));
    return COAMING_OK;
}

static coaming_status find_source(const coaming_ship *ship, const char *id, coaming_place *place,
                                  coaming_error *error)
{
    *place = COAMING_WEATHER;
    if (!strcmp(id, "weather"))
        return COAMING_OK;
    if (!strcmp(id, "sea"))
        return error_set(error, COAMING_USAGE, "--source: nothing gets into the air from the sea");
    return coaming_find_space(ship, id, place, error);
}

/* Does a rate stand there? An agent's word begins otherwise. */
static bool is_number(const char *text)
{
    return strspn(text, "+-.0123456789") > 0;
}

/* Cuts a word in three, from behind, for an id may have colons too. agent, rate: NULL: none. */
static void cut_source(char *word, char **rate, char **agent)
{
    *agent = NULL;
    *rate = strrchr(word, ':');
    if (!*rate)
        return;
    *(*rate)++ = '\0';
    char *before = is_number(*rate) ? NULL : strrchr(word, ':');
    if (!before)
        return;
    *before = '\0';
    *agent = *rate;
    *rate = before + 1;
}

static coaming_status parse_source(const coaming_ship *ship, const char *text, char *word,
                                   coaming_air_source *source, coaming_error *error)
{
    coaming_air_source made = {COAMING_WEATHER, COAMING_AGENT_SMOKE, 0};
    char *rate, *agent;
    cut_source(word, &rate, &agent);
    if (!rate)
        return error_set(error, COAMING_USAGE,
                         "--source '%s' has no rate; it is PLACE:RATE, such as engine:0.2m3/s or "
                         "engine:2g/s:co",
                         BRIEF(text));
    if (agent && !find_agent(agent, strlen(agent), &made.agent))
        return error_set(
            error, COAMING_USAGE,
            "--source: '%s' is none of smoke, co, co2, hcn, no2, h2s, cl2, nh3 and so2",
            BRIEF(agent));
    coaming_status status = find_source(ship, word, &made.place, error);
    if (status == COAMING_OK)
        status = measure(rate, made.place == COAMING_WEATHER, &made, error);
    if (status == COAMING_OK)
        *source = made;
    return status;
}

coaming_status coaming_air_source_parse(const coaming_ship *ship, const char *text,
                                        coaming_air_source *source, coaming_error *error)
{
    size_t size = strlen(text) + 1;
    char *word = memory_new(size, 1);
    if (!word)
        return error_memory(error);
    memcpy(word, text, size);
    coaming_status status = parse_source(ship, text, word, source, error);
    memory_free(word);
    return status;
}

static coaming_status no_limit(const char *text, coaming_error *error)
{
    char names[200] = "";
    for (size_t i = 0; i < sizeof published / sizeof *published; i++) {
        size_t used = strlen(names);
        snprintf(names + used, sizeof names - used, "%s%s", i ? ", " : "", published[i].name);
    }
    return error_set(error, COAMING_USAGE,
                     "--limit '%s' is neither published here (%s) nor a number with a unit, such "
                     "as co:200ppm",
                     BRIEF(text), names);
}

coaming_status coaming_air_limit_parse(const char *text, coaming_agent agent,
                                       coaming_air_limit *limit, coaming_error *error)
{
    coaming_air_limit made = {text, COAMING_LIMIT_SHARE, agent, 0, NULL, NULL};
    const char *number = text, *behind;
    size_t word = strcspn(text, ":");
    for (size_t i = 0; i < sizeof published / sizeof *published; i++)
        if (!strcmp(published[i].name, text)) {
            *limit = published[i];
            return COAMING_OK;
        }
    if (text[word]) {
        if (!find_agent(text, word, &made.agent))
            return no_limit(text, error);
        number = text + word + 1;
    }
    if (!split_unit(number, &made.value, &behind))
        return no_limit(text, error);
    const unit *u = find_unit(in_air, behind);
    if (!u)
        return error_set(error, COAMING_USAGE,
                         "--limit '%s' has no unit that is known; it must be %s, or ppm-min",
                         BRIEF(text), AIR_UNITS);
    if (!(made.value > 0))
        return error_set(error, COAMING_USAGE, "--limit '%s' must be above 0", BRIEF(text));
    made.value *= u->worth;
    if (u->mass)
        made.value *= COAMING_MOLAR_VOLUME / (1e-3 * agents[made.agent].weight);
    made.kind = u->dose ? COAMING_LIMIT_DOSE : COAMING_LIMIT_SHARE;
    *limit = made;
    return COAMING_OK;
}
