"""There is no page yet: this file only says so, and what to use meanwhile."""

import sys

if __name__ == "__main__":
    sys.exit("lightcalc has no page yet. On the command line: lightcalc answer DESIGN")
