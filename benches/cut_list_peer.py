"""Routes of many wires with networkx: one Dijkstra tree per place that is used, as the bench does.

Reads [[edges], [pairs]] from a file; prints milliseconds and the sum of all lengths.
"""

import json
import sys
import time

import networkx as nx

edges, pairs = json.load(open(sys.argv[1]))
graph = nx.Graph()
graph.add_weighted_edges_from(edges)
began = time.perf_counter()
by_source = {}
for a, b in pairs:
    by_source.setdefault(min(a, b), []).append(max(a, b))
total = 0.0
for source, targets in by_source.items():
    lengths, paths = nx.single_source_dijkstra(graph, source)
    for target in targets:
        total += lengths[target]
        assert paths[target][-1] == target
print((time.perf_counter() - began) * 1e3, total)
