"""Hairpins, slurs, pedals, fermatas, caesuras and breaths (MusicXML 4.0, wedge, slur, pedal, fermata ...)."""

from collections.abc import Callable

from score.piece import MarkKind, Piece, Span, SpanKind

Read = Callable[..., Piece]
Make = Callable[..., str]


def _direction(inside: str, more: str = "") -> str:
    return f"<direction><direction-type>{inside}</direction-type>{more}</direction>"


def _spans(piece: Piece, kind: SpanKind) -> list[tuple[tuple[int, object], tuple[int, object], bool]]:
    return [(tuple(span.start), tuple(span.end), span.closed) for span in _all(piece) if span.kind is kind]  # type: ignore[misc]


def _all(piece: Piece) -> tuple[Span, ...]:
    return piece.players[0].spans


def test_a_hairpin_over_a_barline(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    bars = [
        attributes() + note("C4", 8) + _direction('<wedge type="crescendo"/>') + note("C4", 8),
        note("C4", 4) + _direction('<wedge type="stop"/>') + note("C4", 12),
    ]
    assert _spans(read(score_xml(bars)), SpanKind.CRESCENDO) == [((0, 2), (1, 1), True)]


def test_a_hairpin_that_never_ends_stops_at_the_next_dynamic_of_its_bar(
    read: Read, score_xml: Make, attributes: Make, note: Make
) -> None:
    bar = attributes() + _direction('<wedge type="diminuendo"/>') + note("C4", 8)
    piece = read(score_xml([bar + _direction("<dynamics><p/></dynamics>") + note("C4", 8)]))
    assert _spans(piece, SpanKind.DIMINUENDO) == [((0, 0), (0, 2), False)]
    assert "hairpin never ends" in piece.warnings[0].line
    piece = read(score_xml([bar + note("C4", 8)]))
    assert _spans(piece, SpanKind.DIMINUENDO) == [((0, 0), (0, 4), False)]


def test_swells_in_words_end_with_their_dashes(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    bar = attributes() + _direction("<words>cresc.</words>") + _direction('<dashes type="start"/>') + note("C4", 8)
    bar += _direction('<dashes type="stop"/>') + note("C4", 8)
    assert _spans(read(score_xml([bar])), SpanKind.CRESCENDO) == [((0, 0), (0, 2), True)]


def test_swells_in_words_reach_the_next_dynamic(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    bars = [attributes() + _direction("<words>poco a poco dim.</words>") + note("C4", 16), note("C4", 16)]
    bars.append(_direction("<dynamics><pp/></dynamics>") + note("C4", 16))
    piece = read(score_xml(bars))
    assert _spans(piece, SpanKind.DIMINUENDO) == [((0, 0), (2, 0), False)]
    assert piece.warnings == ()


def test_slurs_that_meet_on_a_note(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    def slurs(*types: str) -> str:
        marks = "".join(f'<slur type="{kind}" number="1"/>' for kind in types)
        return f"<notations>{marks}</notations>"

    bar = (
        attributes()
        + note("C4", 4, slurs("start"))
        + note("D4", 4, slurs("start", "stop"))
        + note("E4", 8, slurs("stop"))
    )
    assert _spans(read(score_xml([bar])), SpanKind.SLUR) == [((0, 0), (0, 1), True), ((0, 1), (0, 2), True)]


def test_pedal_changes(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    bar = attributes() + _direction('<pedal type="start"/>') + note("C4", 8) + _direction('<pedal type="change"/>')
    bar += note("C4", 8) + _direction('<pedal type="stop"/>')
    assert _spans(read(score_xml([bar])), SpanKind.PEDAL) == [((0, 0), (0, 2), True), ((0, 2), (0, 4), True)]


def _marks(piece: Piece, kind: MarkKind) -> list[tuple[int, object, str]]:
    return [(mark.bar, mark.at, mark.text) for mark in piece.players[0].marks if mark.kind is kind]


def test_fermatas_on_notes_and_rests(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    held = "<notations><fermata>square</fermata></notations>"
    plain = "<notations><fermata/></notations>"
    piece = read(score_xml([attributes() + note("C4", 8, held) + note("rest", 8, plain)]))
    assert _marks(piece, MarkKind.FERMATA) == [(0, 0, "square"), (0, 2, "normal")]


def test_a_fermata_over_the_barline_is_a_silence_between_bars(
    read: Read, score_xml: Make, attributes: Make, note: Make
) -> None:
    barline = '<barline location="right"><bar-style>light-light</bar-style><fermata/></barline>'
    piece = read(score_xml([attributes() + note("C4", 16) + barline, note("C4", 16)]))
    assert _marks(piece, MarkKind.CAESURA) == [(0, 4, "fermata over the barline")]


def test_breaths_and_caesuras_stand_after_their_note(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    breath = "<notations><articulations><breath-mark>comma</breath-mark></articulations></notations>"
    caesura = "<notations><articulations><caesura/></articulations></notations>"
    piece = read(score_xml([attributes() + note("C4", 8, breath) + note("C4", 8, caesura)]))
    assert _marks(piece, MarkKind.BREATH) == [(0, 2, "comma")]
    assert _marks(piece, MarkKind.CAESURA) == [(0, 4, "")]
    assert piece.players[0].strokes[0].articulations == ()


def test_words_stay_as_printed(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    piece = read(score_xml([attributes() + _direction("<words> very  dry </words>") + note("C4", 16)]))
    assert _marks(piece, MarkKind.WORDS) == [(0, 0, "very dry")]
    assert piece.players[0].strokes[0].words == ("very dry",)


def test_a_dynamic_of_two_letters_by_two_elements(read: Read, score_xml: Make, attributes: Make, note: Make) -> None:
    mark = _direction("<dynamics><f/><p/></dynamics>")
    other = _direction("<dynamics><other-dynamics>fmp</other-dynamics></dynamics>")
    piece = read(score_xml([attributes() + mark + note("C4", 8) + other + note("C4", 8)]))
    assert [item.mark for item in piece.players[0].dynamics] == ["fp", "fmp"]
