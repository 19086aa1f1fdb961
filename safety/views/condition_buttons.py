"""The buttons of a form with conditions: a row more, a row less, the words read back.

A button sends the whole form and gets it again as it was typed, with its work done and
nothing judged yet. Where a script sent it, only the part it changed comes back.
"""

from dataclasses import dataclass
from typing import Any

from django import forms
from django.http import HttpResponse, QueryDict
from django.template.loader import render_to_string
from django.utils import timezone

from jobs.views.pages import PersonRequest
from safety.domain.library import Scope
from safety.domain.library_words import Clause, clause
from safety.forms.condition_data import Button, after, typed_from
from safety.forms.condition_page import editor, words
from safety.forms.condition_reading import Unread, turns
from safety.forms.library import HazardForm
from safety.queries.condition_choices import asked_of
from safety.queries.library import names
from safety.queries.reach import Reach, reach

_MAIN = "when"  # the condition of the hazard itself
_CHECK = "check"  # the button that only reads back


@dataclass(frozen=True, slots=True)
class Reading:
    """What a hazard's condition says and where it holds now; neither while it is none.

    Where it holds takes a moment with many jobs, so it is asked for by itself.
    """

    says: Clause | None = None
    reach: Reach | None = None
    whole_job: bool = False


@dataclass(frozen=True, slots=True)
class Sent:
    """What was sent, a button's work done; ``button`` is None for a form to be saved."""

    data: QueryDict | None
    button: Button | None

    def initial(self, form: forms.BaseForm) -> dict[str, Any]:
        """What was typed into a form, to show it again without judging it."""
        return {field.name: field.value() for field in form}


def sent(request: PersonRequest, scope: Scope) -> Sent:
    """What a request sends; no data for a page that is only opened."""
    data = request.POST if request.method == "POST" and request.POST else None
    button = Button.pressed(data) if data is not None else None
    if data is None or button is None:
        return Sent(data, None)
    return Sent(after(data, button, asked_of(scope), turns(scope)), button)


def reading(
    request: PersonRequest, form: HazardForm, button: Button | None = None
) -> Reading:
    """What the condition of a hazard form says now. Seven queries at most."""
    try:
        condition = form.condition_now()
    except Unread:
        condition = None
    if condition is None:
        return Reading()
    found = None
    if button is not None and button.does == _CHECK:
        found = reach(condition, form.sees, timezone.now(), request.firm)
    return Reading(clause(condition, names()), found, form.sees is Scope.JOB)


def part(
    request: PersonRequest, now: Sent, scope: Scope, *shown: forms.BaseForm
) -> HttpResponse | None:
    """The part of the page that a button changed; None where the whole page goes back."""
    button = now.button
    if button is None or now.data is None or not request.htmx:
        return None
    hazard = next((form for form in shown if isinstance(form, HazardForm)), None)
    if button.name == _MAIN and hazard is not None:
        return _main_part(request, button, hazard)
    html = "".join(
        str(field)
        for form in shown
        for field in form
        if field.html_name == button.name and button.does != _CHECK
    )
    return HttpResponse(html or _inside(now.data, button, scope))


def _main_part(
    request: PersonRequest, button: Button, form: HazardForm
) -> HttpResponse:
    """The rows of the hazard's own condition, and what they come to with its steps."""
    context = {
        "reading": reading(request, form, button),
        "beside": button.does != _CHECK,
    }
    said = render_to_string("safety/conditions/_reading.html", context)
    rows = str(form[_MAIN]) if button.does != _CHECK else ""
    return HttpResponse(rows + said)


def _inside(data: QueryDict, button: Button, scope: Scope) -> str:
    """A condition inside a list of sentences, or what any condition says in words."""
    typed = typed_from(data, button.name, asked_of(scope))
    if button.does != _CHECK:
        return editor(button.name, typed, scope, unread=None, told=True)
    context = {"name": button.name, "says": words(typed, scope)}
    return render_to_string("safety/conditions/_says.html", context)
