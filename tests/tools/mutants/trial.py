"""Tests run on the copy, in a process of their own: once to see which test executes which line, then with a mistake.

The process is split off from one that has loaded the large libraries already; nothing of the project is loaded there.
(So this runs where there is ``fork``: not on Windows.)
"""

from __future__ import annotations

import functools
import importlib
import os
import pickle
import resource
import signal
import sys
import time
from collections.abc import Callable, Generator, Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from enum import Enum
from itertools import accumulate
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import HealthCheck, Phase, settings

from tests.tools.mutants.copy_of import planted
from tests.tools.mutants.in_place import put_in_place
from tests.tools.mutants.kept import Kept, digest
from tests.tools.mutants.planting import Mistake
from tests.tools.mutants.rooms import Room

if TYPE_CHECKING:
    from coverage import Coverage

_LARGE = (
    "coverage",
    "numpy",
    "pint",
    "pydantic",
    "yaml",
    "ruamel.yaml",
    "jinja2",
    "transitions",
    "hypothesis.strategies",
    "rich",
)
_PROFILE = "mistakes"

FAST = 4.0
"""Processor seconds; a test that takes more is not run for a mistake."""
_EXAMPLES = 20
_ENOUGH = 8.0
"""Processor seconds of tests that are run for what any test may show."""
_PATIENCE = 3.0
"""A mistake may make the tests take so many times as long before it is taken for endless."""
_START = 8.0
"""Processor seconds for loading the project and collecting the tests."""
_WALL = 15.0
"""So many times the processor time may pass: the machine has other work, and a test may wait for ever."""
_MEMORY = 8 << 30
_ELSEWHERE, _LIVES = "elsewhere", "lives"
_SHARED = ("handsfree", "procedures", "tests/support", "tests/data", "tests/conftest.py")
"""What any test may rest on, beside its own file."""


class Outcome(Enum):
    NOTICED = "noticed"
    ENDLESS = "noticed, by running on"
    LIVES = "lives"
    NOT_RUN = "lives, run by no test"

    @property
    def living(self) -> bool:
        return self in (Outcome.LIVES, Outcome.NOT_RUN)


@dataclass
class Record:
    """What one run of the room's tests on the right code has shown."""

    cpu: dict[str, float] = field(default_factory=dict)
    """Processor seconds by test."""
    lines: dict[str, dict[int, set[str]]] = field(default_factory=dict)
    """The tests that execute a line, by module's file and line; "" is what runs before the first of them."""
    failed: list[str] = field(default_factory=list)
    """Tests that fail as it is, and count for nothing here."""

    def add(self, other: Record) -> None:
        """What another file of tests has shown."""
        self.cpu |= other.cpu
        self.failed += other.failed
        for module, lines in other.lines.items():
            for line, tests in lines.items():
                self.lines.setdefault(module, {}).setdefault(line, set()).update(tests)

    @property
    def usable(self) -> list[str]:
        return [test for test, seconds in self.cpu.items() if seconds <= FAST and test not in self.failed]

    def tests_for(self, mistake: Mistake) -> list[str]:
        """The tests that come by where the mistake is, quickest first."""
        lines = self.lines.get(mistake.module, {})
        first, last = mistake.lines
        tests = _of(lines, range(first, last + 1)) or _of(lines, range(mistake.statement[0], mistake.statement[1] + 1))
        chosen = self._quickest(tests)
        if tests and (mistake.once or "" in tests):
            # What is worked out once, or before the first test, shows in whatever uses it: in this module, or anywhere.
            for more in (_of(lines, lines), set(self.cpu)):
                chosen += self._quickest(more - set(chosen))
            spent = accumulate(self.cpu[test] for test in chosen)
            chosen = [test for test, seconds in zip(chosen, spent, strict=True) if seconds <= _ENOUGH]
        return chosen

    def while_loading(self, mistake: Mistake) -> bool:
        """Whether what is wrong is run before the first test: when a module is loaded, or the tests are collected."""
        lines = self.lines.get(mistake.module, {})
        return not mistake.where or "" in _of(lines, range(mistake.statement[0], mistake.statement[1] + 1))

    def _quickest(self, tests: set[str]) -> list[str]:
        return sorted(tests & set(self.usable), key=lambda test: (self.cpu[test], test))


def _of(lines: dict[int, set[str]], numbers: Iterable[int]) -> set[str]:
    return set().union(*(lines.get(number, ()) for number in numbers))


def prepare() -> None:
    """Load what every run needs, and the way its properties are tried: the same each time, without shrinking."""
    for name in _LARGE:
        importlib.import_module(name)
    settings.register_profile(
        _PROFILE,
        deadline=None,
        max_examples=_EXAMPLES,
        derandomize=True,
        database=None,
        phases=(Phase.explicit, Phase.generate),
        suppress_health_check=list(HealthCheck),
    )


def record(root: Path, room: Room, kept: Kept) -> Record:
    """Run the room's tests once on the right code, and see which of its lines each of them executes.

    Raises:
        RuntimeError: a run ended without a result; the text is what it printed.
    """
    whole, code = Record(), digest(root, _SHARED)
    for file in _test_files(root, room.tests):
        whole.add(kept.result(code, digest(root, [file]), room, work=lambda file=file: _record(root, file, room)))
    return whole


def _test_files(root: Path, tests: Iterable[str]) -> Iterator[str]:
    for name in tests:
        path = root / name
        found = sorted(path.rglob("test_*.py")) if path.is_dir() else [path] if path.exists() else []
        yield from (str(file.relative_to(root)) for file in found)


def _record(root: Path, file: str, room: Room) -> Record:
    found, text = _apart(root, lambda: _recorded(root, file, room), None)
    if found is None:
        raise RuntimeError(text)
    return Record(*found)


def try_in_place(root: Path, record: Record, mistakes: Iterable[Mistake], kept: Kept) -> None:
    """Try those that can be put into what is loaded once for all of them, and keep what comes of it for ``tried``."""
    trials = []
    for mistake in mistakes:
        tests = record.tests_for(mistake)
        if tests and not record.while_loading(mistake) and not kept.has(*_key(root, mistake, tests)):
            trials.append((mistake, tests))
    if trials:
        files = sorted({test.split("::")[0] for _, tests in trials for test in tests})
        _, text = _apart(root, lambda: _pytest(root, files, _InPlace(root, record, trials, kept)), None)
        if "error" in text.lower():
            print(text[-2000:], flush=True)


def tried(root: Path, record: Record, mistake: Mistake, kept: Kept) -> tuple[Outcome, str]:
    """What the tests say of a mistake, and the first test that fails."""
    tests = record.tests_for(mistake)
    of = _key(root, mistake, tests)
    said, failing = kept.result(*of, work=lambda: _plain(_tried(root, record, mistake, tests)))
    return Outcome(said), failing


def _plain(outcome: tuple[Outcome, str]) -> tuple[str, str]:
    """As it is kept: where the copy's modules stand for these ones, the class is another one."""
    return outcome[0].value, outcome[1]


def _key(root: Path, mistake: Mistake, tests: Sequence[str]) -> tuple[object, ...]:
    files = sorted({test.split("::")[0] for test in tests})
    return digest(root, (*_SHARED, *files)), tests, mistake.module, mistake.source


def _limit(record: Record, tests: Iterable[str]) -> float:
    return _START + _PATIENCE * sum(record.cpu[test] for test in tests)


def _tried(root: Path, record: Record, mistake: Mistake, tests: Sequence[str]) -> tuple[Outcome, str]:
    if not tests:
        return Outcome.NOT_RUN, ""
    limit = _limit(record, tests)
    with planted(mistake, root):
        found, text = _apart(root, lambda: _run(root, tests), limit)
    if found is None:
        return Outcome.ENDLESS, ""
    status, failing = found
    if status == pytest.ExitCode.OK:
        return Outcome.LIVES, ""
    if status == pytest.ExitCode.NO_TESTS_COLLECTED:
        raise RuntimeError(f"the tests of {mistake.module} were not found:\n{text}")
    return Outcome.NOTICED, failing or "loading the tests"


def _apart(root: Path, work: Callable[[], Any], limit: float | None) -> tuple[Any, str]:
    """What ``work`` gives in a process of its own (None: nothing within the limit), and what it printed."""
    with TemporaryDirectory(prefix="mistakes-run-") as folder:
        result, output = Path(folder) / "result", Path(folder) / "output"
        child = os.fork()
        if child == 0:
            _child(root, work, limit, result, output)
        try:
            _wait(child, None if limit is None else limit * _WALL)
        finally:
            with suppress(ProcessLookupError):
                os.killpg(child, signal.SIGKILL)
        text = output.read_text(errors="replace") if output.exists() else ""
        return (pickle.loads(result.read_bytes()) if result.exists() else None), text


def _wait(child: int, limit: float | None) -> None:
    end = None if limit is None else time.monotonic() + limit
    while os.waitpid(child, os.WNOHANG) == (0, 0):
        if end is not None and time.monotonic() > end:
            with suppress(ProcessLookupError):
                os.killpg(child, signal.SIGKILL)
            os.waitpid(child, 0)
            return
        time.sleep(0.02)


def _child(root: Path, work: Callable[[], Any], limit: float | None, result: Path, output: Path) -> None:
    """The other process: does the work in the copy, writes down what comes of it, and ends."""
    try:
        signal.signal(signal.SIGTERM, signal.SIG_DFL)
        os.setsid()
        written = os.open(output, os.O_WRONLY | os.O_CREAT)
        os.dup2(written, 1)
        os.dup2(written, 2)
        if limit is not None:
            _within(limit)
        _move_to(root)
        found = work()
        result.with_suffix(".part").write_bytes(pickle.dumps(found))
        result.with_suffix(".part").rename(result)
    except BaseException:
        import traceback

        traceback.print_exc()
        os._exit(1)
    os._exit(0)


def _within(limit: float) -> None:
    """This process ends after so many seconds of a processor."""
    resource.setrlimit(resource.RLIMIT_CPU, (round(limit), round(limit) + 1))
    resource.setrlimit(resource.RLIMIT_AS, (_MEMORY, _MEMORY))


def _move_to(root: Path) -> None:
    """Make the copy what ``handsfree`` and ``tests`` mean, here and in the programs that a test starts."""
    here = {str(Path.cwd()), "", str(Path(__file__).resolve().parents[3])}
    os.chdir(root)
    sys.path[:] = [str(root), *(entry for entry in sys.path if entry not in here)]
    for name in list(sys.modules):
        if name.split(".")[0] in ("handsfree", "tests"):
            del sys.modules[name]
    importlib.invalidate_caches()
    sys.dont_write_bytecode = True
    os.environ |= {"PYTHONPATH": str(root), "PYTHONDONTWRITEBYTECODE": "1"}


def _pytest(root: Path, arguments: Sequence[str], plugin: object) -> int:
    # In this one process, whatever the project's own settings say.
    own = root / "mistakes.ini"
    own.write_text("[pytest]\nmarkers =\n  slow\n  realtime\n", encoding="utf-8")
    fixed = f"-q -p no:cacheprovider --hypothesis-profile {_PROFILE}".split()
    where = ["--rootdir", str(root), "-c", str(own), "-m", "not slow and not realtime"]
    return int(pytest.main([*fixed, *where, *arguments], plugins=[plugin]))


def _recorded(root: Path, file: str, room: Room) -> tuple[dict[str, float], dict[str, dict[int, set[str]]], list[str]]:
    """The fields of the record."""
    sys.dont_write_bytecode = False  # what is compiled now serves every later run
    own = [f"{root}/{name}" if name.endswith(".py") else f"{root}/{name}/*" for name in room.code]
    import coverage

    traced = coverage.Coverage(data_file=None, include=own, config_file=False)
    plugin = _Recorder(traced, room)
    traced.start()
    chosen = ["-k", f"not ({' or '.join(room.without)})"] if room.without else []
    status = _pytest(root, [*chosen, file], plugin)
    traced.stop()
    if status not in (pytest.ExitCode.OK, pytest.ExitCode.TESTS_FAILED, pytest.ExitCode.NO_TESTS_COLLECTED):
        raise RuntimeError(f"pytest ended with {status}")
    data = traced.get_data()
    for measured in data.measured_files():
        module = str(Path(measured).relative_to(root))
        plugin.record.lines[module] = {
            line: set(contexts) for line, contexts in data.contexts_by_lineno(measured).items()
        }
    return plugin.record.cpu, plugin.record.lines, plugin.record.failed


def _run(root: Path, tests: Sequence[str]) -> tuple[int, str]:
    plugin = _Chosen(tests)
    status = _pytest(root, ["-x", *dict.fromkeys(test.split("::")[0] for test in tests)], plugin)
    return status, plugin.failing


class _Recorder:
    """Notes which test is running while the lines are counted, and how long it takes."""

    def __init__(self, traced: Coverage, room: Room) -> None:
        self.record = Record()
        self._traced = traced
        self._own = ("tests.", *(name.removesuffix(".py").replace("/", ".") for name in room.code))

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Generator[None, object, object]:
        _forget_what_is_kept(self._own)
        self._traced.switch_context(item.nodeid)
        before = _processor_time()
        try:
            return (yield)
        finally:
            self.record.cpu[item.nodeid] = _processor_time() - before
            self._traced.switch_context("")

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed and report.nodeid not in self.record.failed:
            self.record.failed.append(report.nodeid)


class _Chosen:
    """Keeps the chosen tests, the file with the quickest of them first."""

    def __init__(self, tests: Sequence[str]) -> None:
        files = list(dict.fromkeys(test.split("::")[0] for test in tests))
        self._order = {test: (files.index(test.split("::")[0]), place) for place, test in enumerate(tests)}
        self.failing = ""

    def place(self, test: str) -> tuple[int, int]:
        return self._order[test]

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        items[:] = sorted((i for i in items if i.nodeid in self._order), key=lambda item: self.place(item.nodeid))

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed and not self.failing:
            self.failing = report.nodeid


class _InPlace:
    """In place of running the tests it collected: a process for each mistake, with the chosen tests in it."""

    def __init__(self, root: Path, record: Record, trials: Sequence[tuple[Mistake, list[str]]], kept: Kept) -> None:
        self._root, self._record, self._trials, self._kept = root, record, trials, kept
        self._failing = ""

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        items = {item.nodeid: item for item in session.items}
        for mistake, tests in self._trials:
            order = _Chosen(tests)
            chosen = sorted((items[test] for test in tests if test in items), key=lambda item: order.place(item.nodeid))
            outcome = self._outcome(mistake, chosen, _limit(self._record, tests))
            if outcome is not None:
                self._kept.result(*_key(self._root, mistake, tests), work=lambda outcome=outcome: _plain(outcome))
        return True

    def _outcome(self, mistake: Mistake, items: Sequence[pytest.Item], limit: float) -> tuple[Outcome, str] | None:
        """None where it can't be put in place."""
        read, write = os.pipe()
        child = os.fork()
        if child == 0:
            try:
                _within(limit)
                os.write(write, self._try(mistake, items).encode())
            except BaseException:
                os.write(write, _ELSEWHERE.encode())
            finally:
                os._exit(0)
        os.close(write)
        _wait(child, limit * _WALL)
        with os.fdopen(read) as pipe:
            os.set_blocking(read, False)
            said = pipe.read() or ""
        if said == _ELSEWHERE:
            return None
        if not said:
            return Outcome.ENDLESS, ""
        return (Outcome.LIVES, "") if said == _LIVES else (Outcome.NOTICED, said)

    def _try(self, mistake: Mistake, items: Sequence[pytest.Item]) -> str:
        if not put_in_place(mistake):
            return _ELSEWHERE
        for item, following in zip(items, [*items[1:], None], strict=True):
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
            if self._failing:
                return self._failing
        return _LIVES

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed and not self._failing:
            self._failing = report.nodeid


def _forget_what_is_kept(modules: tuple[str, ...]) -> None:
    """What is worked out once and kept would belong to the first test alone. (The registry of units is too dear.)

    ``modules``: how the names of those begin whose lines are counted, or that call them.
    """
    for name, module in list(sys.modules.items()):
        if name.startswith(modules):
            for kept in vars(module).values():
                if isinstance(kept, functools._lru_cache_wrapper) and kept.cache_parameters()["maxsize"] != 1:
                    kept.cache_clear()


def _processor_time() -> float:
    spent = os.times()
    return spent.user + spent.system + spent.children_user + spent.children_system
