"""Where the page is served, who may see it, and how the address is told."""

from __future__ import annotations

import contextlib
import errno
import ipaddress
import os
import secrets
import socket
from dataclasses import dataclass

from handsfree.display.errors import DisplayError

PORT = 8740
_KEY_LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"
"""Without letters that are taken for one another when a key is typed by hand."""
_KEY_LENGTH = 16


@dataclass(frozen=True)
class ListeningAddress:
    """An address to listen at. ``key`` is empty where only this machine can come."""

    host: str
    port: int
    key: str = ""


def parse_address(text: str) -> ListeningAddress:
    """ "HOST", "HOST:PORT" or "[HOST]:PORT" with a new key where others than this machine can come; DisplayError."""
    host, port = text.strip(), PORT
    head, colon, tail = host.rpartition(":")
    if colon and (head.startswith("[") or ":" not in head):
        if not tail.isdecimal() or int(tail) > 65535:
            raise DisplayError(f"{text!r} has no port number after its colon; write it like 0.0.0.0:{PORT}")
        host, port = head, int(tail)
    host = host.strip("[]")
    if not host:
        raise DisplayError(f"{text!r} names no address; write it like 0.0.0.0 or 192.168.1.20:{PORT}")
    key = "" if _is_loopback(host) else "".join(secrets.choice(_KEY_LETTERS) for _ in range(_KEY_LENGTH))
    return ListeningAddress(host, port, key)


def _is_loopback(host: str) -> bool:
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def listen(place: ListeningAddress) -> socket.socket:
    """A socket that listens there; DisplayError where that can't be."""
    try:
        family, kind, protocol, _, where = socket.getaddrinfo(
            place.host, place.port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE
        )[0]
    except OSError:
        raise DisplayError(
            f"{place.host!r} is no address of this machine; give one that is, or 0.0.0.0 for all of them"
        ) from None
    listening = socket.socket(family, kind, protocol)
    try:
        if os.name == "posix":  # elsewhere this would let two programs share the port
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listening.bind(where)
        listening.listen(128)
    except OSError as error:
        listening.close()
        raise DisplayError(_why_not(place, error)) from None
    return listening


def _why_not(place: ListeningAddress, error: OSError) -> str:
    if error.errno == errno.EADDRINUSE:
        return (
            f"port {place.port} of {place.host} is in use, perhaps by another job; "
            f"choose another: --display-address {place.host}:{place.port + 1 if place.port < 65535 else PORT}"
        )
    if error.errno == errno.EACCES:
        return f"port {place.port} may not be used by this user; choose one above 1023: --display-address {place.host}"
    return f"the page can't be served at {place.host}, port {place.port}: {error.strerror or error}"


def url(place: ListeningAddress, port: int) -> str:
    """The address to open, with the key in it; for all addresses of this machine, the one others reach it by."""
    host = _reached_by(place.host)
    host = f"[{host}]" if ":" in host else host
    return f"http://{host}:{port}/{f'{place.key}/' if place.key else ''}"


def _reached_by(host: str) -> str:
    if host not in ("0.0.0.0", "::"):
        return host
    family, far = (socket.AF_INET6, "2001:db8::1") if ":" in host else (socket.AF_INET, "192.0.2.1")
    with contextlib.suppress(OSError), socket.socket(family, socket.SOCK_DGRAM) as probe:
        probe.connect((far, 9))  # sends nothing: it only chooses the way out
        return str(probe.getsockname()[0])
    return socket.gethostname()


def qr_lines(address: str) -> list[str]:
    """The address as a QR code in half blocks, dark on light whatever the terminal's colours."""
    import segno  # noqa: PLC0415 - takes time, and most jobs show no code

    code = [list(row) for row in segno.make(address, error="l", micro=False).matrix_iter(border=2)]
    if len(code) % 2:
        code.append([0] * len(code[0]))
    return [
        "".join(_HALVES[bool(upper), bool(lower)] for upper, lower in zip(code[row], code[row + 1], strict=True))
        for row in range(0, len(code), 2)
    ]


_HALVES = {(True, True): "█", (True, False): "▀", (False, True): "▄", (False, False): " "}
