/*
 * read/said.h - what more than one reader says of a ship or a log, each sentence once. Of values
 * see values.h.
 */
#ifndef READ_SAID_H
#define READ_SAID_H

#define SAID_PASSAGE   "is a passage; only closures are tested and repaired"
#define SAID_OTHER_LOG "this is a log of '%s', but the arrangement is of '%s'"
#define SAID_SEA_AIR   "the sea is no source of bad air; name the weather or a space"
#define SAID_NO_PLACE  "'%s' is no space, nor sea or weather"
#define SAID_PASS_GAPS "a test with gaps in the print is recorded as pass"
#define SAID_PASS_OFF  "a test with a print off the middle of the gasket is recorded as pass"
#define SAID_OFF_THE_RUN                                                                           \
    "a gap of %.4g%s at %.4g%s does not lie on the gasket, which runs %.4g%s round; measure again"

/* Of a drop of pressure. */
#define SAID_DROP_AIR   "a drop of pressure is of a test by air"
#define SAID_DROP_PART  "a drop of pressure has a start-pressure, an end-pressure and a duration"
#define SAID_DROP_ROSE  "the pressure cannot end higher than it began"
#define SAID_DROP_WHICH "say which of the two spaces that it joins was under pressure: space"
#define SAID_DROP_SIDE  "space '%s' was under pressure, but is no side of it"

#endif
