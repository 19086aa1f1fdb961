"""Conditions on the facts of a job: data in, a trace out. Nothing is run as code.

A number that nobody has found out (None) leaves a test unknown, and whatever rests on it
unknown too; the engine treats that as the worse case and says so.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum

from jobs.domain.facts import Fact
from jobs.domain.packs import Edge, Pack
from safety.domain.fact_names import fact_spec, unit_of
from safety.domain.traces import (
    Joint,
    Outcome,
    Trace,
    joined,
    negated,
    opposite,
    together,
)
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


def outcome_of(condition: Condition, setting: Setting) -> Outcome:
    """What a condition comes to, without a word on why.

    Most conditions of a library do not hold in a step, and nobody reads why not; to write
    it down for all of them takes most of the time of a plan.
    """
    match condition:
        case Both(joint, parts):
            return together(joint, (outcome_of(part, setting) for part in parts))
        case Not(part):
            return opposite(outcome_of(part, setting))
        case Place(keys):
            return _yes_or_no(not keys.isdisjoint(setting.pack.chain))
        case Rule(key):
            rule = setting.pack.find(key, setting.on)
            return _yes_or_no(rule is not None and rule.value is not False)
        case Always():
            return Outcome.YES
        case Test(fact):
            return _answer(condition, _value(fact, setting), setting)


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


def _place(keys: frozenset[str], setting: Setting) -> Trace:
    return Trace(
        Joint.FACT,
        outcome_of(Place(keys), setting),
        fact="site.state",
        value=setting.pack.key,
        found=f"The work is in {setting.pack.name}.",
        otherwise="The work is somewhere else.",
    )


def _rule(key: str, setting: Setting) -> Trace:
    rule = setting.pack.find(key, setting.on)
    says = rule.says if rule else "no such rule"
    return Trace(
        Joint.FACT,
        outcome_of(Rule(key), setting),
        fact="site.state",
        value=setting.pack.key,
        found=f"In {setting.pack.name}: {says}",
        otherwise="The work is in a place with another rule, or the law changes.",
        cite=rule.source.cite() if rule else "",
    )


def _value(fact: str, setting: Setting) -> FactValue:
    """A quantity the take-off does not have is none of it; any other fact is unknown."""
    value = setting.facts.get(fact)
    if value is None and fact.startswith("quantities."):
        return 0.0
    return value


def _answer(test: Test, value: FactValue, setting: Setting) -> Outcome:
    """What the value of its fact answers to a test."""
    if test.op is Op.UNKNOWN:
        return _yes_or_no(value is None)
    if test.op is Op.PAST:
        return _past_limit(test, value, setting)
    if value is None:
        return test.if_unknown
    return _yes_or_no(_is_met(test, value))


def _is_met(test: Test, value: FactValue) -> bool:
    wanted = test.wanted
    match test.op:
        case Op.IS:
            return value == wanted
        case Op.IN:
            assert isinstance(wanted, frozenset)
            return value in wanted
        case Op.HAS:
            return bool(_hits(test, value))
        case _:
            assert isinstance(wanted, float)
            assert isinstance(value, int | float)
            # Floats stand in the order of the decimals that people write for them.
            return EDGES[test.op].met_by(value, wanted)


def _hits(test: Test, value: FactValue) -> frozenset[str]:
    assert isinstance(test.wanted, frozenset)
    return value & test.wanted if isinstance(value, frozenset) else frozenset()


def _past_limit(test: Test, value: FactValue, setting: Setting) -> Outcome:
    assert isinstance(test.wanted, str)
    rule = setting.pack.find(test.wanted, setting.on)
    if rule is None or rule.edge is None:
        return Outcome.NO
    if value is None:
        return test.if_unknown
    assert isinstance(value, int | float)
    return _yes_or_no(rule.exceeded_by(value, unit_of(test.fact) or rule.unit))


def _yes_or_no(met: bool) -> Outcome:
    return Outcome.YES if met else Outcome.NO


def _test(test: Test, setting: Setting) -> Trace:
    value = _value(test.fact, setting)
    outcome = _answer(test, value, setting)
    if test.op is Op.UNKNOWN:
        return _leaf(test, value, outcome, "not known", "known")
    if test.op is Op.PAST:
        return _past(test, value, outcome, setting)
    if value is None:
        return _nobody_knows(test)
    return _known(test, value, outcome)


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


def _known(test: Test, value: FactValue, outcome: Outcome) -> Trace:
    wanted = test.wanted
    match test.op:
        case Op.IS:
            return _leaf(test, value, outcome, *_is_words(wanted))
        case Op.IN:
            words = shown(wanted)
            return _leaf(test, value, outcome, words, f"not {words}")
        case Op.HAS:
            return _has(test, value, outcome)
        case _:
            return _edge(test, value, outcome)


def _is_words(wanted: float | str | bool | frozenset[str]) -> tuple[str, str]:
    if isinstance(wanted, bool):
        return ("yes", "no") if wanted else ("no", "yes")
    return shown(wanted), f"not {shown(wanted)}"


def _has(test: Test, value: FactValue, outcome: Outcome) -> Trace:
    hits = _hits(test, value)
    words = shown(hits or test.wanted)
    leaf = _leaf(test, hits, outcome, words, f"without {words}")
    if hits:
        return leaf
    label = _label(test.fact)
    return replace(leaf, found=f"{label[:1].upper()}{label[1:]}: no {words}.")


def _edge(test: Test, value: FactValue, outcome: Outcome) -> Trace:
    edge, limit = EDGES[test.op], test.wanted
    assert isinstance(limit, float)
    words = shown_number(limit, unit_of(test.fact))
    met = outcome is Outcome.YES
    some = met and edge is Edge.MORE_THAN and not limit  # says only that there is any
    says = "" if some else f"{edge} {words}"
    return _leaf(test, value, outcome, says, f"{opposite_edge(edge)} {words}")


def _past(test: Test, value: FactValue, outcome: Outcome, setting: Setting) -> Trace:
    assert isinstance(test.wanted, str)
    rule = setting.pack.find(test.wanted, setting.on)
    if rule is None or rule.edge is None:
        says = f"{setting.pack.name} sets no such limit."
        return Trace(Joint.FACT, outcome, fact=test.fact, found=says)
    cite = rule.source.cite()
    if value is None:
        return _nobody_knows(test, cite)
    limit = shown_number(rule.number, rule.unit)
    return _leaf(
        test,
        value,
        outcome,
        f"{rule.edge} {limit}",
        f"{opposite_edge(rule.edge)} {limit}",
        cite,
    )


def _leaf(
    test: Test,
    value: FactValue,
    outcome: Outcome,
    words: str,
    other: str,
    cite: str = "",
) -> Trace:
    label = _label(test.fact)
    now = shown(value, unit_of(test.fact))
    met = outcome is Outcome.YES
    found = _found(label, now, value, words if met else other)
    return Trace(
        Joint.FACT,
        outcome,
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
