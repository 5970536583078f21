"""Words of tempo in the languages scores print: gradual ones, those that go back, and names of tempi."""

import re

SLOWER = re.compile(
    r"\b(rit\b|rit\.|ritard\w*|ritenuto|rall\b|rall\.|rallent\w*|allarg\w*|slarg\w*|calando|slowing|slower|slow down|"
    r"langsamer|verlangsam\w*|breiter|ralentir|ralenti|c[ée]dez|retenu)",
    re.I,
)
FASTER = re.compile(
    r"\b(accel\b|accel\.|acceler\w*|string\b\.?|stringendo|faster|speed up|schneller|beschleunig\w*|"
    r"acc[ée]l[ée]re[rz]?|pressez|serrez)",
    re.I,
)
BACK = re.compile(r"\b(a tempo|in tempo|im tempo|au mouvement)\b", re.I)
FIRST = re.compile(r"\b(tempo (primo|prima|i|1|uno)\b|1er mouvement|erstes tempo)", re.I)
# Quarters a minute where words are all there is: the middle of what metronomes print for them (common
# practice, no source).
_WORDS = {
    "grave": 40.0,
    "largo": 50.0,
    "lento": 52.0,
    "adagio": 60.0,
    "slow": 60.0,
    "langsam": 60.0,
    "lent": 60.0,
    "larghetto": 63.0,
    "andante": 76.0,
    "gehend": 76.0,
    "andantino": 84.0,
    "moderato": 96.0,
    "moderate": 96.0,
    "mäßig": 96.0,
    "modéré": 96.0,
    "allegretto": 112.0,
    "allegro": 126.0,
    "fast": 132.0,
    "lebhaft": 132.0,
    "vif": 138.0,
    "schnell": 144.0,
    "vivace": 152.0,
    "presto": 176.0,
    "prestissimo": 200.0,
}
COMPARATIVE = re.compile(r"\b(slower|faster|langsamer|breiter|schneller)\b", re.I)
"""Gradual alone, but beside a metronome mark they say how the new tempo compares."""


def named_tempo(words: str) -> float:
    """Quarters a minute of a tempo word at the beginning of a direction ("Allegro con brio"), else 0."""
    first = re.split(r"[\s,.]+", words.casefold().strip(), maxsplit=1)[0]
    return _WORDS.get(first, 0.0)
