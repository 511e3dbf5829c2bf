# SPDX-License-Identifier: Apache-2.0
"""Load model: how much power each circuit takes in a quarter of an hour. Invented, repeatable.

A circuit has a shape (24 hourly shares of its peak, workdays and weekends), a peak and a power
factor; noise comes from a generator of our own numbers, so that every machine and every version
of Python makes the same files.
"""

import math

# Shares of the peak by hour of the day, in tenths: workdays, then weekends.
SHAPES = {
    "bakery": ("346789985443333322222222", "346789997654322222222222"),
    "cafe": ("222222369889999887642222", "222222236899999999874222"),
    "shop": ("111111113788888888532111", "111111112688888862111111"),
    "flat": ("211111356322223334678763", "211111124666544445678764"),
    "office": ("111111115889978988521111", "111111111111111111111111"),
    "workshop": ("000000048999489987200000", "000000000355520000000000"),
    "lift": ("100001479976776679965321", "100000146888887777776432"),
    "pumps": ("666666887777777777888776", "666666778888777777888876"),
    "hot_water": ("111113875333333346886421", "111112478755443346776421"),
    "night_light": ("999999930000000069999999", "999999930000000069999999"),
    "cold_store": ("667666677788888888777766", "667666677788888888777766"),
    "kiln": ("333100000000000000799964", "000000000000000000000000"),
    "charging": ("752000000200020000368998", "763000000033300000247888"),
    "constant": ("999999999999999999999999", "999999999999999999999999"),
}
# These switch on and off: the shape is the share of the time that they run.
ON_OFF = {"hot_water", "kiln", "charging", "pumps", "lift"}


class Noise:
    """SplitMix64 (Steele, Lea and Flood, 2014): 64-bit state, one step a number, no library."""

    MASK = (1 << 64) - 1

    def __init__(self, *seed):
        self.state = 0x5EED
        for part in seed:
            for byte in str(part).encode():
                self.state = (self.state ^ byte) * 0x100000001B3 & self.MASK
        self.uniform()

    def uniform(self):
        """In [0, 1)."""
        self.state = (self.state + 0x9E3779B97F4A7C15) & self.MASK
        z = self.state
        z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9 & self.MASK
        z = (z ^ (z >> 27)) * 0x94D049BB133111EB & self.MASK
        return ((z ^ (z >> 31)) >> 11) / (1 << 53)

    def between(self, low, high):
        return low + (high - low) * self.uniform()


def share(shape, weekday, hour):
    """Share of the peak, 0 to 0.9; straight lines between the hours."""
    table = SHAPES[shape][1 if weekday >= 5 else 0]
    at = int(hour)
    here, there = int(table[at]), int(table[(at + 1) % 24])
    if here == 0 or there == 0:
        return here / 10
    return (here + (there - here) * (hour - at)) / 10


class Load:
    """Power of one circuit over time. Call once an interval, in order."""

    def __init__(self, circuit, model):
        self.shape, self.peak = model["shape"], 1000.0 * model["peak_kw"]
        self.tan = math.tan(math.acos(model["power_factor"]))
        self.noise = Noise("load", circuit)
        self.lean = [self.noise.between(-1, 1) for _ in range(3)]  # how its phases differ, for good

    def next(self, weekday, hour):
        """Complex power of each of three parts in VA; their sum is the load. Lagging Q is positive."""
        part = share(self.shape, weekday, hour)
        wobble = self.noise.between(-1, 1)
        phases = [self.noise.between(-1, 1) for _ in range(3)]
        if self.shape in ON_OFF:
            runs = min(1.0, max(0.0, part + 0.35 * wobble)) if part > 0 else 0.0
            watts = self.peak * runs
        else:
            watts = self.peak * part * (1 + 0.18 * wobble)
        if self.shape == "constant":
            watts = self.peak
        weights = [1 + 0.12 * lean + 0.10 * wobble for lean, wobble in zip(self.lean, phases)]
        total = sum(weights)
        return [complex(watts * w / total, watts * w / total * self.tan) for w in weights]
