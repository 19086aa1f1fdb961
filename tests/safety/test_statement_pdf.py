"""The print of a statement, read by readers that are not WeasyPrint."""

import io
import json
from functools import cache

import pikepdf
import pypdf
import pytest

from jobs.services.clients import edit_site
from safety.documents import statement_html
from safety.domain.condense import condense
from safety.domain.statement_digest import reasons_of
from safety.models import Statement
from safety.queries.emergency import Emergency
from safety.queries.papers import paper, paper_digest
from safety.services.papers import make_paper
from tests.safety.conftest import issue, review, sign
from tests.safety.largest import LARGEST, SITES
from tests.safety.test_consultation import note

MOST_PAGES = 14  # carried to site and read there; firm's own aim

pytestmark = [
    pytest.mark.usefixtures("morning"),
    pytest.mark.filterwarnings("ignore::DeprecationWarning:pypdf"),
]


def fresh(statement):
    rows = Statement.objects.select_related("job__site", "job__client", "facts")
    return rows.get(pk=statement.pk)


def bytes_of(row):
    with row.file.open("rb") as file:
        return file.read()


_MADE: list[bytes] = []  # laying it out takes seconds, and every test reads the same


@pytest.fixture
def printed(signed, now):
    """The bytes of the print with the whole crew signed on."""
    if not _MADE:
        _MADE.append(bytes_of(make_paper(statement=fresh(signed), at=now)))
    return _MADE[0]


@cache  # it takes as long as laying the print out
def words_of(data):
    pages = pypdf.PdfReader(io.BytesIO(data)).pages
    return [" ".join(page.extract_text().split()) for page in pages]


def test_it_is_tagged_archival_and_in_our_language(printed, signed):
    pdf = pikepdf.open(io.BytesIO(printed))
    assert pdf.Root.MarkInfo.Marked
    assert str(pdf.Root.Lang) == "en-AU"
    metadata = pdf.open_metadata()
    assert (metadata["pdfaid:part"], metadata["pdfaid:conformance"]) == ("3", "A")
    title = "Safe work method statement, Job 1001: Patio, version 1"
    assert str(pdf.docinfo["/Title"]) == title
    assert pdf.Root.ViewerPreferences.DisplayDocTitle


def test_headings_and_table_heads_are_tagged_as_such(printed):
    pdf = pikepdf.open(io.BytesIO(printed))
    kinds = tags(pdf.Root.StructTreeRoot)
    assert {"/H1", "/H2", "/H3", "/Table", "/TR", "/TH", "/TD", "/Figure"} <= kinds


def tags(node):
    found = {str(node["/S"])} if "/S" in node else set()
    kids = node.get("/K", [])
    for kid in kids if isinstance(kids, pikepdf.Array) else [kids]:
        if isinstance(kid, pikepdf.Dictionary):
            found |= tags(kid)
    return found


def test_every_page_is_a4_landscape_and_says_whose_it_is(printed, signed):
    pages = pypdf.PdfReader(io.BytesIO(printed)).pages
    assert len(pages) <= MOST_PAGES
    for number, page in enumerate(pages, start=1):
        width, height = (float(n) for n in page.mediabox[2:])
        assert (round(width), round(height)) == (842, 595)
        words = " ".join(page.extract_text().split())
        assert "Job 1001: Patio. Version 1." in words
        assert f"Digest {signed.digest[:12]}" in words
        assert f"Page {number} of {len(pages)}" in words


def test_it_says_what_it_must_in_the_sequence_of_the_work(printed, signed):
    text = " ".join(words_of(printed))
    for words in (
        "High risk construction work on this job",
        "In an emergency",
        "Call 000",
        "Reviewed by Oscar Office",
        "The eave of the house is at 2.4 m",
        "Conditions of approvals",
        "Set-out figures",
        "No law asks for a risk score",
        "Signing is the firm’s own rule",
        "What this statement does not decide",
        "check before relying on it",
    ):
        assert words in text
    steps = [step["name"] for step in signed.content["steps"] if not step["whole_job"]]
    places = [text.rindex(f"Step {n}. {name[:25]}") for n, name in enumerate(steps, 1)]
    assert places == sorted(places)


def test_every_hazard_its_reasons_and_its_controls_are_printed(printed, signed):
    assert_all_is_printed(printed, signed)


def assert_all_is_printed(data, statement):
    """Every word of every line; of sentences told together each part and each figure."""
    text = "".join("".join(words_of(data)).split())
    told: dict[str, str] = {}
    for card in condense(statement.content).cards:
        for said in card.reasons:
            told |= {sentence: said.text for sentence, _ in said.of}
        for one in card.controls:
            told |= {sentence: one.control["text"] for sentence, _ in one.of}
    for step in statement.content["steps"]:
        for line in step["lines"]:
            texts = [control["text"] for control in line["controls"]]
            checks = [control["check"] for control in line["controls"]]
            for words in (line["name"], line["harm"], *checks):
                assert "".join(words.split()) in text
            for words in (*reasons_of(line), *texts):
                assert "".join(told.get(words, words).split()) in text


def test_the_sign_on_page_names_who_signed_and_leaves_room(printed):
    last = words_of(printed)[-1]
    for name in ("Sal Lead", "Cam Crew", "Kit Crew"):
        assert name in last
    assert "on the phone of Sal Lead, who is witness" in last


def test_the_content_rides_along_as_json(printed, signed):
    pdf = pikepdf.open(io.BytesIO(printed))
    carried = json.loads(pdf.attachments["statement.json"].get_file().read_bytes())
    assert carried == signed.content


def test_fonts_are_inside(printed):
    pdf = pikepdf.open(io.BytesIO(printed))
    fonts = [
        font for page in pdf.pages for font in page.Resources.get("/Font", {}).values()
    ]
    assert fonts
    for font in fonts:
        (descendant,) = font.DescendantFonts
        assert (
            "/FontFile2" in descendant.FontDescriptor
            or "/FontFile3" in descendant.FontDescriptor
        )


def test_a_version_that_is_not_issued_says_draft_on_every_page(job, oscar, before, now):
    waiting = review(job, oscar, before)
    pages = words_of(bytes_of(make_paper(statement=fresh(waiting), at=now)))
    assert all("DRAFT, not issued: nobody may work by it" in page for page in pages)


def test_the_same_print_is_made_once_and_a_signature_makes_another(issued, cam, now):
    first = make_paper(statement=fresh(issued), at=now)
    assert make_paper(statement=fresh(issued), at=now) == first
    sign(issued, cam, now)
    shown = paper(fresh(issued))
    assert paper_digest(shown.statement, shown.signed, shown.asked) != first.digest


@pytest.mark.parametrize("method", LARGEST)
def test_the_largest_of_every_structure_keeps_to_few_pages_and_drops_nothing(
    make_job, site, oscar, before, now, method
):
    values = {"building_year": 1968, "existing_roof": "fibre_cement"} | SITES[method]
    edit_site(site=site, version=site.version, values=values, actor=oscar, at=before)
    statement = issue(make_job(method=method, dims=LARGEST[method]), oscar, before)
    data = bytes_of(make_paper(statement=fresh(statement), at=now))
    pages = words_of(data)
    assert len(pages) <= MOST_PAGES
    assert_all_is_printed(data, statement)
    text = " ".join(pages)
    content = statement.content
    for part in content["required_contents"]:
        assert f"({part['key']}) {part['says']}" in text
    for category in content["categories"]:
        assert f"{category['key']}. {category['says']}" in text
    for when in content["job"]["review_when"]:
        assert when in text
    for fact in content["job"]["circumstances"]:
        assert fact in text
    for step in content["steps"]:
        if not step["whole_job"]:
            assert f"Step {step['position']}. {step['name']}" in text


def test_a_lost_place_does_not_lose_the_print(issued, now):
    statement = fresh(issued)
    statement.content["pack"]["key"] = "atlantis"
    assert paper(statement).emergency == Emergency()


def test_a_talk_is_printed_beside_the_signatures_and_makes_another_print(
    issued, sal, now
):
    bare = paper(fresh(issued))
    assert "Who was asked about it" not in statement_html(bare)
    note(issued, sal, now)
    shown = paper(fresh(issued))
    signing = statement_html(shown).partition("Signed on")[2]
    assert "The ladder sinks beside the slab." in signing
    assert "A board goes under it." in signing
    digests = {paper_digest(p.statement, p.signed, p.asked) for p in (bare, shown)}
    assert len(digests) == 2
