"""What views share: the typed request, form pages, and refusals shown in forms."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django import forms
from django.contrib import messages
from django.core.exceptions import NON_FIELD_ERRORS, ValidationError
from django.core.paginator import Page, Paginator
from django.db.models import Model
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render, resolve_url
from django_htmx.http import HttpResponseClientRedirect, HttpResponseClientRefresh
from django_htmx.middleware import HtmxDetails

from jobs.domain.refusals import Refused, SentBefore, Stale
from jobs.forms.phone import PhoneForm
from jobs.models import Firm, Person
from jobs.queries.ledger import last_change

PAGE_SIZE = 25

Crumbs = list[tuple[str, str]]


class PersonRequest(HttpRequest):
    """A request of somebody who has logged in."""

    user: Person
    firm: Firm
    htmx: HtmxDetails


@dataclass(frozen=True, slots=True)
class StaleNotice:
    """What a person reads whose form was overtaken by somebody else's."""

    who: str
    when: datetime | None
    changes: tuple[str, ...]


def form_page(
    request: HttpRequest,
    form: forms.BaseForm,
    *,
    heading: str,
    crumbs: Crumbs | None = None,
    template: str = "jobs/form.html",
    **context: Any,
) -> HttpResponse:
    """A page with one form; status 422 when what was typed could not be taken."""
    stale = getattr(form, "stale", None)
    refused = form.is_bound and (bool(form.errors) or stale is not None)
    shown = {"form": form, "heading": heading, "crumbs": crumbs, "stale": stale}
    return render(
        request, template, {**shown, **context}, status=422 if refused else 200
    )


def confirm_page(
    request: HttpRequest, *, says: str, button: str, back: str, **context: Any
) -> HttpResponse:
    """A page that asks once more; ``reasons`` in the context answer 422."""
    shown = {"says": says, "button": button, "back": back, **context}
    status = 422 if context.get("reasons") else 200
    return render(request, "jobs/confirm.html", shown, status=status)


@contextmanager
def refusals_in(form: forms.BaseForm, row: Model | None = None) -> Iterator[None]:
    """Show what a service refuses in the form; ``row`` is what the form edits.

    After a stale edit the form carries the record's present version, so that saving
    again puts what was typed over it, knowingly.
    """
    try:
        yield
    except SentBefore as error:
        form.add_error(None, list(error.reasons))
        if isinstance(form, PhoneForm):
            form.renew()
    except Stale as error:
        if row is None:
            form.add_error(None, list(error.reasons))
        else:
            _mark_stale(form, row)
    except Refused as error:
        form.add_error(None, list(error.reasons))
    except ValidationError as error:
        _add_errors(form, error)


@contextmanager
def refusals_as_messages(request: HttpRequest) -> Iterator[None]:
    """Say what a service refuses at the top of the page that follows a button."""
    try:
        yield
    except Refused as error:
        for reason in error.reasons:
            messages.error(request, reason)


def _add_errors(form: forms.BaseForm, error: ValidationError) -> None:
    if not hasattr(error, "error_dict"):
        form.add_error(None, error)
        return
    for name, errors in error.error_dict.items():
        known = name != NON_FIELD_ERRORS and name in form.fields
        form.add_error(name if known else None, errors)


def _mark_stale(form: forms.BaseForm, row: Model) -> None:
    fresh = type(row)._default_manager.get(pk=row.pk)
    data: Any = form.data.copy()  # type: ignore[attr-defined]
    data[form.add_prefix("version")] = str(getattr(fresh, "version", ""))
    form.data = data
    last = last_change(fresh)
    form.stale = StaleNotice(  # type: ignore[attr-defined]
        who=last.actor_name if last else "Someone",
        when=last.at if last else None,
        changes=tuple(_differences(form, fresh)),
    )


def _differences(form: forms.BaseForm, fresh: Model) -> Iterator[str]:
    for name, typed in form.cleaned_data.items():
        if name == "version" or not hasattr(fresh, name):
            continue
        now = getattr(fresh, name)
        if now != typed:
            shown = getattr(fresh, f"get_{name}_display", lambda now=now: now)()
            label = form[name].label
            yield f"{label}: it is now “{_in_words(shown)}”"


def _in_words(value: Any) -> str:
    if value is None or value == "":
        return "not set"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, frozenset):
        return ", ".join(sorted(map(str, value))) or "none"
    return str(value)


def gone_to(request: PersonRequest, to: str, *args: Any) -> HttpResponse:
    """On to ``to``; a form that waited in its page for an answer goes there by itself."""
    url = resolve_url(to, *args)
    return HttpResponseClientRedirect(url) if request.htmx else redirect(url)


def shown_anew(request: PersonRequest, to: str) -> HttpResponse:
    """The page of a button once more; one that waited stays where it was scrolled to.

    A browser that waited in ``to`` would only scroll to a part of it, not load it.
    """
    return HttpResponseClientRefresh() if request.htmx else redirect(to)


def counted(number: int, noun: str) -> str:
    """ "1 line", "3 lines"."""
    return f"{number} {noun}{'' if number == 1 else 's'}"


def page_of(request: HttpRequest, rows: Any, size: int = PAGE_SIZE) -> Page[Any]:
    """The page of a list that ``?page=`` asks for; nonsense gives the first or last."""
    return Paginator(rows, size).get_page(request.GET.get("page"))
