"""Writes networkx.json: random networks and their resistance distances by networkx.

    python3 -m venv env && env/bin/pip install networkx numpy scipy && env/bin/python networkx_answers.py > networkx.json

A MultiGraph keeps parallel resistors apart; invert_weight=True says that weights are ohms.
Values keep within three decades: with a wider spread networkx itself loses digits.
"""
import json
import random

import networkx

rng = random.Random(20240611)
cases = []
while len(cases) < 60:
    count = rng.randint(3, 9)
    edges = []
    for _ in range(rng.randint(count, 3 * count)):
        a, b = rng.sample(range(count), 2)
        near = rng.random() < 0.4
        ohm = round(1000 + rng.random(), 3) if near else round(10 ** rng.uniform(1, 4), 2)
        edges.append([a, b, ohm])
    graph = networkx.MultiGraph()
    for a, b, ohm in edges:
        graph.add_edge(a, b, ohm=ohm)
    if len(graph) < count or not networkx.is_connected(graph):
        continue
    a, b = rng.sample(range(count), 2)
    answer = networkx.resistance_distance(graph, a, b, weight="ohm", invert_weight=True)
    cases.append({"edges": edges, "from": a, "to": b, "ohm": float(answer)})
body = ",\n".join("  " + json.dumps(case, separators=(",", ":")) for case in cases)
print('{"made_with":"networkx %s",\n"cases":[\n%s\n]}' % (networkx.__version__, body))
