"""What eyes see, in the same two words everywhere: dots in the light, and the LEDs themselves.

Dots are a pattern in the light on a surface, and are hidden, faint or plain. LEDs are seen bare,
through an inlay or mirrored in the floor, or hidden from every eye. One says nothing of the other.
"""

from __future__ import annotations

from collections.abc import Sequence

from lightcalc.answers.results import Answer

WORST_FIRST = ("plain", "faint", "hidden")
SEEN = {"direct": "seen bare", "through": "seen through an inlay", "mirrored": "seen mirrored"}


def dots_words(answer: Answer) -> str:
    """Say how the dots show on each surface that is judged; empty when none is."""
    return "; ".join(f"{dots.run} on {dots.surface}: {dots.verdict}" for dots in answer.dots)


def leds_words(answer: Answer) -> str:
    """Say in which ways LEDs are seen, and by which eyes; empty for a piece not drawn in space."""
    if not answer.eyes:
        return ""
    parts = []
    for way, words in SEEN.items():
        seen = {sight.eye for sight in answer.sights if sight.way == way}
        eyes = [eye for eye in answer.eyes if eye in seen]
        if eyes:
            parts.append(f"{words} from {_eyes(eyes, answer.eyes)}")
    return "; ".join(parts) or "hidden from every eye"


def in_two_words(answer: Answer) -> str:
    """Say the worst of both, such as `Dots hidden, LEDs mirrored`; empty when neither is judged."""
    parts = []
    if answer.dots:
        verdicts = {dots.verdict for dots in answer.dots}
        parts.append(f"dots {next(word for word in WORST_FIRST if word in verdicts)}")
    if answer.eyes:
        ways = {sight.way for sight in answer.sights}
        seen = "mirrored" if ways == {"mirrored"} else "seen"
        parts.append(f"LEDs {seen if ways else 'hidden'}")
    text = ", ".join(parts)
    return f"{text[:1].upper()}{text[1:]}"


def _eyes(eyes: Sequence[str], every: Sequence[str]) -> str:
    if len(every) > 1 and len(eyes) == len(every):
        return "every eye"
    return " and ".join([", ".join(eyes[:-1]), eyes[-1]] if len(eyes) > 1 else eyes)
