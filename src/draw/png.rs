//! A drawing as PNG, with the fonts of the machine: one that has characters which these lack is refused, for a picture with empty
//! boxes in the place of names is none.

use super::canvas::Drawing;
use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::{Group, Node, Options, Text, Tree};
use thiserror::Error;

/// Pixels per unit of a drawing.
const SCALE: f32 = 2.0;

/// Why a drawing is not made a PNG.
#[derive(Debug, Error)]
pub enum PngFault {
    /// The machine has no font.
    #[error("no font is installed here, and a drawing needs one: install DejaVu Sans, or write SVG")]
    NoFont,
    /// Characters that no font of the machine has.
    #[error("no font installed here has {0}: install one that does, such as Noto, or write SVG")]
    Lacks(String),
    /// The drawing can't be painted.
    #[error("the drawing can't be painted: {0}")]
    Unpainted(String),
}

/// Paints a drawing on paper.
///
/// # Errors
/// [`PngFault`] where a font is missing or lacks characters, which are named, and where the picture is too large to paint.
pub fn png(drawing: &Drawing) -> Result<Vec<u8>, PngFault> {
    let unpainted = |error: &dyn std::fmt::Display| PngFault::Unpainted(error.to_string());
    let tree = Tree::from_str(&drawing.svg(), &with_fonts()?).map_err(|error| unpainted(&error))?;
    let mut missing = Vec::new();
    lacking(tree.root(), &mut missing);
    if !missing.is_empty() {
        return Err(PngFault::Lacks(missing.into_iter().map(told).collect::<Vec<_>>().join(", ")));
    }
    let size = tree.size().to_int_size().scale_by(SCALE).ok_or(PngFault::Unpainted("it is too large".to_owned()))?;
    let mut paper =
        Pixmap::new(size.width(), size.height()).ok_or(PngFault::Unpainted("it is too large".to_owned()))?;
    resvg::render(&tree, Transform::from_scale(SCALE, SCALE), &mut paper.as_mut());
    paper.encode_png().map_err(|error| unpainted(&error))
}

/// The fonts of the machine, one of the usual for all text.
fn with_fonts<'a>() -> Result<Options<'a>, PngFault> {
    const USUAL: [&str; 5] = ["DejaVu Sans", "Liberation Sans", "Noto Sans", "Arial", "Helvetica"];
    let mut options = Options::default();
    let fonts = options.fontdb_mut();
    fonts.load_system_fonts();
    let families: Vec<String> =
        fonts.faces().flat_map(|face| face.families.iter().map(|(name, _)| name.clone())).collect();
    let usual = USUAL.into_iter().find(|name| families.iter().any(|family| family == name));
    let family = usual.or_else(|| families.first().map(String::as_str)).ok_or(PngFault::NoFont)?.to_owned();
    fonts.set_sans_serif_family(&family);
    options.font_family = family;
    Ok(options)
}

/// Collects the characters that were set without a glyph, each once, in order.
fn lacking(group: &Group, missing: &mut Vec<char>) {
    for node in group.children() {
        match node {
            Node::Group(inner) => lacking(inner, missing),
            Node::Text(text) => without_glyph(text, missing),
            Node::Path(_) | Node::Image(_) => {}
        }
    }
}

fn without_glyph(text: &Text, missing: &mut Vec<char>) {
    let glyphs = text.layouted().iter().flat_map(|span| &span.positioned_glyphs);
    for c in glyphs.filter(|glyph| glyph.id.0 == 0).flat_map(|glyph| glyph.text.chars()) {
        if !missing.contains(&c) {
            missing.push(c);
        }
    }
}

/// A character for a message: itself and its number.
fn told(c: char) -> String {
    format!("{c} (U+{:04X})", u32::from(c))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::canvas::{Canvas, Setting, Text};
    use crate::draw::style::Type;

    fn drawing(words: &str) -> Drawing {
        let mut canvas = Canvas::new("test", 320.0, Setting::ALONE);
        canvas.write(Text::new(words, (16.0, 24.0), Type::Title));
        canvas.done("A test".to_owned(), "A line of text.".to_owned())
    }

    #[test]
    fn a_drawing_becomes_a_picture_of_twice_its_size_with_ink_on_it() {
        let bytes = png(&drawing("riser 38 ft")).unwrap();
        let picture = Pixmap::decode_png(&bytes).unwrap();
        let svg = drawing("riser 38 ft").svg();
        let height: f64 =
            svg.split("height=\"").nth(1).and_then(|rest| rest.split('"').next()).unwrap().parse().unwrap();
        assert_eq!(picture.width(), 640);
        assert!((f64::from(picture.height()) - 2.0 * height).abs() < 1.0, "{}", picture.height());
        let is_dark = |pixel: &&resvg::tiny_skia::PremultipliedColorU8| pixel.alpha() == 255 && pixel.red() < 100;
        let dark = picture.pixels().iter().filter(is_dark).count();
        assert!((50..20_000).contains(&dark), "{dark} dark pixels");
    }

    /// Two places of Unicode that no character has, so that no font does.
    #[test]
    fn what_the_fonts_lack_is_named_once_and_no_picture_made() {
        let fault = png(&drawing("riser \u{378} and \u{530}\u{378}")).unwrap_err();
        assert!(matches!(fault, PngFault::Lacks(_)), "{fault}");
        let told = fault.to_string();
        assert_eq!(told.matches("U+0378").count(), 1, "{told}");
        assert!(told.contains("U+0530") && !told.contains("U+0072"), "{told}");
    }
}
