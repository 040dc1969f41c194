"""Begin another way to build a piece; nothing of the one before is lost."""

from __future__ import annotations

from collections.abc import Sequence

from lightcalc.folder.uploads import take_design
from lightcalc.problems import BadInput
from lightcalc.screens.page.desk import Desk, tell
from lightcalc.screens.page.plain import plain


def set_aside(desk: Desk, begun: Sequence[str]) -> bool:
    """Give an other way that was edited a file of its own; return whether nothing is lost."""
    other = desk.text("other")
    if not other or other in begun:
        return True
    try:
        name = take_design(desk.folder, desk.work.name, other.encode())
    except BadInput as bad:
        tell("; ".join(plain(str(problem)) for problem in bad.problems))
        return False
    tell(f"The other way as it was is now the design {plain(name)}.")
    return True
