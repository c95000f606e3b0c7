//! The runs of a route in a table, for a drawing that has room for tags only.

use super::words;
use crate::draw::canvas::{Canvas, Text};
use crate::draw::measure;
use crate::draw::style::Type;
use crate::job::{Circuit, Job, LineId};

/// From one line of text to the next.
const LINE: f64 = 16.0;

/// Tag, what it is with more about it, and its tube, run by run; the two lines side by side where there is room.
pub fn table(
    canvas: &mut Canvas,
    job: &Job,
    circuit: &Circuit,
    margin: f64,
    more: &dyn Fn(LineId, usize) -> Option<String>,
) {
    let wide = canvas.width() >= 640.0;
    let top = canvas.bottom() + 8.0;
    let room = canvas.width() - 2.0 * margin;
    let mut y = top;
    for id in LineId::BOTH {
        let (left, width) = match (wide, id) {
            (false, _) => (margin, room),
            (true, LineId::Discharge) => (margin, room / 2.0 - 12.0),
            (true, LineId::Liquid) => (margin + room / 2.0, room / 2.0),
        };
        if wide {
            y = top;
        }
        for (index, run) in id.of(circuit).runs.iter().enumerate() {
            y += LINE + 2.0;
            canvas.write(Text::new(&words::tag(id, index), (left, y), Type::Strong));
            let more = more(id, index).map(|more| format!(", {more}")).unwrap_or_default();
            let (what, tube) = (words::whole(job.units, run) + &more, words::tube(job.units, run));
            let indent = left + 40.0;
            let beside = measure::width(&what, Type::Plain) + 10.0 + measure::width(&tube, Type::Plain);
            if indent + beside <= left + width {
                canvas.write(Text::new(&what, (indent, y), Type::Plain));
                canvas.write(Text::new(&tube, (left + width, y), Type::Plain).end());
                continue;
            }
            let both = if tube.is_empty() { what } else { format!("{what}, {tube}") };
            for (number, line) in measure::wrap(&both, Type::Plain, width - 40.0).iter().enumerate() {
                y += if number > 0 { LINE } else { 0.0 };
                canvas.write(Text::new(line, (indent, y), Type::Plain));
            }
        }
    }
}
