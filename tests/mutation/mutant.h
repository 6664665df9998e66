/* mutant.h - included ahead of each mutated file: is it this change that is made now? */
#ifndef TESTS_MUTATION_MUTANT_H
#define TESTS_MUTATION_MUTANT_H

extern int mutant_now;                 /* -1: none, she is as her source is */
extern unsigned char *mutants_reached; /* a mark for each that is come by, or NULL */

static inline int mutant_is(int number)
{
    if (__builtin_expect(mutants_reached != 0, 0))
        mutants_reached[number] = 1;
    return __builtin_expect(number == mutant_now, 0);
}

#endif
