"""Where the power goes, from the cells to the light."""

from __future__ import annotations

from lightcalc.answers.results import BalanceAnswer, SupplyAnswer
from lightcalc.answers.words import Shower
from lightcalc.screens.charts.chart import Chart
from lightcalc.screens.charts.style import COLOURS, Spec, axis, begin, figure, file_name, plain

LIGHT = "light"
_PARTS = {
    "strip_light_w": LIGHT,
    "strip_heat_w": "heat of the LEDs",
    "rail_heat_w": "copper of the strip",
    "lead_heat_w": "leads",
    "controller_heat_w": "controller",
    "standby_w": "standby",
    "converter_heat_w": "converter",
    "pack_lead_heat_w": "pack lead",
    "pack_heat_w": "inside the pack",
}
_ROW_PX = 30


def balance_chart(supply: SupplyAnswer, show: Shower) -> Chart:
    """Draw what becomes of the power that the cells give, the largest share first."""
    shares = _shares(supply.balance)
    names, watts = list(shares), list(shares.values())
    whole_w = supply.balance.cells_w
    count = len(names)
    return Chart(
        title=f"Where the power of {plain(supply.supply)} goes",
        says=_says(supply, shares, show),
        figure=figure(
            [_bars(names, watts, whole_w, show)],
            height=_ROW_PX * count + 80,
            bargap=0.3,
            showlegend=False,
            xaxis=axis("Power at full level (W)", range=[0.0, 1.45 * max([*watts, 1e-3])]),
            yaxis=axis(
                "",
                range=[max(count, 1) - 0.5, -0.5],
                tickvals=list(range(count)),
                ticktext=names,
                showgrid=False,
            ),
        ),
        columns=("where", "power (W)", "share of what the cells give (%)"),
        rows=tuple(
            (name, power, 100.0 * power / whole_w) for name, power in zip(names, watts, strict=True)
        ),
        file_name=file_name("where the power goes in", supply.supply),
        alt="Bar chart of where the power of the cells goes, the largest first: "
        + (", ".join(_told(n, w, whole_w, show) for n, w in shares.items()) or "nowhere")
        + ".",
    )


def _shares(balance: BalanceAnswer) -> dict[str, float]:
    """Every part that takes some power, the largest first."""
    parts = {name: getattr(balance, field) for field, name in _PARTS.items()}
    used = ((name, power_w) for name, power_w in parts.items() if power_w > 0.0)
    return dict(sorted(used, key=lambda part: -part[1]))


def _told(name: str, power_w: float, whole_w: float, show: Shower) -> str:
    return f"{name} {show.power(power_w)} ({show.ratio(power_w / whole_w)})"


def _says(supply: SupplyAnswer, shares: dict[str, float], show: Shower) -> str:
    if not shares:
        return f"{plain(supply.supply)} gives no light, so there is no power to share out."
    whole_w, light_w = supply.balance.cells_w, shares.get(LIGHT, 0.0)
    lost = next((name for name in shares if name != LIGHT), None)
    rest = (
        f" Most of the rest goes here: {_told(lost, shares[lost], whole_w, show)}." if lost else ""
    )
    return (
        f"At full level, half way through a charge, the cells of {plain(supply.supply)} give "
        f"{show.power(whole_w)}, of which {show.power(light_w)} ({show.ratio(light_w / whole_w)}) "
        f"leave as light.{rest}"
    )


def _bars(names: list[str], watts: list[float], whole_w: float, show: Shower) -> Spec:
    light = [name == LIGHT for name in names]
    colours = [COLOURS[0] if lit else COLOURS[1] for lit in light]
    return {
        "type": "bar",
        "orientation": "h",
        "x": watts,
        "y": list(range(len(names))),
        "marker": {
            "color": colours,
            "line": {"color": colours, "width": 1},
            "pattern": {
                "shape": ["" if lit else "/" for lit in light],
                "fillmode": "replace",
                "size": 7,
                "solidity": 0.5,
            },
        },
        "text": [f"{show.power(w)}, {show.ratio(w / whole_w)}" for w in watts],
        "textposition": "outside",
        "cliponaxis": False,
        "hoverinfo": "text",
        "hovertext": [
            f"{begin(name)}: {show.power(w)},<br>{show.ratio(w / whole_w)} of what the cells give"
            for name, w in zip(names, watts, strict=True)
        ],
    }
