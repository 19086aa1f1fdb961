"""Hazard library, packs and risk method: texts in, rules out, parsed once per text.

The firm edits the hazard texts in the database; packs, the risk method and the tables
are shipped. A :class:`RuleTexts` is all of it at one moment; its digest names it.
"""

from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, replace
from datetime import date, timedelta
from functools import cache, lru_cache
from hashlib import sha256

from jobs.domain.chain import digest_of
from jobs.domain.pack_files import load_packs
from jobs.domain.packs import Pack
from jobs.domain.refusals import Refused
from jobs.library import FIXTURES, table_text, task_kinds, tools
from jobs.models import Firm, LibraryText
from safety.domain.categories import pack_edges
from safety.domain.condition_files import Vocabulary
from safety.domain.engine import RuleBook
from safety.domain.exposures.days import USUAL_HOURS, Hours
from safety.domain.heat_limit import heat_limit
from safety.domain.library import Hazard, HazardLibrary
from safety.domain.library_files import Found, join_files, read_file
from safety.domain.own_matrix import OWN, read_matrix
from safety.domain.own_tools import figures, measured, own_tools
from safety.domain.risk import Matrix, RiskMethod
from safety.domain.risk_files import RiskMethods, load_risk_methods
from safety.domain.views import Bench
from scheduling.queries.calendar import half_hours, minutes_of_day

KIND = "hazards"
RISK_FILE = "risk_matrices.yaml"


@dataclass(frozen=True, slots=True)
class RuleTexts:
    """Every text that a plan is made from, as it stood at one moment."""

    hazards: Mapping[str, str]  # key: text
    packs: Mapping[str, str]  # file name: text
    risk: str
    matrix: str  # the firm's choice; empty for the default
    tolerance: str  # the firm's choice; empty for that of the matrix
    own_matrix: str = ""  # text of the firm's own, where it rates with that
    # figures of the firm's own tools, by what they are of and by tool
    measured: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    heat: Mapping[str, object] = field(default_factory=dict)  # the firm's limit
    tool_tests_off: bool = False  # where no law asks for them
    # the firm's working day, empty for the usual one: work_minutes and clock_hours
    hours: Mapping[str, float] = field(default_factory=dict)

    def as_json(self) -> dict[str, object]:
        """Plain data, for the row that keeps it."""
        return {
            "hazards": dict(self.hazards),
            "packs": dict(self.packs),
            "risk": self.risk,
            "matrix": self.matrix,
            "tolerance": self.tolerance,
            "own_matrix": self.own_matrix,
            "measured": {what: dict(by) for what, by in self.measured.items()},
            "heat": dict(self.heat),
            "tool_tests_off": self.tool_tests_off,
            "hours": dict(self.hours),
        }

    @classmethod
    def from_json(cls, plain: Mapping[str, object]) -> "RuleTexts":
        """The texts again."""
        return cls(**plain)  # type: ignore[arg-type]


def parse_hazard_text(key: str, text: str) -> HazardLibrary:
    """The hazard library with one file as in ``text``; LibraryError with file and line.

    It is read beside the firm's other files, since a key may be there only once. One query.
    """
    return parse_hazards({**hazard_texts(), key: text})


def hazard_texts() -> dict[str, str]:
    """The firm's hazard texts by file. One query."""
    rows = LibraryText.objects.filter(kind=KIND).order_by("key")
    return dict(rows.values_list("key", "text"))


def parse_hazards(texts: Mapping[str, str]) -> HazardLibrary:
    """Hazard texts by file, read together; LibraryError with file and line."""
    named = ((f"hazards/{key}.yaml", text) for key, text in sorted(texts.items()))
    return _parsed_hazards(tuple(named), _shipped_packs())


def hazards_of(key: str, text: str) -> tuple[Hazard, ...]:
    """The hazards of one file by themselves; LibraryError with file and line."""
    found = _parsed_file(f"hazards/{key}.yaml", text, _shipped_packs())
    return tuple(one.hazard for one in found)


def placed(texts: Mapping[str, str]) -> HazardLibrary:
    """Texts by file as one library, each hazard with its file for a theme.

    Merging then carries a hazard from file to file like any other change. LibraryError
    when a text cannot be read.
    """
    return HazardLibrary(
        tuple(
            replace(hazard, theme=key)
            for key, text in sorted(texts.items())
            for hazard in hazards_of(key, text)
        )
    )


def theme_of(key: str, text: str) -> str:
    """The theme of a file; its key in words when it has no text yet."""
    hazards = hazards_of(key, text) if text else ()
    return hazards[0].theme if hazards else key.replace("_", " ")


def rule_words() -> Vocabulary:
    """The words that conditions may use."""
    return _words(_shipped_packs())


@cache
def _shipped_packs() -> tuple[tuple[str, str], ...]:
    folder = FIXTURES / "packs"
    return tuple(
        (f"packs/{path.name}", path.read_text(encoding="utf-8"))
        for path in sorted(folder.glob("*.yaml"))
    )


def packs() -> Mapping[str, Pack]:
    """Every shipped pack by key."""
    return _parsed_packs(_shipped_packs())


def pack_of(place: str) -> Pack:
    """The pack of a place ("au-nsw"). Refused when there is none."""
    return _chosen_pack(packs(), place)


def _chosen_pack(known: Mapping[str, Pack], place: str) -> Pack:
    if place not in known:
        raise Refused(
            f"There is no rule pack for “{place}”. Choose the state of the site again."
        )
    return known[place]


@lru_cache(maxsize=4)
def _parsed_packs(texts: tuple[tuple[str, str], ...]) -> Mapping[str, Pack]:
    return load_packs(dict(texts))


@lru_cache(maxsize=32)
def _parsed_hazards(
    texts: tuple[tuple[str, str], ...], pack_texts: tuple[tuple[str, str], ...]
) -> HazardLibrary:
    return join_files(
        dict(texts), lambda name, text: _parsed_file(name, text, pack_texts)
    )


@lru_cache(maxsize=128)
def _parsed_file(
    name: str, text: str, pack_texts: tuple[tuple[str, str], ...]
) -> tuple[Found, ...]:
    return read_file(name, text, _words(pack_texts))


@lru_cache(maxsize=4)
def _words(pack_texts: tuple[tuple[str, str], ...]) -> Vocabulary:
    known = _parsed_packs(pack_texts)
    return Vocabulary(
        task_kinds=frozenset(task_kinds()),
        tools=frozenset(tools()),
        pack_edges=pack_edges(known.values()),
        places=frozenset(known),
    )


@lru_cache(maxsize=8)
def risk_methods(text: str | None = None) -> RiskMethods:
    """The matrices that a firm may choose from."""
    return load_risk_methods(text or table_text(RISK_FILE), filename=RISK_FILE)


@lru_cache(maxsize=8)
def _own_method(text: str, own: str) -> RiskMethod:
    return replace(risk_methods(text).chosen(), matrix=read_matrix(own))


def risk_method(text: str, matrix: str, tolerance: str, own: str = "") -> RiskMethod:
    """The firm's matrix with the firm's tolerance; ``own`` is the text of its own."""
    known = risk_methods(text)
    if matrix == OWN and own:
        method = _own_method(text, own)
    else:
        method = known.chosen(matrix if matrix in known.by_key else "")
    grades = {grade.key for grade in method.matrix.grades}
    if tolerance not in grades:
        return method
    return replace(method, matrix=replace(method.matrix, tolerance=tolerance))


def firm_matrices(firm: Firm) -> Mapping[str, Matrix]:
    """Every matrix that the firm may rate with, its own last."""
    known = {key: method.matrix for key, method in risk_methods().by_key.items()}
    own = firm.risk_own_matrix
    return {**known, OWN: read_matrix(own)} if own else known


def firm_matrix(firm: Firm) -> Matrix:
    """The matrix that the firm rates with."""
    text = table_text(RISK_FILE)
    return risk_method(
        text, firm.risk_matrix, firm.risk_tolerance, _own_in_use(firm)
    ).matrix


def _own_in_use(firm: Firm) -> str:
    return firm.risk_own_matrix if firm.risk_matrix == OWN else ""


@dataclass(frozen=True, slots=True)
class Rules:
    """The rules of one moment under their digest, parsed at most once a process."""

    digest: str
    texts: RuleTexts = field(compare=False)  # equal digests are equal rules

    def book(self, place: str) -> RuleBook:
        """The rules of one place. Refused when there is no pack for it."""
        return _book(self, place)

    def law(self, place: str, on: date) -> str:
        """A name for the law and season of a day, equal for days no plan can tell apart.

        So a statement is not looked at anew every morning.
        """
        changes = _law_changes(self, place)
        season = {"": 0, "season": on.month % 12 // 3, "month": on.month}
        asked = season[_calendar_asked(self)]
        return f"{place}:{bisect_right(changes, on)}:{asked}"


_KNOWN: dict[str, Rules] = {}
_MOST_KNOWN = 32


def rules_now(firm: Firm) -> Rules:
    """The rules as they stand now. One query, two when this process is new to them.

    Refused when the hazard library is empty.
    """
    rows = LibraryText.objects.filter(kind=KIND).order_by("key")
    digests = dict(rows.values_list("key", "digest"))
    if not digests:
        raise Refused("The hazard library is empty. Load the shipped libraries first.")
    digest = _digest(digests, firm)
    if digest not in _KNOWN:
        texts = RuleTexts(
            hazards=dict(rows.values_list("key", "text")),
            packs=dict(_shipped_packs()),
            risk=table_text(RISK_FILE),
            matrix=firm.risk_matrix,
            tolerance=firm.risk_tolerance,
            own_matrix=_own_in_use(firm),
            measured=figures(own_tools(firm.own_tools)),
            heat=firm.heat_limit,
            tool_tests_off=firm.tool_tests_off,
            hours=_own_hours(firm),
        )
        keep_known(Rules(digest, texts))
    return _KNOWN[digest]


def known_rules(digest: str) -> Rules | None:
    """Rules of another moment, when this process has read them before."""
    return _KNOWN.get(digest)


def keep_known(rules: Rules) -> Rules:
    """Remember rules for the life of the process."""
    if len(_KNOWN) >= _MOST_KNOWN:
        _KNOWN.clear()
    _KNOWN[rules.digest] = rules
    return rules


def _digest(hazards: Mapping[str, str], firm: Firm) -> str:
    named = {
        "hazards": dict(hazards),
        "shipped": _shipped_digest(),
        "matrix": firm.risk_matrix,
        "tolerance": firm.risk_tolerance,
    }
    # Only what there is, so that rules without it keep the digest they always had.
    own = {
        "own": _own_in_use(firm),
        "measured": figures(own_tools(firm.own_tools)),
        "heat": firm.heat_limit,
        "tool_tests_off": firm.tool_tests_off,
        "hours": _own_hours(firm),
    }
    return digest_of({**named, **{key: value for key, value in own.items() if value}})


def _own_hours(firm: Firm) -> dict[str, float]:
    """The firm's working day where it is not the usual one."""
    hours = hours_of(firm)
    return {} if hours == USUAL_HOURS else asdict(hours)


def hours_of(firm: Firm) -> Hours:
    """A working day of the firm: what is left for steps, and from start to end."""
    return Hours(float(minutes_of_day(firm)), half_hours(firm).clock_hours)


@cache
def _shipped_digest() -> str:
    parts = [text for _, text in _shipped_packs()]
    parts += [table_text(RISK_FILE), table_text("tools.yaml")]
    return sha256("\n".join(parts).encode()).hexdigest()


@lru_cache(maxsize=64)
def _book(rules: Rules, place: str) -> RuleBook:
    texts = rules.texts
    pack_texts = tuple(sorted(texts.packs.items()))
    hazards = tuple(
        (f"hazards/{key}.yaml", text) for key, text in sorted(texts.hazards.items())
    )
    return RuleBook(
        library=_parsed_hazards(hazards, pack_texts),
        pack=_chosen_pack(_parsed_packs(pack_texts), place),
        risk=risk_method(texts.risk, texts.matrix, texts.tolerance, texts.own_matrix),
        bench=Bench(
            tools(),
            measured(texts.measured),
            heat_limit(texts.heat),
            Hours(**texts.hours),
        ),
        words=_words(pack_texts),
    )


@lru_cache(maxsize=64)
def _law_changes(rules: Rules, place: str) -> tuple[date, ...]:
    """Every day on which some value of the place begins or has just ended."""
    values = [
        value
        for layer in rules.book(place).pack.values
        for versions in layer.values()
        for value in versions
    ]
    begins = {value.effective_from for value in values if value.effective_from}
    ends = {value.effective_to for value in values if value.effective_to}
    return tuple(sorted(begins | {day + timedelta(days=1) for day in ends}))


@lru_cache(maxsize=64)
def _calendar_asked(rules: Rules) -> str:
    """Whether any rule looks at the calendar: "", "season" or "month"."""
    texts = rules.texts
    everything = [*texts.hazards.values(), *texts.packs.values()]
    if any("job.month" in text for text in everything):
        return "month"
    return "season" if any("job.season" in text for text in everything) else ""
