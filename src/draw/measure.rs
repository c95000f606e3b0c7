//! How wide a text is in the widest of the usual fonts, DejaVu Sans: where it fits in that, it fits in all.

use super::plane::Rect;
use super::style::Type;
use crate::visible::visible;
use std::borrow::Cow;
use unicode_width::UnicodeWidthChar;

/// Advance widths of DejaVu Sans from the blank to the tilde, in thousandths of the size, rounded up.
const PLAIN: [u16; 95] = [
    318, 401, 460, 838, 637, 951, 780, 275, 391, 391, 500, 838, 318, 361, 318, 337, 637, 637, 637, 637, 637, 637, 637,
    637, 637, 637, 337, 337, 838, 838, 838, 531, 1000, 685, 687, 699, 771, 632, 576, 775, 752, 295, 295, 656, 558, 863,
    749, 788, 604, 788, 695, 635, 611, 732, 685, 989, 686, 611, 686, 391, 337, 391, 838, 500, 500, 613, 635, 550, 635,
    616, 353, 635, 634, 278, 278, 580, 278, 975, 634, 612, 635, 635, 412, 521, 393, 634, 592, 818, 592, 592, 525, 637,
    337, 637, 838,
];

/// The same of DejaVu Sans Bold.
const BOLD: [u16; 95] = [
    349, 457, 521, 838, 696, 1002, 873, 307, 458, 458, 523, 838, 380, 416, 380, 366, 696, 696, 696, 696, 696, 696, 696,
    696, 696, 696, 400, 400, 838, 838, 838, 581, 1000, 774, 763, 734, 831, 684, 684, 821, 837, 373, 373, 775, 638, 996,
    837, 851, 733, 851, 771, 721, 683, 813, 774, 1104, 771, 725, 726, 458, 366, 458, 838, 500, 500, 675, 716, 593, 716,
    679, 436, 716, 712, 343, 343, 666, 343, 1042, 712, 688, 716, 716, 494, 596, 479, 712, 652, 924, 646, 652, 583, 712,
    366, 712, 838,
];

/// Height of capitals and figures over the baseline, and of what hangs below it, as fractions of the size.
const ASCENT: f64 = 0.80;
const DESCENT: f64 = 0.22;

/// Width of a character as a fraction of the size. What the font lacks counts as wide as any font has it.
fn advance(c: char, bold: bool) -> f64 {
    let table = if bold { &BOLD } else { &PLAIN };
    let known = u32::from(c).checked_sub(32).and_then(|i| table.get(i as usize));
    match (known, c) {
        (Some(width), _) => f64::from(*width) / 1000.0,
        (None, '°' | '²' | '³' | '·' | '–') => 0.5,
        (None, _) => match c.width() {
            None | Some(0) => 0.0,
            Some(1) => 1.1,
            Some(_) if u32::from(c) < 0x1_f000 => 1.05,
            Some(_) => 1.4,
        },
    }
}

/// Width of a text in units of the drawing, what is hidden in it written out.
#[must_use]
pub fn width(text: &str, look: Type) -> f64 {
    visible(text).chars().map(|c| advance(c, look.is_bold())).sum::<f64>() * look.size()
}

/// What a line of text covers that begins at `x` on the baseline `y`.
#[must_use]
pub fn covers(text: &str, look: Type, x: f64, y: f64) -> Rect {
    Rect::new(x, y - ASCENT * look.size(), width(text, look), (ASCENT + DESCENT) * look.size())
}

/// A text cut to a width, with an ellipsis where it was longer.
#[must_use]
pub fn fit(text: &str, look: Type, room: f64) -> Cow<'_, str> {
    let text = visible(text);
    if width(&text, look) <= room {
        return text;
    }
    let mut left = room - width("…", look);
    let cut: String = text
        .chars()
        .take_while(|c| {
            left -= advance(*c, look.is_bold()) * look.size();
            left >= 0.0
        })
        .collect();
    Cow::Owned(format!("{}…", cut.trim_end()))
}

/// The words of a text; a number and its unit are one.
fn words(text: &str) -> Vec<String> {
    let is_number = |word: &String| word.ends_with(|c: char| c.is_ascii_digit());
    let is_unit =
        |word: &str| word.chars().count() <= 7 && word.starts_with(|c: char| c.is_alphabetic() || c == '°' || c == '%');
    text.split_whitespace().fold(Vec::new(), |mut words: Vec<String>, word| {
        match words.last_mut() {
            Some(last) if is_number(last) && is_unit(word) => {
                last.push(' ');
                last.push_str(word);
            }
            _ => words.push(word.to_owned()),
        }
        words
    })
}

/// A text in lines of at most a width, broken between words, and inside a word that is longer than a line.
#[must_use]
pub fn wrap(text: &str, look: Type, room: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    for word in words(&visible(text)) {
        let word = word.as_str();
        let longer = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
        if width(&longer, look) <= room {
            line = longer;
            continue;
        }
        if !line.is_empty() {
            lines.push(std::mem::take(&mut line));
        }
        for c in word.chars() {
            line.push(c);
            if width(&line, look) > room && line.chars().count() > 1 {
                line.pop();
                lines.push(std::mem::replace(&mut line, c.to_string()));
            }
        }
    }
    lines.extend((!line.is_empty()).then_some(line));
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn widths_are_those_of_the_font() {
        // 0.637 x 12 x 2 + 0.318 x 12 + (0.353 + 0.393) x 12, as the font's own table has it.
        assert!((width("12 ft", Type::Soft) - 28.1).abs() < 0.05);
        assert!(width("12 ft", Type::Strong) > width("12 ft", Type::Plain));
        assert!(width("冷凍機", Type::Soft) >= 36.0);
        assert!(width("Κλιματιστικό", Type::Soft) > width("klimatistiko", Type::Soft));
    }

    #[test]
    fn what_is_cut_or_wrapped_fits() {
        for text in ["a condenser on a roof", "冷凍機冷凍機冷凍機冷凍機冷凍機", "onewordthatislongerthanthelineitisin"]
        {
            assert!(width(&fit(text, Type::Plain, 60.0), Type::Plain) <= 60.0);
            let lines = wrap(text, Type::Plain, 60.0);
            assert!(lines.iter().all(|line| width(line, Type::Plain) <= 60.0), "{lines:?}");
            let bare = |text: &str| text.split_whitespace().collect::<String>();
            assert_eq!(bare(&lines.concat()), bare(text));
        }
        assert_eq!(fit("short", Type::Plain, 60.0), "short");
    }
}
