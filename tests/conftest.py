"""How the suite is run, and a bench for tests: a small procedure, a log in a temporary folder, typed lines."""

from __future__ import annotations

import gc
import importlib
import os
import shutil
import signal
import tempfile
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path

import pytest
from hypothesis import settings

from handsfree.audio import networks
from handsfree.job.log.store import Store
from handsfree.procedure.file.loader import Loaded, load_procedure
from handsfree.procedure.workshop import read_workshop
from tests.support.disks import disk_of
from tests.support.played import SMALL, Play, player

# Where the tests run in the background, the programs they start would be born deaf to Ctrl-C.
signal.signal(signal.SIGINT, signal.default_int_handler)

# Machines differ in speed: how long an example takes is measured in benchmarks, not here. Each run draws others, so
# that fifty do.
settings.register_profile("handsfree", deadline=None, max_examples=50)
settings.load_profile("handsfree")


# What a program gives back with its recogniser, the tests keep for the next one.
networks._IN_USE = {}

# A log is flushed to the disk before each answer: jobs played by the hundred are mostly waits for a disk. Where there
# is room in memory and nobody has chosen a place, the temporary folders lie there.
_IN_MEMORY, _ROOM = Path("/dev/shm"), 2 << 30
if "TMPDIR" not in os.environ and os.access(_IN_MEMORY, os.W_OK) and shutil.disk_usage(_IN_MEMORY).free > _ROOM:
    os.environ["TMPDIR"] = tempfile.tempdir = str(_IN_MEMORY)


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int | None:
    """The whole suite is shared out among the cores; a few tests that are named are run as they are."""
    return None if config.args_source is pytest.Config.ArgsSource.TESTPATHS else 0


_LONGEST = ("end_to_end", "display", "hearing", "speaking", "faults")


def pytest_sessionstart(session: pytest.Session) -> None:
    """Each worker loads the same files; in a fresh checkout they all have to be compiled. So each begins elsewhere, and
    finds compiled what another has loaded by then."""
    worker, workers = os.environ.get("PYTEST_XDIST_WORKER", ""), int(os.environ.get("PYTEST_XDIST_WORKER_COUNT", "1"))
    if not worker.removeprefix("gw").isdigit() or session.config.args_source is not pytest.Config.ArgsSource.TESTPATHS:
        return
    here = Path(__file__).parent
    files = sorted(here.rglob("test_*.py"))
    first = len(files) * int(worker.removeprefix("gw")) // workers
    for file in files[first:]:
        # What can't be imported is told where it is collected.
        with suppress(Exception, pytest.skip.Exception):
            importlib.import_module(".".join(file.relative_to(here.parent).with_suffix("").parts))


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """What takes long is begun first, so that the workers end together."""
    items.sort(key=lambda item: item.path.parent.name not in _LONGEST)


def pytest_collection_finish() -> None:
    """What is loaded by now stays: it need not be looked through again and again for what is no longer used."""
    gc.collect()
    gc.freeze()


@pytest.fixture
def procedure(tmp_path: Path) -> Path:
    """The file of the small procedure."""
    path = tmp_path / "gate-latch.yaml"
    path.write_text(SMALL, encoding="utf-8")
    return path


@pytest.fixture
def small(procedure: Path) -> Loaded:
    return load_procedure(procedure)


@pytest.fixture
def store(tmp_path: Path) -> Store:
    return Store(tmp_path / "logs")


@pytest.fixture
def play(small: Loaded, store: Store) -> Play:
    """Play typed lines on the small procedure; playing again takes the same job up."""
    return player(small, store)


@pytest.fixture
def make_play(tmp_path: Path, store: Store) -> Callable[..., Play]:
    """The same on a procedure of this text, in a workshop whose file has that text."""

    def make(text: str, workshop: str = "") -> Play:
        path, file = tmp_path / "other.yaml", tmp_path / "workshop.yaml"
        path.write_text(text, encoding="utf-8")
        file.write_text(workshop, encoding="utf-8")
        return player(load_procedure(path), store, read_workshop(file))

    return make


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of 400 kB."""
    yield from disk_of(tmp_path / "small", 400)
