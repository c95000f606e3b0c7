//! Quantities as text in the job's units, with no more digits than they deserve.

/// The units of a report.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum System {
    /// Inch-pound: ft, psi, F, ton, lb.
    #[default]
    Ip,
    /// SI: m, kPa, °C, kW, kg.
    Si,
}
