//! The house keeps its order: imports run downward, one module names `uom`, one prints, and none panics.
#![expect(clippy::unwrap_used, reason = "a test may fail")]

use std::fs;
use std::path::{Path, PathBuf};

/// The top-level modules from the roof down; a module may name only modules of a later row.
const STOREYS: &[&[&str]] = &[
    &["cli"],
    &["size", "takeoff", "site", "diagnose"],
    &["report"],
    &["rules"],
    &["roof", "year"],
    &["survey"],
    &["machine"],
    &["line"],
    &["job"],
    &["refdata", "refrigerant", "weather"],
    &["physics"],
    &["units", "solve", "sheet"],
];

/// Printing and leaving, which only `cli` may do.
const PRINTING: &[&str] = &["print!", "println!", "eprint!", "eprintln!", "process::exit", "dbg!"];

/// Ways to panic, which only tests may take.
const PANICKING: &[&str] =
    &[".unwrap()", ".expect(", ".unwrap_err()", ".expect_err(", "panic!", "todo!", "unimplemented!", "unreachable!"];

fn storey(module: &str) -> Option<usize> {
    STOREYS.iter().position(|row| row.contains(&module))
}

/// Every Rust file under `folder`, in order.
fn rust_files(folder: &Path) -> Vec<PathBuf> {
    let mut entries: Vec<PathBuf> = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    entries.sort();
    entries
        .into_iter()
        .flat_map(|path| {
            if path.is_dir() {
                rust_files(&path)
            } else if path.extension().is_some_and(|e| e == "rs") {
                vec![path]
            } else {
                Vec::new()
            }
        })
        .collect()
}

/// The text with comments and the insides of strings and characters blanked out, lines kept.
fn code_only(text: &str) -> String {
    let bytes = text.as_bytes();
    let mut out = Vec::with_capacity(bytes.len());
    let mut at = 0;
    let blank =
        |out: &mut Vec<u8>, part: &[u8]| out.extend(part.iter().map(|b| if *b == b'\n' { b'\n' } else { b' ' }));
    while at < bytes.len() {
        let rest = &bytes[at..];
        let length = if rest.starts_with(b"//") {
            rest.iter().position(|b| *b == b'\n').unwrap_or(rest.len())
        } else if rest.starts_with(b"/*") {
            block_comment(rest)
        } else if let Some(length) = raw_string(rest) {
            length
        } else if rest[0] == b'"' {
            quoted(rest, b'"')
        } else if rest[0] == b'\'' && is_character(rest) {
            quoted(rest, b'\'')
        } else {
            // A word is copied whole, so that the r of `for"` is not taken for a raw string.
            let word = rest.iter().take_while(|b| b.is_ascii_alphanumeric() || **b == b'_').count().max(1);
            out.extend_from_slice(&rest[..word]);
            at += word;
            continue;
        };
        blank(&mut out, &rest[..length]);
        at += length;
    }
    String::from_utf8(out).unwrap()
}

fn block_comment(rest: &[u8]) -> usize {
    let (mut depth, mut at) = (0, 0);
    while at < rest.len() {
        if rest[at..].starts_with(b"/*") {
            depth += 1;
            at += 2;
        } else if rest[at..].starts_with(b"*/") {
            depth -= 1;
            at += 2;
            if depth == 0 {
                return at;
            }
        } else {
            at += 1;
        }
    }
    rest.len()
}

fn raw_string(rest: &[u8]) -> Option<usize> {
    let after = rest.strip_prefix(b"br").or_else(|| rest.strip_prefix(b"r"))?;
    let hashes = after.iter().take_while(|b| **b == b'#').count();
    if after.get(hashes) != Some(&b'"') {
        return None;
    }
    let start = rest.len() - after.len() + hashes + 1;
    let mut end = vec![b'"'];
    end.resize(1 + hashes, b'#');
    let length = rest[start..].windows(end.len()).position(|w| w == end).map_or(rest.len(), |p| start + p + end.len());
    Some(length)
}

fn quoted(rest: &[u8], end: u8) -> usize {
    let mut at = 1;
    while at < rest.len() && rest[at] != end {
        at += if rest[at] == b'\\' { 2 } else { 1 };
    }
    (at + 1).min(rest.len())
}

/// Whether a quote opens a character rather than a lifetime.
fn is_character(rest: &[u8]) -> bool {
    match rest.get(1) {
        Some(b'\\') => true,
        Some(first) if first.is_ascii() => rest.get(2) == Some(&b'\''),
        Some(_) => true,
        None => false,
    }
}

/// The code without the items that stand under `#[cfg(test)]`, lines kept.
fn without_tests(code: &str) -> String {
    let mut out = code.to_owned();
    while let Some(start) = out.find("#[cfg(test)]") {
        let (mut depth, mut end) = (0_i32, out.len());
        for (offset, c) in out[start..].char_indices() {
            match c {
                '{' => depth += 1,
                '}' => {
                    depth -= 1;
                    if depth == 0 {
                        end = start + offset + 1;
                        break;
                    }
                }
                ';' if depth == 0 => {
                    end = start + offset + 1;
                    break;
                }
                _ => {}
            }
        }
        let blank: String = out[start..end].chars().map(|c| if c == '\n' { '\n' } else { ' ' }).collect();
        out.replace_range(start..end, &blank);
    }
    out
}

/// The path of modules of a file under `src`: `rules/oil_lift.rs` is `["rules", "oil_lift"]`.
fn module_path(file: &Path, src: &Path) -> Vec<String> {
    let mut parts: Vec<String> = file
        .strip_prefix(src)
        .unwrap()
        .with_extension("")
        .iter()
        .map(|part| part.to_str().unwrap().to_owned())
        .collect();
    if parts.last().is_some_and(|last| last == "mod") {
        parts.pop();
    }
    parts
}

/// The modules that a path may begin with after `crate::` or a chain of `super::` that ends at the root:
/// one name, or the first names inside braces.
fn heads(after: &str) -> Vec<String> {
    let after = after.trim_start();
    let name =
        |text: &str| text.trim_start().chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect::<String>();
    let Some(group) = after.strip_prefix('{') else { return vec![name(after)] };
    let (mut depth, mut names, mut part) = (0, Vec::new(), String::new());
    for c in group.chars() {
        match c {
            '}' if depth == 0 => break,
            ',' if depth == 0 => names.push(name(&std::mem::take(&mut part))),
            '{' => depth += 1,
            '}' => depth -= 1,
            _ => part.push(c),
        }
    }
    names.push(name(&part));
    names.retain(|n| !n.is_empty());
    names
}

/// Line number and module of each top-level module that the code names.
fn named_modules(code: &str, module: &[String]) -> Vec<(usize, String)> {
    let mut found = Vec::new();
    let line_of = |at: usize| code[..at].matches('\n').count() + 1;
    for (at, word) in code.match_indices("crate::") {
        // `$crate::` and `some_crate::` are other things.
        if code[..at].ends_with(|c: char| c.is_alphanumeric() || c == '_') {
            continue;
        }
        found.extend(heads(&code[at + word.len()..]).into_iter().map(|name| (line_of(at), name)));
    }
    // A chain of `super::` as long as the path itself ends at the root. Inline modules only lengthen the chain that
    // is needed, so this can only be too strict.
    let chain = "super::".repeat(module.len().max(1));
    for (at, word) in code.match_indices(&chain) {
        if module.is_empty() || code[..at].ends_with("super::") {
            continue;
        }
        found.extend(heads(&code[at + word.len()..]).into_iter().map(|name| (line_of(at), name)));
    }
    found
}

/// The files that a text declares under `#[cfg(test)]`, by the name of the module or the path beside it.
fn test_files(text: &str) -> Vec<String> {
    text.split("#[cfg(test)]")
        .skip(1)
        .filter_map(|after| {
            let item = &after[..after.find([';', '{'])?];
            let by_path = item.split_once("#[path = \"").and_then(|(_, path)| path.split('"').next());
            let by_name = item.split_once("mod ").map(|(_, name)| format!("{}.rs", name.trim()));
            let is_file = after[item.len()..].starts_with(';');
            by_path.map(str::to_owned).or(by_name).filter(|_| is_file)
        })
        .collect()
}

/// A file of the library with its path of modules, its code, and the code without tests.
struct Source {
    file: PathBuf,
    module: Vec<String>,
    code: String,
    plain: String,
}

/// Every file of the library.
fn library() -> Vec<Source> {
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let texts: Vec<(PathBuf, String)> =
        rust_files(&src).into_iter().map(|file| (file.clone(), fs::read_to_string(file).unwrap())).collect();
    let tests: Vec<PathBuf> = texts
        .iter()
        .flat_map(|(file, text)| {
            let is_root = file.file_name().is_some_and(|name| name == "mod.rs" || name == "lib.rs");
            let folder = if is_root { file.parent().unwrap().to_owned() } else { file.with_extension("") };
            let beside = file.parent().unwrap().to_owned();
            test_files(text).into_iter().flat_map(move |name| [folder.join(&name), beside.join(&name)])
        })
        .collect();
    texts
        .into_iter()
        .map(|(file, text)| {
            let code = code_only(&text);
            // A folder of tests holds nothing else.
            let of_tests = tests.iter().any(|test| *test == file || file.starts_with(test.with_extension("")));
            let plain = if of_tests { String::new() } else { without_tests(&code) };
            Source { module: module_path(&file, &src), file, code, plain }
        })
        .collect()
}

/// Where `code` holds one of `words`, as `file:line: word`.
fn sightings(file: &Path, code: &str, words: &[&str]) -> Vec<String> {
    let mut found = Vec::new();
    for word in words {
        for (at, _) in code.match_indices(word) {
            let part_of_a_longer_word = word.starts_with(char::is_alphabetic)
                && code[..at].ends_with(|c: char| c.is_alphanumeric() || c == '_');
            if !part_of_a_longer_word {
                found.push(format!("{}:{}: {word}", file.display(), code[..at].matches('\n').count() + 1));
            }
        }
    }
    found
}

#[test]
fn imports_run_downward() {
    let mut complaints = Vec::new();
    for Source { file, module, plain, .. } in library() {
        let Some(own) = module.first() else { continue };
        if own == "main" || own == "lib" {
            continue;
        }
        let Some(own_storey) = storey(own) else {
            complaints.push(format!("{}: `{own}` has no storey: give it one in this test", file.display()));
            continue;
        };
        for (line, name) in named_modules(&plain, &module) {
            if name == *own {
                continue;
            }
            match storey(&name) {
                Some(other) if other > own_storey => {}
                Some(_) => complaints.push(format!("{}:{line}: `{own}` may not name `{name}`", file.display())),
                None => complaints.push(format!("{}:{line}: `{name}` is no module of a storey", file.display())),
            }
        }
    }
    assert!(complaints.is_empty(), "{}", complaints.join("\n"));
}

#[test]
fn only_units_names_uom() {
    let complaints: Vec<String> = library()
        .iter()
        .filter(|source| source.module.first().is_none_or(|own| own != "units"))
        .flat_map(|source| sightings(&source.file, &source.code, &["uom::"]))
        .collect();
    assert!(complaints.is_empty(), "{}", complaints.join("\n"));
}

#[test]
fn only_the_command_line_prints_and_leaves() {
    let complaints: Vec<String> = library()
        .iter()
        .filter(|source| source.module.first().is_none_or(|own| own != "cli"))
        .flat_map(|source| sightings(&source.file, &source.plain, PRINTING))
        .collect();
    assert!(complaints.is_empty(), "{}", complaints.join("\n"));
}

#[test]
fn nothing_panics_on_purpose_outside_tests() {
    let complaints: Vec<String> =
        library().iter().flat_map(|source| sightings(&source.file, &source.plain, PANICKING)).collect();
    assert!(complaints.is_empty(), "{}", complaints.join("\n"));
}

#[test]
fn the_reading_of_code_sees_what_it_should() {
    let text = "use crate::{units::{Length, show}, cli};\n// crate::rules\nlet a = \"crate::rules 'x\";\nlet c = '\"';\n\
                fn f<'a>(x: &'a str) { super::super::report::text(); r#\"panic! \" \"#; }\n\
                #[cfg(test)]\nmod tests { fn g() { panic!(\"{}\") } }\nlet b = crate::job::Job;";
    let plain = without_tests(&code_only(text));
    let module = ["survey".to_owned(), "answer".to_owned()];
    let named = named_modules(&plain, &module);
    let expected = [(1, "units"), (1, "cli"), (8, "job"), (5, "report")];
    assert_eq!(named, expected.map(|(line, name)| (line, name.to_owned())));
    assert!(sightings(Path::new("f"), &plain, PANICKING).is_empty());
    assert_eq!(sightings(Path::new("f"), &code_only(text), PANICKING), ["f:7: panic!"]);
    let files =
        "#[cfg(test)]\nmod fixture;\n#[cfg(test)]\n#[path = \"a_tests.rs\"]\nmod tests;\n#[cfg(test)]\nmod t { }";
    assert_eq!(test_files(files), ["fixture.rs", "a_tests.rs"]);
    assert_eq!(sightings(Path::new("f"), "eprintln!(); x.expect(1)", PRINTING), ["f:1: eprintln!"]);
}

#[test]
fn every_file_is_a_room_of_its_own_size() {
    let complaints: Vec<String> = library()
        .iter()
        .map(|source| (&source.file, source.plain.trim_end().lines().count()))
        .filter(|(_, lines)| *lines > 600)
        .map(|(file, lines)| format!("{}: {lines} lines without its tests", file.display()))
        .collect();
    assert!(complaints.is_empty(), "split these:\n{}", complaints.join("\n"));
}
