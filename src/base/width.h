/* base/width.h - how many columns of a terminal a sign takes. */
#ifndef BASE_WIDTH_H
#define BASE_WIDTH_H

#include <stdint.h>

/* 0: joins the sign before; 2: wide, as of Chinese, Japanese and Korean, and emoji; else 1. */
int point_width(uint32_t point);

#endif
