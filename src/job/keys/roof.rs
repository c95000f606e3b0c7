//! The roof and what stands on it.

use crate::job::key::Bounds::{self, Above, From};
use crate::job::key::{Key, Keys, choice, count, flag, form, number, pair, quantity, table, tables, text};
use crate::units::Kind::{Difference, Length, Level, Mass, Velocity, VolumeRate, Wind};
use crate::units::factor::FOOT;

/// Coordinates on one site, m.
const COORDINATE: Bounds = From(-10_000.0, 10_000.0);
/// Heights of what stands on a roof, m.
const HEIGHT: Bounds = Above(0.0, 100.0);
/// The same of what may be flush with it.
const RISE: Bounds = From(0.0, 100.0);
/// Room that a manufacturer may require, m.
const ROOM: Bounds = From(0.0, 100.0);
/// Weights of a condenser, kg.
const WEIGHT: Bounds = Above(0.0, 1e6);
/// Sound power levels of plant, dB.
const POWER: Bounds = From(0.0, 160.0);
/// Levels at a listener, dBA.
const HEARD: Bounds = From(0.0, 120.0);
const TURN: Bounds = From(-360.0, 360.0);
const SIDES: &[&str] = &["north", "east", "south", "west"];

#[rustfmt::skip]
pub static ROOF: Keys = Keys::new("[roof]", &[
    number("north", "deg", TURN, "0").or(0.0, "", "the plan's y axis points north")
        .doc("bearing of the plan's y axis, degrees clockwise from north"),
    quantity("height", Length, From(0.0, 1_000.0), ["38 ft", "11.6 m"]).doc("of the roof above the ground"),
    pair("outline", COORDINATE, ["[[\"0 ft\", \"0 ft\"], …]", "[[\"0 m\", \"0 m\"], …]"])
        .or(0.0, "not drawn", "not drawn: distances to the edge were not checked")
        .doc("corners of its edge, in order"),
    quantity("parapet", Length, From(0.0, 30.0), ["18 in", "0.5 m"]).or(0.0, "none", "not drawn")
        .doc("along the whole outline"),
    quantity("guard", Length, From(0.0, 30.0), ["42 in", "1.1 m"]).or(0.0, "none", "not drawn")
        .doc("guard rail along the whole outline"),
    number("volts_to_ground", "V", Above(0.0, 600.0), "277")
        .or(277.0, "", "of a supply of 480 V: the working space for 151 to 600 V to ground is required")
        .by("nec-110-26").doc("of the units' supply, for the working space in front of their controls"),
    quantity("wind", Wind, Above(0.0, 150.0), ["115 mph", "51 m/s"])
        .doc("design wind of the structure, for the note on the supports"),
    tables("unit", &UNIT).doc("each condenser").needed(),
    tables("wall", &WALL).doc("a wall, a screen, a parapet inside the outline"),
    tables("rail", &RAIL).doc("a guard rail along a part of the edge; unlike a wall, no obstacle to air"),
    tables("heat", &HEAT).doc("another source of warm air, blowing up"),
    tables("listener", &LISTENER).doc("someone who hears it"),
    tables("crossing", &CROSSING).doc("piping over a walkway"),
]);

#[rustfmt::skip]
pub static UNIT: Keys = Keys::new("[[roof.unit]]", &[
    text("name", ["C1"; 2]).needed().doc("its name on the plan"),
    form("circuits", ["[\"1A\"]"; 2]).needed()
        .doc("the coils in it; a circuit with copies is in several units"),
    pair("at", COORDINATE, ["[\"20 ft\", \"12 ft\"]", "[\"6 m\", \"3.6 m\"]"]).needed()
        .doc("the corner with the lowest x and y"),
    pair("size", From(0.3 * FOOT, 300.0), ["[\"20 ft\", \"7 ft 6 in\"]", "[\"6 m\", \"2.3 m\"]"]).needed()
        .doc("along x and y"),
    number("rotation", "deg", TURN, "90").or(0.0, "", "").doc("degrees counter-clockwise about that corner"),
    quantity("height", Length, HEIGHT, ["8 ft", "2.4 m"]).needed().doc("of its top"),
    quantity("base_height", Length, RISE, ["2 ft", "0.6 m"]).or(0.0, "", "its underside lies on the roof")
        .doc("of its underside"),
    form("air_in", ["[\"north\", \"south\"]"; 2])
        .follows("the sides at which air enters are not given: those at which it does not leave")
        .doc("sides at which air enters, or \"below\"; without it, all but that at which it leaves"),
    choice("air_out", &["up", "north", "east", "south", "west"], "up")
        .or(0.0, "up", "the side at which air leaves is not given").doc("where it leaves: \"up\" or a side"),
    quantity("air_flow", VolumeRate, Above(0.0, 1e4), ["44000 cfm", "21 m3/s"])
        .follows("the total of its coils' air flow").by("user").doc("air flow"),
    quantity("outlet_velocity", Velocity, Above(0.0, 100.0), ["1600 fpm", "8 m/s"])
        .follows("air flow over a quarter of the outlet face").by("common-practice")
        .doc("velocity at which the air leaves"),
    table("clearance", &CLEARANCE).doc("the manufacturer's own: north, east, south, west, above; or one length"),
    choice("controls", SIDES, "east").doc("the side of its controls"),
    quantity("weight", Mass, WEIGHT, ["4200 lb", "1900 kg"]).doc("total, without refrigerant; or `weights`"),
    count("supports", 1, 1_000, "4").doc("their number"),
    Key { example: ["[\"1100 lb\", …]", "[\"500 kg\", …]"], ..quantity("weights", Mass, WEIGHT, [""; 2]) }
        .doc("instead of both: one for each support"),
    quantity("allowed", Mass, WEIGHT, ["1500 lb", "680 kg"]).doc("load per support, by the structural engineer"),
    flag("held_down").or(0.0, "no", "").doc("whether it is held down against the wind"),
    quantity("sound_power", Level, POWER, ["92 dBA"; 2])
        .doc("at full speed; or eight octaves from 63 to 8000 Hz: [\"96 dB\", …]"),
    quantity("night_sound_power", Level, POWER, ["81 dBA"; 2]).doc("at night"),
    number("night_speed", "-", Above(0.0, 1.0), "0.6").or(1.0, "", "as loud at night as by day")
        .doc("instead of `night_sound_power`: fraction of the full fan speed at night"),
]);

#[rustfmt::skip]
pub static CLEARANCE: Keys = Keys::new("`clearance`", &[
    quantity("north", Length, ROOM, ["7 ft", "2.1 m"]).doc("at that side"),
    quantity("east", Length, ROOM, ["7 ft", "2.1 m"]).doc("at that side"),
    quantity("south", Length, ROOM, ["7 ft", "2.1 m"]).doc("at that side"),
    quantity("west", Length, ROOM, ["7 ft", "2.1 m"]).doc("at that side"),
    quantity("above", Length, ROOM, ["12 ft", "3.7 m"]).doc("above an outlet at the top"),
]);

#[rustfmt::skip]
pub static WALL: Keys = Keys::new("[[roof.wall]]", &[
    text("name", ["stair head"; 2]).needed().doc("its name"),
    pair("from", COORDINATE, ["[\"50 ft\", \"0 ft\"]", "[\"15 m\", \"0 m\"]"]).needed().doc("one end"),
    pair("to", COORDINATE, ["[\"50 ft\", \"20 ft\"]", "[\"15 m\", \"6 m\"]"]).needed().doc("the other end"),
    quantity("height", Length, HEIGHT, ["10 ft", "3 m"]).needed().doc("of its top"),
    number("free_area", "-", From(0.0, 1.0), "0").or(0.0, "solid", "not given")
        .doc("fraction of its face that is open"),
]);

#[rustfmt::skip]
pub static RAIL: Keys = Keys::new("[[roof.rail]]", &[
    pair("from", COORDINATE, ["[\"0 ft\", \"0 ft\"]", "[\"0 m\", \"0 m\"]"]).needed().doc("one end"),
    pair("to", COORDINATE, ["[\"50 ft\", \"0 ft\"]", "[\"15 m\", \"0 m\"]"]).needed().doc("the other end"),
    quantity("height", Length, HEIGHT, ["42 in", "1.1 m"]).needed().doc("of its top"),
]);

#[rustfmt::skip]
pub static HEAT: Keys = Keys::new("[[roof.heat]]", &[
    text("name", ["kitchen exhaust"; 2]).needed().doc("its name"),
    pair("at", COORDINATE, ["[\"70 ft\", \"30 ft\"]", "[\"21 m\", \"9 m\"]"]).needed().doc("its place"),
    quantity("height", Length, RISE, ["4 ft", "1.2 m"]).needed().doc("of its outlet"),
    quantity("air_flow", VolumeRate, Above(0.0, 1e4), ["6000 cfm", "2.8 m3/s"]).needed().doc("air flow"),
    quantity("temperature_rise", Difference, From(0.0, 1_000.0), ["25 F", "14 K"]).needed().doc("than outdoors"),
    quantity("outlet_velocity", Velocity, Above(0.0, 100.0), ["1200 fpm", "6 m/s"])
        .doc("velocity at which the air leaves"),
]);

#[rustfmt::skip]
pub static LISTENER: Keys = Keys::new("[[roof.listener]]", &[
    text("name", ["flat across the lane"; 2]).needed().doc("who hears it"),
    pair("at", COORDINATE, ["[\"60 ft\", \"-80 ft\"]", "[\"18 m\", \"-24 m\"]"]).needed().doc("where"),
    quantity("height", Length, From(0.0, 1_000.0), ["15 ft", "4.5 m"]).needed().doc("of the ear above the ground"),
    quantity("limit", Level, HEARD, ["60 dBA"; 2]).doc("by day, by the local ordinance"),
    quantity("night_limit", Level, HEARD, ["50 dBA"; 2]).doc("at night, by the local ordinance"),
]);

#[rustfmt::skip]
pub static CROSSING: Keys = Keys::new("[[roof.crossing]]", &[
    text("name", ["north walk"; 2]).needed().doc("its name"),
    quantity("height", Length, RISE, ["7 ft 6 in", "2.3 m"]).needed().doc("of its underside above the walkway"),
]);
