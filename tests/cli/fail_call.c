/*
 * fail_call.c - loaded before the program (LD_PRELOAD) to let a chosen call of the system fail, or to
 * kill the program at it.
 *
 * Counted are the calls that open, read, change or close a file below the folder FAIL_IN (an absolute
 * path), whoever makes them: the system itself hands them over (seccomp), so that those inside the C
 * library are among them. The call number FAIL_AT (from 1) is not made: it fails with the errno
 * FAIL_ERROR, or without that the process kills itself. With FAIL_ON=1 those after it fail too; if
 * the errno is ENOSPC, only those that take room, and a write that fails first writes half. What was
 * called is written to the file FAIL_TRACE, a line for each call. For Linux on x86-64 and aarch64.
 */
#define _GNU_SOURCE
#include <errno.h>
#include <fcntl.h>
#include <linux/audit.h>
#include <linux/filter.h>
#include <linux/seccomp.h>
#include <signal.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/prctl.h>
#include <sys/syscall.h>
#include <ucontext.h>
#include <unistd.h>

#if defined(__x86_64__)
#define ARCHITECTURE           AUDIT_ARCH_X86_64
#define ARGUMENT(registers, i) ((registers)[(int[]){REG_RDI, REG_RSI, REG_RDX, REG_R10, REG_R8}[i]])
#define RESULT(registers)      ((registers)[REG_RAX])
#define REGISTERS(context)     ((context)->uc_mcontext.gregs)
#elif defined(__aarch64__)
#define ARCHITECTURE           AUDIT_ARCH_AARCH64
#define ARGUMENT(registers, i) ((registers)[i])
#define RESULT(registers)      ((registers)[0])
#define REGISTERS(context)     ((context)->uc_mcontext.regs)
#endif

enum { OURS = 0x5eccf1de }; /* as sixth argument: a call that is made after all */

/* The call's name, which argument is its descriptor or, with PATH, its path; does it take room? */
enum { PATH = 8 };
typedef struct {
    long number;
    const char *name;
    int where;
    bool takes_room;
} watched;

static const watched calls[] = {
    {SYS_openat, "open", PATH + 1, true}, /* if it makes a file */
    {SYS_read, "read", 0, false},
    {SYS_write, "write", 0, true},
    {SYS_writev, "write", 0, true},
    {SYS_pwrite64, "write", 0, true},
    {SYS_close, "close", 0, false},
    {SYS_fsync, "fsync", 0, true},
    {SYS_fdatasync, "fsync", 0, true},
    {SYS_ftruncate, "ftruncate", 0, true},
    {SYS_flock, "flock", 0, false},
    {SYS_lseek, "lseek", 0, false},
    {SYS_fchmod, "fchmod", 0, false},
    {SYS_renameat2, "rename", PATH + 3, true},
    {SYS_linkat, "link", PATH + 3, true},
    {SYS_unlinkat, "unlink", PATH + 1, false},
#ifdef SYS_open
    {SYS_open, "open", PATH + 0, true},
    {SYS_rename, "rename", PATH + 1, true},
    {SYS_renameat, "rename", PATH + 3, true},
    {SYS_link, "link", PATH + 1, true},
    {SYS_unlink, "unlink", PATH + 0, false},
#endif
};
enum { CALLS = sizeof calls / sizeof *calls };

static const char *folder;
static char here[4100]; /* where the program runs; it goes nowhere else */
static int counted, at, error, tracing = -1;
static bool on, half_written;

/* The absolute path that a call is about; false where it is not watched. */
static bool path_of(const watched *call, const long arguments[5], char *path, size_t size)
{
    char descriptor[40];
    if (call->where >= PATH) {
        const char *given = (const char *)arguments[call->where - PATH];
        snprintf(path, size, "%s%s%s", *given == '/' ? "" : here, *given == '/' ? "" : "/", given);
    } else {
        snprintf(descriptor, sizeof descriptor, "/proc/self/fd/%ld", arguments[call->where]);
        ssize_t length = readlink(descriptor, path, size - 1);
        path[length < 0 ? 0 : length] = '\0';
    }
    return !strncmp(path, folder, strlen(folder));
}

static void trace(const char *name, const char *path)
{
    char line[5000];
    int size = snprintf(line, sizeof line, "%s %s\n", name, path);
    if (tracing >= 0)
        syscall(SYS_write, tracing, line, size, 0, 0, OURS);
}

static bool makes_file(const watched *call, const long arguments[5])
{
    bool opens = !strcmp(call->name, "open");
    return call->takes_room && (!opens || arguments[call->where - PATH + 1] & O_CREAT);
}

static bool chosen(const watched *call, const long arguments[5])
{
    if (!at || counted < at || (counted > at && !on))
        return false;
    return !(on && error == ENOSPC) || makes_file(call, arguments);
}

static long make(long number, const long a[5])
{
    long result = syscall(number, a[0], a[1], a[2], a[3], a[4], OURS);
    return result < 0 ? -errno : result;
}

static long answer(const watched *call, const long arguments[5])
{
    char path[2 * sizeof here];
    if (!path_of(call, arguments, path, sizeof path))
        return make(call->number, arguments);
    counted++;
    trace(call->name, path);
    if (!chosen(call, arguments))
        return make(call->number, arguments);
    if (!error)
        kill(getpid(), SIGKILL);
    if (call->number == SYS_write && on && !half_written && arguments[2] > 1) {
        long half[5] = {arguments[0], arguments[1], arguments[2] / 2};
        half_written = true;
        return make(SYS_write, half);
    }
    if (call->number == SYS_close) /* it is closed all the same */
        make(SYS_close, arguments);
    return -error;
}

static void on_call(int number, siginfo_t *about, void *given)
{
    (void)number;
    int kept = errno;
    ucontext_t *context = given;
    for (int i = 0; i < CALLS; i++) {
        if (calls[i].number != about->si_syscall)
            continue;
        long arguments[5];
        for (int k = 0; k < 5; k++)
            arguments[k] = (long)ARGUMENT(REGISTERS(context), k);
        RESULT(REGISTERS(context)) = answer(&calls[i], arguments);
    }
    errno = kept;
}

static int number_of(const char *name)
{
    const char *value = getenv(name);
    return value ? atoi(value) : 0;
}

#define LOAD(field)                                                                                \
    (struct sock_filter) BPF_STMT(BPF_LD | BPF_W | BPF_ABS, offsetof(struct seccomp_data, field))
#define UNLESS(value, skipped)                                                                     \
    (struct sock_filter) BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, (value), 0, (skipped))
#define END(action) (struct sock_filter) BPF_STMT(BPF_RET | BPF_K, (action))

/* Little-endian: the lower half of the sixth argument comes first. */
static bool watch(void)
{
    struct sock_filter rules[2 * CALLS + 10];
    unsigned short n = 0;
    rules[n++] = LOAD(arch);
    rules[n++] = UNLESS(ARCHITECTURE, 2);
    rules[n++] = LOAD(args[5]);
    rules[n++] = UNLESS(OURS, 1);
    rules[n++] = END(SECCOMP_RET_ALLOW);
    rules[n++] = LOAD(nr);
    for (int i = 0; i < CALLS; i++) {
        rules[n++] = UNLESS((unsigned)calls[i].number, 1);
        rules[n++] = END(SECCOMP_RET_TRAP);
    }
    rules[n++] = END(SECCOMP_RET_ALLOW);
    struct sock_fprog program = {n, rules};
    struct sigaction action = {.sa_sigaction = on_call, .sa_flags = SA_SIGINFO | SA_NODEFER};
    return sigaction(SIGSYS, &action, NULL) == 0 && prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0) == 0 &&
           prctl(PR_SET_SECCOMP, SECCOMP_MODE_FILTER, &program) == 0;
}

__attribute__((constructor)) static void begin(void)
{
    const char *file = getenv("FAIL_TRACE");
    folder = getenv("FAIL_IN");
    if (!folder || !getcwd(here, sizeof here))
        return;
    at = number_of("FAIL_AT");
    error = number_of("FAIL_ERROR");
    on = number_of("FAIL_ON");
    if (file)
        tracing = open(file, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0600);
    if (!watch())
        _exit(98); /* calls cannot be watched here */
}
