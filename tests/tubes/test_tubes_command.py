"""`inbreath tubes` from the outside."""

import json

import pytest

from score.tubes.cautions import CAUTIONS
from tui.command import run


@pytest.fixture
def say(capsys):
    def _say(*arguments):
        code = run(["tubes", *map(str, arguments)])
        captured = capsys.readouterr()
        return code, captured.out, captured.err

    return _say


def test_an_octave(say):
    code, out, err = say(
        "C3-C4 diatonic", "--stock", "10 ft", "--measured", "1200 mm 70.3Hz", "--measured", "300 mm 270.4 Hz"
    )
    assert (code, err) == (0, "")
    # The cautions come before any length.
    flat = " ".join(out.split())
    assert all(flat.index(caution) < flat.index("cut to") for caution in CAUTIONS)
    assert max(map(len, out.splitlines())) <= 80
    for words in ("C3", "C4", "2 measured tubes", "Cut list", "2 new sticks", "Frame: plate", "Measure next"):
        assert words in flat


def test_json(say):
    code, out, _ = say("G3 A3 C4", "--json", "--stock", "3 m", "--hall", "25C", "--a4", 442)
    told = json.loads(out)
    assert code == 0
    assert [tube["name"] for tube in told["tubes"]] == ["G3", "A3", "C4"]
    assert told["tubes"][1]["frequency"] == pytest.approx(221)
    assert told["cautions"] == list(CAUTIONS)
    assert told["cutting"]["proven"] is True
    assert all(hole["diameter"] > 60 for hole in told["frame"]["holes"])


def test_a4_in_the_notes_holds_for_everything(say):
    """Measured tubes are read at the A4 that the notes give, and the answer says so."""
    given = say("C3", "--a4", 442, "--measured", "640 mm C3-8c")
    assert say("C3 A4=442", "--measured", "640 mm C3-8c") == given
    assert "A4 = 442 Hz" in " ".join(given[1].split())


def test_inches(say):
    _, out, _ = say("C2-C4", "--units", "in", "--stock", "10 ft", "--leftover", "2 x 1 m", "--sheet", "4 ft x 2 ft")
    assert max(map(len, out.splitlines())) <= 80
    assert "1/8 in a cut" in out
    assert "mm: " not in out
    _, out, _ = say("C3", "--units", "in")
    # 636.6 mm is 25 1/16 in to the nearest 32nd.
    assert "25 1/16 in" in out


def test_notes_of_a_score(say, request):
    code, out, _ = say("--score", request.config.rootpath / "samples" / "study.musicxml", "--player", 1, "--json")
    assert code == 0
    assert len(json.loads(out)["tubes"]) > 3
    code, _, err = say("--score", request.config.rootpath / "samples" / "study.musicxml", "--player", 2)
    assert code == 2
    assert "no pitched note" in err


def test_folder_and_log(say, tmp_path):
    code, _, err = say("C3-C4 diatonic", "--stock", "3 m", "--out", tmp_path / "set")
    assert code == 0
    files = {path.name: path for path in (tmp_path / "set").iterdir()}
    assert set(files) == {"workshop-sheet.pdf", "drilling-template.pdf", "drilling-template.svg", "tuning-log.toml"}
    assert len(err.splitlines()) == 4
    assert files["workshop-sheet.pdf"].read_bytes().startswith(b"%PDF")
    log = files["tuning-log.toml"]
    code, out, _ = say("--log", log, "--heard", "C3: C3-20c 20C", "--heard", "D3 +9c")
    assert code == 0
    assert "C3: -20.0 cents" in out
    assert "Cut " in out
    assert "cut nothing more" in out
    code, out, _ = say("--log", log, "--json")
    told = {one["tube"]: one for one in json.loads(out)}
    assert told["C3"]["cut"] > 0
    assert told["D3"]["cut"] == 0
    # What was measured while trimming teaches the next set.
    say("--log", log, "--heard", "C4 -30c 318.3 mm 20C", "--heard", "C3 -20c 644 mm 20C")
    code, out, _ = say("D3-A3", "--measured-in", log)
    assert code == 0
    assert "2 measured tubes" in " ".join(out.split())
    # A second set into the same folder does not lose the log.
    code, _, err = say("C3-C4 diatonic", "--out", tmp_path / "set")
    assert code == 2
    assert "choose another folder" in err


@pytest.mark.parametrize(
    "arguments",
    [
        (),
        ("C3", "--score", "x.musicxml"),
        ("--score", "none.musicxml", "--player", "1"),
        ("C3", "--stock", "300 mm"),
        ("C3", "--trim", "-3 mm"),
        ("C3", "--stock", "3 m", "--kerf", "1"),
        ("C3", "--pipe", "7 in"),
        ("C8",),
        ("C3", "--measured", "640 mm C5"),
        ("C3", "--hall", "warm"),
        ("C3", "--sheet", "big"),
        ("C3", "--cap-gap", "two"),
        ("C3", "--cap-gap", "3 m"),
        ("C3", "--cap-gap", "5 mm", "--cap-inside", "10 mm"),
        ("C3", "--kerf", "-1 mm"),
        ("C3", "--kerf", "50 mm"),
        ("C3", "--player", "1"),
        ("C3", "--length-error", "0"),
        ("C3", "--pitch-error", "-1"),
        ("C3", "--a4", "44"),
        ("C3", "--heard", "C3 -3c"),
        ("--log", "none.toml"),
    ],
)
def test_one_line_for_a_mistake(say, arguments):
    code, out, err = say(*arguments)
    assert code == 2
    assert out == ""
    assert len([line for line in err.splitlines() if line != "reading ..."]) == 1
    assert "Traceback" not in err


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("C3 A4=442", "--a4", "430"), "Two tunings"),
        (("C3", "--score", "x.musicxml"), "both notes ('C3') and --score"),
        (("C3", "--open", "--cap-gap", "5 mm"), "open at both ends have no cap"),
        (("C3", "--cap-inside", "60 mm"), "add the cap's gap"),
        (("C3", "--cap-gap", "5 mm", "--cap-inside", "120 mm"), "52.0 to 69.4 mm"),
        (("C3", "--log", "x.toml"), "notes beside --log"),
        (("--log", "x.toml", "--open", "--stock", "3 m"), "--open, --stock beside --log"),
        (("C3", "--measured", "640 mm 48"), "C3 for 48"),
        (("C3-C4", "--leftover", "1 m"), "at least 5078 mm short"),
        (("C3 C3", "--leftover", "700 mm", "--leftover", "2 x 640 mm"), "not in lengths that fit"),
    ],
)
def test_what_cannot_be_together_is_said(say, arguments, says):
    code, out, err = say(*arguments)
    assert (code, out) == (2, "")
    assert says in err
    assert len(err.splitlines()) == 1


def test_a_cut_without_a_kerf_is_said(say):
    for kerf in ("0", "0.0 mm", "0 in"):
        _, out, _ = say("C3", "--stock", "3 m", "--kerf", kerf)
        assert "cuts that take no width" in " ".join(out.split())


def test_doubles_are_tubes_of_their_own(say, tmp_path):
    code, out, _ = say("C3 C3", "--stock", "3 m", "--out", tmp_path)
    assert code == 0
    assert "C3 (2) 644.6 mm" in " ".join(out.split())
    log = tmp_path / "tuning-log.toml"
    code, out, _ = say("--log", log, "--heard", "C3 (2): C3-18c", "--heard", "c3(2) -12c 643 mm", "--heard", "C3: -20c")
    assert code == 0
    assert "C3 (2): -12.0 cents" in out
    assert "C3: -20.0 cents" in out
