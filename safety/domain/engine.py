"""The hazard engine: facts of a job in, hazard plan out. Same facts, same plan."""

from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass
from datetime import date

from jobs.domain.facts import JobFacts
from jobs.domain.packs import Pack
from jobs.domain.sources import Source
from safety.domain.approach import at_voltage
from safety.domain.categories import (
    CATEGORIES_KEY,
    TaskSetting,
    categories_met,
    category_rules,
    statement_duty,
)
from safety.domain.condition_files import Vocabulary
from safety.domain.conditions import (
    Condition,
    Setting,
    asked_facts,
    judge,
    outcome_of,
)
from safety.domain.day_limits import shift_adjustment
from safety.domain.exposures.day import NO_DAY
from safety.domain.library import (
    Control,
    Hazard,
    HazardLibrary,
    Raise,
    Scope,
    SourceRef,
)
from safety.domain.plan import (
    WHOLE_JOB,
    Category,
    Counted,
    HazardPlan,
    PlanControl,
    PlanLine,
)
from safety.domain.risk import Rating, RiskMethod
from safety.domain.templates import Template
from safety.domain.traces import Outcome, Trace
from safety.domain.views import Bench, days_by_step, job_facts, task_facts

WHOLE_JOB_NAME = "Whole job"
HEMISPHERE_KEY = "seasons.hemisphere"


@dataclass(frozen=True, slots=True)
class RuleBook:
    """Everything a plan is made from besides the job itself."""

    library: HazardLibrary
    pack: Pack
    risk: RiskMethod
    bench: Bench
    words: Vocabulary


@dataclass(frozen=True, slots=True)
class _Step:
    """One step of the work, or the whole job, with its setting."""

    key: str
    name: str
    position: int
    scope: Scope
    setting: Setting


_Told = tuple[tuple[Raise, Trace], ...]


@dataclass(frozen=True, slots=True)
class _Because:
    """Why a line is in the plan: sentences, what is not known, what raised its rating."""

    reasons: tuple[Template, ...]
    unknown: tuple[str, ...]  # sentences
    told: _Told
    facts: tuple[str, ...]  # names of the facts nobody has found out


def hazard_plan(facts: JobFacts, rules: RuleBook, on: date) -> HazardPlan:
    """The hazard plan of a job under the law of one day.

    ``on`` is the day of the work: it picks the values in force and the season. A draft
    until a competent person has reviewed and issued it.
    """
    steps = _steps(facts, rules, on)
    met = _categories(steps, rules, on)
    lines = [
        line
        for step in steps
        for hazard in rules.library.hazards
        if hazard.scope is step.scope and not hazard.off
        if (line := _line(hazard, step, rules.risk, met)) is not None
    ]
    return HazardPlan(
        pack=rules.pack.key,
        pack_name=rules.pack.name,
        on=on,
        matrix=rules.risk.matrix.key,
        lines=tuple(lines),
        categories=met,
        duty=statement_duty(rules.pack, on, met),
        task_keys=tuple(task.key for task in facts.tasks),
    )


def judged(
    facts: JobFacts, rules: RuleBook, on: date, *, task_key: str, hazard: str
) -> Trace | None:
    """What the condition of a hazard comes to in a step, whether it is met or not.

    None when the job has no such step, or the library no such hazard in use.
    """
    found = rules.library.by_key().get(hazard)
    step = next((s for s in _steps(facts, rules, on) if s.key == task_key), None)
    if found is None or found.off or step is None:
        return None
    return judge(found.condition, step.setting)


def settings_of(facts: JobFacts, rules: RuleBook, on: date) -> dict[str, Setting]:
    """What conditions and sentences of each step see, by key; "" is the whole job."""
    return {step.key: step.setting for step in _steps(facts, rules, on)}


def holding(
    condition: Condition, scope: Scope, facts: JobFacts, rules: RuleBook, on: date
) -> tuple[tuple[str, Outcome], ...]:
    """The steps in which a condition bites, by name, each with its outcome.

    A hazard with that condition would be in the plan there. Its scope decides whether
    steps are looked at or the job as a whole.
    """
    asked = asked_facts(condition)
    steps = _steps(facts, rules, on, only=asked)
    looked_at = steps[:1] if scope is Scope.JOB else steps[1:]
    outcomes = ((step.name, outcome_of(condition, step.setting)) for step in looked_at)
    return tuple((name, outcome) for name, outcome in outcomes if outcome.bites)


def _steps(
    facts: JobFacts,
    rules: RuleBook,
    on: date,
    *,
    only: Collection[str] | None = None,
) -> tuple[_Step, ...]:
    """The whole job, then its steps; ``only`` as :func:`task_facts` takes it."""
    hemisphere = rules.pack.find(HEMISPHERE_KEY, on)
    southern = hemisphere is None or hemisphere.value != "north"
    whole = job_facts(facts, on, rules.bench, southern=southern)
    tasks = sorted(facts.tasks, key=lambda task: (task.position, task.key))
    pack = at_voltage(rules.pack, _voltage_kv(facts), on)
    shift_db = shift_adjustment(rules.pack, rules.bench.hours, on)
    days = days_by_step(tasks, rules.bench, shift_db=shift_db, only=only)
    return (
        _Step(WHOLE_JOB, WHOLE_JOB_NAME, 0, Scope.JOB, Setting(whole, pack, on)),
        *(
            _Step(
                task.key,
                task.name,
                task.position,
                Scope.TASK,
                Setting(
                    task_facts(
                        task, whole, rules.bench, days.get(task.key, NO_DAY), only=only
                    ),
                    pack,
                    on,
                ),
            )
            for task in tasks
        ),
    )


def _voltage_kv(facts: JobFacts) -> float | None:
    found = facts.site.get("overhead_line_kv")
    return found if isinstance(found, int | float) else None


def _categories(
    steps: Iterable[_Step], rules: RuleBook, on: date
) -> tuple[Category, ...]:
    listed = rules.pack.find(CATEGORIES_KEY, on)
    if listed is None:
        return ()
    tasks = [TaskSetting(s.key, s.setting) for s in steps if s.scope is Scope.TASK]
    return categories_met(
        category_rules(rules.pack, on, rules.words), tasks, listed.source
    )


def _line(
    hazard: Hazard, step: _Step, risk: RiskMethod, met: tuple[Category, ...]
) -> PlanLine | None:
    if not outcome_of(hazard.condition, step.setting).bites:
        return None
    trace = judge(hazard.condition, step.setting)
    initial, told = _initial(hazard, step.setting, risk)
    controls = _controls(hazard.controls, step.setting, risk)
    why = _because(hazard, step.setting, trace, told)
    shown = _words(hazard, why, step.setting, Template.filled)
    return PlanLine(
        key=f"{step.key or 'job'}/{hazard.key}",
        task_key=step.key,
        task_name=step.name,
        position=step.position,
        hazard=hazard.key,
        theme=hazard.theme,
        name=shown.name,
        harm=hazard.harm,
        reasons=shown.reasons,
        unknowns=why.facts,
        raised=shown.raised,
        initial=initial,
        controls=controls,
        residual=risk.residual(initial, ((c.level, c.effect) for c in controls)),
        source=_source(hazard.source, step.setting),
        trace=trace,
        categories=_letters(hazard.topics, step.key, met),
        no_higher_control=hazard.no_higher_control,
        counted=_words(hazard, why, step.setting, Template.counting),
    )


def _initial(
    hazard: Hazard, setting: Setting, risk: RiskMethod
) -> tuple[Rating, _Told]:
    """The rating before controls, with what raised it above the library's own."""
    met = [
        (step, judge(step.condition, setting))
        for step in hazard.raises
        if outcome_of(step.condition, setting).bites
    ]
    likelihood = max([hazard.likelihood, *(step.likelihood for step, _ in met)])
    consequence = max([hazard.consequence, *(step.consequence for step, _ in met)])
    by_likelihood = (pair for pair in met if pair[0].likelihood == likelihood)
    by_consequence = (pair for pair in met if pair[0].consequence == consequence)
    first = [
        next(by_likelihood, None) if likelihood > hazard.likelihood else None,
        next(by_consequence, None) if consequence > hazard.consequence else None,
    ]
    told = tuple(pair for pair in met if any(pair is chosen for chosen in first))
    return risk.matrix.rate(likelihood, consequence), told


def _controls(
    controls: Collection[Control], setting: Setting, risk: RiskMethod
) -> tuple[PlanControl, ...]:
    """Controls that apply, the strongest level first, else in the library's order."""
    chosen = [
        control
        for control in controls
        if control.condition is None or outcome_of(control.condition, setting).bites
    ]
    ordered = sorted(chosen, key=lambda control: control.level.place)
    return tuple(_control(control, setting, risk) for control in ordered)


def _control(control: Control, setting: Setting, risk: RiskMethod) -> PlanControl:
    return PlanControl(
        key=control.key,
        text=control.text.filled(setting),
        level=control.level,
        effect=risk.allowed(control.level, control.effect),
        who=control.who,
        when=control.when,
        check=Template(control.check).filled(setting),
        ask=Template(control.ask).filled(setting),
        source=_source(control.source, setting),
        counts=control.text.counting(setting),
    )


def _source(ref: SourceRef, setting: Setting) -> Source:
    rule = setting.pack.find(ref.pack_key, setting.on) if ref.pack_key else None
    return rule.source if rule else ref.source


_Fill = Callable[[Template, Setting], str]


def _because(hazard: Hazard, setting: Setting, trace: Trace, told: _Told) -> _Because:
    """What a line says of why it is here; nothing of what nobody has found out."""
    traces = (trace, *(raise_trace for _, raise_trace in told))
    unknown = [says for part in traces for says in _not_found_out(part)]
    reasons = tuple(
        reason.says
        for reason in hazard.reasons
        if reason.condition is None or outcome_of(reason.condition, setting).bites
        if not (unknown and reason.says.says_nothing(setting))
    )
    return _Because(reasons, tuple(dict.fromkeys(unknown)), told, _unknowns(traces))


def _words(hazard: Hazard, why: _Because, setting: Setting, fill: _Fill) -> Counted:
    """Name, reasons and what raised the rating, every figure written by ``fill``."""
    return Counted(
        name=fill(hazard.name, setting),
        reasons=(*(fill(says, setting) for says in why.reasons), *why.unknown),
        raised=tuple(_raised(step, trace, setting, fill) for step, trace in why.told),
    )


def _raised(step: Raise, trace: Trace, setting: Setting, fill: _Fill) -> str:
    unknown = _not_found_out(trace) if step.says.says_nothing(setting) else ()
    return " ".join(unknown) or fill(step.says, setting)


def _not_found_out(trace: Trace) -> tuple[str, ...]:
    missing = trace.unknown_facts()
    found = (
        leaf.found
        for leaf in trace.leaves()
        if leaf.fact in missing and leaf.value == "not known"
    )
    return tuple(dict.fromkeys(found))


def _unknowns(traces: Iterable[Trace]) -> tuple[str, ...]:
    names = [name for trace in traces for name in trace.unknown_facts()]
    return tuple(dict.fromkeys(names))


def _letters(
    topics: Collection[str], task_key: str, met: Iterable[Category]
) -> tuple[str, ...]:
    return tuple(
        category.key
        for category in met
        if not category.topics.isdisjoint(topics)
        if task_key == WHOLE_JOB or task_key in category.tasks
    )
