#include "analyse/survival/damage.h"

#include <math.h>

/* Regulation 7-1, 1.1: of J the greatest value, the knuckle and the share below it; the greatest
 * length of damage, and the length of ship up to which it is not the limit. */
static const double JMAX = 10.0 / 33, JKN = 5.0 / 33, PK = 11.0 / 12, LMAX = 60, LSTAR = 260;

static double density_at_0(double jm, double jk)
{
    return 2 * (PK / jk - (1 - PK) / (jm - jk));
}

static double knuckle(double jm, double b0)
{
    return jm / 2 + (1 - sqrt(1 + (1 - 2 * PK) * b0 * jm + b0 * b0 * jm * jm / 4)) / b0;
}

damage_law damage_law_of(double length)
{
    damage_law law;
    double b0 = density_at_0(JMAX, JKN), shorter = fmin(length, LSTAR);
    law.jm = fmin(JMAX, LMAX / shorter);
    law.jk = knuckle(law.jm, b0);
    law.b12 = b0;
    if (length > LSTAR) {
        law.jm *= LSTAR / length;
        law.jk *= LSTAR / length;
        law.b12 = density_at_0(law.jm, law.jk);
    }
    double beyond = law.jm - law.jk;
    law.b11 = 4 * (1 - PK) / (beyond * law.jk) - 2 * PK / (law.jk * law.jk);
    law.b21 = -2 * (1 - PK) / (beyond * beyond);
    law.b22 = -law.b21 * law.jm;
    return law;
}

/* The integral from 0 to `to` of (slope y + at_0) (j - y), which is that of the density times the
 * room for damage of length y. */
static double room_under(double slope, double at_0, double j, double to)
{
    return -slope * to * to * to / 3 + (slope * j - at_0) * to * to / 2 + at_0 * j * to;
}

/* Damage of a length up to `most` in a stretch of length j of which neither end is hers. */
static double inside(const damage_law *law, double j, double most)
{
    double to = fmin(fmin(j, most), law->jm), knee = fmin(to, law->jk);
    double p = room_under(law->b11, law->b12, j, knee);
    if (to > law->jk)
        p += room_under(law->b21, law->b22, j, to) - room_under(law->b21, law->b22, j, law->jk);
    return p;
}

/* Share of damage of a length up to `most`. */
static double shorter_than(const damage_law *law, double most)
{
    double to = fmin(most, law->jm), knee = fmin(to, law->jk);
    double share = law->b11 * knee * knee / 2 + law->b12 * knee;
    if (to > law->jk)
        share += law->b21 * (to * to - law->jk * law->jk) / 2 + law->b22 * (to - law->jk);
    return share;
}

/* The same in any stretch: over her ends all of it has room (regulation 7-1, 1.1.3). */
static double within_up_to(const damage_law *law, stretch s, double most)
{
    int own_ends = (s.from <= 0) + (s.to >= 1);
    double j = s.to - s.from;
    if (j <= 0)
        return 0;
    if (own_ends == 2)
        return shorter_than(law, most);
    double p = inside(law, j, most);
    return own_ends ? (p + j * shorter_than(law, most)) / 2 : p;
}

double damage_p(const damage_law *law, stretch within)
{
    return within_up_to(law, within, law->jm);
}

/* p r: damage of up to depth / 15 is never deeper, of the rest the share C. */
static double within_depth(const damage_law *law, stretch s, double depth)
{
    double jb = depth / 15;
    double c = depth >= 0.5 ? 1 : 12 * jb * (4 - 45 * jb);
    return c * damage_p(law, s) + (1 - c) * within_up_to(law, s, jb);
}

double damage_r(const damage_law *law, stretch within, double depth)
{
    double p = damage_p(law, within);
    return p > 0 ? within_depth(law, within, depth) / p : 0;
}

bool damage_spans(const damage_law *law, const double *ends, size_t first, size_t last)
{
    return last < first + 2 || ends[last] - ends[first + 1] < law->jm;
}

double damage_of_group(const damage_law *law, const double *ends, size_t first, size_t last,
                       double depth)
{
    double p = within_depth(law, (stretch){ends[first], ends[last + 1]}, depth);
    if (last > first) {
        p -= within_depth(law, (stretch){ends[first], ends[last]}, depth);
        p -= within_depth(law, (stretch){ends[first + 1], ends[last + 1]}, depth);
    }
    if (last > first + 1)
        p += within_depth(law, (stretch){ends[first + 1], ends[last]}, depth);
    return p;
}

double damage_v(double above)
{
    if (above <= 0)
        return 0;
    double v = above <= 7.8 ? 0.8 * above / 7.8 : 0.8 + 0.2 * (above - 7.8) / 4.7;
    return fmin(v, 1);
}

double damage_required_cargo(double length)
{
    if (length < 80)
        return NAN;
    double r = 1 - 128 / (length + 152);
    return length > 100 ? r : 1 - 1 / (1 + length / 100 * r / (1 - r));
}

double damage_required_passenger(double length, double persons)
{
    return 1 - 5000 / (length + 2.5 * persons + 15225);
}
