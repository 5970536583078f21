"""The percussion signs of a direction: which instrument a pictogram shows, or what to strike with.

Source: MusicXML 4.0, percussion and the types glass-value, metal-value, wood-value, pitched-value,
membrane-value, effect-value, stick-type, beater-value.
"""

from score.instruments.percussion import Percussion, named
from score.reading.xml_cursor import Element

_SHOWS_INSTRUMENT = ("glass", "metal", "wood", "pitched", "membrane", "effect", "timpani")
_SHOWS_STICKS = ("beater", "stick")
_OTHER_NAMES = {
    "glass harmonica": "musical glasses",
    "glass harp": "musical glasses",
    "bell tree": "bell tree",
    "chinese cymbal": "china cymbal",
    "crotale": "crotales",
    "cymbal tongs": "finger cymbals",
    "domed gong": "gong",
    "jaw harp": "",
    "japanese cymbal": "",
    "tlacateponaztli": "log drum",
    "african ceramic drum": "udu",
    "indo-american tom tom": "tom toms",
    "japanese tom tom": "tom toms",
    "military drum": "snare drum",
    "snare drum snares off": "snare drum",
    "bass drum on side": "bass drum",
    "tambourine": "tambourine",
    "mexican hat": "",
    "recoreco": "guiro",
    "reco-reco": "guiro",
    "sandpaper": "sandpaper blocks",
    "slapstick": "whip",
    "hi-hat cymbals": "hi-hat",
    "chime tube": "chimes",
    "tubaphone": "",
    "bell plate": "bell plate",
    "steel drums": "steel drum",
    "jingle bells": "sleigh bells",
    "vietnamese hat": "cymbal",
    "thundersheet": "thunder sheet",
    "thunder sheet": "thunder sheet",
}


def pictogram(percussion: Element) -> Percussion | None:
    """The instrument a `<percussion>` sign shows; None when it shows none that is known."""
    for child in percussion.iterchildren(*_SHOWS_INSTRUMENT):
        text = "timpani" if child.tag == "timpani" else (child.text or "").strip()
        return named(_OTHER_NAMES.get(text, text))
    return None


def sticks_sign(percussion: Element) -> str:
    """What a `<percussion>` sign shows to strike with ("soft yarn", "bow"), or ""."""
    for child in percussion.iterchildren(*_SHOWS_STICKS):
        if child.tag == "beater":
            return (child.text or "").strip()
        kind, material = child.findtext("stick-type", "").strip(), child.findtext("stick-material", "").strip()
        return " ".join(filter(None, (material, kind)))
    return ""
