"""The hazard library read from YAML, with file and line for every mistake.

A file holds a theme and its hazards::

    theme: falls
    hazards:
      - key: fall_from_edge
        name: Fall from the edge
        harm: What happens to a person, in plain words.
        when: {fact: task.work_height_m, more_than: 0.5}
        why: The edge is {task.work_height_m} above the ground.
        likelihood: 4
        consequence: 4
        source: {pack: falls.duty}
        controls:
          - key: edge_protection
            text: Put up guard rail before anybody steps on the roof.
            level: engineering
            effect: {likelihood: 3}
            who: site_lead
            when: task_start
            check: Top rail, mid rail and toe board on every open side.
            ask: Is the guard rail up on every open side?
            source: common practice
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any, TypeVar

from jobs.domain.holds import Basis
from jobs.domain.pack_files import SOURCE_KEYS, parse_source
from jobs.domain.roles import Role
from jobs.domain.sources import Source
from jobs.domain.yaml_lines import Fault, Fields, LibraryError, Node, gather, parse_yaml
from safety.domain.condition_files import (
    Vocabulary,
    check_fact_name,
    falls_as_it_worsens,
    parse_condition,
)
from safety.domain.conditions import Condition
from safety.domain.hierarchy import Level
from safety.domain.library import (
    Control,
    Hazard,
    HazardLibrary,
    Raise,
    Reason,
    Scope,
    SourceRef,
)
from safety.domain.plan import When
from safety.domain.risk import HIGHEST, LOWEST
from safety.domain.risk_files import parse_effect
from safety.domain.templates import Template

E = TypeVar("E", bound=StrEnum)

_SHORT_SOURCES = (Basis.PRACTICE, Basis.FIRM)
_HAZARD_KEYS = ("key", "name", "harm", "when", "why", "source", "controls")
_HAZARD_OPTIONS = ("scope", "topics", "raise", "no_higher_control", "off")
_WHENS = {when.name.lower(): when for when in When}


@dataclass(frozen=True, slots=True)
class Found:
    """A hazard with the file and the line it stands on."""

    hazard: Hazard
    filename: str
    line: int


def load_library(texts: Mapping[str, str], words: Vocabulary) -> HazardLibrary:
    """The library from texts by file name; LibraryError lists every fault of all."""
    return join_files(texts, lambda filename, text: read_file(filename, text, words))


def join_files(
    texts: Mapping[str, str], read: Callable[[str, str], tuple[Found, ...]]
) -> HazardLibrary:
    """The library from files read one by one, in the order of their names."""
    found: list[Found] = []
    faults: list[Fault] = []
    for filename, text in sorted(texts.items()):
        try:
            found += read(filename, text)
        except LibraryError as error:
            faults += error.faults
    if faults:
        raise LibraryError(faults)
    _refuse_doubles(found)
    return HazardLibrary(tuple(one.hazard for one in found))


def read_file(filename: str, text: str, words: Vocabulary) -> tuple[Found, ...]:
    """The hazards of one file by itself; LibraryError lists every fault of it."""
    fields = parse_yaml(text, filename=filename).fields("theme", "hazards")
    theme = fields.text("theme")
    nodes = fields.items("hazards")
    hazards = gather(nodes, lambda row: _HazardReader(row, words).hazard(theme))
    return tuple(
        Found(hazard, filename, node.line)
        for hazard, node in zip(hazards, nodes, strict=True)
    )


def parse_part(part: str, text: str, words: Vocabulary) -> Any:
    """One part of a hazard by itself, as somebody types it into a form.

    ``part`` is a key of a hazard or control whose value has a shape: "when", "why",
    "raise", "source", "if". LibraryError names the line of the text.
    """
    node = parse_yaml(text, filename=part)
    reader = _HazardReader(node, words)
    parsers: Mapping[str, Callable[[Node], Any]] = {
        "when": reader.rising,
        "if": reader.condition,
        "why": reader.reasons,
        "raise": lambda raw: gather(raw.items(), reader.raise_),
        "source": reader.source,
        "text": reader.template,
    }
    return parsers[part](node)


def _refuse_doubles(found: Iterable[Found]) -> None:
    seen: set[str] = set()
    faults: list[Fault] = []
    for one in found:
        for key in (one.hazard.key, *(control.key for control in one.hazard.controls)):
            if key in seen:
                says = f'the key "{key}" is there twice.'
                faults.append(Fault(one.filename, one.line, says))
            seen.add(key)
    if faults:
        raise LibraryError(faults)


@dataclass(frozen=True, slots=True)
class _HazardReader:
    """Reads one hazard; a whole-job hazard sees only facts of the whole job."""

    node: Node
    words: Vocabulary

    def hazard(self, theme: str) -> Hazard:
        fields = self.node.fields(
            *_HAZARD_KEYS, "likelihood", "consequence", optional=_HAZARD_OPTIONS
        )
        scope = _enum(fields, "scope", Scope, Scope.TASK)
        reader = replace(self, words=replace(self.words, whole_job=scope is Scope.JOB))
        found = Hazard(
            key=fields.text("key"),
            name=reader.template(fields["name"]),
            theme=theme,
            scope=scope,
            harm=fields.text("harm"),
            condition=reader.rising(fields["when"]),
            reasons=reader.reasons(fields["why"]),
            likelihood=_step(fields, "likelihood"),
            consequence=_step(fields, "consequence"),
            raises=gather(fields.items("raise"), reader.raise_),
            source=reader.source(fields["source"]),
            controls=gather(fields.items("controls"), reader.control),
            topics=tuple(topic.text() for topic in fields.items("topics")),
            no_higher_control=fields.text("no_higher_control"),
            off=fields.text("off"),
        )
        _refuse_ppe_alone(self.node, found)
        return found

    def condition(self, node: Node) -> Condition:
        return parse_condition(node, self.words)

    def rising(self, node: Node) -> Condition:
        """A condition that cannot be switched off by things getting worse."""
        condition = self.condition(node)
        falling = falls_as_it_worsens(condition, self.words.pack_edges)
        if falling:
            raise node.fault(
                f"the hazard would vanish as {falling[0]} gets worse: turn the test round."
            )
        return condition

    def template(self, node: Node) -> Template:
        """A sentence whose places name facts and values that there are."""
        template = Template(node.text())
        if not template.is_plain():
            raise node.fault("a brace stands alone; write {fact} or {pack:key}.")
        for key in template.pack_keys():
            if key not in self.words.pack_edges:
                raise node.fault(f'no pack has a value "{key}".')
        for name in template.facts():
            check_fact_name(node, name, whole_job=self.words.whole_job)
        return template

    def reasons(self, node: Node) -> tuple[Reason, ...]:
        if _is_text(node):
            return (Reason(self.template(node)),)
        return gather(node.items(), self.reason)

    def reason(self, node: Node) -> Reason:
        fields = node.fields("says", optional=("if",))
        condition = self.condition(fields["if"]) if "if" in fields else None
        return Reason(self.template(fields["says"]), condition)

    def raise_(self, node: Node) -> Raise:
        fields = node.fields("if", "says", optional=("likelihood", "consequence"))
        return Raise(
            condition=self.rising(fields["if"]),
            says=self.template(fields["says"]),
            likelihood=_step(fields, "likelihood"),
            consequence=_step(fields, "consequence"),
        )

    def control(self, node: Node) -> Control:
        fields = node.fields(
            *("key", "text", "level", "effect", "who", "when", "check", "source"),
            optional=("ask", "if"),
        )
        return Control(
            key=fields.text("key"),
            text=self.template(fields["text"]),
            level=_enum(fields, "level", Level, Level.PPE),
            effect=parse_effect(fields["effect"]),
            who=_enum(fields, "who", Role, Role.SITE_LEAD),
            when=_WHENS[fields["when"].one_of(_WHENS, "moment")],
            check=self.template(fields["check"]).text,
            source=self.source(fields["source"]),
            ask=self.template(fields["ask"]).text if "ask" in fields else "",
            condition=self.condition(fields["if"]) if "if" in fields else None,
        )

    def source(self, node: Node) -> SourceRef:
        if _is_text(node):
            return SourceRef(Source(Basis(node.one_of(_SHORT_SOURCES, "basis"))))
        if "pack" not in node.entries():
            return SourceRef(parse_source(node.fields("basis", optional=SOURCE_KEYS)))
        fields = node.fields("pack", optional=("otherwise",))
        key = fields["pack"].one_of(self.words.pack_edges, "value in any pack")
        basis = _enum(fields, "otherwise", Basis, Basis.FIRM)
        return SourceRef(Source(basis), key)


def _enum(fields: Fields, key: str, kind: type[E], default: E) -> E:
    if key not in fields:
        return default
    return kind(fields[key].one_of([member.value for member in kind], key))


def _is_text(node: Node) -> bool:
    return isinstance(node.raw.value, str)


def _step(fields: Fields, key: str) -> int:
    if key not in fields:
        return LOWEST
    step = fields[key].whole(at_least=LOWEST)
    if step > HIGHEST:
        raise fields[key].fault(f"expected a step from {LOWEST} to {HIGHEST}.")
    return step


def _refuse_ppe_alone(node: Node, hazard: Hazard) -> None:
    if not hazard.controls:
        raise node.fault(f'"{hazard.key}" has no control.')
    above = any(control.level is not Level.PPE for control in hazard.controls)
    if not above and not hazard.no_higher_control:
        raise node.fault(
            f'"{hazard.key}" has only protective equipment: give a control above it, or '
            'say why there is none under "no_higher_control".'
        )
