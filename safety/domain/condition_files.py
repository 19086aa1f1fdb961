"""Conditions read from YAML.

all: | any:            a list of conditions
not:                   a condition
task: [lay_sheets]     the step is of one of these kinds
tool: [angle_grinder]  the step uses one of these tools
place: [au-qld]        the job is in one of these places
rule: key              the place has this rule on the day
always: true           met by any job
fact: name             with one of: more_than, at_least, less_than, at_most (a
                       number), is (a word or true/false), in, has (words),
                       unknown: true, past (a key of the pack), and optionally
                       if_unknown: holds or fails
"""

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from difflib import get_close_matches

from jobs.domain.packs import Edge
from jobs.domain.yaml_lines import Node, gather
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
from safety.domain.fact_names import FACTS, TASK_ONLY, FactSpec, Worse, fact_spec
from safety.domain.traces import Joint, Outcome

_KINDS = ("task.kind", "job.task_kinds")
_TOOLS = ("task.tools", "job.tools")
_RISING = {Edge.MORE_THAN, Edge.AT_LEAST}


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """The words that conditions may use; anything else is a fault.

    ``pack_edges`` holds every key of any pack with the edge of its value, if it has one.
    """

    task_kinds: Collection[str]
    tools: Collection[str]
    pack_edges: Mapping[str, Edge | None]
    places: Collection[str]
    whole_job: bool = False  # facts of single steps are then out of reach


def parse_condition(node: Node, words: Vocabulary) -> Condition:
    """One condition; LibraryError names file and line when it is none."""
    keys = node.entries()
    name = next((key for key in _PARSERS if key in keys), "")
    if not name:
        raise node.fault(f"a condition starts with one of: {', '.join(_PARSERS)}.")
    return _PARSERS[name](node, words)


def _joint(node: Node, words: Vocabulary, joint: Joint) -> Condition:
    fields = node.fields(str(joint))
    parts = gather(
        fields[str(joint)].items(), lambda part: parse_condition(part, words)
    )
    if not parts:
        raise node.fault(f'"{joint}" needs at least one condition.')
    return Both(joint, parts)


def _all(node: Node, words: Vocabulary) -> Condition:
    return _joint(node, words, Joint.ALL)


def _any(node: Node, words: Vocabulary) -> Condition:
    return _joint(node, words, Joint.ANY)


def _not(node: Node, words: Vocabulary) -> Condition:
    return Not(parse_condition(node.fields("not")["not"], words))


def _task(node: Node, words: Vocabulary) -> Condition:
    kinds = _words(node.fields("task")["task"], words.task_kinds, "kind of task")
    if words.whole_job:
        return Test("job.task_kinds", Op.HAS, kinds)
    return Test("task.kind", Op.IN, kinds)


def _tool(node: Node, words: Vocabulary) -> Condition:
    tools = _words(node.fields("tool")["tool"], words.tools, "tool")
    return Test("job.tools" if words.whole_job else "task.tools", Op.HAS, tools)


def _place(node: Node, words: Vocabulary) -> Condition:
    return Place(_words(node.fields("place")["place"], words.places, "place"))


def _rule(node: Node, words: Vocabulary) -> Condition:
    return Rule(_pack_key(node.fields("rule")["rule"], words))


def _always(node: Node, words: Vocabulary) -> Condition:
    if not node.fields("always")["always"].flag():
        raise node.fault('write "always: true".')
    return Always()


def _fact(node: Node, words: Vocabulary) -> Condition:
    fields = node.fields("fact", optional=("if_unknown", *Op))
    ops = [op for op in Op if op in fields]
    if len(ops) != 1:
        raise node.fault(f"a fact needs exactly one of: {', '.join(Op)}.")
    name = fields.text("fact")
    spec = check_fact_name(fields["fact"], name, whole_job=words.whole_job)
    if_unknown = Outcome.UNKNOWN
    if "if_unknown" in fields:
        said = fields["if_unknown"].one_of(("holds", "fails"), "answer")
        if_unknown = Outcome.YES if said == "holds" else Outcome.NO
    wanted = _wanted(name, fields[ops[0]], ops[0], words)
    return Test(spec.name, ops[0], wanted, if_unknown)


def check_fact_name(node: Node, name: str, *, whole_job: bool) -> FactSpec:
    """A fact that rules know and that a line of this scope can see."""
    spec = fact_spec(name)
    if spec is None:
        near = get_close_matches(name, FACTS, n=1)
        hint = f' Did you mean "{near[0]}"?' if near else ""
        raise node.fault(f'there is no fact "{name}".{hint}')
    if whole_job and name.startswith(TASK_ONLY):
        raise node.fault(f'"{name}" belongs to a step, not to the whole job.')
    return spec


def _wanted(
    fact: str, node: Node, op: Op, words: Vocabulary
) -> float | str | bool | frozenset[str]:
    if op in EDGES:
        return node.number()
    if op in (Op.IN, Op.HAS):
        return _words_of(fact, node, words)
    if op is Op.PAST:
        return _edged_key(node, words)
    if op is Op.UNKNOWN:
        if not node.flag():
            raise node.fault('write "unknown: true", or "not" around it.')
        return True
    return _word_or_flag(node)


def _words_of(fact: str, node: Node, words: Vocabulary) -> frozenset[str]:
    """Words a fact may hold; kinds of step and tools must be ones that there are."""
    if fact in _KINDS:
        return _words(node, words.task_kinds, "kind of task")
    if fact in _TOOLS:
        return _words(node, words.tools, "tool")
    return frozenset(gather(node.items(), Node.text))


def _word_or_flag(node: Node) -> str | bool:
    raw = getattr(node.raw, "value", "")
    return node.flag() if raw in ("true", "false") else node.text()


def _words(node: Node, known: Collection[str], what: str) -> frozenset[str]:
    found = gather(node.items(), lambda word: word.one_of(known, what))
    if not found:
        raise node.fault(f"name at least one {what}.")
    return frozenset(found)


def _pack_key(node: Node, words: Vocabulary) -> str:
    return node.one_of(words.pack_edges, "value in any pack")


def _edged_key(node: Node, words: Vocabulary) -> str:
    key = _pack_key(node, words)
    if words.pack_edges[key] is None:
        raise node.fault(f'"{key}" has no edge to be past.')
    return key


_PARSERS: Mapping[str, Callable[[Node, Vocabulary], Condition]] = {
    "all": _all,
    "any": _any,
    "not": _not,
    "task": _task,
    "tool": _tool,
    "place": _place,
    "rule": _rule,
    "always": _always,
    "fact": _fact,
}


def falls_as_it_worsens(
    condition: Condition,
    pack_edges: Mapping[str, Edge | None],
    *,
    upside_down: bool = False,
) -> tuple[str, ...]:
    """Facts that could switch the condition off by becoming more dangerous.

    A hazard with such a condition would vanish when its job gets worse; the loader
    refuses it. ``upside_down`` is True inside a "not".
    """
    match condition:
        case Both(_, parts):
            found = (
                falls_as_it_worsens(part, pack_edges, upside_down=upside_down)
                for part in parts
            )
            return tuple(name for names in found for name in names)
        case Not(part):
            return falls_as_it_worsens(part, pack_edges, upside_down=not upside_down)
        case Test(fact, op, wanted):
            edge = EDGES.get(op) or pack_edges.get(str(wanted))
            spec = fact_spec(fact)
            if edge is None or spec is None or spec.worse is Worse.NEITHER:
                return ()
            helps = (edge in _RISING) == (spec.worse is Worse.MORE)
            return () if helps != upside_down else (fact,)
        case _:
            return ()
