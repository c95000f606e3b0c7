//! Jobs made for measuring: distinct circuits, no two alike, every run in air that it gives heat to or takes heat from.

/// A job of so many circuits of R-134a that pass: sizes, lengths and airs vary from one to the next.
#[must_use]
pub fn passing(circuits: u32) -> String {
    let mut text = String::from(
        r#"[job]
title = "Distinct circuits"
units = "ip"
[site]
altitude = "890 ft"
summer = "96 F"
winter = "2 F"
recirculation = "3 F"
"#,
    );
    for number in 0..circuits {
        text += &circuit(number, &Scale { capacity: 1.0, length: 1.0, height: 1.0 });
    }
    text
}

/// How many times as large as one that passes a circuit is.
pub struct Scale {
    /// Its compressors and its condenser.
    pub capacity: f64,
    /// What is level of its lines.
    pub length: f64,
    /// How high its condenser stands, or how far below.
    pub height: f64,
}

/// One circuit: a compressor's rating and a coil that go with the capacity, a riser of 30 to 39 ft; below the chiller it falls.
#[must_use]
pub fn circuit(number: u32, scale: &Scale) -> String {
    let (n, turn) = (f64::from(number), f64::from(number % 12));
    let tons = (24.0 + 0.3 * turn + 0.003 * n) * scale.capacity;
    let (power, rejection) = (1.038 * tons, 16.15 * tons);
    let elevation = (30.0 + f64::from(number % 7) + 0.01 * n) * scale.height;
    let height = elevation.abs();
    let (up, down) = if elevation > 0.0 { ("rise", "drop") } else { ("drop", "rise") };
    let trap = if elevation > 20.0 { r#", trap = ["20 ft"]"# } else { "" };
    let level = (12.0 + f64::from(number % 5) + 0.02 * n) * scale.length;
    let roof = 20.0 * scale.length;
    let air = 88.0 + f64::from(number % 9);
    let above = 2.0 + f64::from(number % 11);
    format!(
        r#"
[[circuit]]
name = "{number}"
refrigerant = "R-134a"
relief_valve = {{ setting = "278 psig", capacity = "16 lb/min" }}
[circuit.compressors]
count = 2
minimum = 1
rating = {{ capacity = "{tons:.3} ton", power = "{power:.3} kW", suction = "38 F", condensing = "118 F", superheat = "10 F", subcooling = "10 F" }}
oil = "POE 68"
[circuit.evaporator]
leaving = "44 F"
approach = "6 F"
superheat = "10 F"
volume = "0.9 ft3"
[circuit.condenser]
rejection = "{rejection:.3} MBH"
td = "22 F"
pressure_drop = "2 psi"
subcooling = "10 F"
elevation = "{elevation:.2} ft"
volume = "1.4 ft3"
cutout = "250 psig"
head_control = {{ by = "fans", setpoint = "80 F", minimum_air = 0.05 }}
[circuit.valve]
kind = "electronic"
subcooling = "4 F"
minimum_drop = "40 psi"
[circuit.discharge]
tube = "2-1/8 ACR"
route = [
  {{ level = "{level:.2} ft", fittings = {{ long-elbow = 2 }}, slope = "with flow", ambient = "{air} F" }},
  {{ {up} = "{height:.2} ft"{trap}, ambient = "outdoor + {above} F" }},
  {{ level = "{roof:.2} ft", fittings = {{ long-elbow = 3 }}, slope = "with flow", ambient = "outdoor" }},
  {{ part = "check valve", pressure_drop = "0.5 psi" }},
]
[circuit.liquid]
tube = "1-3/8 ACR"
route = [
  {{ part = "receiver", style = "surge", volume = "4.6 ft3", shell = {{ diameter = "14 in", length = "4 ft 6 in" }}, stop_valves = true }},
  {{ level = "{roof:.2} ft", fittings = {{ long-elbow = 3 }}, ambient = "outdoor" }},
  {{ {down} = "{height:.2} ft", fittings = {{ long-elbow = 1 }}, ambient = "{air} F" }},
  {{ level = "{level:.2} ft", fittings = {{ long-elbow = 2 }}, ambient = "{air} F", insulation = "1/2 in" }},
  {{ part = "filter-drier", pressure_drop = "1.5 psi" }},
  {{ part = "solenoid valve", kv = 9 }},
  {{ part = "sight glass" }},
]
"#
    )
}
