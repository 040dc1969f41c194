"""Findings about remotes: whether one reaches its receiver, and which receivers it works."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lightcalc.answers.findings.finding import Finding
from lightcalc.answers.look.results import RemoteAnswer
from lightcalc.answers.wiring import Wired
from lightcalc.design.piece import Design, Supply
from lightcalc.parts.kinds import Catalogue, Controller
from lightcalc.units import show

# What a closed metal box takes from radio at the least (from memory); every 20 dB is a tenth of the
# reach in the open.
METAL_BOX_DB = 40.0

# A remote that is seen from less of where a hand may be is not counted on (judgement).
COUNTED_ON_FROM_RATIO = 0.5
BRING_OUT = (
    "Bring its eye to where it sees the room, behind a small hole, or take a radio receiver."
)


def is_followed(supply: Supply, controller: Controller | None, design: Design) -> bool:
    """Whether lines to a receiver are followed: it is infrared, and it and blocks have places."""
    infrared = controller is not None and controller.remote == "infrared"
    return infrared and supply.sensor_at_m is not None and bool(design.space.blocks)


def receiver_findings(
    wired: Wired, lines: Sequence[RemoteAnswer], system: str
) -> Iterator[Finding]:
    """Find a receiver where its remote does not reach.

    `lines` are those of the viewers to an infrared eye; with none the maker's word counts.
    """
    service, controller = wired.supply.service, wired.controller
    if controller is None or controller.kind != "receiver":
        return
    where = f"controller {controller.name}, supply {wired.supply.name}"
    if controller.remote == "infrared" and lines:
        yield from _lines(where, lines, service.sees_user, _runs(wired), system)
    elif controller.remote == "infrared" and service.sees_user is False:
        yield Finding(
            "infrared-blind",
            "stop",
            where,
            f"Infrared goes in straight lines, and this receiver, which works {_runs(wired)}, does "
            "not see who holds the remote.",
            BRING_OUT,
            {"runs_count": float(len(wired.runs))},
        )
    if controller.remote == "radio" and service.box == "metal":
        reach_ratio = 10.0 ** (-METAL_BOX_DB / 20.0)
        yield Finding(
            "radio-in-metal",
            "stop",
            where,
            f"A closed metal box takes {METAL_BOX_DB:g} dB or more from radio (from memory), which "
            f"leaves {show(reach_ratio, 'ratio')} of its reach or less.",
            "Put the receiver in a box of wood or plastic, or outside the metal.",
            {"attenuation_db": METAL_BOX_DB, "reach_ratio": reach_ratio},
        )


def _runs(wired: Wired) -> str:
    return "1 run" if len(wired.runs) == 1 else f"{len(wired.runs)} runs"


def _lines(
    where: str, lines: Sequence[RemoteAnswer], sees_user: bool | None, runs: str, system: str
) -> Iterator[Finding]:
    """Say from where the eye of an infrared receiver is not seen, and what the maker says of it."""
    hidden = [line for line in lines if line.free_ratio < COUNTED_ON_FROM_RATIO]
    hand = f"of a hand with a remote ({show(lines[0].hand_m, 'length', system)} wide)"
    figures = {
        "most_free_ratio": max(line.free_ratio for line in lines),
        "least_free_ratio": min(line.free_ratio for line in lines),
        "hidden_count": float(len(hidden)),
        "viewers_count": float(len(lines)),
    }
    if hidden:
        blind = all(line.free_ratio == 0.0 for line in lines)
        against = (
            " The design says sees_user = true, and the drawing says otherwise."
            if sees_user
            else ""
        )
        yield Finding(
            "infrared-blind" if blind else "infrared-hidden",
            "stop" if blind else "caution",
            where,
            f"Infrared goes in straight lines, and this receiver, which works {runs}, sees "
            f"{'nothing' if blind else 'too little'} {hand}: "
            f"{'; '.join(_from(line) for line in hidden)}.{against}",
            f"{BRING_OUT} If the piece is drawn wrong, correct sensor_at or the block.",
            figures,
        )
    seen = [line for line in lines if line.free_ratio >= COUNTED_ON_FROM_RATIO]
    if seen and sees_user is False:
        yield Finding(
            "infrared-word",
            "caution",
            where,
            "The design says sees_user = false, and as drawn its eye sees in a straight line "
            f"some {hand}: {'; '.join(f'{line.viewer} {_share(line)}' for line in seen)}.",
            "Take sees_user out if the piece is drawn right; else draw what hides the eye as a "
            "block, such as a door that closes before it, or correct sensor_at.",
            figures,
        )


def _from(line: RemoteAnswer) -> str:
    """Say how little is seen at a viewer, and what is most in the way."""
    by = f", hidden by {line.stopped_by[0].name}" if line.stopped_by else ""
    return f"{line.viewer} {_share(line)}{by}"


def _share(line: RemoteAnswer) -> str:
    return show(line.free_ratio, "ratio", digits=2)


def listed(words: Sequence[str]) -> str:
    """Make a list of a sentence.

    >>> listed(["a"]), listed(["a", "b", "c"])
    ('a', 'a, b and c')
    """
    return " and ".join([", ".join(words[:-1]), words[-1]]) if len(words) > 1 else words[0]


def remote_findings(design: Design, catalogue: Catalogue) -> Iterator[Finding]:
    """Receivers that one remote is to work and cannot, or that answer to another's."""
    receivers = [
        (supply, catalogue.controllers[supply.controller])
        for supply in design.supplies
        if supply.controller and catalogue.controllers[supply.controller].kind == "receiver"
    ]
    remotes: dict[str, list[tuple[Supply, Controller]]] = {}
    codes: dict[tuple[str, str], list[Supply]] = {}
    for supply, controller in receivers:
        service = supply.service
        remotes.setdefault(service.remote, []).append((supply, controller))
        if service.remote_code:
            codes.setdefault((controller.remote, service.remote_code), []).append(supply)
    for remote, worked in remotes.items():
        if len(worked) > 1:
            yield from _one_remote(remote, worked)
    for (_, code), supplies in codes.items():
        if len({supply.service.remote for supply in supplies}) > 1:
            yield Finding(
                "remote-code-shared",
                "caution",
                _supplies(supplies),
                f"{len(supplies)} receivers of different remotes have the code {code}: each "
                "remote works them all.",
                "Give each remote a code of its own.",
                {"receivers_count": float(len(supplies))},
            )


def _one_remote(remote: str, worked: Sequence[tuple[Supply, Controller]]) -> Iterator[Finding]:
    """Find what keeps one remote from working all of its receivers."""
    named = f"The remote {remote}" if remote else "One remote"
    supplies = [supply for supply, _ in worked]
    where, figures = _supplies(supplies), {"receivers_count": float(len(worked))}
    ways = list(dict.fromkeys(controller.remote for _, controller in worked))
    codes = list(dict.fromkeys(supply.service.remote_code for supply in supplies))
    split = "or give each its own remote (remote = ...)."
    if len(ways) > 1:
        yield Finding(
            "remote-ways-differ",
            "stop",
            where,
            f"{named} is to work {len(worked)} receivers, by {' and '.join(ways)}; it sends by one "
            "of them.",
            f"Take receivers of one kind, {split}",
            figures,
        )
    elif len(said := [code for code in codes if code]) > 1:
        yield Finding(
            "remote-codes-differ",
            "stop",
            where,
            f"{named} is to work {len(worked)} receivers, and they have the codes {listed(said)}.",
            f"Teach them one code, run them all from one controller, {split}",
            figures,
        )
    elif None in codes and not _alike(worked):
        yield Finding(
            "remote-code-not-said",
            "note",
            where,
            f"{named} is to work {len(worked)} receivers, and the design does not say that they "
            "share a code.",
            f'Teach them one code and write it under each, remote_code = "A", {split}',
            figures,
        )


def _alike(worked: Sequence[tuple[Supply, Controller]]) -> bool:
    """Whether receivers share a code as bought: infrared ones of one make are not taught any."""
    names = {controller.name for _, controller in worked}
    return len(names) == 1 and worked[0][1].remote == "infrared"


def _supplies(supplies: Sequence[Supply]) -> str:
    return f"supplies {listed([supply.name for supply in supplies])}"
