#include "analyse/air/openings.h"

#include <math.h>

#include "coaming/flood.h"
#include "ship/opening.h"
#include "ship/state.h"

#define DEGREE (3.14159265358979323846 / 180)
/* Of the dynamic pressure of wind. */
#define WIND_ON  0.8
#define WIND_LEE 0.5

/* --- sizes --- */

static double run_of(const ship_link *l)
{
    opening_size s = opening_size_of(l);
    return 2 * (s.width + s.height);
}

/* m of the gasket that bear on nothing. */
static double broken_run(const ship_link *l)
{
    double broken = 0;
    const ship_event *print = l->decided;
    for (size_t i = 0; print && i < print->gap_count; i++)
        broken += print->gaps[i].seen == SEEN_EDGE ? 0 : print->gaps[i].length;
    return broken > 0 ? fmin(broken, run_of(l)) : COAMING_FLOOD_GAP * run_of(l);
}

/* m2, by the drop of pressure of the test that decides; NaN: it has none. It is of all that bounds the
 * space, so no less than the closure's own. */
static double tested_area(const coaming_ship *ship, const ship_link *l)
{
    coaming_tightness t = coaming_tightness_default();
    coaming_leak leak;
    if (!l->decided || !l->decided->dropped)
        return NAN;
    coaming_drop drop = event_drop(ship, l->decided);
    t.volume = drop.volume;
    t.from = fabs(drop.start);
    t.to = fabs(drop.end);
    t.seconds = drop.duration;
    return coaming_tightness_leak(&t, &leak, NULL) == COAMING_OK ? leak.c / COAMING_ORIFICE : NAN;
}

static double sound_area(const ship_link *l)
{
    double of_one_metre =
        COAMING_AIR_SMOKE_DOOR / 3600 / sqrt(COAMING_AIR_SMOKE_AT) / COAMING_ORIFICE;
    return l->leak_area >= 0 ? l->leak_area : of_one_metre * run_of(l);
}

double air_way_area(const coaming_ship *ship, int link, coaming_air_state state)
{
    const ship_link *l = &ship->links[link];
    opening_size s = opening_size_of(l);
    double tested = tested_area(ship, l);
    switch (state) {
    case COAMING_AIR_OPEN:
        return s.width * s.height;
    case COAMING_AIR_NONTIGHT:
        return fmin(COAMING_AIR_CRACK * run_of(l), s.width * s.height);
    case COAMING_AIR_FAILED:
        return tested > 0 && l->result == COAMING_FAIL
                   ? fmin(tested, s.width * s.height)
                   : fmin(sound_area(l) + broken_run(l) * coaming_flood_ask_default().stand_off,
                          s.width * s.height);
    default:
        return fmin(tested > 0 && l->result == COAMING_PASS && l->leak_area < 0 ? tested
                                                                                : sound_area(l),
                    s.width * s.height);
    }
}

static bool is_shut(const air_model *m, int link)
{
    const ship_link *l = &m->ship->links[link];
    if (l->passage || m->scene->stands[link] == AIR_AS_FOUND)
        return link == m->scene->shut || link_shut(l, m->how->condition);
    return link == m->scene->shut || m->scene->stands[link] == AIR_SHUT;
}

static bool has_failed(const air_model *m, int link)
{
    const ship_link *l = &m->ship->links[link];
    return l->result == COAMING_FAIL || (!l->passage && m->scene->failed[link]);
}

static coaming_air_state state_of(const air_model *m, int link)
{
    const ship_link *l = &m->ship->links[link];
    if (!is_shut(m, link))
        return COAMING_AIR_OPEN;
    if (l->rating == NONTIGHT)
        return COAMING_AIR_NONTIGHT;
    return has_failed(m, link)             ? COAMING_AIR_FAILED
           : l->result == COAMING_UNTESTED ? COAMING_AIR_UNTESTED
                                           : COAMING_AIR_SOUND;
}

/* --- wind --- */

/* Where an opening to the weather looks to: degrees from ahead to starboard; NaN: up. */
static double looks_to(const coaming_ship *ship, const ship_link *l)
{
    const ship_space *s = &ship->spaces[l->a >= 0 ? l->a : l->b];
    double x = 0, y = 0;
    if (!l->clear.given || l->clear.lies == DECK)
        return NAN;
    for (size_t i = 0; i < s->solid_count; i++) {
        x += (s->solids[i].x0 + s->solids[i].x1) / 2 / (double)s->solid_count;
        y += (s->solids[i].y0 + s->solids[i].y1) / 2 / (double)s->solid_count;
    }
    if (l->clear.lies == TRANSVERSE)
        return l->clear.x >= x ? 0 : 180;
    return l->clear.y >= y ? 270 : 90;
}

/* Pa outside at the opening. */
static double wind_at(const air_model *m, const ship_link *l, double density)
{
    double dynamic = density * m->how->wind * m->how->wind / 2, to = looks_to(m->ship, l);
    if (isnan(to))
        return 0;
    double on = cos((m->how->wind_from - to) * DEGREE);
    return dynamic * on * (on > 0 ? WIND_ON : WIND_LEE);
}

/* --- the model --- */

static void add_way(air_model *m, int link)
{
    const ship_link *l = &m->ship->links[link];
    int outside = (int)m->ship->space_count;
    coaming_air_state state = state_of(m, link);
    coaming_air_way *way = &m->ways[m->net.link_count];
    air_link *to = &m->net.links[m->net.link_count++];
    opening_size s = opening_size_of(l);
    *way = (coaming_air_way){.link = link,
                             .state = state,
                             .area = air_way_area(m->ship, link, state),
                             .size_assumed = s.assumed,
                             .leak_assumed = state != COAMING_AIR_OPEN && l->leak_area < 0 &&
                                             !(tested_area(m->ship, l) > 0 &&
                                               has_failed(m, link) == (l->result == COAMING_FAIL))};
    *to = (air_link){.a = l->a < 0 ? outside : l->a,
                     .b = l->b < 0 ? outside : l->b,
                     .leak = coaming_leak_orifice(way->area),
                     .low = l->clear.z,
                     .high = l->clear.z};
    if (!l->clear.given || l->clear.lies != DECK)
        to->high += s.height;
    if (l->a < 0 || l->b < 0) {
        double wind = wind_at(m, l, m->net.nodes[outside].density);
        to->push = l->a < 0 ? wind : -wind;
    }
}

static void add_supplies(air_model *m)
{
    const coaming_ship *ship = m->ship;
    double outside = m->net.nodes[ship->space_count].density;
    for (size_t i = 0; i < m->how->source_count; i++)
        if (m->how->sources[i].place >= 0 && !m->scene->ended[i])
            m->net.nodes[m->how->sources[i].place].supply += m->how->sources[i].rate * AIR_WEIGHT;
    for (size_t i = 0; i < ship->fan_count; i++) {
        const ship_fan *f = &ship->fans[i];
        if (m->scene->stopped[i])
            continue;
        air_node *node = &m->net.nodes[f->supplies];
        double most = f->pressure < 0 ? COAMING_AIR_FAN_MOST : f->pressure;
        node->fan_pressure = node->fan_flow > 0 ? fmin(node->fan_pressure, most) : most;
        node->fan_flow += f->flow * outside;
        node->fan_height = m->middles[f->supplies];
    }
}

bool air_model_make(air_model *m, arena *memory)
{
    const coaming_ship *ship = m->ship;
    size_t spaces = ship->space_count;
    m->net.nodes = arena_new(memory, spaces + 1, sizeof *m->net.nodes);
    m->net.links = arena_new(memory, ship->link_count, sizeof *m->net.links);
    m->ways = arena_new(memory, ship->link_count, sizeof *m->ways);
    m->volumes = arena_new(memory, spaces, sizeof *m->volumes);
    m->middles = arena_new(memory, spaces, sizeof *m->middles);
    if (!m->net.nodes || !m->net.links || !m->ways || !m->volumes || !m->middles)
        return false;
    m->net.node_count = spaces + 1;
    m->net.nodes[spaces] = (air_node){.fixed = true, .density = air_density(m->how->outside)};
    for (size_t s = 0; s < spaces; s++) {
        double warmth = m->how->warmth ? m->how->warmth[s] : m->how->inside;
        m->net.nodes[s].density = air_density(warmth);
        m->volumes[s] =
            fmax(ship->spaces[s].volume, 1e-3); /* all of it may lie outside the shell */
        m->middles[s] = (ship->spaces[s].bottom + ship->spaces[s].top) / 2;
    }
    for (size_t l = 0; l < ship->link_count; l++)
        if (link_reached(&ship->links[l], COAMING_AIR, 0))
            add_way(m, (int)l);
    add_supplies(m);
    return true;
}

coaming_status air_model_solve(air_model *m, coaming_error *error)
{
    coaming_status status = air_net_solve(&m->net, error);
    for (size_t k = 0; status == COAMING_OK && k < m->net.link_count; k++) {
        const air_link *l = &m->net.links[k];
        m->ways[k].drop = air_link_drop(&m->net, l, (l->low + l->high) / 2);
        m->ways[k].forth = l->forth / AIR_REFERENCE;
        m->ways[k].back = l->back / AIR_REFERENCE;
    }
    return status;
}
