"""Files that people hand in, and how they are handed out again."""

from pathlib import PurePath

from django.contrib import messages
from django.http import FileResponse, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_http_methods, require_safe

from jobs.domain.roles import Can
from jobs.forms.documents import DocumentForm
from jobs.models import Document
from jobs.permissions import get_document, get_job, require_any
from jobs.services.uploads import add_document
from jobs.views.jobs import job_crumbs
from jobs.views.pages import PersonRequest, form_page, refusals_in

# Shown in the browser; everything else is only saved.
SHOWN = {"application/pdf", "image/jpeg", "image/png", "image/webp"}


@require_safe
def document_file(request: PersonRequest, pk: int) -> HttpResponseBase:
    """The file itself, for those who may see it."""
    document = get_document(request.user, pk)
    return sent(document)


def sent(document: Document) -> FileResponse:
    """A file as an answer that no browser will run, whatever is in it."""
    name = f"{slugify(document.title) or 'document'}{PurePath(str(document.file.name)).suffix}"
    response = FileResponse(
        document.file.open("rb"),
        as_attachment=document.media_type not in SHOWN,
        filename=name,
        content_type=document.media_type,
    )
    response["X-Content-Type-Options"] = "nosniff"
    response["Content-Security-Policy"] = policy_for(document.media_type)
    response["Cache-Control"] = "private, max-age=600"
    return response


def policy_for(media_type: str) -> str:
    """Nothing may load or run.

    A browser's own PDF viewer does not start in a sandbox, and counts as an object.
    """
    nothing = "default-src 'none'; frame-ancestors 'none'"
    if media_type == "application/pdf":
        return f"{nothing}; object-src 'self'; style-src 'unsafe-inline'"
    return f"{nothing}; sandbox"


@require_http_methods(["GET", "POST"])
def document_add(request: PersonRequest, pk: int) -> HttpResponse:
    """Add a document to a job."""
    job = get_job(request.user, pk)
    require_any(request.user, Can.EDIT_JOBS, Can.RUN_SITE_DAY)
    form = DocumentForm(request.POST or None, request.FILES or None)
    if form.is_valid():
        with refusals_in(form):
            document = add_document(
                job=job,
                upload=form.cleaned_data["file"],
                title=form.cleaned_data["title"],
                actor=request.user,
                at=timezone.now(),
            )
            messages.success(request, f"“{document.title}” is kept.")
            return redirect("jobs:job_detail", pk)
    return form_page(
        request,
        form,
        heading="Add a document",
        crumbs=job_crumbs(job, "Add a document"),
    )
