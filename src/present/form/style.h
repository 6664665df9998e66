/*
 * present/form/style.h - lines of text that fit a screen, with colour only as an underline of words.
 */
#ifndef PRESENT_STYLE_H
#define PRESENT_STYLE_H

#include <stdbool.h>
#include <stdio.h>

#include "coaming/present.h"

typedef enum { INK_PLAIN, INK_STRONG, INK_BAD, INK_DOUBT } ink;

/* The style with the least width that texts are made for. */
coaming_style style_fit(coaming_style style);

/* Sets and ends a colour; nothing without style.colour. */
void ink_on(FILE *out, coaming_style style, ink i);
void ink_off(FILE *out, coaming_style style, ink i);

/*
 * A paragraph that is built with printf and then written in lines of at most style.columns, the
 * first indented by `first`, the others by `rest`. A negative `first`: that many columns of the
 * line are already written. A word longer than a line is taken apart.
 */
typedef struct {
    FILE *stream;
    char *text;
    size_t size;
} paragraph;

/* False when out of memory: then stream is NULL. */
bool paragraph_open(paragraph *p);
/* Writes and frees; false when out of memory. Also takes a paragraph that did not open. */
bool paragraph_close(paragraph *p, FILE *out, coaming_style style, int first, int rest);
/* The same in a colour. */
bool paragraph_close_in(paragraph *p, FILE *out, coaming_style style, ink colour, int first,
                        int rest);
/* A list that may have come to nothing: closes it if it was started, else drops it unwritten. */
bool paragraph_close_list(paragraph *p, bool started, FILE *out, coaming_style style, int first,
                          int rest);
/* Ends words that are made with open_memstream, for the caller to give to free(); NULL when out of
 * memory, and where out is NULL. */
char *words_end(FILE *out, char **text);

/* One of a list: a comma and a blank before all but the first. */
void paragraph_item(paragraph *p, bool *started, const char *text);

/* A text that is being put together in memory, with how many items of its list it has. */
typedef struct {
    FILE *out;
    char *text;
    size_t size, items;
} sentence;

/* False: no memory, and nothing to end. */
bool sentence_begin(sentence *s);
/* As words_end. */
char *sentence_end(sentence *s);

/* A name cut to columns, as it may be shown (base/text.h). Buffer of 4*columns+1. */
enum { SHOWN_COLUMNS = 60, SHOWN = 4 * SHOWN_COLUMNS + 1 };
const char *shown(char buffer[SHOWN], const char *text, size_t columns);

/* A paragraph at once; false when out of memory. */
bool print_line(FILE *out, coaming_style style, int first, int rest, const char *format, ...)
    __attribute__((format(printf, 5, 6)));

/* The same of a sentence that is to be freed, in a colour; "" says nothing. False when out of memory,
 * also where the sentence is NULL. */
bool print_words(FILE *out, coaming_style style, ink colour, int first, char *words);

/* After an empty line. */
bool print_caution(FILE *out, coaming_style style, const char *caution);

/* A number for reading: three or four figures, never an exponent. */
const char *amount(char buffer[SHOWN], double value);

/* A share as a percentage, the one way to write it: "97.2 %", "4.75 %", "0.041 %"; one decimal from
 * 10 on, two from 0.1 on, else three, without zeros at the end. Never so rounded that it reads as
 * certain or as nothing: "over 99.9 %", "under 0.001 %". Returns the buffer. */
const char *percent(char buffer[SHOWN], double share);

/* With a capital: "no closure" as the beginning of a sentence. */
const char *capital(char buffer[SHOWN], const char *text);

/* A count with its word: "1 space", "2 spaces". */
const char *counted(char buffer[SHOWN], double count, const char *one, const char *many);

#endif
