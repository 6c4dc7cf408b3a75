"""Routes and bundles of many wires with networkx and with scipy, one tree per place that is used.

Reads [[edges], [pairs]] from a file; prints a line for each: name, milliseconds, sum of lengths.
Bundles are summed as squares of outside diameters for each run, which is less than a placement.
"""

import json
import sys
import time

import networkx as nx
import numpy as np
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import dijkstra

OUTSIDE_MM = {0.5: 1.6, 0.75: 1.9, 1.0: 2.1, 2.5: 3.0}

edges, pairs = json.load(open(sys.argv[1]))


def by_source():
    groups = {}
    for a, b, size in pairs:
        groups.setdefault(min(a, b), []).append((max(a, b), OUTSIDE_MM[size] ** 2))
    return groups


def with_networkx():
    graph = nx.Graph()
    graph.add_weighted_edges_from(edges)
    began = time.perf_counter()
    total, squares = 0.0, {}
    for source, targets in by_source().items():
        lengths, paths = nx.single_source_dijkstra(graph, source)
        for target, square in targets:
            total += lengths[target]
            path = paths[target]
            for a, b in zip(path, path[1:]):
                run = (min(a, b), max(a, b))
                squares[run] = squares.get(run, 0.0) + square
    bundles = {run: 1.2 * value**0.5 for run, value in squares.items()}
    assert bundles
    print("networkx", (time.perf_counter() - began) * 1e3, total)


def with_scipy():
    n = 1 + max(max(a, b) for a, b, _ in edges)
    a, b, w = (np.array(column) for column in zip(*edges))
    graph = csr_matrix((w, (a.astype(int), b.astype(int))), shape=(n, n))
    began = time.perf_counter()
    total, squares = 0.0, {}
    groups = by_source()
    sources = list(groups)
    lengths, before = dijkstra(graph, directed=False, indices=sources, return_predecessors=True)
    for row, source in enumerate(sources):
        for target, square in groups[source]:
            total += lengths[row, target]
            here = target
            while here != source:
                last = before[row, here]
                run = (min(here, last), max(here, last))
                squares[run] = squares.get(run, 0.0) + square
                here = last
    bundles = {run: 1.2 * value**0.5 for run, value in squares.items()}
    assert bundles
    print("scipy", (time.perf_counter() - began) * 1e3, total)


with_networkx()
with_scipy()
