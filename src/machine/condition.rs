//! What an operating point asks, and what fixes its head.

/// What an operating point asks.
#[derive(Clone, Copy, Debug)]
pub struct Condition {
    /// Outdoor dry-bulb, K.
    pub outdoor_K: f64,
    /// Warm air returning, K.
    pub recirculation_K: f64,
    /// Atmospheric pressure, Pa.
    pub atmosphere_Pa: f64,
    /// Share of full displacement.
    pub share: f64,
    /// Share of the flow through the hot-gas bypass.
    pub bypass: f64,
    /// Whether the lines count (loss and heat); a derating switches them on as one of its causes.
    pub lines: bool,
    /// Evaporating temperature held at this, K, instead of what the fluid gives.
    pub held_K: Option<f64>,
    /// Whether the head-pressure control acts.
    pub control: bool,
    /// Whether the size of the valve counts; else it is large enough.
    pub valve: bool,
}

/// What fixes the discharge pressure.
#[derive(Clone, Copy, Debug)]
pub(super) enum Head {
    /// The coil at this air share and share of it that is not flooded.
    Coil { air_share: f64, dry_share: f64 },
    /// A condensing temperature that the control holds, K.
    Held(f64),
}

/// All of the coil at full air.
pub(super) const FREE: Head = Head::Coil { air_share: 1.0, dry_share: 1.0 };
