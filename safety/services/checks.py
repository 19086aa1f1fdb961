"""The daily hazard check of a job, and what came of it."""

from collections.abc import Mapping, Sequence
from dataclasses import astuple, dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.core.files.uploadedfile import UploadedFile
from django.db import transaction

from jobs import ledger
from jobs.domain.holds import Hold
from jobs.domain.moments import happened_at
from jobs.domain.refusals import Refused, SentBefore
from jobs.hold_registry import holds
from jobs.models import Document, Job, Person, Task
from jobs.queries.firm import local_day, the_firm
from jobs.services.uploads import take_in
from safety.domain.daily import Question
from safety.domain.exposures.heat import HIGHEST_WBGT_DEGC
from safety.domain.exposures.uv import HIGHEST_INDEX
from safety.domain.heat_limit import HeatDay, not_known, read_words, too_hot
from safety.domain.obligations import CHECK_MISSING, CHECK_NO_GO, SIGN_ON_MISSING
from safety.domain.verbs import Verb
from safety.domain.wording import some_quoted, wind_words
from safety.holds import unsigned_hold
from safety.models import Attendance, CheckAnswer, DailyCheck, Statement
from safety.permissions import require_lead
from safety.queries.days_work import days_work
from safety.queries.heat import UNKNOWN_LOAD, limit_at, task_loads_at
from safety.queries.site_day import questions_about, wind_limits
from safety.queries.statements import issued_at, signed_at
from safety.services.judging import judge_soon
from safety.services.work import add_people

Outcome = DailyCheck.Outcome
Answer = CheckAnswer.Answer
# The check itself clears these, and who must have signed is asked of those who are here.
_ASKED_ELSEWHERE = {CHECK_MISSING, CHECK_NO_GO, SIGN_ON_MISSING}
_NOTE_LONGEST = 240  # letters
_MOST_WIND_MS = 80.0
_COLDEST_C, _HOTTEST_C = -30.0, 60.0


@dataclass(frozen=True, slots=True)
class Weather:
    """What the site lead read or felt; None where nothing was read."""

    wind_gust_ms: float | None = None
    raining: bool = False
    temperature_c: float | None = None
    humidity_pct: float | None = None
    uv_index: float | None = None
    wbgt_degc: float | None = None
    new_to_heat: bool = False

    @property
    def heat(self) -> HeatDay:
        """What was read of the heat."""
        return HeatDay(
            self.temperature_c, self.humidity_pct, self.wbgt_degc, self.new_to_heat
        )


@dataclass(frozen=True, slots=True)
class Answered:
    """The answer to one question, with a note."""

    answer: str
    note: str = ""


@transaction.atomic
def make_check(
    *,
    job: Job,
    outcome: DailyCheck.Outcome,
    answers: Mapping[str, Answered],
    weather: Weather,
    note: str,
    here: Sequence[Person],
    tasks: Sequence[Task] | None = None,
    photo: "UploadedFile[bytes] | None" = None,
    actor: Person,
    at: datetime,
    device_at: datetime | None,
    client_uid: UUID,
) -> DailyCheck:
    """Record today's check and, when work goes ahead, who starts.

    ``answers`` are by question key; ``tasks`` is what is worked on, by default what the
    day has room for. "Go" is refused while a hold stops all work, while somebody here has
    not signed on, in more wind or heat than a task bears, or with a question unanswered
    or answered "no". A "no go" is a hold from this moment on. Sent twice it is recorded
    once; another check under the same id is refused, not dropped.
    """
    require_lead(actor, job)
    # The lock makes the same check sent twice at once wait for itself.
    job = Job.objects.select_for_update(of=("self",)).get(pk=job.pk)
    before = DailyCheck.objects.filter(client_uid=client_uid).first()
    if before is not None:
        return _same(before, _said(job, outcome, weather, note), answers, here)
    firm, moment = the_firm(), happened_at(device_at, at)
    issued = issued_at([job], moment).get(job.pk)
    if tasks is None:
        tasks = days_work(job, local_day(moment, firm), moment).today
    asked = questions_about(issued, tasks)
    _refuse_nonsense(job, outcome, weather, note)
    open_holds = _open_holds(job, issued, here, moment)
    if outcome != Outcome.NO_GO:
        _refuse_to_go(
            [f"{hold.says} First: {hold.clear_by_doing}" for hold in open_holds],
            _unanswered(asked, answers),
            _said_no(outcome, asked, answers),
            _too_windy(outcome, tasks, weather),
            _too_hot(outcome, job, tasks, weather.heat, moment),
        )
    check = DailyCheck.objects.create(
        client_uid=client_uid,
        job=job,
        day=local_day(moment, firm),
        statement=issued,
        outcome=outcome,
        note=note.strip(),
        wind_gust_ms=weather.wind_gust_ms,
        raining=weather.raining,
        temperature_c=weather.temperature_c,
        humidity_pct=weather.humidity_pct,
        uv_index=weather.uv_index,
        wbgt_degc=weather.wbgt_degc,
        new_to_heat=weather.new_to_heat,
        photo=_photo(photo, job, actor, at),
        open_holds=[hold.rule for hold in open_holds],
        checked_by=actor,
        device_at=moment,
        at=at,
    )
    _keep_answers(check, asked, answers)
    _log(check, answers, tasks, actor, at)
    if outcome != Outcome.NO_GO:
        add_people(job, here, actor, at, moment, client_uid, firm)
        judge_soon(job, moment, at, firm)
    return check


def _said(
    job: Job, outcome: DailyCheck.Outcome, weather: Weather, note: str
) -> tuple[Any, ...]:
    return (job.pk, outcome, note.strip(), *astuple(weather))


def _same(
    row: DailyCheck,
    said: tuple[Any, ...],
    answers: Mapping[str, Answered],
    here: Sequence[Person],
) -> DailyCheck:
    weather = Weather(
        row.wind_gust_ms,
        row.raining,
        row.temperature_c,
        row.humidity_pct,
        row.uv_index,
        row.wbgt_degc,
        row.new_to_heat,
    )
    kept = {one.key: (one.answer, one.note) for one in row.answers.all()}
    given = {
        key: (one.answer, one.note[:_NOTE_LONGEST]) for key, one in answers.items()
    }
    before = _said(row.job, Outcome(row.outcome), weather, row.note)
    answered = {key: given[key] for key in kept if key in given}
    if (before, kept) != (said, answered) or _others(row, here):
        raise SentBefore(f"{row.get_outcome_display()}, by {row.checked_by.name}")
    return row


def _others(row: DailyCheck, here: Sequence[Person]) -> bool:
    """Whether somebody is said to be here now whom the check did not start."""
    started = Attendance.objects.filter(job=row.job, day=row.day, person__in=here)
    known = started.values("person").distinct().count()
    return row.outcome != Outcome.NO_GO and known < len(here)


def _open_holds(
    job: Job, issued: Statement | None, here: Sequence[Person], moment: datetime
) -> list[Hold]:
    """What stops all work for the people who are here."""
    stopping = [
        hold
        for hold in holds([job], moment)[job.pk]
        if hold.stops_work() and hold.rule not in _ASKED_ELSEWHERE
    ]
    if issued is not None:
        signed = signed_at([issued], moment)[issued.pk]
        missing = [person.name for person in here if person.pk not in signed]
        if missing:
            stopping.append(unsigned_hold(issued, missing, local_day(moment)))
    return stopping


def _refuse_nonsense(
    job: Job, outcome: DailyCheck.Outcome, weather: Weather, note: str
) -> None:
    reasons = []
    if not job.is_open:
        reasons.append("This job is closed. Open it again first.")
    if outcome == Outcome.NO_GO and not note.strip():
        reasons.append("Say why it is no go, so that the office can help.")
    if outcome == Outcome.GO_WITH_CHANGES and not note.strip():
        reasons.append("Say what is done differently today.")
    gust, degrees = weather.wind_gust_ms, weather.temperature_c
    if gust is not None and not 0 <= gust <= _MOST_WIND_MS:
        reasons.append(f"A gust of {gust:g} m/s cannot be right. Type it again.")
    if degrees is not None and not _COLDEST_C <= degrees <= _HOTTEST_C:
        reasons.append(f"{degrees:g} °C cannot be right. Type it again.")
    reasons += _sky_nonsense(weather)
    if reasons:
        raise Refused(reasons)


def _sky_nonsense(weather: Weather) -> list[str]:
    damp, sun, wbgt = weather.humidity_pct, weather.uv_index, weather.wbgt_degc
    reasons = []
    if damp is not None and not 0 <= damp <= 100:
        reasons.append(f"{damp:g} % of humidity cannot be right. Type it again.")
    if sun is not None and not 0 <= sun <= HIGHEST_INDEX:
        reasons.append(f"A UV index of {sun:g} cannot be right. Type it again.")
    if wbgt is not None and not 0 <= wbgt <= HIGHEST_WBGT_DEGC:
        reasons.append(f"A WBGT of {wbgt:g} °C cannot be right. Type it again.")
    return reasons


def _refuse_to_go(*reasons: list[str]) -> None:
    if any(reasons):
        raise Refused([reason for some in reasons for reason in some])


def _unanswered(
    asked: Sequence[Question], answers: Mapping[str, Answered]
) -> list[str]:
    left = [question for question in asked if question.key not in answers]
    if not left:
        return []
    many = "1 question is" if len(left) == 1 else f"{len(left)} questions are"
    return [f"{many} not answered, the first is: {left[0].text}"]


def _said_no(
    outcome: DailyCheck.Outcome,
    asked: Sequence[Question],
    answers: Mapping[str, Answered],
) -> list[str]:
    denied = [
        question
        for question in asked
        if question.key in answers and answers[question.key].answer == Answer.NO
    ]
    if outcome == Outcome.GO:
        return [
            f"You said no to: {question.text} Put it right, or choose “go with "
            "changes” and say what is done instead."
            for question in denied
        ]
    return [
        f"Say what is done instead of: {question.text}"
        for question in denied
        if not answers[question.key].note.strip()
    ]


def _too_windy(
    outcome: DailyCheck.Outcome, tasks: Sequence[Task], weather: Weather
) -> list[str]:
    gust = weather.wind_gust_ms or 0.0
    over = [(name, limit) for name, limit in wind_limits(tasks) if gust > limit]
    if outcome != Outcome.GO or not over:
        return []
    names = some_quoted([name for name, _ in over])
    return [
        f"Gusts of {wind_words(gust)} are above the firm's limit of "
        f"{wind_words(over[0][1])} for {names}. Leave that out today, or choose “go "
        "with changes” and say what waits."
    ]


def _too_hot(
    outcome: DailyCheck.Outcome,
    job: Job,
    tasks: Sequence[Task],
    day: HeatDay,
    moment: datetime,
) -> list[str]:
    limit = limit_at(moment, the_firm())
    missing = not_known(limit, day)
    if missing or not limit.is_set or outcome != Outcome.GO:
        return missing
    loads = task_loads_at([job], moment).get(job.pk, {})
    over = [
        task.name
        for task in tasks
        if too_hot(limit, day, loads.get(task.key, UNKNOWN_LOAD))
    ]
    if not over:
        return []
    return [
        f"{read_words(limit, day)} is above the firm's heat limit for "
        f"{some_quoted(over)}: work stops when {limit.says}. Leave that out today, or "
        "choose “go with changes” and say what waits."
    ]


def _photo(
    photo: "UploadedFile[bytes] | None", job: Job, actor: Person, at: datetime
) -> Document | None:
    if photo is None:
        return None
    title = "Photo of the daily check"
    return take_in(upload=photo, title=title, job=job, actor=actor, at=at)


def _keep_answers(
    check: DailyCheck, asked: Sequence[Question], answers: Mapping[str, Answered]
) -> None:
    CheckAnswer.objects.bulk_create(
        CheckAnswer(
            check_of=check,
            position=position,
            key=question.key,
            asks=question.text[:300],
            answer=answers[question.key].answer,
            note=answers[question.key].note[:_NOTE_LONGEST],
        )
        for position, question in enumerate(asked, start=1)
        if question.key in answers
    )


def _log(
    check: DailyCheck,
    answers: Mapping[str, Answered],
    tasks: Sequence[Task],
    actor: Person,
    at: datetime,
) -> None:
    payload = {
        "day": check.day.isoformat(),
        "outcome": str(check.outcome),
        "note": check.note,
        "statement": check.statement.number if check.statement else None,
        "tasks": [task.key for task in tasks],
        "wind_gust_ms": check.wind_gust_ms,
        "heat": check.heat.as_json(),
        "said_no": sorted(key for key, a in answers.items() if a.answer == Answer.NO),
        "open_holds": check.open_holds,
        "device_at": check.device_at.isoformat(),
    }
    ledger.append(
        chain=check.job,
        actor=actor,
        at=at,
        verb=Verb.CHECKED,
        subject=check,
        payload=payload,
    )
