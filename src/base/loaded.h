/* base/loaded.h - which file a function of another library was loaded from. */
#ifndef BASE_LOADED_H
#define BASE_LOADED_H

#include <stddef.h>

/* Into buffer the name of the file, behind links and without its folder: "libcsv.so.3.0.2"; "?" where
 * the loader does not say. function: any of that library. */
void loaded_from(void (*function)(void), char *buffer, size_t size);

#endif
