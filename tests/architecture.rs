//! The house keeps its order: arrows run downward between folders and between the files of one folder, one module names
//! `uom`, one prints, and none panics.
#![expect(clippy::unwrap_used, reason = "a test may fail")]

use proc_macro2::{Spacing, TokenStream, TokenTree};
use quote::ToTokens;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use syn::{Attribute, Item, UseTree, Visibility};

/// The top-level modules from the roof down; a module may name only modules of a later row.
const STOREYS: &[&[&str]] = &[
    &["cli"],
    &["page"],
    &["draw"],
    &["size", "takeoff", "site", "diagnose"],
    &["report"],
    &["remedies"],
    &["rules"],
    &["roof", "year"],
    &["survey"],
    &["machine"],
    &["line", "trend"],
    &["job"],
    &["refdata", "refrigerant", "weather"],
    &["physics"],
    &["units", "solve", "layout"],
    &["visible"],
];

/// Printing and leaving, which only `cli` may do.
const PRINTING: &[&str] = &["print!", "println!", "eprint!", "eprintln!", "exit", "dbg!"];

/// Ways to panic, which only tests may take.
const PANICKING: &[&str] =
    &["unwrap", "expect", "unwrap_err", "expect_err", "panic!", "todo!", "unimplemented!", "unreachable!"];

/// A path of names: `crate::job::Job`.
type Names = Vec<String>;

fn storey(module: &str) -> Option<usize> {
    STOREYS.iter().position(|row| row.contains(&module))
}

/// Every Rust file under `folder`, in order.
fn rust_files(folder: &Path) -> Vec<PathBuf> {
    let mut entries: Vec<PathBuf> = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    entries.sort();
    let files = entries.into_iter().flat_map(|path| if path.is_dir() { rust_files(&path) } else { vec![path] });
    files.filter(|path| path.extension().is_some_and(|e| e == "rs")).collect()
}

/// A file of the library.
struct Source {
    /// Its modules: `rules/oil_riser.rs` is `["rules", "oil_riser"]`, `lib.rs` none.
    module: Names,
    /// What it holds outside tests.
    items: Vec<Item>,
    /// With its tests.
    whole: TokenStream,
    /// Lines outside tests.
    lines: usize,
}

fn attributes(item: &Item) -> &[Attribute] {
    match item {
        Item::Const(i) => &i.attrs,
        Item::Enum(i) => &i.attrs,
        Item::Fn(i) => &i.attrs,
        Item::Impl(i) => &i.attrs,
        Item::Macro(i) => &i.attrs,
        Item::Mod(i) => &i.attrs,
        Item::Static(i) => &i.attrs,
        Item::Struct(i) => &i.attrs,
        Item::Trait(i) => &i.attrs,
        Item::Type(i) => &i.attrs,
        Item::Use(i) => &i.attrs,
        _ => &[],
    }
}

fn is_test(item: &Item) -> bool {
    let of_tests = |a: &Attribute| a.path().is_ident("cfg") && a.meta.to_token_stream().to_string() == "cfg (test)";
    attributes(item).iter().any(of_tests)
}

/// A file as read, and the files that it declares for tests alone.
fn read(text: &str, module: Names) -> (Source, Vec<String>) {
    let file = syn::parse_file(text).unwrap();
    let whole = file.to_token_stream();
    let (tests, items): (Vec<Item>, Vec<Item>) = file.items.into_iter().partition(is_test);
    let lines_of = |item: &Item| {
        let mut spans = item.to_token_stream().into_iter().map(|token| token.span());
        let first = spans.next().map_or(1, |span| span.start().line);
        spans.last().map_or(1, |span| span.end().line + 1 - first)
    };
    let lines = text.trim_end().lines().count() - tests.iter().map(lines_of).sum::<usize>();
    let files = tests.iter().filter_map(|item| match item {
        Item::Mod(module) if module.content.is_none() => {
            let path = module.attrs.iter().find(|a| a.path().is_ident("path")).map(|a| a.meta.to_token_stream());
            let by_path = path.and_then(|path| path.to_string().split('"').nth(1).map(str::to_owned));
            Some(by_path.unwrap_or_else(|| format!("{}.rs", module.ident)))
        }
        _ => None,
    });
    let files = files.collect();
    (Source { module, items, whole, lines }, files)
}

/// Every file of the library but those of tests alone.
fn library() -> Vec<Source> {
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut of_tests = BTreeSet::new();
    let mut sources = Vec::new();
    for file in rust_files(&src) {
        let mut module: Names = file
            .strip_prefix(&src)
            .unwrap()
            .with_extension("")
            .iter()
            .map(|part| part.to_str().unwrap().to_owned())
            .collect();
        let is_root = ["mod", "lib"].contains(&module.last().unwrap().as_str());
        if is_root {
            module.pop();
        }
        let (source, tests) = read(&fs::read_to_string(&file).unwrap(), module);
        let folder = if is_root { file.parent().unwrap().to_owned() } else { file.with_extension("") };
        let beside = file.parent().unwrap().to_owned();
        of_tests.extend(tests.iter().flat_map(|name| [folder.join(name), beside.join(name)]));
        sources.push((file, source));
    }
    // A folder of tests holds nothing else.
    let for_tests = |file: &PathBuf| {
        of_tests.iter().any(|test: &PathBuf| test == file || file.starts_with(test.with_extension("")))
    };
    sources.retain(|(file, _)| !for_tests(file));
    sources.into_iter().map(|(_, source)| source).collect()
}

impl Source {
    fn folder(&self) -> &str {
        self.module.first().map_or("", String::as_str)
    }

    fn name(&self) -> String {
        self.module.join("/")
    }

    fn tokens(&self) -> TokenStream {
        self.items.iter().map(ToTokens::to_token_stream).collect()
    }

    /// Every path that it names outside tests but for what it only passes on, from the root where it says so.
    fn paths(&self) -> BTreeSet<Names> {
        let mut found = BTreeSet::new();
        for item in &self.items {
            match item {
                Item::Use(item) if matches!(item.vis, Visibility::Inherited) => {
                    uses(&item.tree, &mut Vec::new(), &mut |path, _| {
                        found.insert(path);
                    });
                }
                Item::Use(_) => {}
                item => paths(item.to_token_stream(), &mut found),
            }
        }
        found.into_iter().map(|path| self.resolved(&path)).collect()
    }

    /// A path with `crate`, `self` and `super` resolved; any other stays a path within the file.
    fn resolved(&self, path: &Names) -> Names {
        let mut names = path.iter().peekable();
        let mut root = match names.peek().map(|name| name.as_str()) {
            Some("crate") => Vec::new(),
            _ => self.module.clone(),
        };
        while let Some(name) = names.next_if(|name| ["crate", "self", "super"].contains(&name.as_str())) {
            if name == "super" {
                root.pop();
            }
        }
        root.into_iter().chain(names.cloned()).collect()
    }
}

/// The paths of an import, each with the name that it gets here; `*` for all.
fn uses(tree: &UseTree, before: &mut Names, found: &mut impl FnMut(Names, String)) {
    let with =
        |before: &Names, name: String| before.iter().cloned().chain([name]).filter(|name| name != "self").collect();
    match tree {
        UseTree::Path(path) => {
            before.push(path.ident.to_string());
            uses(&path.tree, before, found);
            before.pop();
        }
        UseTree::Name(name) if name.ident == "self" => {
            found(before.clone(), before.last().cloned().unwrap_or_default());
        }
        UseTree::Name(name) => found(with(before, name.ident.to_string()), name.ident.to_string()),
        UseTree::Rename(name) => found(with(before, name.ident.to_string()), name.rename.to_string()),
        UseTree::Glob(_) => found(with(before, "*".to_owned()), "*".to_owned()),
        UseTree::Group(group) => group.items.iter().for_each(|tree| uses(tree, before, found)),
    }
}

/// Every path of two names or more in the code.
fn paths(tokens: TokenStream, found: &mut BTreeSet<Names>) {
    let mut path: Names = Vec::new();
    let mut colons = 0;
    for token in tokens {
        match token {
            TokenTree::Punct(p) if p.as_char() == ':' && (p.spacing() == Spacing::Joint || colons == 1) => colons += 1,
            TokenTree::Ident(name) if colons == 2 && !path.is_empty() => {
                path.push(name.to_string());
                colons = 0;
            }
            other => {
                if path.len() > 1 {
                    found.insert(std::mem::take(&mut path));
                }
                path.clear();
                colons = 0;
                match other {
                    TokenTree::Ident(name) => path.push(name.to_string()),
                    TokenTree::Group(group) => paths(group.stream(), found),
                    _ => {}
                }
            }
        }
    }
    if path.len() > 1 {
        found.insert(path);
    }
}

/// Where names stand: the modules, what each defines, and what each passes on under which name.
#[derive(Default)]
struct Modules {
    defines: BTreeMap<Names, BTreeSet<String>>,
    passes: BTreeMap<Names, Vec<(String, Names)>>,
}

impl Modules {
    fn of(library: &[Source]) -> Self {
        let mut all = Self::default();
        for source in library {
            let defines = all.defines.entry(source.module.clone()).or_default();
            for item in &source.items {
                let name = match item {
                    Item::Const(i) => &i.ident,
                    Item::Enum(i) => &i.ident,
                    Item::Fn(i) => &i.sig.ident,
                    Item::Static(i) => &i.ident,
                    Item::Struct(i) => &i.ident,
                    Item::Trait(i) => &i.ident,
                    Item::Type(i) => &i.ident,
                    Item::Use(i) => {
                        uses(&i.tree, &mut Vec::new(), &mut |path, name| {
                            let path = source.resolved(&path);
                            all.passes.entry(source.module.clone()).or_default().push((name, path));
                        });
                        continue;
                    }
                    _ => continue,
                };
                defines.insert(name.to_string());
            }
        }
        all
    }

    /// The module that defines what a path from the root names.
    fn home(&self, path: &[String], depth: usize) -> Option<Names> {
        let known = (0..=path.len()).rev().find(|&end| self.defines.contains_key(&path[..end]))?;
        let (module, rest) = path.split_at(known);
        let Some(name) = rest.first().filter(|name| *name != "*") else { return Some(module.to_vec()) };
        if self.defines[module].contains(name) || depth == 0 {
            return Some(module.to_vec());
        }
        let passed = self.passes.get(module).map(Vec::as_slice).unwrap_or_default();
        let by_name = passed.iter().filter(|(as_name, _)| as_name == name).map(|(_, from)| from.clone());
        let by_all = passed.iter().filter(|(as_name, _)| as_name == "*").filter_map(|(_, from)| {
            let from = from[..from.len() - 1].iter().chain([name]).cloned().collect::<Names>();
            let home = self.home(&from, depth - 1)?;
            self.defines[&home].contains(name).then_some(from)
        });
        let from = by_name.chain(by_all).find(|from| from.as_slice() != path);
        from.and_then(|from| self.home(&from, depth - 1)).or_else(|| Some(module.to_vec()))
    }
}

/// The files that each file of the library names, by their modules.
fn arrows(library: &[Source]) -> BTreeMap<Names, BTreeSet<Names>> {
    let modules = Modules::of(library);
    let named = |source: &Source| {
        let paths = source.paths();
        let homes = paths.iter().filter_map(|path| modules.home(path, 4));
        homes.filter(|home| *home != source.module && !home.is_empty()).collect()
    };
    library.iter().map(|source| (source.module.clone(), named(source))).collect()
}

/// The files that lead back to themselves through files of their own folder.
fn circles(arrows: &BTreeMap<Names, BTreeSet<Names>>) -> BTreeSet<String> {
    let returns = |start: &Names| {
        let mut seen = BTreeSet::new();
        let mut left = vec![start];
        while let Some(at) = left.pop() {
            let next = arrows.get(at).into_iter().flatten().filter(|to| to.first() == start.first());
            left.extend(next.filter(|to| seen.insert((*to).clone())));
        }
        seen.contains(start)
    };
    arrows.keys().filter(|module| returns(module)).map(|module| module.join("/")).collect()
}

/// Where the code names one of `words`: as `file:line: word`. A word with `!` is a macro, any other a name that is called
/// or stands behind a path.
fn sightings(file: &str, tokens: TokenStream, words: &[&str], found: &mut Vec<String>) {
    let tokens: Vec<TokenTree> = tokens.into_iter().collect();
    for (i, token) in tokens.iter().enumerate() {
        match token {
            TokenTree::Ident(name) => {
                let follows = tokens.get(i + 1);
                let is_macro = matches!(follows, Some(TokenTree::Punct(p)) if p.as_char() == '!');
                let is_member = i > 0 && matches!(&tokens[i - 1], TokenTree::Punct(p) if ".:".contains(p.as_char()));
                let is_called = is_member && matches!(follows, Some(TokenTree::Group(_)));
                let of = |word: &&&str| match word.strip_suffix('!') {
                    Some(word) => is_macro && name == word,
                    None => is_called && name == *word,
                };
                let line = name.span().start().line;
                found.extend(words.iter().find(of).map(|word| format!("{file}:{line}: {word}")));
            }
            TokenTree::Group(group) => sightings(file, group.stream(), words, found),
            _ => {}
        }
    }
}

fn seen(library: &[Source], words: &[&str], where_not: &str) -> Vec<String> {
    let mut found = Vec::new();
    for source in library.iter().filter(|source| source.folder() != where_not) {
        sightings(&source.name(), source.tokens(), words, &mut found);
    }
    found
}

#[test]
fn imports_run_downward() {
    let mut complaints = Vec::new();
    for source in library() {
        let own = source.folder();
        if ["", "main"].contains(&own) {
            continue;
        }
        let Some(own_storey) = storey(own) else {
            complaints.push(format!("{}: `{own}` has no storey: give it one in this test", source.name()));
            continue;
        };
        for path in source.paths() {
            let Some(name) = path.first().filter(|name| name.as_str() != own) else { continue };
            match storey(name) {
                Some(other) if other > own_storey => {}
                Some(_) => complaints.push(format!("{}: `{own}` may not name `{name}`", source.name())),
                None => complaints.push(format!("{}: `{name}` is no module of a storey", source.name())),
            }
        }
    }
    assert!(complaints.is_empty(), "{}", complaints.join("\n"));
}

#[test]
fn no_file_stands_in_a_circle() {
    let arrows = arrows(&library());
    let circles = circles(&arrows);
    let within = |file: &str| {
        let own = split(file);
        let named = arrows[&own].iter().map(|to| to.join("/"));
        let named = named.filter(|to| to.split('/').next() == file.split('/').next() && circles.contains(to));
        named.collect::<Vec<_>>().join(", ")
    };
    let told = |file: &String| format!("{file} stands in a circle of files, through {}", within(file));
    let complaints: Vec<String> = circles.iter().map(told).collect();
    assert!(complaints.is_empty(), "{}", complaints.join("\n"));
}

fn split(module: &str) -> Names {
    module.split('/').filter(|name| !name.is_empty()).map(str::to_owned).collect()
}

#[test]
fn only_units_names_uom() {
    let names_uom = |tokens: TokenStream| {
        let mut found = BTreeSet::new();
        paths(tokens, &mut found);
        found.iter().any(|path| path[0] == "uom")
    };
    let library = library();
    let strangers = library.iter().filter(|source| source.folder() != "units" && names_uom(source.whole.clone()));
    assert_eq!(strangers.map(Source::name).collect::<Vec<_>>(), Vec::<String>::new());
}

#[test]
fn only_the_command_line_prints_and_leaves() {
    assert_eq!(seen(&library(), PRINTING, "cli"), Vec::<String>::new());
}

#[test]
fn nothing_panics_on_purpose_outside_tests() {
    assert_eq!(seen(&library(), PANICKING, "none"), Vec::<String>::new());
}

/// Folders whose numbers carry their unit in their name; in the others formulas, fits and drawings have symbols of their own.
const NUMBERS_WITH_UNITS: [&str; 14] = [
    "machine", "line", "survey", "year", "roof", "rules", "remedies", "report", "size", "site", "diagnose", "takeoff",
    "weather", "job",
];
/// Units as they stand at the end of a name, and in the words that tell it.
const UNITS: [(&str, &str); 17] = [
    ("K", "K"),
    ("Pa", "Pa"),
    ("W", "W"),
    ("J_kg", "J/kg"),
    ("kg_s", "kg/s"),
    ("kg_m3", "kg/m3"),
    ("kg_m", "kg/m"),
    ("m_s", "m/s"),
    ("m3_s", "m3/s"),
    ("m3", "m3"),
    ("m2", "m2"),
    ("W_K", "W/K"),
    ("kg", "kg"),
    ("m", "m"),
    ("Pa_s", "Pa s"),
    ("dBA", "dBA"),
    ("h", "h"),
];

/// The numbers of a file whose words tell a unit that their names do not.
fn without_unit(items: &[Item]) -> Vec<String> {
    let words = |attributes: &[Attribute]| -> String {
        let docs = attributes.iter().filter(|a| a.path().is_ident("doc")).map(|a| a.meta.to_token_stream().to_string());
        docs.collect()
    };
    let bare = |field: &syn::Field| {
        let name = field.ident.as_ref()?.to_string();
        let holds = field.ty.to_token_stream().to_string();
        let number = ["f64", "Option < f64 >"].contains(&holds.as_str());
        let says = words(&field.attrs);
        let told = UNITS
            .iter()
            .find(|(_, unit)| ['.', ',', ';', ':'].iter().any(|end| says.contains(&format!(", {unit}{end}"))));
        let (suffix, _) = told.filter(|_| number)?;
        let is_unit = ["hours", "kelvin", "kg"].contains(&name.as_str());
        (!is_unit && !name.ends_with(&format!("_{suffix}"))).then_some(name)
    };
    let fields = items.iter().flat_map(|item| match item {
        Item::Struct(of) => of.fields.iter().collect::<Vec<_>>(),
        Item::Enum(of) => of.variants.iter().flat_map(|variant| variant.fields.iter()).collect(),
        _ => Vec::new(),
    });
    fields.filter_map(bare).collect()
}

#[test]
fn a_number_carries_its_unit_in_its_name() {
    let library = library();
    let of = library.iter().filter(|source| NUMBERS_WITH_UNITS.contains(&source.folder()));
    let bare =
        of.flat_map(|source| without_unit(&source.items).into_iter().map(|name| format!("{}: {name}", source.name())));
    assert_eq!(bare.collect::<Vec<_>>(), Vec::<String>::new());
    let seen = syn::parse_file(
        "struct A { /// Flow, kg/s.\n flow: f64, /// Loss, Pa.\n loss_Pa: f64, /// Share.\n share: f64 }",
    );
    assert_eq!(without_unit(&seen.unwrap().items), ["flow"]);
}

#[test]
fn every_file_is_a_room_of_its_own_size() {
    let library = library();
    let large = library.iter().filter(|source| source.lines > 600);
    let large: Vec<String> =
        large.map(|source| format!("{}: {} lines without its tests", source.name(), source.lines)).collect();
    assert!(large.is_empty(), "split these:\n{}", large.join("\n"));
}

#[test]
fn the_reading_of_code_sees_what_it_should() {
    let text = "use crate::{units::{Length, show}, cli};\n// crate::rules\nconst A: &str = \"crate::rules 'x\";\n\
                fn f<'a>(x: &'a str) -> T { super::super::report::text(); x.unwrap(); vec![crate::job::Job]; }\n\
                #[cfg(test)]\nmod tests { fn g() { panic!(\"{}\") } }\n#[cfg(test)]\n#[path = \"a_tests.rs\"]\nmod more;\n";
    let (source, tests) = read(text, split("survey/answer"));
    let named: Vec<String> = source.paths().iter().map(|path| path.join("/")).collect();
    assert_eq!(named, ["cli", "job/Job", "report/text", "units/Length", "units/show"]);
    assert_eq!((tests, source.lines), (vec!["a_tests.rs".to_owned()], 4));
    let mut found = Vec::new();
    sightings("f", source.tokens(), PANICKING, &mut found);
    assert_eq!(found, ["f:4: unwrap"]);
    sightings("f", source.whole.clone(), PANICKING, &mut found);
    assert_eq!(found[1..], ["f:4: unwrap", "f:6: panic!"]);
    let mut found = Vec::new();
    sightings("f", "fn f() { eprintln!(); std::process::exit(1) }".parse().unwrap(), PRINTING, &mut found);
    assert_eq!(found, ["f:1: eprintln!", "f:1: exit"]);
}

#[test]
fn a_circle_of_files_is_seen_through_what_is_passed_on() {
    let library = [
        ("a", "mod one;\nmod two;\nmod three;\npub use one::*;\npub use two::Two as Other;"),
        ("a/one", "use super::Other;\npub struct One;"),
        ("a/two", "use crate::a::One;\npub struct Two;"),
        ("a/three", "use super::{One, two};\nuse crate::b::B;"),
        ("b", "use crate::a::One;\npub struct B;"),
    ];
    let library: Vec<Source> = library.map(|(module, text)| read(text, split(module)).0).into();
    let arrows = arrows(&library);
    assert_eq!(arrows[&split("a/three")], ["a/one", "a/two", "b"].map(split).into());
    assert_eq!(circles(&arrows), ["a/one", "a/two"].map(str::to_owned).into());
}
