"""Reads the weather files of tests/data/weather with pvlib, an open library of another language, and writes values.csv.

Run from the repository's root, with the versions in requirements.txt:

    python3 -m venv venv
    venv/bin/pip install -r tests/weather/requirements.txt
    venv/bin/python tests/weather/reference.py

Every column that the tool keeps, month by month: how many values, their sum, least and greatest, and the sum of each value
times its place in the file, which no other order of the same values gives. Then what follows from the definitions: dry-bulbs
reached or exceeded, hours above a temperature, the hours of wind from sixteen directions. Where a file gives all directions in tens of
degrees, each stands for the ten degrees about it: it is put down as eight eighths, in the middles of steps of 1.25 degrees, of which
a sixteenth of the compass holds eighteen and is bounded by whole ones.
"""

import csv
import math
from pathlib import Path

import numpy as np
from pvlib.iotools import read_epw, read_tmy3

FOLDER = Path("tests/data/weather")
# Name here, in an EPW, in a TMY3, and what a TMY3 is multiplied by.
COLUMNS = [
    ("dry_bulb_C", "temp_air", "Dry-bulb (C)", 1),
    ("dew_point_C", "temp_dew", "Dew-point (C)", 1),
    ("humidity_percent", "relative_humidity", "RHum (%)", 1),
    ("pressure_Pa", "atmospheric_pressure", "Pressure (mbar)", 100),
    ("wind_from_deg", "wind_direction", "Wdir (degrees)", 1),
    ("wind_m_s", "wind_speed", "Wspd (m/s)", 1),
]


def columns(path):
    """Month of each record, and the columns, missing codes of the published lists as NaN."""
    if path.suffix == ".epw":
        frame, _ = read_epw(path)
        values = {name: np.array(frame[epw], float) for name, epw, _, _ in COLUMNS}
        months = frame["month"].to_numpy(int)
        codes = {"dry_bulb_C": 99, "dew_point_C": 99, "pressure_Pa": 999999}
        for name, column in values.items():
            column[column >= codes.get(name, 999)] = math.nan
    else:
        frame, _ = read_tmy3(path, map_variables=False)
        values = {name: np.array(frame[tmy3], float) for name, _, tmy3, _ in COLUMNS}
        # The index is the time at which the hour ends.
        months = frame["Date (MM/DD/YYYY)"].str[:2].to_numpy(int)
        for name, _, _, factor in COLUMNS:
            values[name][values[name] <= -9900] = math.nan
            values[name] *= factor
    return months, values


def rows(path):
    months, values = columns(path)
    places = np.arange(1, len(months) + 1)
    for name, column in values.items():
        for month in range(1, 13):
            of = (months == month) & ~np.isnan(column)
            part = column[of]
            yield name, month, "count", int(of.sum())
            yield name, month, "sum", math.fsum(part)
            yield name, month, "least", part.min()
            yield name, month, "greatest", part.max()
            yield name, month, "sum by place", math.fsum(part * places[of])
    dry = values["dry_bulb_C"][~np.isnan(values["dry_bulb_C"])]
    falling = np.sort(dry)[::-1]
    for percent in (0, 0.4, 1, 2, 10, 50, 99, 99.6):
        yield "exceeded_C", "", percent, falling[int(percent / 100 * len(falling))]
    yield "exceeded_C", "", 100, falling[-1]
    for above in (-5, 0, 20, 25, 30, 33):
        yield "hours_above_C", "", above, int((dry > above).sum())
    speed, origin = values["wind_m_s"], values["wind_from_deg"]
    yield "wind_hours", "", "calm", int((speed == 0).sum())
    windy = (speed > 0) & ~np.isnan(origin)
    tens = (origin[windy] % 10 == 0).all()
    asides = (np.arange(8) - 3.5) * 1.25 if tens else np.zeros(1)
    for season, which in (("year", np.ones(len(months), bool)), ("June to August", (months >= 6) & (months <= 8))):
        for sixteenth in range(16):
            eighths = np.zeros(len(origin))
            for aside in asides:
                off = (origin + aside - sixteenth * 22.5 + 180) % 360 - 180
                eighths += which & windy & (off >= -11.25) & (off < 11.25)
            share = eighths / len(asides)
            yield "wind_hours", season, sixteenth, float(share.sum())
            if share.any():
                yield "wind_mean_m_s", season, sixteenth, math.fsum(share * np.nan_to_num(speed)) / share.sum()
    pressure = values["pressure_Pa"]
    yield "pressure_mean_Pa", "", "", math.fsum(pressure[~np.isnan(pressure)]) / (~np.isnan(pressure)).sum()


with open("tests/weather/values.csv", "w", newline="") as target:
    target.write("# Written by reference.py beside this file; the tool has no part in it.\n")
    write = csv.writer(target, lineterminator="\n").writerow
    write(["file", "quantity", "of", "which", "value"])
    for path in sorted(FOLDER.iterdir()):
        if path.suffix in (".epw", ".csv"):
            for quantity, of, which, value in rows(path):
                write([path.name, quantity, of, which, value if isinstance(value, int) else f"{value:.12g}"])
