"""Distances from an overhead line, which a place may give by voltage.

A pack gives the distance for the lowest voltages under a key and those for higher ones
under the same key with ``_above_`` and kilovolts: ``electrical.overhead_no_go_above_132``
holds above 132 kV. Which bands there are is the pack's business.
"""

from collections.abc import Iterable
from dataclasses import replace
from datetime import date
from math import inf

from jobs.domain.packs import Pack, PackValue

BANDED = ("electrical.overhead_no_go", "electrical.overhead_spotter")
_ABOVE = "_above_"


def at_voltage(pack: Pack, voltage_kv: float | None, on: date) -> Pack:
    """The pack with its distances as they are for a line of that voltage, in kV.

    The band above the highest voltage counts where nobody knows it, since not knowing is
    never safer. Unchanged where the place gives no bands.
    """
    known = inf if voltage_kv is None else voltage_kv
    chosen = {key: _in_band(pack, key, known, on) for key in BANDED}
    top = {key: (replace(v, key=key),) for key, v in chosen.items() if v is not None}
    return replace(pack, values=(top, *pack.values)) if top else pack


def _in_band(pack: Pack, key: str, voltage_kv: float, on: date) -> PackValue | None:
    """The value of the highest band that begins below the voltage, None for the first."""
    reached = [bound for bound in _bounds(pack, key) if voltage_kv > bound]
    for bound in sorted(reached, reverse=True):
        value = pack.find(f"{key}{_ABOVE}{bound:g}", on)
        if value is not None:
            return value
    return None


def _bounds(pack: Pack, key: str) -> Iterable[float]:
    start = f"{key}{_ABOVE}"
    known = pack.keys()
    keys = (name for name in known if name.startswith(start))
    return (float(name.removeprefix(start)) for name in keys)
