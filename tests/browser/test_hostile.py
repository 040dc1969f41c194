"""Names in files are shown as they stand; none of them becomes a part of the page."""

import pytest
from maker import JOINER, SCREENS

MARKUP = (
    "<img src=x onerror=alert(1)>",
    "[click](javascript:alert(1))",
    "**bold** $x^2$ :smile: :material/home: :red[red]",
    "<a href='https://elsewhere.example'>go</a> https://elsewhere.example",
    "<script>alert(1)</script>",
)
NAME = "__b__ $x$ [a](b) bench.toml"
# What would be there if a name had become markup.
MADE = {
    "pictures": "img[src$='/x'], img[src='x']",
    "scripts of a name": "script:not([src]):not([type])",
    "links that run": "a[href^='javascript' i]",
    "links out": "a[href*='elsewhere.example']",
    "formulas": ".katex",
}
FOUND = """selectors => Object.entries(selectors).filter(
    ([what, selector]) => [...document.querySelectorAll(selector)].some(
        e => selector !== "script:not([src]):not([type])" || e.textContent.includes("alert(1)")
    )
).map(([what]) => what)"""
BOLD = "[...document.querySelectorAll('strong, b')].map(e => e.textContent.trim())"


@pytest.fixture
def hostile(served):
    """A design whose every free text is markup of some kind."""
    served.design(
        NAME,
        ('name = "Hall bench with a resin seam"', f'name = "{MARKUP[0]}"'),
        ('name = "front rail"\nstrip', f'name = "{MARKUP[1]}"\nstrip'),
        ('name = "back rail"\nstrip', f'name = "{MARKUP[2]}"\nstrip'),
        ('name = "seat box"', f'name = "{MARKUP[3]}"'),
        ('surface = "the floor"', f'surface = "{MARKUP[4]}"'),
        ('name = "on the rail"', f'name = "{MARKUP[2]}"'),
    )
    served.run("answer", NAME)
    return NAME


@pytest.mark.parametrize("screen", SCREENS)
def test_hostile_names_are_text_on_every_screen(maker, hostile, screen):
    maker.open(hostile, screen)
    assert MARKUP[0] in maker.text()
    _nothing_made(maker)
    if screen == "":
        for markup in MARKUP[:4]:
            assert markup in maker.text()
    if screen == "packs":
        maker.press("Two packs")
        _nothing_made(maker)
    if screen == "charts":
        maker.page.locator(".js-plotly-plot svg.main-svg").first.wait_for()
        drawn = maker.page.locator(".js-plotly-plot").first.evaluate("e => e.textContent")
        assert "javascript:alert(1)" in drawn.replace(JOINER, "").replace("\u200b", "")
        _nothing_made(maker)


def test_what_a_mistake_quotes_is_text(maker, served):
    served.design("quoted.toml", ("liion-4s-6800", MARKUP[0]), ('"1.42 m"', f'"{MARKUP[1]}"'))
    for screen in ("", "design", "files"):
        maker.open("quoted.toml", screen, answered=False)
        maker.sees("There is no answer yet")
        assert MARKUP[0] in maker.text()
        assert MARKUP[1] in maker.text()
        _nothing_made(maker)


def test_markup_typed_into_a_field_is_text(maker, bench):
    maker.open(bench)
    for markup in MARKUP:
        maker.type("Length of front rail", markup)
        assert f'found "{markup[:12]}' in maker.text()
        _nothing_made(maker)


def _nothing_made(maker):
    assert maker.page.evaluate(FOUND, MADE) == []
    assert not {"bold", "b"} & set(maker.page.evaluate(BOLD))
    assert "\N{SMILING FACE WITH OPEN MOUTH AND SMILING EYES}" not in maker.text()
