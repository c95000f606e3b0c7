//! `rules`: the rules in a list, or one at length.

use super::arguments::Rules;
use super::screen::{self, Trouble, View};
use crate::layout::{Grid, Hang, Sheet, style};
use crate::physics::atmosphere::SEA_LEVEL;
use crate::refdata;
use crate::report::figure;
use crate::rules::{RULES, Rule, rule};
use crate::units::{System, spelling};
use std::process::ExitCode;

pub(super) fn run(what: &Rules, view: View) -> Result<ExitCode, Trouble> {
    let mut sheet = Sheet::new(view.width);
    match &what.rule {
        None => all(&mut sheet),
        Some(id) => explain(&mut sheet, find(id)?, view.units.unwrap_or_default()),
    }
    screen::answer(&sheet.finish(), false)
}

fn find(id: &str) -> Result<&'static Rule, Trouble> {
    rule(id).ok_or_else(|| {
        let hint = match spelling::nearest(id, RULES.iter().map(|rule| rule.id)) {
            Some(near) => format!("did you mean `{near}`?"),
            None => "`roofrun rules` lists them".to_owned(),
        };
        Trouble::words(format!("there is no rule `{id}`; {hint}"))
    })
}

fn all(sheet: &mut Sheet) {
    let mut grid = Grid::new().whole("rule").left("question");
    for rule in RULES {
        grid.row(vec![rule.id.to_owned(), rule.question.to_owned()]);
    }
    sheet.table(0, &grid);
    sheet.space();
    sheet.paragraph(0, "`roofrun rules RULE` explains one at length. A job's [limits] replace the default limits.");
}

fn explain(sheet: &mut Sheet, rule: &Rule, units: System) {
    sheet.styled(Hang::flush(0), style::STRONG, rule.id);
    sheet.paragraph(0, rule.question);
    for paragraph in rule.explanation.split("\n\n") {
        sheet.space();
        let words: Vec<&str> = paragraph.split_whitespace().collect();
        sheet.paragraph(0, &words.join(" "));
    }
    let limits: Vec<&refdata::Limit> = rule.limits.iter().filter_map(|key| refdata::limit(key)).collect();
    if limits.is_empty() {
        return;
    }
    sheet.space();
    sheet.styled(Hang::flush(0), style::STRONG, if limits.len() == 1 { "Its limit" } else { "Its limits" });
    for limit in limits {
        sheet.labelled(1, &limit.key, style::PLAIN, 30, &figure(units, limit.value, limit.kind, SEA_LEVEL.pascals()));
        sheet.paragraph(4, &limit.says);
        if let Some(source) = refdata::source(&limit.source) {
            sheet.styled(Hang::flush(4), style::QUIET, &format!("{}, {}", source.title, source.place));
        }
    }
    sheet.space();
    sheet.paragraph(0, "To set one for a job, write it with its unit under [limits].");
}
