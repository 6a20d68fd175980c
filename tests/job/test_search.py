"""Finding words in what was said and typed."""

from __future__ import annotations

import sqlite3
from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.cli import main
from handsfree.job.catalogue import text_index
from handsfree.job.catalogue.search import search
from handsfree.job.events import EntryWithdrawn, FactNoted, NoteKept, StepSkipped, TextTyped
from handsfree.job.log.store import Store
from tests.support.jobs import AT, opened


def note(store: Store, *texts: str, days: int = 0) -> str:
    at = AT + timedelta(days=days)
    with store.open_job(opened(at), steps=1) as log:
        for number, text in enumerate(texts):
            log.append(
                NoteKept(at=at + timedelta(minutes=number), id=f"n{number}", text=text, seconds=1.0, step="strip")
            )
        return log.job


def texts(store: Store, wanted: str) -> list[str]:
    return [found.text for found in search(store.folder, wanted)]


def test_all_words_have_to_be_there_in_any_order_and_form(store: Store) -> None:
    note(store, "the lower pivot is worn oval", "the upper pivot is sound")
    assert texts(store, "pivot") == ["the upper pivot is sound", "the lower pivot is worn oval"]
    assert texts(store, "WORN pivots") == ["the lower pivot is worn oval"]
    assert texts(store, "piv low") == ["the lower pivot is worn oval"]
    assert texts(store, "pivot bent") == []


def test_what_is_said_later_is_found_too(store: Store) -> None:
    job = note(store, "pivot dry")
    assert len(texts(store, "pivot")) == 1
    with store.resume(job) as log:
        log.append(NoteKept(at=AT, id="n7", text="pivot oiled", seconds=1.0))
    assert sorted(texts(store, "pivot")) == ["pivot dry", "pivot oiled"]
    assert sorted(texts(store, "pivot")) == ["pivot dry", "pivot oiled"]


@pytest.mark.parametrize("indexed", [True, False])
def test_what_was_only_rehearsed_is_not_found(store: Store, indexed: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    if not indexed:
        monkeypatch.setattr(text_index, "_WORDS", "CREATE VIRTUAL TABLE words USING no_such_module (text)")
    note(store, "pivot dry")
    with store.open_job(opened(AT).model_copy(update={"purpose": "rehearsal"}), steps=1) as log:
        log.append(NoteKept(at=AT, id="n1", text="pivot rehearsed", seconds=1.0))
    assert texts(store, "pivot") == ["pivot dry"]


def test_reasons_are_searched_as_well(store: Store) -> None:
    job = note(store)
    with store.resume(job) as log:
        log.append(StepSkipped(at=AT, step="cover", reason="gasket to come"))
    (found,) = search(store.folder, "gasket")
    assert (found.job, found.step, found.kind, found.seq) == (job, "cover", "step skipped", 2)


def test_without_full_text_search_all_texts_are_looked_through(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(text_index, "_WORDS", "CREATE VIRTUAL TABLE words USING no_such_module (text)")
    note(store, "pivot dry", "PIVOT worn")
    assert texts(store, "pivot") == ["PIVOT worn", "pivot dry"]
    assert texts(store, "pivot worn") == ["PIVOT worn"]


@given(st.text(max_size=12))
def test_nothing_that_is_typed_is_taken_for_a_query_language(
    tmp_path_factory: pytest.TempPathFactory, typed: str
) -> None:
    store = Store(tmp_path_factory.getbasetemp() / "search")
    if not store.jobs():
        note(store, "pivot dry")
    try:
        assert texts(store, typed) in ([], ["pivot dry"])
    except ValueError as error:
        assert str(error) == "say at least one word to look for"


def test_the_command_prints_where_and_when(store: Store, capsys: pytest.CaptureFixture[str]) -> None:
    job = note(store, "pivot \x1b[31m dry")
    assert main(["search", "pivot", "--logs", str(store.folder)]) == 0
    out = capsys.readouterr().out
    assert job in out
    assert "step strip, note: pivot ?[31m dry" in out
    assert main(["search", "nowhere", "--logs", str(store.folder)]) == 0
    assert "Nothing in the log" in capsys.readouterr().out
    assert main(["search", "?", "--logs", str(store.folder)]) == 2


def test_words_are_found_by_an_index_that_is_brought_up_to_the_log(store: Store) -> None:
    note(store, "pivot dry", "gib scored")
    search(store.folder, "pivot")
    db = sqlite3.connect(store.folder / "catalogue.db")
    indexed = [row[0] for row in db.execute("SELECT text FROM words ORDER BY rowid")]
    db.close()
    assert indexed == ["pivot dry", "gib scored"]


def test_a_note_that_was_taken_back_is_found_and_said_to_be(store: Store, capsys: pytest.CaptureFixture[str]) -> None:
    job = note(store, "pivot dry", "pivot worn")
    with store.resume(job) as log:
        log.append(EntryWithdrawn(at=AT, id="n0"))
        log.append(TextTyped(at=AT, id="n1", text="pivot worn oval"))
        log.append(FactNoted(at=AT, id="f1", about="serial", text="pivot1"))
        log.append(FactNoted(at=AT, id="f2", about="serial", text="pivot2", corrects="f1"))
    ended = {found.text: found.ended for found in search(store.folder, "pivot")}
    assert ended == {
        "pivot dry": "taken back",
        "pivot worn": "typed later",
        "pivot worn oval": None,
        "pivot1": "corrected",
        "pivot2": None,
    }
    assert main(["search", "dry", "--logs", str(store.folder)]) == 0
    assert "note (taken back): pivot dry" in capsys.readouterr().out
