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

/* How the dates of a sheet are written: their order and the signs between; days and months of one
 * or two digits, years of four. */
#define COAMING_DATE_ORDERS(X)                                                                     \
    X(YMD, "Y-M-D")                                                                                \
    X(DMY_POINTS, "D.M.Y")                                                                         \
    X(DMY, "D/M/Y")                                                                                \
    X(MDY, "M/D/Y")
#define COAMING_DATE_ORDER_CODE(code, word) COAMING_DATES_##code,
typedef enum {
    COAMING_DATES_ISO, /* as coaming_date_parse, and nothing else */
    COAMING_DATE_ORDERS(COAMING_DATE_ORDER_CODE) COAMING_DATE_ORDERS_COUNT
} coaming_date_order;
#undef COAMING_DATE_ORDER_CODE

/* "D.M.Y" and so on to the code; false if it is none. And back (not for COAMING_DATES_ISO). */
COAMING_API bool coaming_date_order_parse(const char *word, coaming_date_order *order);
COAMING_API const char *coaming_date_order_word(coaming_date_order order);

/* A date by the order, or as coaming_date_parse takes it, which stands for itself in any order;
 * false if it is neither. Years 1900 to 2999. */
COAMING_API bool coaming_date_read(const char *text, coaming_date_order order, coaming_date *date);

/* Writes YYYY-MM-DD; "never" for COAMING_NO_DATE. Returns buffer. */
COAMING_API const char *coaming_date_format(coaming_date date, char buffer[COAMING_DATE_TEXT]);

/* Today by the machine's clock and time zone. */
COAMING_API coaming_date coaming_date_today(void);

#ifdef __cplusplus
}
#endif

#endif
