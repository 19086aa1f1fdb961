"""Count failed tries to log in, so that nobody can guess passwords for hours.

Counts live in the cache and go away by themselves. They slow a guesser down; they lock
nobody's account.
"""

from hashlib import sha256

from django.core.cache import cache

from jobs.domain.refusals import Refused

WINDOW_S = 15 * 60
TRIES_OF_ONE_EMAIL = 10  # from one address
TRIES_OF_ONE_ADDRESS = 100  # a firm's office shares one


class TooMany(Refused):
    """Too many tries in a short time."""


def refuse_when_too_many(*, what: str, email: str, address: str) -> None:
    """Raise :class:`TooMany` when this email or this address has used up its tries."""
    pair, whole = _keys(what, email, address)
    counts = cache.get_many([pair, whole])
    if (
        counts.get(pair, 0) >= TRIES_OF_ONE_EMAIL
        or counts.get(whole, 0) >= TRIES_OF_ONE_ADDRESS
    ):
        raise TooMany(
            "Too many tries from here in a short time. Wait 15 minutes, then try again."
        )


def count_try(*, what: str, email: str, address: str) -> None:
    """Note one more try."""
    for key in _keys(what, email, address):
        cache.add(key, 0, WINDOW_S)
        try:
            cache.incr(key)
        except ValueError:  # it ran out between the two calls
            cache.set(key, 1, WINDOW_S)


def forget_tries(*, what: str, email: str, address: str) -> None:
    """Start this email anew from this address: the right password was given."""
    cache.delete(_keys(what, email, address)[0])


def _keys(what: str, email: str, address: str) -> tuple[str, str]:
    """Cache keys of the email at the address, and of the address as a whole."""
    pair = sha256(f"{email.strip().lower()}\n{address}".encode()).hexdigest()
    whole = sha256(address.encode()).hexdigest()
    return f"tries:{what}:{pair}", f"tries:{what}:all:{whole}"
