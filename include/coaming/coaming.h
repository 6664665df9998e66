/*
 * coaming/coaming.h - all public headers at once.
 *
 * An arrangement is made of lists (import.h). A ship is loaded (ship.h) with every fault of her
 * files (fault.h), asked (query.h) what a failed closure exposes (exposure.h) and which to repair
 * first (ranking.h), and the answers are written as text or JSON (present.h). Failures come back as
 * a coaming_status (error.h).
 *
 * Names: what _new makes (or _load, from files) is freed by the _free of the same name; _count says
 * how many there are, _get gives one of them, numbered from 0; _word is for programs, _text for
 * people; _default makes options.
 *
 * Versions, while the major one is 0: within one minor version nothing that is in these headers
 * changes or goes, neither a function nor a member of a struct nor a number of an enum, so that
 * what was built against a release runs with every later one of the same minor version; functions,
 * and types that only they use, may be added. That is why answers can be plain structs and carry no
 * size. What cannot keep to this waits for the next minor version, of which the library bears
 * another SONAME. To be built against that one without a change, take options from their _default
 * and set members by name: a member that is new then has the value that does what was done without
 * it.
 */
#ifndef COAMING_COAMING_H
#define COAMING_COAMING_H

#include "coaming/air.h"
#include "coaming/boundary.h"
#include "coaming/breaches.h"
#include "coaming/casualty.h"
#include "coaming/casualty_sheet.h"
#include "coaming/chalk.h"
#include "coaming/date.h"
#include "coaming/draw.h"
#include "coaming/due.h"
#include "coaming/error.h"
#include "coaming/exposure.h"
#include "coaming/fault.h"
#include "coaming/flood.h"
#include "coaming/flotation.h"
#include "coaming/follow.h"
#include "coaming/grade.h"
#include "coaming/history.h"
#include "coaming/hold.h"
#include "coaming/ids.h"
#include "coaming/import.h"
#include "coaming/libraries.h"
#include "coaming/likelihood.h"
#include "coaming/list.h"
#include "coaming/plan.h"
#include "coaming/present.h"
#include "coaming/query.h"
#include "coaming/ranking.h"
#include "coaming/record.h"
#include "coaming/report.h"
#include "coaming/risk.h"
#include "coaming/risk_parts.h"
#include "coaming/round.h"
#include "coaming/seen.h"
#include "coaming/ship.h"
#include "coaming/spread.h"
#include "coaming/survival.h"
#include "coaming/survival_parts.h"
#include "coaming/version.h"

#endif
