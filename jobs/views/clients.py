"""Clients and their sites."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from jobs.domain.roles import Can
from jobs.forms.clients import ClientFilter, ClientForm, SiteForm
from jobs.models import Client, Job, Site
from jobs.permissions import (
    get_client,
    get_site,
    require,
    visible_clients,
    visible_jobs,
)
from jobs.queries.clients import clients_found, unknown_facts
from jobs.services.clients import add_client, add_site, edit_client, edit_site
from jobs.views.jobs import job_crumbs
from jobs.views.pages import Crumbs, PersonRequest, form_page, page_of, refusals_in


def _crumbs(client: Client | None = None, last: str = "") -> Crumbs:
    crumbs = [("Clients", reverse("jobs:client_list"))]
    if client is not None:
        here = reverse("jobs:client_detail", args=[client.pk]) if last else ""
        crumbs.append((client.name, here))
    return [*crumbs, (last, "")] if last else crumbs


@require_safe
def client_list(request: PersonRequest) -> HttpResponse:
    """Clients by name."""
    require(request.user, Can.SEE_ALL_JOBS)
    filters = ClientFilter(request.GET or None)
    q = filters.cleaned_data["q"] if filters.is_valid() else ""
    page = page_of(request, clients_found(visible_clients(request.user), q))
    shown = {"filters": filters, "page": page}
    return render(request, "jobs/client_list.html", shown)


@require_safe
def client_detail(request: PersonRequest, pk: int) -> HttpResponse:
    """One client with sites and jobs."""
    client = get_client(request.user, pk)
    sites = [(site, unknown_facts(site)) for site in client.sites.all()]
    jobs = client.jobs.select_related("site", "site_lead")
    shown = {
        "client": client,
        "sites": sites,
        "jobs": jobs,
        "crumbs": _crumbs(client),
    }
    return render(request, "jobs/client_detail.html", shown)


@require_http_methods(["GET", "POST"])
def client_add(request: PersonRequest) -> HttpResponse:
    """Add a client."""
    require(request.user, Can.EDIT_JOBS)
    form = ClientForm(request.POST or None)
    if form.is_valid():
        with refusals_in(form):
            client = add_client(
                values=form.values(), actor=request.user, at=timezone.now()
            )
            messages.success(request, f"{client.name} is added.")
            return redirect("jobs:client_detail", client.pk)
    return form_page(
        request, form, heading="Add a client", crumbs=_crumbs(last="Add a client")
    )


@require_http_methods(["GET", "POST"])
def client_edit(request: PersonRequest, pk: int) -> HttpResponse:
    """Change a client's details."""
    client = get_client(request.user, pk, to=Can.EDIT_JOBS)
    crumbs = _crumbs(client, "Change")
    form = ClientForm(request.POST or None, instance=client)
    if form.is_valid():
        with refusals_in(form, client):
            edit_client(
                client=client,
                version=form.opened_version(),
                values=form.values(),
                actor=request.user,
                at=timezone.now(),
            )
            messages.success(request, "Saved.")
            return redirect("jobs:client_detail", pk)
    return form_page(request, form, heading="Change the client", crumbs=crumbs)


@require_http_methods(["GET", "POST"])
def site_add(request: PersonRequest, pk: int) -> HttpResponse:
    """Add a site of a client."""
    client = get_client(request.user, pk, to=Can.EDIT_JOBS)
    initial = {"state": request.firm.pack}
    form = SiteForm(request.POST or None, initial=initial)
    if form.is_valid():
        with refusals_in(form):
            site = add_site(
                client=client,
                values=form.values(),
                actor=request.user,
                at=timezone.now(),
            )
            messages.success(request, f"{site} is added.")
            return redirect("jobs:client_detail", pk)
    return form_page(
        request,
        form,
        heading=f"Add a site of {client.name}",
        lede=_FACTS_LEDE,
        crumbs=_crumbs(client, "Add a site"),
    )


@require_http_methods(["GET", "POST"])
def site_edit(request: PersonRequest, pk: int) -> HttpResponse:
    """Change a site's facts. Open jobs there are looked at again."""
    site = get_site(request.user, pk, to=Can.EDIT_JOBS)
    job = _job_asked_from(request, site)
    name, crumbs = str(site), _crumbs(site.client, "Site facts")
    if job is not None:
        crumbs = job_crumbs(job, "Site facts")
    form = SiteForm(request.POST or None, instance=site)
    if form.is_valid():
        with refusals_in(form, site):
            edit_site(
                site=site,
                version=form.opened_version(),
                values=form.values(),
                actor=request.user,
                at=timezone.now(),
            )
            messages.success(
                request,
                "Saved. The plans of open jobs there rest on the new facts now.",
            )
            if job is not None:
                return redirect("jobs:job_detail", job.pk)
            return redirect("jobs:client_detail", site.client_id)
    return form_page(request, form, heading=name, lede=_FACTS_LEDE, crumbs=crumbs)


def _job_asked_from(request: PersonRequest, site: Site) -> Job | None:
    """The job at this site from whose page somebody came."""
    pk = request.GET.get("job", "")
    jobs = visible_jobs(request.user).filter(site=site)
    return jobs.filter(pk=int(pk)).first() if pk.isdecimal() else None


_FACTS_LEDE = (
    "These facts decide hazards and hours. Leave open what nobody knows: "
    "the plan then takes the worse case, and says so."
)
