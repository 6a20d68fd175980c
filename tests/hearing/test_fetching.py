"""Fetching a model from a server that does everything wrong that a server can: it runs on this computer."""

from __future__ import annotations

import hashlib
import io
import stat
import threading
import zipfile
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest

from handsfree.cli import main
from handsfree.hearing.vosk.fetching import FetchError, ModelSource, fetch, install

NAME = "vosk-model-tiny.zip"


def archive(*extra: tuple[str, bytes], model: bool = True) -> bytes:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as file:
        if model:
            file.writestr("vosk-model-tiny/am/final.mdl", bytes(range(256)) * 2000)
            file.writestr("vosk-model-tiny/conf/model.conf", "--beam=10\n")
        for name, content in extra:
            file.writestr(name, content)
    return packed.getvalue()


class Server:
    """Serves ``content``; ``breaks_after`` bytes of each answer the connection is cut."""

    def __init__(self) -> None:
        self.content = archive()
        self.type = "application/zip"
        self.breaks_after: int | None = None
        self.ranges: list[str | None] = []
        outer = self

        class Handler(BaseHTTPRequestHandler):
            def do_GET(self) -> None:
                asked = self.headers.get("Range")
                outer.ranges.append(asked)
                start = int(asked.removeprefix("bytes=").rstrip("-")) if asked else 0
                if start and start >= len(outer.content):
                    self.send_error(416)
                    return
                rest = outer.content[start:]
                self.send_response(206 if asked else 200)
                self.send_header("Content-Type", outer.type)
                self.send_header("Content-Length", str(len(rest)))
                self.end_headers()
                self.wfile.write(rest[: outer.breaks_after])

            def log_message(self, format: str, *args: object) -> None:
                pass

        self._server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        # It looks so often whether it is to end: the default of half a second is waited for in each test.
        threading.Thread(target=self._server.serve_forever, args=(0.01,), daemon=True).start()

    def source(self, *, checksum: str | None = None, size: int | None = None, largest: int = 10_000_000) -> ModelSource:
        return ModelSource(NAME, f"http://127.0.0.1:{self._server.server_port}/{NAME}", size, checksum, largest)

    def close(self) -> None:
        self._server.shutdown()
        self._server.server_close()


@pytest.fixture
def server() -> Iterator[Server]:
    server = Server()
    yield server
    server.close()


def left(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_a_model_is_fetched_verified_and_unpacked(server: Server, tmp_path: Path) -> None:
    seen: list[tuple[int, int | None]] = []
    checksum = hashlib.sha256(server.content).hexdigest()
    source = server.source(checksum=checksum, size=len(server.content))
    model = fetch(source, tmp_path, lambda there, of: seen.append((there, of)))
    assert (model / "am" / "final.mdl").stat().st_size == 512_000
    assert left(tmp_path) == ["vosk-model-tiny"]
    assert seen[-1] == (len(server.content), len(server.content))


def test_a_connection_that_breaks_off_is_taken_up_where_it_was(server: Server, tmp_path: Path) -> None:
    server.breaks_after = len(server.content) // 3
    model = fetch(server.source(checksum=hashlib.sha256(server.content).hexdigest()), tmp_path)
    assert (model / "am" / "final.mdl").is_file()
    third = server.breaks_after
    assert server.ranges[:3] == [None, f"bytes={third}-", f"bytes={2 * third}-"]


def test_a_fetch_that_was_given_up_is_gone_on_with_the_next_time(server: Server, tmp_path: Path) -> None:
    server.breaks_after = len(server.content) // 20
    with pytest.raises(FetchError, match="breaks off again and again"):
        fetch(server.source(), tmp_path)
    assert left(tmp_path) == [f"{NAME}.part"]
    server.breaks_after, tried = None, len(server.ranges)
    assert fetch(server.source(), tmp_path).is_dir()
    assert server.ranges[tried:] == [f"bytes={tried * (len(server.content) // 20)}-"]
    assert left(tmp_path) == ["vosk-model-tiny"]


@pytest.mark.parametrize(
    ("checksum", "size", "says"), [("0" * 64, None, "checksum differs"), (None, 5, "in place of 5")]
)
def test_the_wrong_file_is_thrown_away(
    server: Server, tmp_path: Path, checksum: str | None, size: int | None, says: str
) -> None:
    with pytest.raises(FetchError, match=says):
        fetch(server.source(checksum=checksum, size=size), tmp_path)
    assert left(tmp_path) == []


@pytest.mark.parametrize("name", ["../outside.txt", "/outside.txt", "vosk-model-tiny/../../outside.txt", "..\\out.txt"])
def test_a_path_that_leaves_the_folder_is_refused(server: Server, tmp_path: Path, name: str) -> None:
    server.content = archive((name, b"no"))
    inside = tmp_path / "models"
    with pytest.raises(FetchError, match="leads out of its folder"):
        fetch(server.source(), inside)
    assert left(inside) == [] and left(tmp_path) == ["models"]


def test_a_link_is_refused(tmp_path: Path) -> None:
    link = zipfile.ZipInfo("vosk-model-tiny/link")
    link.external_attr = (stat.S_IFLNK | 0o777) << 16
    packed = tmp_path / NAME
    packed.write_bytes(archive())
    with zipfile.ZipFile(packed, "a") as file:
        file.writestr(link, "/etc/hostname")
    with pytest.raises(FetchError, match="leads out of its folder"):
        install(packed, ModelSource(NAME, ""), tmp_path)
    assert left(tmp_path) == [NAME]


def test_a_web_page_in_place_of_the_archive_is_told_apart(server: Server, tmp_path: Path) -> None:
    server.content, server.type = b"<html>Please sign in</html>", "text/html"
    with pytest.raises(FetchError, match="sends a web page"):
        fetch(server.source(), tmp_path)
    assert left(tmp_path) == []


@pytest.mark.parametrize("content", [b"<html>not typed as one</html>", archive()[:-200], archive(model=False)])
def test_what_is_no_sound_archive_of_a_model_leaves_nothing(server: Server, tmp_path: Path, content: bytes) -> None:
    server.content = content
    with pytest.raises(FetchError, match=r"not a sound archive|holds no Vosk model"):
        fetch(server.source(), tmp_path)
    assert left(tmp_path) == []


@pytest.mark.parametrize("second", ["vosk-model-tiny/am", "vosk-model-tiny/am/final.mdl/more"])
def test_a_file_and_a_folder_of_one_name_are_refused_in_one_sentence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], second: str
) -> None:
    packed, models = tmp_path / NAME, tmp_path / "models"
    packed.write_bytes(archive((second, b"a file")))
    assert main(["fetch-model", "--from", str(packed), "--to", str(models)]) == 2
    said = capsys.readouterr()
    assert said.err.strip() == f"handsfree fetch-model: {NAME} has a file and a folder of one name: not unpacked."
    assert not models.exists() or left(models) == []


def test_an_archive_that_would_fill_the_disk_is_refused(server: Server, tmp_path: Path) -> None:
    with pytest.raises(FetchError, match="far larger"):
        fetch(server.source(largest=400_000), tmp_path)
    packed = io.BytesIO(archive())
    with zipfile.ZipFile(packed, "a", zipfile.ZIP_DEFLATED) as file:
        file.writestr("vosk-model-tiny/graph/HCLr.fst", bytes(5_000_000))
    server.content = packed.getvalue()
    with pytest.raises(FetchError, match="unpack to more"):
        fetch(server.source(largest=1_000_000), tmp_path)
    assert left(tmp_path) == []


def test_an_old_model_stays_until_the_new_one_is_whole(server: Server, tmp_path: Path) -> None:
    fetch(server.source(), tmp_path)
    server.content = server.content[:-200]
    with pytest.raises(FetchError):
        fetch(server.source(), tmp_path)
    assert (tmp_path / "vosk-model-tiny" / "am" / "final.mdl").stat().st_size == 512_000


def test_without_a_network_it_says_what_to_do_by_hand(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    # Port 9 (discard) of this computer: nobody listens there.
    code = main(["fetch-model", "--from", f"http://127.0.0.1:9/{NAME}", "--to", str(tmp_path / "models")])
    assert code == 2
    said = capsys.readouterr()
    assert "there is no connection" in said.err and "fetch-model --from" in said.err
    assert "No checksum" in said.out
    assert left(tmp_path / "models") == []


def test_an_archive_fetched_by_hand_is_put_in_its_place(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    packed = tmp_path / NAME
    packed.write_bytes(archive())
    assert main(["fetch-model", "--from", str(packed), "--to", str(tmp_path / "models")]) == 0
    assert (tmp_path / "models" / "vosk-model-tiny" / "am" / "final.mdl").is_file() and packed.is_file()
    assert main(["fetch-model", "--from", str(tmp_path / "none.zip"), "--to", str(tmp_path)]) == 2
    assert "there is no such file" in capsys.readouterr().err


def test_nothing_is_replaced_that_was_not_put_there_by_fetching(tmp_path: Path) -> None:
    # An archive whose top folder has the name of a folder of the log took the log's sounds with it.
    clips = tmp_path / "clips"
    clips.mkdir()
    (clips / "sound.flac").write_bytes(b"kept")
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as file:
        file.writestr("clips/am/final.mdl", b"model")
    (tmp_path / "clips.zip").write_bytes(packed.getvalue())
    assert main(["fetch-model", "--from", str(tmp_path / "clips.zip"), "--to", str(tmp_path)]) == 0
    assert (clips / "sound.flac").read_bytes() == b"kept"
    own = tmp_path / "vosk-model-tiny"
    own.mkdir()
    (own / "notes.txt").write_text("mine", encoding="utf-8")
    (tmp_path / NAME).write_bytes(archive())
    with pytest.raises(FetchError, match="is there already"):
        install(tmp_path / NAME, ModelSource(NAME, ""), tmp_path)
    assert (own / "notes.txt").read_text(encoding="utf-8") == "mine"


def test_models_have_a_folder_of_their_own(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    from handsfree.hearing.vosk.models import model_home
    from handsfree.job.log.store import default_folder

    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert model_home() != default_folder()
