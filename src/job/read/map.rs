//! Ten-coefficient polynomials of a compressor.

use crate::job::fault::Fault;
use crate::job::key::Bounds;
use crate::job::notes::Notes;
use crate::job::table::{Table, plain_number};
use crate::job::{Map, Polynomial, RatedAt};
use crate::physics::polynomial::ten_coefficient;
use crate::units::{Kind, factor, unit_factor};

/// Coefficients and their unit.
const COEFFICIENTS: Bounds = Bounds::From(-1e15, 1e15);

pub(super) fn map(notes: &mut Notes<'_>, table: &Table<'_>, rated: Option<&RatedAt>) -> Option<Map> {
    let fahrenheit = notes.choice(table, "temperature", &[true, true, false, false]);
    let flow = polynomial(notes, table, "flow", "flow_unit", Kind::MassRate);
    let capacity = polynomial(notes, table, "capacity", "capacity_unit", Kind::Capacity);
    let power = polynomial(notes, table, "power", "power_unit", Kind::Power);
    let fahrenheit = fahrenheit?;
    if let Some(rated) = rated {
        let scale = |kelvin: f64| if fahrenheit { factor::kelvin_to_fahrenheit(kelvin) } else { kelvin - 273.15 };
        let (s, d) = (scale(rated.suction.kelvin()), scale(rated.condensing.kelvin()));
        for (key, polynomial) in [("flow", &flow), ("capacity", &capacity), ("power", &power)] {
            let Some(polynomial) = polynomial else { continue };
            let value = ten_coefficient(&polynomial.coefficients, s, d);
            if !(value > 0.0 && (value * polynomial.to_si).is_finite()) {
                let says = format!("`{key}` is {value:.4} at the map's own suction and condensing temperatures");
                let label = "must be above 0: the coefficients' order, signs or temperature scale are not these";
                notes.fault(Fault::new(table.span_of(key), says).expected(label));
            }
        }
    }
    if (table.has("flow") && flow.is_none()) || (table.has("capacity") && capacity.is_none()) {
        return None;
    }
    if flow.is_none() && capacity.is_none() {
        return None;
    }
    Some(Map { fahrenheit, flow, capacity, power: power? })
}

fn polynomial(notes: &mut Notes<'_>, table: &Table<'_>, key: &str, unit_key: &str, kind: Kind) -> Option<Polynomial> {
    let entry = table.get(key);
    let unit = table.get(unit_key);
    match (&entry, &unit) {
        (Some(entry), None) if key != "power" => {
            let fault = Fault::new(entry.key_span.clone(), format!("`{key}` without `{unit_key}`"));
            let mend = format!("{unit_key} = \"{}\", {key}", kind.usual_unit(notes.system));
            notes.structural(fault.expected("its coefficients carry a unit").mend(entry.key_span.clone(), mend));
        }
        (None, Some(unit)) if key != "power" => {
            notes.structural(Fault::new(unit.key_span.clone(), format!("`{unit_key}` without `{key}`")));
        }
        _ => {}
    }
    let to_si = unit.and_then(|unit| {
        let text = notes.text_of(unit_key, unit.value, &unit.span)?;
        match unit_factor(text, kind) {
            Ok(factor) => Some(factor),
            Err(misread) => {
                notes.misread(unit_key, &unit.span, &misread, kind);
                None
            }
        }
    });
    let entry = entry?;
    let array = notes.array(&entry, "c1, c2, … c10")?;
    let mut numbers = Vec::with_capacity(10);
    for item in array.iter().take(64) {
        numbers.push(notes.number_of(key, item.get_ref(), &item.span(), COEFFICIENTS));
    }
    let Ok(coefficients) = <[Option<f64>; 10]>::try_from(numbers) else {
        let count = array.len();
        let noun = if count == 1 { "coefficient" } else { "coefficients" };
        let fault = Fault::new(entry.span, format!("`{key}` has {count} {noun}; the polynomial has ten"));
        let label = "c1 + c2 S + c3 D + c4 S² + c5 S D + c6 D² + c7 S³ + c8 D S² + c9 S D² + c10 D³";
        notes.fault(fault.expected(label));
        return None;
    };
    let mut all = [0.0; 10];
    for (to, from) in all.iter_mut().zip(coefficients) {
        *to = from?;
    }
    if array.iter().all(|item| plain_number(item.get_ref()) == Some(0.0)) {
        notes.fault(Fault::new(entry.span, format!("all coefficients of `{key}` are 0")));
        return None;
    }
    Some(Polynomial { coefficients: all, to_si: to_si? })
}
