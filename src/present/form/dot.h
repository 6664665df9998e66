/* present/form/dot.h - a network in the DOT language of Graphviz. */
#ifndef PRESENT_DOT_H
#define PRESENT_DOT_H

#include <stdio.h>

#include "base/network.h"

/* All values as attributes. Every text is a quoted string in which a quote is \" and a backslash \\
 * (the DOT language itself knows no other escape than \", but its labels do), never a string of
 * markup; what deceives the eye is shown by its number (text_kept of base/text.h). Labels are the id and the name; in them & is &amp;, for Graphviz reads entities there. */
void dot_write(FILE *out, const network *n);

#endif
