"""The shipped knowledge as the engine wants it, read from fixtures/ once."""

from functools import cache
from pathlib import Path

from jobs.domain.pack_files import load_packs
from jobs.domain.task_kinds import parse_task_kinds
from jobs.domain.tools import parse_tools
from safety.domain.categories import pack_edges
from safety.domain.condition_files import Vocabulary
from safety.domain.engine import RuleBook
from safety.domain.library_files import load_library
from safety.domain.risk_files import load_risk_methods
from safety.domain.views import Bench

FIXTURES = Path(__file__).parents[3] / "fixtures"


def texts(folder):
    """Texts of a folder of fixtures by file name."""
    found = sorted((FIXTURES / folder).glob("*.yaml"))
    return {path.name: path.read_text(encoding="utf-8") for path in found}


def text(name):
    """The text of one file of fixtures."""
    return (FIXTURES / name).read_text(encoding="utf-8")


@cache
def packs():
    """Every shipped pack by key."""
    return load_packs(texts("packs"))


@cache
def tools():
    """The shipped tools table."""
    return parse_tools(text("tools.yaml"), filename="tools.yaml")


@cache
def task_kinds():
    """The shipped kinds of task."""
    found = text("methods/task_kinds.yaml")
    return parse_task_kinds(found, filename="task_kinds.yaml")


@cache
def words():
    """What conditions may name."""
    return Vocabulary(
        task_kinds=task_kinds().keys(),
        tools=tools().keys(),
        pack_edges=pack_edges(packs().values()),
        places=packs().keys(),
    )


@cache
def library():
    """The shipped hazard library."""
    return load_library(texts("hazards"), words())


@cache
def risk_methods():
    """The shipped risk matrices."""
    return load_risk_methods(text("risk_matrices.yaml"), filename="risk_matrices.yaml")


@cache
def rule_book(place="au-nsw"):
    """Everything a plan is made from in one place."""
    return RuleBook(
        library=library(),
        pack=packs()[place],
        risk=risk_methods().chosen(),
        bench=Bench(tools()),
        words=words(),
    )
