//! Jobs that can be read and yet can't be right: the message of each under a snapshot.
#![expect(clippy::unwrap_used, reason = "a test may stop at what should not be")]

use assert_cmd::Command;

/// Exit status and both outputs of `check` on the starter job with a change.
fn check(from: &str, to: &str) -> (i32, String, String) {
    let starter = Command::new(env!("CARGO_BIN_EXE_roofrun")).arg("new").output().unwrap();
    let starter = String::from_utf8(starter.stdout).unwrap();
    assert!(starter.contains(from), "{from}");
    let output = Command::new(env!("CARGO_BIN_EXE_roofrun"))
        .args(["check", "-", "--width", "100"])
        .write_stdin(starter.replacen(from, to, 1))
        .output()
        .unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}

#[test]
fn a_condenser_that_never_balances() {
    let (status, out, err) = check(r#"rejection = "660 MBH""#, r#"rejection = "6.6 MBH""#);
    assert_eq!((status, out.as_str()), (2, ""));
    insta::assert_snapshot!(err);
}

#[test]
fn a_route_that_does_not_close() {
    let (status, out, err) = check(r#"{ drop = "38 ft""#, r#"{ drop = "28 ft""#);
    assert_eq!((status, err.as_str()), (1, ""));
    let mut lines = out.lines().skip_while(|line| !line.contains("FAILS elevations"));
    let mut finding = vec![lines.next().unwrap()];
    finding.extend(lines.take_while(|line| line.starts_with("    ")));
    assert!(finding.len() > 1, "{out}");
    insta::assert_snapshot!(finding.join("\n"));
}

#[test]
fn air_that_cannot_carry_the_rejection() {
    let (status, out, err) = check(r#"air_flow = "44000 cfm""#, r#"air_flow = "4400 cfm""#);
    assert_eq!((status, out.as_str()), (2, ""));
    insta::assert_snapshot!(err);
}

#[test]
fn what_a_job_lacks_for_a_drawing_is_told() {
    for (job, what, lacks) in [
        ("as-drawn", "plan", "no [roof]"),
        ("as-drawn", "hours", "no weather file"),
        ("as-drawn", "duration", "no weather file"),
        ("condenser-below", "oil", "no riser"),
    ] {
        let job = format!("examples/{job}.toml");
        let output = Command::new(env!("CARGO_BIN_EXE_roofrun")).args(["draw", &job, "--what", what]).output().unwrap();
        let told = String::from_utf8(output.stderr).unwrap();
        assert_eq!((output.status.code(), output.stdout.len()), (Some(2), 0), "{what}");
        assert!(told.contains(&job) && told.contains(lacks), "{told}");
    }
}
