"""Charts for the page: answers go in, a figure with a sentence and its numbers comes out.

Nothing is computed here but units. Importing it loads Plotly, which only the page needs.
"""

from lightcalc.screens.charts.along import light_along_runs, volts_along_runs
from lightcalc.screens.charts.balance import balance_chart
from lightcalc.screens.charts.chart import Chart, csv_text
from lightcalc.screens.charts.distance import distance_chart
from lightcalc.screens.charts.evening import evening_chart
from lightcalc.screens.charts.frontier import frontier_chart
from lightcalc.screens.charts.levels import level_chart
from lightcalc.screens.charts.light_map import floor_map, wall_map
from lightcalc.screens.charts.pack_size import pack_size_chart
from lightcalc.screens.charts.wires import wire_chart

__all__ = [
    "Chart",
    "balance_chart",
    "csv_text",
    "distance_chart",
    "evening_chart",
    "floor_map",
    "frontier_chart",
    "level_chart",
    "light_along_runs",
    "pack_size_chart",
    "volts_along_runs",
    "wall_map",
    "wire_chart",
]
