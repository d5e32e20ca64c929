//! The program as scripts see it: arguments and standard input in, output and exit code out.

use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use serde_json::Value;
use tempfile::TempDir;

const PROGRAM: &str = env!("CARGO_BIN_EXE_fitledger");

/// A workspace of its own, and the program in it.
struct Bench {
    folder: TempDir,
}

impl Bench {
    fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        fs::create_dir(folder.path().join("sessions")).unwrap();
        Self { folder }
    }

    fn write(&self, name: &str, text: &str) {
        let path = self.folder.path().join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, text).unwrap();
    }

    /// The program, without what the environment of the test says.
    fn command(&self, program: impl AsRef<Path>) -> Command {
        let mut command = Command::new(program.as_ref());
        command
            .current_dir(self.folder.path())
            .env_remove("FITLEDGER_WORKSPACE")
            .env_remove("NO_COLOR")
            .env_remove("COLUMNS")
            .env("HOME", self.folder.path());
        command
    }

    fn run(&self, args: &[&str], stdin: &[u8]) -> Output {
        let mut command = self.command(PROGRAM);
        command.args(args);
        fed(command, stdin)
    }

    /// A line of a shell, with the program in its path.
    fn shell(&self, line: &str) -> Output {
        let mut command = self.command("sh");
        let folder = Path::new(PROGRAM).parent().unwrap();
        let path = std::env::var_os("PATH").unwrap();
        let mut paths = vec![folder.to_path_buf()];
        paths.extend(std::env::split_paths(&path));
        command
            .args(["-c", line])
            .env("PATH", std::env::join_paths(paths).unwrap());
        fed(command, b"")
    }
}

/// Runs it with those bytes as its standard input.
fn fed(mut command: Command, stdin: &[u8]) -> Output {
    let mut child = command
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut pipe = child.stdin.take().unwrap();
    let bytes = stdin.to_vec();
    let feeder = std::thread::spawn(move || {
        // The program may end before it has read everything.
        drop(pipe.write_all(&bytes));
    });
    let output = child.wait_with_output().unwrap();
    feeder.join().unwrap();
    output
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

fn folder(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests")
        .join(name)
}

/// Whether everything that is expected is there; `near` is the allowed difference of numbers.
fn holds(found: &Value, expected: &Value, near: f64) -> bool {
    match (found, expected) {
        (Value::Object(found), Value::Object(expected)) => expected.iter().all(|(key, value)| {
            found
                .get(key)
                .is_some_and(|found| holds(found, value, near))
        }),
        (Value::Array(found), Value::Array(expected)) => {
            found.len() == expected.len()
                && found.iter().zip(expected).all(|(f, e)| holds(f, e, near))
        }
        (Value::Number(found), Value::Number(expected)) => {
            let difference = found.as_f64().unwrap() - expected.as_f64().unwrap();
            difference.abs() <= near
        }
        _ => found == expected,
    }
}

/// The keys of an object in the order of its text; `serde_json` would sort them.
fn keys_in_order(line: &str) -> Vec<String> {
    let mut keys = Vec::new();
    let (mut depth, mut in_text, mut escaped) = (0, false, false);
    let (mut word, mut last_word) = (String::new(), String::new());
    for c in line.chars() {
        match c {
            _ if escaped => escaped = false,
            '\\' if in_text => escaped = true,
            '"' => {
                in_text = !in_text;
                if in_text {
                    word.clear();
                } else {
                    last_word = word.clone();
                }
            }
            _ if in_text => word.push(c),
            '{' | '[' => depth += 1,
            '}' | ']' => depth -= 1,
            ':' if depth == 1 => keys.push(last_word.clone()),
            _ => {}
        }
    }
    keys
}

fn strings<'t>(case: &'t toml::Table, key: &str) -> Vec<&'t str> {
    let list = case
        .get(key)
        .map(|list| list.as_array().unwrap().as_slice());
    list.unwrap_or_default()
        .iter()
        .map(|text| text.as_str().unwrap())
        .collect()
}

fn fixture<'t>(case: &'t toml::Table, key: &str) -> Option<&'t str> {
    case.get(key).map(|text| text.as_str().unwrap())
}

fn unhex(text: &str) -> Vec<u8> {
    let digits: String = text.split_whitespace().collect();
    (0..digits.len())
        .step_by(2)
        .map(|at| u8::from_str_radix(&digits[at..at + 2], 16).unwrap())
        .collect()
}

const KNOWN_KEYS: [&str; 16] = [
    "name",
    "source",
    "args",
    "stdin",
    "stdin_hex",
    "exit",
    "json",
    "keys",
    "error_keys",
    "near",
    "stdout",
    "stdout_has",
    "stderr",
    "stderr_has",
    "files",
    "env",
];

fn check(place: &str, case: &toml::Table) {
    for key in case.keys() {
        assert!(
            KNOWN_KEYS.contains(&key.as_str()),
            "{place}: unknown key {key}"
        );
    }
    assert!(
        !case["source"].as_str().unwrap().is_empty(),
        "{place}: no source"
    );
    let bench = Bench::new();
    for (name, content) in case
        .get("files")
        .and_then(|files| files.as_table())
        .into_iter()
        .flatten()
    {
        bench.write(name, content.as_str().unwrap());
    }
    let stdin = match (case.get("stdin"), case.get("stdin_hex")) {
        (Some(_), None) => fixture(case, "stdin").unwrap().as_bytes().to_vec(),
        (None, Some(hex)) => unhex(hex.as_str().unwrap()),
        _ => Vec::new(),
    };
    let mut command = bench.command(PROGRAM);
    command.args(strings(case, "args"));
    for (name, value) in case
        .get("env")
        .and_then(|env| env.as_table())
        .into_iter()
        .flatten()
    {
        command.env(name, value.as_str().unwrap());
    }
    let output = fed(command, &stdin);
    let (stdout, stderr) = (text(&output.stdout), text(&output.stderr));
    let told = format!("{place}\nstdout:\n{stdout}\nstderr:\n{stderr}");
    let exit = case
        .get("exit")
        .map_or(0, |exit| exit.as_integer().unwrap());
    assert_eq!(output.status.code().map(i64::from), Some(exit), "{told}");
    if let Some(expected) = fixture(case, "stdout") {
        assert_eq!(stdout, expected, "{told}");
    }
    if let Some(expected) = fixture(case, "stderr") {
        assert_eq!(stderr, expected, "{told}");
    }
    for piece in strings(case, "stdout_has") {
        assert!(stdout.contains(piece), "no “{piece}” in\n{told}");
    }
    for piece in strings(case, "stderr_has") {
        assert!(stderr.contains(piece), "no “{piece}” in\n{told}");
    }
    check_json(case, &stdout, &told);
}

fn check_json(case: &toml::Table, stdout: &str, told: &str) {
    let expected = strings(case, "json");
    let lines: Vec<&str> = stdout.lines().collect();
    if strings(case, "args").contains(&"--json") {
        for line in &lines {
            assert!(
                serde_json::from_str::<Value>(line).unwrap().is_object(),
                "{told}"
            );
        }
    }
    if !expected.is_empty() {
        assert_eq!(lines.len(), expected.len(), "{told}");
        assert!(stdout.ends_with('\n'), "{told}");
    }
    let near = case
        .get("near")
        .map_or(0.0, |near| near.as_float().unwrap());
    for (line, expected) in lines.iter().zip(expected) {
        let found: Value = serde_json::from_str(line).unwrap();
        let wanted: Value = serde_json::from_str(expected).unwrap();
        assert!(
            holds(&found, &wanted, near),
            "{expected}\nis not in\n{line}\n{told}"
        );
    }
    let keys = strings(case, "keys");
    if !keys.is_empty() {
        assert_eq!(keys_in_order(lines[0]), keys, "{told}");
    }
    let keys = strings(case, "error_keys");
    if !keys.is_empty() {
        let body = lines[0].split_once("\"error\":").unwrap().1;
        assert_eq!(keys_in_order(body), keys, "{told}");
    }
}

#[test]
fn every_case_of_the_fixtures_answers_as_expected() {
    let mut cases = 0;
    let mut failed = Vec::new();
    let mut paths: Vec<PathBuf> = fs::read_dir(folder("command"))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    paths.sort();
    for path in paths {
        let file: toml::Table = fs::read_to_string(&path).unwrap().parse().unwrap();
        for case in file["case"].as_array().unwrap() {
            let case = case.as_table().unwrap();
            let file_name = path.file_name().unwrap().to_string_lossy();
            let place = format!("{file_name}: {}", case["name"].as_str().unwrap());
            // Every case is tried, so that one run tells all that is wrong.
            if std::panic::catch_unwind(|| check(&place, case)).is_err() {
                failed.push(place);
            }
            cases += 1;
        }
    }
    assert!(failed.is_empty(), "failed:\n{}", failed.join("\n"));
    assert!(cases >= 60, "only {cases} cases");
}

/// The wire corpus through the command: one run for each adapter, one line for each case.
#[test]
fn the_whole_wire_corpus_decodes_through_the_command() {
    let corpus = fs::read_to_string(folder("frames").join("corpus.jsonl")).unwrap();
    let cases: Vec<Value> = corpus
        .lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect();
    let mut profiles: Vec<&str> = cases
        .iter()
        .map(|case| case["profile"].as_str().unwrap())
        .collect();
    profiles.sort_unstable();
    profiles.dedup();
    let bench = Bench::new();
    let mut told = 0;
    for profile in profiles {
        let own: Vec<&Value> = cases
            .iter()
            .filter(|case| case["profile"] == profile)
            .collect();
        let lines: Vec<String> = own
            .iter()
            .map(|case| {
                let chunks = case["chunks_hex"].as_array().unwrap();
                chunks
                    .iter()
                    .map(|chunk| chunk.as_str().unwrap())
                    .collect::<Vec<_>>()
                    .join(" ")
            })
            .collect();
        let input = lines.join("\n") + "\n";
        let output = bench.run(
            &["decode", "--json", "--adapter", profile],
            input.as_bytes(),
        );
        assert_eq!(
            output.status.code(),
            Some(0),
            "{profile}: {}",
            text(&output.stderr)
        );
        let stdout = text(&output.stdout);
        assert_eq!(stdout.lines().count(), own.len(), "{profile}");
        for ((case, line), answer) in own.iter().zip(&lines).zip(stdout.lines()) {
            let answer: Value = serde_json::from_str(answer).unwrap();
            let name = &case["case"];
            assert_eq!(answer["hex"], line.trim(), "{name}");
            let events = answer["events"].as_array().unwrap();
            assert_events(case, events);
            told += 1;
        }
    }
    assert_eq!(told, 262);
}

fn assert_events(case: &Value, events: &[Value]) {
    let name = &case["case"];
    let (expected, exact) = (case["events"].as_array().unwrap(), &case["exact_errors"]);
    if exact == true {
        assert_eq!(events.len(), expected.len(), "{name}: {events:?}");
        for (found, expected) in events.iter().zip(expected) {
            // The corpus has no offsets; everything else must be the same, nothing more.
            let mut found = found.clone();
            if found.get("error").is_some() {
                assert!(
                    found
                        .as_object_mut()
                        .unwrap()
                        .remove("offset")
                        .unwrap()
                        .is_u64()
                );
            }
            assert_eq!(&found, expected, "{name}");
        }
    } else {
        assert!(!events.is_empty(), "{name}");
        assert!(
            events.iter().all(|event| event.get("error").is_some()),
            "{name}: {events:?}"
        );
    }
}

#[test]
fn each_answer_comes_before_the_next_line_is_asked() {
    let bench = Bench::new();
    let mut child = bench
        .command(PROGRAM)
        .args(["limits", "--json", "-"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut stdin = child.stdin.take().unwrap();
    let mut stdout = BufReader::new(child.stdout.take().unwrap());
    for callout in ["25 H7", "20 k6", "nothing"] {
        writeln!(stdin, "{callout}").unwrap();
        let mut line = String::new();
        stdout.read_line(&mut line).unwrap();
        assert!(line.contains(callout), "{line}");
    }
    drop(stdin);
    let mut rest = String::new();
    stdout.read_to_string(&mut rest).unwrap();
    assert_eq!(rest, "");
    assert_eq!(child.wait().unwrap().code(), Some(2));
}

#[test]
fn a_reader_that_goes_away_ends_the_program_quietly() {
    let bench = Bench::new();
    let lines = 200_000;
    let output = bench.shell(&format!(
        "(yes '25 H7' | head -{lines} | fitledger limits --json -; echo $? >&2) | head -1"
    ));
    assert!(text(&output.stdout).starts_with("{\"callout\":\"25 H7\""));
    assert_eq!(text(&output.stdout).lines().count(), 1);
    assert_eq!(text(&output.stderr), "0\n");
    let output = bench.shell("(fitledger completions bash; echo $? >&2) | true");
    assert_eq!(text(&output.stderr), "0\n");
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_told_and_ends_with_three() {
    let bench = Bench::new();
    let output = bench.shell("fitledger limits --json '25 H7' > /dev/full; echo $?");
    assert_eq!(text(&output.stdout), "3\n");
    assert!(text(&output.stderr).contains("could not be written"));
}

#[cfg(unix)]
#[test]
fn a_file_that_may_not_grow_is_told_and_does_not_kill_the_program() {
    let bench = Bench::new();
    // One block of 512 bytes (1024 in some shells); the answers need far more.
    let output = bench
        .shell("ulimit -f 1; yes '25 H7' | head -100 | fitledger limits --json - > out; echo $?");
    assert_eq!(text(&output.stdout), "3\n");
    assert!(text(&output.stderr).contains("could not be written"));
}

#[test]
fn what_is_not_a_terminal_gets_no_colour_and_json_is_the_same_everywhere() {
    let bench = Bench::new();
    for no_colour in [false, true] {
        for args in [
            &["judge", "20 k6", "20.009"][..],
            &["judge", "20 k6", "25"],
            &["judge", "--json", "20 k6", "25"],
            &["limits", "25 H7", "25 H77"],
            &["--help"],
            &["nonsense"],
        ] {
            let mut command = bench.command(PROGRAM);
            command.args(args).env("TERM", "xterm-256color");
            if no_colour {
                command.env("NO_COLOR", "1");
            }
            let output = fed(command, b"");
            assert!(!output.stdout.contains(&0x1b), "{args:?}");
            assert!(!output.stderr.contains(&0x1b), "{args:?}");
        }
    }
}

#[test]
fn human_output_keeps_within_the_width() {
    let bench = Bench::new();
    for width in [30_usize, 60, 80, 200] {
        for args in [
            &["limits", "25 H7", "25 H7/p6", "0.5in ±0.001"][..],
            &["judge", "25 H7", "25.019", "--uncertainty", "0.004"],
            &["limits", "M10-6H", "25 H7", "M10x1.1-6g"],
            &["limits", "M10-6g", "--making"],
            &["plugs", "M20x2-6H/6g"],
            &["wires", "M10-6g", "M16xPh4.5P1.5-6g"],
        ] {
            let mut command = bench.command(PROGRAM);
            command.args(args).env("COLUMNS", width.to_string());
            let stdout = text(&fed(command, b"").stdout);
            let widest = stdout
                .lines()
                .map(|line| line.chars().count())
                .max()
                .unwrap();
            assert!(widest <= width, "{widest} of {width} columns:\n{stdout}");
            let callout = args[1].split([' ', '-']).next().unwrap();
            assert!(stdout.contains(callout));
        }
    }
    let mut command = bench.command(PROGRAM);
    command.args(["limits", "25 H7", "25 H7/p6", "0.5in ±0.001"]);
    let stdout = text(&fed(command, b"").stdout);
    assert!(
        stdout.lines().all(|line| line.chars().count() <= 80),
        "{stdout}"
    );
}

/// A line longer than any item is refused in its place, whatever its bytes are.
#[test]
fn an_endless_line_is_refused_in_bounded_memory_and_the_rest_goes_on() {
    let bench = Bench::new();
    let mut input = vec![b'9'; 8 * 1024 * 1024];
    input.extend(b"\n25 H7\n");
    let output = bench.run(&["limits", "--json", "-"], &input);
    let stdout = text(&output.stdout);
    let lines: Vec<&str> = stdout.lines().collect();
    assert_eq!(lines.len(), 2);
    let first: Value = serde_json::from_str(lines[0]).unwrap();
    assert_eq!(first["error"]["code"], "line_too_long");
    assert!(first["input"].as_str().unwrap().len() < 200);
    assert!(lines[1].starts_with("{\"callout\":\"25 H7\""));
    assert_eq!(output.status.code(), Some(2));
}

/// As many parts and operators as readings: the places that are missing are not made room for.
#[cfg(unix)]
#[test]
fn a_study_in_which_nobody_reads_the_same_part_is_refused_in_bounded_memory() {
    let bench = Bench::new();
    let rows: String = (0..100_000).map(|at| format!("p{at},o{at},1\n")).collect();
    bench.write("study.csv", &format!("part,operator,value\n{rows}"));
    let line = "ulimit -v 4000000; exec fitledger gauge-study --json < study.csv";
    let output = bench.shell(line);
    let answer: Value = serde_json::from_slice(&output.stdout)
        .unwrap_or_else(|_| panic!("{}", text(&output.stderr)));
    assert_eq!(answer["error"]["code"], "reading_missing");
    let message = answer["error"]["message"].as_str().unwrap();
    assert!(message.starts_with("There are 100000 parts and 100000 operators"));
    assert_eq!(output.status.code(), Some(2));
}

#[test]
fn the_workspace_is_the_option_then_the_environment_then_the_folder() {
    const GAUGE: &str =
        "[[gauge]]\nid = \"G\"\nkind = \"outside_micrometer\"\nrange = [0, 25]\nmpe = ";
    let bench = Bench::new();
    bench.write("gauges.toml", &format!("{GAUGE}0.003\n"));
    bench.write("env/gauges.toml", &format!("{GAUGE}0.006\n"));
    bench.write("option/gauges.toml", &format!("{GAUGE}0.009\n"));
    let why = |args: &[&str], env: Option<&str>| {
        let mut command = bench.command(PROGRAM);
        command
            .args(["judge", "--json", "20 k6", "20.009", "--gauge", "G"])
            .args(args);
        if let Some(folder) = env {
            command.env("FITLEDGER_WORKSPACE", folder);
        }
        text(&fed(command, b"").stdout)
    };
    assert!(why(&[], None).contains("error 0.003 mm"));
    assert!(why(&[], Some("env")).contains("error 0.006 mm"));
    assert!(why(&["--workspace", "option"], Some("env")).contains("error 0.009 mm"));
    assert!(why(&[], Some("")).contains("error 0.003 mm"));
}

/// The commands whose help has examples.
const COMMANDS: [&str; 8] = [
    "limits", "judge", "fit", "wires", "plugs", "decode", "inspect", "listen",
];
/// What an example needs that is not here: a port, or an unfinished session.
const NEEDS_MORE: [&str; 2] = ["serial:", "--continue"];

#[test]
fn the_examples_of_the_help_all_run() {
    let bench = Bench::new();
    bench.write(
        "gauges.toml",
        "[[gauge]]\nid = \"mic-25\"\nkind = \"outside_micrometer\"\nrange = [0, 25]\nmpe = 0.004\n",
    );
    let mut ran = 0;
    for command in COMMANDS {
        let help = text(&bench.run(&[command, "--help"], b"").stdout);
        let examples = help.split_once("Examples:\n").unwrap().1;
        let examples = examples.lines().take_while(|line| line.starts_with("  "));
        let needs_more = |line: &&str| NEEDS_MORE.iter().any(|need| line.contains(need));
        for example in examples.filter(|line| !needs_more(line)) {
            let output = bench.shell(example.trim());
            let code = output.status.code();
            assert!(
                matches!(code, Some(0 | 1)),
                "{example}: {}",
                text(&output.stderr)
            );
            assert!(!output.stdout.is_empty(), "{example}");
            ran += 1;
        }
    }
    assert!(ran >= 25, "only {ran} examples");
}

/// Each command and each of its long options, as its help tells them, stands in its manual page.
#[test]
fn every_command_has_a_manual_page_with_all_its_options() {
    let bench = Bench::new();
    let page = |about: &[&str]| {
        let output = bench.run(&[&["manual"], about].concat(), b"");
        assert_eq!(output.status.code(), Some(0), "{about:?}");
        assert_eq!(text(&output.stderr), "");
        // A hyphen is escaped in the language of the pages.
        text(&output.stdout).replace("\\-", "-")
    };
    let whole = page(&[]);
    assert!(whole.contains(".TH fitledger 1"), "{whole}");
    let help = text(&bench.run(&["--help"], b"").stdout);
    let list = help.split("Commands:\n").nth(1).unwrap();
    let list = list.split("\n\n").next().unwrap();
    let names: Vec<&str> = list
        .lines()
        .filter_map(|line| {
            line.strip_prefix("  ")
                .filter(|rest| !rest.starts_with(' '))
        })
        .filter_map(|line| line.split(' ').next())
        .collect();
    assert!(names.len() > 30, "{names:?}");
    for name in names {
        assert!(whole.contains(&format!("fitledger-{name}(1)")), "{name}");
        let page = page(&[name]);
        assert!(page.contains(&format!(".TH fitledger-{name} 1")), "{page}");
        assert!(page.contains(&format!("fitledger {name}")), "{page}");
        let help = text(&bench.run(&[name, "--help"], b"").stdout);
        let options = help
            .lines()
            .filter_map(|line| line.trim_start().strip_prefix("--"));
        for option in options {
            let end = option.find(|letter: char| !letter.is_ascii_lowercase() && letter != '-');
            let option = format!("--{}", &option[..end.unwrap_or(option.len())]);
            assert!(page.contains(&option), "{name}: {option}");
        }
    }
    let output = bench.run(&["manual", "polish"], b"");
    assert_eq!(output.status.code(), Some(2));
    assert!(text(&output.stderr).contains("No command is called \"polish\""));
}
