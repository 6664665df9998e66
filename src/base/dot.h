/* base/dot.h - the scalar product of two vectors of three parts. */
#ifndef BASE_DOT_H
#define BASE_DOT_H

static inline double dot(const double a[3], const double b[3])
{
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

#endif
