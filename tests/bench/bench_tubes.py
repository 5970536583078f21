"""How long tubes take, and how often the cut list of 40 tubes is proven best within two seconds."""

import math
import random
import time
from itertools import pairwise

import numpy as np

from score.tubes.acoustics import Column, sounding
from score.tubes.air import Air
from score.tubes.cutting import Stock, cut_plan
from score.tubes.fit import Errors, fit_tubes
from score.tubes.frame import FrameWish, frame_of
from score.tubes.lengths import Request, tube_set
from score.tubes.measured import Measured
from score.tubes.pipes import read_pipe
from score.tubes.pitch import cents
from score.tubes.sheet import workshop_sheet
from score.tubes.template import pages
from score.tubes.wanted import wanted_notes

ROUNDS = 30


def _instances(rng):
    """Forty tubes each: notes, random lengths, sticks cut up at random, triplets."""
    column = Column(read_pipe("2 in"))
    for _ in range(ROUNDS):
        notes = sorted(rng.sample(range(43, 91), 40))
        lengths = [column.length(440 * 2 ** ((m - 69) / 12), Air()) + rng.uniform(0, 8) for m in notes]
        yield "notes", lengths, [Stock(rng.choice([2000, 3000, 3048, 6096]))], 3.2
        stock = [Stock(3048), *(Stock(rng.uniform(300, 2000), 1, True) for _ in range(5))]
        yield "notes, leftovers", lengths, stock, 3.2
        yield "random", [rng.uniform(150, 1200) for _ in range(40)], [Stock(3048)], 3.2
        two = [Stock(3048), Stock(1524), *(Stock(rng.uniform(300, 2000), 1, True) for _ in range(5))]
        yield "random, leftovers", [rng.uniform(150, 1200) for _ in range(40)], two, 3.2
        cut = []
        for _ in range(8):
            marks = [0, *sorted(rng.sample(range(200, 2900), 4)), 3048]
            cut += [b - a - 3.2 for a, b in pairwise(marks) if b - a > 20]
        yield "cut-up sticks", cut[:40], [Stock(3048)], 3.2
        triples = []
        for _ in range(13):
            first = rng.randrange(380, 490)
            second = rng.randrange(250, (1000 - first) // 2)
            triples += [first, second, 1000 - first - second]
        yield "triplets", triples, [Stock(1000)], 0.0


def test_cut_lists():
    seen = {}
    for name, lengths, stock, kerf in _instances(random.Random(11)):
        began = time.perf_counter()
        plan = cut_plan(lengths, stock, kerf)
        seconds = time.perf_counter() - began
        seen.setdefault(name, []).append((seconds, plan.proven))
    for name, found in seen.items():
        times, proven = [seconds for seconds, _ in found], sum(sure for _, sure in found)
        print(f"{name}: median {np.median(times):.3f} s, worst {max(times):.3f} s, proven {proven} of {len(found)}")
        assert max(times) < 3


def test_whole_sheet():
    column = Column(read_pipe("2 in"))
    began = time.perf_counter()
    tubes = tube_set(Request(wanted_notes("C2-C5"), column))
    cutting = cut_plan(
        [tube.cut for tube in tubes.tubes], [Stock(3048)], 3.2, [tube.wanted.name for tube in tubes.tubes]
    )
    frame = frame_of(tubes, FrameWish())
    worked = time.perf_counter() - began
    sheet = workshop_sheet(tubes, cutting, frame)
    print(
        f"37 tubes: worked out in {worked:.3f} s, sheet with {len(pages(frame))} template pages "
        f"in {time.perf_counter() - began - worked:.3f} s, {len(sheet) // 1024} KiB"
    )


def test_stated_uncertainty():
    """Simulated builders, 10,000 for each pair of tubes: what they miss by against what is stated."""
    rng, column, errors = np.random.default_rng(5), Column(read_pipe("2 in")), Errors()
    for pair in ((1200.0, 300.0), (640.0, 310.0), (600.0, 500.0)):
        for target in (640.0, 300.0):
            frequency, off, stated = sounding(column, target, Air()), [], 0.0
            for _ in range(10000):
                tubes = [
                    Measured(
                        length + rng.normal(0, errors.length),
                        sounding(column, length, Air()) * 2 ** (rng.normal(0, errors.pitch) / 1200),
                        column,
                        Air(),
                    )
                    for length in pair
                ]
                fit = fit_tubes(column, tubes, errors)
                stated += fit.spread_cents(frequency, Air()) / 10000
                off.append(cents(frequency, sounding(column, fit.length(frequency, Air()), Air())))
            print(f"{pair} for {target:.0f} mm: stated {stated:.2f} cents, missed by {np.std(off):.2f}")
            assert math.isclose(np.std(off), stated, rel_tol=0.05)
