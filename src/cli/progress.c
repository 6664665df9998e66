#include <errno.h>
#include <signal.h>
#include <string.h>
#include <sys/time.h>
#include <unistd.h>

#include "cli.h"

static volatile sig_atomic_t seconds;
static char line[80];
static size_t length;
enum { NUMBER = 8 }; /* signs of the seconds behind it */

/* Only what a signal handler may do: write. */
static void tick(int signal_number)
{
    (void)signal_number;
    int kept = errno;
    seconds++;
    unsigned s = (unsigned)seconds;
    char number[NUMBER + 1] = "       s";
    for (size_t i = 5; s && i > 0; i--, s /= 10)
        number[i] = (char)('0' + s % 10);
    if (write(STDERR_FILENO, line, length) == (ssize_t)length)
        (void)!write(STDERR_FILENO, number, NUMBER);
    errno = kept;
}

static void set_timer(long every)
{
    struct itimerval timer = {{every, 0}, {every, 0}};
    setitimer(ITIMER_REAL, &timer, NULL);
}

void progress_start(const char *what)
{
    if (!isatty(STDERR_FILENO))
        return;
    length = (size_t)snprintf(line, sizeof line, "\rcoaming %.20s: working,", what);
    struct sigaction action;
    memset(&action, 0, sizeof action);
    action.sa_handler = tick;
    action.sa_flags = SA_RESTART;
    if (sigaction(SIGALRM, &action, NULL) == 0)
        set_timer(1);
}

void progress_stop(void)
{
    if (!length)
        return;
    set_timer(0);
    if (seconds) { /* blanks, for not every terminal knows how to clear a line */
        fprintf(stderr, "\r%*s\r", (int)length + NUMBER, "");
        fflush(stderr);
    }
    length = 0;
}

void progress_cut(void)
{
    char blanks[sizeof line + NUMBER + 2];
    size_t size = length + NUMBER;
    if (!length || !seconds)
        return;
    memset(blanks, ' ', sizeof blanks);
    blanks[0] = blanks[size + 1] = '\r';
    (void)!write(STDERR_FILENO, blanks, size + 2);
}
