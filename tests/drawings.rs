//! Every drawing is read back: its heights are to scale, its texts lie in it and on no other, nothing of a job is obeyed.
#![expect(clippy::unwrap_used, clippy::expect_used, reason = "a test may fail")]
#![expect(clippy::cast_possible_truncation, reason = "numbers of made jobs are small")]

#[path = "common/roofs.rs"]
mod roofs;
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
    complaints_of(&drawing.svg())
}

/// The same of a drawing as it is written.
fn complaints_of(svg: &str) -> Vec<String> {
    let document = Document::parse(svg).unwrap_or_else(|error| panic!("{error}\n{svg}"));
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

/// The last number of a joint of a circuit.
fn joints(job: &Job, circuit: &Circuit) -> u64 {
    let numbers = roofrun::takeoff::numbers::joint_numbers(job.site.code, circuit);
    numbers.iter().flatten().flatten().map(|(_, last)| *last).max().unwrap_or(0)
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
                if let Ok(folder) = std::env::var("DRAWINGS") {
                    let seen = if setting.seen == Seen::Alone { "alone" } else { "page" };
                    std::fs::write(format!("{folder}/{name}-{}-{seen}.svg", drawing.id), drawing.svg()).unwrap();
                }
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
fn the_drawings_of_a_trend_and_of_its_worst_moment_hold() {
    let job = job::open(std::path::Path::new("examples/bottling-hall.toml")).unwrap();
    let asked = roofrun::diagnose::Asked {
        file: std::path::Path::new("examples/readings/hot-afternoons.csv"),
        order: None,
        circuit: Some("1A"),
        said: &job::Readings::default(),
    };
    let trend = roofrun::diagnose::trend(&job, &asked, &|_| {}).unwrap();
    for setting in SETTINGS {
        let drawing = draw::trend(&job, &trend, setting).unwrap();
        assert_eq!(complaints(&drawing), Vec::<String>::new());
        let worst = draw::diagnosis(&job, &trend.worst[0].answer, setting).unwrap();
        assert_eq!(complaints(&worst), Vec::<String>::new());
    }
}

/// Of three coils with legs of 4 ft, and a receiver that is vented.
#[test]
fn drop_legs_stand_to_scale_and_a_vent_is_drawn_where_there_is_one() {
    let text = std::fs::read_to_string("examples/bottling-hall.toml").unwrap();
    let read = |text: &str| job::read("hall.toml", text, std::path::Path::new("examples")).unwrap();
    let legged = text
        .replacen("\nhead_control", "\ncoils = 3\nlegs = { height = \"4 ft\", tube = \"7/8 ACR\" }\nhead_control", 1)
        .replacen("style = \"surge\"", "style = \"surge\", vented = true", 1);
    assert_ne!(legged, text);
    let (plain, legged) = (read(&text), read(&legged));
    for setting in SETTINGS {
        let without = route::draw(&plain, 0, &[], setting).unwrap();
        assert!(!without.svg().contains("data-legs") && !without.svg().contains("data-vent"));
        let drawing = route::draw(&legged, 0, &[], setting).unwrap();
        assert!(complaints(&drawing).is_empty(), "{:?}", complaints(&drawing));
        let svg = drawing.svg();
        let document = Document::parse(&svg).unwrap();
        let node = document.descendants().find(|node| node.attribute("data-legs") == Some("3")).unwrap();
        // Each leg from its outlet down to the line.
        let legs: Vec<f64> = node
            .attribute("d")
            .unwrap()
            .split('M')
            .skip(2)
            .map(|leg| {
                let (from, to) = leg.split_once(' ').unwrap().1.split_once('V').unwrap();
                to.parse::<f64>().unwrap() - from.parse::<f64>().unwrap()
            })
            .collect();
        assert_eq!(legs.len(), 3);
        let riser = legged.circuits[0].discharge.runs.iter().position(|run| run.path.rise_m() > 0.0).unwrap();
        let tall = heights(&document)[&format!("D{}", riser + 1)][0];
        let scale = tall / legged.circuits[0].discharge.runs[riser].path.rise_m();
        assert!(legs.iter().all(|leg| (leg - 4.0 * 0.3048 * scale).abs() < 1.0), "{legs:?} at {scale}");
        assert!(document.descendants().any(|node| node.attribute("data-vent").is_some()));
        assert!(svg.contains("3 drop legs 4 ft") && svg.contains("vent to condenser inlet"), "{svg}");
    }
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

/// Where a height is told at the margin: its number in feet and its place.
fn told_heights(document: &Document) -> Vec<(f64, f64)> {
    let ends = document.descendants().filter(|node| node.attribute("class") == Some("ts end"));
    let told = ends.filter_map(|node| {
        let feet = node.text()?.strip_suffix(" ft")?.parse().ok()?;
        Some((feet, number(&node, "y") - 4.0))
    });
    told.collect()
}

#[test]
fn the_figures_at_the_margin_stand_at_their_heights() {
    let job = job::open(std::path::Path::new("examples/as-drawn.toml")).unwrap();
    let svg = route::draw(&job, 0, &[], Setting::ALONE).unwrap().svg();
    let document = Document::parse(&svg).unwrap();
    let told = told_heights(&document);
    let at = |feet: f64| told.iter().find(|(known, _)| (*known - feet).abs() < 1e-9).map(|(_, y)| *y).unwrap();
    // The riser of 12 ft leads to the condenser, the liquid line climbs 6 ft more.
    let riser = heights(&document)["D2"][0];
    assert!((at(0.0) - at(12.0) - riser).abs() <= 1.0, "{told:?} {riser}");
    assert!((at(0.0) - at(18.0) - riser * 1.5).abs() <= 1.0, "{told:?} {riser}");
    // The bar: level runs are to its scale.
    let long = |tag: &str| {
        let node = document.descendants().find(|node| node.attribute("data-run") == Some(tag)).unwrap();
        let d = node.attribute("d").unwrap();
        let from: f64 = d[1..].split(' ').next().unwrap().parse().unwrap();
        (d.rsplit_once('H').unwrap().1.parse::<f64>().unwrap() - from).abs()
    };
    assert!((long("L2") / 30.0 - long("L6") / 52.0).abs() * 52.0 <= 1.0);
    assert!((long("D3") / 22.0 - long("L6") / 52.0).abs() * 22.0 <= 1.0);
}

#[test]
fn what_a_job_says_is_shown_and_never_obeyed() {
    let name = r#"<script>alert(1)</script> ]]> &amp; \"x\" \u001b[31m \u202e"#;
    let text = routes::job(2).replace("name = \"北側屋上の空冷凝縮器 0\"", &format!("name = \"{name}\""));
    assert!(text.contains("script"), "{text}");
    let job = job::read("hostile.toml", &text, std::path::Path::new(".")).unwrap();
    for setting in SETTINGS {
        let drawing = route::draw(&job, 0, &[], setting).unwrap();
        let svg = drawing.svg();
        assert!(!svg.contains("<script") && !svg.contains(['\u{1b}', '\u{202e}']), "{svg}");
        let document = Document::parse(&svg).unwrap();
        let shown: String = texts(&document).into_iter().map(|(words, _)| words).collect();
        for part in ["<script>", "</script>", "]]>", "&amp;", "\\u{1b}[31m", "\\u{202e}"] {
            assert!(shown.contains(part), "{part} in {shown}");
        }
        assert_eq!(complaints(&drawing), Vec::<String>::new());
    }
}

/// Runs `draw` on a job; what it prints and whether it succeeds.
fn drawn(job: &std::path::Path, arguments: &[&str]) -> Result<String, String> {
    let mut command = assert_cmd::Command::cargo_bin("roofrun").unwrap();
    let out = command.arg("draw").arg(job).args(arguments).output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    if out.status.success() { Ok(text(out.stdout)) } else { Err(text(out.stderr)) }
}

#[test]
fn roof_plans_hold() {
    let folder = tempfile::tempdir().unwrap();
    let example = std::fs::read_to_string("examples/roof-as-drawn.toml").unwrap();
    let (before, _) = example.split_once("[roof]").unwrap();
    let mut wrong = Vec::new();
    let mut check = |name: String, path: &std::path::Path| {
        for breadth in [&["--what", "plan"][..], &["--what", "plan", "--narrow"]] {
            let svg = drawn(path, breadth).unwrap_or_else(|error| panic!("{name}: {error}"));
            wrong.extend(complaints_of(&svg).into_iter().map(|words| format!("{name}: {words}")));
            if let Ok(folder) = std::env::var("DRAWINGS") {
                std::fs::write(format!("{folder}/plan-{name}-{}.svg", breadth.len()), svg).unwrap();
            }
        }
    };
    for name in ["roof-as-drawn", "roof-and-year"] {
        check(name.to_owned(), std::path::Path::new(&format!("examples/{name}.toml")));
    }
    for number in 0..16 {
        let copies = format!("copies = {}", roofs::units(number));
        let path = folder.path().join(format!("{number}.toml"));
        std::fs::write(&path, before.replace("copies = 2", &copies) + &roofs::roof(number)).unwrap();
        check(number.to_string(), &path);
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_roof_plan_is_to_scale() {
    let svg = drawn(std::path::Path::new("examples/roof-as-drawn.toml"), &["--what", "plan"]).unwrap();
    let document = Document::parse(&svg).unwrap();
    let boxes =
        document.descendants().filter(|node| node.has_tag_name("path") && node.attribute("class") == Some("box"));
    let units: Vec<Vec<(f64, f64)>> =
        boxes.map(|node| corners(node.attribute("d").unwrap())).filter(|corners| corners.len() == 5).collect();
    let [one, two] = units.as_slice() else { panic!("two condensers: {units:?}") };
    let foot = (one[1].0 - one[0].0) / 22.0;
    // 7 ft 6 in wide, 3.5 ft between them.
    assert!((one[0].1 - one[3].1 - 7.5 * foot).abs() <= 1.0, "{one:?}");
    assert!((one[3].1 - two[0].1 - 3.5 * foot).abs() <= 1.0, "{one:?} {two:?}");
    for words in ["3.5 ft, needs 7.5", "6 ft", "to edge", "night 55.6 dBA, limit 50", "0, 0"] {
        assert!(texts(&document).iter().any(|(text, _)| text == words), "{words}");
    }
}

/// The corners of a path of straight lines.
fn corners(d: &str) -> Vec<(f64, f64)> {
    let point = |point: &str| point.split_once(' ').map(|(x, y)| (x.parse().unwrap(), y.parse().unwrap()));
    d.trim_start_matches('M').split('L').filter_map(point).collect()
}

/// How far a point is from a box.
fn to_box(rect: Rect, (x, y): (f64, f64)) -> f64 {
    (rect.x - x).max(x - rect.right()).max(0.0).hypot((rect.y - y).max(y - rect.bottom()).max(0.0))
}

#[test]
fn the_arrow_of_a_units_wind_ends_at_that_unit_and_comes_from_its_direction() {
    for (example, winds) in [("roof-and-year", &[45.0, 135.0, 315.0][..]), ("roof-as-drawn", &[45.0, 135.0][..])] {
        let path = format!("examples/{example}.toml");
        let roof = job::open(std::path::Path::new(&path)).unwrap().roof.unwrap();
        for narrow in [&["--what", "plan"][..], &["--what", "plan", "--narrow"]] {
            let svg = drawn(std::path::Path::new(&path), narrow).unwrap();
            let document = Document::parse(&svg).unwrap();
            let is_box = |node: &Node| node.has_tag_name("path") && node.attribute("class") == Some("box");
            let boxes = document.descendants().filter(is_box).map(|node| corners(node.attribute("d").unwrap()));
            let boxes: Vec<Rect> =
                boxes.filter(|box_of| box_of.len() == 5).map(|at| Rect::round(at[0], at[2], 0.0)).collect();
            assert_eq!(boxes.len(), winds.len());
            for (index, (unit, bearing)) in roof.units.iter().zip(winds).enumerate() {
                let arrow = document.descendants().find(|node| node.attribute("data-wind") == Some(&unit.name));
                // On a phone there may be no room for each.
                let Some(arrow) = arrow else {
                    assert!(narrow.len() == 3, "{example}: {} has no arrow", unit.name);
                    continue;
                };
                let shaft = arrow.descendants().find(|node| node.attribute("class") == Some("gas curve")).unwrap();
                let [tail, head] = corners(shaft.attribute("d").unwrap())[..] else { panic!("a straight arrow") };
                let long = (tail.0 - head.0).hypot(tail.1 - head.1);
                let from = ((tail.0 - head.0) / long, (tail.1 - head.1) / long);
                let turned = (bearing - roof.north_deg).to_radians();
                assert!((from.0 - turned.sin()).abs() < 0.02 && (from.1 + turned.cos()).abs() < 0.02, "{from:?}");
                let tip = (head.0 - 6.0 * from.0, head.1 - 6.0 * from.1);
                assert!(to_box(boxes[index], tip) < 4.0, "{example}: {} {tip:?} {:?}", unit.name, boxes[index]);
                let others = boxes.iter().enumerate().filter(|(other, _)| *other != index);
                assert!(others.map(|(_, other)| to_box(*other, tip)).fold(f64::MAX, f64::min) > 8.0, "{example}");
            }
        }
    }
}

/// The marks of a finding on a drawing of a route, by the middle of their links' first shape or text.
fn marks_of(document: &Document, number: usize) -> Vec<(f64, f64)> {
    let href = format!("#finding-{number}");
    let links = document.descendants().filter(|node| node.attribute("href") == Some(&href));
    let text = |link: Node| {
        let text = link.descendants().find(|node| node.has_tag_name("text")).unwrap();
        (self::number(&text, "x"), self::number(&text, "y") - 4.2)
    };
    links.map(text).collect()
}

#[test]
fn a_finding_of_tubes_is_marked_at_tubes() {
    let setting = Setting { seen: Seen::OnPage, breadth: Breadth::Wide };
    let route_of = |example: &str, circuit: usize| {
        let job = job::open(std::path::Path::new(&format!("examples/{example}.toml"))).unwrap();
        let findings = rules::check_all(&job, &survey::survey(&job).unwrap());
        let numbered = marks::numbered(&job, &findings, &[]);
        let svg = route::draw(&job, circuit, &numbered, setting).unwrap().svg();
        let told: Vec<(&str, usize)> = numbered
            .iter()
            .filter(|of| of.finding.circuit == Some(circuit))
            .map(|of| (of.finding.rule, of.number))
            .collect();
        let number = |rule: &str| told.iter().find(|(of, _)| *of == rule).unwrap().1;
        let of = ["tube-strength", "line-length", "liquid-flash"]
            .map(|rule| if told.iter().any(|(of, _)| *of == rule) { number(rule) } else { 0 });
        (svg, of)
    };
    // All runs of a discharge line, its riser between them too.
    let (svg, [strength, _, flash]) = route_of("as-found-r22", 0);
    let document = Document::parse(&svg).unwrap();
    let run = |document: &Document, tag: &str| {
        let node = document.descendants().find(|node| node.attribute("data-run") == Some(tag)).unwrap();
        let d = node.attribute("d").unwrap().to_owned();
        let (x, rest) = d.trim_start_matches('M').split_once(' ').unwrap();
        let (y, to) = rest.split_at(rest.find(['H', 'V']).unwrap());
        let (x, y, to_value): (f64, f64, f64) = (x.parse().unwrap(), y.parse().unwrap(), to[1..].parse().unwrap());
        let end = if to.starts_with('H') { (to_value, y) } else { (x, to_value) };
        Rect::round((x, y), end, 0.0)
    };
    let marks = marks_of(&document, strength);
    assert_eq!(marks.len(), 3);
    for tag in ["D1", "D2", "D3"] {
        assert!(marks.iter().any(|at| to_box(run(&document, tag), *at) < 70.0), "{tag} {marks:?}");
    }
    // Where it flashes, and before the valve.
    let marks = marks_of(&document, flash);
    assert!(marks.len() == 2 && marks.iter().any(|at| to_box(run(&document, "L2"), *at) < 40.0), "{marks:?}");
    // A line's own length at its longest run, not at the valve that is its first part.
    let (svg, [_, length, _]) = route_of("long-run-si", 0);
    let document = Document::parse(&svg).unwrap();
    let marks = marks_of(&document, length);
    assert!(marks.len() == 1 && to_box(run(&document, "L3"), marks[0]) < 40.0, "{marks:?}");
}

#[test]
fn a_sketch_numbers_every_joint_of_the_take_off() {
    let text = std::fs::read_to_string("examples/as-drawn.toml").unwrap();
    assert!(
        draw::isometric::draw(&job::open(std::path::Path::new("examples/as-drawn.toml")).unwrap(), 0, Setting::ALONE)
            .is_none()
    );
    // One direction is enough for a line; a run that says none goes on.
    let turned = text
        .replace("{ level = \"14 ft\",", "{ level = \"14 ft\", turn = \"W\",")
        .replace("{ level = \"22 ft\",", "{ level = \"22 ft\", turn = 45,")
        .replace("{ level = \"30 ft\",", "{ level = \"30 ft\", turn = \"SE\",");
    let job = job::read("turned.toml", &turned, std::path::Path::new(".")).unwrap();
    let joints: u64 = joints(&job, &job.circuits[0]);
    let list = roofrun::takeoff::TakeOff::new(&job, None, None).unwrap().json().unwrap();
    let list: serde_json::Value = serde_json::from_str(&list).unwrap();
    let counted: u64 = list["joints"].as_array().unwrap().iter().map(|row| row["count"].as_u64().unwrap()).sum();
    assert_eq!(joints, counted);
    let numbered = list["joint_numbers"].as_array().unwrap().iter().fold(0, |last, run| {
        assert_eq!(run["first"], last + 1, "{run}");
        run["last"].as_u64().unwrap()
    });
    assert_eq!(numbered, joints);
    let text = roofrun::takeoff::TakeOff::new(&job, None, None).unwrap().text(100);
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(text.contains("numbers as on its piping sketch: D1 ") && text.contains(&format!("{joints}.")), "{text}");
    for setting in SETTINGS {
        let drawing = draw::isometric::draw(&job, 0, setting).unwrap();
        assert_eq!(complaints(&drawing), Vec::<String>::new());
        assert!(drawing.svg().contains(&format!("{joints} joints in one such circuit")));
        assert!(drawing.description.contains("L2 level 30 ft, to 135°"), "{}", drawing.description);
    }
    // What is said of a run stands no nearer to another.
    let svg = draw::isometric::draw(&job, 0, Setting::ALONE).unwrap().svg();
    let document = Document::parse(&svg).unwrap();
    let runs = document.descendants().filter_map(|node| Some((node.attribute("data-run")?, node.attribute("d")?)));
    let runs: Vec<(&str, Vec<f64>)> =
        runs.map(|(run, d)| (run, d.split(['M', ' ', 'L']).filter_map(|part| part.parse().ok()).collect())).collect();
    let mut seen = std::collections::BTreeSet::new();
    for (words, covers) in texts(&document) {
        let tag = words.split(' ').next().unwrap();
        let far = |ends: &[f64]| {
            let point = |k: u32| {
                let share = f64::from(k) / 24.0;
                (ends[0] + share * (ends[2] - ends[0]), ends[1] + share * (ends[3] - ends[1]))
            };
            let to = |(x, y): (f64, f64)| {
                let across = (covers.x - x).max(x - covers.right()).max(0.0);
                across.hypot((covers.y - y).max(y - covers.bottom()).max(0.0))
            };
            (0..=24).map(point).map(to).fold(f64::INFINITY, f64::min)
        };
        let Some((_, own)) = runs.iter().find(|(run, _)| *run == tag) else { continue };
        // The other line is a drawing of its own; texts of one block stand by its first.
        let others = runs.iter().filter(|(run, _)| *run != tag && run.starts_with(&tag[..1]));
        let nearest = others.map(|(_, ends)| far(ends)).fold(f64::INFINITY, f64::min);
        let rows = covers.h * 2.0;
        // A table below has the tags again.
        if seen.insert(tag.to_owned()) {
            assert!(far(own) < nearest + rows, "`{words}` stands by another run: {} and {nearest}", far(own));
        }
    }
    assert!(seen.len() * 2 >= runs.len(), "{seen:?}");
    let wrong = turned.replace("turn = \"SE\"", "turn = \"left\"");
    assert!(job::read("turned.toml", &wrong, std::path::Path::new(".")).is_err());
}

#[test]
fn the_joints_of_runs_are_those_of_the_list() {
    for file in std::fs::read_dir("examples").unwrap() {
        let path = file.unwrap().path();
        if path.extension().is_none_or(|e| e != "toml") {
            continue;
        }
        let job = job::open(&path).unwrap();
        let of = |circuit: &Circuit| u64::from(circuit.copies) * joints(&job, circuit);
        let list = roofrun::takeoff::TakeOff::new(&job, None, None).unwrap().json().unwrap();
        let list: serde_json::Value = serde_json::from_str(&list).unwrap();
        let counted: u64 = list["joints"].as_array().unwrap().iter().map(|row| row["count"].as_u64().unwrap()).sum();
        assert_eq!(job.circuits.iter().map(of).sum::<u64>(), counted, "{}", path.display());
    }
}

#[test]
fn a_drawing_never_takes_the_place_of_a_file_unasked() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("hall.svg");
    let job = std::path::Path::new("examples/condenser-below.toml");
    let path = out.to_str().unwrap();
    assert_eq!(drawn(job, &["--out", path]).unwrap(), "");
    assert_eq!(complaints_of(&std::fs::read_to_string(&out).unwrap()), Vec::<String>::new());
    std::fs::write(&out, "mine").unwrap();
    assert!(drawn(job, &["--out", path]).unwrap_err().contains("is there already"));
    assert_eq!(std::fs::read_to_string(&out).unwrap(), "mine");
    drawn(job, &["--out", path, "--overwrite"]).unwrap();
    assert!(std::fs::read_to_string(&out).unwrap().starts_with("<svg"));
    assert!(drawn(job, &["--circuit", "none such"]).unwrap_err().contains("3A"));
}
