"""Jobs as rows of a file."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.core.exceptions import ValidationError
from django.core.validators import validate_email

from jobs.domain.dimensions import Dimensions, Frame, Structure
from jobs.domain.methods import Method
from jobs.domain.sections import Material, Role
from jobs.domain.site_facts import ExistingRoof
from jobs.domain.tables import Column, Fault, Row
from jobs.domain.takeoff import check_dimensions
from jobs.forms.rows import RowReader
from jobs.library import methods, sections
from jobs.models import Person
from jobs.models.clients import ACCESSES, ROOFS
from jobs.services.imports import NewJob

MAX_ROWS = 150

_FIGURES = {
    "length_m": "Length m",
    "projection_m": "Projection m",
    "pitch_deg": "Pitch deg",
    "clear_height_m": "Clear height m",
    "overhang_m": "Overhang m",
    "slab_fall_mm": "Floor falls out mm",
    "slab_cross_fall_mm": "Floor falls along mm",
    "gable_bay_length_m": "Gable bay length m",
    "gable_bay_pitch_deg": "Gable bay pitch deg",
    "deck_height_m": "Deck height m",
}
_NEEDED_FIGURES = ("length_m", "projection_m", "pitch_deg", "clear_height_m")
_DAY_HELP = "Such as 3 Aug 2026, 3/8/2026 or 2026-08-03. The day comes first."

COLUMNS = (
    Column("title", "Title", required=True, help="What is built, in a few words."),
    Column("method", "Method", required=True, help="Name or key of a method."),
    Column(
        "client",
        "Client",
        required=True,
        help="A client of this name is used again; a new one is added.",
    ),
    Column("phone", "Client phone"),
    Column("email", "Client email"),
    Column("address", "Street and number", required=True),
    Column("suburb", "Suburb", required=True),
    Column("lead", "Site lead", help="Name or email of a site lead."),
    Column("wanted_on", "Wanted by", help=_DAY_HELP),
    Column("promised_on", "Promised by", help=_DAY_HELP),
    Column(
        "existing_roof",
        "Existing roof",
        help="Such as concrete tile. Empty is taken as something that can break.",
    ),
    Column("access", "Access", help="Such as side gate."),
    Column("existing_eave_height_m", "Eave height m"),
    Column("drive_minutes", "Drive minutes"),
    *(
        Column(
            key,
            title,
            help="Give length, projection, pitch and clear height together, or none."
            if key in _NEEDED_FIGURES
            else "",
        )
        for key, title in _FIGURES.items()
    ),
    Column("frame", "Frame", help="Light steel or timber."),
    Column("note", "Note"),
)


@dataclass(frozen=True, slots=True)
class Known:
    """What rows may refer to."""

    methods: Mapping[str, Method]
    leads: Sequence[Person]


def known_now() -> Known:
    """Methods and site leads of the firm. Two queries."""
    return Known(
        methods=methods(),
        leads=list(Person.objects.filter(is_site_lead=True, is_active=True)),
    )


def read_jobs(rows: Sequence[Row], known: Known) -> tuple[list[NewJob], list[Fault]]:
    """Jobs from rows, and every fault in them."""
    faults: list[Fault] = []
    jobs = [_job(RowReader(row, COLUMNS, faults), known) for row in rows]
    _note_doubles(jobs, faults)
    return jobs, faults


def _job(row: RowReader, known: Known) -> NewJob:
    names = {key: method.name for key, method in known.methods.items()}
    method = row.choice("method", names, "method")
    if not method and not row.has("method"):
        row.text("method")
    structure = known.methods[method].structure if method else None
    return NewJob(
        row=row.row.number,
        title=row.text("title"),
        method=method,
        client=row.text("client"),
        phone=row.text("phone", 40),
        email=_email(row),
        address=row.text("address", 240),
        suburb=row.text("suburb", 80),
        lead=_lead(row, known.leads),
        wanted_on=row.day("wanted_on"),
        promised_on=row.day("promised_on"),
        note=row.text("note", 2000),
        site_facts=_site_facts(row),
        dimensions=_dimensions(row, Structure(structure)) if structure else None,
    )


def _email(row: RowReader) -> str:
    email = row.text("email", 254)
    if email:
        try:
            validate_email(email)
        except ValidationError:
            row.fault("email", "This is no email. Write it like name@example.org.")
    return email


def _lead(row: RowReader, leads: Sequence[Person]) -> Person | None:
    wanted = row.text("lead").casefold()
    if not wanted:
        return None
    found = [
        lead for lead in leads if wanted in {lead.name.casefold(), lead.email or ""}
    ]
    if len(found) == 1:
        return found[0]
    names = ", ".join(lead.name for lead in leads) or "nobody yet"
    row.fault("lead", f"There is no such site lead. Site leads are: {names}.")
    return None


def _site_facts(row: RowReader) -> dict[str, Any]:
    """Only what the row says; the rest stays as the site form begins."""
    facts: dict[str, Any] = {"existing_roof": ExistingRoof.OTHER.value}
    choices = (("existing_roof", ROOFS, "roof"), ("access", ACCESSES, "way in"))
    for key, known, what in choices:
        if value := row.choice(key, dict(known), what):
            facts[key] = value
    eave = row.number("existing_eave_height_m", 0.5, 15)
    drive = row.number("drive_minutes", 0, 1440)
    if eave is not None:
        facts["existing_eave_height_m"] = eave
    if drive is not None:
        facts["drive_minutes"] = round(drive)
    return facts


def _dimensions(row: RowReader, structure: Structure) -> Dimensions | None:
    """The dimensions of a row, checked as the take-off does; None when it gives none."""
    if not any(row.has(key) for key in (*_FIGURES, "frame")):
        return None
    before = len(row.faults)
    given = {key: row.number(key, -10_000, 10_000) for key in _FIGURES}
    for key in _NEEDED_FIGURES:
        if not row.has(key):
            row.fault(key, "Give length, projection, pitch and clear height together.")
    frame = row.choice(
        "frame", {f.value: f.value.replace("_", " ") for f in Frame}, "frame"
    )
    if len(row.faults) > before:
        return None
    values: dict[str, Any] = {k: v for k, v in given.items() if v is not None}
    if frame == Frame.TIMBER:
        values |= _timber_sections()
    dims = Dimensions(**values, frame=Frame(frame) if frame else Frame.LIGHT_STEEL)
    for problem in check_dimensions(structure, dims, sections()):
        row.fault(problem.field, problem.says)
    return dims


def _timber_sections() -> dict[str, str]:
    """The first timber section of each kind; the office puts in the real ones."""
    frame = {
        "beam_section": Role.BEAM,
        "rafter_section": Role.RAFTER,
        "purlin_section": Role.PURLIN,
        "post_section": Role.POST,
    }
    timber = [s for s in sections().values() if s.material is Material.TIMBER]
    return {
        name: next(section.key for section in timber if section.role is role)
        for name, role in frame.items()
    }


def _note_doubles(jobs: Sequence[NewJob], faults: list[Fault]) -> None:
    first: dict[tuple[str, ...], int] = {}
    for job in jobs:
        parts = (job.client, job.address, job.suburb, job.title)
        key = tuple(part.casefold() for part in parts)
        if key in first and all(key):
            says = f"This is the same job as in row {first[key]}. Take one out."
            faults.append(Fault(job.row, "", says))
        first.setdefault(key, job.row)
