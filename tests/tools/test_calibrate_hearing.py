"""How the numbers of the decision are derived: the regression, and which records it is made from."""

from __future__ import annotations

import gzip
import json
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tests.tools.calibrate_hearing import trials, weigh
from tests.tools.ear_training.collect import language

SPOKEN = language()


def record(said: str, heard: str, **more: Any) -> dict[str, Any]:
    """As ``collect`` writes it."""
    numbers = {"alternatives": [[heard, -1.0]], "text": heard, "gap": 0.0, "margin": 3.0, "log_odds": 3.0}
    about = {"ear": "ear", "kind": "digits", "voice": "a", "condition": "clean", "number": 0, "seconds": 1.0}
    return {**about, "took": 0.1, "said": said, "heard": [numbers], **more}


def written(folder: Path, *several: dict[str, Any]) -> Path:
    path = folder / "heard.gz"
    with gzip.open(path, "wt", encoding="utf-8") as file:
        file.writelines(json.dumps(each) + "\n" for each in several)
    return path


def test_of_one_sign_the_weights_are_the_logarithms_of_the_odds() -> None:
    # Of a table of two by two the maximum likelihood has a closed form (any textbook of statistics): the constant is
    # the log odds without the sign, the weight the log of the odds ratio.
    sign = np.array([[1.0]] * 40 + [[0.0]] * 25)
    true = np.array([1.0] * 30 + [0.0] * 10 + [1.0] * 5 + [0.0] * 20)
    weight, constant = weigh(sign, true, np.ones(65), ridge=0.0)
    assert constant == pytest.approx(math.log(5 / 20))
    assert weight == pytest.approx(math.log(30 / 10) - math.log(5 / 20))


def test_what_counts_three_times_is_as_good_as_three() -> None:
    rng = np.random.default_rng(1)
    numbers = rng.standard_normal((40, 2))
    true = (numbers[:, 0] + rng.standard_normal(40) > 0).astype(float)
    counts = np.where(np.arange(40) < 10, 1, 3)
    thrice = np.repeat(np.arange(40), counts)
    counted = weigh(numbers, true, counts.astype(float), ridge=0.0)
    assert counted == pytest.approx(weigh(numbers[thrice], true[thrice], np.ones(len(thrice)), ridge=0.0))


def test_strangers_are_heard_by_the_encoder_that_does_not_know_them_and_the_rest_by_the_one_in_force(
    tmp_path: Path,
) -> None:
    path = written(
        tmp_path,
        record("four two", "four two"),
        record("four two", "four two", ear="without b"),
        record("six nine", "eight nine", voice="b"),
        record("six nine", "six nine", voice="b", ear="without b"),
    )
    found = trials(SPOKEN, [path], "ear", "without b", "b")
    assert [(each.record["voice"], each.stranger, each.right, each.figure) for each in found] == [
        ("a", False, True, True),
        ("b", True, True, True),
    ]


def test_what_was_split_or_is_no_phrase_now_is_left_out_and_talk_is_not(tmp_path: Path) -> None:
    split = record("four two", "four two")
    split["heard"] *= 2
    talk = record("", "four two", kind="people")
    talk["heard"] *= 2
    path = written(tmp_path, split, record("four two", "no such phrase at all"), talk)
    assert [each.record["kind"] for each in trials(SPOKEN, [path], None, None, "b")] == ["people", "people"]
