/* What is said of a flood, and what is taken where nothing is asked. */
#include "coaming/flood.h"

const char *coaming_flood_change_word(coaming_flood_change_kind kind)
{
    static const char *const words[] = {
#define WORD(code, word) word,
        COAMING_FLOOD_CHANGE_TABLE(WORD)
#undef WORD
    };
    return words[kind];
}

const char *coaming_flood_event_word(coaming_flood_event_kind kind)
{
    static const char *const words[] = {
#define WORD(code, word, text) word,
        COAMING_FLOOD_EVENT_TABLE(WORD)
#undef WORD
    };
    return words[kind];
}

const char *coaming_flood_event_text(coaming_flood_event_kind kind)
{
    static const char *const texts[] = {
#define TEXT(code, word, text) text,
        COAMING_FLOOD_EVENT_TABLE(TEXT)
#undef TEXT
    };
    return texts[kind];
}

coaming_flood_ask coaming_flood_ask_default(void)
{
    return (coaming_flood_ask){.condition = COAMING_NO_CONDITION,
                               .loading = COAMING_NO_LOADING,
                               .until = 3600,
                               .every = 60,
                               .discharge = 0.6,
                               .stand_off = 0.002,
                               .tolerance = 1e-5,
                               .grades = true};
}
