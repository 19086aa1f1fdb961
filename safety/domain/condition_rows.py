"""A condition as rows that a person fills in, and rows as the condition they say.

Rows are joined by all, any or none of them; among them may stand groups of rows, joined
in their own way, one level deep. A condition that does not fit that shape has no rows
and stays a text. Whatever has rows reads back as the very same condition.
"""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from jobs.domain.packs import Edge
from safety.domain.condition_files import falls_as_it_worsens
from safety.domain.conditions import (
    EDGES,
    Always,
    Both,
    Condition,
    Not,
    Op,
    Place,
    Rule,
    Test,
)
from safety.domain.fact_kinds import ALWAYS, ASKS, PLACE, RULE, Asked, Catalogue, Kind
from safety.domain.traces import Joint, Outcome

_NUMBER = re.compile(r"[-+]?\d+(\.\d+)?")
_FLAGS = {True: "yes", False: "no"}
_IF_UNKNOWN = {Outcome.UNKNOWN: "", Outcome.YES: "holds", Outcome.NO: "fails"}
_NOT = "not_"


class Join(StrEnum):
    """How rows are joined."""

    ALL = "all"
    ANY = "any"
    NONE = "none"


@dataclass(frozen=True, slots=True)
class Row:
    """One question as it is filled in: everything a word, as a form sends it.

    ``ask`` is what is asked, with "not_" before it for the opposite; ``values`` is a
    number, a key or several; ``if_unknown`` what counts while nobody knows.
    """

    fact: str = ""
    ask: str = ""
    values: tuple[str, ...] = ()
    if_unknown: str = ""

    @property
    def op(self) -> str:
        """What is asked, without its "not"."""
        return self.ask.removeprefix(_NOT)


@dataclass(frozen=True, slots=True)
class Group:
    """Rows that count as one."""

    join: Join = Join.ANY
    rows: tuple[Row, ...] = ()


Item = Row | Group


@dataclass(frozen=True, slots=True)
class Sheet:
    """All rows of a condition; without any there is no condition."""

    join: Join = Join.ALL
    items: tuple[Item, ...] = ()


At = tuple[int, ...]  # the place of a row: its number, or that of its group and its own


@dataclass(frozen=True, slots=True)
class RowFault:
    """What is wrong with a row or group, and what to do about it."""

    at: At
    says: str


class RowsRefused(ValueError):
    """Rows that are no condition yet, with every fault among them."""

    def __init__(self, faults: Iterable[RowFault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(fault.says for fault in self.faults))


# --- a condition as rows -------------------------------------------------------------


def sheet_of(condition: Condition | None, known: Catalogue) -> Sheet | None:
    """The rows of a condition; None when it does not fit into rows."""
    if condition is None:
        return Sheet()
    row = _row_of(condition, known)
    if row is not None:
        return Sheet(Join.ALL, (row,))
    found = _joined(condition)
    if found is None:
        return None
    join, parts = found
    items = tuple(_row_of(part, known) or _group_of(part, known) for part in parts)
    sheet = Sheet(join, tuple(item for item in items if item is not None))
    lost = len(sheet.items) < len(parts)
    return None if lost or _bare(sheet) else sheet


def _joined(condition: Condition) -> tuple[Join, tuple[Condition, ...]] | None:
    match condition:
        case Both(joint, parts) if parts:
            return (Join.ALL if joint is Joint.ALL else Join.ANY), parts
        case Not(Both(Joint.ANY, parts)) if parts:
            return Join.NONE, parts
        case _:
            return None


def _group_of(condition: Condition, known: Catalogue) -> Group | None:
    found = _joined(condition)
    if found is None:
        return None
    join, parts = found
    rows = tuple(row for part in parts if (row := _row_of(part, known)) is not None)
    return Group(join, rows) if len(rows) == len(parts) else None


def _row_of(condition: Condition, known: Catalogue) -> Row | None:
    """A row that reads back as just this condition; None when no row does."""
    negated = isinstance(condition, Not)
    inner = condition.part if isinstance(condition, Not) else condition
    row = _plain_row(inner)
    if row is None or row.fact not in known:
        return None
    if negated:
        row = Row(row.fact, _NOT + row.ask, row.values, row.if_unknown)
    try:
        return row if _condition(row, known) == condition else None
    except RowsRefused:
        return None


def _plain_row(condition: Condition) -> Row | None:
    match condition:
        case Place(keys):
            return Row(PLACE, Op.IN, tuple(sorted(keys)))
        case Rule(key):
            return Row(RULE, Op.IS, (key,))
        case Always():
            return Row(ALWAYS, Op.IS)
        case Test(fact, op, wanted, if_unknown):
            return Row(fact, op, _values(op, wanted), _IF_UNKNOWN[if_unknown])
        case _:
            return None


def _values(op: Op, wanted: float | str | bool | frozenset[str]) -> tuple[str, ...]:
    if op is Op.UNKNOWN:
        return ()
    if isinstance(wanted, frozenset):
        return tuple(sorted(wanted))
    if isinstance(wanted, bool):
        return (_FLAGS[wanted],)
    return (wanted if isinstance(wanted, str) else plain_number(wanted),)


def plain_number(value: float) -> str:
    """A number with all its digits and without an exponent: "2", "0.05"."""
    if value == int(value):
        return str(int(value))
    return format(Decimal(repr(value)), "f")


# --- rows as a condition -------------------------------------------------------------


def condition_of(sheet: Sheet, known: Catalogue) -> Condition | None:
    """What the rows say; None without any. RowsRefused names every row at fault."""
    faults: list[RowFault] = []
    parts = [_part((i,), item, known, faults) for i, item in enumerate(sheet.items)]
    if faults:
        raise RowsRefused(faults)
    whole = tuple(part for part in parts if part is not None)
    if not whole:
        return None
    return whole[0] if _bare(sheet) else _join(sheet.join, whole)


def _bare(sheet: Sheet) -> bool:
    """One row alone is joined with nothing, so it needs no joint around it."""
    alone = len(sheet.items) == 1 and isinstance(sheet.items[0], Row)
    return alone and sheet.join is not Join.NONE


def _join(join: Join, parts: tuple[Condition, ...]) -> Condition:
    both = Both(Joint.ALL if join is Join.ALL else Joint.ANY, parts)
    return Not(both) if join is Join.NONE else both


def _part(
    at: At, item: Item, known: Catalogue, faults: list[RowFault]
) -> Condition | None:
    if isinstance(item, Row):
        return _read(at, item, known, faults)
    if not item.rows:
        says = "Add a row to this group, or take the group away."
        faults.append(RowFault(at, says))
    rows = [_read((*at, j), row, known, faults) for j, row in enumerate(item.rows)]
    return _join(item.join, tuple(row for row in rows if row is not None))


def _read(
    at: At, row: Row, known: Catalogue, faults: list[RowFault]
) -> Condition | None:
    try:
        return _condition(row, known)
    except RowsRefused as refused:
        faults += [RowFault(at, fault.says) for fault in refused.faults]
        return None


def _condition(row: Row, known: Catalogue) -> Condition:
    asked = known.get(row.fact)
    if asked is None:
        raise _refused(
            "This belongs to a step, not to the whole job. Choose another."
            if row.fact
            else "Choose what this row asks about, or take the row away."
        )
    if row.op not in asks_of(asked):
        raise _refused("Choose what is asked of it.")
    plain = _plain(row, asked)
    return Not(plain) if row.ask.startswith(_NOT) else plain


def asks_of(asked: Asked) -> tuple[Op, ...]:
    """What can be asked of a fact at all, whether a new row offers it or not."""
    beside = asked.name in (PLACE, RULE, ALWAYS)
    return (*ASKS[asked.kind], *(() if beside else (Op.UNKNOWN,)))


def _plain(row: Row, asked: Asked) -> Condition:
    match asked.kind:
        case Kind.PLACE:
            return Place(_picked(row, asked))
        case Kind.RULE:
            return Rule(_one(row, asked.choices, "Choose a rule."))
        case Kind.ALWAYS:
            return Always()
        case _:
            return Test(asked.name, Op(row.op), _wanted(row, asked), _if_unknown(row))


def _if_unknown(row: Row) -> Outcome:
    return next(
        (outcome for outcome, word in _IF_UNKNOWN.items() if word == row.if_unknown),
        Outcome.UNKNOWN,
    )


def _wanted(row: Row, asked: Asked) -> float | str | bool | frozenset[str]:
    op = Op(row.op)
    if op is Op.UNKNOWN:
        return True
    if op in EDGES:
        return _number(row)
    if op is Op.PAST:
        return _one(row, asked.limits, "Choose a limit.")
    if op in (Op.IN, Op.HAS):
        return _picked(row, asked)
    return _word(row, asked)


def _word(row: Row, asked: Asked) -> str | bool:
    if asked.kind is Kind.FLAG:
        words = dict.fromkeys(_FLAGS.values(), "")
        return _one(row, words, "Choose yes or no.") == _FLAGS[True]
    if asked.kind is Kind.WORD:
        return _one(row, asked.choices, "Choose one.")
    return _text(row)


def _number(row: Row) -> float:
    typed = _first(row).strip()
    if not typed:
        raise _refused("Type the number it is held against.")
    if not _NUMBER.fullmatch(typed):
        raise _refused("Type a number with figures only, such as 4.2.")
    return float(typed)


def _text(row: Row) -> str:
    typed = " ".join(_first(row).split())
    if not typed or typed in ("true", "false"):
        raise _refused("Type the words it is held against.")
    return typed


def _one(row: Row, choices: Mapping[str, str], says: str) -> str:
    typed = _first(row)
    if typed not in choices:
        raise _refused(says)
    return typed


def _picked(row: Row, asked: Asked) -> frozenset[str]:
    picked = frozenset(row.values)
    if not picked:
        raise _refused("Tick at least one.")
    if not picked <= asked.choices.keys():
        raise _refused("Tick some of the list.")
    return picked


def _first(row: Row) -> str:
    return row.values[0] if row.values else ""


def _refused(says: str) -> RowsRefused:
    return RowsRefused([RowFault((), says)])


# --- looking at rows -----------------------------------------------------------------


def rows_in(sheet: Sheet) -> Iterator[tuple[At, Row]]:
    """Every row with its place."""
    for i, item in enumerate(sheet.items):
        if isinstance(item, Row):
            yield (i,), item
        else:
            yield from (((i, j), row) for j, row in enumerate(item.rows))


def fitting(row: Row, before: str, known: Catalogue) -> Row:
    """A row after another fact was chosen in it: what still fits stays.

    ``before`` is the fact that was asked about. A number stays a number, words stay
    while they are words of the new fact too.
    """
    asked = known.get(row.fact)
    if asked is None or (row.fact == before and row.op in asks_of(asked)):
        return row
    op = row.op if row.op in asks_of(asked) else asks_of(asked)[0]
    ask = row.ask if op == row.op else str(op)
    return Row(row.fact, ask, kept_values(Row(row.fact, ask, row.values), asked), "")


def kept_values(row: Row, asked: Asked) -> tuple[str, ...]:
    """Of what was filled in, that which still answers what is asked."""
    if row.op in EDGES:
        return tuple(v for v in row.values if _NUMBER.fullmatch(v.strip()))
    lists: Mapping[str, Mapping[str, str]] = {Op.PAST: asked.limits}
    if asked.kind is Kind.FLAG:
        lists = {Op.IS: dict.fromkeys(_FLAGS.values(), "")}
    choices = lists.get(row.op, asked.choices)
    return tuple(v for v in row.values if v in choices)


def falling_rows(
    sheet: Sheet, known: Catalogue, pack_edges: Mapping[str, Edge | None]
) -> tuple[RowFault, ...]:
    """Rows that would switch a hazard off as its job gets more dangerous.

    Of rows that read as a condition. The whole library is refused for the same; here the
    row is named.
    """
    found: list[RowFault] = []
    for at, row in rows_in(sheet):
        outer = sheet.items[at[0]]
        joins = [sheet.join, *([outer.join] if isinstance(outer, Group) else ())]
        falling = falls_as_it_worsens(
            _condition(row, known),
            pack_edges,
            upside_down=joins.count(Join.NONE) % 2 == 1,
        )
        if falling:
            label = known[row.fact].label
            says = f"The hazard would go away as this gets worse: {label[:1].lower()}{label[1:]}."
            found.append(RowFault(at, f"{says} Ask it the other way round."))
    return tuple(found)
