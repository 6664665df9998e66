/*
 * present/form/plot.h - a plot of lines against time, as a part of an SVG page.
 *
 * Time runs to the right, in seconds as given, and is shown in s, min or h, whichever the span asks
 * for. Lines are told apart by dash and weight, and each has its name beside its end: a grey print
 * loses nothing. Knows neither ship nor question.
 */
#ifndef PRESENT_PLOT_H
#define PRESENT_PLOT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

/* So many lines are told apart by dash and weight: more do not go into one plot. */
enum { PLOT_LINES = 8 };

/* How the n-th line is drawn. dash: as stroke-dasharray has it, "" none; weight: points. */
typedef struct {
    const char *colour, *dash;
    double weight;
} plot_line;
extern const plot_line plot_lines[PLOT_LINES];

typedef struct {
    const char *name;
    const double *y; /* one for each time; NaN: nothing is drawn there */
} plot_series;

/* An upright line at a time, with a short word over it. */
typedef struct {
    double t;
    const char *word;
} plot_mark;

/* A level line across, with its name on it: a limit. */
typedef struct {
    double y;
    const char *name;
} plot_level;

/* A place of a line that is marked: the line goes through it, whatever its neighbours say. */
typedef struct {
    size_t series;
    double t, y;
} plot_dot;

/* All borrowed; none of what is counted may be NULL unless its count is 0. */
typedef struct {
    const char *title, *unit; /* over the plot: what is shown, and the unit of its values */
    const double *t;          /* s, rising */
    size_t count;             /* of times */
    const plot_series *series;
    size_t series_count; /* at most PLOT_LINES; what is more is not drawn */
    const plot_mark *marks;
    size_t mark_count;
    const plot_level *levels; /* those that the axis does not reach are not drawn */
    size_t level_count;
    const plot_dot *dots; /* of each line by time */
    size_t dot_count;
    double least, most; /* what the values' axis shows at least, however they lie; NaN: all */
    bool bounded;       /* it shows no more than these: lines go out of the frame there */
    bool decades; /* each mark of it is ten times the one below; bounded, and least is above 0 */
    double names; /* room kept for names beside the lines, points, at least */
    double x, y, width, height; /* of the whole with its words, points */
} plot;

/* Steps of an axis: the first of them at or below `low`, so many, ending at or above `high`. */
typedef struct {
    double from, step;
    int count; /* of marks, 2 or more */
} plot_ticks;
/* By 1, 2 or 5 times a power of ten, at most `most` + 2 marks; `most` 2 or more. Where high is not
 * above low, it is taken to be a little above. */
plot_ticks plot_ticks_of(double low, double high, int most);
/* By steps that clocks have: of seconds, minutes, or hours. */
plot_ticks plot_time_ticks(double low, double high, int most);
/* The unit in which such steps are told, and its seconds. */
const char *plot_time_unit(double high, double *seconds);

/* Puts labels, whose places are given from the top down, `apart` from each other at least and
 * within the bounds if there is room, each as near to its place as that allows. */
void plot_spread(double *places, size_t count, double apart, double top, double bottom);

/* Writes the plot. */
void plot_write(FILE *out, const plot *p);

#endif
