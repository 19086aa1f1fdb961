"""The palette can be read: every pair of colours in use, by the W3C's formula."""

import re

import pytest
from django.conf import settings

STYLE = settings.BASE_DIR / "jobs" / "static" / "eavesline"
CSS = (STYLE / "eavesline.css").read_text(encoding="utf-8")
ROOT_BLOCK = CSS.split(":root {", 1)[1].split("}", 1)[0]
PALETTE = dict(re.findall(r"--([a-z-]+):\s*(#[0-9a-f]{6})", ROOT_BLOCK))

# WCAG 2.2 (W3C Recommendation), success criteria 1.4.3 and 1.4.11, level AA.
TEXT = 4.5
SHAPE = 3.0

WORDS = [
    *(("ink", ground) for ground in ("film", "film-grid", "sheet", "steel")),
    *(("ink", ground) for ground in ("chalk-pale", "oxide-pale", "pine-pale")),
    *(("ink", ground) for ground in ("hivis", "hivis-pale", "timber-pale")),
    *(("pencil", ground) for ground in ("film", "film-grid", "sheet", "steel")),
    *(("pencil", ground) for ground in ("chalk-pale", "hivis-pale")),
    *(("chalk", ground) for ground in ("film", "film-grid", "sheet", "chalk-pale")),
    *(("chalk", ground) for ground in ("hivis-pale", "oxide-pale", "pine-pale")),
    *(("oxide", ground) for ground in ("film", "sheet", "oxide-pale")),
    *(("pine", ground) for ground in ("film", "sheet", "pine-pale", "chalk-pale")),
    *(("on-dark", ground) for ground in ("ink", "oxide", "chalk")),
]
SHAPES = [
    ("edge", "sheet"),  # the border of what can be filled in
    ("edge", "film"),
    ("chalk", "film"),  # focus
    ("hivis", "ink"),  # focus in the bar at the foot of a phone
    ("ink", "timber-pale"),  # the border of a booking
    ("oxide", "timber-pale"),  # the bar of a held booking
    ("hivis-ink", "hivis-pale"),
]


def luminance(colour: str) -> float:
    """Relative luminance, 0 to 1.

    Source: W3C, WCAG 2.2, definition of relative luminance (read)
    https://www.w3.org/TR/WCAG22/#dfn-relative-luminance
    """
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4
        for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio, 1 to 21.

    Source: W3C, WCAG 2.2, definition of contrast ratio (read)
    https://www.w3.org/TR/WCAG22/#dfn-contrast-ratio
    """
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def test_the_formula_spans_1_to_21():
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#47535c", "#47535c") == pytest.approx(1)


@pytest.mark.parametrize(("word", "ground"), WORDS)
def test_words_stand_out(word, ground):
    assert contrast(PALETTE[word], PALETTE[ground]) >= TEXT


@pytest.mark.parametrize(("shape", "ground"), SHAPES)
def test_shapes_stand_out(shape, ground):
    assert contrast(PALETTE[shape], PALETTE[ground]) >= SHAPE


@pytest.mark.parametrize("ground", ["film", "sheet", "steel", "timber-pale"])
def test_the_main_text_can_be_read_in_sunlight(ground):
    """Level AAA (1.4.6) for what is read outdoors."""
    assert contrast(PALETTE["ink"], PALETTE[ground]) >= 7


def test_stops_and_clears_differ_without_colour():
    """Printed in grey, the fills of stop and careful are still far apart."""
    assert contrast(PALETTE["oxide"], PALETTE["hivis"]) >= SHAPE


def test_colours_are_named_once():
    rest = CSS.replace(ROOT_BLOCK, "")
    assert set(re.findall(r"#[0-9a-f]{3,8}\b", rest)) <= {
        "#ffffff",
        "#333333",
        "#000000",
    }


def test_every_name_is_defined():
    used = set(re.findall(r"var\(--([a-z-]+)", CSS))
    defined = set(re.findall(r"--([a-z-]+):", CSS))
    assert used <= defined


def test_nothing_is_fetched_from_elsewhere():
    loaded = re.findall(r"url\(\"?([^)\"]+)", CSS)
    assert loaded
    assert all(url.startswith("../fonts/SourceSansPro-") for url in loaded)
    scripts = "".join(path.read_text() for path in STYLE.glob("*.js"))
    assert "http" not in scripts.replace("http://www.w3.org", "")


def test_columns_reach_a_whole_window_of_sixty_days():
    for number in (1, 30, 60):
        assert f".c{number}{{grid-column-start:{number}}}" in CSS
        assert f".s{number}{{grid-column-end:span {number}}}" in CSS
