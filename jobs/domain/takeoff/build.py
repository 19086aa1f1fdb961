"""The take-off put together from its parts."""

from jobs.domain.dimensions import Dimensions, Structure
from jobs.domain.layout import Layout, layout
from jobs.domain.refusals import Refused
from jobs.domain.sections import Sections
from jobs.domain.site_facts import SiteFacts
from jobs.domain.takeoff.cautions import cautions
from jobs.domain.takeoff.check import check_dimensions
from jobs.domain.takeoff.decking import decking
from jobs.domain.takeoff.fixings import fixings
from jobs.domain.takeoff.framing import beams, gable_frames, purlins, rafters
from jobs.domain.takeoff.ground import ground
from jobs.domain.takeoff.heights import edges, heights
from jobs.domain.takeoff.keys import QUANTITIES
from jobs.domain.takeoff.model import Quantity, TakeOff
from jobs.domain.takeoff.parts import NONE_HERE, Part, quantity
from jobs.domain.takeoff.posts import posts
from jobs.domain.takeoff.rainwater import rainwater
from jobs.domain.takeoff.roofing import caps, roofing
from jobs.domain.takeoff.squaring import squaring
from jobs.domain.takeoff.totals import heaviest_lift, totals


def take_off(
    structure: Structure, dimensions: Dimensions, site: SiteFacts, sections: Sections
) -> TakeOff:
    """All quantities, pieces and set-out figures. Not structural design.

    Raises Refused with every problem when the dimensions cannot be taken off.
    """
    problems = check_dimensions(structure, dimensions, sections)
    if problems:
        raise Refused(problem.says for problem in problems)
    shape = layout(structure, dimensions, sections)
    parts = _parts(shape, sections)
    pieces = tuple(piece for part in parts for piece in part.pieces)
    found = [q for part in parts for q in part.quantities]
    found += totals(pieces, sections)
    assemblies = gable_frames(shape, pieces)
    found += (*heights(shape), *edges(shape), heaviest_lift(pieces + assemblies))
    found.append(quantity("job", 1, "One job."))
    return TakeOff(
        quantities=_all_keys(found),
        pieces=pieces,
        set_out=squaring(shape) + tuple(s for part in parts for s in part.set_out),
        warnings=cautions(shape, site, sections, pieces),
        assemblies=assemblies,
    )


def _parts(shape: Layout, sections: Sections) -> tuple[Part, ...]:
    return (
        posts(shape, sections),
        beams(shape, sections),
        rafters(shape, sections),
        purlins(shape, sections),
        roofing(shape, sections),
        caps(shape, sections),
        rainwater(shape, sections),
        fixings(shape, sections),
        ground(shape),
        decking(shape, sections),
    )


def _all_keys(found: list[Quantity]) -> dict[str, Quantity]:
    """In the order of the table of keys; zero for what the structure does not have."""
    by_key = {item.key: item for item in found}
    return {key: by_key.get(key) or quantity(key, 0, NONE_HERE) for key in QUANTITIES}
