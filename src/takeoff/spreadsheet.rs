//! The list as comma-separated values, for a spreadsheet.

use super::TakeOffFault;
use super::answer::TakeOff;
use crate::visible::visible;

/// A row as it is put together: one cell a column, empty where the column says nothing of it.
#[derive(Default)]
struct Row {
    category: &'static str,
    item: String,
    size: String,
    count: Option<u64>,
    drawn: Option<f64>,
    to_order: Option<f64>,
    outside: Option<f64>,
    thickness: Option<f64>,
    spacing: Option<f64>,
    mass: Option<f64>,
    volume: Option<f64>,
    remark: String,
}

impl TakeOff {
    /// The list as comma-separated values in the job's units: one row of heads with the units in their names, then one
    /// row for each thing to buy; no sums, no separators of thousands, a point for the decimals, UTF-8.
    ///
    /// A cell of text that a spreadsheet would take for a formula begins with an apostrophe.
    ///
    /// # Errors
    /// [`TakeOffFault::Unwritten`], which no list brings about.
    pub fn csv(&self) -> Result<String, TakeOffFault> {
        let show = self.units;
        let mut writer = csv::Writer::from_writer(Vec::new());
        let unwritten = |e: &dyn std::fmt::Display| TakeOffFault::Unwritten(e.to_string());
        let (length, small) = (show.length_unit(), show.small_length_unit());
        let heads = [
            "category".to_owned(),
            "item".to_owned(),
            "size".to_owned(),
            "count".to_owned(),
            format!("drawn_{length}"),
            format!("to_order_{length}"),
            format!("outside_{small}"),
            format!("thickness_{small}"),
            format!("spacing_{length}"),
            format!("mass_{}", show.mass_unit()),
            format!("volume_{}", show.volume_unit()),
            "remark".to_owned(),
        ];
        writer.write_record(&heads).map_err(|e| unwritten(&e))?;
        for row in self.rows() {
            let of = |value: Option<f64>, text: &dyn Fn(f64) -> String| value.map_or_else(String::new, text);
            let cells = [
                row.category.to_owned(),
                plain(&row.item),
                plain(&row.size),
                row.count.map_or_else(String::new, |count| count.to_string()),
                of(row.drawn, &|m| show.length_value(m)),
                of(row.to_order, &|m| show.length_value(m)),
                of(row.outside, &|m| show.small_length_value(m)),
                of(row.thickness, &|m| show.small_length_value(m)),
                of(row.spacing, &|m| show.length_value(m)),
                of(row.mass, &|kg| show.mass_value(kg)),
                of(row.volume, &|m3| show.volume_value(m3)),
                plain(&row.remark),
            ];
            writer.write_record(&cells).map_err(|e| unwritten(&e))?;
        }
        let bytes = writer.into_inner().map_err(|e| unwritten(&e))?;
        String::from_utf8(bytes).map_err(|e| unwritten(&e))
    }

    fn rows(&self) -> Vec<Row> {
        let mut rows = self.tube_rows();
        rows.extend(self.fittings.iter().map(|row| Row {
            category: "fitting",
            item: row.kind.clone(),
            size: row.size.clone(),
            count: Some(row.count),
            remark: super::text::besides(row),
            ..Row::default()
        }));
        rows.extend(self.parts.iter().map(|row| Row {
            category: "part",
            item: row.kind.clone(),
            size: row.size.clone(),
            count: Some(row.count),
            volume: row.volume_m3,
            remark: super::text::detail(self.units, row, false),
            ..Row::default()
        }));
        rows.extend(self.insulation.iter().map(|row| Row {
            category: "insulation",
            item: "pipe insulation".to_owned(),
            size: row.size.clone(),
            drawn: Some(row.drawn_m),
            to_order: Some(row.to_order_m),
            outside: Some(row.inside_m),
            thickness: Some(row.thickness_m),
            remark: "outside is that of the tube in it".to_owned(),
            ..Row::default()
        }));
        rows.extend(self.hangers.iter().map(|row| Row {
            category: "hanger",
            item: format!("hanger for {} tube", row.tube),
            size: row.size.clone(),
            count: Some(row.count),
            spacing: Some(row.spacing_m),
            ..Row::default()
        }));
        rows.extend(self.joints.iter().map(|row| Row {
            category: "joint",
            item: format!("{} joint", row.kind),
            size: row.size.clone(),
            count: Some(row.count),
            remark: super::text::where_joined(row),
            ..Row::default()
        }));
        let nitrogen = [
            ("to purge the air", Some(self.nitrogen.sweep_m3)),
            ("while brazing", Some(self.nitrogen.brazing_m3)),
            ("to test the tube", self.nitrogen.test_m3),
        ];
        rows.extend(nitrogen.into_iter().filter(|(_, volume)| volume.is_some()).map(|(what, volume)| Row {
            category: "gas",
            item: format!("nitrogen {what}"),
            volume,
            remark: "as gas at one atmosphere".to_owned(),
            ..Row::default()
        }));
        rows.extend(self.refrigerant.iter().map(|row| Row {
            category: "refrigerant",
            item: "refrigerant".to_owned(),
            size: row.refrigerant.clone(),
            mass: Some(row.charge_kg),
            remark: format!("{} {}", super::text::without(row), row.decides),
            ..Row::default()
        }));
        rows
    }

    fn tube_rows(&self) -> Vec<Row> {
        let show = self.units;
        let rows = self.tube.iter().map(|row| Row {
            category: "tube",
            item: super::text::tube_kind(row),
            size: row.size.clone(),
            count: Some(row.straight_lengths),
            drawn: Some(row.drawn_m),
            to_order: Some(row.to_order_m),
            outside: Some(row.outside_m),
            thickness: Some(row.wall_m),
            mass: Some(row.to_order_kg),
            remark: format!("count is straight lengths of {}", show.length(row.straight_length_m)),
            ..Row::default()
        });
        rows.collect()
    }
}

/// Text that no spreadsheet takes for a formula.
fn plain(text: &str) -> String {
    let text = visible(text);
    // A spreadsheet takes the fullwidth signs for the others.
    if text.starts_with(['=', '+', '-', '@', '＝', '＋', '－', '＠', ' ']) {
        format!("'{text}")
    } else {
        text.into_owned()
    }
}
