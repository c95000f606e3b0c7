//! The job, its site, its plant, its rooms, points and tubes.

use crate::job::key::Bounds::{self, Above, From};
use crate::job::key::{Keys, choice, count, flag, form, number, quantity, table, text};
use crate::units::Kind::{
    Capacity, Difference, Length, Rating, RoomVolume, SmallLength, Stress, Temperature, VolumeRate,
};

/// Outdoor temperatures that occur where plant stands, -60 to 60 °C.
const OUTDOOR: Bounds = From(213.15, 333.15);
/// Altitudes at which people build, m.
pub(super) const ALTITUDE: Bounds = From(-450.0, 6_000.0);
/// Share of their displacement with which compressors run; below it none does.
pub(super) const RUNNING_SHARE: Bounds = From(0.02, 1.0);
/// 60 F, K.
const INSTALLED_K: f64 = 288.705_555_555_555_6;
const DAY: [&str; 2] = ["[0.4, 0.4, 0.5, …]"; 2];

#[rustfmt::skip]
pub static JOB: Keys = Keys::new("[job]", &[
    text("title", ["Bottling hall"; 2]).follows("the file's name").doc("the title of its reports"),
    choice("units", &["ip", "si"], "ip").or(0.0, "ip", "").doc("of the report: \"ip\" or \"si\""),
    text("number", ["24-118"; 2]).follows("an empty box").doc("the job's number, for the title block of pages and \
          review sheets"),
    text("revision", ["B"; 2]).follows("an empty box").doc("of the drawing"),
    text("by", ["A. Weber"; 2]).follows("an empty box").doc("who drew or checks it"),
    text("date", ["2026-11-28"; 2]).follows("an empty box").doc("of the revision, as it is to be read"),
]);

#[rustfmt::skip]
pub static SITE: Keys = Keys::new("[site]", &[
    quantity("altitude", Length, ALTITUDE, ["890 ft", "270 m"]).or(0.0, "sea level", "sea level").doc("above sea \
              level"),
    quantity("summer", Temperature, OUTDOOR, ["96 F", "35.5 °C"]).doc("design outdoor dry-bulb"),
    quantity("winter", Temperature, OUTDOOR, ["2 F", "-16.5 °C"])
        .doc("lowest outdoor dry-bulb at which it must run"),
    text("weather", ["hall.epw"; 2])
        .doc("a year of weather (EPW or TMY3) beside this file, in place of summer and winter, for `roofrun site`"),
    number("summer_percent", "%", From(0.4, 2.0), "0.4").or(0.4, "", "the most severe of 0.4, 1 and 2")
        .doc("with it: design day reached in 0.4, 1 or 2 % of the hours"),
    number("winter_percent", "%", From(99.0, 99.6), "99.6").follows("the coldest hour")
        .doc("with it: reached in 99 or 99.6 %, in place of the coldest hour"),
    quantity("recirculation", Difference, From(0.0, 40.0), ["2 F", "1 K"])
        .or(0.0, "none", "not given")
        .doc("warm air returning to the coils: air on the coil = outdoor + this"),
    choice("code", &["us", "eu"], "us").or(0.0, "us", "").doc("the code that governs: \"us\" (ASHRAE 15 and the \
            mechanical code) or \"eu\" (EN 378)"),
    quantity("installed", Temperature, OUTDOOR, ["60 F", "16 °C"])
        .or(INSTALLED_K, "", "usual at installation").by("common-practice")
        .doc("temperature of the tube at installation, for its thermal expansion"),
]);

#[rustfmt::skip]
pub static PLANT: Keys = Keys::new("[plant]", &[
    quantity("load", Capacity, Above(0.0, 1e9), ["110 ton", "390 kW"]).needed().doc("load on the design day"),
    count("spare", 0, 100, "1").or(0.0, "none", "not given")
        .doc("modules that may be out of service then: the largest ones"),
    table("profile", &PROFILE).or(0.0, "constant", "the load is the same at every hour")
        .doc("load over the year, where not \"constant\""),
    choice("running", &["few", "all"], "few")
        .or(0.0, "few", "as few modules as carry the load, in the order of the file")
        .doc("over the year: as \"few\" as carry the load, in the order of this file, or \"all\""),
]);

#[rustfmt::skip]
pub static PROFILE: Keys = Keys::new("`profile`", &[
    choice("by", &["week", "outdoor"], "week").needed().doc("what the load goes by: \"week\" or \"outdoor\""),
    form("workday", DAY).doc("by week: 24 fractions of the load, from 0 h on"),
    form("saturday", DAY).follows("that of a workday is taken").doc("Saturday, likewise"),
    form("sunday", DAY).follows("that of a saturday is taken").doc("Sunday, likewise"),
    form("week", DAY).doc("instead of the days: all 168 hours, from Monday 0 h on"),
    quantity("none", Temperature, OUTDOOR, ["45 F", "7 °C"]).doc("by outdoor: where the load begins"),
    quantity("full", Temperature, OUTDOOR, ["96 F", "36 °C"]).doc("by outdoor: where it is full"),
    number("minimum", "-", From(0.0, 1.0), "0.3").or(0.0, "", "not given")
        .doc("by outdoor: its minimum fraction"),
]);

#[rustfmt::skip]
pub static ROOM: Keys = Keys::new("[[room]]", &[
    text("name", ["corridor"; 2]).needed().doc("its name, by which a run calls it: room = \"corridor\""),
    quantity("volume", RoomVolume, Above(0.0, 1e7), ["9500 ft3", "270 m3"]).needed().doc("its volume"),
    flag("occupied").or(1.0, "yes", "not given").doc("whether people are in it"),
    flag("machinery_room").or(0.0, "no", "").doc("whether it is a machinery room, as the code has it"),
    quantity("ventilation", VolumeRate, Above(0.0, 1e4), ["900 cfm", "0.42 m3/s"])
        .doc("of a machinery room: its emergency ventilation"),
    flag("detector").doc("of a machinery room: whether a refrigerant detector starts it"),
]);

#[rustfmt::skip]
pub static POINT: Keys = Keys::new("[[point]]", &[
    text("name", ["spring night"; 2]).needed().doc("its name"),
    quantity("outdoor", Temperature, OUTDOOR, ["48 F", "9 °C"]).needed().doc("outdoor dry-bulb"),
    number("share", "-", RUNNING_SHARE, "0.5").or(1.0, "full", "all compressors run").doc("of full displacement"),
    flag("bypass").or(0.0, "shut", "the hot-gas bypass is shut").doc("whether the hot-gas bypass is open"),
]);

#[rustfmt::skip]
pub static TUBE: Keys = Keys::new("[[tube]]", &[
    text("name", ["1-3/8 high-pressure", "35 high-pressure"]).needed().doc("its name, by which lines and runs call it"),
    quantity("outside", SmallLength, Above(0.0, 1.0), ["1.375 in", "35 mm"]).needed().doc("outside diameter"),
    quantity("wall", SmallLength, Above(0.0, 0.1), ["0.065 in", "1.65 mm"]).needed()
        .follows("nominal wall and diameter").doc("wall thickness"),
    quantity("rated", Rating, Above(0.0, 1e8), ["700 psig", "48 barg"]).doc("its manufacturer's rating; or \
              `allowable`"),
    quantity("allowable", Stress, Above(0.0, 1e9), ["6000 psi", "41 MPa"])
        .doc("instead of `rated`: the stress that the rating is computed from"),
]);
