"""The hazard library as a file that goes out and comes in, and updates to it."""

from django.contrib import messages
from django.core import signing
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from jobs.domain.refusals import Refused
from jobs.domain.roles import Can
from jobs.permissions import require
from jobs.queries.firm import local_day
from jobs.views.pages import PersonRequest, form_page, refusals_in
from safety.domain.library_bundle import bundled
from safety.forms.library_files import LibraryUploadForm, UpdateForm
from safety.queries.library import (
    FirmLibrary,
    Update,
    firm_library,
    told,
    waiting_update,
)
from safety.queries.library_intake import Intake, look_at
from safety.services.library import bring_in, take_update
from safety.views.library import library_crumbs

GOOD_FOR_S = 60 * 60  # how long a look at a file may take before it is confirmed


@require_safe
def library_export(request: PersonRequest) -> HttpResponse:
    """The whole library as one text file."""
    require(request.user, Can.EDIT_LIBRARY)
    day = local_day(timezone.now(), request.firm)
    head = (
        f"Hazard library of {' '.join(request.firm.name.split())}, {day.isoformat()}."
    )
    text = bundled(firm_library().texts, head)
    response = HttpResponse(text, content_type="application/yaml; charset=utf-8")
    name = f"hazard-library-{day.isoformat()}.yaml"
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response


@require_http_methods(["GET", "POST"])
def library_import(request: PersonRequest) -> HttpResponse:
    """Bring a library in: look first, then all of it or nothing."""
    require(request.user, Can.EDIT_LIBRARY)
    library = firm_library()
    if "signed" in request.POST:
        return _confirmed(request, library)
    form = LibraryUploadForm(request.POST or None, request.FILES or None)
    if not form.is_valid():
        return _upload_page(request, form, ())
    name, text = form.cleaned_data["file"]
    intake = look_at(text, name, library)
    if intake.faults:
        return _upload_page(request, LibraryUploadForm(), intake.faults)
    return _preview(request, library, intake, (name, text))


def _salt(request: PersonRequest) -> str:
    return f"library.import.{request.user.pk}"


def _preview(
    request: PersonRequest, library: FirmLibrary, intake: Intake, file: tuple[str, str]
) -> HttpResponse:
    found = intake.changes(library)
    sides = intake.hazards, library.hazards
    plain = [*file, library.digest]
    shown = {
        "added": told([one for one in found if one.before is None], *sides),
        "changed": told([o for o in found if None not in (o.before, o.after)], *sides),
        "removed": told([one for one in found if one.after is None], *sides),
        "signed": signing.dumps(plain, salt=_salt(request), compress=True),
        "crumbs": library_crumbs(("Bring a library in", "")),
    }
    return render(request, "safety/library_preview.html", shown)


def _confirmed(request: PersonRequest, library: FirmLibrary) -> HttpResponse:
    """Take the file that was looked at; it is read again, as things may differ."""
    form = LibraryUploadForm()
    try:
        name, text, seen = signing.loads(
            request.POST["signed"], salt=_salt(request), max_age=GOOD_FOR_S
        )
        intake = look_at(text, name, library)
        bring_in(intake=intake, seen=seen, actor=request.user, at=timezone.now())
    except signing.BadSignature:
        reasons: tuple[str, ...] = ("That took too long. Choose the file again.",)
        return _upload_page(request, form, (), reasons)
    except Refused as error:
        return _upload_page(request, form, (), error.reasons)
    messages.success(request, "The library is in. Plans follow it from now on.")
    return redirect("safety:hazard_list")


def _upload_page(
    request: PersonRequest,
    form: LibraryUploadForm,
    faults: tuple[object, ...],
    reasons: tuple[str, ...] = (),
) -> HttpResponse:
    shown = {
        "form": form,
        "faults": faults,
        "reasons": reasons,
        "crumbs": library_crumbs(("Bring a library in", "")),
    }
    refused = faults or reasons or form.errors
    status = 422 if refused else 200
    return render(request, "safety/library_import.html", shown, status=status)


@require_http_methods(["GET", "POST"])
def library_update(request: PersonRequest) -> HttpResponse:
    """Bring the newer shipped library together with the firm's edits."""
    require(request.user, Can.EDIT_LIBRARY)
    library = firm_library()
    update = waiting_update(library)
    if update is None:
        shown = {"crumbs": library_crumbs(("Update", ""))}
        return render(request, "safety/library_no_update.html", shown)
    return _update_page(request, update)


def _update_page(request: PersonRequest, update: Update) -> HttpResponse:
    merged = update.merged()
    spots = {one.spot.name: one.spot for one in merged.open}
    form = UpdateForm(
        request.POST or None, choices=spots, initial={"seen": update.digest}
    )
    if form.is_valid():
        decided = {spots[name]: side for name, side in form.decided().items()}
        with refusals_in(form):
            take_update(
                decided=decided,
                seen=form.cleaned_data["seen"],
                actor=request.user,
                at=timezone.now(),
            )
            messages.success(request, "The update is in, and your own edits with it.")
            return redirect("safety:hazard_list")
    sides = merged.library, update.library.hazards
    choices = update.choices(merged.open)
    return form_page(
        request,
        form,
        heading="An update of the library",
        crumbs=library_crumbs(("Update", "")),
        template="safety/library_update.html",
        choices=[(one, form[one.name]) for one in choices],
        taken=told(merged.taken, *sides),
        kept=told(
            [one for one in merged.kept if one.spot.name not in spots],
            *sides,
            update.hazards,
        ),
    )
