"""One-way driving minutes from where a crew starts to a site."""

from collections.abc import Iterable
from decimal import Decimal
from math import asin, cos, radians, sin, sqrt

from jobs.models import Job, Site
from scheduling.models import Crew

EARTH_RADIUS_KM = 6371.0  # mean radius, IUGG
ROAD_FACTOR = 1.3  # road over straight line; common practice, no source
SPEED_KMH = 50.0  # suburbs and main roads; common practice, no source


def travel_minutes(
    crews: Iterable[Crew], jobs: Iterable[Job]
) -> dict[tuple[int, int], int]:
    """Minutes by (crew id, job id); the jobs' sites must be loaded. No queries.

    From the crew's own base when both places are known on the map; otherwise the drive
    from the yard that the site names, or its distance from the yard.
    """
    listed = list(jobs)
    return {
        (crew.pk, job.pk): _minutes(crew, job.site) for crew in crews for job in listed
    }


def _minutes(crew: Crew, site: Site) -> int:
    straight = _distance_km(
        crew.base_latitude, crew.base_longitude, site.latitude, site.longitude
    )
    if straight is not None:
        return round(straight * ROAD_FACTOR / SPEED_KMH * 60)
    if site.drive_minutes is not None:
        return site.drive_minutes
    return round((site.yard_distance_km or 0) / SPEED_KMH * 60)


def _distance_km(*degrees: Decimal | None) -> float | None:
    """Great-circle distance by the haversine formula; None when a place is unknown.

    Source: R. W. Sinnott, "Virtues of the Haversine", Sky and Telescope 68 (2), 1984
    (remembered, not read).
    """
    if any(value is None for value in degrees):
        return None
    lat1, lon1, lat2, lon2 = (radians(float(value or 0)) for value in degrees)
    half = sin((lat2 - lat1) / 2) ** 2
    half += cos(lat1) * cos(lat2) * sin((lon2 - lon1) / 2) ** 2
    return 2 * EARTH_RADIUS_KM * asin(sqrt(half))
