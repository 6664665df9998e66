#include "read/tags.h"

#include <stdbool.h>
#include <string.h>

#include "base/memory.h"
#include "read/xml.h"

/* ' a="" ' without the second blank: none is shorter. */
enum { ATTRIBUTE_LEAST = 5 };

typedef struct {
    const char *at, *end;
} stretch;

static const char *find(stretch in, char c)
{
    const char *found = in.at < in.end ? memchr(in.at, c, (size_t)(in.end - in.at)) : NULL;
    return found ? found : in.end;
}

static bool begins(stretch in, const char *with)
{
    size_t size = strlen(with);
    return (size_t)(in.end - in.at) >= size && !memcmp(in.at, with, size);
}

/* Behind the next such mark; the end where there is none. */
static const char *behind(stretch in, const char *mark)
{
    for (in.at = find(in, *mark); in.at < in.end; in.at++, in.at = find(in, *mark))
        if (begins(in, mark))
            return in.at + strlen(mark);
    return in.end;
}

/* Behind what holds no tag, and may hold what looks like one; where it stands if nothing such does. */
static const char *behind_other(stretch in)
{
    static const char *const others[][2] = {{"<!--", "-->"}, {"<![CDATA[", "]]>"}, {"<?", "?>"}};
    for (size_t i = 0; i < sizeof others / sizeof *others; i++)
        if (begins(in, others[i][0]))
            return behind((stretch){in.at + strlen(others[i][0]), in.end}, others[i][1]);
    return in.at;
}

typedef struct {
    size_t attributes, prefixes;
} tag_counts;

static const char DECLARES[] = "xmlns:";

/* Values in quotes, up to the tag's end, and declarations of prefixes among what they are of. */
static tag_counts count(stretch in)
{
    tag_counts counts = {0, 0};
    for (const char *from = in.at; in.at < in.end && *in.at != '>'; in.at++) {
        if (in.at > from && strchr(" \t\r\n", in.at[-1]) && begins(in, DECLARES))
            counts.prefixes++;
        if (*in.at != '"' && *in.at != '\'')
            continue;
        counts.attributes++;
        const char quote = *in.at++;
        in.at = find(in, quote);
        if (in.at == in.end)
            break;
    }
    return counts;
}

/* Most tags are short and declare nothing. */
static bool is_worth_counting(stretch in)
{
    return in.end - in.at > ATTRIBUTE_LEAST * XML_ATTRIBUTES_MAX || behind(in, DECLARES) < in.end;
}

static void tell(stretch text, const char *from, crowded_tag *tag)
{
    size_t size = 0;
    for (const char *at = from + 1; at < text.end && size + 1 < TAG_NAME; at++) {
        if (strchr(" \t\r\n", *at))
            break;
        tag->name[size++] = *at;
    }
    tag->name[size] = '\0';
    tag->line = 1;
    for (text.end = from; (text.at = find(text, '\n')) < text.end; text.at++)
        tag->line++;
}

static tags_verdict look_through(stretch text, crowded_tag *tag)
{
    stretch in = text;
    size_t prefixes = 0;
    while ((in.at = find(in, '<')) < in.end) {
        const char *other = behind_other(in);
        if (other > in.at) {
            in.at = other;
            continue;
        }
        const char *from = in.at++;
        stretch inside = {in.at, find(in, '<')}; /* which cannot stand in a tag */
        if (is_worth_counting(inside)) {
            const tag_counts counts = count(inside);
            const bool crowded = counts.attributes > XML_ATTRIBUTES_MAX;
            prefixes += counts.prefixes;
            if (crowded || prefixes > XML_PREFIXES_MAX) {
                tell(text, from, tag);
                return crowded ? TAGS_CROWDED : TAGS_PREFIXES;
            }
        }
        in.at = inside.end;
    }
    return TAGS_GOOD;
}

/* Bytes of a sign, by the four that a text begins with (Extensible Markup Language 1.0, fifth edition,
 * appendix F), and which of them has ASCII. */
static size_t width_of(const char *text, size_t size, size_t *low)
{
    const unsigned char *b = (const unsigned char *)text;
    *low = 0;
    if (size < 4)
        return 1;
    bool wide = !b[0] && !b[1], wide_little = !b[2] && !b[3];
    if (wide || wide_little) {
        *low = wide ? 3 : 0;
        return 4;
    }
    if ((b[0] == 0xFE && b[1] == 0xFF) || !b[0]) {
        *low = 1;
        return 2;
    }
    return (b[0] == 0xFF && b[1] == 0xFE) || !b[1] ? 2 : 1;
}

/* Each sign as one byte; what is not ASCII as one that means nothing in a tag. */
static char *narrowed(const char *text, size_t signs, size_t width, size_t low)
{
    char *narrow = memory_new(signs, 1);
    for (size_t i = 0; narrow && i < signs; i++) {
        const char *sign = text + i * width;
        bool ascii = true;
        for (size_t k = 0; k < width; k++)
            ascii = ascii && (k == low || !sign[k]);
        narrow[i] = ascii ? sign[low] : 'x';
    }
    return narrow;
}

tags_verdict tags_look_through(const char *text, size_t size, crowded_tag *tag)
{
    size_t low, width = width_of(text, size, &low), signs = size / width;
    if (width == 1)
        return look_through((stretch){text, text + size}, tag);
    char *narrow = narrowed(text, signs, width, low);
    if (!narrow)
        return TAGS_NO_MEMORY;
    tags_verdict verdict = look_through((stretch){narrow, narrow + signs}, tag);
    memory_free(narrow);
    return verdict;
}
