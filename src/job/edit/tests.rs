use super::*;
use proptest::prelude::*;
use serde_json::json;

const JOB: &str = r#"# The hall.
[job]
title = "Hall"   # as drawn

[[circuit]]
name = "1.A"
copies = 2

# The machine's.
[circuit.condenser]
elevation = "38 ft"   # over the machine
head_control.by = "fans"

[circuit.discharge]
tube = "2-1/8 ACR"
route = [
  { level = "14 ft", fittings = { elbow = 2 } },   # from the machine
  # the wall
  { rise = "12 ft", tube = "2-5/8 ACR" },          # up
  { part = "check valve", pressure_drop = "1 psi" },   # last
]

[circuit.liquid]
route = [ { level = "30 ft" }, { drop = "38 ft" } ]

[[circuit]]
name = "2"
condenser = { elevation = "4 ft", legs = {
  height = "3 ft",   # of the legs
  tube = "7/8 ACR"   # each
} }

[roof]
unit = [
  { name = "C1", at = ["1 ft", "2 ft"] },
  { name = "C2", at = ["9 ft", "2 ft"] }
]

[[roof.wall]]
name = "screen"
height = "8 ft"
"#;

fn one(path: &str, old: Json, new: Json) -> Edit {
    let some = |value: Json| Some(value).filter(|value| !value.is_null());
    Edit { path: path.to_owned(), old: some(old), new: some(new) }
}

fn parsed(text: &str) -> Json {
    json_of_table(text.parse::<DocumentMut>().unwrap_or_else(|e| panic!("{e}\n{text}")).as_table())
}

/// The lines that an edit takes and puts, and its inverse tried.
fn lines(path: &str, old: Json, new: Json) -> Vec<String> {
    let change = one(path, old, new);
    let after = edit(JOB, std::slice::from_ref(&change)).unwrap();
    let back = edit(&after, &[change.inverse()]).unwrap();
    assert_eq!(parsed(&back), parsed(JOB), "{after}");
    let (was, is): (Vec<&str>, Vec<&str>) = (JOB.lines().collect(), after.lines().collect());
    let gone = was.iter().filter(|line| !is.contains(line)).map(|line| format!("-{line}"));
    let come = is.iter().filter(|line| !was.contains(line)).map(|line| format!("+{line}"));
    gone.chain(come).collect()
}

#[test]
fn a_value_is_set_and_its_comment_stays() {
    assert_eq!(
        lines("circuit.\"1.A\".condenser.elevation", json!("38 ft"), json!("40 ft")),
        [r#"-elevation = "38 ft"   # over the machine"#, r#"+elevation = "40 ft"   # over the machine"#]
    );
    assert_eq!(lines("circuit.\"1.A\".copies", json!(2), json!(3)), ["-copies = 2", "+copies = 3"]);
    assert_eq!(lines("circuit.\"1.A\".copies", json!(2), json!(2.5)), ["-copies = 2", "+copies = 2.5"]);
}

#[test]
fn a_run_gets_another_tube_or_its_first() {
    assert_eq!(
        lines("circuit.\"1.A\".discharge.route.2.tube", json!("2-5/8 ACR"), json!(["7/8 ACR", "1-1/8 ACR"])),
        [
            r#"-  { rise = "12 ft", tube = "2-5/8 ACR" },          # up"#,
            r#"+  { rise = "12 ft", tube = ["7/8 ACR", "1-1/8 ACR"] },          # up"#
        ]
    );
    assert_eq!(
        lines("circuit.\"1.A\".discharge.route.1.tube", json!(null), json!("1-5/8 ACR")),
        [
            r#"-  { level = "14 ft", fittings = { elbow = 2 } },   # from the machine"#,
            r#"+  { level = "14 ft", fittings = { elbow = 2 }, tube = "1-5/8 ACR" },   # from the machine"#
        ]
    );
}

#[test]
fn a_part_is_inserted_on_a_line_of_its_own_and_comments_stay_with_their_lines() {
    let part = json!({ "part": "check valve", "kv": 30.0 });
    assert_eq!(
        lines("circuit.\"1.A\".discharge.route.2", json!(null), part.clone()),
        [r#"+  { part = "check valve", kv = 30.0 },"#]
    );
    let change = one("circuit.\"1.A\".discharge.route.2", json!(null), part.clone());
    let after = edit(JOB, &[change]).unwrap();
    assert!(after.contains("# from the machine\n  { part = \"check valve\", kv = 30.0 },\n  # the wall\n"), "{after}");
    assert_eq!(
        lines("circuit.\"1.A\".discharge.route.4", json!(null), part.clone()),
        [r#"+  { part = "check valve", kv = 30.0 },"#]
    );
    assert_eq!(
        lines("circuit.\"1.A\".liquid.route.3", json!(null), part.clone()),
        [
            r#"-route = [ { level = "30 ft" }, { drop = "38 ft" } ]"#,
            r#"+route = [ { level = "30 ft" }, { drop = "38 ft" }, { part = "check valve", kv = 30.0 } ]"#
        ]
    );
    assert_eq!(
        lines("circuit.\"1.A\".liquid.route.1", json!(null), part)[1],
        r#"+route = [ { part = "check valve", kv = 30.0 }, { level = "30 ft" }, { drop = "38 ft" } ]"#
    );
}

#[test]
fn a_part_is_removed_with_its_own_comments_only() {
    assert_eq!(
        lines("circuit.\"1.A\".discharge.route.2", json!({ "rise": "12 ft", "tube": "2-5/8 ACR" }), json!(null)),
        [r"-  # the wall", r#"-  { rise = "12 ft", tube = "2-5/8 ACR" },          # up"#]
    );
    assert_eq!(
        lines(
            "circuit.\"1.A\".discharge.route.3",
            json!({ "part": "check valve", "pressure_drop": "1 psi" }),
            json!(null)
        ),
        [r#"-  { part = "check valve", pressure_drop = "1 psi" },   # last"#]
    );
    assert_eq!(
        lines("circuit.\"1.A\".liquid.route.2", json!({ "drop": "38 ft" }), json!(null)),
        [r#"-route = [ { level = "30 ft" }, { drop = "38 ft" } ]"#, r#"+route = [ { level = "30 ft" } ]"#]
    );
}

#[test]
fn tables_are_made_where_they_are_missing() {
    let control = json!({ "by": "fans", "setpoint": "85 F", "minimum_air": 0.15 });
    assert_eq!(
        lines("circuit.2.condenser.head_control", json!(null), control.clone()).last().unwrap(),
        r#"+}, head_control = { by = "fans", setpoint = "85 F", minimum_air = 0.15 } }"#
    );
    assert_eq!(
        lines("circuit.\"1.A\".condenser.head_control", json!({ "by": "fans" }), control),
        [r#"+head_control.setpoint = "85 F""#, r"+head_control.minimum_air = 0.15"]
    );
    assert_eq!(
        lines("circuit.2.evaporator.approach", json!(null), json!("5 F")),
        [r#"+evaporator = { approach = "5 F" }"#]
    );
    assert_eq!(
        lines("limits.liquid_velocity", json!(null), json!("300 fpm")),
        ["+[limits]", r#"+liquid_velocity = "300 fpm""#]
    );
    assert_eq!(lines("plant", json!(null), json!({ "load": "110 ton" })), ["+[plant]", r#"+load = "110 ton""#]);
}

#[test]
fn keys_of_inline_tables_over_several_lines_stand_on_lines_of_their_own() {
    assert_eq!(
        lines("circuit.2.condenser.legs.level", json!(null), json!("2 ft")),
        [r#"-  tube = "7/8 ACR"   # each"#, r#"+  tube = "7/8 ACR",   # each"#, r#"+  level = "2 ft""#]
    );
    assert_eq!(
        lines("circuit.2.condenser.legs.tube", json!("7/8 ACR"), json!(null)),
        [
            r#"-  height = "3 ft",   # of the legs"#,
            r#"-  tube = "7/8 ACR"   # each"#,
            r#"+  height = "3 ft"   # of the legs"#
        ]
    );
}

#[test]
fn walls_and_units_are_named_moved_and_added() {
    assert_eq!(
        lines("roof.unit.C2.at", json!(["9 ft", "2 ft"]), json!(["12 ft", "2 ft"])),
        [r#"-  { name = "C2", at = ["9 ft", "2 ft"] }"#, r#"+  { name = "C2", at = ["12 ft", "2 ft"] }"#]
    );
    assert_eq!(
        lines("roof.wall.2", json!(null), json!({ "name": "north", "height": "9 ft" })),
        [r#"+name = "north""#, r#"+height = "9 ft""#]
    );
    assert_eq!(
        lines("roof.unit.3", json!(null), json!({ "name": "C3" })),
        [
            r#"-  { name = "C2", at = ["9 ft", "2 ft"] }"#,
            r#"+  { name = "C2", at = ["9 ft", "2 ft"] },"#,
            r#"+  { name = "C3" }"#
        ]
    );
    let bare = "[job]\ntitle = \"x\"\n";
    let wall = one("roof.wall.1", json!(null), json!({ "name": "north" }));
    let after = edit(bare, std::slice::from_ref(&wall)).unwrap();
    assert_eq!(after, "[job]\ntitle = \"x\"\n\n[[roof.wall]]\nname = \"north\"\n");
    assert_eq!(edit(&after, &[wall.inverse()]).unwrap(), bare);
}

#[test]
fn what_does_not_stand_there_is_told_and_nothing_is_changed() {
    let fault = |path: &str, old: Json, new: Json| edit(JOB, &[one(path, old, new)]).unwrap_err().to_string();
    assert_eq!(
        fault("circuit.\"1.A\".copies", json!(4), json!(3)),
        "`circuit.\"1.A\".copies`: the file has 2 there, \
                      not 4"
    );
    assert_eq!(
        fault("circuit.\"1.A\".copies", json!(null), json!(3)),
        "`circuit.\"1.A\".copies`: the file has 2 there, not nothing"
    );
    assert_eq!(fault("circuit.3B.copies", json!(1), json!(3)), "`circuit.3B.copies`: no element `3B`");
    assert_eq!(fault("circuit.1.A.copies", json!(2), json!(null)), "`circuit.1.A.copies`: nothing named `A`");
    assert!(fault("circuit.\"1.A\".discharge.route.5", json!(null), json!({})).contains("no element `5`"));
    assert!(fault("circuit.\"1.A\".copies.x", json!(null), json!(3)).contains("can be there"));
    assert!(fault("", json!(null), json!(3)).contains("no path"));
    assert!(matches!(edit("a = ", &[]), Err(EditFault::Syntax(_))));
}

#[test]
fn a_step_is_quoted_where_it_must_be() {
    for (name, quoted) in
        [("1A", "1A"), ("1.A", "\"1.A\""), ("a \"b\"", "\"a \\\"b\\\"\""), ("", "\"\""), ("\u{e9}", "\"\u{e9}\"")]
    {
        assert_eq!(step(name), quoted);
        assert_eq!(Key::parse(&step(name)).unwrap()[0].get(), name);
    }
}

/// A place of the document that can be changed, and what stands there.
fn places(json: &Json, path: &str, out: &mut Vec<(String, Json)>) {
    let join = |key: &str| if path.is_empty() { step(key) } else { format!("{path}.{}", step(key)) };
    match json {
        Json::Object(keys) => keys.iter().for_each(|(key, value)| {
            out.push((join(key), value.clone()));
            places(value, &join(key), out);
        }),
        Json::Array(elements) => elements.iter().enumerate().filter(|(_, e)| e.is_object()).for_each(|(i, element)| {
            out.push((join(&(i + 1).to_string()), element.clone()));
            places(element, &join(element["name"].as_str().unwrap_or(&(i + 1).to_string())), out);
        }),
        _ => {}
    }
}

/// One change that is possible: of what stands at a place, beside it, or before it.
fn possible(text: &str, which: usize, kind: usize) -> Edit {
    let mut all = Vec::new();
    places(&parsed(text), "", &mut all);
    // A new name is another path.
    all.retain(|(path, _)| path.rsplit('.').next() != Some("name"));
    // All may have been taken away.
    let Some((path, old)) = all.get(which % all.len().max(1)).cloned() else {
        return one("\"new key\"", json!(null), json!(0.25));
    };
    let numbered = path.rsplit('.').next().unwrap().parse::<usize>().is_ok() && old.is_object();
    match kind % 4 {
        0 => one(&path, old, json!("changed")).objects(numbered),
        1 => one(&path, old, json!(null)),
        2 if old.get("new key").is_none() && old.is_object() => {
            one(&format!("{path}.\"new key\""), json!(null), json!(0.25))
        }
        // Among elements with names one without could be meant by another's name.
        3 if numbered && path.contains(".route.") => one(&path, json!(null), json!({ "part": "sight glass", "kv": 3 })),
        _ => one(&path, old, json!({ "by": "fans", "setpoint": { "at": "85 F", "minimum": 2 } })),
    }
}

impl Edit {
    fn objects(mut self, object: bool) -> Self {
        if object {
            self.new = Some(json!({ "changed": true }));
        }
        self
    }
}

fn examples() -> Vec<String> {
    let mut files: Vec<_> = std::fs::read_dir("examples").unwrap().map(|entry| entry.unwrap().path()).collect();
    files.retain(|path| path.extension().is_some_and(|e| e == "toml"));
    files.sort();
    let read = |path| std::fs::read_to_string(path).unwrap();
    files.into_iter().map(read).chain([JOB.to_owned(), JOB.replace('\n', "\r\n")]).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn edits_and_their_inverses_give_the_same_job(picks in prop::collection::vec((0..10_000_usize, 0..4_usize), 1..6)) {
        for text in examples() {
            let mut edits = Vec::new();
            let mut after = text.clone();
            for (which, kind) in &picks {
                let change = possible(&after, *which, *kind);
                after = edit(&after, std::slice::from_ref(&change)).unwrap_or_else(|e| panic!("{e}\n{change:?}\n{after}"));
                edits.push(change);
            }
            prop_assert_eq!(parsed(&after), parsed(&edit(&text, &edits).unwrap()));
            let back: Vec<Edit> = edits.iter().rev().map(Edit::inverse).collect();
            let undone = edit(&after, &back).unwrap_or_else(|e| panic!("{e}\n{back:?}\n{after}"));
            prop_assert_eq!(parsed(&undone), parsed(&text), "{:?}\n{}\n{}", edits, after, undone);
        }
    }
}
