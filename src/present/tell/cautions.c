/* What is taken for granted, and by whom it is decided: once in every answer. */
#include "coaming/present.h"
#include "present/tell/air_words.h"
#include "present/tell/flood_words.h"

#define CAUTION_START                                                                              \
    "Worked out from the arrangement and the tests as recorded: water is one level plane that "    \
    "fills all it can reach, bad air goes by every open way, and closures are taken as shut by "   \
    "condition, unless named as seen. "
#define CAUTION_FLOAT                                                                              \
    "She floats in still water, at rest, tight up to her deck, with nothing shifting but a "       \
    "loading's liquids, no wind and no waves. "
#define CAUTION_DECIDE "Ship's orders, class, flag and licensed practice decide."
#define CAUTION_END    "A chalk print shows contact, not tightness. " CAUTION_DECIDE

const char *coaming_caution(void)
{
    return CAUTION_START CAUTION_END;
}

const char *coaming_test_caution(void)
{
    return "Worked out from the register and the log as they stand; intervals, minutes and "
           "distances marked as assumptions are that. " CAUTION_END;
}

const char *coaming_caution_at(coaming_level level)
{
    return level.kind == COAMING_LEVEL_EQUILIBRIUM ? CAUTION_START CAUTION_FLOAT CAUTION_END
                                                   : coaming_caution();
}

#define CAUTION_HOLD                                                                               \
    "Chances rest on assumed ageing of gaskets and on closures failing independently of each "     \
    "other, and say nothing of heat, of pressure beyond what a closure is made for, or of a way "  \
    "that is not recorded. "

const char *coaming_hold_caution(coaming_level level)
{
    return level.kind == COAMING_LEVEL_EQUILIBRIUM
               ? CAUTION_START CAUTION_HOLD CAUTION_FLOAT CAUTION_END
               : CAUTION_START CAUTION_HOLD CAUTION_END;
}

#define CAUTION_CASUALTY                                                                           \
    "Worked out from the arrangement and the tests as recorded, doors as the condition has them "  \
    "unless named as seen, chances by assumed ageing of gaskets; nothing of heat, of pressure, "   \
    "or "                                                                                          \
    "of a way that is not recorded. "

/* To be read aloud with the rest: shorter. */
const char *coaming_casualty_caution(coaming_level level)
{
    return level.kind == COAMING_LEVEL_EQUILIBRIUM ? CAUTION_CASUALTY
               "Still water, nothing shifting. " CAUTION_END
                                                   : CAUTION_CASUALTY CAUTION_END;
}

const char *coaming_float_caution(void)
{
    return "Worked out from the arrangement as recorded, for still water and a ship at rest: "
           "displacement and centre of gravity as when intact and nothing shifting, but for a "
           "loading's liquids; the hull tight up to its deck, no wind and no waves. Ship's orders, "
           "class, flag and licensed practice decide.";
}

#define CAUTION_FLOWS                                                                              \
    "water may be faster on board, a door may not go to against a stream, and a way that is not "  \
    "recorded is not known. No time here is one to wait for. "

const char *coaming_flood_caution(void)
{
    return "Worked out from the arrangement and the tests as recorded, with assumed "
           "flows: " CAUTION_FLOWS CAUTION_END;
}

const char *flood_more_caution(void)
{
    return "Of water in time: flows are assumed; " CAUTION_FLOWS;
}

#define CAUTION_AIR                                                                                \
    "Worked out for spaces that are each mixed well, with leaks of shut closures that are mostly " \
    "assumed; real smoke comes in layers, and hot. Limits and doses are of healthy grown people. " \
    "Test the air before anybody goes in. "

const char *coaming_air_caution(void)
{
    return CAUTION_AIR CAUTION_DECIDE;
}

const char *air_more_caution(void)
{
    return "Of air in time: " CAUTION_AIR;
}
