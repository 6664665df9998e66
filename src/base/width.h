/* base/width.h - how many columns of a terminal a sign takes, and which signs nobody sees. */
#ifndef BASE_WIDTH_H
#define BASE_WIDTH_H

#include <stdbool.h>
#include <stdint.h>

/* 0: joins the sign before; 2: wide, as of Chinese, Japanese and Korean, and emoji; else 1. */
int point_width(uint32_t point);

/* Is it a sign that shown as it is would deceive: one that does something to a terminal, turns the
 * direction of writing, ends a line or is not to be seen at all? */
bool point_deceives(uint32_t point);

#endif
