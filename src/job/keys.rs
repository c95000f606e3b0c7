//! The keys of a job file, table by table. Keys are only ever added.

use super::table::Keys;

/// What the whole file holds.
pub(super) const FILE: Keys = Keys {
    place: "a job file",
    all: &["job", "site", "plant", "limits", "room", "point", "tube", "circuit", "roof"],
    needed: &[],
};

pub(super) const JOB: Keys = Keys { place: "[job]", all: &["title", "units"], needed: &[] };

pub(super) const SITE: Keys = Keys {
    place: "[site]",
    all: &["altitude", "summer", "winter", "weather", "summer_percent", "winter_percent", "recirculation", "installed"],
    needed: &[],
};

pub(super) const PLANT: Keys = Keys {
    place: "[plant]",
    all: &["load", "spare", "profile", "running"],
    needed: &[("load", "\"110 ton\"", "\"390 kW\"")],
};

pub(super) const PROFILE: Keys = Keys {
    place: "`profile`",
    all: &["by", "workday", "saturday", "sunday", "week", "none", "full", "least"],
    needed: &[("by", "\"week\"", "\"week\"")],
};

pub(super) const ROOM: Keys = Keys {
    place: "[[room]]",
    all: &["name", "volume", "occupied"],
    needed: &[("name", "\"corridor\"", "\"corridor\""), ("volume", "\"9500 ft3\"", "\"270 m3\"")],
};

pub(super) const POINT: Keys = Keys {
    place: "[[point]]",
    all: &["name", "outdoor", "share", "bypass"],
    needed: &[("name", "\"spring night\"", "\"spring night\""), ("outdoor", "\"48 F\"", "\"9 °C\"")],
};

pub(super) const TUBE: Keys = Keys {
    place: "[[tube]]",
    all: &["name", "outside", "wall", "rated", "allowable"],
    needed: &[
        ("name", "\"1-3/8 high-pressure\"", "\"35 high-pressure\""),
        ("outside", "\"1.375 in\"", "\"35 mm\""),
        ("wall", "\"0.065 in\"", "\"1.65 mm\""),
    ],
};

pub(super) const CIRCUIT: Keys = Keys {
    place: "[[circuit]]",
    all: &[
        "name",
        "module",
        "refrigerant",
        "copies",
        "compressors",
        "evaporator",
        "condenser",
        "valve",
        "discharge",
        "liquid",
    ],
    needed: &[("name", "\"1A\"", "\"1A\""), ("refrigerant", "\"R-410A\"", "\"R-410A\"")],
};

pub(super) const COMPRESSORS: Keys = Keys {
    place: "[circuit.compressors]",
    all: &["count", "least", "least_share", "rating", "map", "hot_gas_bypass", "oil"],
    needed: &[],
};

pub(super) const RATING: Keys = Keys {
    place: "`rating`",
    all: &["capacity", "power", "suction", "condensing", "superheat", "subcooling"],
    needed: &[
        ("capacity", "\"40 ton\"", "\"140 kW\""),
        ("power", "\"42 kW\"", "\"42 kW\""),
        ("suction", "\"40 F\"", "\"4.5 °C\""),
        ("condensing", "\"120 F\"", "\"49 °C\""),
        ("superheat", "\"10 F\"", "\"5.5 K\""),
        ("subcooling", "\"10 F\"", "\"5.5 K\""),
    ],
};

pub(super) const MAP: Keys = Keys {
    place: "`map`",
    all: &[
        "temperature",
        "suction",
        "condensing",
        "superheat",
        "subcooling",
        "flow",
        "flow_unit",
        "power",
        "power_unit",
        "capacity",
        "capacity_unit",
    ],
    needed: &[
        ("temperature", "\"F\"", "\"C\""),
        ("suction", "\"45 F\"", "\"7 °C\""),
        ("condensing", "\"120 F\"", "\"49 °C\""),
        ("superheat", "\"20 F\"", "\"11 K\""),
        ("subcooling", "\"15 F\"", "\"8 K\""),
        ("power", "[c1, …, c10]", "[c1, …, c10]"),
        ("power_unit", "\"W\"", "\"W\""),
    ],
};

pub(super) const BYPASS: Keys =
    Keys { place: "`hot_gas_bypass`", all: &["share", "when"], needed: &[("share", "0.2", "0.2")] };

pub(super) const EVAPORATOR: Keys = Keys {
    place: "[circuit.evaporator]",
    all: &["leaving", "approach", "suction", "superheat", "volume"],
    needed: &[],
};

pub(super) const CONDENSER: Keys = Keys {
    place: "[circuit.condenser]",
    all: &[
        "rejection",
        "difference",
        "air_flow",
        "rated_altitude",
        "loss",
        "subcooling",
        "above",
        "volume",
        "recirculation",
        "fan_power",
        "cutout",
        "head_control",
        "coils",
        "legs",
    ],
    needed: &[
        ("rejection", "\"640 kBtu/h\"", "\"190 kW\""),
        ("difference", "\"25 F\"", "\"14 K\""),
        ("above", "\"38 ft\"", "\"11.6 m\""),
    ],
};

pub(super) const HEAD_CONTROL: Keys =
    Keys { place: "`head_control`", all: &["by", "hold", "least_air"], needed: &[("by", "\"fans\"", "\"fans\"")] };

pub(super) const LEGS: Keys = Keys {
    place: "`legs`",
    all: &["height", "tube", "level", "fittings"],
    needed: &[("height", "\"4 ft\"", "\"1.2 m\""), ("tube", "\"7/8 ACR\"", "\"7/8 ACR\"")],
};

pub(super) const VALVE: Keys =
    Keys { place: "[circuit.valve]", all: &["kind", "subcooling", "least_drop"], needed: &[] };

pub(super) const DISCHARGE: Keys = Keys {
    place: "[circuit.discharge]",
    all: &["tube", "route"],
    needed: &[
        ("tube", "\"1-3/8 ACR\"", "\"1-3/8 ACR\""),
        ("route", "[ { level = \"14 ft\" } ]", "[ { level = \"4 m\" } ]"),
    ],
};

pub(super) const LIQUID: Keys = Keys {
    place: "[circuit.liquid]",
    all: &["tube", "route"],
    needed: &[
        ("tube", "\"7/8 ACR\"", "\"7/8 ACR\""),
        ("route", "[ { level = \"14 ft\" } ]", "[ { level = \"4 m\" } ]"),
    ],
};

pub(super) const RUN: Keys = Keys {
    place: "a run of a route",
    all: &[
        "level",
        "rise",
        "fall",
        "part",
        "tube",
        "fittings",
        "trap",
        "slope",
        "around",
        "insulation",
        "room",
        "loss",
        "kv",
        "cv",
        "length",
        "style",
        "volume",
        "vented",
    ],
    needed: &[],
};

pub(super) const ROOF: Keys = Keys {
    place: "[roof]",
    all: &[
        "north",
        "height",
        "outline",
        "parapet",
        "guard",
        "volts_to_ground",
        "wind",
        "unit",
        "wall",
        "rail",
        "heat",
        "listener",
        "crossing",
    ],
    needed: &[],
};

pub(super) const ROOF_UNIT: Keys = Keys {
    place: "[[roof.unit]]",
    all: &[
        "name",
        "circuits",
        "at",
        "size",
        "turned",
        "height",
        "stands",
        "air_in",
        "air_out",
        "air_flow",
        "outlet_velocity",
        "clearance",
        "controls",
        "weight",
        "supports",
        "weights",
        "allowed",
        "sound_power",
        "night_sound_power",
        "night_speed",
    ],
    needed: &[
        ("name", "\"C1\"", "\"C1\""),
        ("circuits", "[\"1A\"]", "[\"1A\"]"),
        ("at", "[\"20 ft\", \"12 ft\"]", "[\"6 m\", \"3.6 m\"]"),
        ("size", "[\"20 ft\", \"7 ft 6 in\"]", "[\"6 m\", \"2.3 m\"]"),
        ("height", "\"8 ft\"", "\"2.4 m\""),
    ],
};

pub(super) const ROOF_CLEARANCE: Keys =
    Keys { place: "`clearance`", all: &["north", "east", "south", "west", "above"], needed: &[] };

pub(super) const ROOF_WALL: Keys = Keys {
    place: "[[roof.wall]]",
    all: &["name", "from", "to", "height", "open"],
    needed: &[
        ("name", "\"stair head\"", "\"stair head\""),
        ("from", "[\"50 ft\", \"0 ft\"]", "[\"15 m\", \"0 m\"]"),
        ("to", "[\"50 ft\", \"20 ft\"]", "[\"15 m\", \"6 m\"]"),
        ("height", "\"10 ft\"", "\"3 m\""),
    ],
};

pub(super) const ROOF_RAIL: Keys = Keys {
    place: "[[roof.rail]]",
    all: &["from", "to", "height"],
    needed: &[
        ("from", "[\"0 ft\", \"0 ft\"]", "[\"0 m\", \"0 m\"]"),
        ("to", "[\"50 ft\", \"0 ft\"]", "[\"15 m\", \"0 m\"]"),
        ("height", "\"42 in\"", "\"1.1 m\""),
    ],
};

pub(super) const ROOF_HEAT: Keys = Keys {
    place: "[[roof.heat]]",
    all: &["name", "at", "height", "air_flow", "warmer", "outlet_velocity"],
    needed: &[
        ("name", "\"kitchen exhaust\"", "\"kitchen exhaust\""),
        ("at", "[\"70 ft\", \"30 ft\"]", "[\"21 m\", \"9 m\"]"),
        ("height", "\"4 ft\"", "\"1.2 m\""),
        ("air_flow", "\"6000 ft3/min\"", "\"2.8 m3/s\""),
        ("warmer", "\"25 F\"", "\"14 K\""),
    ],
};

pub(super) const ROOF_LISTENER: Keys = Keys {
    place: "[[roof.listener]]",
    all: &["name", "at", "height", "limit", "night_limit"],
    needed: &[
        ("name", "\"flat across the lane\"", "\"flat across the lane\""),
        ("at", "[\"60 ft\", \"-80 ft\"]", "[\"18 m\", \"-24 m\"]"),
        ("height", "\"15 ft\"", "\"4.5 m\""),
    ],
};

pub(super) const ROOF_CROSSING: Keys = Keys {
    place: "[[roof.crossing]]",
    all: &["name", "height"],
    needed: &[("name", "\"north walk\"", "\"north walk\""), ("height", "\"7 ft 6 in\"", "\"2.3 m\"")],
};

/// Where a misplaced key may belong.
pub(super) const HOMES: &[&Keys] = &[
    &JOB,
    &SITE,
    &PLANT,
    &PROFILE,
    &ROOM,
    &POINT,
    &TUBE,
    &CIRCUIT,
    &COMPRESSORS,
    &RATING,
    &BYPASS,
    &EVAPORATOR,
    &CONDENSER,
    &HEAD_CONTROL,
    &LEGS,
    &VALVE,
    &DISCHARGE,
    &RUN,
    &ROOF,
    &ROOF_UNIT,
    &ROOF_WALL,
    &ROOF_RAIL,
    &ROOF_HEAT,
    &ROOF_LISTENER,
];
