"""What of a statement counts for a signature, and the digest of it.

A crew signs on to hazards, controls and ratings. The digest of a content of format 2 is
taken over what ``what_counts`` keeps of it and over nothing else:

* the work: job, site, structure with its main dimensions, steps by name and in order,
  circumstances of the site, who answers for it, when it is reviewed;
* the law: the place, the duty, the categories of high risk work, what must be in it;
* each line: hazard, harm, why it is here, what is not known, both ratings, its basis,
  and each control with who, when, how it is checked and what is asked each morning;
* what reviewers changed or left out, and why.

Words count as they stand. Figures that the engine works out count in steps or not at
all, see ``bands``: a line and a control carry those words in ``counts`` where they are
not the words shown. Outside are names with phone numbers, the day of the law, who
prepared the print, the sums behind a category, the table of noise and vibration in a
day, and what only repeats other parts.

A content of format 1 was signed under another rule, which still holds for it: everything
but ``OUTSIDE_DIGEST``, to the last figure. So no digest that somebody signed changes its
meaning; compared with a plan of today an old one differs, and the crew signs once more.
"""

from jobs.domain.chain import digest_of
from safety.domain.statement import Content

# Parts of the content that people may correct without asking anybody to sign again.
# The day of the law is outside too: a later day that changes nothing changes nothing.
OUTSIDE_DIGEST = ("contacts", "print", "law_as_on")

_ROOT = (
    *("format", "document", "duty", "pack", "risk_method", "required_contents"),
    "not_found_out",
)
_JOB = (
    *("job", "site", "firm", "principal_contractor", "responsible", "reviewer"),
    *("circumstances", "review_when"),
)
_CATEGORY = ("key", "says", "steps", "source", "needs_reading", "undecided")
_STEP = ("key", "name", "whole_job")
_LINE = (
    *("key", "harm", "not_found_out", "categories", "initial", "residual"),
    *("basis", "source", "check_first", "no_higher_control"),
)
_CONTROL = ("key", "level", "who", "when", "check", "ask", "basis", "source", "lowers")
_CHANGE = ("reason", "by")
_REMOVED = ("key", "reason", "by")


def digest(content: Content) -> str:
    """SHA-256 in hex over the RFC 8785 form of what counts in a content."""
    kept = what_counts(content) if content["format"] > 1 else _format_1(content)
    return digest_of(kept)


def what_counts(content: Content) -> Content:
    """What a person signs on to, as plain data."""
    job = content["job"]
    return {
        **_only(_ROOT, content),
        "job": _only(_JOB, job) | {"structure": structure_counts(job)},
        "categories": [_only(_CATEGORY, row) for row in content["categories"]],
        "steps": [
            {**_only(_STEP, step), "lines": [_line(line) for line in step["lines"]]}
            for step in content["steps"]
        ],
        "removed": [_only(_REMOVED, row) for row in content["removed"]],
    }


def structure_counts(job: Content) -> str:
    """The structure of a content's job, its dimensions as they count."""
    return str(job.get("structure_counts", job["structure"]))


def line_counts(line: Content) -> Content:
    """Name, reasons and what raised the rating of a line, as they count."""
    shown = {
        "name": line["name"],
        "reasons": reasons_of(line),
        "raised": line["raised"],
    }
    return {**shown, **line.get("counts", {})}


def control_counts(control: Content) -> str:
    """The text of a control as it counts."""
    return str(control.get("counts", control["text"]))


def reasons_of(line: Content) -> list[str]:
    """Why a line is here, a sentence each; in format 1 it was one piece."""
    return list(line["reasons"]) if "reasons" in line else [line["why"]]


def _line(line: Content) -> Content:
    return {
        **_only(_LINE, line),
        **line_counts(line),
        "controls": [
            {**_only(_CONTROL, control), "text": control_counts(control)}
            for control in line["controls"]
        ],
        "changes": [_only(_CHANGE, change) for change in line["changes"]],
    }


def _only(keys: tuple[str, ...], row: Content) -> Content:
    return {key: row[key] for key in keys}


def _format_1(content: Content) -> Content:
    return {key: part for key, part in content.items() if key not in OUTSIDE_DIGEST}
