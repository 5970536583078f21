"""The names that a part list gives its instruments, without what only a program needs.

An `<instrument-name>` may be a musician's word, an abbreviation, a change ("to Tam-Tam") or the name of whatever plays
the score back. What plays it back is never printed: a name that is no instrument is left out where it has a word of
the sampler's trade in it, or where parts of different names share it; the part's own name and its sound tell the rest.
"""

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import dropwhile

from score.instruments.general_midi_names import KEY_TITLES
from score.instruments.other_instruments import is_no_percussion
from score.instruments.percussion import Percussion, fold, named, named_in
from score.reading.part_heads import ListedInstrument, PartHead

_TO = re.compile(r"^to\s+(?:the\s+)?", re.IGNORECASE)
_BRACKETS = re.compile(r"\s*[(\[](?:\d+|v\d\w*|copy|kopie)[)\]]", re.IGNORECASE)
# Words of the sampler's trade (common practice, no source); none of them is a name of an instrument.
_ENGINE = re.compile(
    r"\w*sample\w*|soundfonts?|soundsets?|sf[z2]|vsti?\d?|midi|\w*synth\w*|player|plays?back|patch|"
    r"presets?|programs?|programme|channel|plug ?in|device|engine|library|instruments?|untitled|unnamed|default|real|"
    r"general|gm|legacy|v\d\w*|\d+"
)
# What tells instruments of one kind apart (common practice, no source); other words beside an instrument's name are
# those of whatever plays the score back.
_TELLING = frozenset(
    re.findall(
        r"\S+",
        "a b c d e f g h high higher highest low lower lowest mid middle medium small large big little deep soft "
        "hard hoch hohe hoher hohes tief tiefe tiefer tiefes mittel mittlere klein kleine kleiner kleines gross "
        "grosse grosser grosses aigu aigue grave medio petit petite grand grande gran acuto basso piccolo wood "
        "wooden metal brass bronze steel glass bamboo clay iron stone copper paper sand ocean sea chinese china "
        "opera thai turkish african cuban indian japanese korean brazilian spanish javanese swiss basque suspended "
        "mounted hanging muted bowed struck scraped hand foot pedal stick sticks concert orchestral orchestra field "
        "military marching side drum drums bass tuned muffled dampened open closed with without mit ohne avec sans "
        "con senza on off and und et e the of de in snare snares rim edge bell shell head set pair paio octave inch "
        "inches cm first second third fourth i ii iii iv v",
    )
)
_PITCH = re.compile(r"[a-h](?:is|es|s|sharp|flat)?\d?|\d+\w?")
_MADE = re.compile(r"^(?:acoustic|electric) ", re.IGNORECASE)
"""What a sampler tells apart and a player's part does not: an "Acoustic Snare" is a snare drum."""
_SIDE_STICK = re.compile(r"(?:side|cross) ?sticks?|rim ?clicks?")
_SIDE_STICK_KEY = 37
"""General MIDI's percussion key of it, from 0: what a list without keys means by the name is a snare drum too."""
_LETTERS = re.compile(r"[A-Za-z\u00c0-\u024f\u0370-\u04ff]")


def with_plain_names(heads: Sequence[PartHead]) -> list[PartHead]:
    """The parts with names of their listed instruments as a page may print them, "" where none is left."""
    shared = _shared(heads)
    return [replace(head, instruments=_all_plain(head, shared)) for head in heads]


def _all_plain(head: PartHead, shared: frozenset[str]) -> dict[str, ListedInstrument]:
    """A part's instruments; those that only words of another trade tell apart keep these."""
    told = {id_: _plain(_without_foreign(listed), shared) for id_, listed in head.instruments.items()}
    names = Counter(fold(listed.name) for listed in told.values())
    return {
        id_: listed if names[fold(listed.name)] == 1 or not listed.name else _plain(head.instruments[id_], shared)
        for id_, listed in told.items()
    }


def _without_foreign(listed: ListedInstrument) -> ListedInstrument:
    """A name of an instrument of ours without words that are neither its own nor tell it from others of its kind."""
    name = _bare(listed)
    percussion = named_in(name)
    if percussion is None or named(_MADE.sub("", name)) is not None:
        return listed
    own = {word for each in percussion.names for word in each.split()} | _TELLING
    for run in _runs(name.split(), own):
        if named_in(run) is percussion:
            return listed._replace(name=run[:1].upper() + run[1:])
    return listed


def _bare(listed: ListedInstrument) -> str:
    return _TO.sub("", _BRACKETS.sub("", listed.name)).strip()


def _runs(words: Sequence[str], own: set[str]) -> Iterator[str]:
    """What stands together in a name between words of another trade; a number after such a word is the word's."""
    run: list[str] = []
    for word in (*words, ""):
        parts = fold(word).split()
        if parts and all(part in own or _PITCH.fullmatch(part) for part in parts):
            run.append(word)
        else:
            plain = " ".join(run if len(run) == len(words) else dropwhile(str.isdigit, run))
            yield plain.strip(" -:,;/|")
            run = []


def printed_name(text: str, percussion: Percussion) -> str:
    """A name of an instrument of ours as a page should print it: abbreviations and "to ..." in full."""
    bare = _MADE.sub("", text)
    if bare != text and named(bare) is percussion:
        return percussion.name
    if named_in(text) is not percussion or _is_short(text, percussion) or _engine_words(text):
        return percussion.name
    return text


def _plain(listed: ListedInstrument, shared: frozenset[str]) -> ListedInstrument:
    name = _bare(listed)
    percussion = named_in(name)
    if percussion is not None and named(_MADE.sub("", name)) is not None:
        return listed._replace(name=_capital(printed_name(name, percussion), changed=name != listed.name))
    if percussion is not None:
        return listed._replace(name=percussion.name if _engine_words(name) else name)
    if is_no_percussion(name):
        return listed._replace(name=name)
    if not _LETTERS.search(name) and listed.midi_unpitched is not None:
        return listed._replace(name=KEY_TITLES.get(listed.midi_unpitched, ""))
    if listed.midi_unpitched is None and _SIDE_STICK.fullmatch(fold(name)):
        return listed._replace(name=KEY_TITLES[_SIDE_STICK_KEY], midi_unpitched=_SIDE_STICK_KEY)
    core = _core(name)
    return listed._replace(name="" if not core or _engine_words(name) or core in shared else name)


def _capital(name: str, changed: bool) -> str:
    return name[:1].upper() + name[1:] if changed else name


def _shared(heads: Iterable[PartHead]) -> frozenset[str]:
    """Names, numbers aside, that instruments of parts with different names have in common."""
    parts_of: dict[str, set[str]] = {}
    for head in heads:
        for listed in head.instruments.values():
            parts_of.setdefault(_core(listed.name), set()).add(_core(head.name))
    return frozenset(core for core, parts in parts_of.items() if len(parts - {core}) > 1)


def _core(name: str) -> str:
    """A name without numbers and words of the sampler's trade."""
    return " ".join(word for word in fold(name).split() if not _ENGINE.fullmatch(word))


def _engine_words(name: str) -> list[str]:
    return [word for word in fold(name).split() if _ENGINE.fullmatch(word) and not word.isdigit()]


def _is_short(name: str, percussion: Percussion) -> bool:
    """Whether a name is an abbreviation: it has a full stop, or begins every word of a name that is much longer."""
    words = fold(name).split()
    if "." in name:
        return True
    for other in percussion.names:
        full = other.split()
        begins = len(full) == len(words) and all(map(str.startswith, full, words))
        # "Tom" begins "tomtom" and is no abbreviation of it.
        if begins and len(other) >= len(" ".join(words)) + 3 and not other.startswith(2 * words[0]):
            return True
    return False
