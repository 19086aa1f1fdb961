"""Which digits make a PIN that is not guessed at the first try."""

from itertools import pairwise

SHORTEST, LONGEST = 6, 8  # digits; firm's decision, to be typed with cold fingers


def pin_faults(pin: str) -> list[str]:
    """What is wrong with it, in words that say what to do; empty when nothing is."""
    if not (pin.isascii() and pin.isdigit() and SHORTEST <= len(pin) <= LONGEST):
        return [f"Choose {SHORTEST} to {LONGEST} digits, nothing else."]
    steps = {(int(b) - int(a)) % 10 for a, b in pairwise(pin)}
    if len(steps) == 1 and steps <= {0, 1, 9}:
        return ["Choose digits that are not all the same or in a row."]
    return []
