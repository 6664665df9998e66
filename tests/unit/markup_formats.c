/* Compiled, never run: a format of markup_put whose argument is of the right kind, or is not. */
#include "present/form/markup.h"

void formats(FILE *out);

void formats(FILE *out)
{
#ifdef WRONG
    markup_put(out, "<p>%s</p>", 4);
#else
    markup_put(out, "<p%-s>%s %d %zu %f %g%%</p>", "", "a", 1, (size_t)2, 3.0, 4.0);
#endif
}
