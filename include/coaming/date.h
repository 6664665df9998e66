/*
 * coaming/date.h - calendar dates as day numbers.
 *
 * A coaming_date counts days from 1970-01-01 in the proleptic Gregorian calendar; differences are
 * days. Conversion follows the era arithmetic of the Gregorian calendar (400 years = 146,097 days).
 */
#ifndef COAMING_DATE_H
#define COAMING_DATE_H

#include <stdbool.h>
#include <stdint.h>

#include "coaming/error.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef int32_t coaming_date;

#define COAMING_NO_DATE INT32_MIN

enum { COAMING_DATE_TEXT = 16 }; /* size of a buffer for coaming_date_format */

/* "2026-09-30" (ISO 8601 calendar date, years 1900 to 2999) to a date; false if it is no date. */
COAMING_API bool coaming_date_parse(const char *text, coaming_date *date);

/* Writes YYYY-MM-DD; "never" for COAMING_NO_DATE. Returns buffer. */
COAMING_API const char *coaming_date_format(coaming_date date, char buffer[COAMING_DATE_TEXT]);

/* Today by the machine's clock and time zone. */
COAMING_API coaming_date coaming_date_today(void);

#ifdef __cplusplus
}
#endif

#endif
