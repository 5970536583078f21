"""A system alone as an SVG document: with the symbols that it uses, and its words in our text font."""

import re

from score.parts.drawn_staves import SVG
from score.parts.engraver import EngravedSystem
from score.printing.fonts import MUSIC, TEXT
from score.printing.hand_signs import HAND

_USED = re.compile(r'href="#([^"]+)"')
_FONT = re.compile(rf'font-family="(?!{MUSIC}"|{HAND}")[^"]*"')
# What the engraver calls its groups, for nobody who prints; with groups that are empty a fifth of the drawing.
_NAMES = re.compile(r' (?:id|class)="[^"]*"')


def system_svg(system: EngravedSystem, view: str, ink: str = "black", under: str = "") -> str:
    """The document.

    Args:
        system: as it was engraved.
        view: what of the drawing is seen: left, top, width and height in the engraver's units.
        ink: colour of everything.
        under: shapes that lie under the music.
    """
    symbols = "".join(system.symbols[name] for name in sorted(set(_USED.findall(system.svg))))
    body = _NAMES.sub("", system.svg).replace("<g/>", "")
    body = _FONT.sub(f'font-family="{TEXT}"', body)
    return (
        f'<svg xmlns="{SVG.strip("{}")}" xmlns:xlink="http://www.w3.org/1999/xlink" viewBox="{view}">'
        f"<style>text {{ stroke: none }}</style><defs>{symbols}</defs>{under}"
        f'<g font-family="{TEXT}" color="{ink}" fill="{ink}" stroke="{ink}">{body}</g></svg>'
    )
