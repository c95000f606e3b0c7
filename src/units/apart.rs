//! Two values that are held against each other, as text that tells them apart.

use super::{Kind, System, quantity};

/// Values that differ by less than this share of them are the same but for rounding.
const SAME: f64 = 1e-9;
/// Most decimals that are added to tell two values apart.
const MAXIMUM_MORE: usize = 8;

impl Kind {
    /// Two SI values that are held against each other, as [`Kind::show`] gives them, with as many more digits as it takes that
    /// different ones do not read alike.
    #[must_use]
    pub fn show_apart(self, system: System, values: [f64; 2], atmosphere_pascals: f64) -> [String; 2] {
        let shown = values.map(|value| self.show(system, value, atmosphere_pascals));
        let [a, b] = values;
        if shown[0] != shown[1] || (a - b).abs() <= SAME * a.abs().max(b.abs()) {
            return shown;
        }
        let (number, unit) = shown[0].split_once(' ').unwrap_or((&shown[0], ""));
        let read = |number: &str| quantity(&format!("{number} {unit}"), self, system, atmosphere_pascals).ok();
        let scale = match self {
            Kind::Ratio | Kind::Hours => Some((0.0, 1.0)),
            Kind::Share => Some((0.0, 0.01)),
            _ => read("0").zip(read("1")),
        };
        let Some((zero, one)) = scale else { return shown };
        let decimals = number.split_once('.').map_or(0, |(_, decimals)| decimals.len());
        let finer = |more: usize| {
            let in_unit = |value: f64| format!("{:.*} {unit}", decimals + more, (value - zero) / (one - zero));
            values.map(|value| in_unit(value).trim_end().to_owned())
        };
        (1..=MAXIMUM_MORE).map(finer).find(|[a, b]| a != b).unwrap_or(shown)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_that_differ_are_shown_with_digits_enough_to_differ() {
        let atmosphere = 101_325.0;
        let psig = |psi: f64| atmosphere + psi * 6_894.757_293_168_361;
        let apart = |kind: Kind, values| kind.show_apart(System::Ip, values, atmosphere);
        assert_eq!(apart(Kind::Pressure, [psig(1.0), psig(2.0)]), ["1.0 psig", "2.0 psig"]);
        assert_eq!(apart(Kind::Pressure, [psig(0.98), psig(1.0)]), ["0.98 psig", "1.00 psig"]);
        assert_eq!(apart(Kind::Pressure, [psig(0.9996), psig(1.0)]), ["0.9996 psig", "1.0000 psig"]);
        assert_eq!(apart(Kind::Pressure, [psig(1.0), psig(1.0)]), ["1.0 psig", "1.0 psig"]);
        assert_eq!(apart(Kind::Ratio, [1.1501, 1.15]), ["1.1501", "1.1500"]);
        assert_eq!(apart(Kind::Length, [11.582_4, 11.583]), ["38.000 ft", "38.002 ft"]);
    }
}
