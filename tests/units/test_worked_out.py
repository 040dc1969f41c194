"""The scales kept in a file are those that pint works out."""

import subprocess
import sys

from lightcalc.units import read
from lightcalc.units.__main__ import work_out
from lightcalc.units.worked_out import worked_out


def test_the_file_holds_what_pint_works_out():
    anew = {(unit, kind): (factor, offset) for unit, kind, factor, offset in work_out()}
    assert worked_out() == anew


def test_common_quantities_are_read_without_loading_pint():
    code = (
        "import sys; from lightcalc.units import read; read('5 ft 3 in', 'length'); "
        "read('14.4 W/m', 'power_per_length'); read('68 degF', 'temperature'); "
        "sys.exit('pint' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_a_unit_that_is_not_in_the_file_still_goes_to_pint():
    assert ("W/yd", "power_per_length") not in worked_out()
    # The yard is 0.9144 m by the agreement of 1959.
    assert read("0.9144 W/yd", "power_per_length") == 1.0
