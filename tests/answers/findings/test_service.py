"""Each finding about service appears where it is deserved, and a silent design gets one note."""

from dataclasses import replace

import pytest
from designs import catalogue_with, design, feed, mistakes, parts, run, supply

from lightcalc.answers.answer import answer
from lightcalc.design.piece import Feed, Lead
from lightcalc.design.service import Crossing, Joint, Service
from lightcalc.design.space import Block, Space, Viewer
from lightcalc.tables.fasteners import fasteners

SAID = Service(reach="open the door", held_by="shelf", box="wood", sees_user=True)
SEAT = Joint("seat to base")
FIXED = Joint("frame", removable=False)
BEHIND = Joint("back panel", reached_from="pack side")


def of(
    *, crossing=None, joints=(SEAT, FIXED, BEHIND), strip="strip-12v-60-warm", said=None, **source
):
    """Return a design of one run whose feed lead crosses what it is told to."""
    lead = Lead("lead", 0.5, crossing=crossing or Crossing())
    source.setdefault("controller", "receiver-radio-4ch")
    service = replace(SAID, **(said or {}))
    one = run(strip, 0.5, feeds=(Feed(0.0, lead),))
    return replace(design(one, supplies=(supply(service=service, **source),)), joints=tuple(joints))


def two(first, second, controllers=("receiver-radio-1ch", "receiver-radio-1ch")):
    """Return a design of two supplies, each with a receiver, of which these things are said."""
    runs = (run(name="a", supply="left"), run(name="b", supply="right"))
    supplies = tuple(
        supply(name=name, controller=controller, service=replace(SAID, **said))
        for name, controller, said in zip(
            ("left", "right"), controllers, (first, second), strict=True
        )
    )
    return design(*runs, supplies=supplies)


def crossing(joint, connector=None, side=None):
    return Crossing((joint.name,), connector, side)


def hanging(held_by, pack="liion-4s-6800", **held):
    said = {"held_by": held_by, "overhead": True, **held}
    return of(pack=pack, converter="buckboost-12v-4a", said=said)


IR = ("receiver-infrared-1ch", "receiver-infrared-1ch")
BOTH = ("receiver-infrared-1ch", "receiver-radio-1ch")
PLAIN = of()
# A rail 2 cm thick, from the floor to 40 cm, and who sits 2 m in front of it with eyes at 1.1 m.
RAIL = Space(
    blocks=(Block("rail", (0.0, 0.1, 0.0), (1.0, 0.02, 0.4), "oak"),),
    viewers=(Viewer("sofa", (0.5, -2.0, 1.1)), Viewer("behind", (0.5, 2.0, 1.1))),
)


def eyed(at_m, viewers=("sofa", "behind"), remote=IR[0], **said):
    """Return a design with an eye by the rail, and those of the viewers that are named."""
    made = of(controller=remote, said={"sees_user": None, **said})
    box = replace(made.supplies[0], sensor_at_m=at_m)
    there = tuple(one for one in RAIL.viewers if one.name in viewers)
    return replace(made, supplies=(box,), space=replace(RAIL, viewers=there))


FRONT, BACK = (0.5, 0.1, 0.3), (0.5, 0.12, 0.3)
CASES = {
    "joint-no-connector": (
        "stop",
        of(crossing=crossing(SEAT)),
        of(crossing=crossing(SEAT, "plug-small-2")),
    ),
    "joint-wrong-side": (
        "stop",
        of(crossing=crossing(BEHIND, "plug-small-2", "strip side")),
        of(crossing=crossing(BEHIND, "plug-small-2", "pack side")),
    ),
    "joint-side-not-said": (
        "note",
        of(crossing=crossing(BEHIND, "plug-small-2")),
        of(crossing=crossing(SEAT, "plug-small-2")),
    ),
    "connector-poles": (
        "stop",
        of(strip="strip-12v-rgb-60", crossing=crossing(SEAT, "plug-small-2")),
        of(strip="strip-12v-rgb-60", crossing=crossing(SEAT, "plug-locking-4")),
    ),
    "pack-sealed": ("stop", of(said={"sealed": True, "reach": None}), PLAIN),
    "pack-hold": ("stop", hanging("clips", "sla-12v-7ah", held_count=2), PLAIN),
    "hold-not-said": ("note", hanging("hook and loop"), hanging("screws", held_count=2)),
    "infrared-blind": (
        "stop",
        of(controller=IR[0], said={"sees_user": False}),
        of(controller=IR[0]),
    ),
    "infrared-hidden": ("caution", eyed(FRONT), eyed(FRONT, ["sofa"])),
    "infrared-word": (
        "caution",
        eyed(FRONT, ["sofa"], sees_user=False),
        eyed(FRONT, ["sofa"], sees_user=True),
    ),
    "radio-in-metal": (
        "stop",
        of(said={"box": "metal"}),
        of(controller=IR[0], said={"box": "metal"}),
    ),
    "remote-codes-differ": (
        "stop",
        two({"remote_code": "A"}, {"remote_code": "B"}),
        two({"remote_code": "A"}, {"remote_code": "A"}),
    ),
    "remote-ways-differ": (
        "stop",
        two({}, {}, BOTH),
        two({"remote": "lamp"}, {"remote": "shelf"}, BOTH),
    ),
    "remote-code-not-said": ("note", two({}, {"remote_code": "A"}), two({}, {}, IR)),
    "remote-code-shared": (
        "caution",
        two({"remote": "l", "remote_code": "A"}, {"remote": "r", "remote_code": "A"}),
        two({"remote": "l", "remote_code": "A"}, {"remote": "r", "remote_code": "B"}),
    ),
    "service-not-said": ("note", design(), PLAIN),
}


def findings(made, catalogue=None):
    return answer(made, catalogue or parts()).findings


def graded(made, code, catalogue=None):
    return [finding.grade for finding in findings(made, catalogue) if finding.code == code]


@pytest.mark.parametrize("code", CASES)
def test_a_finding_appears_where_it_is_deserved_and_not_elsewhere(code):
    grade, deserving, innocent = CASES[code]
    assert not mistakes(deserving)
    assert not mistakes(innocent)
    assert graded(deserving, code) == [grade]
    assert graded(innocent, code) == []


@pytest.mark.parametrize("reached", ["pack side", "strip side", "both sides"])
@pytest.mark.parametrize("hung", ["pack side", "strip side"])
def test_a_connector_hangs_where_the_joint_is_reached_from(reached, hung):
    joint = Joint("back panel", reached_from=reached)
    made = of(crossing=crossing(joint, "plug-small-2", hung), joints=(joint,))
    wrong = reached not in {hung, "both sides"}
    assert graded(made, "joint-wrong-side") == (["stop"] if wrong else [])


def test_a_joint_that_stays_shut_asks_for_no_connector():
    assert graded(of(crossing=crossing(FIXED)), "joint-no-connector") == []


def test_a_connector_at_the_pack_does_not_part_a_lead_after_it():
    made = of(crossing=crossing(SEAT), connectors=("plug-polarised-2",))
    (finding,) = [f for f in findings(made) if f.code == "joint-no-connector"]
    assert finding.where == "lead lead"
    assert finding.figures == {"conductors_count": 2.0}


def test_a_pack_lead_is_parted_by_the_connectors_of_its_supply():
    for connectors, grades in (((), ["stop"]), (("plug-polarised-2",), [])):
        made = of(connectors=connectors)
        box = replace(made.supplies[0], crossing=Crossing(("seat to base",)))
        assert graded(replace(made, supplies=(box,)), "joint-no-connector") == grades


def test_a_trunk_across_a_joint_needs_its_own_connector():
    for plug, grades in ((None, ["stop"]), ("plug-small-2", [])):
        trunk = Lead("trunk", 1.0, crossing=crossing(SEAT, plug))
        one = run(feeds=(feed(parent="trunk"),))
        made = replace(design(one, trunks=(trunk,)), joints=(SEAT,))
        assert graded(made, "joint-no-connector") == grades


def test_a_connector_in_a_lead_carries_what_the_lead_does():
    weak = catalogue_with("connectors", "plug-small-2", max_amps=0.05)
    low = catalogue_with("connectors", "plug-small-2", max_v=10.0)
    made = of(crossing=crossing(SEAT, "plug-small-2"))
    for catalogue, code in ((weak, "connector-current"), (low, "connector-volts")):
        assert graded(made, code, catalogue) == ["stop"]
        assert graded(made, code) == []


def test_a_pack_that_hangs_weighs_its_mass_times_9_81():
    # sla-12v-7ah weighs 2.15 kg; two clips hold 10 N each (the table of fasteners).
    (finding,) = [f for f in findings(CASES["pack-hold"][1]) if f.code == "pack-hold"]
    assert finding.figures["weight_n"] == pytest.approx(2.15 * 9.81)
    assert finding.figures["holds_n"] == pytest.approx(20.0)
    # Three times 21.1 N is 63.3 N, and seven clips hold 70 N.
    assert "7 clips" in finding.remedy
    assert "from memory" in finding.why


@pytest.mark.parametrize("held_by", ["hook and loop", "clips"])
def test_what_a_remedy_asks_for_is_enough_and_a_little_less_is_a_caution(held_by):
    fastener = fasteners()[held_by]
    asked_n = 0.42 * 9.81 * fastener.times_asked  # liion-4s-6800 weighs 420 g
    if fastener.counted_by == "area":
        area_m2 = fastener.least_area_m2(asked_n)
        enough, less = {"held_area_m2": area_m2}, {"held_area_m2": 0.9 * area_m2}
    else:
        count = int(-(-asked_n // fastener.each_n))
        enough, less = {"held_count": count}, {"held_count": count - 1}
    assert graded(hanging(held_by, **enough), "pack-hold") == []
    assert graded(hanging(held_by, **less), "pack-hold") == ["caution"]


def test_a_pack_of_twice_the_cells_hangs_twice_as_heavy():
    held = {"held_by": "clips", "held_count": 2, "overhead": True}
    one, both = (of(pack_multiple=n, said=held) for n in (1, 2))
    assert fasteners()["clips"].holds_n(count=2) == 20.0
    assert graded(one, "pack-hold") == []
    assert graded(both, "pack-hold") == ["caution"]


def test_a_pack_that_does_not_hang_is_held_by_anything():
    assert graded(of(said={"held_by": "clips", "held_count": 1}), "pack-hold") == []
    assert graded(of(said={"held_by": "shelf", "overhead": True}), "pack-hold") == []


def test_a_pack_whose_mass_nobody_knows_is_said_to_be_so():
    unknown = catalogue_with("packs", "liion-4s-6800", mass_kg=None)
    made = hanging("clips", held_count=2)
    assert graded(made, "pack-mass-unknown", unknown) == ["note"]
    assert graded(made, "pack-hold", unknown) == []
    assert graded(made, "pack-mass-unknown") == []


def test_a_silent_design_is_asked_once_for_all_that_matters():
    radio = design(supplies=(supply(controller="receiver-radio-1ch"),))
    infrared = design(supplies=(supply(controller=IR[0]),))
    for made, asked, other in ((radio, "box = ", "sees_user"), (infrared, "sees_user = ", "box")):
        found = [f for f in findings(made) if f.code == "service-not-said"]
        assert [f.grade for f in found] == ["note"]
        for key in ("reach = ", "held_by = ", "[[joints]]", asked):
            assert key in found[0].remedy
        assert other not in found[0].remedy
        assert "420 g" in found[0].why


def test_service_that_is_not_said_stops_nothing():
    quiet = [f for f in findings(design()) if f.code in CASES]
    assert [f.code for f in quiet] == ["service-not-said"]


def test_lines_to_an_eye_count_before_the_word_of_the_maker():
    # The rail is between the eye on its back and the sofa, whatever the maker says.
    for word in (None, True, False):
        (finding,) = [
            one
            for one in findings(eyed(BACK, ["sofa"], sees_user=word))
            if one.code == "infrared-blind"
        ]
        assert finding.grade == "stop"
        assert "sofa 0 %, hidden by rail" in finding.why
        assert "200 mm" in finding.why
        assert ("sees_user = true, and the drawing says otherwise" in finding.why) == bool(word)
    for word in (None, True):
        assert graded(eyed(FRONT, ["sofa"], sees_user=word), "infrared-blind") == []


def test_who_is_behind_the_rail_is_named_and_who_is_before_it_is_not():
    (finding,) = [one for one in findings(eyed(FRONT)) if one.code == "infrared-hidden"]
    assert "behind 0 %, hidden by rail" in finding.why
    assert "sofa" not in finding.why
    assert finding.figures == {
        "most_free_ratio": 1.0,
        "least_free_ratio": 0.0,
        "hidden_count": 1.0,
        "viewers_count": 2.0,
    }


def test_a_maker_who_says_that_it_sees_nobody_is_told_whom_it_sees():
    (finding,) = [
        one
        for one in findings(eyed(FRONT, ["sofa"], sees_user=False))
        if one.code == "infrared-word"
    ]
    assert "sofa 100 %" in finding.why
    assert "sensor_at" in finding.remedy


def test_without_a_place_or_blocks_the_word_of_the_maker_counts():
    placed = eyed(BACK, ["sofa"], sees_user=True)
    nowhere = replace(placed, supplies=(replace(placed.supplies[0], sensor_at_m=None),))
    bare = replace(placed, space=Space())
    for made in (nowhere, bare):
        assert answer(made, parts()).remotes == ()
        assert graded(made, "infrared-blind") == []
        said = replace(made.supplies[0].service, sees_user=False)
        blind = replace(made, supplies=(replace(made.supplies[0], service=said),))
        assert graded(blind, "infrared-blind") == ["stop"]


def test_radio_goes_through_wood():
    made = eyed(BACK, ["sofa"], remote="receiver-radio-1ch")
    assert answer(made, parts()).remotes == ()
    assert not {one.code for one in findings(made)} & {"infrared-blind", "infrared-hidden"}


def test_an_eye_with_a_place_is_not_asked_about():
    asked = [one.why for one in findings(eyed(FRONT, ["sofa"])) if one.code == "service-not-said"]
    assert asked == []
    (note,) = [
        one
        for one in findings(eyed(None, ["sofa"], sees_user=None))
        if one.code == "service-not-said"
    ]
    assert "sensor_at" in note.remedy


def test_viewers_who_are_not_named_sit_and_stand_round_the_piece():
    lines = answer(eyed(FRONT, []), parts()).remotes
    assert [line.viewer for line in lines] == [
        "seated in front",
        "standing in front",
        "seated to the left",
        "standing to the right",
    ]
    assert [line.free_ratio for line in lines[:2]] == [1.0, 1.0]


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({}, True),
        ({"connectors": ("plug-round-2",)}, False),
        ({"pack": "usb-20000-stays-on", "converter": "boost-12v-1a5"}, False),
        ({"pack": "aa-alkaline-8", "converter": None}, False),
    ],
)
def test_a_pack_that_is_charged_and_has_no_plug_gets_a_note_and_one_that_fits(changes, said):
    notes = [one for one in answer(of(**changes), parts()).findings if one.code == "pack-no-plug"]
    assert bool(notes) == said
    for note in notes:
        assert note.grade == "note"
        name = note.remedy.partition('["')[2].partition('"]')[0]
        mended = answer(of(connectors=(name,)), parts())
        codes = {one.code for one in mended.findings}
        assert not codes & {"pack-no-plug", "connector-current", "connector-volts"}
        # It is parted at every charge: of those that fit, the one made for most times.
        cycles = {one.name: one.cycles for one in parts().connectors.values() if one.poles == 2}
        assert cycles[name] == max(cycles.values())
