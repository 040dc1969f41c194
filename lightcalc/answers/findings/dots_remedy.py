"""What hides dots, in one sentence that every finding of dots ends with."""

from __future__ import annotations

from lightcalc.units import show_at_least

SCATTER = "More distance does not help; add a layer that scatters (opal or milky)."
NO_ROOM = (
    "The piece leaves no room for enough distance; take a strip with LEDs closer together, or add "
    "a layer that scatters (opal or milky)."
)


def dots_remedy(
    remedy: str, hiding_distance_m: float | None, system: str, room_m: float | None = None
) -> str:
    """Say what hides dots, from the code of the remedy and the distance that would do.

    `room_m` is the most distance that the piece leaves between LEDs and surface, if that is known.

    >>> dots_remedy("more distance", 0.05, "metric")
    'Hidden from 50 mm between LEDs and surface on, or with a denser strip.'
    >>> dots_remedy("more distance", 0.05, "metric", 0.04).split(";")[0]
    'The piece leaves no room for enough distance'
    """
    if remedy == "scattering layer":
        return SCATTER
    if not hiding_distance_m:
        return "Take a strip with LEDs closer together, or a layer that scatters."
    if room_m is not None and hiding_distance_m > room_m:
        return NO_ROOM
    far = show_at_least(hiding_distance_m, system)
    return f"Hidden from {far} between LEDs and surface on, or with a denser strip."
