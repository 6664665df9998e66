#include "cli.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <sys/stat.h>
#include <unistd.h>

static coaming_style style_for(const options *o, int descriptor)
{
    coaming_style style = {o->format, false, 80};
    const char *no_colour = getenv("NO_COLOR"), *term = getenv("TERM");
    if (!isatty(descriptor))
        return style;
    style.colour = !(no_colour && *no_colour) && !(term && !strcmp(term, "dumb"));
    struct winsize size;
    if (ioctl(descriptor, TIOCGWINSZ, &size) == 0 && size.ws_col > 0)
        style.columns = size.ws_col;
    return style;
}

static int cannot_write(const char *path, int reason)
{
    complain("%s: cannot be written: %s", path, strerror(reason));
    return EXIT_MACHINE;
}

/* One step along a symbolic link that leads to no file yet; false where path is none. */
static bool follow(char path[PATH_MAX])
{
    char to[PATH_MAX], joined[2 * PATH_MAX];
    ssize_t length = readlink(path, to, sizeof to - 1);
    if (length < 0)
        return false;
    to[length] = '\0';
    const char *slash = strrchr(path, '/');
    int folder = to[0] == '/' || !slash ? 0 : (int)(slash - path) + 1;
    int size = snprintf(joined, sizeof joined, "%.*s%s", folder, path, to);
    if (size >= PATH_MAX)
        return false;
    memcpy(path, joined, (size_t)size + 1);
    return true;
}

/* The file that is meant: behind links, so that a link stays a link. NULL when out of memory. */
static char *resolve(const char *path)
{
    char *real = realpath(path, NULL), at[PATH_MAX];
    if (real || strlen(path) >= sizeof at)
        return real ? real : strdup(path);
    memcpy(at, path, strlen(path) + 1);
    for (int links = 0; links < 40 && follow(at); links++)
        ;
    return strdup(at);
}

/* one: a file that there is; of a device nothing is lost. */
static bool same_file(const struct stat *one, const char *path)
{
    struct stat other;
    bool standard = is_standard_input(path);
    return (standard ? fstat(STDIN_FILENO, &other) : stat(path, &other)) == 0 &&
           (!standard || S_ISREG(other.st_mode)) && one->st_dev == other.st_dev &&
           one->st_ino == other.st_ino;
}

/* Would the answer take the place of what it was worked out from? */
static bool is_input(const options *o, const struct stat *target)
{
    const char *const inputs[] = {
        o->ship,         o->import.spaces, o->import.closures, o->import.passages,
        o->import.pumps, o->import.fans,   o->beside,          o->sheet};
    bool found = false;
    for (size_t i = 0; i < sizeof inputs / sizeof *inputs; i++)
        found = found || (inputs[i] && same_file(target, inputs[i]));
    for (size_t i = 0; i < o->logs.count; i++)
        found = found || same_file(target, o->logs.texts[i]);
    return found;
}

/* Stopped by a signal, the program takes its unfinished file away with it. */
static const char *volatile unfinished;

void output_take_back(void)
{
    if (unfinished)
        unlink(unfinished);
}

static void on_signal(int number)
{
    output_take_back();
    signal(number, SIG_DFL);
    raise(number);
}

static void guard(const char *path)
{
    static const int signals[] = {SIGINT, SIGTERM, SIGHUP, SIGQUIT};
    unfinished = path;
    for (size_t i = 0; i < sizeof signals / sizeof *signals; i++)
        signal(signals[i], path ? on_signal : SIG_DFL);
}

/* A file beside the target, with the permissions that the target has or would get. */
static int open_temporary(output *out, const struct stat *old)
{
    size_t size = strlen(out->target) + sizeof ".XXXXXX";
    out->temporary = malloc(size);
    if (!out->temporary)
        return ENOMEM;
    snprintf(out->temporary, size, "%s.XXXXXX", out->target);
    int descriptor = mkstemp(out->temporary);
    if (descriptor < 0) {
        int reason = errno;
        free(out->temporary);
        out->temporary = NULL;
        return reason;
    }
    guard(out->temporary);
    mode_t mask = umask(0);
    umask(mask);
    mode_t mode = old ? old->st_mode & 07777 : 0666 & ~mask;
    if (fchmod(descriptor, mode) == 0)
        out->stream = fdopen(descriptor, "w");
    if (!out->stream) {
        int reason = errno;
        close(descriptor);
        unlink(out->temporary);
        guard(NULL);
        return reason;
    }
    return 0;
}

int output_open(output *out, const options *o)
{
    *out = (output){.style = style_for(o, -1), .shown = "standard output"};
    if (!o->output || !strcmp(o->output, "-")) {
        out->stream = stdout;
        out->style = style_for(o, STDOUT_FILENO);
        if (isatty(
                STDOUT_FILENO)) /* held back, so that the line of progress is not mixed into it */
            out->stream = open_memstream(&out->held, &out->held_size);
        return out->stream ? -1 : cannot_write(out->shown, ENOMEM);
    }
    out->shown = o->output;
    out->target = resolve(o->output);
    if (!out->target)
        return cannot_write(o->output, ENOMEM);
    struct stat old;
    bool exists = stat(out->target, &old) == 0;
    int reason = 0;
    if (exists && is_input(o, &old)) {
        complain("%s: is an input; the answer must go to another file", o->output);
        free(out->target);
        return EXIT_USAGE;
    }
    if (exists && !S_ISREG(old.st_mode)) { /* a device or a pipe: nothing to put in its place */
        out->stream = fopen(out->target, "w");
        reason = out->stream ? 0 : errno;
    } else {
        reason = open_temporary(out, exists ? &old : NULL);
    }
    if (!out->stream) {
        free(out->temporary);
        free(out->target);
        return cannot_write(o->output, reason);
    }
    return -1;
}

int output_flush(FILE *stream)
{
    errno = 0;
    if (fflush(stream) == 0 && !ferror(stream))
        return 0;
    /* It may have failed long ago: then one byte more tells why. */
    if (!errno)
        (void)!write(fileno(stream), "\n", 1);
    return errno ? errno : EIO;
}

/* Ends holding back, and writes what was held if it is to be kept. */
static int let_go(output *out, bool keep)
{
    int reason = fclose(out->stream) ? errno : 0;
    out->stream = stdout;
    progress_stop();
    if (!reason && keep)
        fwrite(out->held, 1, out->held_size, stdout);
    free(out->held);
    out->held = NULL;
    return reason;
}

int output_close(output *out, coaming_status status, const coaming_error *error)
{
    bool held = out->stream != stdout && !out->target;
    int reason = held ? let_go(out, status == COAMING_OK) : 0;
    reason = reason ? reason : output_flush(out->stream);
    if (!reason && out->temporary && fsync(fileno(out->stream)))
        reason = errno;
    if (fclose(out->stream) && !reason)
        reason = errno;
    bool keep = status == COAMING_OK && !reason;
    if (out->temporary && keep && rename(out->temporary, out->target))
        reason = errno;
    if (out->temporary && (!keep || reason))
        unlink(out->temporary);
    if (out->temporary)
        guard(NULL);
    int result = status != COAMING_OK ? complain_of(error)
                 : reason             ? cannot_write(out->shown, reason)
                                      : EXIT_DONE;
    free(out->temporary);
    free(out->target);
    return result;
}

void output_drop(output *out)
{
    if (out->stream != stdout)
        fclose(out->stream);
    free(out->held);
    if (out->temporary) {
        unlink(out->temporary);
        guard(NULL);
    }
    free(out->temporary);
    free(out->target);
}
