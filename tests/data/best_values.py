"""Best values of three resistors side by side, by trying all of them with numpy.

Writes best_values.csv: the ten best sets of three values for a pin of 5 V over 1 kΩ (1 %), an end
resistor of 22 kΩ (1 %) and three branches, each a switch and a resistor of 2 %; the margin is the
least gap in volts between the worst cases of neighbouring states.

usage: python3 best_values.py > best_values.csv   (needs numpy)
"""
import itertools

import numpy as np

E12 = [10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82]
VALUES = np.array([digits * 10.0**power for power in (1, 2, 3) for digits in E12])


def margin(values):
    lows, highs = [], []
    for closed in itertools.product((0, 1), repeat=3):
        ends = []
        for end_factor, factor, pull in ((0.99, 0.98, 1010.0), (1.01, 1.02, 990.0)):
            siemens = 1.0 / (22e3 * end_factor)
            for is_closed, ohm in zip(closed, values):
                siemens = siemens + is_closed / (ohm * factor)
            ohm = 1.0 / siemens
            ends.append(5.0 * ohm / (ohm + pull))
        lows.append(ends[0])
        highs.append(ends[1])
    lows, highs = np.array(lows), np.array(highs)
    order = np.argsort(lows + highs, axis=0)
    lows, highs = np.take_along_axis(lows, order, 0), np.take_along_axis(highs, order, 0)
    return (lows[1:] - highs[:-1]).min(axis=0)


one, two, three = np.meshgrid(VALUES, VALUES, VALUES, indexing="ij")
margins = margin((one, two, three))
# Of sets that differ by their order one is kept.
margins[(one > two) | (two > three)] = -np.inf
best = np.argsort(-margins, axis=None)[:10]
print("ohm_1,ohm_2,ohm_3,margin_volt")
for place in best:
    at = np.unravel_index(place, margins.shape)
    print(f"{one[at]:.0f},{two[at]:.0f},{three[at]:.0f},{margins[at]:.9f}")
