"""Ctrl-C comes after what it may not cut short."""

from __future__ import annotations

import signal
import threading

import pytest

from handsfree.commands.interrupts import interrupts_held


def test_ctrl_c_comes_after_what_it_may_not_cut_short() -> None:
    done = []
    with pytest.raises(KeyboardInterrupt), interrupts_held():
        signal.raise_signal(signal.SIGINT)
        done.append("all of it")
    assert done == ["all of it"]
    assert signal.getsignal(signal.SIGINT) is signal.default_int_handler


def test_where_nobody_interrupts_nothing_changes() -> None:
    with interrupts_held():
        pass
    with pytest.raises(KeyboardInterrupt):
        signal.raise_signal(signal.SIGINT)


def test_a_program_that_was_told_to_ignore_ctrl_c_goes_on_ignoring_it() -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        with interrupts_held():
            signal.raise_signal(signal.SIGINT)
    finally:
        signal.signal(signal.SIGINT, signal.default_int_handler)


def test_another_thread_holds_nothing_back() -> None:
    held = []

    def in_a_thread() -> None:
        with interrupts_held():
            held.append(signal.getsignal(signal.SIGINT) is not signal.default_int_handler)

    thread = threading.Thread(target=in_a_thread)
    thread.start()
    thread.join()
    assert held == [False]
