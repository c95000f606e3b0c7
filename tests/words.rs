//! What a person reads is said in the trade's words: no screen says a phrase of `words/never.csv`, and the rules keep to short sentences.
#![expect(clippy::unwrap_used, reason = "a test may fail")]

use assert_cmd::Command;
use roofrun::refdata;
use roofrun::rules::RULES;
use serde::Deserialize;
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs;
use std::path::Path;

/// The longest sentence of a rule, in words, and what the sentences of one rule average at most.
const LONGEST: usize = 40;
const AVERAGE: usize = 25;

/// Where a phrase may stand all the same: the phrase, how the call begins, and why.
const ALLOWED: [(&str, &str, &str); 0] = [];

/// A phrase that is not said.
#[derive(Deserialize)]
struct Never {
    phrase: String,
    instead: String,
    within: String,
    because: String,
}

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn never() -> Vec<Never> {
    let mut reader = csv::ReaderBuilder::new();
    let reader = reader.delimiter(b';').comment(Some(b'#')).from_path(root().join("tests/words/never.csv"));
    reader.unwrap().deserialize().map(Result::unwrap).collect()
}

/// What a call prints, its lines joined.
fn screen(call: &str) -> String {
    let mut command = Command::new(env!("CARGO_BIN_EXE_roofrun"));
    let output = command.args(call.split(' ')).current_dir(root()).output().unwrap();
    let status = output.status.code().unwrap();
    assert!(status <= 1, "{call}: {status}: {}", String::from_utf8_lossy(&output.stderr));
    let text = String::from_utf8(output.stdout).unwrap();
    words(&if text.starts_with("<svg") { written(&text) } else { text })
}

/// What is written in a drawing.
fn written(svg: &str) -> String {
    let drawing = roxmltree::Document::parse(svg).unwrap();
    let texts: Vec<&str> = drawing.descendants().filter_map(|node| node.text()).collect();
    assert!(texts.len() > 10, "{svg}");
    texts.join(" ")
}

fn words(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The job files of a folder.
fn jobs(folder: &str) -> Vec<String> {
    let entries = fs::read_dir(root().join(folder)).unwrap().map(|entry| entry.unwrap().path());
    let files = entries.filter(|file| file.extension().is_some_and(|ending| ending == "toml"));
    let mut names: Vec<String> =
        files.map(|file| format!("{folder}/{}", file.file_name().unwrap().to_str().unwrap())).collect();
    names.sort();
    names
}

/// Every kind of drawing.
fn drawings() -> impl Iterator<Item = &'static str> {
    let hall = [
        "as-drawn.toml --what route",
        "as-drawn.toml --what isometric",
        "as-drawn.toml --what liquid",
        "as-drawn.toml --what oil",
        "as-drawn.toml --what capacity",
        "as-drawn.toml --what cycle",
        "roof-as-drawn.toml --what plan",
        "roof-and-year.toml --what duration",
        "roof-and-year.toml --what hours",
        "bottling-hall.toml --what read --readings examples/readings/high-head.toml",
        "bottling-hall.toml --what read --readings examples/readings/hot-afternoons.csv --circuit 1A",
    ];
    hall.into_iter()
}

/// Every call whose screen is read.
fn calls() -> Vec<String> {
    let mut calls: Vec<String> = Vec::new();
    for job in jobs("examples") {
        let commands = ["check", "check --full", "check --width 40", "take-off", "remedy", "size"];
        calls.extend(commands.iter().map(|command| format!("{command} {job}")));
        let text = fs::read_to_string(root().join(&job)).unwrap();
        if text.contains("\n[roof]") || text.contains("\nweather = ") {
            calls.extend(["site", "site --full"].map(|command| format!("{command} {job}")));
        }
    }
    calls.extend(jobs("examples/to-size").iter().map(|job| format!("size {job}")));
    for readings in jobs("examples/readings") {
        calls.extend(["", " --width 40"].map(|how| format!("diagnose examples/bottling-hall.toml {readings}{how}")));
    }
    calls.push("diagnose examples/bottling-hall.toml examples/readings/hot-afternoons.csv --circuit 1A".to_owned());
    calls.push("check examples/as-drawn.toml examples/bottling-hall.toml --compare".to_owned());
    calls.push("check examples/as-drawn.toml examples/bottling-hall.toml --brief".to_owned());
    calls.push("expect examples/bottling-hall.toml --circuit 1A --outdoor 88F".to_owned());
    calls.extend(drawings().map(|drawing| format!("draw examples/{drawing}")));
    calls.extend(
        ["-p 412psig", "-t 40F -p 412psig", "-t 200F -p 412psig", ""]
            .map(|asked| format!("state R-454B {asked}").trim().to_owned()),
    );
    calls.extend(["new", "new --short", "new --below --units si"].map(str::to_owned));
    calls.push("rules".to_owned());
    calls.extend(RULES.iter().map(|rule| format!("rules {}", rule.id)));
    let lists = ["tubes", "fittings", "parts", "refrigerants", "limits", "sources"];
    calls.extend(lists.map(|list| format!("list {list}")));
    calls.push("--help".to_owned());
    let commands = [
        "new",
        "check",
        "remedy",
        "site",
        "size",
        "diagnose",
        "expect",
        "take-off",
        "rules",
        "state",
        "list",
        "draw",
        "completions",
        "man",
        "schema",
    ];
    calls.extend(commands.map(|command| format!("{command} --help")));
    calls
}

/// How often a phrase stands in a text as whole words, in any case, `within` left out.
fn sightings(text: &str, phrase: &str, within: &[&str]) -> Vec<String> {
    let mut text = text.to_lowercase();
    for longer in within {
        text = text.replace(&longer.to_lowercase(), &"-".repeat(longer.len()));
    }
    let of_a_word = |c: char| c.is_alphanumeric() || c == '_';
    let found = text.match_indices(phrase).filter(|(at, _)| {
        let before = text.get(..*at).and_then(|text| text.chars().next_back());
        let behind = text.get(at + phrase.len()..).and_then(|text| text.chars().next());
        !before.is_some_and(of_a_word) && !behind.is_some_and(of_a_word)
    });
    let around = |at: usize| {
        let start = (0..=at.saturating_sub(50)).rev().find(|at| text.is_char_boundary(*at)).unwrap_or_default();
        text.get(start..).map_or_else(String::new, |text| text.chars().take(110).collect())
    };
    found.map(|(at, _)| around(at)).collect()
}

#[test]
fn no_screen_says_what_the_trade_does_not() {
    let never = never();
    let mut screens: Vec<(String, String)> = calls().into_iter().map(|call| (call.clone(), screen(&call))).collect();
    for file in ["SAFETY.md", "src/cli/starter.toml"] {
        screens.push((file.to_owned(), words(&fs::read_to_string(root().join(file)).unwrap())));
    }
    let mut found = String::new();
    for (call, text) in &screens {
        for each in &never {
            let within = never.iter().filter(|other| other.phrase == each.phrase && !other.within.is_empty());
            let within: Vec<&str> = within.map(|other| other.within.as_str()).collect();
            let allowed = ALLOWED.iter().any(|(phrase, place, _)| *phrase == each.phrase && call.starts_with(place));
            for around in sightings(text, &each.phrase, &within).into_iter().filter(|_| !allowed) {
                writeln!(found, "{call}: `{}`, say `{}`: {around}", each.phrase, each.instead).unwrap();
            }
        }
    }
    assert!(found.is_empty(), "{found}");
}

#[test]
fn every_exception_has_its_reason_and_holds_the_phrase() {
    for each in never() {
        assert_eq!(each.within.is_empty(), each.because.is_empty(), "{}", each.phrase);
        assert!(each.within.is_empty() || each.within.contains(&each.phrase), "{}", each.within);
    }
    let listed = |phrase: &str| never().iter().any(|each| each.phrase == phrase);
    assert!(ALLOWED.iter().all(|(phrase, _, why)| listed(phrase) && !why.is_empty()));
}

#[test]
fn a_phrase_is_seen_as_whole_words() {
    assert_eq!(sightings("At least three, not the leastwise way", "least", &[]).len(), 1);
    assert_eq!(sightings("At least three, with least squares", "least", &["least squares"]).len(), 1);
    assert!(sightings("minimum_share", "share", &[]).is_empty());
}

/// The sentences of a text: what ends in a stop before a capital or a name.
fn sentences(text: &str) -> Vec<usize> {
    let mut lengths = vec![0];
    let mut words = text.split_whitespace().peekable();
    while let Some(word) = words.next() {
        *lengths.last_mut().unwrap() += 1;
        let next = words.peek().and_then(|word| word.trim_start_matches(['`', '[', '"']).chars().next());
        if word.ends_with(['.', '?']) && next.is_some_and(|next| next.is_uppercase() || next.is_ascii_digit()) {
            lengths.push(0);
        }
    }
    lengths
}

#[test]
fn sentences_of_rules_and_limits_are_short() {
    let mut long = String::new();
    for rule in RULES {
        let texts = [rule.question].into_iter().chain(rule.explanation.split("\n\n"));
        let lengths: Vec<usize> = texts.flat_map(sentences).collect();
        let (longest, sum) = (*lengths.iter().max().unwrap(), lengths.iter().sum::<usize>());
        if longest > LONGEST || sum > AVERAGE * lengths.len() {
            writeln!(long, "{}: longest {longest}, {sum} words in {}", rule.id, lengths.len()).unwrap();
        }
    }
    for limit in refdata::limits() {
        let longest = sentences(&limit.says).into_iter().max().unwrap();
        if longest > LONGEST {
            writeln!(long, "{}: {longest}", limit.key).unwrap();
        }
    }
    assert!(long.is_empty(), "{long}");
}

/// Longest sentence, words and sentences of a text.
fn counted(text: &str) -> [usize; 3] {
    let lengths = sentences(text);
    [lengths.iter().max().copied().unwrap_or(0), lengths.iter().sum(), lengths.len()]
}

/// What every rule says of every example, by rule.
#[test]
fn sentences_of_findings_are_short() {
    let mut of_rule: BTreeMap<String, [usize; 3]> = BTreeMap::new();
    for call in calls().iter().filter(|call| call.starts_with("check examples") || call.starts_with("site examples")) {
        let mut command = Command::new(env!("CARGO_BIN_EXE_roofrun"));
        let output = command.args(call.split(' ')).args(["--format", "json"]).current_dir(root()).output().unwrap();
        // What takes two jobs, or is brief, gives no JSON.
        let Ok(answer) = serde_json::from_slice::<serde_json::Value>(&output.stdout) else { continue };
        for finding in answer["findings"].as_array().unwrap() {
            let [longest, words, sentences] = counted(finding["says"].as_str().unwrap());
            let sum = of_rule.entry(finding["rule"].as_str().unwrap().to_owned()).or_default();
            *sum = [sum[0].max(longest), sum[1] + words, sum[2] + sentences];
        }
    }
    assert!(of_rule.len() > RULES.len() / 2, "{of_rule:?}");
    let long: Vec<_> =
        of_rule.iter().filter(|(_, [longest, words, n])| *longest > LONGEST || *words > AVERAGE * n).collect();
    assert!(long.is_empty(), "longest, words, sentences: {long:#?}");
}

/// What is said of a file that can't be used, as the snapshots of it have it.
#[test]
fn sentences_of_messages_are_short() {
    let folder = fs::read_dir(root().join("tests/snapshots")).unwrap().map(|entry| entry.unwrap().path());
    let files = folder.filter(|path| path.file_name().unwrap().to_str().unwrap().starts_with("bad_"));
    let (mut all, mut long) = ([0, 0], String::new());
    for file in files {
        let text = fs::read_to_string(&file).unwrap();
        for paragraph in text.split("\n\n").filter(|paragraph| paragraph.contains(", line ")) {
            let from = paragraph.find(", line ").unwrap();
            // What is to be written is no sentence.
            let says = paragraph[from..].split("\n  typed").next().unwrap().replace('\n', " ");
            let says = says.split("; for example").next().unwrap();
            let [longest, words, sentences] = counted(says.split_once(": ").map_or(says, |(_, says)| says));
            all = [all[0] + words, all[1] + sentences];
            if longest > LONGEST {
                writeln!(long, "{}: {longest}: {says}", file.display()).unwrap();
            }
        }
    }
    assert!(all[1] > 100 && all[0] <= AVERAGE * all[1], "{all:?}");
    assert!(long.is_empty(), "{long}");
}
