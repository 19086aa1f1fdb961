"""Hash chains and Merkle roots: the arithmetic under the ledger.

Entries of a chain are bound together by SHA-256 over the previous digest and the entry's
canonical JSON (RFC 8785). A day's entries are rolled into one Merkle root as RFC 6962
section 2.1 defines it, so that the owner can keep a single line elsewhere: a chain alone
cannot show that its tail was cut off or that all of it was written anew.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256
from json import JSONEncoder
from typing import Any

import rfc8785

GENESIS = "0" * 64


@dataclass(frozen=True, slots=True)
class Link:
    """One entry as it was hashed. ``body`` is canonical JSON."""

    number: int
    body: bytes
    previous: str
    digest: str


def canonical(value: Mapping[str, Any] | Sequence[Any]) -> bytes:
    """RFC 8785 bytes of plain data (dict, list, str, int, float, bool, None).

    For almost all of our records the json module in C writes the same bytes, in less
    than half the time. Whatever ``_alike`` is not sure of goes to the library.
    """
    try:
        return _JSON.encode(_alike(value)).encode()
    except (ValueError, TypeError, RecursionError):
        return rfc8785.dumps(value)


_JSON = JSONEncoder(
    sort_keys=True, separators=(",", ":"), ensure_ascii=False, check_circular=False
)
_END = 2**53  # RFC 8785 has no whole number from here on
_LEAST = 1e-4  # Python writes smaller figures with an exponent, another than RFC 8785


def _alike(value: Any) -> Any:
    """The same data in a form that json writes as RFC 8785 asks. An error when unsure.

    Texts are escaped alike by both, only lone surrogates fail, later on. Keys of ASCII
    have the same order by code points as in UTF-16. Floats are written by their
    shortest digits in both, but RFC 8785 writes a whole one without ".0".
    """
    if value is None or isinstance(value, str | bool):
        return value
    if isinstance(value, dict):
        if not "".join(value).isascii():  # joining fails for a key that is no text
            raise ValueError
        return {key: _alike(part) for key, part in value.items()}
    if isinstance(value, list | tuple):
        return [_alike(part) for part in value]
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    least = 0 if isinstance(value, int) else _LEAST
    if least <= abs(value) < _END:
        return value
    raise ValueError


def digest_of(value: Mapping[str, Any] | Sequence[Any]) -> str:
    """SHA-256 of the canonical JSON, in hex."""
    return sha256(canonical(value)).hexdigest()


def link_digest(previous: str, body: bytes) -> str:
    """Digest that binds ``body`` to the entry before it."""
    return sha256(bytes.fromhex(previous) + body).hexdigest()


def first_break(links: Iterable[Link]) -> str | None:
    """What is wrong with the first entry that does not fit; None when all do."""
    previous = GENESIS
    for number, link in enumerate(links, start=1):
        if link.number != number:
            return f"entry {number} is missing"
        if link.previous != previous:
            return f"entry {number} does not follow the one before it"
        if link.digest != link_digest(previous, link.body):
            return f"entry {number} was changed after it was written"
        previous = link.digest
    return None


def merkle_root(leaves: Sequence[bytes]) -> str:
    """Root of the RFC 6962 section 2.1 tree over ``leaves``, in hex."""
    return _subtree(leaves).hex()


def _subtree(leaves: Sequence[bytes]) -> bytes:
    if not leaves:
        return sha256(b"").digest()
    if len(leaves) == 1:
        return sha256(b"\x00" + leaves[0]).digest()
    split = 1 << ((len(leaves) - 1).bit_length() - 1)
    return sha256(
        b"\x01" + _subtree(leaves[:split]) + _subtree(leaves[split:])
    ).digest()
