#include "analyse/rounds/advice.h"

const char *coaming_advice_word(coaming_advice advice)
{
#define WORD(code, word) word,
    static const char *const words[] = {COAMING_ADVICE_TABLE(WORD)};
    return words[advice];
}

const char *coaming_reason_word(coaming_reason reason)
{
    static const char *const words[] = {COAMING_REASON_TABLE(WORD)};
#undef WORD
    return words[reason];
}

const char *coaming_reason_source(coaming_reason reason, coaming_fastening fastening)
{
    static const char COMMON[] = "common practice, no source";
    switch (reason) {
    case COAMING_REASON_LOOSE:
        return fastening == COAMING_SHUT_BY_DOGS
                   ? "US Army, TM 55-1905-223-24-18-1, watertight doors"
                   : COMMON;
    case COAMING_REASON_SET:
    case COAMING_REASON_DAMAGE:
        return "US Navy, Damage Controlman manual, tpub.com/dc32/28.htm (excerpt)";
    case COAMING_REASON_JOINTS:
    case COAMING_REASON_PIECE:
    case COAMING_REASON_JOINT:
        return "US Navy, NAVEDTRA 14057, figure 3-10 (excerpt)";
    case COAMING_REASON_EDGE:
    case COAMING_REASON_HINGE_PLAY:
        return "common practice: AMSEA, Watertight Door Maintenance, fishermensnews.com (excerpt)";
    default:
        return COMMON;
    }
}

coaming_fastening fastening_of(link_kind kind)
{
    switch (kind) {
    case VALVE:
        return COAMING_SHUT_BY_SPINDLE;
    case MANHOLE:
    case COVER:
        return COAMING_SHUT_BY_NUTS;
    case VENTILATOR:
        return COAMING_SHUT_BY_CLAMPS;
    case SIDESCUTTLE:
        return COAMING_SHUT_BY_SCREW_DOGS;
    default:
        return COAMING_SHUT_BY_DOGS;
    }
}

coaming_advice coaming_reason_advice(coaming_reason reason, coaming_fastening fastening)
{
    static const coaming_advice advice[COAMING_REASONS] = {
        [COAMING_REASON_NONE] = COAMING_ADVICE_NONE,
        [COAMING_REASON_SET] = COAMING_ADVICE_GASKET,
        [COAMING_REASON_JOINTS] = COAMING_ADVICE_GASKET,
        [COAMING_REASON_PIECE] = COAMING_ADVICE_GASKET,
        [COAMING_REASON_HINGE_PLAY] = COAMING_ADVICE_HINGE,
        [COAMING_REASON_REPAIRED] = COAMING_ADVICE_RETEST,
        [COAMING_REASON_FAILED] = COAMING_ADVICE_CHALK,
        [COAMING_REASON_PAINT] = COAMING_ADVICE_CLEAN,
        [COAMING_REASON_DAMAGE] = COAMING_ADVICE_GASKET,
        [COAMING_REASON_JOINT] = COAMING_ADVICE_GASKET,
        [COAMING_REASON_EDGE] = COAMING_ADVICE_HINGE,
        [COAMING_REASON_SIDE] = COAMING_ADVICE_SIDE,
        [COAMING_REASON_CORNER] = COAMING_ADVICE_CORNER,
        [COAMING_REASON_ADJUSTED] = COAMING_ADVICE_GASKET,
        [COAMING_REASON_RENEWED] = COAMING_ADVICE_KNIFE_EDGE,
        [COAMING_REASON_LOOSE] = COAMING_ADVICE_DOGS,
        [COAMING_REASON_BEYOND] = COAMING_ADVICE_CHALK};
    bool bolted = fastening == COAMING_SHUT_BY_NUTS || fastening == COAMING_SHUT_BY_CLAMPS;
    if (fastening == COAMING_SHUT_BY_SPINDLE && reason == COAMING_REASON_FAILED)
        return COAMING_ADVICE_OVERHAUL;
    if (bolted && (reason == COAMING_REASON_LOOSE || reason == COAMING_REASON_EDGE))
        return COAMING_ADVICE_FASTENINGS;
    return advice[reason];
}
