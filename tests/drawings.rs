//! Every drawing is read back: its heights are to scale, its texts lie in it and on no other, nothing of a job is obeyed.
#![expect(clippy::unwrap_used, clippy::expect_used, reason = "a test may fail")]

#[path = "common/routes.rs"]
mod routes;

use roofrun::draw::canvas::Drawing;
use roofrun::draw::plane::Rect;
use roofrun::draw::style::Type;
use roofrun::draw::{self, Breadth, Seen, Setting, marks, measure, route};
use roofrun::job::{self, Circuit, Job, LineId, Path};
use roofrun::{rules, survey};
use roxmltree::{Document, Node};
use std::collections::BTreeMap;

const SETTINGS: [Setting; 4] = [
    Setting { seen: Seen::Alone, breadth: Breadth::Wide },
    Setting { seen: Seen::Alone, breadth: Breadth::Narrow },
    Setting { seen: Seen::OnPage, breadth: Breadth::Wide },
    Setting { seen: Seen::OnPage, breadth: Breadth::Narrow },
];

fn number(node: &Node, name: &str) -> f64 {
    node.attribute(name).map_or(0.0, |text| text.parse().expect(text))
}

/// The type of a text by its class, and where it stands from its point, in widths.
fn look(node: &Node) -> (Type, f64) {
    let classes: Vec<&str> = node.attribute("class").unwrap_or("").split(' ').collect();
    let all = [
        Type::Title,
        Type::Strong,
        Type::Soft,
        Type::Gas,
        Type::Liquid,
        Type::Fails,
        Type::Caution,
        Type::Mark,
        Type::MarkFails,
    ];
    let look = all.into_iter().find(|look| classes.contains(&look.class())).unwrap_or(Type::Plain);
    let middle = classes.contains(&"middle") || matches!(look, Type::Mark | Type::MarkFails);
    (
        look,
        if middle {
            0.5
        } else if classes.contains(&"end") {
            1.0
        } else {
            0.0
        },
    )
}

/// What each text covers, in the widest font.
fn texts(document: &Document) -> Vec<(String, Rect)> {
    let nodes = document.descendants().filter(|node| node.has_tag_name("text"));
    let told = nodes.map(|node| {
        let words: String = node.text().unwrap_or("").to_owned();
        let (look, back) = look(&node);
        let left = number(&node, "x") - back * measure::width(&words, look);
        let covers = measure::covers(&words, look, left, number(&node, "y"));
        (words, covers)
    });
    told.collect()
}

/// Complaints about texts that leave the drawing or lie on one another.
fn complaints(drawing: &Drawing) -> Vec<String> {
    let svg = drawing.svg();
    let document = Document::parse(&svg).unwrap_or_else(|error| panic!("{error}\n{svg}"));
    let root = document.root_element();
    let sheet = Rect::new(0.0, 0.0, number(&root, "width"), number(&root, "height"));
    let texts = texts(&document);
    let mut complaints = Vec::new();
    for (index, (words, covers)) in texts.iter().enumerate() {
        if !sheet.holds(covers) {
            complaints.push(format!("`{words}` leaves the drawing: {covers:?} of {sheet:?}"));
        }
        for (other, over) in texts.iter().skip(index + 1) {
            if covers.grown(-0.1).meets(over) {
                complaints.push(format!("`{words}` and `{other}` overlap"));
            }
        }
    }
    let ids: Vec<&str> = document.descendants().filter_map(|node| node.attribute("id")).collect();
    let once = ids.iter().collect::<std::collections::BTreeSet<_>>().len();
    if once != ids.len() {
        complaints.push("an id stands twice".to_owned());
    }
    complaints
}

/// Heights of the drawing's risers and drops by tag, in its units: from the first point of the path to its last.
fn heights(document: &Document) -> BTreeMap<String, Vec<f64>> {
    let mut heights: BTreeMap<String, Vec<f64>> = BTreeMap::new();
    for node in document.descendants() {
        let (Some(run), Some(d)) = (node.attribute("data-run"), node.attribute("d")) else { continue };
        let from: f64 = d.trim_start_matches('M').split([' ', 'v', 'V', 'H', 'h']).nth(1).unwrap().parse().unwrap();
        let Some((_, to)) = d.rsplit_once('V') else { continue };
        let to: f64 = to.split(['H', 'a']).next().unwrap().parse().unwrap();
        heights.entry(run.to_owned()).or_default().push(from - to);
    }
    heights
}

/// Complaints about heights that are not to one scale.
fn off_scale(circuit: &Circuit, drawing: &Drawing) -> Vec<String> {
    let svg = drawing.svg();
    let document = Document::parse(&svg).unwrap();
    let drawn = heights(&document);
    let mut pairs: Vec<(String, f64, f64)> = Vec::new();
    for (line, letter) in [(LineId::Discharge, 'D'), (LineId::Liquid, 'L')] {
        for (index, run) in line.of(circuit).runs.iter().enumerate() {
            let tag = format!("{letter}{}", index + 1);
            if run.path.rise_m() != 0.0 {
                let tubes = drawn.get(&tag).unwrap_or_else(|| panic!("{tag} is not drawn"));
                assert_eq!(tubes.len(), run.tubes.len().min(4), "{tag}: as many lines as tubes");
                pairs.extend(tubes.iter().map(|height| (tag.clone(), run.path.rise_m(), *height)));
            }
        }
    }
    let Some(tallest) = pairs.iter().max_by(|a, b| a.1.abs().total_cmp(&b.1.abs())) else { return Vec::new() };
    let scale = tallest.2 / tallest.1;
    let off = pairs.iter().filter(|(_, metres, height)| (metres * scale - height).abs() > 1.0);
    off.map(|(tag, metres, height)| format!("{tag}: {height} for {metres} m at {scale} per m")).collect()
}

fn charts(
    job: &Job,
    which: (usize, &Circuit, &survey::CircuitSurvey),
    numbered: &[marks::Numbered],
    setting: Setting,
) -> Vec<Drawing> {
    let single = [
        draw::liquid(job, which, numbered, setting),
        draw::capacity(job, which, setting),
        draw::ph(job, which, setting),
    ];
    single.into_iter().flatten().chain(draw::oil(job, which, numbered, setting)).collect()
}

fn hold(job: &Job, name: &str) -> usize {
    let survey = survey::survey(job).ok();
    let findings = survey.as_ref().map(|survey| rules::check_all(job, survey)).unwrap_or_default();
    let numbered = marks::numbered(job, &findings, &[]);
    let mut wrong = Vec::new();
    for (index, circuit) in job.circuits.iter().enumerate() {
        for setting in SETTINGS {
            let drawing = route::draw(job, index, &numbered, setting).unwrap();
            wrong.extend(off_scale(circuit, &drawing));
            let solved = survey.as_ref().and_then(|survey| survey.circuits.get(index));
            let charts = solved.map(|solved| charts(job, (index, circuit, solved), &numbered, setting));
            for drawing in std::iter::once(&drawing).chain(charts.iter().flatten()) {
                let of_it = complaints(drawing).into_iter().map(|words| format!("{}: {words}", drawing.id));
                wrong.extend(of_it);
            }
            if let Ok(folder) = std::env::var("DRAWINGS") {
                let seen = if setting.seen == Seen::Alone { "alone" } else { "page" };
                std::fs::write(format!("{folder}/{name}-{}-{seen}.svg", drawing.id), drawing.svg()).unwrap();
            }
        }
    }
    assert!(wrong.is_empty(), "{name}:\n{}", wrong.join("\n"));
    numbered.len()
}

#[test]
fn the_routes_of_the_examples_hold() {
    for file in std::fs::read_dir("examples").unwrap() {
        let path = file.unwrap().path();
        if path.extension().is_some_and(|e| e == "toml") {
            hold(&job::open(&path).unwrap(), &path.file_stem().unwrap().to_string_lossy());
        }
    }
}

#[test]
fn extreme_routes_hold() {
    let mut marked = 0;
    for number in 0..50 {
        let text = routes::job(number);
        let job = job::read("extreme.toml", &text, std::path::Path::new("."))
            .unwrap_or_else(|faults| panic!("{}\n{text}", faults.render(false, 100)));
        marked += hold(&job, &format!("extreme-{number}"));
    }
    assert!(marked > 100, "findings are marked");
}

#[test]
fn tall_runs_and_level_runs_are_all_drawn() {
    let job = job::open(std::path::Path::new("examples/as-drawn.toml")).unwrap();
    let drawing = route::draw(&job, 0, &[], Setting::ALONE).unwrap();
    let svg = drawing.svg();
    let document = Document::parse(&svg).unwrap();
    let circuit = &job.circuits[0];
    for (line, letter) in [(LineId::Discharge, 'D'), (LineId::Liquid, 'L')] {
        for (index, run) in line.of(circuit).runs.iter().enumerate() {
            let tag = format!("{letter}{}", index + 1);
            assert!(document.descendants().any(|node| node.attribute("data-run") == Some(&tag)), "{tag}");
            let words: Vec<String> = texts(&document).into_iter().map(|(words, _)| words).collect();
            assert!(words.iter().any(|words| words.starts_with(&format!("{tag} "))), "{tag} in {words:?}");
            assert!(!matches!(run.path, Path::Level { .. }) || words.iter().any(|words| words.contains("level")));
        }
    }
}
