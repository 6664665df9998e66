#include "present/tell/late_words.h"

#include <stdio.h>

enum { LATE_COLUMNS = 24 }; /* at most, of "-2147483648 d over" */

const char *late_words(char buffer[SHOWN], const coaming_due_row *row)
{
    if (row->due == COAMING_NO_DATE)
        snprintf(buffer, SHOWN, "never done");
    else if (row->late > 0)
        snprintf(buffer, SHOWN, "%d d over", row->late);
    else if (row->late == 0)
        snprintf(buffer, SHOWN, "today");
    else
        snprintf(buffer, SHOWN, "in %d d", -row->late);
    return buffer;
}

const char *late_alone_words(char buffer[SHOWN], const coaming_due_row *row)
{
    char late[SHOWN];
    bool never = row->due == COAMING_NO_DATE;
    late_words(late, row);
    snprintf(buffer, SHOWN, "%s%s%.*s", never ? row->method : "", never ? " " : "", LATE_COLUMNS,
             late);
    return buffer;
}

const char *retest_words(const coaming_due_row *row)
{
    return row->reason == COAMING_DUE_FAILED     ? "retest after failure"
           : row->reason == COAMING_DUE_REPAIRED ? "retest after repair"
                                                 : "";
}

const char *due_count_words(char buffer[SHOWN], const coaming_due *due)
{
    char tests[SHOWN];
    size_t overdue = coaming_due_overdue_count(due);
    counted(tests, (double)overdue, "test", "tests");
    snprintf(buffer, SHOWN, "%.60s overdue, %zu due after that", tests,
             coaming_due_count(due) - overdue);
    return buffer;
}
