#!/usr/bin/env python3
"""Mutation testing: does some test fail for each small change of the code?

    run.py [--rooms journal,measure,tolerance] [--jobs 2] [--slowest 30] [--only FILE.rs]

All changes go into one build, each behind a switch (the crate beside this file), so that nothing is
built again. Each test is run once alone, to learn which changes it reaches; then each change is
turned on and the tests that reach it are run, the quick ones first, until one fails, or does not
end. What no test notices is listed. Everything is kept in target/mutants, where a run that was
stopped goes on. Tests that take longer than `--slowest` seconds are left out.
"""
import argparse, concurrent.futures, json, os, shutil, subprocess, sys, time

ROOT = os.path.abspath(os.path.join(os.path.dirname(__file__), "../.."))
WORK = os.path.join(ROOT, "target/mutants")
TREE = os.path.join(WORK, "tree")
SWITCH = '''//! Which change is on.
#![allow(missing_docs, clippy::all)]
use std::io::Write;
use std::sync::OnceLock;
use std::sync::atomic::{AtomicBool, Ordering};

static SEEN: [AtomicBool; 16384] = [const { AtomicBool::new(false) }; 16384];

pub fn on(number: u32) -> bool {
    static CHOSEN: OnceLock<(u32, Option<String>)> = OnceLock::new();
    let (chosen, told) = CHOSEN.get_or_init(|| {
        let number = std::env::var("FITLEDGER_MUTANT").ok().and_then(|text| text.parse().ok());
        (number.unwrap_or(0), std::env::var("FITLEDGER_REACHED").ok())
    });
    if let Some(path) = told
        && !SEEN[number as usize].swap(true, Ordering::Relaxed)
        && let Ok(mut file) = std::fs::OpenOptions::new().append(true).create(true).open(path)
    {
        let _ = file.write_all(format!("{number}\\n").as_bytes());
    }
    *chosen == number
}
'''


def cargo(*arguments, **more):
    environment = dict(os.environ, CARGO_TARGET_DIR=os.path.join(WORK, "build"), CARGO_TERM_COLOR="never",
                       RUSTFLAGS="--cap-lints warn", CARGO_PROFILE_DEV_OPT_LEVEL="1")
    return subprocess.run(["cargo", *arguments], cwd=more.pop("cwd", TREE), env=environment, text=True,
                          stdout=subprocess.PIPE, **more)


def sources(rooms):
    found = []
    for room in rooms:
        found.append(f"src/{room}.rs")
        for folder, _, names in os.walk(os.path.join(ROOT, "src", room)):
            found += [os.path.relpath(os.path.join(folder, name), ROOT) for name in names if name.endswith(".rs")]
    return sorted(found)


def make(rooms, without):
    """The tree with all changes but those; the list of them."""
    shutil.rmtree(TREE, ignore_errors=True)
    os.makedirs(TREE)
    for name in ("Cargo.toml", "Cargo.lock", "README.md", "DEVELOPERS.md", "src", "tests", "tolerances", "sessions",
                 "benches", ".ci", "LICENSE-MIT", "LICENSE-APACHE", "clippy.toml", "rustfmt.toml", "fuzz"):
        source = os.path.join(ROOT, name)
        if os.path.isdir(source):
            shutil.copytree(source, os.path.join(TREE, name), ignore=shutil.ignore_patterns("target", "corpus"))
        elif os.path.exists(source):
            shutil.copy2(source, TREE)
    with open(os.path.join(TREE, "src/mutant.rs"), "w", encoding="utf-8") as target:
        target.write(SWITCH)
    with open(os.path.join(TREE, "src/lib.rs"), "a", encoding="utf-8") as target:
        target.write("pub mod mutant;\n")
    left_out = os.path.join(WORK, "without")
    with open(left_out, "w", encoding="utf-8") as target:
        target.writelines(f"{one}\n" for one in sorted(without))
    written = cargo("run", "--release", "--quiet", "--manifest-path", os.path.join(ROOT, "fuzz/mutants/Cargo.toml"),
                    "--", "1", "--without", left_out, *sources(rooms), check=True, cwd=TREE)
    # The tool runs in the tree: its sources are those of the copy.
    rows = [line.split("\t") for line in written.stdout.splitlines()]
    return {int(row[0]): row[1:] for row in rows}


def switches_near(message):
    """The numbers on the lines that the compiler complains about."""
    numbers = set()
    for span in message["spans"]:
        if span["is_primary"] or not numbers:
            for text in span["text"]:
                rest = text["text"].split("mutant::on(")[1:]
                numbers |= {int(one.split(")")[0]) for one in rest}
    return numbers


def build(rooms):
    # What the compiler did not take before it will not take now.
    without, known = set(), os.path.join(WORK, "without")
    if os.path.exists(known):
        with open(known, encoding="ascii") as source:
            without = {int(line) for line in source}
    while True:
        changes = make(rooms, without)
        answer = cargo("test", "--no-default-features", "--lib", "--test", "logic", "--no-run", "--message-format=json")
        messages = [json.loads(line) for line in answer.stdout.splitlines() if line.startswith("{")]
        errors = [one["message"] for one in messages
                  if one["reason"] == "compiler-message" and one["message"]["level"] == "error"]
        if answer.returncode == 0:
            programs = {one["target"]["name"]: one["executable"] for one in messages
                        if one["reason"] == "compiler-artifact" and one.get("executable") and one["profile"]["test"]}
            print(f"{len(changes)} changes, {len(without)} not taken by the compiler", flush=True)
            return changes, programs
        more = set().union(*(switches_near(one) for one in errors if one["spans"])) - without
        if not more:
            sys.exit("\n".join(one["rendered"] or "" for one in errors[:5]) or "the build failed")
        without |= more
        print(f"the compiler does not take {len(more)} changes", flush=True)


def run(program, test, timeout, **environment):
    """Seconds, and whether it passed; none where it did not end."""
    started = time.monotonic()
    with subprocess.Popen([program, "--exact", test, "--test-threads=1"], cwd=TREE, stdout=subprocess.DEVNULL,
                          stderr=subprocess.DEVNULL, stdin=subprocess.DEVNULL, start_new_session=True,
                          env=dict(os.environ, RUST_BACKTRACE="0", CARGO_MANIFEST_DIR=TREE, **environment)) as process:
        try:
            passed = process.wait(timeout) == 0
        except subprocess.TimeoutExpired:
            passed = None
        try:
            os.killpg(process.pid, 9)
        except ProcessLookupError:
            pass
    return time.monotonic() - started, passed


def learn(programs, slowest, jobs):
    """Of each test: program, name, seconds, and what it reaches."""
    kept = os.path.join(WORK, "tests.json")
    if os.path.exists(kept):
        with open(kept, encoding="utf-8") as source:
            return json.load(source)
    tests = []
    for program in programs.values():
        listed = subprocess.run([program, "--list", "--format", "terse"], stdout=subprocess.PIPE, text=True, check=True)
        tests += [(program, line[:-6]) for line in listed.stdout.splitlines() if line.endswith(": test")]

    def one(number):
        program, test = tests[number]
        reached = os.path.join(WORK, f"reached.{number}")
        if os.path.exists(reached):
            os.remove(reached)
        seconds, passed = run(program, test, slowest, FITLEDGER_REACHED=reached)
        numbers = []
        if os.path.exists(reached):
            with open(reached, encoding="ascii") as source:
                numbers = sorted({int(line) for line in source if line.strip().isdigit()})
            os.remove(reached)
        return program, test, seconds, passed, numbers

    with concurrent.futures.ThreadPoolExecutor(jobs) as pool:
        found = list(pool.map(one, range(len(tests))))
    for _, test, seconds, passed, _ in found:
        if not passed:
            print(f"left out: {test} ({'failed' if passed is False else f'over {slowest} s'} after {seconds:.1f} s)")
    useful = [one for one in found if one[3] and one[4]]
    print(f"{len(found)} tests, {len(useful)} reach a change", flush=True)
    with open(kept, "w", encoding="utf-8") as target:
        json.dump(useful, target)
    return useful


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--rooms", default="journal,measure,tolerance")
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--slowest", type=float, default=30)
    parser.add_argument("--only", default="")
    asked = parser.parse_args()
    os.makedirs(WORK, exist_ok=True)
    state = os.path.join(WORK, "build.json")
    if os.path.exists(state):
        with open(state, encoding="utf-8") as source:
            changes, programs = json.load(source)
        changes = {int(number): row for number, row in changes.items()}
    else:
        changes, programs = build(asked.rooms.split(","))
        with open(state, "w", encoding="utf-8") as target:
            json.dump([changes, programs], target)
    tests = learn(programs, asked.slowest, asked.jobs)
    by_change = {}
    for program, test, seconds, _, numbers in tests:
        for number in numbers:
            by_change.setdefault(number, []).append((seconds, program, test))
    done_at = os.path.join(WORK, "done.jsonl")
    done = {}
    if os.path.exists(done_at):
        with open(done_at, encoding="utf-8") as source:
            done = {one["number"]: one for one in map(json.loads, source)}

    def one(number):
        reaching = sorted(by_change.get(number, []))
        for seconds, program, test in reaching:
            _, passed = run(program, test, 10 + 5 * seconds, FITLEDGER_MUTANT=str(number))
            if not passed:
                return number, test if passed is False else f"{test} (does not end)", len(reaching)
        return number, None, len(reaching)

    left = [number for number, row in changes.items() if number not in done and asked.only in row[0]]
    with concurrent.futures.ThreadPoolExecutor(asked.jobs) as pool, open(done_at, "a", encoding="utf-8") as target:
        for number, noticed, reaching in pool.map(one, left):
            done[number] = {"number": number, "noticed": noticed, "reaching": reaching}
            target.write(json.dumps(done[number]) + "\n")
            target.flush()
    survivors = [number for number, one in done.items() if one["noticed"] is None and asked.only in changes[number][0]]
    print(f"{len(done)} changes tried, {len(done) - len(survivors)} noticed, {len(survivors)} not noticed")
    for number in survivors:
        file, line, was, became = (changes[number] + [""] * 4)[:4]
        print(f"{file}:{line}: {was}  ->  {became or 'left out'}  ({done[number]['reaching']} tests reach it)")


main()
