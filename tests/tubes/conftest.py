import pytest

from score.tubes.air import Air
from score.tubes.pipes import read_pipe
from score.tubes.tube_acoustics import Column, Pipe
from score.tubes.tube_lengths import TubeRequest, tube_set
from score.tubes.wanted_notes import wanted_notes


@pytest.fixture
def two_inch():
    return read_pipe("2 in")


@pytest.fixture
def stopped(two_inch):
    return Column(two_inch)


@pytest.fixture
def thin():
    """A stopped 2-inch bore with a wall of next to nothing: the tube of the textbooks."""
    return Column(Pipe(2.049 * 25.4, 2.049 * 25.4 * (1 + 1e-9)))


@pytest.fixture
def room():
    return Air(20, 50)


@pytest.fixture
def octave(stopped):
    return tube_set(TubeRequest(wanted_notes("C3-C4"), stopped))
