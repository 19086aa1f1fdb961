"""The rows of a condition as they stand on a page, and what they say in words."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.template.loader import render_to_string
from django.utils.safestring import SafeString

from safety.domain.condition_rows import At, Group, Item, Join, Row, asks_of
from safety.domain.conditions import EDGES, Op
from safety.domain.fact_kinds import ASKS, Asked, Catalogue, Kind, by_subject
from safety.domain.fact_names import fact_spec
from safety.domain.library import Scope
from safety.domain.library_words import Clause, clause
from safety.domain.wording import listed
from safety.forms.condition_data import Typed
from safety.forms.condition_reading import Unread, numbered, read
from safety.queries.condition_choices import asked_of
from safety.queries.library import names

JOINS = {
    Join.ALL: "all of these are so",
    Join.ANY: "any of these is so",
    Join.NONE: "none of these is so",
}
_SAYS: dict[str, tuple[str, str]] = {
    Op.MORE_THAN: ("is more than", "is not more than"),
    Op.AT_LEAST: ("is at least", "is not at least"),
    Op.LESS_THAN: ("is less than", "is not less than"),
    Op.AT_MOST: ("is at most", "is not at most"),
    Op.PAST: ("is past the place’s value for", "is not past the place’s value for"),
    Op.IS: ("is", "is not"),
    Op.IN: ("is one of", "is none of"),
    Op.HAS: ("has any of", "has none of"),
    Op.UNKNOWN: ("is not known yet", "is known"),
}
_SAYS_BESIDE = {
    Kind.RULE: ("is in force:", "is not in force:"),
    Kind.ALWAYS: ("brings it", "never brings it"),
}
_BOTH_WAYS = {Op.IN, Op.HAS, Op.PAST, Op.UNKNOWN}  # a new row offers their opposite
_UNITS = {"deg": "degrees", "m2": "m²", "m3": "m³", "m/s2": "m/s²", "degC": "°C"}
_UNITS |= {"min": "minutes", "each": ""}

Option = tuple[str, str, bool]  # value, words, chosen


@dataclass(frozen=True, slots=True)
class RowPage:
    """One row: its lists, what is chosen in them, and what is wrong with it."""

    name: str
    at: str  # as its buttons send it
    number: str
    row: Row
    facts: tuple[tuple[str, tuple[Option, ...]], ...]
    asks: tuple[Option, ...]
    control: str  # how it is answered: "number", "one", "many", "text" or nothing
    unit: str
    options: tuple[Option, ...]
    if_unknown: tuple[Option, ...]
    faults: tuple[str, ...]

    @property
    def picked(self) -> str:
        """What is ticked, in a line."""
        return listed([words for _, words, chosen in self.options if chosen], "or")

    @property
    def value(self) -> str:
        """The number or words that stand in the box."""
        return self.row.values[0] if self.row.values else ""


@dataclass(frozen=True, slots=True)
class GroupPage:
    """A group of rows."""

    name: str
    at: str
    number: str
    joins: tuple[Option, ...]
    rows: tuple[RowPage, ...]
    faults: tuple[str, ...]


def editor(
    name: str, typed: Typed, scope: Scope, *, unread: Unread | None, told: bool
) -> SafeString:
    """The editor of a condition. ``told`` lets it say itself what its rows say."""
    known = asked_of(scope)
    faults = unread.rows if unread else ()
    by_place: dict[At, tuple[str, ...]] = {fault.at: (fault.says,) for fault in faults}
    items = [
        _item(f"{name}-{i}", (i,), item, known, by_place)
        for i, item in enumerate(typed.sheet.items)
    ]
    context = {
        "name": name,
        "typed": typed,
        "items": items,
        "joins": _joins(typed.sheet.join),
        "lines": unread.lines if unread else (),
        "told": told,
        "target": "#" + (f"{name}-says" if told else "reading"),
        "says": words(typed, scope) if told and _worth_saying(typed) else None,
        "joined": len(items) > 1 or typed.sheet.join is not Join.ALL,
        "focus": typed.focus,
    }
    return render_to_string("safety/conditions/editor.html", context)


def _worth_saying(typed: Typed) -> bool:
    """Whether words say more than the rows do; one row alone says itself."""
    items = typed.sheet.items
    return typed.as_text or len(items) > 1 or any(isinstance(i, Group) for i in items)


def words(typed: Typed, scope: Scope) -> Clause | None:
    """What was typed, in words; None while it is no condition, or none at all."""
    try:
        condition = read(typed, scope, rising=False)
    except Unread:
        return None
    return clause(condition, names()) if condition else None


def _joins(chosen: Join) -> tuple[Option, ...]:
    return tuple((str(join), says, join is chosen) for join, says in JOINS.items())


def _item(
    name: str,
    at: At,
    item: Item,
    known: Catalogue,
    faults: dict[At, tuple[str, ...]],
) -> RowPage | GroupPage:
    if isinstance(item, Row):
        return _row(name, at, item, known, faults.get(at, ()))
    rows = (
        _row(f"{name}-{j}", (*at, j), row, known, faults.get((*at, j), ()))
        for j, row in enumerate(item.rows)
    )
    return GroupPage(
        name=name,
        at=_sent(at),
        number=numbered(at),
        joins=_joins(item.join),
        rows=tuple(rows),
        faults=faults.get(at, ()),
    )


def _sent(at: At) -> str:
    return " ".join(map(str, at))


def _row(
    name: str, at: At, row: Row, known: Catalogue, faults: tuple[str, ...]
) -> RowPage:
    asked = known.get(row.fact)
    return RowPage(
        name=name,
        at=_sent(at),
        number=numbered(at),
        row=row,
        facts=_facts(row.fact, known),
        asks=_asks(row, asked) if asked else (),
        control=_control(row, asked) if asked else "",
        unit=_UNITS.get(asked.unit, asked.unit) if asked else "",
        options=_options(row, asked) if asked else (),
        if_unknown=_if_unknown(row, asked) if asked else (),
        faults=faults,
    )


def _facts(chosen: str, known: Catalogue) -> tuple[tuple[str, tuple[Option, ...]], ...]:
    shown = (one for one in known.values() if one.offered or one.name == chosen)
    groups = [
        (subject, tuple((one.name, one.label, one.name == chosen) for one in entries))
        for subject, entries in by_subject(shown).items()
    ]
    spec = fact_spec(chosen)
    if spec is not None and chosen not in known:
        here: tuple[Option, ...] = ((chosen, spec.label.capitalize(), True),)
        groups.append(("Not for the whole job", here))
    return tuple(groups)


def _asks(row: Row, asked: Asked) -> tuple[Option, ...]:
    offered = list(_offered(asked))
    if row.ask not in offered and row.op in asks_of(asked):
        offered.append(row.ask)
    return tuple((ask, _says(ask, asked), ask == row.ask) for ask in offered)


def _offered(asked: Asked) -> Iterable[str]:
    """What a new row may ask, plain and, where that is no other plain one, its opposite."""
    ops = ASKS[asked.kind][:1] if asked.kind is Kind.WORD else ASKS[asked.kind]
    both = _BOTH_WAYS | ({Op.IS} if asked.kind is Kind.RULE else set())
    for op in (*ops, *((Op.UNKNOWN,) if asked.may_be_unknown else ())):
        if op is not Op.PAST or asked.limits:
            yield op.value
            if op in both:
                yield f"not_{op.value}"


def _says(ask: str, asked: Asked) -> str:
    op = ask.removeprefix("not_")
    return _SAYS_BESIDE.get(asked.kind, _SAYS[op])[ask != op]


def _control(row: Row, asked: Asked) -> str:
    if row.op == Op.UNKNOWN or asked.kind is Kind.ALWAYS:
        return ""
    if row.op in EDGES:
        return "number"
    if row.op in (Op.IN, Op.HAS):
        return "many"
    return "text" if asked.kind is Kind.TEXT else "one"


def _options(row: Row, asked: Asked) -> tuple[Option, ...]:
    choices = asked.limits if row.op == Op.PAST else asked.choices
    if asked.kind is Kind.FLAG:
        choices = {"yes": "yes", "no": "no"}
    return tuple((key, says, key in row.values) for key, says in choices.items())


def _if_unknown(row: Row, asked: Asked) -> tuple[Option, ...]:
    """What counts while nobody knows; nothing where everybody always does."""
    never = row.op == Op.UNKNOWN or not (asked.may_be_unknown or row.if_unknown)
    if never:
        return ()
    holds, fails = ("holds", "fails") if row.ask == row.op else ("fails", "holds")
    return (
        ("", "this counts, and the plan says so", row.if_unknown == ""),
        (holds, "this counts", row.if_unknown == holds),
        (fails, "this does not count", row.if_unknown == fails),
    )
