/*
 * present/draw/time_sheet.h - what goes on in time, as a column of sentences, plots and small drawings
 * side by side: a page as wide as A4 alone, or pieces for a page of HTML that says the sentences itself.
 * Knows neither water nor air.
 *
 * Alone it is one SVG. In HTML each piece is an SVG of its own that no sheet of paper cuts: a new one
 * begins where time_piece is called.
 */
#ifndef PRESENT_TIME_SHEET_H
#define PRESENT_TIME_SHEET_H

#include "present/draw/drawing.h"
#include "present/form/plot.h"
#include "present/tell/told_events.h"

enum { TIME_PICTURES = 4 };

typedef struct {
    FILE *out; /* of the piece that is being written */
    FILE *page;
    bool html;
    const coaming_ship *ship;
    const char *name, *title; /* of the whole: in ids, and for people: "water in time" */
    double x, width, y;       /* of the column; y: the next free place; points */
    const double *t;          /* of the moments that are shown, s */
    size_t count;
    plot_mark marks[TOLD_MOST]; /* numbered from 1 */
    char numbers[TOLD_MOST][24];
    size_t mark_count;
    size_t pieces;
    char *body;
    size_t size;
    bool lost; /* memory ran out */
} time_sheet;

/* Opens the first piece. page: where the whole goes. The rest of the sheet is the caller's to fill. */
void time_open(time_sheet *s, FILE *page, bool html);
/* A new piece, if the one before has anything in it. */
void time_piece(time_sheet *s);
/* Writes what there is, unless memory ran out or `status` is not COAMING_OK, and frees. Returns the
 * status. */
coaming_status time_close(time_sheet *s, coaming_status status, coaming_error *error);

/* A sentence; one that is freed; and one that is put together. Only alone: HTML says its own. */
void time_line(time_sheet *s, double size, bool bold, const char *colour, const char *text);
void time_words(time_sheet *s, double size, bool bold, char *words);
void time_say(time_sheet *s, double size, bool bold, const char *colour, const char *format, ...)
    __attribute__((format(printf, 5, 6)));

/* Whose page it is and what it is of (NULL: memory ran out), as what her closures are taken, what is seen. */
void time_head(time_sheet *s, const coaming_ship *ship, const char *title, int condition);

/* Marks the events that are told, with their numbers. */
void time_mark(time_sheet *s, const told_events *told);
/* A plot at the next free place, with all marks; it is to be given its lines and written. */
plot time_plot(const time_sheet *s, const char *title, const char *unit, double height);
void time_put(time_sheet *s, const plot *p);
/* What is said in a page of HTML as well: about the plot or the drawing that it stands by. */
void time_note(time_sheet *s, const char *format, ...) __attribute__((format(printf, 2, 3)));
/* What a plot of `most` lines has left out of `count`; nothing if it has not. */
void time_left_out(time_sheet *s, size_t count, size_t most, const char *with_less);

/* Lines of a plot by how much they come to. */
typedef struct {
    size_t at; /* in the answer */
    double most;
} time_ordered;
int time_by_most(const void *one, const void *other); /* the most first, of equals as they stand */

/* When a quarter, a half, three quarters of what comes (at times that rise) has come, and the end: each
 * moment once, in order. Returns how many. */
size_t time_moments(const time_sheet *s, const double *arrivals, size_t count,
                    size_t moments[TIME_PICTURES]);
/* The decks that a space is on of which `there` says so, from the first of the file; 0: none says on
 * which deck it is. decks: room for all. */
size_t time_decks(const coaming_ship *ship, const bool *there, int *decks);

/* Samples of fills, each with its meaning, by the patterns of the first picture. */
void time_samples(time_sheet *s, space_fill first, size_t count, const char *const *meanings);
/* The same drawing at each of the moments, two beside each other, each row a piece. */
coaming_status time_pictures(time_sheet *s, const coaming_drawing *what, const size_t *moments,
                             size_t count, coaming_error *error);

/* What the report takes of them: plots and drawings, no sentences (draw_flood.c, draw_air.c). */
coaming_status draw_flood_pieces(FILE *html, const coaming_flood_page *page, coaming_error *error);
coaming_status draw_air_pieces(FILE *html, const coaming_air *air, coaming_error *error);

#endif
