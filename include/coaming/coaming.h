/*
 * coaming/coaming.h - all public headers at once.
 *
 * An arrangement is made of lists (import.h). A ship is loaded (ship.h) with every fault of her
 * files (fault.h), asked (query.h) what a failed closure exposes (exposure.h) and which to repair
 * first (ranking.h), and the answers are written as text or JSON (present.h). Failures come back as
 * a coaming_status (error.h).
 */
#ifndef COAMING_COAMING_H
#define COAMING_COAMING_H

#include "coaming/chalk.h"
#include "coaming/date.h"
#include "coaming/draw.h"
#include "coaming/due.h"
#include "coaming/error.h"
#include "coaming/exposure.h"
#include "coaming/fault.h"
#include "coaming/flotation.h"
#include "coaming/grade.h"
#include "coaming/history.h"
#include "coaming/hold.h"
#include "coaming/ids.h"
#include "coaming/import.h"
#include "coaming/likelihood.h"
#include "coaming/list.h"
#include "coaming/plan.h"
#include "coaming/present.h"
#include "coaming/query.h"
#include "coaming/ranking.h"
#include "coaming/record.h"
#include "coaming/report.h"
#include "coaming/risk.h"
#include "coaming/round.h"
#include "coaming/ship.h"
#include "coaming/spread.h"
#include "coaming/survival.h"
#include "coaming/version.h"

#endif
