#!/usr/bin/python3
"""The plain way to sampled importances in networkx, as a short script would go it.

Reads models from standard input. Each begins with a line "model NODES EDGES ALWAYS" (ALWAYS: the
node that is a source in every scenario, or -1); then a line "WEIGHT MASS" for each node, that of
the scenarios that start there and what is lost when it is reached; then a line "U V P" for each
closure, with the probability that it passes. For each sample the closures are drawn; for each
closure and scenario the loss is worked out with the closure passing and holding, each time by a
search from the source.

That would take long, so for each model a few closures of a few samples are timed, for some
scenarios, and multiplied up. Printed: for each model a line "seconds S", for all closures and
scenarios of one sample; then "loss E ERROR", the expected loss of all models and its standard
error, from SAMPLES samples of each, so that it can be seen whether it is the same thing that is
worked out.

Needs networkx (Debian: python3-networkx). Usage: plain_risk.py SAMPLES < models
"""

import math
import random
import statistics
import sys
import time

import networkx as nx

CLOSURES, SCENARIOS = 6, 25


def read_models(lines):
    models = []
    for line in lines:
        _, nodes, edges, always = line.split()
        models.append((int(always),
                       [tuple(map(float, next(lines).split())) for _ in range(int(nodes))],
                       [(int(u), int(v), float(p)) for u, v, p in
                        (next(lines).split() for _ in range(int(edges)))]))
    return models


def draw(model, rng):
    """Closures side by side are held apart: it matters when one of them is taken out."""
    graph = nx.MultiGraph()
    graph.add_nodes_from(range(len(model[1])))
    graph.add_edges_from((u, v, e) for e, (u, v, p) in enumerate(model[2]) if rng.random() < p)
    return graph


def loss(model, graph, source):
    always, nodes, _ = model
    reached = nx.node_connected_component(graph, source)
    if always >= 0 and always not in reached:
        reached = reached | nx.node_connected_component(graph, always)
    return sum(nodes[v][1] for v in reached)


def sources(model):
    return [v for v, (weight, _) in enumerate(model[1]) if weight > 0]


def seconds_per_sample(model, rng):
    graph, starts, spent, searches = draw(model, rng), sources(model), 0, 0
    for e in rng.sample(range(len(model[2])), min(CLOSURES, len(model[2]))):
        u, v, _ = model[2][e]
        some = rng.sample(starts, min(SCENARIOS, len(starts)))
        was = graph.has_edge(u, v, e)
        before = time.process_time()
        graph.add_edge(u, v, e)
        passing = [loss(model, graph, s) for s in some]
        graph.remove_edge(u, v, e)
        holding = [loss(model, graph, s) for s in some]
        spent += time.process_time() - before
        if any(a < b for a, b in zip(passing, holding)):
            sys.exit("plain_risk.py: less is lost when a closure passes")
        searches += len(some)
        if was:
            graph.add_edge(u, v, e)
    return spent / searches * len(starts) * len(model[2])


def loss_of_sample(model, rng):
    graph = draw(model, rng)
    return sum(model[1][s][0] * loss(model, graph, s) for s in sources(model))


def main():
    samples, rng = int(sys.argv[1]), random.Random(1)
    models = read_models(iter(sys.stdin))
    mean = variance = 0
    for model in models:
        print("seconds", seconds_per_sample(model, rng))
        losses = [loss_of_sample(model, rng) for _ in range(samples)]
        mean += statistics.fmean(losses)
        variance += statistics.variance(losses) / samples
    print("loss", mean, math.sqrt(variance))


if __name__ == "__main__":
    main()
