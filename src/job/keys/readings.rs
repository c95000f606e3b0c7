//! The keys of a file of readings.

use crate::job::key::Bounds::{Above, From};
use crate::job::key::{Key, Keys, choice, count, form, number, quantity, table, text};
use crate::units::Kind::{Difference, Power, Pressure, PressureDifference, Temperature, VolumeRate};

const TEMPERATURE: Key = quantity("temperature", Temperature, From(200.0, 480.0), ["121 F", "49 °C"]);
const PRESSURE: Key = quantity("pressure", Pressure, Above(0.0, 1e7), ["492 psig", "33.9 barg"]);
const SATURATED: Key = quantity("saturated", Temperature, From(200.0, 420.0), ["117 F", "47 °C"]);
const LINE: Key = choice("line", &["dew", "bubble", "mid"], "dew");
const BY: Key = choice("by", &["screen", "gauge", "digital", "clamp", "well"], "screen");
const PRESSURE_BY: Key = choice("pressure_by", &["screen", "gauge", "digital"], "gauge");
const TEMPERATURE_BY: Key = choice("temperature_by", &["screen", "clamp", "well"], "clamp");
const SUPERHEAT: Key = quantity("superheat", Difference, From(-60.0, 120.0), ["12 F", "7 K"]);
const SUBCOOLING: Key = quantity("subcooling", Difference, From(-60.0, 120.0), ["12 F", "7 K"]);
const AIR: [&str; 2] = ["95.1 F", "35 °C"];
const WEATHER: crate::job::key::Bounds = From(213.15, 353.15);

/// What the whole file holds.
#[rustfmt::skip]
pub static FILE: Keys = Keys { apart: true, ..Keys::new("a file of readings", &[
    table("readings", &READINGS).doc("what was read").needed(),
    form("accuracy", ["{ discharge_pressure = \"5 psi\" }", "{ discharge_pressure = \"0.3 bar\" }"])
        .doc("accuracy (95 %) by quantity or by instrument, instead of the defaults"),
    table("healthy", &READINGS).doc("a set from when it ran well"),
    form("columns", ["{ \"OAT\" = \"outdoor\" }", "{ \"P1\" = { key = \"discharge.pressure\", unit = \"barg\", scale = 0.1, hold = \"15 min\" } }"])
        .doc("of a trend: what a column is (a key of the readings, dotted), its unit, its scale, how long a value logged on change holds; \"-\" leaves it out"),
]) };

/// What is said of a column of a trend.
#[rustfmt::skip]
pub static COLUMN: Keys = Keys { apart: true, ..Keys::new("a column", &[
    text("key", ["discharge.pressure"; 2]).needed(),
    text("unit", ["psig", "barg"]),
    number("scale", "-", Above(0.0, 1e4), "0.1"),
    text("hold", ["15 min"; 2]),
]) };

#[rustfmt::skip]
pub static READINGS: Keys = Keys { apart: true, ..Keys::new("[readings]", &[
    text("title", ["High head, hot afternoon"; 2]).doc("its title"),
    text("circuit", ["1A"; 2]).doc("the circuit; needed where the job has several"),
    quantity("outdoor", Temperature, WEATHER, AIR).doc("outdoor dry-bulb"),
    quantity("air_on", Temperature, WEATHER, ["111 F", "44 °C"]).doc("at the face of the coil, in the shade"),
    quantity("air_off", Temperature, WEATHER, ["124.8 F", "52 °C"]).doc("air off the coil"),
    table("discharge", &PLACE).doc("discharge at the compressors"),
    quantity("discharge_drop", PressureDifference, From(0.0, 2e6), ["6.5 psi", "0.45 bar"])
        .doc("what the discharge line loses: at the compressors and at the condenser's inlet by one gauge"),
    table("suction", &SUCTION).doc("suction at the compressors"),
    table("liquid", &LIQUID).doc("liquid, and where it is read"),
    table("valve", &VALVE).doc("at the expansion valve's inlet"),
    quantity("drier_out", Temperature, From(200.0, 420.0), ["119.5 F", "48.6 °C"]).doc("just after the drier"),
    quantity("condenser_out", Temperature, From(200.0, 420.0), ["119.8 F", "48.8 °C"])
        .doc("liquid as it leaves the condenser, where `liquid` is read elsewhere"),
    quantity("entering_fluid", Temperature, WEATHER, ["54.8 F", "12.7 °C"]).doc("fluid that enters the evaporator"),
    quantity("leaving_fluid", Temperature, WEATHER, ["45.3 F", "7.4 °C"]).doc("fluid that leaves it"),
    quantity("fluid_flow", VolumeRate, Above(0.0, 100.0), ["97 gal/min", "6.1 L/s"]).doc("its flow"),
    quantity("power", Power, From(0.0, 1e8), ["41.7 kW"; 2]).doc("of the compressors; or `amps` and `volts`"),
    form("amps", ["\"61 A\""; 2]).doc("current of the compressors, with `volts`"),
    form("volts", ["\"460 V\""; 2]).doc("between phases"),
    count("running", 0, 100, "2").doc("running compressors; or `share`"),
    number("share", "-", From(0.0, 1.0), "0.5").doc("of full displacement"),
    table("fans", &FANS).doc("condenser fans"),
    choice("bypass", &["open", "shut"], "shut").doc("what the controller commands"),
    choice("sight_glass", &["clear", "bubbles"], "clear").doc("at the chiller"),
    number("receiver_level", "-", From(0.0, 1.0), "0.4").doc("a fraction of the receiver"),
    choice("coil", &["clean", "dirty"], "clean").doc("the condenser's coil, looked at with a lamp"),
    choice("bypass_line", &["cold", "hot"], "cold")
        .doc("by a surface thermometer downstream of its valve while the controller calls for shut"),
    table("stopped", &STOPPED).doc("compressors off, liquid shut off, fans on until air on and air off agree"),
]) };

#[rustfmt::skip]
pub static PLACE: Keys = Keys { apart: true, ..Keys::new("`discharge`", &[
    PRESSURE, TEMPERATURE, SATURATED, LINE, SUPERHEAT, BY, PRESSURE_BY, TEMPERATURE_BY,
]) };

#[rustfmt::skip]
pub static SUCTION: Keys = Keys { apart: true, ..Keys::new("`suction`", &[
    PRESSURE, TEMPERATURE, SATURATED, LINE, SUPERHEAT, BY, PRESSURE_BY, TEMPERATURE_BY,
]) };

#[rustfmt::skip]
pub static LIQUID: Keys = Keys { apart: true, ..Keys::new("`liquid`", &[
    PRESSURE, TEMPERATURE, SATURATED, LINE, SUBCOOLING, BY, PRESSURE_BY, TEMPERATURE_BY,
    choice("at", &["machine", "condenser", "receiver"], "machine").doc("where it is read"),
]) };

#[rustfmt::skip]
pub static VALVE: Keys = Keys { apart: true, ..Keys::new("`valve`", &[
    PRESSURE, TEMPERATURE, SATURATED, LINE, SUBCOOLING, BY, PRESSURE_BY, TEMPERATURE_BY,
    number("open", "-", From(0.0, 1.0), "0.62").doc("fraction of its stroke"),
]) };

#[rustfmt::skip]
pub static FANS: Keys = Keys { apart: true, ..Keys::new("`fans`", &[
    count("turn", 0, 200, "4").doc("how many turn"),
    count("of", 1, 200, "6").doc("of how many"),
    number("speed", "-", From(0.0, 1.0), "0.8").doc("or their speed, a fraction"),
]) };

#[rustfmt::skip]
pub static STOPPED: Keys = Keys { apart: true, ..Keys::new("`stopped`", &[
    PRESSURE.needed(),
    quantity("air", Temperature, WEATHER, ["95 F", "35 °C"]).needed().doc("air on, which air off agrees with"),
]) };
