"""What comes in has an end: whatever is too large, too deep or never ends is refused in a sentence, at once."""

from __future__ import annotations

import io
import json
import os
import sqlite3
import sys
import zipfile
from contextlib import closing, suppress
from pathlib import Path

import numpy as np
import pytest
import soundfile

from handsfree.audio import files
from handsfree.audio.errors import SoundError
from handsfree.cli import main
from handsfree.job.log import backup
from handsfree.job.log.backup import BackupError
from handsfree.job.log.store import Store
from tests.support.jobs import fill
from tests.support.played import SMALL


@pytest.fixture(autouse=True)
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "home"))
    monkeypatch.setattr(sys, "stdin", io.StringIO(""))


def _refused(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    capsys.readouterr()
    assert main(list(words)) == 2
    (sentence,) = capsys.readouterr().err.strip().splitlines()
    return sentence


def test_a_pipe_or_a_device_is_no_procedure_recording_or_workshop(capsys: pytest.CaptureFixture[str]) -> None:
    if not hasattr(os, "mkfifo"):
        pytest.skip("the system has no named pipes")
    os.mkfifo("pipe.yaml")
    for name in ("pipe.yaml", "/dev/zero"):
        assert "a device or a pipe" in _refused(capsys, "phrases", name)
        assert "a device or a pipe" in _refused(capsys, "hear", name)
        assert name in _refused(capsys, "figure", "four", "--workshop", name)


def test_inclusions_that_double_again_and_again_are_refused(capsys: pytest.CaptureFixture[str]) -> None:
    head = "title: t\nitem: i\nrevision: 1\n"
    for depth in range(25):
        both = "".join(f"  - {{include: {depth + 1}.yaml, as: {side}}}\n" for side in ("left", "right"))
        Path(f"{depth}.yaml").write_text(f"{head}steps:\n{both}", encoding="utf-8")
    Path("25.yaml").write_text(f"{head}steps: [{{id: a, do: Do it.}}]\n", encoding="utf-8")
    assert main(["phrases", "0.yaml"]) == 2
    assert "files deep" in capsys.readouterr().err


@pytest.mark.parametrize("name", ["a\\0b.yaml", "x" * 5000, "y" * 260])
def test_a_name_that_no_file_can_have_is_told(capsys: pytest.CaptureFixture[str], name: str) -> None:
    text = f'title: t\nitem: i\nrevision: 1\nsteps: [{{include: "{name}"}}]\n'
    Path("p.yaml").write_text(text, encoding="utf-8")
    assert _refused(capsys, "phrases", "p.yaml")


def test_a_recording_of_days_of_silence_is_refused_before_it_fills_the_memory(monkeypatch: pytest.MonkeyPatch) -> None:
    soundfile.write("silence.flac", np.zeros(16_000 * 30, np.int16), 16_000)
    monkeypatch.setattr(files, "LONGEST_RECORDING", 20)
    with pytest.raises(SoundError, match="longer than"):
        files.load_recording("silence.flac")


def test_the_count_of_samples_in_a_files_head_is_not_believed() -> None:
    soundfile.write("tone.flac", np.sin(np.arange(16_000) / 9) / 2, 16_000, subtype="PCM_16")
    content = bytearray(Path("tone.flac").read_bytes())
    content[21] ^= 0x0F  # the upper bits of the count (RFC 9639, 8.2)
    Path("tone.flac").write_bytes(content)
    with suppress(SoundError):
        assert len(files.load_recording("tone.flac")) <= 17_000


def test_a_typed_line_of_a_million_letters_is_too_long_and_the_job_goes_on(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    # It was thought about for a hundred seconds.
    Path("p.yaml").write_text(SMALL, encoding="utf-8")
    monkeypatch.setattr(sys, "stdin", io.StringIO(f"yes\n{'nine hundred ' * 80_000}\nwhere am i\n"))
    assert main(["run", "p.yaml", "--new", "--listen", "typed", "--speak", "print", "--logs", "logs"]) == 0
    said = capsys.readouterr().out
    assert "too long for a command" in said
    assert "where am i" in said


def _archive(**changed: object) -> Path:
    """A backup of a small log, with its contents or its database forged."""
    store = Store(Path("from"))
    fill(store, "worn")
    backup.save(store.folder, Path("good.zip"))
    with zipfile.ZipFile("good.zip") as old, zipfile.ZipFile("forged.zip", "w") as new:
        contents = json.loads(old.read("contents.json"))
        database = old.read("handsfree.db")
        if "database" in changed:
            made = changed.pop("database")
            assert isinstance(made, bytes)
            database = made
            import hashlib

            known = {"bytes": len(database), "sha256": hashlib.sha256(database).hexdigest()}
            contents["files"]["handsfree.db"] = known
        text = json.dumps({**contents, **changed})
        new.writestr("handsfree.db", database)
        new.writestr("contents.json", text.replace('"@infinite@"', "1e999"))
    return Path("forged.zip")


@pytest.mark.parametrize(
    "files",
    [
        [], ["handsfree.db"], {"handsfree.db": 1}, {"handsfree.db": {"bytes": "@infinite@", "sha256": "0"}},
        {"handsfree.db": {"bytes": 10**18, "sha256": "0"}}, {"handsfree.db": {"bytes": -1, "sha256": "0"}}, None, "x",
        {"handsfree.db": {}}, {},
    ],
)  # fmt: skip
def test_a_list_of_contents_that_makes_no_sense_is_no_backup(files: object) -> None:
    with pytest.raises(BackupError, match=r"forged\.zip"):
        backup.restore(_archive(files=files), Path("to"))
    assert not Path("to").exists()


def _database(*statements: str) -> bytes:
    with closing(sqlite3.connect("made.db")) as db, db:
        for statement in statements:
            db.execute(statement)
    return Path("made.db").read_bytes()


def test_a_view_without_end_is_not_asked() -> None:
    endless = "CREATE VIEW jobs AS WITH RECURSIVE n(x) AS (SELECT 1 UNION ALL SELECT x + 1 FROM n) SELECT x FROM n"
    made = _database(
        endless, "CREATE TABLE events (x)", "PRAGMA application_id = 1212566599", "PRAGMA user_version = 5"
    )
    with pytest.raises(BackupError, match="no log of Handsfree"):
        backup.restore(_archive(database=made), Path("to"))


def test_another_programs_database_is_not_brought_back() -> None:
    made = _database("CREATE TABLE jobs (x)", "CREATE TABLE events (x)", "PRAGMA application_id = 7")
    with pytest.raises(BackupError, match="another program"):
        backup.restore(_archive(database=made), Path("to"))
    assert not Path("to").exists()


def test_a_report_that_can_not_be_written_leaves_the_one_that_is_there(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    Path("p.yaml").write_text(SMALL, encoding="utf-8")
    assert main(["card", "p.yaml", "--to", "card.html"]) == 0
    good = Path("card.html").read_bytes()

    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("handsfree.commands.files.os.fsync", full)
    assert "No space left" in _refused(capsys, "card", "p.yaml", "--to", "card.html")
    assert Path("card.html").read_bytes() == good
    assert sorted(path.name for path in Path().iterdir()) == ["card.html", "p.yaml"]


@pytest.mark.parametrize("count", ["9" * 5000, "99999999999999999999", "²", "10000"])
def test_no_job_has_so_many_shims(capsys: pytest.CaptureFixture[str], count: str) -> None:
    logs = ["--logs", "logs"]
    assert main(["job", "new", "--item", "x", *logs]) == 0
    (job,) = Store(Path("logs")).jobs()
    assert "shims" in _refused(capsys, "job", "add", job.id, "--out", f"{count} shims", *logs)
    assert len(Store(Path("logs")).events(job.id)) == 1
