//! The look of every drawing: types, classes, palette.

use std::fmt::Write;

/// How a text is set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Type {
    /// The title, 15 bold.
    Title,
    /// 12.5.
    Plain,
    /// 12.5 bold.
    Strong,
    /// Second text, 12.
    Soft,
    /// The discharge line's, 12.5.
    Gas,
    /// The liquid line's, 12.5.
    Liquid,
    /// What fails, 12.5 bold.
    Fails,
    /// A caution, 12.5 bold.
    Caution,
    /// The number in a mark, 12 bold.
    Mark,
    /// The number in a mark that fails, 12 bold on its colour.
    MarkFails,
}

impl Type {
    /// Its size.
    #[must_use]
    pub const fn size(self) -> f64 {
        match self {
            Self::Title => 15.0,
            Self::Soft | Self::Mark | Self::MarkFails => 12.0,
            Self::Plain | Self::Strong | Self::Gas | Self::Liquid | Self::Fails | Self::Caution => 12.5,
        }
    }

    /// Whether it is bold.
    #[must_use]
    pub const fn is_bold(self) -> bool {
        !matches!(self, Self::Plain | Self::Soft | Self::Gas | Self::Liquid)
    }

    /// Its class; nothing for plain text.
    #[must_use]
    pub const fn class(self) -> &'static str {
        match self {
            Self::Title => "th",
            Self::Plain => "",
            Self::Strong => "tb",
            Self::Soft => "ts",
            Self::Gas => "tg",
            Self::Liquid => "tl",
            Self::Fails => "tf",
            Self::Caution => "tc",
            Self::Mark => "tm",
            Self::MarkFails => "tn",
        }
    }
}

/// Classes of shapes. Several may stand together: `concat!` of the words with a blank.
pub mod class {
    /// The paper under a drawing.
    pub const PAPER: &str = "paper";
    /// Outline of a chiller, a dimension, an axis that counts: 1.4.
    pub const OUTLINE: &str = "line";
    /// A wall or a bar: 5.
    pub const WALL: &str = "line wall";
    /// An open wall, dashed.
    pub const OPEN_WALL: &str = "line wall open";
    /// An axis, a leader: 1.
    pub const THIN: &str = "thin";
    /// Grid.
    pub const HAIR: &str = "hair";
    /// A datum, dashed in hair.
    pub const DATUM: &str = "hair dash";
    /// A limit, dashed in ink.
    pub const LIMIT: &str = "line dash";
    /// A chiller or a vessel: outlined and filled.
    pub const BOX: &str = "box";
    /// A band under a curve, without an outline.
    pub const BAND: &str = "band";
    /// Both edges of a discharge line of 7.
    pub const GAS: &str = "gas";
    /// Both edges of a wide discharge line, of 9.
    pub const GAS_WIDE: &str = "gas wide";
    /// The paper between its edges.
    pub const GAS_IN: &str = "in";
    /// The paper between the edges of a wide one.
    pub const GAS_WIDE_IN: &str = "in wide";
    /// Paper under a line that passes in front of another: 13.
    pub const BACK: &str = "in back";
    /// A liquid line.
    pub const LIQUID: &str = "liquid";
    /// A curve of gas: 2.4.
    pub const CURVE_GAS: &str = "gas curve";
    /// A curve of liquid: 2.4.
    pub const CURVE_LIQUID: &str = "liquid curve";
    /// A curve in ink: 2.4.
    pub const CURVE: &str = "line curve";
    /// The line that is judged: 3.2.
    pub const JUDGED: &str = "fails curve judged";
    /// Filled with ink.
    pub const INK: &str = "fill";
    /// Filled with paper.
    pub const BLANK: &str = "blank";
    /// Filled with the colour of gas.
    pub const GAS_FILL: &str = "fill fgas";
    /// Filled with the colour of liquid.
    pub const LIQUID_FILL: &str = "fill fliquid";
    /// Filled with the colour of what fails.
    pub const FAILS_FILL: &str = "fill ffails";
    /// Outlined in the colour of what fails: 1.6.
    pub const FAILS: &str = "fails";
    /// Outlined in the colour of a caution: 1.6.
    pub const CAUTION: &str = "caution";
    /// The diamond of a caution.
    pub const MARK_CAUTION: &str = "caution mark";
    /// The circle of a note.
    pub const MARK_NOTE: &str = "thin mark";
    /// Strokes of the hatch of a region that fails.
    pub const HATCH: &str = "fails hatch";
    /// Strokes of the hatch of warm air.
    pub const WARM_HATCH: &str = "gas hatch";
}

/// A set of colours.
#[derive(Clone, Copy, Debug)]
struct Palette {
    paper: &'static str,
    ink: &'static str,
    soft: &'static str,
    hair: &'static str,
    fill: &'static str,
    gas: &'static str,
    liquid: &'static str,
    fails: &'static str,
    caution: &'static str,
}

const LIGHT: Palette = Palette {
    paper: "#ffffff",
    ink: "#17191b",
    soft: "#4b5157",
    hair: "#c3c9ce",
    fill: "#eef1f3",
    gas: "#8f3410",
    liquid: "#0b5570",
    fails: "#a30f2a",
    caution: "#6a5000",
};

const DARK: Palette = Palette {
    paper: "#14171a",
    ink: "#eef0f1",
    soft: "#b3bac0",
    hair: "#4a5157",
    fill: "#22272b",
    gas: "#f2a988",
    liquid: "#7ecbe0",
    fails: "#ff9a9f",
    caution: "#e8c766",
};

/// The light set on paper: ink pure black.
const PRINT: Palette = Palette { ink: "#000000", soft: "#333333", hair: "#aaaaaa", fill: "#f0f0f0", ..LIGHT };

impl Palette {
    fn colours(&self) -> [(&'static str, &'static str); 9] {
        [
            ("paper", self.paper),
            ("ink", self.ink),
            ("soft", self.soft),
            ("hair", self.hair),
            ("fill", self.fill),
            ("gas", self.gas),
            ("liquid", self.liquid),
            ("fails", self.fails),
            ("caution", self.caution),
        ]
    }

    /// Rules with its colours in the place of the variables.
    fn in_place(&self, rules: &str) -> String {
        let put = |rules: String, (name, colour): (&str, &str)| rules.replace(&format!("var(--{name})"), colour);
        self.colours().into_iter().fold(rules.to_owned(), put)
    }

    fn variables(&self) -> String {
        self.colours().into_iter().fold(String::new(), |mut text, (name, colour)| {
            // Writing to a text cannot fail.
            let _ = write!(text, "--{name}:{colour};");
            text
        })
    }
}

/// What has no colour.
const FORM: &str = r#".drawing{font:12.5px system-ui,-apple-system,"Segoe UI",Roboto,"Helvetica Neue",Arial,"Liberation Sans","DejaVu Sans",sans-serif;font-variant-numeric:tabular-nums}
.drawing a{text-decoration:none}
.drawing .th{font-size:15px}.drawing .ts,.drawing .tm,.drawing .tn{font-size:12px}.drawing .th,.drawing .tb,.drawing .tf,.drawing .tc,.drawing .tm,.drawing .tn{font-weight:600}
.drawing .middle,.drawing .tm,.drawing .tn{text-anchor:middle}.drawing .end{text-anchor:end}
.drawing .halo{paint-order:stroke;stroke-width:4px;stroke-linejoin:round}
.drawing .line,.drawing .thin,.drawing .hair,.drawing .gas,.drawing .in,.drawing .liquid,.drawing .fails,.drawing .caution{fill:none;stroke-linejoin:round}
.drawing .line,.drawing .box{stroke-width:1.4px}.drawing .thin,.drawing .hair,.drawing .hatch{stroke-width:1px}.drawing .fails,.drawing .caution{stroke-width:1.6px}
.drawing .gas{stroke-width:7px}.drawing .in{stroke-width:3.8px}.drawing .gas.wide{stroke-width:9px}.drawing .in.wide{stroke-width:5.8px}.drawing .in.back{stroke-width:13px}.drawing .liquid{stroke-width:4px}.drawing .gas,.drawing .in,.drawing .liquid{stroke-linecap:square}.drawing .in.back{stroke-linecap:butt}
.drawing .curve{stroke-width:2.4px}.drawing .curve,.drawing .hatch{stroke-linecap:butt}.drawing .thinner{stroke-width:2px}.drawing .judged{stroke-width:3.2px}.drawing .wall{stroke-width:5px}.drawing .open{stroke-dasharray:5 3}.drawing .dash{stroke-dasharray:2 4}.drawing .line.dash{stroke-dasharray:6 4}
.drawing .caution.mark{stroke-width:2px}.drawing .thin.mark{stroke-width:1.4px}.drawing .gas.hatch,.drawing .fails.hatch{stroke-width:1px;opacity:.7}
"#;

/// What has.
const COLOURS: &str = r".drawing{color:var(--ink)}
.drawing text{fill:var(--ink);stroke:none}.drawing text.halo{stroke:var(--paper)}.drawing .paper,.drawing .blank{fill:var(--paper)}
.drawing text.ts{fill:var(--soft)}.drawing text.tg{fill:var(--gas)}.drawing text.tl{fill:var(--liquid)}.drawing text.tf{fill:var(--fails)}.drawing text.tc{fill:var(--caution)}.drawing text.tn{fill:var(--paper)}
.drawing .line{stroke:var(--ink)}.drawing .thin{stroke:var(--soft)}.drawing .hair{stroke:var(--hair)}.drawing .box{fill:var(--fill);stroke:var(--ink)}.drawing .band{fill:var(--fill)}
.drawing .gas{stroke:var(--gas)}.drawing .in{stroke:var(--paper)}.drawing .liquid{stroke:var(--liquid)}.drawing .fails{stroke:var(--fails)}.drawing .caution{stroke:var(--caution)}
.drawing .fill{fill:var(--ink)}.drawing .fgas{fill:var(--gas)}.drawing .fliquid{fill:var(--liquid)}.drawing .ffails{fill:var(--fails)}.drawing .mark{fill:var(--paper)}
";

/// The style of a drawing that stands alone: colours in place, so that every viewer knows them.
#[must_use]
pub fn alone() -> String {
    format!(
        "{FORM}{}@media (prefers-color-scheme:dark){{{}}}\n@media print{{{}}}\n",
        LIGHT.in_place(COLOURS),
        DARK.in_place(COLOURS),
        PRINT.in_place(COLOURS)
    )
}

/// The style of all drawings of a page, once: the colours are variables of its root, `--paper` to `--caution`.
#[must_use]
pub fn of_a_page() -> String {
    format!(
        ":root{{{}}}\n@media (prefers-color-scheme:dark){{:root{{{}}}}}\n@media print{{:root{{{}}}}}\n{FORM}{COLOURS}",
        LIGHT.variables(),
        DARK.variables(),
        PRINT.variables()
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance of `#rrggbb` (WCAG 2.2).
    fn luminance(colour: &str) -> f64 {
        let part = |i: usize| {
            let c = f64::from(u8::from_str_radix(&colour[i..i + 2], 16).unwrap()) / 255.0;
            if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * part(1) + 0.7152 * part(3) + 0.0722 * part(5)
    }

    fn contrast(a: &str, b: &str) -> f64 {
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    #[test]
    fn text_stands_out_on_paper_and_on_machines_in_every_scheme() {
        for palette in [LIGHT, DARK, PRINT] {
            for text in [palette.ink, palette.soft, palette.gas, palette.liquid, palette.fails, palette.caution] {
                for ground in [palette.paper, palette.fill] {
                    assert!(contrast(text, ground) >= 6.6, "{text} on {ground}: {}", contrast(text, ground));
                }
            }
        }
    }

    #[test]
    fn a_drawing_alone_needs_no_variable_and_a_page_defines_each() {
        assert!(!alone().contains("var("));
        let page = of_a_page();
        for used in page.split("var(--").skip(1).filter_map(|rest| rest.split_once(')')) {
            assert_eq!(page.matches(&format!("--{}:", used.0)).count(), 3, "{}", used.0);
        }
    }
}
