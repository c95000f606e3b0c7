//! Pages: valid HTML that asks for nothing, links that lead both ways, names that are shown and not obeyed, sizes.
#![expect(clippy::unwrap_used, reason = "a test may fail")]

use scraper::{ElementRef, Html, Selector};
use std::collections::BTreeSet;
use std::fs;

/// Names that a browser must show and not obey: markup, the end of a section of XML, escapes of a terminal, marks of direction.
const HOSTILE: &str =
    r#"<script>alert('a')</script> ]]> </title></style><img src=x onerror="b"> & \u001b[31m \u202E \u0007 {{ x }}"#;
const SHOWN: &str =
    r#"<script>alert('a')</script> ]]> </title></style><img src=x onerror="b"> & \u{1b}[31m \u{202e} \u{7} {{ x }}"#;

fn roofrun(arguments: &[&str]) -> String {
    let out = assert_cmd::Command::cargo_bin("roofrun").unwrap().args(arguments).output().unwrap();
    assert!(out.status.code().is_some_and(|code| code < 2), "{arguments:?}: {}", String::from_utf8_lossy(&out.stderr));
    String::from_utf8(out.stdout).unwrap()
}

fn all<'a>(page: &'a Html, selector: &str) -> Vec<ElementRef<'a>> {
    page.select(&Selector::parse(selector).unwrap()).collect()
}

fn parsed(text: &str) -> Html {
    let page = Html::parse_document(text);
    assert!(page.errors.is_empty(), "{:?}", page.errors);
    page
}

fn examples() -> Vec<String> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/examples");
    let mut files: Vec<String> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|end| end == "toml"))
        .map(|path| path.display().to_string())
        .collect();
    files.sort();
    files
}

fn pages() -> Vec<(String, String)> {
    let example = |name: &str| format!("{}/examples/{name}", env!("CARGO_MANIFEST_DIR"));
    let as_drawn = example("as-drawn.toml");
    let readings = example("readings/high-head.toml");
    let trend = example("readings/hot-afternoons.csv");
    let hall = example("bottling-hall.toml");
    let mut asked: Vec<Vec<String>> = examples().into_iter().map(|job| vec!["check".to_owned(), job]).collect();
    let more: [&[&str]; 9] = [
        &["remedy", &as_drawn],
        &["size", "--all", &as_drawn],
        &["site", &example("roof-as-drawn.toml")],
        &["site", &example("roof-and-year.toml")],
        &["diagnose", &as_drawn, &readings],
        &["diagnose", &hall, &trend, "--circuit", "1A"],
        &["expect", &as_drawn, "--outdoor", "88 F", "--outdoor", "60 F"],
        &["take-off", &as_drawn],
        &["check", &as_drawn, "--format", "sheet"],
    ];
    asked.extend(more.iter().map(|words| words.iter().map(|word| (*word).to_owned()).collect()));
    asked
        .into_iter()
        .map(|mut words| {
            if !words.contains(&"--format".to_owned()) {
                words.extend(["--format".to_owned(), "page".to_owned()]);
            }
            let words: Vec<&str> = words.iter().map(String::as_str).collect();
            (words.join(" "), roofrun(&words))
        })
        .collect()
}

#[test]
fn every_page_is_valid_asks_for_nothing_and_its_links_lead_somewhere() {
    for (name, text) in pages() {
        let page = parsed(&text);
        assert!(all(&page, "script, link, img, iframe, object").is_empty(), "{name}");
        assert!(!text.contains("url(http") && !text.contains("@import"), "{name}");
        let ids: Vec<&str> = all(&page, "[id]").iter().map(|one| one.value().attr("id").unwrap()).collect();
        let unique: BTreeSet<&str> = ids.iter().copied().collect();
        assert_eq!(ids.len(), unique.len(), "{name}: an id stands twice");
        for link in all(&page, "a") {
            let to = link.value().attr("href").unwrap();
            assert!(to.strip_prefix('#').is_some_and(|id| unique.contains(id)), "{name}: {to}");
        }
        for label in all(&page, "[aria-labelledby]") {
            for id in label.value().attr("aria-labelledby").unwrap().split(' ') {
                assert!(unique.contains(id), "{name}: {id}");
            }
        }
        assert_eq!(all(&page, "h1").len(), 1, "{name}");
        for drawing in all(&page, "svg") {
            let title: String = drawing.select(&Selector::parse("title").unwrap()).next().unwrap().text().collect();
            let told: String = drawing.select(&Selector::parse("desc").unwrap()).next().unwrap().text().collect();
            assert!(!title.is_empty() && told.ends_with(['.', ':']) || told.len() > 20, "{name}: {title}: {told}");
        }
    }
}

#[test]
fn findings_lead_from_the_list_to_the_text_to_the_drawing_and_back() {
    let text = roofrun(&["check", &examples()[0], "--format", "page"]);
    let page = parsed(&text);
    let rows = all(&page, ".rows li");
    assert!(rows.len() > 10);
    let mut drawn = 0;
    for (row, number) in rows.iter().zip(1..) {
        assert_eq!(row.value().attr("id"), Some(format!("row-{number}").as_str()));
        let there = row.select(&Selector::parse("a").unwrap()).next().unwrap().value().attr("href").unwrap();
        assert_eq!(there, format!("#finding-{number}"));
        let finding = all(&page, there)[0];
        let back: Vec<&str> =
            finding.select(&Selector::parse("a").unwrap()).filter_map(|link| link.value().attr("href")).collect();
        assert!(back.contains(&format!("#row-{number}").as_str()), "{back:?}");
        for figure in back.iter().filter(|to| to.ends_with("-figure")) {
            let marks = format!("{figure} a[href=\"#finding-{number}\"]");
            assert!(!all(&page, &marks).is_empty(), "{marks}");
            drawn += 1;
        }
    }
    assert!(drawn >= rows.len() - 4, "{drawn} of {} are drawn", rows.len());
    // Every mark on a drawing leads to a finding.
    let marks = all(&page, "svg a");
    assert!(!marks.is_empty());
    for mark in marks {
        assert!(mark.value().attr("href").unwrap().starts_with("#finding-"));
    }
}

#[test]
fn names_are_shown_and_not_obeyed() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("job.toml");
    let text = fs::read_to_string(&examples()[0]).unwrap();
    let hostile = HOSTILE.replace('"', "\\\"");
    let text = text
        .replace(
            "\"Bottling hall, circuit 1A as drawn\"",
            &format!("\"{hostile}\"\nnumber = \"{hostile}\"\nby = \"{hostile}\""),
        )
        .replace("name = \"1A\"", &format!("name = \"{hostile}\""));
    fs::write(&path, text).unwrap();
    let job = path.display().to_string();
    for command in [
        ["check", "page"],
        ["check", "sheet"],
        ["remedy", "page"],
        ["take-off", "page"],
        ["expect", "page"],
        ["size", "page"],
    ] {
        let text = roofrun(&[command[0], &job, "--format", command[1]]);
        let page = parsed(&text);
        assert!(all(&page, "script, img").is_empty(), "{command:?}");
        assert_eq!(all(&page, "style").len(), 1, "{command:?}");
        let title: String = all(&page, "h1")[0].text().collect();
        assert_eq!(title, SHOWN, "{command:?}");
        let number: String = all(&page, ".block dd")[0].text().collect();
        assert_eq!(number, SHOWN, "{command:?}");
        assert!(!text.contains(|c: char| c.is_control() && c != '\n'), "{command:?}");
        assert!(!text.contains(['\u{202e}', '\u{2066}']), "{command:?}");
        if command == ["check", "page"] {
            let drawn: Vec<String> = all(&page, "svg > title").iter().map(|title| title.text().collect()).collect();
            assert!(drawn.iter().any(|title| title.contains(SHOWN)), "{drawn:?}");
        }
    }
}

#[test]
fn pages_stay_small_enough_to_send() {
    for (example, most) in
        [("as-drawn", 200_000), ("long-run-si", 300_000), ("bottling-hall", 300_000), ("plant-of-twelve", 1_000_000)]
    {
        let job = format!("{}/examples/{example}.toml", env!("CARGO_MANIFEST_DIR"));
        let size = roofrun(&["check", &job, "--format", "page"]).len();
        assert!(size < most, "{example}: {size} bytes");
    }
}

#[test]
fn the_first_screen_says_the_verdict_the_margins_and_what_was_not_judged() {
    let page = parsed(&roofrun(&["check", &examples()[0], "--format", "page"]));
    let text = |selector: &str| {
        all(&page, selector).iter().map(|one| one.text().collect::<String>()).collect::<Vec<_>>().join(" ")
    };
    assert!(text(".verdict").ends_with("failures"));
    assert!(text(".whole").contains("The whole remedy:"));
    assert!(text(".two").contains("Suction line") && text(".two").contains("Not the system charge"));
    assert!(text("footer").contains("roofrun"));
    let found = text(".rows li:first-child .found");
    assert!(found.contains("301 psig") && found.contains("min 610"), "{found}");
    let pass = format!("{}/examples/bottling-hall.toml", env!("CARGO_MANIFEST_DIR"));
    let page = parsed(&roofrun(&["check", &pass, "--format", "page"]));
    let verdict: String = all(&page, ".verdict")[0].text().collect();
    assert!(verdict.starts_with("No failures found ("), "{verdict}");
}

#[test]
fn the_review_sheet_stands_in_the_order_of_the_route_with_room_to_answer() {
    let page = parsed(&roofrun(&["check", &examples()[0], "--format", "sheet"]));
    let places: Vec<String> =
        all(&page, ".form tbody tr td:nth-child(2) b").iter().map(|b| b.text().collect()).collect();
    let first = |line: &str| places.iter().position(|place| place.starts_with(line)).unwrap();
    assert!(first("discharge") < first("liquid"), "{places:?}");
    let runs: Vec<u32> = places
        .iter()
        .filter_map(|place| {
            place.strip_prefix("discharge run")?.trim_start_matches('s').split_whitespace().next()?.parse().ok()
        })
        .collect();
    assert!(runs.is_sorted() && runs.len() > 3, "{places:?}");
    for row in all(&page, ".form tbody tr") {
        let cells: Vec<String> =
            row.select(&Selector::parse("td").unwrap()).map(|cell| cell.text().collect::<String>()).collect();
        assert_eq!(cells.len(), 5);
        assert!(cells[3].is_empty() && cells[4].is_empty(), "response and initials are to be written in");
    }
}

/// The number that stands before a word.
fn before(text: &str, word: &str) -> usize {
    let words: Vec<&str> = text.split([' ', '\n', ',', '.', '(', ')']).filter(|word| !word.is_empty()).collect();
    words.windows(2).find(|pair| pair[1].trim_end_matches('s') == word).map_or(0, |pair| pair[0].parse().unwrap_or(0))
}

#[test]
fn counts_add_up_and_are_those_of_the_text() {
    let example = |name: &str| format!("{}/examples/{name}.toml", env!("CARGO_MANIFEST_DIR"));
    let sites = ["roof-as-drawn", "roof-and-year"].map(|name| ("site", example(name)));
    for (command, job) in examples().into_iter().map(|job| ("check", job)).chain(sites) {
        let page = parsed(&roofrun(&[command, &job, "--format", "page"]));
        let verdict: String = all(&page, ".verdict")[0].text().collect();
        let summary: String = all(&page, ".verdict + p").iter().flat_map(ElementRef::text).collect();
        assert!(!summary.contains(" ."), "{job}: {summary}");
        let [cautions, notes, passed] = ["caution", "note", "passed"].map(|word| before(&summary, word));
        assert_eq!(all(&page, ".rows li").len(), before(&verdict, "failure") + cautions + notes, "{job}: {summary}");
        let text = roofrun(&[command, &job]);
        if verdict.contains("check") {
            assert_eq!(before(&verdict, "check"), cautions + notes + passed, "{job}: {verdict}: {summary}");
            assert_eq!(before(&text, "check"), before(&verdict, "check"), "{job}");
        } else {
            assert_eq!(before(&text, "passed"), passed, "{job}");
        }
    }
}

#[test]
fn a_remedy_stands_before_what_it_mends() {
    let text = roofrun(&["remedy", &examples()[0], "--format", "page"]);
    let page = parsed(&text);
    let rows = all(&page, ".rows.bare li").len();
    assert!(rows > 1 && all(&page, ".rows .remedy").is_empty());
    let head: String = all(&page, "h2:has(+ .rows)")[0].text().collect();
    assert_eq!(head, format!("As drawn: {rows} failures"));
    assert!(text.find("id=\"remedy\"").unwrap() < text.find(&head).unwrap());
}

#[test]
fn a_year_in_which_nothing_is_short_has_no_map() {
    let job = format!("{}/examples/roof-and-year.toml", env!("CARGO_MANIFEST_DIR"));
    let text = roofrun(&["site", &job, "--format", "page"]);
    assert!(text.contains("id=\"year-duration-figure\""));
    assert!(!text.contains("year-map") && !text.contains("which hours"));
}

#[test]
fn what_is_judged_by_day_and_by_night_says_which() {
    let job = format!("{}/examples/roof-as-drawn.toml", env!("CARGO_MANIFEST_DIR"));
    let page = parsed(&roofrun(&["site", &job, "--format", "page"]));
    let rules: Vec<String> = all(&page, ".rows .rule").iter().map(|rule| rule.text().collect()).collect();
    let sound: Vec<&String> = rules.iter().filter(|rule| rule.starts_with("sound")).collect();
    assert_eq!(sound.len(), 2, "{rules:?}");
    assert!(sound[0].ends_with("by day") && sound[1].ends_with("at night"), "{sound:?}");
}

#[test]
fn the_set_that_is_chosen_heads_what_stands_beside_it() {
    let job = format!("{}/examples/to-size/plan-of-a-run.toml", env!("CARGO_MANIFEST_DIR"));
    let page = parsed(&roofrun(&["size", &job, "--format", "page"]));
    let groups: Vec<String> = all(&page, "tr.group th").iter().map(|group| group.text().collect()).collect();
    assert_eq!(groups.len(), 4, "{groups:?}");
    assert!(groups.iter().all(|group| group.ends_with(", chosen")), "{groups:?}");
}

#[test]
fn outdoor_temperatures_step_round_in_the_units_of_the_job() {
    for (example, step) in [("long-run-si", 5), ("as-drawn", 10)] {
        let job = format!("{}/examples/{example}.toml", env!("CARGO_MANIFEST_DIR"));
        let page = parsed(&roofrun(&["check", &job, "--format", "page"]));
        let text = |one: ElementRef| one.text().collect::<String>();
        let tables = all(&page, "table");
        let curve = tables.iter().find(|table| {
            let heads: Vec<String> =
                table.select(&Selector::parse("thead th").unwrap()).map(|head| text(head).trim().to_owned()).collect();
            heads.first().is_some_and(|head| head.starts_with("outdoor"))
                && heads.get(1).is_some_and(|head| head.starts_with("capacity"))
        });
        let rows = Selector::parse("tbody tr > :first-child").unwrap();
        let outdoor: Vec<f64> = curve.unwrap().select(&rows).map(|cell| text(cell).trim().parse().unwrap()).collect();
        let (_, stepped) = outdoor.split_last().unwrap();
        assert!(stepped.len() > 4, "{outdoor:?}");
        assert!(stepped.iter().all(|value| value % f64::from(step) == 0.0), "{outdoor:?}");
    }
}

#[cfg(feature = "watch")]
#[test]
fn a_watched_job_is_written_again_when_it_is_saved_and_errors_stand_in_it() {
    use std::process::{Command, Stdio};
    use std::time::{Duration, Instant};
    let folder = tempfile::tempdir().unwrap();
    let (job, out) = (folder.path().join("job.toml"), folder.path().join("job.html"));
    let text = fs::read_to_string(&examples()[0]).unwrap();
    fs::write(&job, &text).unwrap();
    let mut child = Command::new(assert_cmd::cargo::cargo_bin("roofrun"))
        .args(["check", job.to_str().unwrap(), "--format", "page", "--watch", out.to_str().unwrap()])
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let becomes = |words: &str| {
        let end = Instant::now() + Duration::from_secs(60);
        while Instant::now() < end {
            if fs::read_to_string(&out).is_ok_and(|page| page.contains(words)) {
                return true;
            }
            std::thread::sleep(Duration::from_millis(50));
        }
        false
    };
    let first = becomes("circuit 1A as drawn");
    fs::write(&job, text.replace("circuit 1A as drawn", "circuit 1A again")).unwrap();
    let second = becomes("circuit 1A again");
    fs::write(&job, text.replace("tube =", "tbue =")).unwrap();
    let third = becomes("can't be used");
    child.kill().unwrap();
    child.wait().unwrap();
    assert!(first && second && third, "{first} {second} {third}");
}
