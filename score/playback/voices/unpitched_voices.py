"""The voices of instruments without definite pitch. Pitches, decay times and gains: by ear, no source."""

from score.playback.voices import partial_ratios
from score.playback.voices.voice_model import Grain, Noise, Partial, Voice
from score.playback.voices.voice_table import partials


def unpitched_voices() -> dict[str, Voice]:
    """Voices without definite pitch by instrument key; `pitch` is that of the middle size."""
    return _drums() | _cymbals() | _metal() | _wood() | _many() | _shaken()


def _drum(pitch: float, t60: float, skin: float = 0.2, step: float = 2.0) -> Voice:
    modes = partials(partial_ratios.MEMBRANE, (1.0, 0.55, 0.35, 0.25, 0.2, 0.15), 0.9)
    return Voice(modes, t60, pitch=pitch, step=step, noise=(Noise(150.0, 2500.0, skin, t60=0.03),))


def _drums() -> dict[str, Voice]:
    modes = partials(partial_ratios.MEMBRANE, (1.0, 0.6, 0.4, 0.3, 0.2, 0.2), 0.9)
    snares = (Noise(1200.0, 9000.0, 0.8, t60=0.22), Noise(300.0, 2500.0, 0.3, t60=0.05))
    jingle = (Noise(5000.0, 14000.0, 0.8, t60=0.25), Noise(7000.0, 12000.0, 0.5, t60=0.5, rise=0.02))
    return {
        "snare-drum": Voice(modes, 0.18, pitch=55, noise=snares),
        "tenor-drum": _drum(48, 0.5),
        "bass-drum": _drum(31, 1.4, 0.1),
        "surdo": _drum(38, 0.8, 0.1),
        "taiko": _drum(38, 0.9, 0.3),
        "tom-toms": _drum(48, 0.6),
        "rototoms": _drum(55, 0.6, 0.1),
        "bongos": _drum(67, 0.18, 0.3, 2.5),
        "congas": _drum(55, 0.35, 0.2),
        "timbales": _drum(60, 0.45, 0.4),
        "frame-drum": _drum(50, 0.6, 0.15),
        "djembe": _drum(52, 0.4, 0.35),
        "darabuka": _drum(60, 0.3, 0.4),
        "tabla": _drum(60, 0.5, 0.2),
        "cajon": _drum(45, 0.2, 0.5),
        "udu": _drum(47, 0.5, 0.05),
        "tambourine": Voice(modes[:3], 0.08, pitch=64, noise=jingle),
    }


def _cymbal(pitch: float, t60: float, count: int, seed: int, rise: float, hiss: float) -> Voice:
    law = partial_ratios.plate(count, 1.55, seed)
    modes = partials(law, [1.0 / (1.0 + place / 12.0) for place in range(count)], 0.35, rise=rise)
    bright = (Noise(3500.0, 14000.0, hiss, t60=0.35 * t60, rise=0.3 * rise),)
    return Voice(modes, t60, pitch=pitch, step=1.0, noise=bright, overlap=0.6, longest=5.0)


def _cymbals() -> dict[str, Voice]:
    tamtam = partials(
        partial_ratios.plate(90, 1.4, 5), [1.0 / (1.0 + place / 30.0) for place in range(90)], 0.3, 0.3, 0.35
    )
    return {
        "suspended-cymbal": _cymbal(53, 4.0, 70, 1, 0.06, 0.9),
        "crash-cymbals": _cymbal(55, 2.8, 70, 2, 0.01, 2.0),
        "ride-cymbal": _cymbal(58, 3.5, 60, 3, 0.0, 0.6),
        "splash-cymbal": _cymbal(63, 0.9, 50, 4, 0.0, 2.0),
        "china-cymbal": _cymbal(52, 1.6, 70, 6, 0.0, 2.0),
        "sizzle-cymbal": _cymbal(54, 4.0, 70, 7, 0.03, 2.5),
        "hi-hat": _cymbal(66, 0.25, 50, 8, 0.0, 2.0),
        "finger-cymbals": Voice(partials(partial_ratios.DISC, (1.0, 0.4, 0.5), 0.5, 1.5), 2.5, pitch=98, overlap=0.3),
        "tam-tam": Voice(
            tamtam, 6.0, pitch=36, step=1.0, noise=(Noise(900, 6000, 1.2, t60=2.5, rise=0.5),), overlap=1.0
        ),
        "gong": Voice(
            partials(partial_ratios.plate(40, 1.7, 9), fall=0.4, beat=0.4, rise=0.1), 5.0, pitch=45, overlap=0.6
        ),
        "thundersheet": Voice(
            tamtam, 2.5, pitch=30, noise=(Noise(60.0, 2500.0, 4.0, t60=2.0, rise=0.15),), overlap=0.5
        ),
    }


def _metal() -> dict[str, Voice]:
    rod = partials(partial_ratios.FREE_BAR, (0.2, 0.4, 0.7, 0.9, 1.0, 0.8), 0.15, 0.1)
    sheet = partials((1.0, 1.52, 2.37, 3.1, 4.4), (1.0, 0.8, 0.5, 0.3), 0.5)
    return {
        "triangle": Voice(rod, 3.0, pitch=76, step=1.5, overlap=0.3, longest=4.0),
        "cowbell": Voice(sheet, 0.3, pitch=72),
        "agogo": Voice(sheet, 0.4, pitch=84, step=3.0),
        "anvil": Voice(partials(partial_ratios.FREE_BAR[:5], (0.5, 1.0, 0.8, 0.6), 0.3), 0.9, pitch=86),
        "brake-drum": Voice(partials(partial_ratios.RING, (0.8, 1.0, 0.7, 0.4), 0.4), 0.7, pitch=76),
        "metal-pipe": Voice(partials(partial_ratios.FREE_BAR[:5], (1.0, 0.9, 0.6), 0.4), 0.9, pitch=79),
        "metal-plate": Voice(partials(partial_ratios.plate(12, 2.0, 11), fall=0.4), 1.8, pitch=60),
        "tin-cans": Voice(sheet, 0.1, pitch=69, noise=(Noise(1500.0, 8000.0, 0.6, t60=0.05),)),
        "bottles": Voice(partials(partial_ratios.RING[:3], (1.0, 0.5, 0.2)), 0.25, pitch=84),
        "flower-pots": Voice(partials(partial_ratios.RING[:3], (1.0, 0.4, 0.2)), 0.25, pitch=76),
    }


def _block(pitch: float, t60: float, click: float = 0.2, step: float = 2.0) -> Voice:
    # Slit blocks: a bar's modes over a short air resonance; no published partial_ratios.
    modes = (*partials((1.0, 1.48, 2.72, 4.1), (1.0, 0.35, 0.4, 0.15), 0.7), Partial(0.52, 0.15, 0.6))
    return Voice(modes, t60, pitch=pitch, step=step, level=2.0, noise=(Noise(800.0, 6000.0, click, t60=0.012),))


def _wood() -> dict[str, Voice]:
    rod = partials(partial_ratios.FREE_BAR[:3], (1.0, 0.3, 0.1))
    crack = (Noise(900.0, 9000.0, 3.0, t60=0.05), Noise(300.0, 2500.0, 1.5, t60=0.03))
    return {
        "wood-block": _block(82, 0.09),
        "temple-blocks": _block(70, 0.16, 0.1, 2.5),
        "log-drum": _block(52, 0.35, 0.1),
        "log": _block(76, 0.12, 0.4),
        "hammer": _block(50, 0.15, 1.0),
        "castanets": _block(92, 0.04, 0.6),
        "bones": _block(88, 0.05, 0.6),
        "claves": Voice(rod, 0.14, pitch=99, noise=(Noise(2000.0, 8000.0, 0.1, t60=0.01),)),
        "slapstick": Voice(noise=crack),
        "hand-claps": Voice(noise=(Noise(700.0, 4500.0, 2.0, t60=0.1),)),
        "finger-snaps": Voice(noise=(Noise(1500.0, 6000.0, 2.0, t60=0.06),)),
        "foot-stamps": Voice(
            partials(partial_ratios.MEMBRANE[:3]), 0.15, pitch=36, noise=(Noise(60.0, 900.0, 1.0, t60=0.08),)
        ),
    }


def _row(count: int, seconds: float, first: float, last: float) -> tuple[Grain, ...]:
    """Bells run over from one end to the other."""
    share = [place / (count - 1) for place in range(count)]
    return tuple(Grain(seconds * s, first + (last - first) * s, 0.8 + 0.2 * ((7 * i) % 3)) for i, s in enumerate(share))


def _stirred(count: int, seconds: float, width: float) -> tuple[Grain, ...]:
    """Bells that touch one another in no order, fewer as they come to rest: by golden-section steps."""
    steps = [(place * 0.6180339887) % 1.0 for place in range(count)]
    return tuple(
        Grain(seconds * (i / count) ** 1.5, width * (2.0 * s - 1.0), 1.0 - 0.7 * i / count) for i, s in enumerate(steps)
    )


def _many() -> dict[str, Voice]:
    bar = partials(partial_ratios.FREE_BAR[:3], (1.0, 0.5, 0.3), 0.5)
    bell = partials(partial_ratios.RING[:3], (1.0, 0.5, 0.2), 0.6)
    wood, rattle = partials((1.0, 1.48, 2.72)), (Noise(2500.0, 9000.0, 0.5, t60=0.03),)
    return {
        "wind-chimes": Voice(bar, 1.2, pitch=100, grains=_stirred(24, 1.8, 9.0), level=-5.0, overlap=1.0),
        "mark-tree": Voice(bar, 1.4, pitch=103, grains=_row(32, 1.6, 9.0, -9.0), level=-7.0, overlap=1.0),
        "bell-tree": Voice(bell, 1.6, pitch=98, grains=_row(22, 0.9, 10.0, -10.0), level=-6.0, overlap=1.0),
        "sleigh-bells": Voice(bell, 0.12, pitch=105, grains=_stirred(14, 0.12, 7.0)),
        "ratchet": Voice(wood, 0.03, pitch=84, grains=_row(18, 0.6, 0.0, 0.5), noise=rattle),
        "guiro": Voice(wood, 0.02, pitch=88, grains=_row(22, 0.25, -2.0, 3.0), noise=rattle),
        "vibraslap": Voice(wood, 0.03, pitch=91, grains=_row(30, 0.9, 0.0, 0.0), noise=rattle),
        "jawbone": Voice(wood, 0.03, pitch=86, grains=_row(24, 0.7, 0.0, 0.0), noise=rattle),
    }


def _shaken() -> dict[str, Voice]:
    def beads(low: float, high: float, t60: float, rise: float = 0.01) -> Voice:
        return Voice(noise=(Noise(low, high, 1.0, t60=t60, rise=rise),), level=-6.0 if t60 > 2 else 0.0, overlap=0.03)

    return {
        "maracas": beads(4500.0, 12000.0, 0.1),
        "shaker": beads(4000.0, 11000.0, 0.14, 0.02),
        "cabasa": beads(5000.0, 13000.0, 0.18, 0.02),
        "caxixi": beads(3000.0, 9000.0, 0.15, 0.02),
        "rattle": beads(2500.0, 8000.0, 0.15),
        "rainstick": beads(3000.0, 10000.0, 3.0, 0.3),
        "sandpaper-blocks": beads(1500.0, 9000.0, 0.25, 0.03),
        "wind-machine": beads(250.0, 1600.0, 4.0, 0.5),
        "lions-roar": beads(70.0, 500.0, 1.5, 0.2),
    }
