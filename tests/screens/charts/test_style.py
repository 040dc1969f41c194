"""The shared look: seen by every eye on every page, narrow or wide, and no text taken for a tag."""

import itertools
import re
import warnings

import numpy as np
import pytest
from to_draw import HOSTILE, INCH, METRIC, as_drawn, every_chart, named, texts

from lightcalc.screens.charts.style import COLOURS, DASHES, MARKERS, NEUTRAL, line, literal, marker

# Grounds of the light and the dark themes of Streamlit, 1.36 and 1.67.
PAGES = {"light": "#ffffff", "dark": "#0e1117", "newer dark": "#171614"}
DRAWN = (*COLOURS, NEUTRAL)


def axes(made):
    return [*made.figure.select_xaxes(), *made.figure.select_yaxes()]


def linear(colour):
    """Linear sRGB from a hex colour (IEC 61966-2-1)."""
    shares = np.array([int(colour[at : at + 2], 16) for at in (1, 3, 5)]) / 255.0
    return np.where(shares <= 0.04045, shares / 12.92, ((shares + 0.055) / 1.055) ** 2.4)


def contrast(one, other):
    """Contrast ratio of WCAG 2.2, from its definitions of it and of relative luminance."""
    dark, light = sorted(float(linear(c) @ [0.2126, 0.7152, 0.0722]) for c in (one, other))
    return (light + 0.05) / (dark + 0.05)


def test_black_and_white_have_the_contrast_that_wcag_names():
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)


@pytest.mark.parametrize("page", PAGES.values(), ids=PAGES)
@pytest.mark.parametrize("colour", DRAWN)
def test_every_colour_stands_out_from_every_page(colour, page):
    # WCAG 2.2, success criterion 1.4.11: graphical objects 3 to 1.
    assert contrast(colour, page) >= 3.0


@pytest.fixture(scope="module")
def blindness():
    """Matrices on linear sRGB of full protanopia, deuteranopia, tritanopia: Machado et al. 2009."""
    with warnings.catch_warnings(), np.printoptions():
        warnings.simplefilter("ignore")
        import colour
        from colour.blindness import matrix_cvd_Machado2009

        kinds = ("Protanomaly", "Deuteranomaly", "Tritanomaly")
        return colour, [np.eye(3), *(matrix_cvd_Machado2009(kind, 1.0) for kind in kinds)]


def test_no_two_colours_look_alike_to_a_colour_blind_eye(blindness):
    colour, matrices = blindness
    for matrix in matrices:
        labs = [
            colour.XYZ_to_Lab(colour.RGB_to_XYZ((matrix @ linear(c)).clip(0.0, 1.0), "sRGB"))
            for c in DRAWN
        ]
        for one, other in itertools.combinations(labs, 2):
            # CIEDE2000; about 1 can just be told apart side by side, 10 at a glance (from memory).
            assert colour.delta_E(one, other, method="CIE 2000") > 10.0


def test_a_red_and_a_green_would_be_found_to_look_alike(blindness):
    colour, (_, _, deuteranopia, _) = blindness
    one, other = (
        colour.XYZ_to_Lab(colour.RGB_to_XYZ((deuteranopia @ linear(c)).clip(0.0, 1.0), "sRGB"))
        for c in ("#b07d00", "#d55e00")
    )
    assert colour.delta_E(one, other, method="CIE 2000") < 10.0


def test_many_things_are_drawn_each_in_its_own_way():
    ways = {(line(n)["color"], line(n)["dash"], marker(n)["symbol"]) for n in range(20)}
    assert len(ways) == 20
    # No two that follow each other differ by colour alone.
    assert all(line(n)["dash"] != line(n + 1)["dash"] for n in range(20))
    assert len(set(DASHES)) == len(DASHES)
    assert len(set(MARKERS)) == len(MARKERS)


@pytest.mark.parametrize("show", [METRIC, INCH], ids=lambda show: show.system)
def test_every_chart_suits_any_page(show):
    for made in every_chart(show):
        layout = made.figure.layout
        assert layout.paper_bgcolor == layout.plot_bgcolor == "rgba(0,0,0,0)"
        assert layout.width is None
        assert layout.autosize
        assert layout.font.color is None
        assert layout.title.text is None
        assert layout.dragmode is False
        for axis in axes(made):
            assert axis.fixedrange
            assert axis.automargin


@pytest.mark.parametrize("show", [METRIC, INCH], ids=lambda show: show.system)
def test_every_chart_reads_itself(show):
    for made in every_chart(show):
        for text in (made.title, made.says, made.alt):
            assert text[0].isupper(), text
            assert "<" not in text
            assert "nan" not in text
        assert made.says.endswith(".")
        assert made.alt.endswith(".")
        assert re.search(r"\d ", made.says), made.says


def test_every_axis_of_numbers_names_its_unit():
    for show in (METRIC, INCH):
        for made in every_chart(show):
            for axis in axes(made):
                # Names along the axis, or numbers each with its unit, need no title.
                spoken = axis.ticktext and any(" " in text for text in axis.ticktext)
                title = axis.title.text
                assert spoken or re.search(
                    r"\((%.*|V|h|W|Ah|EUR|m|mm|in|feet and inches)\)$", title
                )


@pytest.mark.parametrize("name", HOSTILE, ids=repr)
def test_names_from_files_are_drawn_letter_by_letter(name):
    shown = " ".join(name.replace("\x1b", "").split())
    found = 0
    for made in named(name):
        for text in texts(made.figure.to_plotly_json()):
            # Only here does Plotly put numbers in, and no name is in it.
            if text.endswith("<extra></extra>"):
                continue
            found += shown in " ".join(as_drawn(text))
            bare = text.replace("<br>", "")
            assert "<" not in bare
            assert ">" not in bare
            assert "$" not in bare
            assert "{" not in bare
            assert re.fullmatch(r"([^&]|&(lt|gt|amp|#36|#123);)*", bare)
            assert bare.isprintable()
    assert found >= 8


def test_a_break_in_a_name_is_no_break():
    for made in named("oak<br>ash"):
        for text in texts(made.figure.to_plotly_json()):
            assert "oak<br>" not in text


def test_a_name_without_end_is_cut():
    for made in named("x" * 5000):
        figure = made.figure.to_plotly_json()
        assert max(len(text) for text in texts(figure)) < 300
        assert len(made.title) < 120
        assert len(made.says) < 500


def test_what_is_plain_stays_as_it_is():
    assert literal('front rail, 1.2 m, 50 % "oak"') == 'front rail, 1.2 m, 50 % "oak"'


UNITS = "AWG|Ah|A|EUR|V|W|mW|cm|ft|g|h|in|kg|lb|lx|m|mA|min|mm2|mm|oz|s"


@pytest.mark.parametrize("show", [METRIC, INCH], ids=lambda show: show.system)
def test_hovering_over_any_chart_reads_like_a_sentence(show):
    for made in every_chart(show):
        told = [text for one in made.figure.data for text in one.hovertext or ()]
        assert told or made.figure.data[0].hovertemplate, made.title
        for text in told:
            words = text.replace("<br>", " ")
            assert words[0].isupper() or words[0].isdigit(), text
            assert len(re.findall(r"[A-Za-z]{2,}", words)) >= 3, text
            # No number stands bare, and only LEDs have none.
            bare, count = re.subn(rf"\d[\d./ ]*({UNITS})\b|\d[\d.]* %", "", words)
            assert not re.search(r"\d", bare), text
            assert count or words.startswith("LEDs of"), text
