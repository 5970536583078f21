"""The protocol of an evening: CommonMark lists, one line an entry, nothing empty."""

from datetime import datetime

from score.plan.protocol import Protocol, Worked, protocol_markdown

START = datetime(2027, 3, 2, 19, 0)


def test_worked_decided_and_left_open_stand_in_lists() -> None:
    worked = (Worked("B", 11, 14, "under tempo"), Worked("join A | B", 4, 0))
    text = protocol_markdown(
        Protocol(
            "Piece",
            START,
            missing=(3,),
            worked=worked,
            decided=["bars 17-20: 2 holds back 8 %"],
            notes=[],
            open=["bar 25:\nall *breathe*"],
        )
    )
    assert text.startswith("# Piece: rehearsal of 2 March 2027, 19:00\n\n14 minutes. Without 3.\n")
    assert "## Worked on\n\n- B: 14 of 11 minutes; under tempo\n- join A | B: 0 of 4 minutes\n" in text
    assert "## Decided\n\n- bars 17-20: 2 holds back 8 %\n" in text
    assert "## Left open\n\n- bar 25: all \\*breathe\\*\n" in text
    assert "Notes" not in text
