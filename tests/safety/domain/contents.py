"""Contents of statements, made from small jobs."""

from datetime import date

from safety.domain.engine import hazard_plan
from safety.domain.overrides import apply_overrides
from safety.domain.statement import StatementHeader, statement_content
from tests.safety.domain.jobs import PATIO
from tests.safety.domain.rules import rule_book

ON = date(2026, 8, 10)
HEADER = StatementHeader(
    job="J-014",
    site="3 Wattle Court, Testfield",
    structure="Attached flat roof, 6 m along by 4 m out",
    firm="Testfield Patios",
    responsible="Sal Lead",
    contacts={"Sal Lead": "02 5550 0101"},
    print={"prepared by": "Oscar Office"},
)


def content(facts=PATIO, header=HEADER, on=ON, overrides=()):
    """What the statement of a job says, by default that of the patio."""
    rules = rule_book()
    plan = hazard_plan(facts, rules, on)
    plan = apply_overrides(plan, overrides, rules.risk.matrix)
    return statement_content(plan, header, rules.pack, rules.risk.matrix)
