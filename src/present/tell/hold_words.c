#include "present/tell/hold_words.h"

#include <stdio.h>
#include <stdlib.h>

#include "present/tell/float_words.h"

const char *hold_chance(char buffer[SHOWN], double value)
{
    if (value > 0.9995)
        snprintf(buffer, SHOWN, "over 99.9%%");
    else
        snprintf(buffer, SHOWN, "%.*f%%", value < 0.1 ? 2 : 1, 100 * value);
    if (value > 0 && value < 0.00005)
        snprintf(buffer, SHOWN, "under 0.01%%");
    return buffer;
}

const char *hold_why_open(const ship_link *l, coaming_hazard hazard)
{
    if (l->passage)
        return "open";
    if (!l->ever_shut)
        return "never shut";
    if (l->rating == NONTIGHT)
        return "not tight";
    if (hazard == COAMING_WATER && l->rating == WEATHERTIGHT)
        return "weathertight only, under water";
    return "sure to leak";
}

int hold_by_need(const void *left, const void *right)
{
    const coaming_hold_closure *a = left, *b = right;
    if (a->must_be_shut != b->must_be_shut)
        return a->must_be_shut ? -1 : 1;
    if (a->leak_probability != b->leak_probability)
        return a->leak_probability > b->leak_probability ? -1 : 1;
    return (a->closure > b->closure) - (a->closure < b->closure);
}

char *hold_float_words(const coaming_ship *ship, const coaming_hold_line *line)
{
    char heel[SHOWN], *text = NULL, *grade = grade_words(ship, &line->at, &line->stability);
    size_t size = 0;
    FILE *out = grade ? open_memstream(&text, &size) : NULL;
    if (out && line->stability.grade == COAMING_GRADE_LOST)
        fprintf(out,
                "WITH ALL FLOODED THAT THE SOURCE CAN FILL UP TO THE LINE she %s. Name more "
                "spaces with --protect for a line nearer to it.",
                grade);
    else if (out)
        fprintf(out,
                "With all flooded that the source can fill up to the line, she floats at %.2f m "
                "amidships, heel %s; she %s.",
                line->at.draught, heel_words(heel, &line->at, 1), grade);
    free(grade);
    if (out && !fclose(out))
        return text;
    free(text);
    return NULL;
}

static bool among(const int *spaces, size_t count, int space)
{
    for (size_t i = 0; i < count; i++)
        if (spaces[i] == space)
            return true;
    return false;
}

char *hold_given_up_words(const coaming_ship *ship, const coaming_hold_answer *a, size_t index)
{
    const coaming_hold_line *line = &a->lines[index];
    const coaming_hold_line *before = index ? &a->lines[index - 1] : NULL;
    char part[SHOWN], *text = NULL;
    size_t size = 0;
    double people = 0;
    bool started = false;
    FILE *out = open_memstream(&text, &size);
    if (!out)
        return NULL;
    fprintf(out, "Given up%s: ", before ? " besides" : "");
    for (size_t i = 0; i < line->given_up_count; i++) {
        const ship_space *s = &ship->spaces[line->given_up[i]];
        people += s->people;
        if (before && among(before->given_up, before->given_up_count, line->given_up[i]))
            continue;
        fprintf(out, "%s%s", started ? ", " : "", shown(part, s->id, 30));
        started = true;
    }
    fprintf(out, "%s. In all %s", started ? "" : "no space",
            counted(part, (double)line->given_up_count, "space", "spaces"));
    if (people > 0)
        fprintf(out, "; %s counted there", counted(part, people, "person", "people"));
    fputc('.', out);
    if (!fclose(out))
        return text;
    free(text);
    return NULL;
}
