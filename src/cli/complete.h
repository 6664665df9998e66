/*
 * cli/complete.h - what may stand where the cursor is, for the shells.
 *
 * `coaming __complete WORD...` is given the words behind the program's name up to and including the
 * one at the cursor, without quotes. The first line of the answer says what follows:
 *   words         words, one a line, each perhaps with a tab and what it means; behind one that does
 *                 not end in = comes a blank
 *   part          the same, but more may come in the same word, so that no blank follows
 *   files END     files and folders: any, or files that end in END; one line more says what of the
 *                 word at the cursor stands before the file's name, such as --log=
 * Words are whole: they begin with the word at the cursor. What they mean is from the table of
 * options, ids are from the files on the command line. It never complains.
 */
#ifndef CLI_COMPLETE_H
#define CLI_COMPLETE_H

#include <stdio.h>

void complete(FILE *out, int count, const char *const *words);

#endif
