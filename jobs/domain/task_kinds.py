"""Kinds of task: the words that methods and hazard rules share."""

from collections.abc import Mapping
from dataclasses import dataclass

from jobs.domain.yaml_lines import Node, keyed, parse_yaml


@dataclass(frozen=True, slots=True)
class TaskKind:
    """One kind of task, and in one line what is done in it."""

    key: str
    name: str
    what: str


def parse_task_kinds(text: str, *, filename: str) -> Mapping[str, TaskKind]:
    """The kinds of task by key, from the text of their table."""
    return keyed(parse_yaml(text, filename=filename).items(), _task_kind)


def _task_kind(node: Node) -> TaskKind:
    fields = node.fields("key", "name", "what")
    return TaskKind(fields.text("key"), fields.text("name"), fields.text("what"))
