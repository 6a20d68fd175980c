"""The tool that plants mistakes: what it plants, that tests which notice are told from such as don't, and that nothing
of it stays."""

from __future__ import annotations

import ast
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.support.places import REPOSITORY
from tests.tools.mutants.copy_of import copy_of, planted
from tests.tools.mutants.planting import Mistake, every_mistake, mistakes
from tests.tools.mutants.reviewed import Key, key, out_of_date, reviewed
from tests.tools.mutants.rooms import ROOMS
from tests.tools.mutants.trial import Record

TINY = '''
"""A module."""

from functools import cache

LEAST = 3


def fits(size: int, *, strict: bool = False) -> bool:
    """Whether it does."""
    if size < LEAST and not strict:
        return False
    return any(size == other for other in range(10) if other)


@cache
def names() -> tuple[str, ...]:
    found = []
    found.append(f"{LEAST + 1} holes")
    return tuple(sorted(found, key=len))


def _longer_than(least: int):
    def longer(size: int) -> bool:
        return size > least

    return longer


LARGE = _longer_than(LEAST)
'''
NOTICING = """
from handsfree.measure.tiny import LARGE, fits, names


def test_what_fits():
    assert [size for size in range(-1, 12) if fits(size)] == [3, 4, 5, 6, 7, 8, 9]
    assert fits(2, strict=True)
    assert not fits(0, strict=True)


def test_there_are_names():
    assert names() is not None


def test_what_is_large():
    assert [size for size in range(6) if LARGE(size)] == [4, 5]
"""


def planted_in(text: str) -> dict[tuple[str, str], Mistake]:
    return {(each.was, each.becomes): each for each in every_mistake("tiny.py", text)}


@pytest.mark.parametrize(
    ("was", "becomes", "kind"),
    [
        ("if size < LEAST and (not strict):", "if size <= LEAST and (not strict):", "comparison"),
        ("if size < LEAST and (not strict):", "if size >= LEAST and (not strict):", "comparison"),
        ("if size < LEAST and (not strict):", "if size < LEAST or not strict:", "and/or"),
        ("if size < LEAST and (not strict):", "if size < LEAST:", "condition dropped"),
        ("if size < LEAST and (not strict):", "if size < LEAST and strict:", "condition negated"),
        ("if size < LEAST and (not strict):", "if True:", "condition dropped"),
        ("LEAST = 3", "LEAST = 4", "constant"),
        ("LEAST = 3", "LEAST = 2", "constant"),
        ("return False", "return not False", "result lost"),
        ("return tuple(sorted(found, key=len))", "return ()", "result lost"),
        ("return tuple(sorted(found, key=len))", "return tuple(sorted(found))", "argument dropped"),
        ("found.append(f'{LEAST + 1} holes')", "pass", "statement deleted"),
        ("found.append(f'{LEAST + 1} holes')", "found.append(f'{LEAST - 1} holes')", "arithmetic"),
        (
            "return any((size == other for other in range(10) if other))",
            "return all((size == other for other in range(10) if other))",
            "function turned",
        ),
        (
            "return any((size == other for other in range(10) if other))",
            "return any((size == other for other in range(10)))",
            "condition dropped",
        ),
    ],
)
def test_what_goes_wrong_in_a_module(was: str, becomes: str, kind: str) -> None:
    mistake = planted_in(TINY)[was, becomes]
    assert mistake.kind == kind
    assert becomes in mistake.source
    assert TINY.splitlines()[mistake.lines[0] - 1].split()[0][:6] in was


def test_every_mistake_is_a_module_that_differs_from_the_right_one_and_from_every_other() -> None:
    everything = list(every_mistake("tiny.py", TINY))
    right = ast.unparse(ast.parse(TINY))
    for mistake in everything:
        compile(mistake.source, "tiny.py", "exec")
    assert len({right, *(mistake.source for mistake in everything)}) == len(everything) + 1


def test_where_nothing_can_be_wrong_nothing_is_planted() -> None:
    assert not list(every_mistake("tiny.py", '"""A module."""\nimport os\n\nNAME: str\nfound = os.name\n'))


def test_of_a_long_table_only_the_place_is_shown() -> None:
    table = f"TABLE = ({', '.join(f'{number!r}' for number in range(0, 2000, 7))})"
    mistake = next(every_mistake("tiny.py", table))
    assert len(mistake.was) < 400
    assert mistake.was.startswith("TABLE = (0, 7")
    assert mistake.was.endswith("...")


def test_what_is_worked_out_once_is_known() -> None:
    once = {each.where: each.once for each in every_mistake("tiny.py", TINY)}
    assert {name: once[name] for name in ("", "fits", "names")} == {"": True, "fits": False, "names": True}


def test_the_same_seed_draws_the_same_and_another_draws_others_each_in_its_own_statement() -> None:
    modules = {f"{name}.py": TINY for name in "abcd"}
    drawn = mistakes(modules, 10, 1)
    assert drawn == mistakes(modules, 10, 1)
    assert drawn != mistakes(modules, 10, 2)
    assert len({(each.module, each.statement) for each in drawn}) == 10


def test_numbers_that_were_derived_from_data_are_left_as_they_are() -> None:
    table = "LEAST = 3\n\n\ndef odds(gap):\n    return -2 * min(gap, 8)\n"

    def planted_kinds(derived: tuple[str, ...]) -> set[tuple[str, str]]:
        drawn = (each for seed in range(30) for each in mistakes({"tiny.py": table}, 2, seed, derived))
        return {(each.where, each.kind) for each in drawn}

    kept = {("", "constant"), ("odds", "arithmetic"), ("odds", "function turned"), ("odds", "result lost")}
    assert planted_kinds(("odds",)) == kept
    assert ("", "constant") not in planted_kinds(("odds", "LEAST"))
    assert planted_kinds(()) == {*kept, ("odds", "constant"), ("odds", "sign")}


def test_the_tests_for_a_mistake_are_those_that_run_its_line_the_quickest_first() -> None:
    record = Record(
        cpu={"slow": 2.0, "quick": 0.1, "beside": 0.1, "elsewhere": 0.0, "hours": 100.0, "broken": 0.1},
        lines={"tiny.py": {11: {"slow", "quick", "hours", "broken"}, 13: {"beside"}, 6: {""}}},
        failed=["broken"],
    )
    found = planted_in(TINY)
    assert record.tests_for(found["if size < LEAST and (not strict):", "if True:"]) == ["quick", "slow"]
    assert record.tests_for(found["LEAST = 3", "LEAST = 4"]) == ["beside", "quick", "slow", "elsewhere"]
    assert record.tests_for(found["found.append(f'{LEAST + 1} holes')", "pass"]) == []


def test_a_spoilt_module_is_right_again_whatever_happens(tmp_path: Path) -> None:
    (tmp_path / "tiny.py").write_text(TINY)
    mistake = next(every_mistake("tiny.py", TINY))
    with pytest.raises(KeyboardInterrupt), planted(mistake, tmp_path):
        assert (tmp_path / "tiny.py").read_text() == mistake.source
        raise KeyboardInterrupt
    assert (tmp_path / "tiny.py").read_text() == TINY


def test_the_copy_holds_what_the_tests_need_and_goes_afterwards() -> None:
    with copy_of(REPOSITORY) as root:
        assert (root / "handsfree" / "cli.py").read_bytes() == (REPOSITORY / "handsfree" / "cli.py").read_bytes()
        assert (root / "tests" / "conftest.py").exists()
        assert (root / "procedures").is_dir()
    assert not root.exists()


@pytest.fixture
def tiny_tree(tmp_path: Path) -> Path:
    """A repository with one module and its tests."""
    pytest.importorskip("coverage", reason="coverage tells which test runs which line; it comes with [dev]")
    root = tmp_path / "tree"
    code, tests = root / "handsfree" / "measure", root / "tests" / "measure"
    for folder, name, text in ((code, "tiny.py", TINY), (tests, "test_tiny.py", NOTICING)):
        folder.mkdir(parents=True)
        (folder.parent / "__init__.py").touch()
        (folder / "__init__.py").touch()
        (folder / name).write_text(text)
    # Settings that only a run of the whole suite wants.
    (root / "pyproject.toml").write_text('[tool.pytest.ini_options]\naddopts = "--numprocesses=4"\n')
    return root


def planting_in(tree: Path, temporary: Path) -> subprocess.Popen[str]:
    """The tool at work on ``tree``, with its temporary folders in ``temporary``."""
    temporary.mkdir()
    arguments = ["--tree", str(tree), "--room", "measure", "--count", "12", "--each"]
    return subprocess.Popen(
        [sys.executable, "-m", "tests.tools.mutants", *arguments],
        cwd=REPOSITORY,
        env={**os.environ, "TMPDIR": str(temporary)},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def files_in(tree: Path) -> dict[Path, bytes]:
    return {path: path.read_bytes() for path in tree.rglob("*") if path.is_file()}


@pytest.mark.slow
def test_a_mistake_that_a_test_notices_is_told_from_one_that_lives_and_nothing_stays_behind(
    tiny_tree: Path, tmp_path: Path
) -> None:
    before = files_in(tiny_tree)
    with planting_in(tiny_tree, tmp_path / "temporary") as tool:
        out, err = tool.communicate()
    assert tool.returncode == 0, err
    assert "3 of 3 tests are used" in out
    lines = [line for line in out.splitlines() if line.startswith("handsfree/")]
    said = {line.split()[1]: line.rsplit(": ", 1)[1] for line in lines}
    assert said["fits"] == "noticed"
    assert said["names"] == "lives"
    assert said["_longer_than.longer"] == "noticed", "it was made when the module was loaded"
    assert files_in(tiny_tree) == before
    assert list((tmp_path / "temporary").iterdir()) == []


@pytest.mark.slow
def test_told_to_stop_it_puts_its_copy_away(tiny_tree: Path, tmp_path: Path) -> None:
    before = files_in(tiny_tree)
    with planting_in(tiny_tree, tmp_path / "temporary") as tool:
        assert tool.stdout is not None
        assert "tests are used" in tool.stdout.readline()
        tool.terminate()
        tool.communicate()
    assert tool.returncode == 1
    assert files_in(tiny_tree) == before
    assert list((tmp_path / "temporary").iterdir()) == []


def test_an_entry_of_the_list_needs_its_reason(tmp_path: Path) -> None:
    listed = tmp_path / "reviewed.yaml"
    entry = "- {module: tiny.py, where: '', was: LEAST = 3, becomes: LEAST = 4, why: '%s'}\n"
    listed.write_text(entry % "Nobody reads it.")
    assert reviewed(listed) == {Key("tiny.py", "", "LEAST = 3", "LEAST = 4"): "Nobody reads it."}
    listed.write_text(entry % " ")
    with pytest.raises(ValueError, match=r"no reason for 'LEAST = 3' in tiny\.py"):
        reviewed(listed)


def test_an_entry_whose_mistake_cannot_be_made_any_more_is_told() -> None:
    possible = list(every_mistake("tiny.py", TINY))
    gone = Key("tiny.py", "fits", "return 7", "return 8")
    assert out_of_date([key(possible[0]), gone], possible) == [gone]


def test_every_listed_reason_is_about_a_mistake_that_could_be_made() -> None:
    reasons = reviewed()
    modules = {file: text for room in ROOMS.values() for file, text in room.modules(REPOSITORY).items()}
    within: dict[str, set[str]] = {}
    for entry in reasons:
        within.setdefault(entry.module, set()).add(entry.where)
    possible = [each for file, places in within.items() for each in every_mistake(file, modules[file], places)]
    assert not out_of_date(reasons, possible)


@pytest.mark.parametrize("room", ROOMS)
def test_every_room_has_its_modules(room: str) -> None:
    assert ROOMS[room].modules(REPOSITORY)
