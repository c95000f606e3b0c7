//! The two lines of a circuit and their runs.

use crate::job::key::Bounds::{self, Above, From};
use crate::job::key::{Key, Keys, choice, flag, form, number, quantity, table, text};
use crate::units::Kind::{Capacity, Length, PressureDifference, SmallLength, Temperature, Volume};

/// Lengths of a run, m.
const LENGTH: Bounds = Above(0.0, 1_000.0);

const STOP_VALVES: Key = flag("stop_valves").or(0.0, "no", "").doc("whether it can be shut off at both ends");

const ROUTE: Key = form("route", ["[ { level = \"14 ft\" } ]", "[ { level = \"4 m\" } ]"])
    .needed()
    .doc("its runs in the direction of flow");

#[rustfmt::skip]
pub static DISCHARGE: Keys = Keys::new("[circuit.discharge]", &[
    form("tube", ["\"1-3/8 ACR\"", "\"35 x 1.5\""]).needed().doc("tube by its name: `roofrun list tubes`"),
    STOP_VALVES, ROUTE,
]);

#[rustfmt::skip]
pub static LIQUID: Keys = Keys::new("[circuit.liquid]", &[
    form("tube", ["\"7/8 ACR\"", "\"22 x 1\""]).needed().doc("tube by its name: `roofrun list tubes`"),
    STOP_VALVES, ROUTE,
]);

#[rustfmt::skip]
pub static RUN: Keys = Keys { apart: true, ..Keys::new("a run of a route", &[
    quantity("level", Length, LENGTH, ["14 ft", "4 m"]).doc("a level length"),
    quantity("rise", Length, LENGTH, ["38 ft", "11.6 m"]).doc("a length straight up"),
    quantity("drop", Length, LENGTH, ["38 ft", "11.6 m"]).doc("a length straight down"),
    text("part", ["filter-drier"; 2]).doc("a part by its name: `roofrun list parts`"),
    form("tube", ["[\"7/8 ACR\", \"1-3/8 ACR\"]", "[\"22 x 1\", \"35 x 1.5\"]"])
        .doc("another size than the line's; two sizes in an array are a double riser"),
    form("fittings", ["{ long-elbow = 2 }"; 2]).doc("counts by name: `roofrun list fittings`"),
    form("trap", ["\"foot\""; 2])
        .doc("of a riser: \"foot\", \"foot and top\", or a list of the heights of traps between as well"),
    choice("slope", &["with flow", "none", "against flow"], "with flow")
        .doc("of a level run: \"with flow\", \"none\" or \"against flow\""),
    form("turn", ["\"NE\""; 2])
        .doc("of a level run: where it goes, \"N\", \"NE\" … \"NW\" or degrees clockwise from north, for `draw --what isometric`"),
    form("ambient", ["\"outdoor\""; 2])
        .doc("ambient air: a temperature, \"outdoor\", or \"outdoor + 35 F\" in the sun; without it, no heat"),
    quantity("insulation", SmallLength, From(0.0, 0.3), ["1/2 in", "13 mm"]).or(0.0, "none", "").doc("its thickness"),
    choice("expansion", &["loop", "offset", "anchor"], "loop")
        .doc("for its thermal expansion: a \"loop\", an \"offset\", or an \"anchor\" at its middle"),
    text("room", ["corridor"; 2]).doc("the room that it crosses"),
    quantity("pressure_drop", PressureDifference, From(0.0, 2e6), ["2 psi", "14 kPa"])
        .follows("a typical value of the reference data").doc("of a part: pressure drop at the rated flow"),
    number("kv", "-", Above(0.0, 1e5), "5.2").doc("or its flow coefficient, m3/h at 1 bar"),
    number("cv", "-", Above(0.0, 1e5), "6").doc("or the same in US gal/min at 1 psi"),
    quantity("length", Length, From(0.0, 1_000.0), ["12 ft", "3.7 m"]).doc("or its equivalent length of tube"),
    choice("style", &["through", "surge"], "through")
        .or(0.0, "through", "piped through: the liquid leaves it saturated")
        .doc("of a receiver: \"surge\" lets subcooled liquid pass; from \"through\" all liquid leaves saturated"),
    quantity("volume", Volume, Above(0.0, 50.0), ["2.4 ft3", "68 L"]).doc("of a receiver, internal"),
    flag("vented").or(0.0, "no", "no vent line to the condenser")
        .doc("of a receiver: whether a vent line leads to the condenser's inlet"),
    table("shell", &SHELL).doc("of a receiver: its shell, for the capacity of its relief valve"),
    flag("stop_valves").or(0.0, "no", "").doc("of a receiver: whether it can be shut off at inlet and outlet"),
    quantity("capacity", Capacity, Above(0.0, 1e8), ["5 ton", "18 kW"])
        .doc("of a mechanical subcooler: the maximum heat that it takes from the liquid; its own power is not counted"),
    quantity("leaving", Temperature, From(230.0, 350.0), ["60 F", "15 C"])
        .doc("of a mechanical subcooler: the liquid temperature that it holds, as far as its capacity goes"),
    flag("bypass").or(0.0, "no", "no hot-gas bypass to the receiver")
        .doc("of a head-pressure valve: whether hot gas bypasses the coil to the receiver, through it or a second \
              valve"),
]) };

#[rustfmt::skip]
pub static SHELL: Keys = Keys::new("`shell`", &[
    quantity("diameter", SmallLength, Above(0.0, 3.0), ["10 in", "250 mm"]).needed().doc("outside"),
    quantity("length", Length, Above(0.0, 30.0), ["5 ft", "1.5 m"]).needed().doc("including its heads"),
]);
