//! Every row of `tests/data/refrigerants`: values straight from the equations of state, not from fits. Made with
//! `CoolProp` 8.0.0; the first lines of each file say how.

use std::collections::BTreeMap;
use std::path::PathBuf;

use roofrun::refrigerant::{OutOfRange, Refrigerant, State, named, names};

/// Accuracy asked: of the value; for enthalpy and entropy of the latent heat and its entropy.
const CLOSE: f64 = 1e-5;
const FAIR: f64 = 1e-3;

struct Table {
    columns: Vec<String>,
    rows: Vec<Vec<String>>,
}

impl Table {
    fn open(refrigerant: &str, file: &str) -> Table {
        let path: PathBuf = [env!("CARGO_MANIFEST_DIR"), "tests/data/refrigerants", refrigerant, file].iter().collect();
        let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_path(path).unwrap();
        let columns = reader.headers().unwrap().iter().map(str::to_owned).collect();
        let rows = reader.records().map(|row| row.unwrap().iter().map(str::to_owned).collect()).collect();
        Table { columns, rows }
    }

    fn text<'a>(&self, row: &'a [String], column: &str) -> &'a str {
        &row[self.columns.iter().position(|name| name == column).unwrap()]
    }

    fn number(&self, row: &[String], column: &str) -> f64 {
        self.text(row, column).parse().unwrap()
    }
}

/// The largest deviation of each quantity, with what it belongs to; and the rows that were out of range.
#[derive(Default)]
struct Tally {
    worst: BTreeMap<&'static str, (f64, String)>,
    compared: usize,
    outside: usize,
}

impl Tally {
    fn note(&mut self, quantity: &'static str, deviation: f64, place: &str) {
        let deviation = deviation.abs();
        assert!(deviation.is_finite(), "{quantity} {place}");
        let worst = self.worst.entry(quantity).or_default();
        if deviation >= worst.0 {
            *worst = (deviation, place.to_owned());
        }
    }

    fn compare(&mut self, have: &State, want: &Wanted, latent: Latent, place: &str) {
        self.compared += 1;
        self.note("density", have.density / want.rho - 1.0, place);
        self.note("enthalpy", (have.enthalpy - want.h) / latent.heat, place);
        self.note("entropy", (have.entropy - want.s) / latent.entropy, place);
        self.note("cp", have.cp / want.cp - 1.0, place);
        self.note("viscosity", have.viscosity / want.mu - 1.0, place);
        self.note("speed of sound", have.speed_of_sound / want.w - 1.0, place);
    }

    fn check(&self, name: &str) {
        for (quantity, (deviation, place)) in &self.worst {
            let limit = match *quantity {
                "cp" | "viscosity" | "speed of sound" => FAIR,
                _ => CLOSE,
            };
            assert!(*deviation <= limit, "{name} {quantity}: {deviation:.1e} at {place}");
        }
    }
}

struct Wanted {
    rho: f64,
    h: f64,
    s: f64,
    cp: f64,
    mu: f64,
    w: f64,
}

#[derive(Clone, Copy)]
struct Latent {
    heat: f64,
    entropy: f64,
}

/// Latent heat and its entropy at a pressure, or at the nearest where both lines are in range.
fn latent(fluid: &Refrigerant, p: f64) -> Latent {
    let range = fluid.range();
    let p = p.clamp(fluid.bubble_pressure(range.temperature_min).unwrap(), range.pressure_max);
    let (liquid, vapour) = (fluid.bubble_p(p).unwrap(), fluid.dew_p(p).unwrap());
    Latent { heat: vapour.enthalpy - liquid.enthalpy, entropy: vapour.entropy - liquid.entropy }
}

fn must_be_outside(error: &OutOfRange, outside: bool, place: &str) {
    assert!(outside, "{place} is within the range, yet: {error}");
}

fn saturation(name: &str) -> Tally {
    let fluid = named(name).unwrap();
    let range = fluid.range();
    let table = Table::open(name, "sat.csv");
    let mut tally = Tally::default();
    for row in &table.rows {
        let t = table.number(row, "T");
        for (side, p_column) in [("l", "p_bubble"), ("v", "p_dew")] {
            let p = table.number(row, p_column);
            let place = format!("{p_column} {t} K");
            let (pressure, state, hottest) = if side == "l" {
                (fluid.bubble_pressure(t), fluid.bubble_t(t), range.bubble_temperature_max)
            } else {
                (fluid.dew_pressure(t), fluid.dew_t(t), range.dew_temperature_max)
            };
            let (pressure, state) = match (pressure, state) {
                (Ok(pressure), Ok(state)) => (pressure, state),
                (Err(error), Err(_)) => {
                    must_be_outside(&error, t < range.temperature_min || t > hottest || p > range.pressure_max, &place);
                    tally.outside += 1;
                    continue;
                }
                _ => panic!("{name} {place}: pressure and state disagree on the range"),
            };
            tally.note("saturation pressure", pressure / p - 1.0, &place);
            let get = |quantity: &str| table.number(row, &format!("{quantity}_{side}"));
            let want = Wanted { rho: get("rho"), h: get("h"), s: get("s"), cp: get("cp"), mu: get("mu"), w: get("w") };
            tally.compare(&state, &want, latent(fluid, p), &place);
        }
    }
    tally
}

fn single_phase(name: &str) -> Tally {
    let fluid = named(name).unwrap();
    let range = fluid.range();
    let table = Table::open(name, "single_phase.csv");
    let mut tally = Tally::default();
    for row in &table.rows {
        let get = |column: &str| table.number(row, column);
        let (p, t) = (get("p"), get("T"));
        let phase = table.text(row, "phase");
        let place = format!("{phase} {p} Pa {t} K");
        let outside;
        let state = match phase {
            "vapour" => {
                let above_dew = t - get("T_sat");
                outside = p < range.pressure_min
                    || p > range.pressure_max
                    || t < range.temperature_min
                    || above_dew > range.superheat_max;
                fluid.vapour_pt(p, t)
            }
            "liquid" => {
                outside = p < range.pressure_min
                    || p > range.liquid_pressure_max
                    || t < range.temperature_min
                    || t > range.bubble_temperature_max;
                fluid.liquid_pt(p, t)
            }
            other => panic!("{other}"),
        };
        match state {
            Ok(state) => {
                let any = fluid.state_pt(p, t).unwrap();
                assert_eq!(any, state, "{name} {place}: state_pt sees another phase");
                let want =
                    Wanted { rho: get("rho"), h: get("h"), s: get("s"), cp: get("cp"), mu: get("mu"), w: get("w") };
                tally.compare(&state, &want, latent(fluid, p), &place);
                let t_sat = get("T_sat");
                let line = if phase == "vapour" { fluid.dew_temperature(p) } else { fluid.bubble_temperature(p) };
                if let Ok(line) = line {
                    tally.note("saturation temperature", line / t_sat - 1.0, &place);
                }
            }
            Err(error) => {
                must_be_outside(&error, outside, &place);
                tally.outside += 1;
            }
        }
    }
    tally
}

#[test]
fn every_saturation_row() {
    let mut outside = 0;
    for name in names() {
        let tally = saturation(name);
        tally.check(name);
        assert!(tally.compared >= 50, "{name}: only {} rows compared", tally.compared);
        outside += tally.outside;
    }
    assert_eq!(outside, 1, "R-454C bubbles above 0.93 of its critical pressure in the last row");
}

#[test]
fn every_single_phase_row() {
    let mut outside = 0;
    for name in names() {
        let tally = single_phase(name);
        tally.check(name);
        assert!(tally.compared >= 270, "{name}: only {} rows compared", tally.compared);
        outside += tally.outside;
    }
    assert_eq!(outside, 12, "rows above 0.93 of the critical pressure or under -50 degC");
}
