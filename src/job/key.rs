//! What a key of the job file is: its kind, its bounds, what is taken without it, how it is written and what it says.

use crate::units::Kind;

/// The keys of a kind of table.
#[derive(Debug)]
pub struct Keys {
    /// How the table is called in a message: `[site]`.
    pub place: &'static str,
    /// All of them.
    pub all: &'static [Key],
    /// Whether no key of it is a key of another table in the wrong place: misspelt ones are its own.
    pub apart: bool,
    /// Keys that are missing too where none of some others is there, and what is said of that.
    pub either: Option<Either>,
}

/// Keys of which one at least is needed.
#[derive(Clone, Copy, Debug)]
pub struct Either {
    /// One of these will do.
    pub of: &'static [&'static str],
    /// What is missing where none is there.
    pub missing: &'static [&'static str],
    /// What else would do.
    pub label: &'static str,
}

/// A key.
#[derive(Clone, Copy, Debug)]
pub struct Key {
    /// Its name.
    pub name: &'static str,
    /// What it holds.
    pub holds: Holds,
    /// How a value is written, in inch-pound and in SI units.
    pub example: [&'static str; 2],
    /// What it says.
    pub doc: &'static str,
    /// Whether it must be there.
    pub needed: bool,
    /// What is taken where it is not there.
    pub otherwise: Option<Otherwise>,
}

/// What a key holds.
#[derive(Clone, Copy, Debug)]
pub enum Holds {
    /// A quantity with its unit; bounds in SI.
    Quantity(Kind, Bounds),
    /// A number without a unit; what it counts, `-` for a ratio.
    Number(&'static str, Bounds),
    /// A whole number, from the first to the second.
    Count(u32, u32),
    /// Two lengths, along x and along y.
    Pair(Bounds),
    /// `true` or `false`.
    Flag,
    /// A text.
    Text,
    /// One of a few words.
    Choice(&'static [&'static str]),
    /// A table.
    Table(&'static Keys),
    /// A list of tables.
    Tables(&'static Keys),
    /// What has a form of its own.
    Other,
}

/// What is taken where a key is not there.
#[derive(Clone, Copy, Debug)]
pub struct Otherwise {
    /// The value, SI; none where it follows from others.
    pub value: Option<f64>,
    /// The value in words; empty where the number says it.
    pub says: &'static str,
    /// Why this value.
    pub why: &'static str,
    /// Its source key.
    pub source: &'static str,
}

/// What a number may be.
#[derive(Clone, Copy, Debug)]
pub enum Bounds {
    /// Above the first, at most the second.
    Above(f64, f64),
    /// At least the first, at most the second.
    From(f64, f64),
    /// Above the air's pressure at the site, at most so much.
    AboveAir(f64),
}

impl Keys {
    /// Of a table that is not apart.
    pub(super) const fn new(place: &'static str, all: &'static [Key]) -> Self {
        Self { place, all, apart: false, either: None }
    }

    /// The key of that name.
    #[must_use]
    pub fn key(&self, name: &str) -> Option<&'static Key> {
        self.all.iter().find(|key| key.name == name)
    }

    /// The names of all.
    pub fn names(&self) -> impl Iterator<Item = &'static str> + use<> {
        self.all.iter().map(|key| key.name)
    }
}

impl Key {
    const fn new(name: &'static str, holds: Holds, example: [&'static str; 2]) -> Self {
        Self { name, holds, example, doc: "", needed: false, otherwise: None }
    }

    /// What it says.
    pub(super) const fn doc(self, doc: &'static str) -> Self {
        Self { doc, ..self }
    }

    /// It must be there.
    pub(super) const fn needed(self) -> Self {
        Self { needed: true, ..self }
    }

    /// Without it that value is taken, in words where they say it better; by the source it is a choice of this program.
    pub(super) const fn or(self, value: f64, says: &'static str, why: &'static str) -> Self {
        Self { otherwise: Some(Otherwise { value: Some(value), says, why, source: "roofrun" }), ..self }
    }

    /// Without it a value is taken that follows from others.
    pub(super) const fn follows(self, why: &'static str) -> Self {
        Self { otherwise: Some(Otherwise { value: None, says: "", why, source: "roofrun" }), ..self }
    }

    /// The source of what is taken without it.
    pub(super) const fn by(self, source: &'static str) -> Self {
        match self.otherwise {
            Some(taken) => Self { otherwise: Some(Otherwise { source, ..taken }), ..self },
            None => self,
        }
    }

    /// The SI unit of its value.
    pub(super) const fn unit(&self) -> &'static str {
        match self.holds {
            Holds::Quantity(kind, _) => kind.si_unit(),
            Holds::Number(unit, _) => unit,
            _ => "-",
        }
    }

    /// Of what kind its value is; none of a number in a unit of its own.
    pub(super) fn kind(&self) -> Option<Kind> {
        match self.holds {
            Holds::Quantity(kind, _) => Some(kind),
            Holds::Number("-", bounds) if bounds.of_a_share() => Some(Kind::Share),
            Holds::Number("-", _) => Some(Kind::Ratio),
            Holds::Number(..) => None,
            _ => Some(Kind::Ratio),
        }
    }

    /// How a value is written in the file.
    #[must_use]
    pub fn written(&self, si: bool) -> String {
        let example = self.example[usize::from(si)];
        match self.holds {
            Holds::Quantity(..) | Holds::Text | Holds::Choice(_) => format!("\"{example}\""),
            _ => example.to_owned(),
        }
    }
}

impl Bounds {
    pub(super) fn hold(self, value: f64) -> bool {
        match self {
            Bounds::Above(minimum, maximum) => value > minimum && value <= maximum,
            Bounds::From(minimum, maximum) => value >= minimum && value <= maximum,
            Bounds::AboveAir(maximum) => value <= maximum,
        }
    }

    /// The same with the air's pressure known, Pa.
    pub(super) fn in_air(self, atmosphere: f64) -> Self {
        match self {
            Bounds::AboveAir(maximum) => Bounds::Above(atmosphere, maximum),
            known => known,
        }
    }

    /// Whether they are those of a fraction of a whole.
    pub(super) fn of_a_share(self) -> bool {
        matches!(self, Bounds::Above(_, maximum) | Bounds::From(_, maximum) if maximum <= 1.0)
    }

    pub(super) fn says(self, show: impl Fn(f64) -> String) -> String {
        match self {
            Bounds::Above(minimum, maximum) => format!("above {} and no more than {}", show(minimum), show(maximum)),
            Bounds::From(minimum, maximum) => format!("from {} to {}", show(minimum), show(maximum)),
            Bounds::AboveAir(maximum) => format!("no more than {}", show(maximum)),
        }
    }
}

/// A quantity.
pub(super) const fn quantity(name: &'static str, kind: Kind, bounds: Bounds, example: [&'static str; 2]) -> Key {
    Key::new(name, Holds::Quantity(kind, bounds), example)
}

/// A number of that unit.
pub(super) const fn number(name: &'static str, unit: &'static str, bounds: Bounds, example: &'static str) -> Key {
    Key::new(name, Holds::Number(unit, bounds), [example; 2])
}

/// A whole number.
pub(super) const fn count(name: &'static str, minimum: u32, maximum: u32, example: &'static str) -> Key {
    Key::new(name, Holds::Count(minimum, maximum), [example; 2])
}

/// Two lengths.
pub(super) const fn pair(name: &'static str, bounds: Bounds, example: [&'static str; 2]) -> Key {
    Key::new(name, Holds::Pair(bounds), example)
}

/// Yes or no.
pub(super) const fn flag(name: &'static str) -> Key {
    Key::new(name, Holds::Flag, ["true"; 2])
}

/// A text.
pub(super) const fn text(name: &'static str, example: [&'static str; 2]) -> Key {
    Key::new(name, Holds::Text, example)
}

/// One of a few words.
pub(super) const fn choice(name: &'static str, words: &'static [&'static str], example: &'static str) -> Key {
    Key::new(name, Holds::Choice(words), [example; 2])
}

/// A table.
pub(super) const fn table(name: &'static str, keys: &'static Keys) -> Key {
    Key::new(name, Holds::Table(keys), ["{ … }"; 2])
}

/// A list of tables.
pub(super) const fn tables(name: &'static str, keys: &'static Keys) -> Key {
    Key::new(name, Holds::Tables(keys), ["[{ … }]"; 2])
}

/// What has a form of its own.
pub(super) const fn form(name: &'static str, example: [&'static str; 2]) -> Key {
    Key::new(name, Holds::Other, example)
}
