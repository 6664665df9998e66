/* present/tell/drop_words.h - the drop of pressure of a test by air, in each form. */
#ifndef PRESENT_TELL_DROP_WORDS_H
#define PRESENT_TELL_DROP_WORDS_H

#include "coaming/ship.h"
#include "csv/table.h"
#include "json/json.h"

/* ", from 2000 to 1500 Pa in 600 s" */
void say_drop(FILE *out, const coaming_drop *drop);
void say_drop_words(FILE *out, const char *start, const char *end, const char *duration);

/* Five members, or fields, in the order space, start, end, duration, volume; drop NULL: there is
 * none. */
void json_drop(json_document *d, cJSON *row, const coaming_ship *ship, const coaming_drop *drop);
void csv_drop(csv_writer *w, const coaming_ship *ship, const coaming_drop *drop);

#endif
