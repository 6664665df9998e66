#include <string.h>

#include "commands.h"
#include "complete.h"
#include "memory_out.h"
#include "options.h"

static void help(FILE *out)
{
    fputs("Usage: coaming COMMAND [OPTION]... SHIP.xml [ARGUMENT]...\n"
          "Which spaces of a ship flood or get bad air if a closure fails, which to repair\n"
          "first, and which tests are due.\n\nCommands:\n",
          out);
    for (const command *c = commands; c->name; c++)
        fprintf(out, "  %-8s %s\n", c->name, c->purpose);
    fputs("\n'coaming COMMAND --help' tells more of one, and so does 'man coaming-COMMAND'.\n"
          "Exit status: 0 done; 1 found what the command's page says; 2 usage; 3 bad input;\n"
          "4 the machine failed (memory, disk).\n",
          out);
}

static void help_command(FILE *out, const command *c)
{
    fprintf(out, "Usage: coaming %s [OPTION]... %s\n%s\nOptions:\n", c->name, c->arguments,
            c->help);
    options_help(out, c);
}

static void version(FILE *out, bool verbose)
{
    static const char row[] = "%-9s %-11s %-19s %-25s %s\n";
    coaming_library l;
    fputs("coaming " COAMING_VERSION "\n", out);
    if (verbose)
        fprintf(out, row, "library", "built with", "running", "licence", "for");
    for (size_t i = 0; verbose && coaming_library_get(i, &l); i++)
        fprintf(out, row, l.name, l.built, l.running, l.licence, l.purpose);
}

/* Standard output was written to: a full disk must not pass for success. */
static int close_stdout(void)
{
    int reason = output_flush(stdout);
    if (!reason)
        return EXIT_DONE;
    complain("standard output: cannot be written: %s", strerror(reason));
    return EXIT_MACHINE;
}

static int run_command(const command *c, int argc, char **argv)
{
    for (int i = 1; i < argc && strcmp(argv[i], "--"); i++) {
        if (!strcmp(argv[i], "--help") || !strcmp(argv[i], "-h")) {
            help_command(stdout, c);
            return close_stdout();
        }
    }
    options o = {.command = c};
    int status = options_parse(&o, argc, argv);
    if (status < 0) {
        progress_start(c->name);
        status = c->run(&o);
        progress_stop();
    }
    options_free(&o);
    return status;
}

static int unknown_command(const char *name)
{
    complain("there is no command '%s'; 'coaming --help' lists them", name);
    return EXIT_USAGE;
}

int main(int argc, char **argv)
{
    static char line[BUFSIZ]; /* of our own, for what is told last must not want memory */
    setvbuf(stderr, line, _IOLBF, sizeof line); /* a line at a time, not a sign at a time */
    if (argc < 2) {
        complain("a command is missing; 'coaming --help' lists them");
        return EXIT_USAGE;
    }
    const char *word = argv[1];
    if (!strcmp(word, "--version") || !strcmp(word, "-V")) {
        version(stdout, argc > 2 && !strcmp(argv[2], "--verbose"));
        return close_stdout();
    }
    if (!strcmp(word, "--help") || !strcmp(word, "-h") || !strcmp(word, "help")) {
        const command *about = argc > 2 ? command_find(argv[2]) : NULL;
        if (argc > 2 && !about)
            return unknown_command(argv[2]);
        if (about)
            help_command(stdout, about);
        else
            help(stdout);
        return close_stdout();
    }
    if (!strcmp(word, "__complete")) {
        memory_out_quietly();
        setvbuf(stdout, NULL, _IOLBF, BUFSIZ); /* what is offered is out, whatever comes */
        complete(stdout, argc - 2, (const char *const *)argv + 2);
        return close_stdout();
    }
    const command *c = command_find(word);
    return c ? run_command(c, argc - 1, argv + 1) : unknown_command(word);
}
