"""Clients, their sites and jobs."""

from django.db.models import Count, Q, QuerySet

from jobs.models import Client, Site


def clients_found(clients: QuerySet[Client], q: str = "") -> QuerySet[Client]:
    """Clients whose name, phone or one of whose suburbs fits, with how many open jobs.

    One query.
    """
    if q:
        here = Q(sites__suburb__icontains=q) | Q(sites__address__icontains=q)
        fits = Q(name__icontains=q) | Q(phone__icontains=q) | here
        clients = clients.filter(pk__in=Client.objects.filter(fits).values("pk"))
    return clients.annotate(
        open_jobs=Count("jobs", filter=Q(jobs__closed_at__isnull=True), distinct=True),
        all_jobs=Count("jobs", distinct=True),
    ).order_by("name", "pk")


# What the hazard plan takes the worse case for while nobody knows it.
UNKNOWN_FACTS = {
    "existing_eave_height_m": "eave height",
    "building_year": "year the house was built",
    "fascia_is_metal": "whether the fascia is metal",
    "overhead_line": "whether a power line is near",
    "buried_services_known": "whether buried services are located",
    "slab_slope_pct": "slope of the ground",
    "carry_distance_m": "carry from the truck",
    "neighbour_distance_m": "distance to the boundary",
    "drive_minutes": "drive from the yard",
}


def unknown_facts(site: Site) -> list[str]:
    """Facts of a site that nobody has found out yet, in words. No queries."""
    unknown = [
        words for name, words in UNKNOWN_FACTS.items() if getattr(site, name) is None
    ]
    if site.overhead_line and site.overhead_line_distance_m is None:
        unknown.append("distance to the power line")
    if site.overhead_line and site.overhead_line_kv is None:
        unknown.append("voltage of the power line")
    return unknown
