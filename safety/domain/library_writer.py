"""Hazards written as the YAML that ``library_files`` reads, so that nothing is lost.

Reading what was written gives equal hazards: ``load_library`` of ``library_yaml`` is the
library again. Comments of a text are not part of a hazard; ``library_text`` keeps them
where a hazard did not change.
"""

from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Any

import yaml

from jobs.domain.holds import Basis
from jobs.domain.sources import Source
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
from safety.domain.library import Control, Hazard, Raise, Reason, Scope, SourceRef
from safety.domain.risk import LOWEST, Effect
from safety.domain.traces import Outcome

_SHORT = (Source(Basis.PRACTICE), Source(Basis.FIRM))
_IF_UNKNOWN = {Outcome.YES: "holds", Outcome.NO: "fails"}
_SHORTHANDS: Mapping[tuple[str, Op, bool], str] = {
    ("task.kind", Op.IN, False): "task",
    ("task.tools", Op.HAS, False): "tool",
    ("job.task_kinds", Op.HAS, True): "task",
    ("job.tools", Op.HAS, True): "tool",
}  # fact, what is asked of it, and whether the hazard is one of the whole job


class _Dumper(yaml.SafeDumper):
    """Numbers without exponents, which the reader refuses; lists set in."""

    def increase_indent(self, flow: bool = False, indentless: bool = False) -> None:
        super().increase_indent(flow=flow, indentless=False)


def _number(dumper: yaml.SafeDumper, value: float) -> yaml.Node:
    if value == int(value):
        return dumper.represent_int(int(value))
    plain = format(Decimal(repr(value)), "f")
    return dumper.represent_scalar("tag:yaml.org,2002:float", plain)


_Dumper.add_representer(float, _number)


def library_yaml(theme: str, hazards: Iterable[Hazard]) -> str:
    """A whole file: its theme and its hazards."""
    return as_yaml({"theme": theme, "hazards": [hazard_plain(h) for h in hazards]})


def hazard_yaml(hazard: Hazard, indent: int = 2) -> str:
    """One hazard as an item of the list in a file, ``indent`` spaces in."""
    lines = as_yaml([hazard_plain(hazard)]).splitlines()
    outer = len(lines[0]) - len(lines[0].lstrip())
    return "".join(f"{' ' * indent}{line[outer:]}\n" for line in lines)


def as_yaml(plain: Any) -> str:
    """Plain data as YAML; small lists and mappings on one line."""
    return yaml.dump(
        plain,
        Dumper=_Dumper,
        sort_keys=False,
        allow_unicode=True,
        default_flow_style=None,
        width=10**9,
    )


def hazard_plain(hazard: Hazard) -> dict[str, Any]:
    """A hazard as mappings, lists, texts and numbers, under the keys of its file."""
    whole_job = hazard.scope is Scope.JOB
    plain: dict[str, Any] = {"key": hazard.key, "name": hazard.name.text}
    plain |= {"scope": hazard.scope.value} if whole_job else {}
    plain |= _given(off=hazard.off, topics=list(hazard.topics))
    plain |= {
        "harm": hazard.harm,
        "when": condition_plain(hazard.condition, whole_job=whole_job),
        "why": reasons_plain(hazard.reasons, whole_job=whole_job),
        "likelihood": hazard.likelihood,
        "consequence": hazard.consequence,
    }
    plain |= _given(
        **{"raise": raises_plain(hazard.raises, whole_job=whole_job)},
        no_higher_control=hazard.no_higher_control,
    )
    controls = [control_plain(c, whole_job=whole_job) for c in hazard.controls]
    return plain | {"source": source_plain(hazard.source), "controls": controls}


def control_plain(control: Control, *, whole_job: bool) -> dict[str, Any]:
    """A control under the keys of its file."""
    condition = control.condition
    return {
        "key": control.key,
        "text": control.text.text,
        "level": control.level.value,
        "effect": effect_plain(control.effect),
        "who": control.who.value,
        "when": control.when.name.lower(),
        "check": control.check,
        **_given(ask=control.ask),
        **(
            {"if": condition_plain(condition, whole_job=whole_job)} if condition else {}
        ),
        "source": source_plain(control.source),
    }


def condition_plain(condition: Condition, *, whole_job: bool) -> dict[str, Any]:
    """A condition as ``condition_files`` reads it."""
    match condition:
        case Both(joint, parts):
            inner = [condition_plain(part, whole_job=whole_job) for part in parts]
            return {joint.value: inner}
        case Not(part):
            return {"not": condition_plain(part, whole_job=whole_job)}
        case Place(keys):
            return {"place": sorted(keys)}
        case Rule(key):
            return {"rule": key}
        case Always():
            return {"always": True}
        case Test():
            return _test(condition, whole_job=whole_job)


def _test(test: Test, *, whole_job: bool) -> dict[str, Any]:
    wanted = sorted(test.wanted) if isinstance(test.wanted, frozenset) else test.wanted
    short = _SHORTHANDS.get((test.fact, test.op, whole_job))
    if short and test.if_unknown is Outcome.UNKNOWN:
        return {short: wanted}
    if test.op in EDGES and not isinstance(wanted, list | str):
        wanted = float(wanted)
    plain = {"fact": test.fact, test.op.value: wanted}
    return plain | _given(if_unknown=_IF_UNKNOWN.get(test.if_unknown, ""))


def reasons_plain(reasons: tuple[Reason, ...], *, whole_job: bool) -> Any:
    """Why a hazard is there: a text when it is one sentence, else a list."""
    if len(reasons) == 1 and reasons[0].condition is None:
        return reasons[0].says.text
    return [_reason(reason, whole_job=whole_job) for reason in reasons]


def _reason(reason: Reason, *, whole_job: bool) -> dict[str, Any]:
    condition = reason.condition
    more = {"if": condition_plain(condition, whole_job=whole_job)} if condition else {}
    return {"says": reason.says.text, **more}


def raises_plain(raises: tuple[Raise, ...], *, whole_job: bool) -> list[Any]:
    """What makes a rating worse, as a list."""
    return [
        {
            "if": condition_plain(step.condition, whole_job=whole_job),
            **_above(likelihood=step.likelihood, consequence=step.consequence),
            "says": step.says.text,
        }
        for step in raises
    ]


def _above(**steps: int) -> dict[str, int]:
    return {name: step for name, step in steps.items() if step != LOWEST}


def effect_plain(effect: Effect) -> dict[str, int]:
    """Steps that a control takes off, those that are not zero."""
    return _given(likelihood=effect.likelihood, consequence=effect.consequence)


def source_plain(ref: SourceRef) -> Any:
    """A source: a value of the pack, two words, or a publication with its clause."""
    source = ref.source
    if ref.pack_key:
        otherwise = "" if source.basis is Basis.FIRM else source.basis.value
        return {"pack": ref.pack_key, **_given(otherwise=otherwise)}
    if source in _SHORT:
        return source.basis.value
    return {
        "basis": source.basis.value,
        **_given(publisher=source.publisher, clause=source.clause, url=source.url),
        "seen": source.seen.value,
        **_given(second_hand=source.second_hand),
    }


def _given(**values: Any) -> dict[str, Any]:
    return {name: value for name, value in values.items() if value}
