#include "analyse/air/piece.h"

#include <math.h>
#include <string.h>

#include "analyse/air/agents.h"

enum { GAUSS = 5, CUTS = 8, HALVINGS = 50 };
#define HARMLESS 1e-12 /* no dose comes of a smaller share */

/* Of Gauss and Lobatto on 0 to 1; exact up to the ninth degree. */
static const double places[PIECE_NODES] = {
    0, 0.1174723380352676, 0.3573842417596775, 0.6426157582403225, 0.8825276619647324, 1};
static const double weights[PIECE_NODES] = {1 / 30.0,           0.1892374781489235,
                                            0.2774291885177432, 0.2774291885177432,
                                            0.1892374781489235, 1 / 30.0};
/* Of Gauss, open: no end of a part is asked for. */
static const double inner[GAUSS] = {0.0469100770306680, 0.2307653449471584, 0.5, 0.7692346550528416,
                                    0.9530899229693320};
static const double inner_weights[GAUSS] = {0.1184634425280945, 0.2393143352496832,
                                            0.2844444444444444, 0.2393143352496832,
                                            0.1184634425280945};

double piece_place(int node)
{
    return places[node];
}

/* Lagrange's form. */
static double value_at(const air_piece *p, size_t unknown, double x)
{
    double sum = 0;
    for (int i = 0; i < PIECE_NODES; i++) {
        double term = p->at[i][unknown];
        for (int j = 0; j < PIECE_NODES; j++)
            term *= j == i ? 1 : (x - places[j]) / (places[i] - places[j]);
        sum += term;
    }
    return sum;
}

void piece_shares(const air_piece *p, size_t space, double x, double share[COAMING_AGENTS])
{
    memset(share, 0, COAMING_AGENTS * sizeof *share);
    for (size_t a = 0; a < p->s->agents; a++)
        share[p->s->agent[a]] = value_at(p, air_share_at(p->s, a, space), x);
}

double piece_dose(const air_piece *p, size_t agent, size_t space, double x)
{
    size_t at = air_share_at(p->s, agent, space);
    double sum = 0;
    if (x >= 1) {
        for (int i = 0; i < PIECE_NODES; i++)
            sum += weights[i] * p->at[i][at];
        return sum * p->length;
    }
    for (int i = 0; i < GAUSS; i++)
        sum += inner_weights[i] * value_at(p, at, x * inner[i]);
    return sum * x * p->length;
}

double piece_most(const air_piece *p, size_t agent, size_t space)
{
    size_t at = air_share_at(p->s, agent, space);
    double most = p->at[0][at];
    for (int i = 1; i < PIECE_NODES; i++)
        most = fmax(most, p->at[i][at]);
    return most;
}

/* --- harm --- */

static void shares_at(const air_piece *p, size_t space, int node, double share[COAMING_AGENTS])
{
    for (size_t a = 0; a < p->s->agents; a++)
        share[p->s->agent[a]] = p->at[node][air_share_at(p->s, a, space)];
}

static void add_rate(const air_piece *p, const double share[COAMING_AGENTS], double seconds,
                     double harm[2])
{
    harm[0] += seconds * coaming_fed_rate(share, p->s->m->how->activity);
    harm[1] += seconds * coaming_fed_rate_co2(share[COAMING_AGENT_CO2]);
}

static int counts_at(const air_piece *p, size_t space, double x)
{
    double share[COAMING_AGENTS];
    piece_shares(p, space, x, share);
    return air_harm_counts(share);
}

/* Over all of a piece in which nothing begins or ceases to count. False: something does. */
static bool whole(const air_piece *p, size_t space, double harm[2])
{
    double share[COAMING_AGENTS] = {0};
    int counts = 0;
    for (int i = 0; i < PIECE_NODES; i++) {
        shares_at(p, space, i, share);
        if (!i)
            counts = air_harm_counts(share);
        else if (counts != air_harm_counts(share))
            return false;
        add_rate(p, share, p->length * weights[i], harm);
    }
    return true;
}

static void part(const air_piece *p, size_t space, double from, double to, double harm[2])
{
    double share[COAMING_AGENTS];
    for (int i = 0; i < GAUSS; i++) {
        piece_shares(p, space, from + (to - from) * inner[i], share);
        add_rate(p, share, p->length * (to - from) * inner_weights[i], harm);
    }
}

/* Where between two places what counts there is no longer what counts at the first: just behind it. */
static double cut(const air_piece *p, size_t space, double from, double to)
{
    int counts = counts_at(p, space, from);
    for (int i = 0; i < HALVINGS; i++) {
        double middle = (from + to) / 2;
        *(counts_at(p, space, middle) == counts ? &from : &to) = middle;
    }
    return to;
}

static bool harmless(const air_piece *p, size_t space)
{
    for (size_t a = 0; a < p->s->agents; a++)
        if (piece_most(p, a, space) > HARMLESS)
            return false;
    return true;
}

void piece_harm(const air_piece *p, size_t space, double x, double harm[2])
{
    double from = 0;
    harm[0] = harm[1] = 0;
    if (!p->harms || harmless(p, space) || (x >= 1 && whole(p, space, harm)))
        return;
    harm[0] = harm[1] = 0;
    for (int i = 1; i < PIECE_NODES; i++)
        for (int c = 0; c < CUTS; c++) {
            if (counts_at(p, space, from) == counts_at(p, space, x * places[i]))
                break;
            double behind = cut(p, space, from, x * places[i]);
            part(p, space, from, behind, harm);
            from = behind;
        }
    part(p, space, from, x, harm);
}
