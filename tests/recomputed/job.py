"""The job file and the reference tables as plain SI numbers. Reads only what the jobs beside it use."""

import csv
import re
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
FOOT, INCH, POUND, BTU = 0.3048, 0.0254, 0.45359237, 1055.05585262
PSI = POUND * 9.80665 / INCH**2

UNITS = {
    "ft": FOOT, "in": INCH, "m": 1.0, "mm": 1e-3,
    "ft3": FOOT**3, "L": 1e-3, "cfm": FOOT**3 / 60, "ft3/min": FOOT**3 / 60, "m3/h": 1 / 3600,
    "ton": 12_000 * BTU / 3600, "MBH": 1000 * BTU / 3600, "kBtu/h": 1000 * BTU / 3600, "kW": 1e3,
    "psi": PSI, "psig": PSI, "kPa": 1e3, "bar": 1e5, "barg": 1e5,
}  # fmt: skip


def _split(text):
    """A number (or a fraction, `1/2 in`) and its unit."""
    over, under, unit = re.fullmatch(r"\s*(-?[\d.]+)(?:/(\d+))?\s*(\S+)\s*", text).groups()
    return float(over) / float(under or 1), unit


def quantity(text):
    """A length, volume, flow, power or pressure; gauge pressures stay gauge."""
    number, unit = _split(text)
    return number * UNITS[unit]


def temperature(text):
    """A temperature, K."""
    number, unit = _split(text)
    return (number - 32) / 1.8 + 273.15 if unit.endswith("F") else number + 273.15


def difference(text):
    """A temperature difference, K."""
    number, unit = _split(text)
    return number / 1.8 if unit.endswith("F") else number


def air_round(run, outdoor):
    """Temperature of the air round a run, or None where the job leaves it out: `outdoor + 20 F`, `outdoor`, `95 F`."""
    text = run.get("ambient")
    if text is None:
        return None
    if text.startswith("outdoor"):
        more = text.removeprefix("outdoor").strip().removeprefix("+")
        return outdoor + (difference(more) if more else 0.0)
    return temperature(text)


@dataclass(frozen=True)
class Tube:
    """A tube, m."""

    name: str
    nominal_in: float
    outside: float
    bore: float
    roughness: float

    @property
    def area(self):
        """Of the bore, m2."""
        return 3.141592653589793 / 4 * self.bore**2


def _rows(name):
    with open(ROOT / "refdata" / name, encoding="utf-8") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


TUBES = {
    row["name"].replace(" OD ", " "): Tube(
        row["name"].replace(" OD ", " "),
        float(row["nominal_in"]),
        float(row["outside_in"]) * INCH,
        (float(row["outside_in"]) - 2 * float(row["wall_in"])) * INCH,
        float(row["roughness_um"]) * 1e-6,
    )
    for row in _rows("tubes.csv")
}
FITTINGS = {float(row["nominal_in"]): row for row in _rows("equivalent_lengths.csv")}
PARTS = {row["name"]: row for row in _rows("parts.csv")}
ELBOWS_OF_TRAP = {None: 0, "foot": 3, "foot and top": 6}


def equivalent_length(run, tube):
    """Length of a run with its fittings and traps in that tube, m. A trap counts as three elbows."""
    feet = FITTINGS[tube.nominal_in]
    total = sum(float(feet[name.replace("-", "_") + "_ft"]) * count for name, count in run.get("fittings", {}).items())
    total += ELBOWS_OF_TRAP[run.get("trap")] * float(feet["elbow_ft"])
    return length(run) + total * FOOT


def path(run):
    """`level`, `rise`, `drop` or `part`."""
    return next(key for key in ("part", "level", "rise", "drop") if key in run)


def length(run):
    """Length of tube of a run, m."""
    return quantity(run[path(run)])


def tubes(run, line):
    """The run's tubes: its own, else the line's."""
    names = run.get("tube", line["tube"])
    return [TUBES[name] for name in ([names] if isinstance(names, str) else names)]
