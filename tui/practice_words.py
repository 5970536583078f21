"""What the head of the practice screen says of a setting and of what sounds."""

from typing import NamedTuple

from score.places import bar_name, bars_name
from score.time.meter_beats import beats
from tui.drawing.practice_head import HeadFacts
from tui.practice_facts import PracticeFacts, page_lines
from tui.practice_pages import PageTable
from tui.practice_setting import Setting, written_bars
from tui.practice_sound import PracticeSound
from tui.session import Session


class HeadPlace(NamedTuple):
    """Where one is.

    Attributes:
        facts: about the bars, None before they are gathered.
        table: the pages, None before they are divided.
        page: number of the page.
    """

    facts: PracticeFacts | None
    table: PageTable | None
    page: int


def head_facts(session: Session, setting: Setting, sound: PracticeSound, place: HeadPlace) -> HeadFacts:
    """Everything that is said above the notation."""
    piece, position = session.piece, sound.position
    chunk = session.chunks[setting.chunk]
    join = f" | {session.chunks[setting.chunk + 1].chunk.name}" if setting.join else ""
    is_counting = position is not None and position.bar < 0
    played = written_bars(sound.route) if sound.route else chunk.chunk.bars
    bar = position.bar if position is not None and not is_counting else played[0]
    tempo = position.quarters_per_minute if position is not None else sound.written * setting.tempo
    return HeadFacts(
        chunk.chunk.name + join,
        bars_name(piece, played),
        tempo=f"q = {tempo:.0f}" if tempo else "",
        share=_share(setting, sound),
        state=_state(sound, setting),
        is_playing=sound.is_on,
        played=_played(sound, setting),
        beat=position.beat if position is not None and not is_counting else 0,
        beats=len(beats(piece.bars[bar])) or 1,
        bar=bar_name(piece, bar),
        count_in=str(position.beat) if position is not None and is_counting else "",
        cells=_cells(played, bar if position is not None and not is_counting else -1),
        lines=_lines(session, setting, place),
        player=session.me.number,
    )


def idle_words(session: Session, setting: Setting, sound: PracticeSound) -> str:
    """What the foot says while there is nothing else to say."""
    standing = session.standing(session.chunks[setting.chunk])
    best = f" at {100 * standing.best_tempo:.0f} %" if standing and standing.best_tempo else ""
    rated = f"   {standing.readiness.value}{best}" if standing else ""
    muted = "".join(f"   {number} off" for number in sorted(setting.muted))
    plays = "recording's time   " if setting.time_of else ""
    if setting.recording:
        plays, muted = "recording" + "".join(f" +{number}" for number in sorted(setting.beside)) + "   ", ""
    silent = "" if sound.player is not None else "   no sound"
    return f"{plays}{setting.words()}{muted}{rated}{silent}"


def _share(setting: Setting, sound: PracticeSound) -> str:
    share = f"{100 * setting.tempo:.0f} %"
    if setting.recorded:
        return f"{share} of the recording"
    return f"{share} of {sound.written:.0f}" if sound.written else share


def _state(sound: PracticeSound, setting: Setting) -> str:
    if sound.position is not None and sound.position.bar < 0:
        return f"count-in {sound.position.beat}"
    if sound.is_on:
        return "playing"
    return "pass over" if sound.ended else "stopped"


def _played(sound: PracticeSound, setting: Setting) -> str:
    loop = "own loop" if setting.own_loop else "loop" if setting.loop else "once"
    return f"pass {sound.turn}, {loop}" if sound.is_on else loop


def _cells(played: range, sounding: int) -> tuple[int, ...]:
    """2 for the bar that sounds, 1 for one that was played in this pass, 0 for one to come."""
    return tuple(2 if bar == sounding else 1 if bar < sounding else 0 for bar in played)


def _lines(session: Session, setting: Setting, place: HeadPlace) -> tuple[str, ...]:
    if place.facts is None or place.table is None:
        return ()
    page = place.table.pages[min(place.page, len(place.table.pages) - 1)]
    return page_lines(session, setting, place.facts, place.facts.bars_of(page))
