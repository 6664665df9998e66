"""How a closure stands, worked out anew from the rule: for the tests that need to know.

A failed test stands until a later pass by a method that proves, of no less sensitivity, clears it; a
visual failure until any later pass of no less sensitivity. While one stands the closure stands as
failed, by the one that takes most to clear (of equal ones the latest); else as passed, by the latest
pass since the last failure that proves; else it is untested.
"""

# Sensitivity, specificity and whether a pass proves, where the arrangement says nothing.
METHODS = {"chalk": (0.80, 0.95, True), "hose": (0.90, 0.98, True), "air": (0.95, 0.95, True),
           "ultrasonic": (0.95, 0.95, True), "light": (0.60, 0.98, True),
           "smoke": (0.80, 0.95, True), "visual": (0.40, 0.98, False)}


def cleared(failure, later, methods):
    """Does any of the later tests clear the failure?"""
    needed = methods[failure["method"]][0]
    return any(t["result"] == "pass" and methods[t["method"]][0] >= needed and
               (methods[t["method"]][2] or failure["method"] == "visual") for t in later)


def failures_that_stand(tests, methods=METHODS):
    return [t for i, t in enumerate(tests)
            if t["result"] == "fail" and not cleared(t, tests[i + 1:], methods)]


def decided(tests, methods=METHODS):
    """The test (by date) that decides; None: untested."""
    standing = failures_that_stand(tests, methods)
    if standing:
        return max(enumerate(standing), key=lambda it: (
            methods[it[1]["method"]][0], it[1]["method"] != "visual", it[0]))[1]
    since = max((i for i, t in enumerate(tests) if t["result"] == "fail"), default=-1) + 1
    proofs = [t for t in tests[since:] if methods[t["method"]][2]]
    return proofs[-1] if proofs else None


def stands(tests, methods=METHODS):
    """The four keys of a row."""
    by, looks = decided(tests, methods), [t for t in tests if t["method"] == "visual"]
    return {"result": by["result"] if by else "untested", "result_date": by and str(by["date"]),
            "result_method": by and by["method"],
            "looked_at": str(looks[-1]["date"]) if looks else None}


def untried(events, methods=METHODS, fitted=None):
    """The repairs that no test has tried: after the last failure that stands, else after the pass
    that decides, else after the last test of any method. fitted: the day of the gasket that is
    there now, which is a repair too where it comes later than all that is known."""
    tests = [e for e in events if e["kind"] == "test"]
    trials = failures_that_stand(tests, methods) or [decided(tests, methods)]
    trial = trials[-1] or (tests[-1] if tests else None)
    place = max((i for i, e in enumerate(events) if e is trial), default=-1)
    found = [e for e in events[place + 1:] if e["kind"] == "repair"]
    if trial and fitted and fitted > max([trial["date"]] + [e["date"] for e in found[-1:]]):
        found.append({"kind": "repair", "date": fitted, "action": "gasket"})
    return found
