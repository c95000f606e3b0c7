//! A circuit: its compressors, its evaporator, its condenser and its expansion valve.

use super::line::{DISCHARGE, LIQUID};
use super::site::{ALTITUDE, RUNNING_SHARE};
use crate::job::key::Bounds::{self, Above, AboveAir, From};
use crate::job::key::{Either, Key, Keys, choice, count, flag, form, number, quantity, table, text};
use crate::units::Kind::{
    Capacity, Difference, Heat, Length, MassRate, Power, Pressure, PressureDifference, Temperature, Volume, VolumeRate,
};
use crate::units::factor::{FAHRENHEIT_DEGREE, PSI};

/// Superheat and subcooling, K.
const SMALL_DIFFERENCE: Bounds = From(0.0, 60.0);
/// Temperatures of the refrigerant, K; the refrigerant's own range is narrower and is told apart.
const REFRIGERANT_SIDE: Bounds = From(150.0, 500.0);
const COEFFICIENTS: [&str; 2] = ["[c1, …, c10]"; 2];

#[rustfmt::skip]
pub static CIRCUIT: Keys = Keys::new("[[circuit]]", &[
    text("name", ["1A"; 2]).needed().doc("its name"),
    text("module", ["chiller 1"; 2]).follows("every circuit is a chiller")
        .doc("the chiller that it belongs to; circuits of one chiller share it"),
    text("refrigerant", ["R-410A"; 2]).needed().doc("ASHRAE 34 number: `roofrun list refrigerants`"),
    count("copies", 1, 1_000, "2").or(1.0, "", "").doc("identical circuits, drawn once"),
    text("room", ["chiller room"; 2]).doc("the room of the chiller"),
    quantity("design_pressure", Pressure, AboveAir(2e7), ["500 psig", "34 barg"])
        .doc("of the high side, by its nameplates; without it, the code's minimum or the operating pressure"),
    table("relief_valve", &RELIEF).doc("of the receiver, else of the high side, with its discharge line; \"none\" \
           where there is none"),
    table("compressors", &COMPRESSORS).needed().doc("the compressors"),
    table("evaporator", &EVAPORATOR).needed().doc("the evaporator"),
    table("condenser", &CONDENSER).needed().doc("the remote condenser"),
    table("valve", &VALVE).doc("the expansion valve"),
    table("discharge", &DISCHARGE).needed().doc("from the compressors to the condenser"),
    table("liquid", &LIQUID).needed().doc("from the condenser to the expansion valve"),
]);

#[rustfmt::skip]
pub static RELIEF: Keys = Keys::new("`relief_valve`", &[
    quantity("setting", Pressure, AboveAir(2e7), ["450 psig", "31 barg"]).needed().doc("at which it opens"),
    quantity("capacity", MassRate, Above(0.0, 100.0), ["20 lb/min", "0.15 kg/s"]).doc("of one valve, as stamped: of \
              air"),
    count("count", 1, 4, "2").or(1.0, "", "").doc("valves; two are on a three-way valve, one in service"),
    form("tube", ["\"1-1/4 Sch40\""; 2]).doc("of its discharge line"),
    quantity("length", Length, From(0.0, 1_000.0), ["20 ft", "6 m"]).doc("of its discharge line"),
    form("fittings", ["{ elbow = 2 }"; 2]).doc("of its discharge line, counted by name"),
]);

#[rustfmt::skip]
pub static COMPRESSORS: Keys = Keys::new("[circuit.compressors]", &[
    count("count", 1, 100, "2").or(1.0, "", "one compressor").doc("identical compressors in parallel"),
    count("minimum", 1, 100, "1").doc("minimum that run"),
    number("minimum_share", "-", RUNNING_SHARE, "0.3").follows("one compressor runs, fully loaded")
        .doc("instead of `minimum`: lowest fraction of full displacement (variable speed, unloading)"),
    table("rating", &RATING).doc("all compressors of the circuit together at one point"),
    table("map", &MAP).doc("instead of `rating`: ten-coefficient polynomials (AHRI 540) of one compressor"),
    table("hot_gas_bypass", &BYPASS)
        .or(0.0, "none", "not given; an open bypass takes flow from the riser")
        .doc("the fraction of the flow that never leaves the chiller, and when"),
    quantity("discharge_limit", Temperature, REFRIGERANT_SIDE, ["275 F", "135 °C"])
        .doc("the manufacturer's limit of discharge gas temperature, in place of `discharge_gas`"),
    form("envelope", ["[[\"0 F\", \"80 F\"], [\"0 F\", \"120 F\"], [\"55 F\", \"150 F\"], [\"55 F\", \"80 F\"]]",
        "[[\"-18 °C\", \"27 °C\"], [\"-18 °C\", \"49 °C\"], [\"13 °C\", \"65 °C\"], [\"13 °C\", \"27 °C\"]]"])
        .doc("the envelope's corners: suction, condensing (dew)"),
    text("oil", ["POE 32"; 2]).doc("the oil, by its name"),
]);

#[rustfmt::skip]
pub static RATING: Keys = Keys::new("`rating`", &[
    quantity("capacity", Capacity, Above(0.0, 1e8), ["40 ton", "140 kW"]).needed().doc("of all compressors together"),
    quantity("power", Power, Above(0.0, 1e8), ["42 kW"; 2]).needed().doc("of all, at their terminals"),
    quantity("suction", Temperature, REFRIGERANT_SIDE, ["40 F", "4.5 °C"]).needed().doc("evaporating, dew"),
    quantity("condensing", Temperature, REFRIGERANT_SIDE, ["120 F", "49 °C"]).needed().doc("condensing, dew"),
    quantity("superheat", Difference, SMALL_DIFFERENCE, ["10 F", "5.5 K"]).needed().doc("of the suction gas"),
    quantity("subcooling", Difference, SMALL_DIFFERENCE, ["10 F", "5.5 K"]).needed().doc("of the liquid"),
]);

#[rustfmt::skip]
pub static MAP: Keys = Keys { either: Some(WITHOUT_FLOW), ..Keys::new("`map`", &[
    Key { example: ["F", "C"], ..choice("temperature", &["F", "°F", "C", "°C"], "") }.needed()
        .doc("the scale of the polynomials"),
    quantity("suction", Temperature, REFRIGERANT_SIDE, ["45 F", "7 °C"]).needed().doc("dew, at the map's rated point"),
    quantity("condensing", Temperature, REFRIGERANT_SIDE, ["120 F", "49 °C"]).needed().doc("dew, there too"),
    quantity("superheat", Difference, SMALL_DIFFERENCE, ["20 F", "11 K"]).needed().doc("at which the map is valid"),
    quantity("subcooling", Difference, SMALL_DIFFERENCE, ["15 F", "8 K"]).needed().doc("at which the map is valid"),
    form("flow", COEFFICIENTS).doc("coefficients of the mass flow"),
    text("flow_unit", ["lb/h", "kg/h"]).doc("its unit"),
    form("power", COEFFICIENTS).needed().doc("coefficients of the power"),
    text("power_unit", ["W"; 2]).needed().doc("its unit"),
    form("capacity", COEFFICIENTS).doc("instead of the flow: coefficients of the capacity"),
    text("capacity_unit", ["Btu/h", "W"]).doc("its unit"),
]) };

/// A map needs one of them.
const WITHOUT_FLOW: Either = Either {
    of: &["flow", "capacity"],
    missing: &["flow", "flow_unit"],
    label: "`capacity` and `capacity_unit` will do in place of `flow`",
};

#[rustfmt::skip]
pub static BYPASS: Keys = Keys::new("`hot_gas_bypass`", &[
    number("share", "-", From(0.0, 0.9), "0.2").needed().doc("of the flow that never leaves the chiller"),
    choice("when", &["never", "minimum", "always"], "minimum").or(0.0, "minimum", "open at the minimum")
        .doc("when it is open: \"never\", \"minimum\" or \"always\""),
]);

#[rustfmt::skip]
pub static EVAPORATOR: Keys = Keys::new("[circuit.evaporator]", &[
    quantity("leaving", Temperature, REFRIGERANT_SIDE, ["45 F", "7 °C"]).doc("leaving fluid at full load"),
    quantity("approach", Difference, Above(0.0, 60.0), ["5 F", "3 K"])
        .doc("leaving fluid less evaporating temperature, at the rating"),
    quantity("range", Difference, Above(0.0, 60.0), ["10 F", "5.5 K"])
        .or(10.0 / 1.8, "", "usual for a chiller: entering less leaving fluid").by("common-practice")
        .doc("entering less leaving fluid, at the rating"),
    quantity("suction", Temperature, REFRIGERANT_SIDE, ["40 F", "4.5 °C"])
        .doc("instead of both: evaporating temperature, the same at every load"),
    quantity("superheat", Difference, SMALL_DIFFERENCE, ["10 F", "5.5 K"]).follows("that of the rating").by("user")
        .doc("at its outlet"),
    quantity("volume", Volume, Above(0.0, 50.0), ["1.2 ft3", "34 L"]).doc("internal, refrigerant side"),
]);

#[rustfmt::skip]
pub static CONDENSER: Keys = Keys::new("[circuit.condenser]", &[
    quantity("rejection", Heat, Above(0.0, 1e8), ["640 MBH", "190 kW"]).needed()
        .doc("total heat rejection at `td`"),
    quantity("td", Difference, Above(0.0, 60.0), ["25 F", "14 K"]).needed()
        .doc("condensing temperature (dew, at the inlet) less entering air"),
    quantity("air_flow", VolumeRate, Above(0.0, 1e4), ["38000 cfm", "18 m3/s"])
        .doc("optional: without it total heat rejection is proportional to TD"),
    quantity("rated_altitude", Length, ALTITUDE, ["0 ft", "0 m"]).or(0.0, "sea level", "rated at sea level")
        .doc("of `rejection`"),
    quantity("pressure_drop", PressureDifference, From(0.0, 1e6), ["3 psi", "20 kPa"])
        .or(3.0 * PSI, "", "usual through the coil at the rated flow").by("common-practice")
        .doc("refrigerant-side pressure drop at the rating"),
    quantity("subcooling", Difference, SMALL_DIFFERENCE, ["10 F", "5.5 K"])
        .follows("that of the compressors' rating").by("user").doc("of the liquid that leaves it"),
    quantity("elevation", Length, From(-300.0, 300.0), ["38 ft", "11.6 m"]).needed()
        .doc("its connections above the chiller's; negative when below"),
    quantity("volume", Volume, Above(0.0, 50.0), ["1.9 ft3", "54 L"]).doc("internal"),
    quantity("recirculation", Difference, From(0.0, 40.0), ["3 F", "2 K"])
        .doc("warm air returning to this coil, in place of the site's: `roofrun site` estimates it"),
    quantity("fan_power", Power, Above(0.0, 1e6), ["5 kW"; 2])
        .doc("of its fans at full speed, for the energy of the year"),
    quantity("cutout", Pressure, AboveAir(2e7), ["610 psig", "42 barg"]).doc("high-pressure cut-out"),
    table("head_control", &HEAD_CONTROL).or(0.0, "none", "not given: none")
        .doc("head-pressure control in the cold; \"none\" without"),
    flag("stop_valves").or(0.0, "no", "").doc("whether it can be shut off at inlet and outlet"),
    count("coils", 1, 100, "2").or(1.0, "", "").doc("identical parallel coils"),
    table("legs", &LEGS).doc("the drop legs of several coils"),
]);

#[rustfmt::skip]
pub static HEAD_CONTROL: Keys = Keys::new("`head_control`", &[
    choice("by", &["none", "fans", "flooding"], "fans").needed().doc("\"none\", \"fans\" or \"flooding\""),
    quantity("setpoint", Temperature, REFRIGERANT_SIDE, ["85 F", "29 °C"]).doc("minimum condensing temperature"),
    number("minimum_air", "-", From(0.0, 1.0), "0.15")
        .or(0.15, "", "usual minimum air of fans").by("common-practice")
        .doc("by fans: minimum fraction of the air flow"),
]);

#[rustfmt::skip]
pub static LEGS: Keys = Keys::new("`legs`", &[
    quantity("height", Length, Above(0.0, 100.0), ["4 ft", "1.2 m"]).needed()
        .doc("drop of each before it joins the others"),
    form("tube", ["\"7/8 ACR\"", "\"22 x 1\""]).needed().doc("its tube"),
    quantity("level", Length, From(0.0, 100.0), ["3 ft", "1 m"]).or(0.0, "", "").doc("level tube of each, to where it \
              joins"),
    form("fittings", ["{ elbow = 1 }"; 2]).doc("of each, counted by name"),
]);

#[rustfmt::skip]
pub static VALVE: Keys = Keys::new("[circuit.valve]", &[
    choice("kind", &["electronic", "thermostatic", "fixed"], "electronic")
        .or(0.0, "thermostatic", "not given")
        .doc("\"electronic\", \"thermostatic\" or \"fixed\", a restriction without superheat control"),
    quantity("subcooling", Difference, SMALL_DIFFERENCE, ["4 F", "2 K"])
        .or(4.0 * FAHRENHEIT_DEGREE, "", "usual minimum of a valve").by("common-practice")
        .doc("minimum subcooling at its inlet"),
    quantity("minimum_drop", PressureDifference, Above(0.0, 1e7), ["60 psi", "410 kPa"])
        .doc("minimum pressure difference for full capacity"),
]);
