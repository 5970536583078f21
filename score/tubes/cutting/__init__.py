"""Which sticks to buy and how to saw them: an exact cut list with its proof.

Lengths are whole nanometres and all different, so that neither one integer program over positions on the stick nor one
over every way to fill it is small enough: forty tubes have millions of fillings. Hence, in this order: quick packings
(`packing`), worths that prove a choice of sticks too small (`packing_bounds`), a linear program that grows by fillings
that pay (`patterns`, `packing_programs`), and what is left of it made whole (`packing_proof`, `tight_sticks`).

What each is here for, measured on 90 lists of forty tubes such as a builder could ask for, in 1.8 s of processor time
each: all of it proves 90 best; without making the linear program's answers whole step by step 81; without filling the
sticks first that have hardly anything to spare 88; without both 79. With fifteen leftovers in hand, of 8 lists: 8, 5,
8 and 3. (`tests/bench/bench_tubes.py` draws such lists.)
"""
