"""Systems as SVG documents: with the symbols that they use, and their words in our text font."""

import re
from collections.abc import Sequence

from score.parts.drawn_staves import SVG
from score.parts.engraver import EngravedSystem
from score.printing.fonts import MUSIC, TEXT
from score.printing.hand_signs import HAND

_USED = re.compile(r'href="#([^"]+)"')
_FONT = re.compile(rf'font-family="(?!{MUSIC}"|{HAND}")[^"]*"')
# What the engraver calls its groups, for nobody who prints; with groups that are empty a fifth of the drawing.
_NAMES = re.compile(r' (?:id|class)="[^"]*"')
_GROUP = re.compile(r"<g(?:>| [^>]*>)|</g>")
_LINE = r'<path d="M[-\d. ]+ L[-\d. ]+" stroke-width="{width}"/>'
_LINES = re.compile(_LINE.format(width=r"([\d.]+)") + "(?:" + _LINE.format(width=r"\1") + ")+")
_COURSE = re.compile(r'd="([^"]*)"')


def system_svg(system: EngravedSystem, view: str, ink: str = "black", under: str = "") -> str:
    """The document of one system.

    Args:
        system: as it was engraved.
        view: what of the drawing is seen: left, top, width and height in the engraver's units.
        ink: colour of everything.
        under: shapes that lie under the music.
    """
    return _document([system], view, _body(system), ink, under)


def page_svg(systems: Sequence[tuple[EngravedSystem, float, float]], view: str) -> str:
    """The document of a page: symbols once for all its systems, groups and lines as few as they can be.

    Args:
        systems: each with how far it is moved right and down, in the engraver's units.
        view: as for one system.
    """
    bodies = [f'<g transform="translate({x:.0f} {y:.0f})">{_body(system)}</g>' for system, x, y in systems]
    return _document([system for system, _, _ in systems], view, _joined_lines(_ungrouped("".join(bodies))))


def _document(systems: Sequence[EngravedSystem], view: str, body: str, ink: str = "black", under: str = "") -> str:
    symbols = {name: symbol for system in systems for name, symbol in system.symbols.items()}
    used = "".join(symbols[name] for name in sorted(set(_USED.findall(body))))
    return (
        f'<svg xmlns="{SVG.strip("{}")}" xmlns:xlink="http://www.w3.org/1999/xlink" viewBox="{view}">'
        f"<style>text {{ stroke: none }}</style><defs>{used}</defs>{under}"
        f'<g font-family="{TEXT}" color="{ink}" fill="{ink}" stroke="{ink}">{body}</g></svg>'
    )


def _body(system: EngravedSystem) -> str:
    body = _NAMES.sub("", system.svg).replace("<g/>", "")
    return _FONT.sub(f'font-family="{TEXT}"', body)


def _ungrouped(body: str) -> str:
    """The drawing without groups that say nothing."""
    stays: list[bool] = []

    def kept(tag: re.Match[str]) -> str:
        if tag[0] == "</g>":
            return "</g>" if stays.pop() else ""
        stays.append(tag[0] != "<g>")
        return tag[0] if stays[-1] else ""

    return _GROUP.sub(kept, body)


def _joined_lines(body: str) -> str:
    """Straight lines of one width that follow each other, as staff lines do, in one path."""

    def joined(lines: re.Match[str]) -> str:
        return f'<path d="{" ".join(_COURSE.findall(lines[0]))}" stroke-width="{lines[1]}"/>'

    return _LINES.sub(joined, body)
