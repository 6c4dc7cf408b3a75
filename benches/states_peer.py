"""Prints nanoseconds per state of numpy's batched solve for the chain of states.rs, one figure per argument.

One matrix of node equations per state; only the solve is timed, in batches of 4096.
The first resistances are compared with a plain ladder sum, so that the peer computes the right thing.
"""
import sys
import time

import numpy as np


def matrices(switches):
    count = switches + 1
    fixed = np.zeros((count, count))
    for n in range(switches):
        g = 1.0 / (100.0 + 11.0 * n)
        fixed[n, n] += g
        fixed[n + 1, n + 1] += g
        fixed[n, n + 1] -= g
        fixed[n + 1, n] -= g
    fixed[switches, switches] += 1.0 / 22000.0
    branch = np.array([1.0 / (1000.0 + 137.0 * n) for n in range(switches)] + [0.0])
    return fixed, branch


def ladder(switches, closed):
    ohm = 22000.0
    for n in reversed(range(switches)):
        ohm += 100.0 + 11.0 * n
        if closed[n]:
            ohm = 1.0 / (1.0 / ohm + 1.0 / (1000.0 + 137.0 * n))
    return ohm


for switches in map(int, sys.argv[1:]):
    fixed, branch = matrices(switches)
    count, states = switches + 1, 1 << switches
    fed = np.zeros((count, 1))
    fed[0, 0] = 1.0
    spent = 0.0
    for start in range(0, states, 4096):
        size = min(4096, states - start)
        bits = (np.arange(start, start + size)[:, None] >> np.arange(switches)[None, :]) & 1
        batch = np.repeat(fixed[None], size, axis=0)
        diagonal = np.arange(switches)
        batch[:, diagonal, diagonal] += bits * branch[:switches]
        right = np.broadcast_to(fed, (size, count, 1))
        before = time.perf_counter()
        volts = np.linalg.solve(batch, right)
        spent += time.perf_counter() - before
        for check in (0, size - 1):
            want = ladder(switches, bits[check])
            assert abs(volts[check, 0, 0] / want - 1.0) < 1e-9
    print(spent / states * 1e9)
