"""Conditions on their way through a form: names of its fields, and its buttons.

Under the name of a condition stand its rows by number; in a group, those of the group:
``when-join``, ``when-0-fact``, ``when-1-join``, ``when-1-0-fact``. Every button of the
form sends all of it, so nothing typed is lost when a row comes or goes.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from django.http import QueryDict

from safety.domain.condition_rows import Group, Item, Join, Row, Sheet, fitting
from safety.domain.fact_kinds import Catalogue

MOST = 40  # rows of a sheet or group; more is no condition a person can read
_GROUP, _TEXT = "group", "text"

Data = Mapping[str, Any]
_EMPTY = Sheet()


@dataclass(frozen=True, slots=True)
class Typed:
    """What stands in the fields of a condition: rows, or a text.

    ``note`` says why a button did not do what it says; ``focus`` is the field that a
    person goes on with.
    """

    sheet: Sheet = _EMPTY
    text: str = ""
    as_text: bool = False
    note: str = ""
    focus: str = ""


_UNTYPED = Typed()


@dataclass(frozen=True, slots=True)
class Line:
    """A sentence with the condition under which it is said, and steps it raises to."""

    says: str = ""
    only: Typed = _UNTYPED
    likelihood: str = ""
    consequence: str = ""


@dataclass(frozen=True, slots=True)
class Lines:
    """Sentences in their order."""

    lines: tuple[Line, ...] = ()
    focus: str = ""


@dataclass(frozen=True, slots=True)
class Button:
    """What a button of a condition asks: the name of the condition, what, and where."""

    name: str
    does: str
    at: tuple[int, ...] = ()

    @classmethod
    def pressed(cls, data: Data) -> "Button | None":
        """The button that sent the form; None when it was that which saves."""
        name, does, *at = [*str(data.get("do") or "").split(), "", ""]
        numbers = tuple(_whole(n) for n in at if n)
        return cls(name, does, numbers) if name and does else None


# --- reading -------------------------------------------------------------------------


def typed_from(data: Data, name: str, known: Catalogue) -> Typed:
    """What was sent under the name of a condition."""
    items = tuple(
        _item_from(data, f"{name}-{i}", known) for i in range(_count(data, name))
    )
    return Typed(
        sheet=Sheet(_join_from(data, name, Join.ALL), items),
        text=str(data.get(f"{name}-text") or "").replace("\r\n", "\n"),
        as_text=data.get(f"{name}-mode") == _TEXT,
        note=str(data.get(f"{name}-note") or ""),
        focus=str(data.get(f"{name}-focus") or ""),
    )


def lines_from(data: Data, name: str, known: Catalogue) -> Lines:
    """What was sent under the name of a list of sentences."""
    return Lines(
        tuple(
            _line_from(data, f"{name}-{i}", known) for i in range(_count(data, name))
        ),
        str(data.get(f"{name}-focus") or ""),
    )


def _line_from(data: Data, name: str, known: Catalogue) -> Line:
    return Line(
        says=str(data.get(f"{name}-says") or ""),
        only=typed_from(data, f"{name}-only", known),
        likelihood=str(data.get(f"{name}-likelihood") or ""),
        consequence=str(data.get(f"{name}-consequence") or ""),
    )


def _count(data: Data, name: str) -> int:
    return min(_whole(str(data.get(f"{name}-count") or "")), MOST)


def _whole(said: str) -> int:
    """A small number; none that a form never sends."""
    return int(said) if said.isdecimal() and len(said) <= 3 else 0


def _join_from(data: Data, name: str, default: Join) -> Join:
    said = data.get(f"{name}-join")
    return Join(said) if said in set(Join) else default


def _item_from(data: Data, name: str, known: Catalogue) -> Item:
    if data.get(f"{name}-what") != _GROUP:
        return _row_from(data, name, known)
    numbers = range(_count(data, name))
    rows = tuple(_row_from(data, f"{name}-{j}", known) for j in numbers)
    return Group(_join_from(data, name, Join.ANY), rows)


def _row_from(data: Data, name: str, known: Catalogue) -> Row:
    row = Row(
        fact=str(data.get(f"{name}-fact") or ""),
        ask=str(data.get(f"{name}-ask") or ""),
        values=tuple(value for value in _all(data, f"{name}-value") if value),
        if_unknown=str(data.get(f"{name}-unknown") or ""),
    )
    return fitting(row, str(data.get(f"{name}-shown") or ""), known)


def _all(data: Data, name: str) -> list[str]:
    if isinstance(data, QueryDict):
        return [str(value) for value in data.getlist(name)]
    value = data.get(name, [])
    return [str(one) for one in (value if isinstance(value, list | tuple) else [value])]


# --- writing -------------------------------------------------------------------------

Sent = dict[str, list[str]]


def sent_as(name: str, typed: Typed) -> Sent:
    """The fields that :func:`typed_from` reads, as a form sends them."""
    sent = {
        f"{name}-mode": [_TEXT if typed.as_text else "rows"],
        f"{name}-text": [typed.text],
        f"{name}-note": [typed.note],
        f"{name}-focus": [typed.focus],
        f"{name}-join": [str(typed.sheet.join)],
        f"{name}-count": [str(len(typed.sheet.items))],
    }
    for i, item in enumerate(typed.sheet.items):
        sent |= _item_sent(f"{name}-{i}", item)
    return sent


def _item_sent(name: str, item: Item) -> Sent:
    if isinstance(item, Row):
        return {
            f"{name}-fact": [item.fact],
            f"{name}-shown": [item.fact],
            f"{name}-ask": [item.ask],
            f"{name}-value": list(item.values),
            f"{name}-unknown": [item.if_unknown],
        }
    sent = {
        f"{name}-what": [_GROUP],
        f"{name}-join": [str(item.join)],
        f"{name}-count": [str(len(item.rows))],
    }
    for j, row in enumerate(item.rows):
        sent |= _item_sent(f"{name}-{j}", row)
    return sent


def lines_sent(name: str, typed: Lines) -> Sent:
    """The fields that :func:`lines_from` reads."""
    sent = {f"{name}-count": [str(len(typed.lines))], f"{name}-focus": [typed.focus]}
    for i, line in enumerate(typed.lines):
        sent |= {
            f"{name}-{i}-says": [line.says],
            f"{name}-{i}-likelihood": [line.likelihood],
            f"{name}-{i}-consequence": [line.consequence],
            **sent_as(f"{name}-{i}-only", line.only),
        }
    return sent


# --- buttons -------------------------------------------------------------------------

Turn = Callable[[Typed], Typed]  # rows into a text, or a text into rows


def after(
    data: QueryDict, button: Button, known: Catalogue, turns: Mapping[str, Turn]
) -> QueryDict:
    """What was sent as it is once a button has done its work."""
    if button.does in _ON_LINES:
        lines = lines_from(data, button.name, known)
        sent = lines_sent(button.name, _ON_LINES[button.does](lines, button))
    else:
        typed = replace(typed_from(data, button.name, known), note="", focus="")
        sent = sent_as(button.name, _done(typed, button, turns))
    new = data.copy()
    for key in [key for key in new if key.startswith(f"{button.name}-")]:
        del new[key]
    for key, values in sent.items():
        new.setlist(key, values)
    return new


def _done(typed: Typed, button: Button, turns: Mapping[str, Turn]) -> Typed:
    if button.does in turns:
        return turns[button.does](typed)
    does = _ON_ROWS.get(button.does)
    return does(typed, button) if does else typed


def _add(typed: Typed, button: Button) -> Typed:
    """A row at the end, or at the end of a group."""
    items, name = list(typed.sheet.items), button.name
    if not button.at:
        where, items = f"{name}-{len(items)}-fact", [*items, Row()]
        return _with(typed, items, where)
    (i, *_) = button.at
    group = items[i] if i < len(items) else None
    if not isinstance(group, Group):
        return typed
    items[i] = replace(group, rows=(*group.rows, Row()))
    return _with(typed, items, f"{name}-{i}-{len(group.rows)}-fact")


def _add_group(typed: Typed, button: Button) -> Typed:
    items = [*typed.sheet.items, Group(Join.ANY, (Row(),))]
    return _with(typed, items, f"{button.name}-{len(items) - 1}-0-fact")


def _drop(typed: Typed, button: Button) -> Typed:
    items, (i, *inside) = list(typed.sheet.items), (*button.at, -1)
    group = items[i] if 0 <= i < len(items) else None
    if len(button.at) == 2 and isinstance(group, Group):
        rows = tuple(row for j, row in enumerate(group.rows) if j != inside[0])
        items[i] = replace(group, rows=rows)
    elif len(button.at) == 1 and group is not None:
        del items[i]
    return _with(typed, items, f"{button.name}-add")


def _look(typed: Typed, button: Button) -> Typed:
    """Nothing but what fits the fact that was chosen; go on with what is asked of it."""
    where = "-".join(map(str, button.at))
    return replace(typed, focus=f"{button.name}-{where}-ask" if where else "")


def _with(typed: Typed, items: list[Item], focus: str) -> Typed:
    sheet = replace(typed.sheet, items=tuple(items[:MOST]))
    return replace(typed, sheet=sheet, focus=focus)


def _add_line(typed: Lines, button: Button) -> Lines:
    focus = f"{button.name}-{len(typed.lines)}-says"
    return Lines((*typed.lines, Line())[:MOST], focus)


def _drop_line(typed: Lines, button: Button) -> Lines:
    kept = (line for i, line in enumerate(typed.lines) if (i,) != button.at)
    return Lines(tuple(kept), f"{button.name}-add")


_ON_ROWS: Mapping[str, Callable[[Typed, Button], Typed]] = {
    "add": _add,
    "group": _add_group,
    "drop": _drop,
    "look": _look,
}
_ON_LINES: Mapping[str, Callable[[Lines, Button], Lines]] = {
    "add-line": _add_line,
    "drop-line": _drop_line,
}
