"""The daily hazard check of a job, and what came of it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.core.files.uploadedfile import UploadedFile
from django.db import transaction

from jobs import ledger
from jobs.domain.holds import Hold
from jobs.domain.refusals import Refused
from jobs.hold_registry import holds
from jobs.models import Document, Job, Person, Task
from jobs.queries.firm import local_day, the_firm
from jobs.services.uploads import take_in
from safety.domain.daily import Question
from safety.domain.obligations import CHECK_MISSING, CHECK_NO_GO, SIGN_ON_MISSING
from safety.domain.verbs import Verb
from safety.holds import unsigned_hold
from safety.models import CheckAnswer, DailyCheck, Statement
from safety.permissions import require_lead
from safety.queries.site_day import days_work, questions_about
from safety.queries.statements import issued_at, signed_at
from safety.services.judging import judge_soon
from safety.services.times import happened_at
from safety.services.work import add_people

Outcome = DailyCheck.Outcome
Answer = CheckAnswer.Answer
# The check itself clears these, and who must have signed is asked of those who are here.
_ASKED_ELSEWHERE = {CHECK_MISSING, CHECK_NO_GO, SIGN_ON_MISSING}
_MOST_WIND_MS = 80.0
_COLDEST_C, _HOTTEST_C = -30.0, 60.0


@dataclass(frozen=True, slots=True)
class Weather:
    """What the site lead read or felt; None where nothing was read."""

    wind_gust_ms: float | None = None
    raining: bool = False
    temperature_c: float | None = None


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
    day has room for. "Go" is refused while a hold stops all work, while
    somebody here has not signed on, or with a question unanswered or answered "no". A
    "no go" is a hold from this moment on. Sent twice it is recorded once.
    """
    require_lead(actor, job)
    before = DailyCheck.objects.filter(client_uid=client_uid).first()
    if before is not None:
        return before
    firm, moment = the_firm(), happened_at(device_at, at)
    job = Job.objects.select_for_update(of=("self",)).get(pk=job.pk)
    issued = issued_at([job], moment).get(job.pk)
    if tasks is None:
        tasks = days_work(job, local_day(moment, firm), moment).today
    asked = questions_about(issued, tasks)
    _refuse_nonsense(job, outcome, weather, note)
    open_holds = _open_holds(job, issued, here, moment)
    if outcome != Outcome.NO_GO:
        _refuse_to_go(outcome, asked, answers, open_holds)
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
    if reasons:
        raise Refused(reasons)


def _refuse_to_go(
    outcome: DailyCheck.Outcome,
    asked: Sequence[Question],
    answers: Mapping[str, Answered],
    open_holds: Sequence[Hold],
) -> None:
    reasons = [f"{hold.says} First: {hold.clear_by_doing}" for hold in open_holds]
    unanswered = [q for q in asked if q.key not in answers]
    if unanswered:
        reasons.append(
            f"{len(unanswered)} questions are not answered, the first is: "
            f"{unanswered[0].text}"
        )
    for question in asked:
        given = answers.get(question.key)
        if given is None or given.answer != Answer.NO:
            continue
        if outcome == Outcome.GO:
            reasons.append(
                f"You said no to: {question.text} Put it right, or choose “go with "
                "changes” and say what is done instead."
            )
        elif not given.note.strip():
            reasons.append(f"Say what is done instead of: {question.text}")
    if reasons:
        raise Refused(reasons)


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
            note=answers[question.key].note[:240],
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
