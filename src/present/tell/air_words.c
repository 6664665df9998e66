#include "present/tell/air_words.h"

#include <ctype.h>
#include <math.h>
#include <string.h>

const char air_not_counted[] = "Not counted: the heat of a fire (only temperatures that are "
                               "given), smoke that lies in layers, what "
                               "burns out, settles or sticks, exchange through an open door "
                               "between spaces of one temperature, "
                               "liquids in tanks, doors moved meanwhile. Air is mixed well in each "
                               "space; what leaves her does not "
                               "come back.";

const char *agent_name(coaming_agent agent)
{
    static const char *const names[] = {
        [COAMING_AGENT_SMOKE] = "smoke", [COAMING_AGENT_CO] = "CO",   [COAMING_AGENT_CO2] = "CO2",
        [COAMING_AGENT_HCN] = "HCN",     [COAMING_AGENT_NO2] = "NO2", [COAMING_AGENT_H2S] = "H2S",
        [COAMING_AGENT_CL2] = "Cl2",     [COAMING_AGENT_NH3] = "NH3", [COAMING_AGENT_SO2] = "SO2"};
    return names[agent];
}

const char *share_words(char buffer[SHOWN], coaming_agent agent, double share)
{
    char number[SHOWN];
    if (agent == COAMING_AGENT_SMOKE || share >= 0.01)
        snprintf(buffer, SHOWN, "%.100s %%", amount(number, 100 * share));
    else
        snprintf(buffer, SHOWN, "%.100s ppm", amount(number, 1e6 * share));
    return buffer;
}

const char *air_source_words(char buffer[2 * SHOWN], const coaming_ship *ship,
                             const coaming_air_source *source)
{
    char id[SHOWN], number[SHOWN];
    const char *name = agent_name(source->agent);
    if (source->place == COAMING_WEATHER)
        snprintf(buffer, SHOWN, "the air outside has %s of %s",
                 share_words(number, source->agent, source->rate), name);
    else if (source->agent == COAMING_AGENT_SMOKE)
        snprintf(buffer, 2 * SHOWN, "%s gives off %.60s m3/s of %s",
                 shown(id, ship->spaces[source->place].id, 30),
                 amount(number, source->rate * COAMING_MOLAR_VOLUME), name);
    else
        snprintf(buffer, 2 * SHOWN, "%s gives off %.60s g/s of %s",
                 shown(id, ship->spaces[source->place].id, 30),
                 amount(number, source->rate * coaming_agent_weight(source->agent)), name);
    return buffer;
}

const char *weather_words(char buffer[2 * SHOWN], const coaming_air_options *o)
{
    char wind[SHOWN] = "No wind", number[SHOWN];
    if (o->wind > 0) {
        amount(number, o->wind);
        snprintf(wind, sizeof wind, "Wind %.40s m/s from %g degrees right of ahead", number,
                 o->wind_from);
    }
    snprintf(buffer, 2 * SHOWN, "%s; %g degrees outside, %g inside%s.", wind, o->outside, o->inside,
             o->warmth ? " but where given" : "");
    return buffer;
}

const char *air_state_words(coaming_air_state state)
{
    static const char *const words[] = {[COAMING_AIR_OPEN] = "open",
                                        [COAMING_AIR_NONTIGHT] = "shut, not tight",
                                        [COAMING_AIR_SOUND] = "shut",
                                        [COAMING_AIR_UNTESTED] = "shut, untested",
                                        [COAMING_AIR_FAILED] = "shut, FAILED"};
    return words[state];
}

const char *air_assumed(char buffer[4 * SHOWN], const coaming_air_answer *a)
{
    size_t sizes = 0, leaks = 0;
    for (size_t i = 0; i < a->way_count; i++) {
        sizes += a->ways[i].size_assumed;
        leaks += a->ways[i].leak_assumed;
    }
    snprintf(
        buffer, 4 * SHOWN,
        "Assumed: of %zu openings the size, by kind; of %zu shut closures how much they leak: "
        "sound or "
        "untested %g m3/h for each metre of gasket at %g Pa, a criterion of smoke control doors in "
        "buildings; rated nontight 0.01 m2 for 5.6 m of crack, a single door of BS 5588-4; failed "
        "as "
        "sound, and besides the gaps of the print, or a tenth of the gasket without one, by 2 mm.",
        sizes, leaks, COAMING_AIR_SMOKE_DOOR, COAMING_AIR_SMOKE_AT);
    return buffer;
}
