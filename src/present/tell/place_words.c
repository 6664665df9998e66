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
