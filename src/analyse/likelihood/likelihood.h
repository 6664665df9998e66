/* analyse/likelihood/likelihood.h - what other analyses need of the estimate's parameters. */
#ifndef ANALYSE_LIKELIHOOD_LIKELIHOOD_H
#define ANALYSE_LIKELIHOOD_LIKELIHOOD_H

#include "ship/ship.h"

/* Sensitivity and specificity as used; *assumed becomes true if the arrangement does not give them.
 */
method_quality likelihood_quality(const coaming_ship *ship, test_method method, bool *assumed);

#endif
