#include "present/form/palette.h"

#define PALETTE_ROW(code, word, fill, hatch, meaning) [code] = {word, fill, hatch, meaning},
const fill_row space_fills[FILL_COUNT] = {SPACE_FILLS(PALETTE_ROW)};

#define SHADE_ROW(code, word, from, fill, meaning) [code] = {word, from, fill, meaning},
const shade_row loss_shades[SHADE_COUNT] = {LOSS_SHADES(SHADE_ROW)};
