/* read/graphml.h - a network as GraphML (graphml.graphdrawing.org, schema 1.0). */
#ifndef READ_GRAPHML_H
#define READ_GRAPHML_H

#include <stdio.h>

#include "base/network.h"
#include "coaming/error.h"

/* Ids are written as the XML name tokens that GraphML wants: a character that cannot stand in one
 * becomes _xHHHH_, its code point in hexadecimal, and so does a _ before an x (as names are mapped
 * in ISO/IEC 9075-14, SQL/XML). Errors of writing are left to ferror(out). */
coaming_status graphml_write(FILE *out, const network *n, coaming_error *error);

#endif
