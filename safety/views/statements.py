"""Versions of a statement: review, issue, compare, print."""

from collections.abc import Sequence

from django.contrib import messages
from django.http import FileResponse, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import (
    require_http_methods,
    require_POST,
    require_safe,
)

from jobs.domain.roles import Can
from jobs.models import Person
from jobs.permissions import get_job
from jobs.queries.firm import local_day
from jobs.views.jobs import job_crumbs
from jobs.views.pages import Crumbs, PersonRequest, form_page, refusals_in
from safety.domain.statement import Content
from safety.domain.statement_diff import Difference, Kind, differences
from safety.forms.statements import DropForm, IssueForm, ReviewForm
from safety.models import Statement
from safety.permissions import get_statement, leads
from safety.queries.blockers import blockers
from safety.queries.keeping import kept_until
from safety.queries.papers import paper_of
from safety.queries.plans import draft
from safety.queries.staleness import out_of_date
from safety.queries.statements import (
    consultations_of,
    issued_at,
    sign_ons_of,
    version_before,
    versions,
)
from safety.services.papers import ask_for_paper
from safety.services.statements import (
    drop_statement,
    issue_statement,
    review_statement,
)


def statement_crumbs(statement: Statement, last: str = "") -> Crumbs:
    """Where a page of a version is."""
    here = f"Statement version {statement.number}"
    trail = job_crumbs(statement.job, here)
    if not last:
        return trail
    url = reverse("safety:statement_detail", args=[statement.pk])
    return [*trail[:-1], (here, url), (last, "")]


@require_safe
def statement_list(request: PersonRequest, pk: int) -> HttpResponse:
    """All versions of a job, the newest first."""
    job = get_job(request.user, pk)
    rows = versions(job)
    if not request.user.can(Can.SEE_ALL_JOBS):
        rows = [row for row in rows if row.issued_at is not None]
    shown = {"job": job, "versions": rows, "crumbs": job_crumbs(job, "Statements")}
    return render(request, "safety/statement_list.html", shown)


@require_safe
def statement_detail(request: PersonRequest, pk: int) -> HttpResponse:
    """One version as it was frozen, with who signed on to it."""
    statement, at = get_statement(request.user, pk), timezone.now()
    in_force = statement.state == Statement.State.ISSUED
    stale = out_of_date({statement.job_id: statement}, at, request.firm)
    signed, asked = sign_ons_of(statement), consultations_of(statement)
    shown = {
        "statement": statement,
        "job": statement.job,
        "content": statement.content,
        "signed": signed,
        "consultations": asked,
        "may_consult": _may_consult(request.user, statement),
        "have_i_signed": any(row.person_id == request.user.pk for row in signed),
        "in_force": in_force,
        "changed": stale.get(statement.job_id) if in_force else None,
        "keeps": kept_until(statement.job, statement, local_day(at, request.firm)),
        "paper": paper_of(statement, signed, asked),
        "crumbs": statement_crumbs(statement),
    }
    return render(request, "safety/statement_detail.html", shown)


def _may_consult(person: Person, statement: Statement) -> bool:
    if statement.state not in {Statement.State.REVIEWED, Statement.State.ISSUED}:
        return False
    runs = person.can(Can.RUN_SITE_DAY) and leads(person, statement.job)
    return person.can(Can.EDIT_PLAN) or runs


@require_http_methods(["GET", "POST"])
def statement_review(request: PersonRequest, pk: int) -> HttpResponse:
    """Freeze the plan as a reviewed version."""
    job, at = get_job(request.user, pk, to=Can.EDIT_PLAN), timezone.now()
    found = draft(job, at, request.firm)
    initial = {"seen": found.digest if found else ""}
    form = ReviewForm(request.POST or None, initial=initial)
    if form.is_valid():
        with refusals_in(form):
            statement = review_statement(
                job=job,
                seen_digest=form.cleaned_data["seen"],
                note=form.cleaned_data["note"],
                actor=request.user,
                at=at,
            )
            says = f"Version {statement.number} is reviewed. Next: issue it."
            messages.success(request, says)
            return redirect("safety:statement_detail", statement.pk)
    return form_page(
        request,
        form,
        template="safety/statement_review.html",
        heading="Review the hazard plan",
        job=job,
        draft=found,
        blockers=blockers(job, found),
        issued=issued_at([job], at).get(job.pk),
        crumbs=job_crumbs(job, "Review"),
    )


@require_http_methods(["GET", "POST"])
def statement_issue(request: PersonRequest, pk: int) -> HttpResponse:
    """Put a reviewed version in force."""
    statement = get_statement(request.user, pk, to=Can.ISSUE_STATEMENT)
    form = IssueForm(request.POST or None)
    if form.is_valid():
        with refusals_in(form):
            issue_statement(statement=statement, actor=request.user, at=timezone.now())
            says = f"Version {statement.number} is issued. Next: everybody signs on."
            messages.success(request, says)
            return redirect("safety:statement_detail", pk)
    before = version_before(statement)
    return form_page(
        request,
        form,
        template="safety/statement_issue.html",
        heading=f"Issue version {statement.number}",
        statement=statement,
        job=statement.job,
        before=before,
        **_by_weight(differences(before.content, statement.content) if before else ()),
        crumbs=statement_crumbs(statement, "Issue"),
    )


@require_http_methods(["GET", "POST"])
def statement_drop(request: PersonRequest, pk: int) -> HttpResponse:
    """Give up a reviewed version."""
    statement = get_statement(request.user, pk, to=Can.EDIT_PLAN)
    form = DropForm(request.POST or None)
    if form.is_valid():
        with refusals_in(form):
            drop_statement(
                statement=statement,
                reason=form.cleaned_data["reason"],
                actor=request.user,
                at=timezone.now(),
            )
            messages.success(request, f"Version {statement.number} is dropped.")
            return redirect("safety:plan_detail", statement.job_id)
    heading = f"Drop version {statement.number}"
    crumbs = statement_crumbs(statement, "Drop")
    return form_page(request, form, heading=heading, crumbs=crumbs)


@require_safe
def statement_changes(request: PersonRequest, pk: int) -> HttpResponse:
    """What changed: since the version before, or (``?to=plan``) up to the plan as it is."""
    statement = get_statement(request.user, pk)
    old, new, words = _pair(request, statement)
    found = differences(old, new) if old and new else ()
    shown = {
        "statement": statement,
        "job": statement.job,
        "words": words,
        **_by_weight(found),
        "nothing_before": old is None,
        "crumbs": statement_crumbs(statement, "What changed"),
    }
    return render(request, "safety/statement_changes.html", shown)


def _by_weight(found: Sequence[Difference]) -> dict[str, list[Difference]]:
    """What came, went or is rated anew; figures and words; and what nobody signs for."""
    signed = [one for one in found if one.signs_again]
    weighty = [
        one
        for one in signed
        if one.kind is not Kind.CHANGED or one.says.startswith("rating")
    ]
    return {
        "weighty": weighty,
        "worded": [one for one in signed if one not in weighty],
        "aside": [one for one in found if not one.signs_again],
    }


def _pair(
    request: PersonRequest, statement: Statement
) -> tuple[Content | None, Content | None, str]:
    """The two contents to compare, and which they are in words."""
    if request.GET.get("to") == "plan":
        found = draft(statement.job, timezone.now(), request.firm)
        words = f"From version {statement.number} to the plan as it is now"
        return statement.content, found.content if found else None, words
    before = version_before(statement)
    number = before.number if before else 0
    words = f"From version {number} to version {statement.number}"
    return before.content if before else None, statement.content, words


@require_POST
def statement_pdf_make(request: PersonRequest, pk: int) -> HttpResponse:
    """Make the PDF in the background; the page of the work shows how far it is."""
    statement = get_statement(request.user, pk)
    run = ask_for_paper(statement=statement, actor=request.user, at=timezone.now())
    return redirect("jobs:run_detail", run.pk)


@require_safe
def statement_pdf(request: PersonRequest, pk: int) -> HttpResponse | FileResponse:
    """The PDF; the version's own page when it is not made yet."""
    statement = get_statement(request.user, pk)
    paper = paper_of(statement, sign_ons_of(statement), consultations_of(statement))
    if paper is None:
        messages.info(request, "The PDF is not made yet. Ask for it here.")
        return redirect("safety:statement_detail", pk)
    name = f"job-{statement.job.number}-statement-{statement.number}.pdf"
    return FileResponse(paper.file.open("rb"), filename=name)
