//! What each listener hears.

use crate::job::Roof;
use crate::layout::{Align, Grid, Hang, Sheet, style};
use crate::report::heading;
use crate::roof::{ACCURACY_DB, Heard, NightBy, RoofStudy, Share};
use crate::site::Site;
use crate::units::System;
use std::fmt::Write as _;

pub(super) fn section(sheet: &mut Sheet, site: &Site) {
    let Some((study, roof)) = site.roof.as_ref().zip(site.job.roof.as_ref()) else { return };
    let told = |heard: &&Heard| !heard.units.is_empty() || !heard.too_near.is_empty();
    if !study.heard.iter().any(|heard| told(&heard)) {
        return;
    }
    let show = site.job.units;
    heading(sheet, "Sound");
    sheet.paragraph(0, &method(study, roof, show));
    for heard in study.heard.iter().filter(told) {
        sheet.space();
        sheet.styled(Hang::flush(0), style::STRONG, &format!("At {}", heard.name));
        if !heard.units.is_empty() {
            sheet.table(1, &table(show, heard));
        }
        if !heard.too_near.is_empty() {
            let units = heard.too_near.join(", ");
            sheet.paragraph(1, &format!("Without {units}: the listener is too near for the method."));
        }
    }
}

fn table(show: System, heard: &Heard) -> Grid {
    let mut grid = Grid::new()
        .column("unit", Align::Left)
        .column(format!("distance\n{}", show.length_unit()), Align::Right)
        .column("divergence\ndB", Align::Right)
        .column("air\ndB", Align::Right)
        .column("barrier\ndB", Align::Right)
        .column("of", Align::Left)
        .column("day\ndBA", Align::Right)
        .column("night\ndBA", Align::Right);
    for share in &heard.units {
        grid.row(row(show, share));
    }
    if heard.units.len() > 1 {
        let mut together = vec!["together".to_owned()];
        together.extend(vec![String::new(); 5]);
        together.extend([heard.day_dBA, heard.night_dBA].map(|level| told(show, level)));
        grid.row(together);
    }
    grid.without_empty_columns()
}

fn row(show: System, share: &Share) -> Vec<String> {
    vec![
        share.name.clone(),
        show.length_value(share.distance_m),
        show.level_value(share.spread_dB),
        show.level_value(share.air_dB),
        show.level_value(share.screens_dB),
        share.screens.iter().map(|screen| screen.trim_start_matches("the ").to_owned()).collect::<Vec<_>>().join(", "),
        told(show, share.day_dBA),
        told(show, share.night_dBA),
    ]
}

fn told(show: System, level: Option<f64>) -> String {
    level.map_or_else(String::new, |level| show.level_value(level))
}

/// How it was computed, and what was not counted.
fn method(study: &RoofStudy, roof: &Roof, show: System) -> String {
    let mut says = format!(
        "By the general method of ISO 9613-2, edition of 1996, which states an accuracy of about {} dB in the open \
         and none for \
         screened sound. The column divergence includes the 3 dB of the roof as a reflecting plane; the columns air and barrier are of \
         the A-weighted level. An edge just in the line of sight counts for 4.8 dB, which is much where it only grazes a long way. Not \
         counted: reflections at walls, other units as screens, tones, and the direction in which a unit is louder.",
        show.level(ACCURACY_DB).trim_end_matches(" dBA")
    );
    let open: Vec<&str> = roof.walls.iter().filter(|wall| wall.open > 0.0).map(|wall| wall.name.as_str()).collect();
    if !open.is_empty() {
        let _ = write!(says, " Partly open, and so no barrier: {}.", open.join(", "));
    }
    if roof.outline.is_empty() {
        says += " The edge of the roof is not drawn, so it is no barrier either.";
    }
    // Each unit once, from the first listener at whom a level of it can be told.
    let mut shares: Vec<&Share> = Vec::new();
    for share in study.heard.iter().flat_map(|heard| &heard.units) {
        if shares.iter().all(|told| told.name != share.name) {
            shares.push(share);
        }
    }
    let one: Vec<&str> = shares.iter().filter(|share| !share.octaves).map(|share| share.name.as_str()).collect();
    if !one.is_empty() {
        let _ = write!(
            says,
            " Only the A-weighted sound power of {} is known: the terms of 500 Hz count for all.",
            one.join(", ")
        );
    }
    let speed = |share: &&Share| match share.night_by {
        Some(NightBy::Speed { share: speed }) => Some(format!("{} at {}", share.name, show.percent(speed))),
        _ => None,
    };
    let slow: Vec<String> = shares.iter().filter_map(speed).collect();
    if !slow.is_empty() {
        let _ = write!(says, " At night by the fan laws: {} of full speed.", slow.join(", "));
    }
    says
}

#[cfg(test)]
mod tests {
    use super::super::testing::on_the_roof;
    use super::*;
    use crate::job::{Job, Listener, SoundPower};
    use crate::roof::testing::{FOOT, another, feet, planned, wall};
    use unicode_width::UnicodeWidthStr;

    fn text(job: &Job, width: usize) -> String {
        on_the_roof(job, width, section)
    }

    fn at() -> Listener {
        Listener {
            name: "flat across the lane".to_owned(),
            at: feet(100.0, -110.0),
            height_m: 15.0 * FOOT,
            limit_dBA: None,
            night_limit_dBA: None,
        }
    }

    fn job() -> Job {
        planned(|roof| {
            roof.units[0].sound = Some(SoundPower::A(90.0));
            roof.units[0].night_speed = Some(0.6);
            let twin = another(roof, "C2", (26.0, 0.0));
            roof.units.push(twin);
            roof.units[1].sound = Some(SoundPower::Octaves([95.0, 94.0, 93.0, 92.0, 90.0, 86.0, 81.0, 75.0]));
            roof.parapet_m = FOOT;
            roof.walls.push(wall("screen", (60.0, 25.0), (170.0, 25.0), 10.0));
            roof.walls.push(wall("louvre", (60.0, 20.0), (170.0, 20.0), 10.0));
            roof.walls[1].open = 0.5;
            roof.listeners.push(at());
        })
    }

    #[test]
    fn it_fits_the_sheet_and_tells_what_was_left_out() {
        let job = job();
        for width in [60, 80, 84, 140] {
            let text = text(&job, width);
            for line in text.lines() {
                assert!(line.width() <= width, "{width}: {line}");
            }
        }
        let words = text(&job, 140).split_whitespace().collect::<Vec<_>>().join(" ");
        for told in [
            "no barrier: louvre.",
            "Only the A-weighted sound power of C1",
            "C1 at 60 %, C2 at 60 % of full speed",
            "wall screen",
            "about 3 dB",
        ] {
            assert!(words.contains(told), "{told}: {words}");
        }
        assert!(text(&planned(|_| {}), 84).is_empty(), "no listener, no section");
    }

    /// Of a unit that is too near to the first listener alone, all is told from the second.
    #[test]
    fn one_who_is_too_near_is_told_what_is_left_out() {
        let near = Listener { name: "roof light".to_owned(), at: feet(100.0, 48.75), height_m: 44.0 * FOOT, ..at() };
        let mut job = job();
        job.roof.as_mut().unwrap().listeners.insert(0, near.clone());
        let words = |job: &Job| text(job, 140).split_whitespace().collect::<Vec<_>>().join(" ");
        let both = words(&job);
        for told in [
            "Without C1: the listener is too near",
            "Only the A-weighted sound power of C1",
            "C2 at 60 %, C1 \
                      at 60 % of full speed",
        ] {
            assert!(both.contains(told), "{told}: {both}");
        }
        // With that unit alone no level is left, and that is told.
        let alone = planned(|roof| {
            roof.units[0].sound = Some(SoundPower::A(90.0));
            roof.listeners.push(near);
        });
        assert!(words(&alone).contains("At roof light Without C1: the listener is too near"));
    }

    #[test]
    fn the_last_row_is_the_sum_of_the_others() {
        let text = text(&job(), 140);
        let number = |line: &str| line.split_whitespace().last().and_then(|word| word.parse::<f64>().ok());
        let nights: Vec<f64> = text.lines().filter_map(number).collect();
        let [one, other, all] = nights[..] else { panic!("{text}") };
        assert!((crate::physics::sound::sum([one, other]) - all).abs() < 0.11, "{text}");
    }
}
