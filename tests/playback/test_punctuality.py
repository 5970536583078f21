"""Waiting for a moment, and going before other programs; the clock is Python's own (time.perf_counter)."""

import multiprocessing
import os
import sys
import time
from multiprocessing.connection import Connection

import pytest

from score.playback.sounding.punctuality import NEAR, await_moment, take_precedence


def test_a_moment_is_never_met_early() -> None:
    for step in range(20):
        moment = time.perf_counter() + NEAR * step / 20
        await_moment(moment)
        assert time.perf_counter() >= moment


def test_what_is_far_or_over_is_not_waited_for() -> None:
    start = time.perf_counter()
    await_moment(start + 3600.0)
    await_moment(start - 1.0)
    assert time.perf_counter() - start < 60.0


@pytest.mark.parametrize("is_denied", [False, True])
def test_precedence_is_taken_where_it_is_granted_and_done_without_elsewhere(is_denied: bool) -> None:
    # In a process of its own: the precedence would stay with whoever took it.
    context = multiprocessing.get_context("spawn")
    here, there = context.Pipe()
    process = context.Process(target=_asked, args=(there, is_denied))
    process.start()
    assert here.poll(60.0)
    granted, policy = here.recv()
    process.join(60.0)
    assert process.exitcode == 0
    if is_denied:
        assert not granted
    if sys.platform == "linux":
        assert granted == (policy & ~os.SCHED_RESET_ON_FORK == os.SCHED_RR)


def _asked(pipe: Connection, is_denied: bool) -> None:
    if is_denied:
        for name in ("sched_setscheduler", "nice"):
            setattr(os, name, _denied)
    granted = take_precedence()
    pipe.send((granted, os.sched_getscheduler(0) if sys.platform == "linux" else 0))


def _denied(*_: object) -> None:
    raise PermissionError(1, "denied")
