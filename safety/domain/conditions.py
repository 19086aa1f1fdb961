"""Conditions on the facts of a job: data in, a trace out. Nothing is run as code.

A number that nobody has found out (None) leaves a test unknown, and whatever rests on it
unknown too; the engine treats that as the worse case and says so.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from enum import StrEnum

from jobs.domain.facts import Fact
from jobs.domain.packs import Edge, Pack
from safety.domain.fact_names import fact_spec, unit_of
from safety.domain.traces import Joint, Outcome, Trace, joined, negated
from safety.domain.wording import opposite_edge, shown, shown_number

FactValue = Fact | frozenset[str]
Facts = Mapping[str, FactValue]


class Op(StrEnum):
    """What a test asks of a fact."""

    MORE_THAN = "more_than"
    AT_LEAST = "at_least"
    LESS_THAN = "less_than"
    AT_MOST = "at_most"
    IS = "is"
    IN = "in"
    HAS = "has"  # a set of words holds any of these
    UNKNOWN = "unknown"  # nobody has found out
    PAST = "past"  # past a value of the pack, by the pack's own edge and unit


EDGES = {
    Op.MORE_THAN: Edge.MORE_THAN,
    Op.AT_LEAST: Edge.AT_LEAST,
    Op.LESS_THAN: Edge.LESS_THAN,
    Op.AT_MOST: Edge.AT_MOST,
}


@dataclass(frozen=True, slots=True)
class Test:
    """One question about one fact.

    ``wanted`` is a number for the four edges, a word or flag for IS, words for IN and
    HAS, the key of a pack value for PAST. ``if_unknown`` decides what a missing fact
    counts as; a hazard leaves it UNKNOWN, a control that must be proven says NO.
    """

    __test__ = False  # pytest would take the name for a test class

    fact: str
    op: Op
    wanted: float | str | bool | frozenset[str]
    if_unknown: Outcome = Outcome.UNKNOWN


@dataclass(frozen=True, slots=True)
class Place:
    """Whether the job is in one of these places (keys of packs, states or countries)."""

    keys: frozenset[str]


@dataclass(frozen=True, slots=True)
class Rule:
    """Whether the place has this rule on the day: the key of a pack value."""

    key: str


@dataclass(frozen=True, slots=True)
class Always:
    """Met by any job: the hazard comes with the trade."""


@dataclass(frozen=True, slots=True)
class Both:
    """All or any of several conditions, by ``joint``."""

    joint: Joint
    parts: tuple["Condition", ...]


@dataclass(frozen=True, slots=True)
class Not:
    """The opposite of a condition."""

    part: "Condition"


Condition = Test | Place | Rule | Always | Both | Not


@dataclass(frozen=True, slots=True)
class Setting:
    """What a condition is judged against: facts, the pack, and the day of the work."""

    facts: Facts
    pack: Pack
    on: date


def judge(condition: Condition, setting: Setting) -> Trace:
    """The outcome of a condition, with everything that led to it."""
    match condition:
        case Both(joint, parts):
            return joined(joint, tuple(judge(part, setting) for part in parts))
        case Not(part):
            return negated(judge(part, setting))
        case Place(keys):
            return _place(keys, setting)
        case Rule(key):
            return _rule(key, setting)
        case Always():
            return _ANY_JOB
        case Test():
            return _test(condition, setting)


_ANY_JOB = Trace(
    Joint.FACT,
    Outcome.YES,
    fact="job",
    found="Any work of this kind brings it.",
    otherwise="The work is not done.",
)


def asked_facts(condition: Condition) -> frozenset[str]:
    """The facts that a condition looks at."""
    match condition:
        case Both(_, parts):
            return frozenset().union(*(asked_facts(part) for part in parts))
        case Not(part):
            return asked_facts(part)
        case Test(fact):
            return frozenset({fact})
        case _:
            return frozenset()


def ruled_out(condition: Condition, facts: Facts) -> bool:
    """Whether kind of step, tools or other words alone show that it does not hold.

    A quick look that spares most hazards the full judgement; False decides nothing.
    """
    match condition:
        case Both(Joint.ALL, parts):
            return any(ruled_out(part, facts) for part in parts)
        case Both(_, parts):
            return all(ruled_out(part, facts) for part in parts)
        case Test(fact, Op.IN | Op.HAS, wanted):
            value = facts.get(fact)
            assert isinstance(wanted, frozenset)
            if isinstance(value, frozenset):
                return wanted.isdisjoint(value)
            return isinstance(value, str) and value not in wanted
        case _:
            return False


def _place(keys: frozenset[str], setting: Setting) -> Trace:
    here = not keys.isdisjoint(setting.pack.chain)
    return Trace(
        Joint.FACT,
        Outcome.YES if here else Outcome.NO,
        fact="site.state",
        value=setting.pack.key,
        found=f"The work is in {setting.pack.name}.",
        otherwise="The work is somewhere else.",
    )


def _rule(key: str, setting: Setting) -> Trace:
    rule = setting.pack.find(key, setting.on)
    applies = rule is not None and rule.value is not False
    says = rule.says if rule else "no such rule"
    return Trace(
        Joint.FACT,
        Outcome.YES if applies else Outcome.NO,
        fact="site.state",
        value=setting.pack.key,
        found=f"In {setting.pack.name}: {says}",
        otherwise="The work is in a place with another rule, or the law changes.",
        cite=rule.source.cite() if rule else "",
    )


def _test(test: Test, setting: Setting) -> Trace:
    value = setting.facts.get(test.fact, _absent(test.fact))
    if test.op is Op.UNKNOWN:
        return _leaf(test, value, value is None, "not known", "known")
    if test.op is Op.PAST:
        return _past(test, value, setting)
    if value is None:
        return _nobody_knows(test)
    return _known(test, value)


def _absent(fact: str) -> FactValue:
    """A quantity the take-off does not have is none of it; any other fact is unknown."""
    return 0.0 if fact.startswith("quantities.") else None


def _nobody_knows(test: Test, cite: str = "") -> Trace:
    label = _label(test.fact)
    return Trace(
        Joint.FACT,
        test.if_unknown,
        fact=test.fact,
        value="not known",
        found=f"Nobody has found out yet: {label}.",
        otherwise=f"Somebody finds out the {label}, and it is on the safe side.",
        cite=cite,
    )


def _known(test: Test, value: FactValue) -> Trace:
    wanted = test.wanted
    match test.op:
        case Op.IS:
            return _leaf(test, value, value == wanted, *_is_words(wanted))
        case Op.IN:
            assert isinstance(wanted, frozenset)
            words = shown(wanted)
            return _leaf(test, value, value in wanted, words, f"not {words}")
        case Op.HAS:
            return _has(test, value)
        case _:
            assert isinstance(wanted, float)
            return _edge(test, value, EDGES[test.op], wanted)


def _is_words(wanted: float | str | bool | frozenset[str]) -> tuple[str, str]:
    if isinstance(wanted, bool):
        return ("yes", "no") if wanted else ("no", "yes")
    return shown(wanted), f"not {shown(wanted)}"


def _has(test: Test, value: FactValue) -> Trace:
    assert isinstance(test.wanted, frozenset)
    held = value if isinstance(value, frozenset) else frozenset()
    hits = held & test.wanted
    words = shown(hits or test.wanted)
    leaf = _leaf(test, hits, bool(hits), words, f"without {words}")
    if hits:
        return leaf
    label = _label(test.fact)
    return replace(leaf, found=f"{label[:1].upper()}{label[1:]}: no {words}.")


def _edge(test: Test, value: FactValue, edge: Edge, limit: float) -> Trace:
    assert isinstance(value, int | float)
    met = edge.met_by(Decimal(str(value)), Decimal(str(limit)))
    words = shown_number(limit, unit_of(test.fact))
    some = met and edge is Edge.MORE_THAN and not limit  # says only that there is any
    says = "" if some else f"{edge} {words}"
    return _leaf(test, value, met, says, f"{opposite_edge(edge)} {words}")


def _past(test: Test, value: FactValue, setting: Setting) -> Trace:
    assert isinstance(test.wanted, str)
    rule = setting.pack.find(test.wanted, setting.on)
    if rule is None or rule.edge is None:
        says = f"{setting.pack.name} sets no such limit."
        return Trace(Joint.FACT, Outcome.NO, fact=test.fact, found=says)
    cite = rule.source.cite()
    if value is None:
        return _nobody_knows(test, cite)
    assert isinstance(value, int | float)
    limit = shown_number(rule.number, rule.unit)
    return _leaf(
        test,
        value,
        rule.exceeded_by(value, unit_of(test.fact) or rule.unit),
        f"{rule.edge} {limit}",
        f"{opposite_edge(rule.edge)} {limit}",
        cite,
    )


def _leaf(
    test: Test, value: FactValue, met: bool, words: str, other: str, cite: str = ""
) -> Trace:
    label = _label(test.fact)
    now = shown(value, unit_of(test.fact))
    found = _found(label, now, value, words if met else other)
    return Trace(
        Joint.FACT,
        Outcome.YES if met else Outcome.NO,
        fact=test.fact,
        value=now,
        found=f"{found[:1].upper()}{found[1:]}.",
        otherwise=f"{label[:1].upper()}{label[1:]}: {other if met else words}.",
        cite=cite,
    )


_WHETHER = "whether "


def _found(label: str, now: str, value: FactValue, relation: str) -> str:
    """What is so, in words: a flag as a sentence, a number beside its limit."""
    if value is True and label.startswith(_WHETHER):
        return label.removeprefix(_WHETHER)
    is_number = isinstance(value, int | float) and not isinstance(value, bool)
    return (
        f"{label}: {now}, {relation}" if is_number and relation else f"{label}: {now}"
    )


def _label(fact: str) -> str:
    spec = fact_spec(fact)
    return spec.label if spec else fact
