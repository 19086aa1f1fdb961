"""Materials in few words: "the frame (posts, beams and 4 more kinds)", not every line."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

FEW = 4  # kinds that are named one by one
SHOWN = 3  # kinds named of a longer list


@dataclass(frozen=True, slots=True)
class Family:
    """Pieces that are ordered and put up together. Common practice, no source."""

    title: str
    said: str  # "the frame"; empty when its kinds say it better
    kinds: tuple[tuple[str, str], ...]  # piece key, what many of it are called

    def names(self, parts: set[str]) -> list[str]:
        """What these of its pieces are called, in the order they are put up."""
        return [name for key, name in self.kinds if key in parts]


FAMILIES = (
    Family(
        "Footings",
        "",
        (("concrete_bag", "bags of concrete"),),
    ),
    Family(
        "Frame",
        "the frame",
        (
            ("post", "posts"),
            ("beam", "beams"),
            ("house_bearer", "house bearer"),
            ("gable_frame", "gable frames"),
            ("rafter", "rafters"),
            ("loose_rafter", "loose rafters"),
            ("tie", "gable ties"),
            ("ridge", "ridge"),
            ("purlin", "purlins"),
        ),
    ),
    Family(
        "Deck",
        "the deck",
        (
            ("stump", "stumps"),
            ("deck_bearer", "deck bearers"),
            ("joist", "joists"),
            ("board", "deck boards"),
            ("stringer", "stair stringers"),
            ("guardrail", "guardrails"),
        ),
    ),
    Family(
        "Roof",
        "the roof",
        (
            ("sheet", "roof sheets"),
            ("ridge_cap", "ridge caps"),
            ("barge_cap", "barge caps"),
            ("flashing", "flashings"),
        ),
    ),
    Family(
        "Gutters and downpipes",
        "",
        (
            ("gutter", "gutters"),
            ("box_gutter", "box gutters"),
            ("downpipe", "downpipes"),
        ),
    ),
)
OTHER = "Other"

Named = tuple[str, str]  # piece key, or nothing; what the line is called


def family_title(part: str) -> str:
    """The family of a piece key: "Frame"; "Other" for what is on no cutting list."""
    return next(
        (one.title for one in FAMILIES if part in dict(one.kinds)),
        OTHER,
    )


def say_materials(lines: Iterable[Named], *, shown: int = SHOWN) -> str:
    """Lines of a list of materials as a phrase.

    One line keeps its own name, a few kinds are named, many are said family by family
    with ``shown`` kinds of each.
    """
    listed = list(lines)
    if len(listed) == 1:
        return listed[0][1]
    parts = {part for part, _ in listed}
    found = [(family, family.names(parts)) for family in FAMILIES]
    known = set().union(*(dict(family.kinds) for family in FAMILIES))
    loose = [name for part, name in listed if part not in known]
    kinds = [name for _, names in found for name in names]
    if len(kinds) + len(loose) <= FEW:
        return and_list([*kinds, *loose])
    said = [words for family, names in found for words in _said(family, names, shown)]
    return and_list([*said, *_cut(loose, shown)])


def _said(family: Family, names: Sequence[str], shown: int) -> list[str]:
    """ "the frame (posts, beams and 2 more kinds)", or the kinds as they are."""
    if len(names) < 2 or not family.said:
        return list(names)
    return [f"{family.said} ({and_list(_cut(names, shown))})"]


def _cut(names: Sequence[str], shown: int) -> list[str]:
    """The first names and how many more there are; one more is named as well."""
    if len(names) <= shown + 1:
        return list(names)
    return [*names[:shown], f"{len(names) - shown} more kinds"]


def and_list(words: Sequence[str]) -> str:
    """ "posts, beams and purlins"."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"
