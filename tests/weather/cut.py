"""Cuts a TMY3 file down to the columns that the tool reads: cut.py IN.csv OUT.csv.

The station's line, the columns' names and every value stay as they are, digit for digit.
"""

import csv
import sys

KEPT = [
    "Date (MM/DD/YYYY)", "Time (HH:MM)", "Dry-bulb (C)", "Dew-point (C)", "RHum (%)", "Pressure (mbar)",
    "Wdir (degrees)", "Wspd (m/s)",
]

with open(sys.argv[1], newline="") as source, open(sys.argv[2], "w", newline="") as target:
    target.write(source.readline())
    rows = csv.reader(source)
    names = next(rows)
    places = [names.index(name) for name in KEPT]
    write = csv.writer(target, lineterminator="\n").writerow
    write(KEPT)
    for row in rows:
        write([row[place] for place in places])
