"""What is typed wrongly gets one sentence and exit code 2; nothing is written, and nobody sees a traceback."""

from __future__ import annotations

import io
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from handsfree.cli import command_line_parser, main
from handsfree.job.log.store import Store

TYPED = ("--listen", "typed", "--speak", "print")


@pytest.fixture(autouse=True)
def own_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("XDG_CONFIG_HOME", "XDG_DATA_HOME"):
        monkeypatch.setenv(name, str(tmp_path / "home"))
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(sys, "stdin", io.StringIO(""))
    (tmp_path / "folder").mkdir()
    (tmp_path / "empty").write_text("")
    (tmp_path / "words").write_text("these are words")
    (tmp_path / "bytes").write_bytes(b"\xff\xfe\x00\x80")


Refused = Callable[..., str]


@pytest.fixture
def refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Refused:
    """Runs a command that must be refused; the sentence."""

    def run(*words: str, logs: bool = True) -> str:
        assert main([*words, *(("--logs", str(tmp_path / "logs")) if logs else ())]) == 2
        sentences = capsys.readouterr().err.strip().splitlines()
        assert len(sentences) == 1
        assert sentences[0].startswith(f"handsfree {words[0]}: ")
        assert Store(tmp_path / "logs").jobs() == []
        return sentences[0]

    return run


WRONG_FILES = ("none", "folder", "empty", "words", "bytes", "x" * 5000)


@pytest.mark.parametrize("file", WRONG_FILES)
@pytest.mark.parametrize(
    "before",
    [
        ("run", *TYPED),
        ("rehearse",),
        ("propose",),
        ("restore",),
        ("run", "focusing-slide", "--speak", "print", "--listen"),
    ],
)
def test_a_wrong_file_is_named_and_no_log_is_begun(refused: Refused, before: tuple[str, ...], file: str) -> None:
    assert file[:40] in refused(*before, file)


@pytest.mark.parametrize("file", WRONG_FILES)
@pytest.mark.parametrize("before", [("phrases",), ("card",), ("hear", "words", "--procedure")])
def test_a_wrong_file_is_named_where_no_log_is_wanted(
    before: tuple[str, ...], file: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([*before, file]) == 2
    assert file[:40] in capsys.readouterr().err


@pytest.mark.parametrize("file", ["none", "folder", "words", "bytes", "x" * 5000])
def test_a_wrong_file_of_the_workshop_is_named(refused: Refused, file: str) -> None:
    assert file[:40] in refused("run", "focusing-slide", *TYPED, "--workshop", file)
    assert file[:40] in refused("figure", "four", "--workshop", file, logs=False)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("review",), "no jobs yet"),
        (("review", "x"), "no job 'x'"),
        (("report",), "no jobs yet"),
        (("history", "x"), 'is called "x"'),
        (("history", "--most", "0"), "--most"),
        (("search", "--most", "0", "x"), "--most"),
        (("search", "*"), "at least one word"),
        (("draft",), "nothing was taken apart"),
        (("verify", "x"), "no job 'x'"),
        (("verify", "--hash", "x"), "name the job"),
        (("backup", "saved.zip"), "there is no log"),
        (("backup", "folder"), "is there already"),
        (("rescue", "--to", "new"), "there is no log"),
        (("delete-sounds",), "say which sounds"),
        (("delete-sounds", "--older-than", "-1"), "must be from 0"),
        (("delete-sounds", "--older-than", "99999999999"), "must be from 0"),
        (("job", "type", "x"), "no job 'x'"),
        (("job", "take-back", "x", "e1"), "no job 'x'"),
        (("job", "reopen", "x", "--reason", "r"), "no job 'x'"),
        (("job", "new", "--item", " "), "nothing in one of the texts"),
        (("job", "new", "--complaint", ""), "nothing in one of the texts"),
        (("run", "focusing-slide", *TYPED, "--job", "x"), "no job 'x'"),
        (("run", "focusing-slide", *TYPED, "--key", "f9"), "--listen mic"),
        (("run", "focusing-slide", *TYPED[:2], "--speak", "folder"), "no way to speak"),
        (("rehearse", "focusing-slide", "--speed", "0"), "--speed"),
        (("strip", " ", *TYPED), "no name"),
        (("check-tool", "micrometer", *TYPED), "no tools are in the workshop's file"),
        (("propose", "focusing-slide", "--jobs", "0"), "--jobs"),
    ],
)
def test_with_an_empty_log_or_a_wrong_value_one_sentence_says_what_to_do(
    refused: Refused, words: tuple[str, ...], told: str
) -> None:
    assert told in refused(*words)


@pytest.mark.parametrize(
    ("address", "told"),
    [("", "names no address"), ("256.1.1.1", "no address of this machine"), ("here:port", "no port number")],
)
def test_a_wrong_address_of_the_display_is_told_and_no_job_begun(refused: Refused, address: str, told: str) -> None:
    assert told in refused("run", "focusing-slide", *TYPED, "--display-address", address)


def test_a_folder_for_the_model_that_is_a_file_is_named(refused: Refused) -> None:
    assert "words can't be used" in refused("fetch-model", "--from", "empty", "--to", "words", logs=False)


@pytest.mark.parametrize("deed", [("sign", "--by"), ("reopen", "--reason"), ("add", "--note")])
def test_an_empty_text_about_a_job_is_refused(
    deed: tuple[str, str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    logs = ["--logs", str(tmp_path / "logs")]
    assert main(["job", "new", *logs]) == 0
    store = Store(tmp_path / "logs")
    (job,) = store.jobs()
    assert main(["job", deed[0], job.id, deed[1], " ", *logs]) == 2
    assert "nothing in one of the texts" in capsys.readouterr().err
    assert len(store.events(job.id)) == 1


def test_what_no_command_knows_is_wrong_use_with_its_usage(capsys: pytest.CaptureFixture[str]) -> None:
    for words in ([], ["nonsense"], ["job"], ["job", "nonsense"], ["run"], ["jobs", "--nonsense"], ["check"]):
        with pytest.raises(SystemExit) as ended:
            command_line_parser().parse_args(words)
        assert ended.value.code == 2
        assert "usage: handsfree" in capsys.readouterr().err


@pytest.mark.parametrize("name", ["", "  ", "-", "x" * 61])
def test_a_voice_needs_the_name_of_a_person(refused: Refused, name: str) -> None:
    assert "--by wants the name" in refused("learn-voice", f"--by={name}", logs=False)


def test_a_voice_that_is_not_known_cannot_be_forgotten(refused: Refused) -> None:
    assert "no voice of Jo is known" in refused("voices", "--forget", "Jo", logs=False)


@pytest.mark.parametrize("file", WRONG_FILES)
def test_a_card_that_is_no_recording_is_told(refused: Refused, file: str) -> None:
    refused("learn-voice", "--by", "Jo", "--listen", file, logs=False)


def test_no_voice_known_is_told_with_how_to_learn_one_and_a_damaged_one_by_its_file(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["voices"]) == 0
    assert "handsfree learn-voice --by NAME" in capsys.readouterr().out
    folder = tmp_path / "home" / "handsfree" / "voices"
    folder.mkdir(parents=True)
    (folder / "jo-12345678.voice").write_bytes(b"PK cut off")
    assert main(["voices"]) == 1
    assert "jo-12345678.voice is damaged" in capsys.readouterr().out
