"""The build sheet says what the JSON answer says, needs nothing else, and harms nobody."""

import math
import re

import pytest
from designs import design, designs, few, supply
from hypothesis import given
from pieces import answered, example, pieces
from sheets import (
    EXAMPLES,
    check_harmless,
    figures,
    hostile,
    in_json,
    of_class,
    parse,
    stopped,
    text_of,
)

from lightcalc import units
from lightcalc.answers.words import CODES, Shower
from lightcalc.packet.build_sheet import FRAME_MM, build_sheet
from lightcalc.packet.care_card import care_card
from lightcalc.packet.plan import plan_drawings
from lightcalc.packet.svg import clean
from lightcalc.packet.wiring_diagram import wiring_drawings

KINDS = {
    "h": ("time", 3600.0),
    "a": ("current", 1.0),
    "v": ("voltage", 1.0),
    "m": ("length", 1.0),
    "w": ("power", 1.0),
    "ratio": ("ratio", 1.0),
    "lm": ("luminous_flux", 1.0),
}
SIXTEENTH_M = 0.0254 / 16.0


def check_figures(root, found):
    """Every figure has the value of the JSON answer, and the words beside it say the same."""
    at = in_json(found)
    shown = figures(root)
    for one in shown:
        path, value = one.get("data-figure"), at(one.get("data-figure"))
        raw = one.get("value")
        if value is None:
            assert raw == "null"
        elif isinstance(value, str):
            assert raw == value
            codes = CODES.get(path.rpartition(".")[2])
            assert one.text == (codes[value] if codes else value)
        else:
            assert float(raw) == value
            check_words(path.rpartition("_")[2], one.text, value)
    return {one.get("data-figure") for one in shown}


def check_words(ending, text, value):
    if ending not in KINDS or text.startswith("below"):
        return
    kind, si = KINDS[ending]
    read = units.read(text.replace("\u00a0", " "), kind)
    # Two digits, or a sixteenth of an inch.
    assert math.isclose(read, value * si, rel_tol=0.05, abs_tol=SIXTEENTH_M / 2.0)


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_number_is_that_of_the_json_answer(name):
    made, catalogue, found = example(name)
    paths = check_figures(parse(build_sheet(made, catalogue, found)), found)
    for n, _ in enumerate(found.supplies):
        for figure in ("hours_h", "hours_low_h", "hours_high_h", "full_level_h", "pack_peak_a"):
            assert f"supplies.{n}.{figure}" in paths
    for n, _ in enumerate(found.runs):
        for figure in ("cut_length_m", "amps_a", "fed_v", "dimmest_v", "light_fall_ratio"):
            assert f"runs.{n}.{figure}" in paths
    for n, _ in enumerate(found.wires):
        assert {f"wires.{n}.size", f"wires.{n}.length_m", f"wires.{n}.peak_a"} <= paths
    for n, fuse in enumerate(found.fuses):
        if fuse.fuse and fuse.protected_by != "converter limit":
            assert {f"fuses.{n}.fuse", f"fuses.{n}.rating_a"} <= paths
    check_figures(parse(care_card(made, catalogue, found)), found)


@pytest.mark.parametrize("name", EXAMPLES)
def test_no_code_of_the_answer_stands_raw_on_paper(name):
    made, catalogue, found = example(name)
    told = text_of(parse(build_sheet(made, catalogue, found)))
    told += text_of(parse(care_card(made, catalogue, found)))
    codes = {code for words in CODES.values() for code, said in words.items() if code not in said}
    for code in codes & {"voltage drop", "ampacity", "mechanical minimum", "lifepo4", "nimh"}:
        assert not re.search(rf"(?<![\w-]){code}(?![\w-])", told), code


def test_each_current_of_a_pack_stands_with_when_it_flows():
    made, catalogue, found = example("hall-bench")
    root = parse(build_sheet(made, catalogue, found))
    (said,) = [text_of(one) for one in root.iter("p") if "Amps of seat box" in text_of(one)]
    box, lead, show = found.supplies[0], found.wires[0], Shower("metric")
    currents = (lead.full_level_a, box.pack_peak_a, lead.peak_a)
    assert currents[0] < currents[1] < currents[2]
    places = [said.index(show.amps(amps)) for amps in currents]
    assert places == sorted(places)
    for words in (
        " at most in a charge, at its end",
        "at the worst, for its wire",
    ):
        assert words in said
    # Behind a converter the amps rise as the volts fall; straight on a pack both fall.
    assert box.series.pack_a[-1] > box.series.pack_a[0]
    straight = answered(design(supplies=(supply("liion-3s-10400", None),)))
    assert "at most in a charge, at its start" in text_of(parse(build_sheet(*straight)))


@few
@given(designs() | pieces())
def test_any_design_makes_sheets_that_hold(made):
    made, catalogue, found = made if isinstance(made, tuple) else answered(made)
    for sheet in (build_sheet(made, catalogue, found), care_card(made, catalogue, found)):
        root = parse(sheet)
        check_harmless(root)
        check_figures(root, found)


@pytest.mark.parametrize("name", EXAMPLES)
def test_drawings_keep_their_size_in_millimetres(name):
    made, catalogue, found = example(name)
    root = parse(build_sheet(made, catalogue, found))
    drawings = (
        *plan_drawings(made, catalogue, found, FRAME_MM),
        *wiring_drawings(made, catalogue, found, FRAME_MM),
    )
    written = [(one.get("width"), one.get("height")) for one in root.iter("svg")]
    assert len(written) == len(drawings)
    for (width, height), drawing in zip(written, drawings, strict=True):
        assert math.isclose(float(width.removesuffix("mm")), drawing.width_mm, abs_tol=1e-3)
        assert math.isclose(float(height.removesuffix("mm")), drawing.height_mm, abs_tol=1e-3)
    (style,) = [one.text for one in root.iter("style")]
    (rule,) = re.findall(r"^svg \{(.*?)\}", style, flags=re.MULTILINE)
    assert not re.search(r"(?<!max-)\b(width|height|zoom|transform)", rule)


def test_hostile_texts_come_out_as_texts():
    made, catalogue, found = hostile()
    for sheet in (build_sheet(made, catalogue, found), care_card(made, catalogue, found)):
        root = parse(sheet)
        check_harmless(root)
        check_figures(root, found)
        assert [one.text for one in root.iter("h1")] == [clean(made.piece.name)]
    told = text_of(parse(build_sheet(made, catalogue, found)))
    names = [run.name for run in made.runs] + [wire.wire for wire in found.wires]
    for name in (*names, *(one.surface for run in made.runs for one in run.seen)):
        assert " ".join(clean(name).split())[:40] in told
    assert " ".join(clean(made.piece.notes).split()) in text_of(parse(sheet))


def test_a_finding_of_stop_stands_large_on_top_of_each_sheet():
    made, catalogue, found = stopped()
    assert found.stops
    for sheet in (build_sheet(made, catalogue, found), care_card(made, catalogue, found)):
        root = parse(sheet)
        (box,) = of_class(root, "stop-box")
        assert [text_of(one).split(":")[0] for one in box] == ["STOP", "Do not build this yet"]
        assert "Nothing found" not in text_of(root)
    plain = parse(build_sheet(*example("hall-bench")))
    assert not of_class(plain, "stop-box")
    assert "Nothing found that stops this design." in text_of(plain)


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_finding_and_caution_is_on_the_build_sheet(name):
    made, catalogue, found = example(name)
    told = text_of(parse(build_sheet(made, catalogue, found)))
    for one in found.findings:
        assert " ".join(one.why.split()) in told
    for one in found.cautions:
        assert one.text in told


def test_where_leds_are_seen_the_sheet_itself_says_what_hides_them():
    # As in `look`, which measures lips and set-backs by the same lines of sight.
    made, catalogue, found = example("hall-bench")
    assert any(one.code == "leds-seen" for one in found.findings)
    text = text_of(parse(build_sheet(made, catalogue, found)))
    assert "says what hides them" not in text
    hints = ("Set it back", "Add a lip", "Turn its LEDs", "Take the mount", "No set-back")
    assert any(hint in text for hint in hints)
