/*
 * How she lies. Method: the height of gravity over buoyancy, times weight, as a function of the plane's
 * height D over amidships, heel f and trim t, has the changes
 *   D: B - W,   f: n_f . (M_W - M_B),   t: n_t . (M_W - M_B)
 * with weights and moments M about amidships; n_f = -cos(t) e2 and n_t = -e1 are the changes of the
 * plane's normal. A liquid lies where its own part is least, so that only its surface's second moments
 * come into the second changes. She goes down that slope by Newton's step, the sizes of the second
 * changes' principal values in place of themselves, so that it always leads down: the time that takes
 * is COAMING_FLOOD_LAG.
 *
 * Where that way ends on a ridge a long implicit step would keep her on it: such a step damps whatever
 * is fast, what grows as well. So the least principal value is looked at on the way, and where it becomes
 * negative she is moved off, to the side that is lower; the integration starts anew from there.
 */
#include <math.h>
#include <string.h>

#include "analyse/flood/flood.h"
#include "base/dot.h"

/* What part of the intact ship's stiffness she is taken to have at least. */
static const double STIFF_LEAST = 1e-3;
/* Radians that she is moved off a ridge: much more than the tolerance, much less than where she comes to
 * lie. A film of water thinner than that over half the beam she may overshoot, and she comes back. */
static const double OFF_RIDGE = 1e-3;
/* m: gravity is taken to lie so far off to port, so that a ship which nothing decides goes there. */
static const double TO_PORT = 1e-9;

/* One rotation of Jacobi's method that makes a[p][q] 0; v gathers the turns. */
static void rotate(double a[3][3], double v[3][3], int p, int q)
{
    if (a[p][q] == 0)
        return;
    double theta = (a[q][q] - a[p][p]) / (2 * a[p][q]);
    double t = (theta < 0 ? -1 : 1) / (fabs(theta) + sqrt(theta * theta + 1));
    double c = 1 / sqrt(t * t + 1), s = t * c;
    for (int k = 0; k < 3; k++) {
        double kp = a[k][p], kq = a[k][q];
        a[k][p] = c * kp - s * kq;
        a[k][q] = s * kp + c * kq;
    }
    for (int k = 0; k < 3; k++) {
        double pk = a[p][k], qk = a[q][k], vp = v[k][p], vq = v[k][q];
        a[p][k] = c * pk - s * qk;
        a[q][k] = s * pk + c * qk;
        v[k][p] = c * vp - s * vq;
        v[k][q] = s * vp + c * vq;
    }
}

/* The inverse of what has the same principal directions and their values' sizes; and the least. */
static void turn_back(water_model *m)
{
    const double *scale = m->scale;
    double a[3][3], v[3][3] = {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}};
    for (int i = 0; i < 3; i++)
        for (int j = 0; j < 3; j++)
            a[i][j] = m->bend[i][j] / (scale[i] * scale[j]);
    for (int sweep = 0; sweep < 8; sweep++) {
        rotate(a, v, 0, 1);
        rotate(a, v, 0, 2);
        rotate(a, v, 1, 2);
    }
    memset(m->back, 0, sizeof m->back);
    m->least = INFINITY;
    for (int k = 0; k < 3; k++) {
        double size = sqrt(a[k][k] * a[k][k] + STIFF_LEAST * STIFF_LEAST);
        for (int i = 0; i < 3; i++)
            for (int j = 0; j < 3; j++)
                m->back[i][j] += v[i][k] * v[j][k] / (size * scale[i] * scale[j]);
        if (a[k][k] >= m->least)
            continue;
        m->least = a[k][k];
        for (int i = 0; i < 3; i++)
            m->way_down[i] = v[i][k] / scale[i];
    }
}

double water_topples(const water_model *m)
{
    return -m->least - STIFF_LEAST;
}

void water_topple(const water_model *m, double *y)
{
    const double *way = m->way_down;
    double size = OFF_RIDGE / hypot(way[1], way[2]);
    if (!isfinite(size))
        return;
    if (dot(m->pull, way) > 0)
        size = -size;
    for (int k = 0; k < 3; k++)
        y[m->room_count + (size_t)k] += size * way[k];
}

/* What liquids take off the second changes, by moments along e1 (u) and e2 (v). */
static void slacken(double slack[3][3], double ct, double uu, double uv, double vv)
{
    slack[1][1] -= ct * ct * vv;
    slack[1][2] -= ct * uv;
    slack[2][2] -= uu;
}

/* The hull's part, and that of weights and buoyancy themselves: moment is M_W - M_B. */
static void bend_hull(water_model *m, const submerged *w, const double moment[3])
{
    const double *n = m->sea.n, *e2 = m->sea.e2;
    double st = -n[0], ct = sqrt(1 - st * st);
    const double n_ff[] = {0, -n[1], -n[2]};
    m->bend[0][0] = w->area;
    m->bend[0][1] = ct * w->av;
    m->bend[0][2] = w->au;
    m->bend[1][1] = ct * ct * w->avv + dot(n_ff, moment);
    m->bend[1][2] = ct * w->auv + st * dot(e2, moment);
    m->bend[2][2] = w->auu - dot(n, moment);
}

static void bear_rooms(water_model *m, double ct, double moment[3], double slack[3][3])
{
    for (size_t i = 0; i < m->room_count; i++) {
        const water_room *r = &m->rooms[i];
        const water_level *l = &r->level;
        if (!(l->volume > 0))
            continue;
        m->weight += r->heavy * l->weight;
        for (int k = 0; k < 3; k++)
            moment[k] += r->heavy * l->moment[k];
        slacken(slack, ct, r->heavy * l->uu, r->heavy * l->uv, r->heavy * l->vv);
    }
}

void water_attitude(water_model *m)
{
    const coaming_ship *ship = m->ship;
    const double *middle = m->f->middle, *n = m->sea.n;
    double ct = sqrt(1 - n[0] * n[0]), moment[3], hull = body_volume(&ship->hull->body);
    double slack[3][3] = {{0}};
    submerged w = {0};
    body_add(&ship->hull->body, &m->sea, 1, m->f->scratch, &w);
    laden_pull pull = laden_move(&m->left, ship, m->taken, &m->sea, false, m->f->scratch);
    double left = m->left.weight;
    for (int k = 0; k < 3; k++)
        moment[k] = left * (m->left.gravity[k] + pull.shift[k] - middle[k]) -
                    (w.moment[k] - middle[k] * w.volume);
    m->weight = left;
    slacken(slack, ct, left * pull.uu, left * pull.uv, left * pull.vv);
    bear_rooms(m, ct, moment, slack);
    bend_hull(m, &w, moment);
    for (int i = 0; i < 3; i++)
        for (int j = i; j < 3; j++)
            m->bend[j][i] = m->bend[i][j] += slack[i][j];
    m->pull[0] = w.volume - m->weight;
    m->pull[1] = -ct * dot(m->sea.e2, moment) - TO_PORT * m->weight;
    m->pull[2] = -dot(m->sea.e1, moment);
    m->dry = fmin(hull - w.volume, hull - m->weight);
    turn_back(m);
}
