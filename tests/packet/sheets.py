"""Reads sheets back from their HTML, strictly: html5lib raises on the first mistake."""

import json
from dataclasses import replace
from itertools import cycle

import html5lib
from drawn import HOSTILE
from pieces import example

from lightcalc.answers.answer import answer
from lightcalc.packet.html import TAGS
from lightcalc.packet.svg import NAMESPACE
from lightcalc.packet.svg import TAGS as DRAWN_TAGS
from lightcalc.screens.json_door import to_json

EXAMPLES = ["hall-bench", "bedside-shelf", "display-cabinet"]
FORMULAS = ("=1+2", "+1", "-1", "@SUM(A1)", "two\nlines", "tab\there")


def parse(text):
    """Return the root of a sheet, its tags without the namespace of HTML or SVG."""
    root = html5lib.HTMLParser(strict=True).parse(text)
    for one in root.iter():
        one.tag = one.tag.rpartition("}")[2]
    return root


def text_of(one):
    return " ".join("".join(one.itertext()).split())


def of_class(root, class_):
    return [one for one in root.iter() if class_ in one.get("class", "").split()]


def figures(root):
    return [one for one in root.iter() if one.get("data-figure")]


def in_json(found):
    """Return what the JSON answer holds at a path."""
    whole = json.loads(to_json(found))

    def at(path):
        here = whole
        for part in path.split("."):
            here = here[int(part)] if part.isdigit() else here[part]
        return here

    return at


def check_harmless(root):
    """Check that a sheet can load, run and link to nothing."""
    for one in root.iter():
        assert one.tag in TAGS | DRAWN_TAGS
        for key, value in one.attrib.items():
            assert not key.startswith("on")
            assert key not in {"style", "src", "href", "id"}
            if not key.startswith(("data-", "value")):
                assert "url(" not in value
                assert "javascript:" not in value
                assert "//" not in value.replace(NAMESPACE, "")
    (style,) = [one.text for one in root.iter("style")]
    assert "url(" not in style
    assert "@import" not in style


def hostile_lead(lead, name, new):
    """Return a lead under a hostile name, across joints of hostile names."""
    crossing = replace(
        lead.crossing,
        joints=tuple(HOSTILE[4] + joint for joint in lead.crossing.joints),
        connector=new.get(lead.crossing.connector),
    )
    return replace(lead, name=name, crossing=crossing)


def hostile():
    """Return the demo with a hostile text wherever a design or a catalogue holds one."""
    made, catalogue, _ = example("hall-bench")
    names = cycle([*HOSTILE, *FORMULAS])
    new = {}

    def renamed(parts):
        changed = {}
        for number, (old, part) in enumerate(parts.items()):
            new[old] = f"{next(names)} {number}"
            changed[new[old]] = replace(part, name=new[old])
        return changed

    kinds = ("strips", "packs", "converters", "controllers", "wires", "fuses", "connectors")
    parts = {kind: renamed(getattr(catalogue, kind)) for kind in kinds}
    catalogue = replace(catalogue, **parts, currency="<b>EUR</b>")
    runs = []
    for number, run in enumerate(made.runs):
        seen = tuple(replace(one, surface=next(names)) for one in run.seen)
        feeds = tuple(
            replace(feed, lead=hostile_lead(feed.lead, f"{number} {next(names)}", new))
            for feed in run.feeds
        )
        runs.append(
            replace(
                run,
                name=f"{number} {next(names)}",
                strip=new[run.strip],
                supply=HOSTILE[1],
                where=next(names),
                seen=seen,
                feeds=feeds,
            )
        )
    (box,) = made.supplies
    box = replace(
        box,
        name=HOSTILE[1],
        pack=new[box.pack],
        converter=new[box.converter],
        controller=new[box.controller],
        connectors=tuple(new[name] for name in box.connectors),
        crossing=replace(box.crossing, joints=tuple(HOSTILE[4] + j for j in box.crossing.joints)),
        service=replace(box.service, reach=HOSTILE[5] + HOSTILE[0], remote=HOSTILE[2]),
    )
    joints = tuple(replace(joint, name=HOSTILE[4] + joint.name) for joint in made.joints)
    piece = replace(made.piece, name=HOSTILE[0], notes=HOSTILE[2] + HOSTILE[3])
    made = replace(made, piece=piece, runs=tuple(runs), supplies=(box,), joints=joints)
    return made, catalogue, answer(made, catalogue)


def stopped():
    """Return a design with a finding of grade stop: fuses far too large for the wires."""
    made, catalogue, _ = example("hall-bench")
    (box,) = made.supplies
    made = replace(
        made, supplies=(replace(box, fuse="blade-15a", pack_fuse="blade-15a", pack_wire="26 AWG"),)
    )
    return made, catalogue, answer(made, catalogue)
