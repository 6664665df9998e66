#include "present/tell/place_words.h"

#include <math.h>

/* To so many parts of one; no -0. */
static double rounded(double value, double parts)
{
    return round(value * parts) / parts + 0.0;
}

const char *stretch_words(char buffer[SHOWN], const coaming_ship *ship, double from, double to)
{
    const frames *f = &ship->frames;
    double a = rounded(from, 100), b = rounded(to, 100);
    if (f->given) {
        a = rounded((from - f->zero) / f->spacing, 10);
        b = rounded((to - f->zero) / f->spacing, 10);
    }
    snprintf(buffer, SHOWN, f->given ? "frames %.10g to %.10g" : "x %.10g to %.10g m", fmin(a, b),
             fmax(a, b));
    return buffer;
}

const char *spot_words(char buffer[SHOWN], const coaming_ship *ship, const ship_link *l)
{
    const frames *f = &ship->frames;
    double y = rounded(l->clear.y, 100);
    *buffer = '\0';
    if (!l->clear.given)
        return buffer;
    double x =
        f->given ? rounded((l->clear.x - f->zero) / f->spacing, 10) : rounded(l->clear.x, 100);
    snprintf(buffer, SHOWN, f->given ? "frame %.10g, %s" : "x %.10g m, %s", x,
             y > 0   ? "port"
             : y < 0 ? "starboard"
                     : "on the centreline");
    return buffer;
}
