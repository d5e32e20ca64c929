//! The program at a terminal, and at a serial port: both played by pseudo-terminals.
#![cfg(unix)]

use std::fs::OpenOptions;
use std::io::{BufRead, BufReader, Read, Write};
use std::os::fd::AsRawFd;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use serde_json::Value;
use serialport::{SerialPort, TTYPort};

const PROGRAM: &str = env!("CARGO_BIN_EXE_fitledger");
const PATIENCE: Duration = Duration::from_secs(60);

/// Both ends of a pseudo-terminal: the far one, and the near one's path. Programs that are
/// started do not keep the far end open.
fn pseudo_terminal() -> (TTYPort, TTYPort) {
    let (far, near) = TTYPort::pair().unwrap();
    for fd in [far.as_raw_fd(), near.as_raw_fd()] {
        // SAFETY: the descriptors are open, and setting this flag touches no memory.
        #[allow(unsafe_code)]
        let answer = unsafe { libc::fcntl(fd, libc::F_SETFD, libc::FD_CLOEXEC) };
        assert_eq!(answer, 0);
    }
    (far, near)
}

/// What a person sees who runs the program at a terminal.
fn at_terminal(args: &[&str], env: &[(&str, &str)]) -> String {
    let (mut master, slave) = pseudo_terminal();
    let path = slave.name().unwrap();
    let open = || {
        OpenOptions::new()
            .read(true)
            .write(true)
            .open(&path)
            .unwrap()
    };
    let mut command = Command::new(PROGRAM);
    command
        .args(args)
        .current_dir(std::env::temp_dir())
        .env_remove("NO_COLOR")
        .env("TERM", "xterm-256color")
        .envs(env.iter().copied())
        .stdin(Stdio::null())
        .stdout(open())
        .stderr(open());
    let mut child = command.spawn().unwrap();
    drop(command); // it holds the terminal open
    let mut seen = Vec::new();
    let since = Instant::now();
    let mut ended = false;
    loop {
        let mut buffer = [0; 4096];
        match master.read(&mut buffer) {
            Ok(count) if count > 0 => seen.extend_from_slice(&buffer[..count]),
            _ if ended => break,
            _ => {}
        }
        ended = ended || child.try_wait().unwrap().is_some();
        assert!(since.elapsed() < PATIENCE, "it does not end");
    }
    String::from_utf8(seen).unwrap().replace("\r\n", "\n")
}

#[test]
fn a_terminal_gets_colour_behind_the_word_and_no_color_takes_only_the_colour() {
    for (value, word, colour) in [("20.009", "GO", "36"), ("20.020", "NO-GO", "166")] {
        let coloured = at_terminal(&["judge", "20 k6", value], &[]);
        let painted = format!("\u{1b}[30;48;5;{colour}m{word}\u{1b}[0m");
        assert!(coloured.contains(&painted), "{coloured:?}");
        let plain = at_terminal(&["judge", "20 k6", value], &[("NO_COLOR", "1")]);
        assert!(!plain.contains('\u{1b}'), "{plain:?}");
        assert_eq!(coloured.replace(&painted, word), plain);
        let dumb = at_terminal(&["judge", "20 k6", value], &[("TERM", "dumb")]);
        assert_eq!(dumb, plain);
    }
}

#[test]
fn json_at_a_terminal_is_not_coloured() {
    let seen = at_terminal(&["judge", "--json", "20 k6", "20.020"], &[]);
    let answer: Value = serde_json::from_str(seen.trim()).unwrap();
    assert_eq!(answer["verdict"], "NO-GO");
}

#[test]
fn a_fault_at_a_terminal_shows_the_callout_a_caret_and_the_suggestion() {
    let seen = at_terminal(&["limits", "25 H77"], &[]);
    assert!(seen.starts_with("25 H77\n    ^\n"), "{seen}");
    assert!(seen.ends_with("Did you mean H7?\n"), "{seen}");
}

/// A gauge at a port, and the program that listens to it.
struct Listening {
    gauge: TTYPort,
    child: Child,
    lines: BufReader<std::process::ChildStdout>,
}

impl Listening {
    fn start(adapter: &str, json: bool) -> Self {
        let (gauge, near) = pseudo_terminal();
        let source = format!("serial:{}", near.name().unwrap());
        drop(near); // a port is opened by one program only
        let mut command = Command::new(PROGRAM);
        command.args(["listen", "--gauge", &source, "--adapter", adapter]);
        if json {
            command.arg("--json");
        }
        let mut child = command
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        // It says so when it listens; what was sent before may be dropped.
        let mut messages = BufReader::new(child.stderr.take().unwrap());
        let mut message = String::new();
        while !message.starts_with("Listening at") {
            message.clear();
            assert_ne!(
                messages.read_line(&mut message).unwrap(),
                0,
                "it does not listen"
            );
        }
        // Further messages must not fill the pipe.
        std::thread::spawn(move || std::io::copy(&mut messages, &mut std::io::sink()));
        let lines = BufReader::new(child.stdout.take().unwrap());
        Self {
            gauge,
            child,
            lines,
        }
    }

    fn line(&mut self) -> String {
        let mut line = String::new();
        self.lines.read_line(&mut line).unwrap();
        line
    }

    /// The next event; pieces of bytes are put together beside it.
    fn event(&mut self) -> (String, Value) {
        let mut bytes = Vec::new();
        loop {
            let line: Value = serde_json::from_str(&self.line()).unwrap();
            match line.get("bytes") {
                Some(piece) => bytes.push(piece.as_str().unwrap().to_owned()),
                None => return (bytes.join(" "), line),
            }
        }
    }

    /// Ctrl-C, the rest of the lines, and the exit code.
    fn interrupt(mut self) -> (String, Option<i32>) {
        let id = self.child.id().to_string();
        let sent = Command::new("kill").args(["-INT", &id]).status().unwrap();
        assert!(sent.success());
        let mut rest = String::new();
        self.lines.read_to_string(&mut rest).unwrap();
        let since = Instant::now();
        loop {
            if let Some(status) = self.child.try_wait().unwrap() {
                return (rest, status.code());
            }
            assert!(since.elapsed() < PATIENCE, "it does not end");
            std::thread::sleep(Duration::from_millis(10));
        }
    }
}

#[test]
fn listening_tells_the_bytes_and_what_they_say_until_ctrl_c() {
    let mut bench = Listening::start("line-free", true);
    bench.gauge.write_all(b"+12.345 mm\r\n").unwrap();
    let (bytes, event) = bench.event();
    assert!(
        bytes.starts_with("2b 31 32 2e 33 34 35 20 6d 6d 0d"),
        "{bytes}"
    );
    let expected = serde_json::json!({"reading": {
        "value": "12.345", "sign": "+", "unit": "mm", "id": null, "status": "ok"
    }});
    assert_eq!(event, expected);
    bench.gauge.write_all(b"1..2\r").unwrap();
    let (_, event) = bench.event();
    assert_eq!(event["error"], "malformed");
    // An unfinished frame is told when listening ends, never read.
    bench.gauge.write_all(b"7.5").unwrap();
    let mut bytes = String::new();
    while !bytes.ends_with("37 2e 35\"}\n") {
        bytes = bench.line();
        assert!(bytes.contains("bytes"), "{bytes}");
    }
    let (rest, code) = bench.interrupt();
    assert!(
        rest.contains("\"truncated\"") && !rest.contains("reading"),
        "{rest}"
    );
    assert_eq!(code, Some(0));
}

#[test]
fn people_see_bytes_as_digits_and_as_characters() {
    let mut bench = Listening::start("line-free", false);
    bench.gauge.write_all(b"1.5\r").unwrap();
    let mut shown = String::new();
    while !shown.contains("reading") {
        shown.push_str(&bench.line());
    }
    assert!(
        shown.contains("31 2e 35 0d") && shown.contains("1.5."),
        "{shown}"
    );
    assert!(shown.contains("reading  1.5  mm  ok"), "{shown}");
    assert_eq!(bench.interrupt().1, Some(0));
}

#[test]
fn a_port_that_is_pulled_or_not_there_is_the_outside_world() {
    let mut bench = Listening::start("line-free", true);
    drop(std::mem::replace(
        &mut bench.gauge,
        TTYPort::pair().unwrap().0,
    ));
    let mut rest = String::new();
    bench.lines.read_to_string(&mut rest).unwrap();
    let told: Value = serde_json::from_str(rest.trim()).unwrap();
    assert_eq!(told["error"]["code"], "port_gone");
    assert_eq!(bench.child.wait().unwrap().code(), Some(3));
    let output = Command::new(PROGRAM)
        .args(["listen", "--json", "--gauge", "serial:/nowhere/at/all"])
        .output()
        .unwrap();
    let told: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(told["input"], "serial:/nowhere/at/all");
    assert_eq!(told["error"]["code"], "port_not_found");
    assert!(
        !told["error"]["message"].as_str().unwrap().contains("Plug"),
        "{told}"
    );
    assert_eq!(output.status.code(), Some(3));
}

#[test]
fn what_is_no_port_cannot_be_listened_to() {
    for (gauge, adapter, code) in [
        ("typed", "line-free", "bad_source"),
        ("serial:", "line-free", "bad_source"),
        ("serial:/dev/null", "wedge", "adapter_has_no_line"),
        ("serial:/dev/null", "line-free", "port_not_serial"),
        ("serial:/dev/null", "nothing", "unknown_adapter"),
    ] {
        let output = Command::new(PROGRAM)
            .args(["listen", "--json", "--gauge", gauge, "--adapter", adapter])
            .output()
            .unwrap();
        let told: Value = serde_json::from_slice(&output.stdout).unwrap();
        assert_eq!(told["error"]["code"], code, "{told}");
        assert_eq!(output.status.code(), Some(2), "{told}");
    }
}

/// A gauge that sends only when asked, described in a file: `?` asks.
#[test]
fn a_gauge_that_must_be_asked_is_asked_and_asked_again() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("asked.toml");
    std::fs::write(
        &file,
        "line = { baud = 9600, data_bits = 8, parity = \"none\", stop_bits = 1 }\n\
         trigger = { kind = \"request\", send_hex = \"3f\" }\n\
         frame = { kind = \"terminated\", terminator = \"cr\", max_bytes = 20 }\n\
         fields = { kind = \"pattern\", pattern = \"(?P<num>[0-9]+\\\\.[0-9]+)\" }\n\
         number = { decimals = 1 }\n\
         unit = { rule = \"fixed\", value = \"mm\" }\n",
    )
    .unwrap();
    let mut bench = Listening::start(file.to_str().unwrap(), true);
    for value in ["1.5", "2.5"] {
        let mut asked = [0];
        let since = Instant::now();
        while bench.gauge.read(&mut asked).unwrap_or(0) == 0 {
            assert!(since.elapsed() < PATIENCE, "it does not ask");
        }
        assert_eq!(&asked, b"?");
        bench
            .gauge
            .write_all(format!("{value}\r").as_bytes())
            .unwrap();
        assert_eq!(bench.event().1["reading"]["value"], value);
    }
    assert_eq!(bench.interrupt().1, Some(0));
}

#[test]
fn the_ports_are_listed_with_json_and_without() {
    let output = Command::new(PROGRAM)
        .args(["ports", "--json"])
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(0));
    for line in String::from_utf8(output.stdout).unwrap().lines() {
        let port: Value = serde_json::from_str(line).unwrap();
        assert!(
            port["port"].is_string() && port.get("usb").is_some(),
            "{port}"
        );
        let access = port["access"].as_str().unwrap();
        assert!(["free", "busy", "not_permitted"].contains(&access));
    }
    let output = Command::new(PROGRAM).arg("ports").output().unwrap();
    assert_eq!(output.status.code(), Some(0));
    assert!(!output.stdout.is_empty() || !output.stderr.is_empty());
}
