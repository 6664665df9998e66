#include "present/tell/drop_words.h"

#include <math.h>

#include "base/text.h"

void say_drop_words(FILE *out, const char *start, const char *end, const char *duration)
{
    fprintf(out, ", from %s to %s Pa in %s s", start, end, duration);
}

void say_drop(FILE *out, const coaming_drop *drop)
{
    char start[NUMBER_TEXT], end[NUMBER_TEXT], duration[NUMBER_TEXT];
    say_drop_words(out, number_format(drop->start, start), number_format(drop->end, end),
                   number_format(drop->duration, duration));
}

void json_drop(json_document *d, cJSON *row, const coaming_ship *ship, const coaming_drop *drop)
{
    json_add(d, row, "space", json_text(drop ? coaming_space_id(ship, drop->space) : NULL));
    json_add(d, row, "start_pressure", json_number(drop ? drop->start : NAN));
    json_add(d, row, "end_pressure", json_number(drop ? drop->end : NAN));
    json_add(d, row, "duration", json_number(drop ? drop->duration : NAN));
    json_add(d, row, "volume", json_number(drop ? drop->volume : NAN));
}

void csv_drop(csv_writer *w, const coaming_ship *ship, const coaming_drop *drop)
{
    csv_text(w, drop ? coaming_space_id(ship, drop->space) : NULL);
    csv_number(w, drop ? drop->start : NAN);
    csv_number(w, drop ? drop->end : NAN);
    csv_number(w, drop ? drop->duration : NAN);
    csv_number(w, drop ? drop->volume : NAN);
}
