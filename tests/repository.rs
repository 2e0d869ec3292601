//! The repository holds together: what documents name exists, what is said has a sentence, functions stay short.
#![allow(clippy::unwrap_used)]

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

const PREFIXES_OF_MACHINES: [&str; 4] =
    [concat!("/ro", "ot/"), concat!("/ho", "me/"), concat!("/wo", "rk/"), concat!("/tm", "p/")];

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// Built or fetched folders, as `.gitignore` names them.
fn ignored() -> Vec<PathBuf> {
    let lines = std::fs::read_to_string(root().join(".gitignore")).unwrap();
    lines.lines().map(|line| root().join(line.trim_start_matches('/'))).collect()
}

fn collect(folder: &Path, ignored: &[PathBuf], found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let hidden = path.file_name().is_some_and(|name| name == ".git" || name == "node_modules" || name == "target");
        if hidden || ignored.contains(&path) {
            continue;
        } else if path.is_dir() {
            collect(&path, ignored, found);
        } else {
            found.push(path);
        }
    }
}

/// Files of the repository with one of these endings, and their text.
fn files(endings: &[&str]) -> Vec<(PathBuf, String)> {
    let mut found = Vec::new();
    collect(&root(), &ignored(), &mut found);
    found.sort();
    let wanted = |path: &PathBuf| path.extension().is_some_and(|ending| endings.iter().any(|e| *e == ending));
    let read = |path: PathBuf| Some((path.clone(), std::fs::read_to_string(&path).ok()?));
    found.into_iter().filter(wanted).filter_map(read).collect()
}

/// The text without fenced code.
fn prose(text: &str) -> String {
    text.split("```").step_by(2).collect()
}

/// Words in back quotes that are paths: plain characters, and a first part that is a folder of the repository.
fn quoted_paths(text: &str) -> Vec<String> {
    let plain = |word: &&str| {
        !word.is_empty()
            && !word.contains("NAME")
            && word.chars().all(|c| c.is_ascii_alphanumeric() || "._-/".contains(c))
            && !word.ends_with('.')
    };
    let inside = |word: &&str| root().join(word.split('/').next().unwrap_or_default()).is_dir() && *word != "dist";
    prose(text).split('`').skip(1).step_by(2).filter(plain).filter(inside).map(str::to_owned).collect()
}

/// Targets of links within the repository.
fn links(text: &str) -> Vec<String> {
    let ends = prose(text)
        .split("](")
        .skip(1)
        .filter_map(|rest| rest.split(')').next().map(str::to_owned))
        .collect::<Vec<_>>();
    ends.into_iter().filter(|target| !target.contains("://") && !target.starts_with('#')).collect()
}

#[test]
fn documents_name_only_what_exists() {
    let mut checked = 0;
    for (document, text) in files(&["md"]) {
        let beside = document.parent().unwrap();
        for path in quoted_paths(&text) {
            let built = ignored().iter().any(|folder| root().join(&path).starts_with(folder));
            assert!(
                built || root().join(&path).exists() || beside.join(&path).exists(),
                "{}: {path}",
                document.display()
            );
            checked += 1;
        }
        for target in links(&text) {
            assert!(beside.join(&target).exists(), "{}: {target}", document.display());
            checked += 1;
        }
    }
    assert!(checked > 40, "only {checked} names were looked at");
}

#[test]
fn every_room_is_on_the_map() {
    let map = std::fs::read_to_string(root().join("DEVELOPERS.md")).unwrap();
    for folder in ["src", "tests"] {
        for entry in std::fs::read_dir(root().join(folder)).unwrap() {
            let path = entry.unwrap().path();
            let name = format!("`{folder}/{}`", path.file_name().unwrap().to_string_lossy());
            assert!(!path.is_dir() || map.contains(&name), "{name} is not on the map");
        }
    }
}

/// Options in a text: words that begin with two hyphens, without the prefix-only word of `--against-unit`.
fn options(text: &str) -> BTreeSet<String> {
    let word = |rest: &str| rest.chars().take_while(|c| c.is_ascii_lowercase() || *c == '-').collect::<String>();
    let starts = text.match_indices("--").filter(|(at, _)| !text[..*at].ends_with(['-', '|']));
    let words = starts.map(|(at, _)| word(&text[at + 2..]));
    words.filter(|word| word.len() > 1 && !word.starts_with('-') && !word.ends_with('-')).collect()
}

/// A word and its values.
type Row<'a> = (&'a str, Vec<&'a str>);

/// The first cell of each row below `| head |` holds one word in back quotes, the second its values, default first.
fn rows_below<'a>(text: &'a str, head: &str) -> Vec<Row<'a>> {
    let table =
        text.lines().skip_while(|line| !line.starts_with(head)).skip(2).take_while(|line| line.starts_with('|'));
    let quoted = |cell: &'a str| cell.split('`').skip(1).step_by(2).collect::<Vec<_>>();
    table.filter_map(|row| Some((*quoted(row.split('|').nth(1)?).first()?, quoted(row.split('|').nth(2)?)))).collect()
}

#[test]
fn the_readme_lists_the_options_of_inspect() {
    let readme = std::fs::read_to_string(root().join("README.md")).unwrap();
    let section = readme.split("## The command").nth(1).and_then(|rest| rest.split("\n## ").next()).unwrap();
    let table = section.lines().filter(|line| line.starts_with("| `--")).collect::<Vec<_>>().join("\n");
    let help = std::fs::read_to_string(root().join("pkg-scripts/src/inspect/help.txt")).unwrap();
    let mut told = options(&help);
    told.remove("help");
    told.retain(|option| !option.starts_with("against-"));
    assert_eq!(options(&table), told);
    assert!(told.len() > 20, "{told:?}");
}

#[test]
fn the_readme_lists_the_attributes_of_the_element() {
    let readme = std::fs::read_to_string(root().join("README.md")).unwrap();
    let source = std::fs::read_to_string(root().join("www/attributes.js")).unwrap();
    let choices = source.split("const CHOICES = {").nth(1).and_then(|rest| rest.split("};").next()).unwrap();
    let lines = choices.lines().filter_map(|line| line.trim().split_once(": "));
    let mut taken = lines.map(|(name, list)| (name, quoted(list))).collect::<Vec<Row>>();
    assert!(taken.len() >= 8, "{taken:?}");
    let addresses = source.split("const ADDRESSES = ").nth(1).and_then(|rest| rest.lines().next()).unwrap();
    taken.extend(quoted(addresses).into_iter().map(|name| (name, vec![])));
    assert_eq!(rows_below(&readme, "| attribute |"), taken);
}

/// What stands in single quotes.
fn quoted(text: &str) -> Vec<&str> {
    text.split('\'').skip(1).step_by(2).collect()
}

/// What the element has, its types have.
#[test]
fn the_types_hold_what_the_element_has() {
    let read = |name: &str| std::fs::read_to_string(root().join("www").join(name)).unwrap();
    let (types, element, attributes) =
        (read("handpath-compare.d.ts"), read("handpath-compare.js"), read("attributes.js"));
    let choices = attributes.split("const CHOICES = {").nth(1).and_then(|rest| rest.split("};").next()).unwrap();
    for (name, list) in choices.lines().filter_map(|line| line.trim().split_once(": ")) {
        let words = quoted(list).iter().map(|word| format!("'{word}'")).collect::<Vec<_>>().join(" | ");
        assert!(types.contains(&format!("  {name}: {words};")), "{name}: {words}");
    }
    let class = element.split("extends HTMLElement {").nth(1).and_then(|rest| rest.split("\n}\n").next()).unwrap();
    let methods: Vec<&str> = class.lines().filter_map(public_method).collect();
    assert!(methods.len() >= 7, "{methods:?}");
    let told = told();
    for name in methods.into_iter().chain(told.iter().map(String::as_str)) {
        assert!(types.contains(name), "the types lack {name}");
    }
}

/// A public method stands two spaces deep in its class, without a mark.
fn public_method(line: &str) -> Option<&str> {
    let line = line.strip_prefix("  ")?.trim_start_matches("static ").trim_start_matches("async ");
    let (name, _) = line.split_once('(').filter(|_| line.ends_with('{'))?;
    let good = name.starts_with(|c: char| c.is_ascii_lowercase()) && name.chars().all(char::is_alphanumeric);
    (good && !name.ends_with("Callback")).then_some(name)
}

/// Two pages open with the same recordings; the page in one file takes those of the first.
#[test]
fn the_pages_of_the_demo_name_the_same_recordings() {
    let element = |name: &str| {
        let page = std::fs::read_to_string(root().join("www").join(name)).unwrap();
        let (_, rest) = page.split_once("<handpath-compare").unwrap();
        rest.split_once("</handpath-compare>").unwrap().0.to_owned()
    };
    assert!(element("index.html").matches("data-slot").count() > 3);
    assert_eq!(element("index.html"), element("together.html"));
}

/// Names of the events that the element's modules tell.
fn told() -> BTreeSet<String> {
    let names = ["handpath-compare.js", "comparing.js", "painting.js", "in-step.js"];
    let source = names.map(|name| std::fs::read_to_string(root().join("www").join(name)).unwrap()).concat();
    let after = |start: &str| {
        source.split(start).skip(1).filter_map(|rest| rest.split('\'').next().map(str::to_owned)).collect::<Vec<_>>()
    };
    [".tell('", "CustomEvent('"]
        .iter()
        .flat_map(|start| after(start))
        .filter(|name| name.starts_with("handpath-"))
        .collect()
}

#[test]
fn the_readme_lists_the_events_of_the_element() {
    let readme = std::fs::read_to_string(root().join("README.md")).unwrap();
    let listed = rows_below(&readme, "| event |").into_iter().map(|(name, _)| name.to_owned());
    let told = told();
    assert!(told.len() >= 5, "{told:?}");
    assert_eq!(listed.collect::<BTreeSet<_>>(), told);
}

/// The English sentences: those of the page, and those that come with parts that are loaded later.
fn catalogue() -> BTreeMap<String, String> {
    let mut all = BTreeMap::new();
    for name in [
        "www/text/en.json",
        "www/text/engine.en.json",
        "www/text/coach.en.json",
        "www/text/later.en.json",
        "src/inspect.en.json",
    ] {
        let text = std::fs::read_to_string(root().join(name)).unwrap();
        let keys: Vec<&str> =
            text.lines().filter_map(|line| line.trim().strip_prefix('"')?.split('"').next()).collect();
        assert!(keys.is_sorted(), "the keys of {name} are not sorted");
        let parsed: BTreeMap<String, String> = serde_json::from_str(&text).unwrap();
        assert_eq!(parsed.len(), keys.len(), "a key of {name} occurs twice");
        let before = all.len();
        all.extend(parsed);
        assert_eq!(all.len(), before + keys.len(), "a key of {name} stands in another catalogue too");
    }
    all
}

/// Code that speaks: the core, the commands, the page.
fn speaking() -> Vec<(PathBuf, String)> {
    let tests = root().join("tests");
    files(&["rs", "js", "html"]).into_iter().filter(|(path, _)| !path.starts_with(&tests)).collect()
}

/// String literals: text between two equal quotes on one line.
fn literals(text: &str) -> BTreeSet<&str> {
    let between = |quote: char| text.lines().flat_map(move |line| line.split(quote).skip(1));
    ['"', '\'', '`'].into_iter().flat_map(between).collect()
}

/// What is never claimed: that the path caused this flight, one cure for all, a normal range from a few references, that
/// injuries are prevented, distance gained, face or club path from hands alone.
const NEVER_CLAIMED: [&str; 27] = [
    "is why the ball",
    "caused the ball",
    "caused this",
    "causes the pull",
    "because of the hand path",
    "because of your hand path",
    "makes the ball start",
    "the path makes the ball",
    "cures",
    "will fix",
    "fixes the",
    "fix your",
    "guarantee",
    "always works",
    "works for every",
    "for every player",
    "normal range",
    "normal swing",
    "prevents injur",
    "prevent injur",
    "protects",
    "injury-free",
    "more distance",
    "longer drives",
    "yards",
    "the hands show the face",
    "the hands show the club path",
];

/// The same in the other languages.
const NEVER_CLAIMED_ELSEWHERE: [(&str, &[&str]); 2] = [
    (
        "de",
        &[
            "ist der grund, warum der ball",
            "wegen des handpfads",
            "verursacht den",
            "verursacht diesen",
            "heilt",
            "behebt",
            "garantiert",
            "hilft immer",
            "für jeden spieler",
            "normaler schwung",
            "normalbereich",
            "beugt verletzungen",
            "verhindert verletzungen",
            "schützt vor",
            "mehr länge",
            "längere drives",
        ],
    ),
    (
        "es",
        &[
            "es la causa de",
            "por culpa de la trayectoria",
            "causa el pull",
            "provoca el",
            "cura ",
            "corregirá el",
            "garantiza",
            "siempre funciona",
            "para todo jugador",
            "rango normal",
            "swing normal",
            "previene lesiones",
            "evita lesiones",
            "protege",
            "más distancia",
            "drives más largos",
        ],
    ),
];

#[test]
fn no_sentence_claims_what_is_never_claimed() {
    for (key, sentence) in catalogue() {
        let sentence = sentence.to_lowercase();
        for phrase in NEVER_CLAIMED {
            assert!(!sentence.contains(phrase), "{key} says \"{phrase}\"");
        }
    }
    for (language, phrases) in NEVER_CLAIMED_ELSEWHERE {
        for name in ["", "engine.", "coach.", "later."].map(|part| format!("{part}{language}.json")) {
            let text = std::fs::read_to_string(root().join("www/text").join(&name)).unwrap().to_lowercase();
            for phrase in phrases {
                assert!(!text.contains(phrase), "{name} says \"{phrase}\"");
            }
        }
    }
    // The files are counted, so that a new language asks for its own phrases.
    let all = std::fs::read_dir(root().join("www/text")).unwrap().count();
    assert_eq!(all, 4 + 4 * NEVER_CLAIMED_ELSEWHERE.len(), "a new catalogue needs the phrases of its language here");
}

fn is_key(word: &str) -> bool {
    let part =
        |part: &str| !part.is_empty() && part.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_');
    word.contains('.') && word.split('.').all(part)
}

/// The page makes some keys from documented words: `source.track_name` from "track name".
fn slug(words: &str) -> String {
    let letters = words.chars().map(|c| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { '_' });
    letters.collect::<String>().split('_').filter(|part| !part.is_empty()).collect::<Vec<_>>().join("_")
}

/// Starts of keys that code completes: `page.view_${name}`, `"instant.{name}"`, and `word('source', ...)`.
fn starts_of_keys(text: &str) -> Vec<String> {
    let cut = |quote: char, hole: &'static str| {
        let starts = text.split(quote).filter_map(move |piece| piece.split_once(hole).map(|(start, _)| start));
        starts.filter(|start| is_key(&format!("{start}x"))).map(str::to_owned)
    };
    let rooms = text.split("word('").skip(1).filter_map(|rest| Some(format!("{}.", rest.split('\'').next()?)));
    cut('`', "${").chain(cut('"', "{")).chain(rooms).collect()
}

#[test]
fn every_sentence_is_used() {
    let code = speaking();
    let words: BTreeSet<&str> = code.iter().flat_map(|(_, text)| literals(text)).collect();
    let slugs: BTreeSet<String> = words.iter().map(|word| slug(word)).collect();
    let starts: BTreeSet<String> = code.iter().flat_map(|(_, text)| starts_of_keys(text)).collect();
    for key in catalogue().keys() {
        assert!(is_key(key), "{key} is not written room.name");
        // One word, or two that the page puts together ("mirror true").
        let two = |rest: &str| {
            rest.match_indices('_').any(|(at, _)| slugs.contains(&rest[..at]) && slugs.contains(&rest[at + 1..]))
        };
        let known = |rest: &str| slugs.contains(&slug(rest)) || two(rest);
        let made = |start: &String| key.strip_prefix(start).is_some_and(known);
        let used = words.contains(key.as_str()) || starts.iter().any(made);
        assert!(used, "nothing says {key}");
    }
}

#[test]
fn everything_said_has_a_sentence() {
    let catalogue = catalogue();
    let mut checked = 0;
    for (path, text) in speaking() {
        for call in ["Message::new(\"", "english(\"", ".text('", ".message('"] {
            for key in
                text.split(call).skip(1).filter_map(|rest| rest.split(['"', '\'']).next()).filter(|key| is_key(key))
            {
                assert!(catalogue.contains_key(key), "{}: {key} has no sentence", path.display());
                checked += 1;
            }
        }
    }
    assert!(checked > 60, "only {checked} keys were looked at");
}

#[test]
fn no_file_names_a_machine() {
    for (path, text) in files(&["rs", "js", "html", "css", "json", "toml", "md", "py", "txt", "svg", "yml"]) {
        for prefix in PREFIXES_OF_MACHINES {
            assert!(!text.contains(prefix), "{} holds {prefix}", path.display());
        }
    }
}

/// wasm-bindgen and the library that reads what it left in the module speak a private format.
#[test]
fn the_bindings_have_one_version() {
    let lock = std::fs::read_to_string(root().join("Cargo.lock")).unwrap();
    let version = |name: &str| {
        let entry = lock.split(&format!("name = \"{name}\"\nversion = \"")).nth(1).unwrap();
        entry.split('"').next().unwrap().to_owned()
    };
    assert_eq!(version("wasm-bindgen"), version("wasm-bindgen-cli-support"));
}

/// The code with comments, strings and characters blanked, lines kept; rough, but enough to count braces.
fn blanked(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(c) = rest.chars().next() {
        let taken = skipped(rest).unwrap_or(0);
        if taken == 0 {
            out.push(c);
            rest = &rest[c.len_utf8()..];
        } else {
            out.extend(rest[..taken].chars().filter(|c| *c == '\n'));
            rest = &rest[taken..];
        }
    }
    out
}

/// Bytes of a comment, string or character that begins here.
fn skipped(rest: &str) -> Option<usize> {
    let until = |end: &str, from: usize| rest[from..].find(end).map(|at| from + at + end.len());
    if rest.starts_with("//") {
        return rest.find('\n').or(Some(rest.len()));
    }
    if rest.starts_with("/*") {
        return until("*/", 2);
    }
    if rest.starts_with("r#\"") {
        return until("\"#", 3);
    }
    if rest.starts_with('"') {
        return closed(rest, '"');
    }
    // A quote is a character only if it closes at once; else it is a lifetime.
    let character = rest.starts_with("'\\") || rest.starts_with('\'') && rest.chars().nth(2) == Some('\'');
    if character { closed(rest, '\'') } else { None }
}

fn closed(rest: &str, quote: char) -> Option<usize> {
    let mut escaped = false;
    for (at, c) in rest.char_indices().skip(1) {
        match (escaped, c) {
            (true, _) => escaped = false,
            (false, '\\') => escaped = true,
            (false, c) if c == quote => return Some(at + c.len_utf8()),
            _ => {}
        }
    }
    None
}

/// Lines and name of each function outside test modules.
fn functions(text: &str) -> Vec<(usize, String)> {
    let code = blanked(text);
    let code = code.split("#[cfg(test)]\nmod ").next().unwrap_or_default();
    let name = |rest: &str| rest.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect::<String>();
    let starts =
        code.match_indices("fn ").filter(|(at, _)| !code[..*at].ends_with(|c: char| c.is_alphanumeric() || c == '_'));
    starts
        .filter_map(|(at, _)| Some((length(&code[at..])?, name(&code[at + 3..]))))
        .filter(|(_, name)| !name.is_empty())
        .collect()
}

/// Lines from `fn` to the closing brace; `None` for a declaration without a body.
fn length(code: &str) -> Option<usize> {
    let mut round = 0_i32;
    let mut curly = 0_i32;
    for (at, c) in code.char_indices() {
        match c {
            '(' | '[' => round += 1,
            ')' | ']' => round -= 1,
            ';' if round == 0 && curly == 0 => return None,
            '{' => curly += 1,
            '}' if curly == 1 => return Some(code[..at].matches('\n').count() + 1),
            '}' => curly -= 1,
            _ => {}
        }
    }
    None
}

#[test]
fn functions_are_counted_as_they_stand() {
    let text = "/// fn in a comment {\nfn one() -> [u8; 2] { \"}\" ; '{' }\n\nimpl X<'a> {\n    fn two(&self)\n    where A: B\n    {\n        if x {\n        }\n    }\n    fn three(&self);\n}\n#[cfg(test)]\nmod tests {\n    fn four() {}\n}\n";
    assert_eq!(functions(text), [(1, "one".into()), (6, "two".into())]);
}

#[test]
fn functions_stay_short() {
    let code = files(&["rs"]).into_iter().filter(|(path, _)| {
        path.components().any(|part| part.as_os_str() == "src")
            && !path.ends_with("tests.rs")
            && !path.ends_with("brute.rs")
    });
    let mut lengths: Vec<(usize, String)> = code
        .flat_map(|(path, text)| {
            functions(&text).into_iter().map(move |(n, name)| (n, format!("{name} in {}", path.display())))
        })
        .collect();
    lengths.sort();
    let at = |share: f64| &lengths[((share * lengths.len() as f64) as usize).min(lengths.len() - 1)];
    assert!(lengths.len() > 300, "only {} functions were found", lengths.len());
    assert!(at(0.5).0 <= 8, "the median function has {:?} lines", at(0.5));
    assert!(at(0.99).0 <= 60, "1 % of the functions have more lines than {:?}", at(0.99));
    assert!(at(1.0).0 <= 100, "the longest function is {:?}", at(1.0));
}
