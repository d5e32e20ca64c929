#!/usr/bin/env python3
"""Every bench in one run, as one table: what was measured, the goal, met or not.

    table.py [--only TEXT] [--window PROGRAM]

Runs each bench of `cargo bench` that has a goal, and the three scripts that put libraries for Python
beside the program. `--only` leaves out the rows whose name does not have TEXT in it. With `--window`
the real window is timed too, under Xvfb. Everything else on the machine should rest meanwhile.
Whole outputs are kept in `target/benches`. It fails when a goal is not met or a row is missing.
Needs Python with numpy, scipy, pandas and pyserial.
"""

import argparse, os, re, subprocess, sys

BENCH = "cargo bench --no-default-features --bench {}"
WINDOW_BENCH = "cargo bench --bench window_frame -- --noplot"
NUMBER = r"([0-9.]+)"
# Bench, its command, and of each row: name, pattern of what was measured, its unit, the goal.
BENCHES = {
    "durable_append": (BENCH.format("durable_append") + " -- --events 2000", [
        ("an event recorded / bare append and sync, median", rf"paired ratio: median {NUMBER}", "", 1.05),
        ("the same, its p99 / p99 of the bare one", rf"p99 / bare p99: {NUMBER}", "", 1.5),
    ]),
    "parse_readings": (BENCH.format("parse_readings") + " -- --noplot", [
        ("decoder / strict loop", rf"^line-free: .*paired ratio {NUMBER}", "", 2.0),
        ("decoder in columns / strict loop", rf"^columns: .*paired ratio {NUMBER}", "", 2.0),
        ("decoder, signs mixed / strict loop", rf"^line-free, signs mixed: .*paired ratio {NUMBER}", "", 2.0),
    ]),
    "limit_lookup": (BENCH.format("limit_lookup") + " -- --noplot", [
        ("class to limits / array and search", rf"^class to limits .*search +{NUMBER}", "", 3.0),
        ("text of two classes to limits", rf"^pair text to limits +{NUMBER}", "ns", 150),
        ("text of a thread to limits", rf"^thread callout text +{NUMBER}", "ns", 1000),
    ]),
    "verdict": (BENCH.format("verdict") + " -- --noplot", [
        ("verdict, wide tolerance", r"wide tolerance\s+time:\s+\[\S+ \S+ ([0-9.]+ \S+)", "ns", 250),
        ("verdict, narrow tolerance", r"narrow tolerance\s+time:\s+\[\S+ \S+ ([0-9.]+ \S+)", "ns", 250),
    ]),
    "journal_replay": (BENCH.format("journal_replay") + " -- --memory 32", [
        ("replay / least reader", rf"replay: .*; {NUMBER} \(", "", 1.25),
        ("replay of a million events, memory", rf"process of its own: {NUMBER} MiB", "MiB", 32),
    ]),
    "serial_to_verdict": (BENCH.format("serial_to_verdict"), [
        ("last byte to verdict, own share, p99", rf"own share, syncs excluded .*p99 +{NUMBER}", "us", 1000),
        ("last byte to recorded / its syncs alone, p99", rf"saved / its syncs alone, p99: {NUMBER}", "", 1.1),
    ]),
    "find_records": (BENCH.format("find_records"), [
        ("10,000 records opened", rf"open: median +{NUMBER} ms", "ms", 2000),
        ("10,000 records asked", rf"find .*: median +{NUMBER} ms", "ms", 50),
    ]),
    "report_pdf": (BENCH.format("report_pdf"), [
        ("report of 60 characteristics", rf"report of 60 characteristics: {NUMBER}", "ms", 500),
        ("report of 200 parts", rf"batch of 200 parts .*: {NUMBER} ms \(", "ms", 3000),
    ]),
    "state_copy": (BENCH.format("state_copy") + " -- --noplot", [
        ("state of a million readings copied", r"a million\D*?readings.*?time:\s+\[\S+ \S+ ([0-9.]+ \S+)", "us", 100),
    ]),
    "window_frame": (WINDOW_BENCH, [
        ("frame of the Bench / plain labels", rf"^frame of the Bench.*paired ratio {NUMBER}", "", 2.0),
        ("frame of the Bench, p99", rf"^frame of the Bench, 800.*p99 {NUMBER} ms", "ms", 16.7),
    ]),
    "session_stats": ("python3 benches/session_stats.py", [
        (f"{name.replace('_', ' ')} / numpy and scipy", rf"^{name} +[0-9.]+ +[0-9.]+ +{NUMBER}", "", goal)
        for name, goal in (("summary_and_capability", 0.6), ("quantiles", 0.5), ("mean_moving_range", 0.5),
                           ("anderson_darling", 0.4), ("shapiro_wilk", 0.6))
    ] + [("one more reading in the statistics", rf"^one more reading +{NUMBER} ns", "ns", 1000)]),
    "batch_pairing": ("python3 benches/batch_pairing.py", [
        ("2,000 pairs / scipy", rf"2000 shafts: library .*ratio {NUMBER}", "", 0.001),
        ("100,000 pairs", rf"100000 shafts: {NUMBER} ms", "ms", 50),
    ]),
    "anchors": ("python3 benches/anchors.py", [
        (name, rf"^{re.escape(name)}: .*; ratio {NUMBER}", "", goal)
        for name, goal in (("durable append / database", 0.60), ("parsing / pandas", 0.6),
                           ("parsing / readline and float", 0.1), ("reading a port / pyserial", 0.1),
                           ("replay / json and hashlib", 1 / 6))
    ] + [("a session of 1,000 events opened", rf"^a session of 1,000 events opened: {NUMBER} us", "us", 1000)]),
}
UNITS_NS = {"ps": 1e-3, "ns": 1.0, "µs": 1e3, "us": 1e3, "ms": 1e6, "s": 1e9}


def window_bench(program):
    return (f"python3 tests/window_under_xvfb.py {program} --times latency flood", [
        ("last byte to frame in a flood, p99, frames", rf"last byte to frame.*p99 .*?{NUMBER} frames", "", 2.0),
    ])


def measured(found, unit):
    """The largest of what was found, in the row's unit: every one of them has to be in time."""
    values = []
    for text in found:
        number, _, of = text.partition(" ")
        values.append(float(number) * (UNITS_NS[of] / UNITS_NS[unit] if of else 1.0))
    return max(values)


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--only", default="")
    parser.add_argument("--window")
    asked = parser.parse_args()
    if asked.window:
        BENCHES["window"] = window_bench(asked.window)
    os.makedirs("target/benches", exist_ok=True)
    table, good = [], True
    for bench, (command, rows) in BENCHES.items():
        rows = [row for row in rows if asked.only in row[0] or asked.only in bench]
        if not rows:
            continue
        print(f"... {command}", file=sys.stderr, flush=True)
        ran = subprocess.run(command.split(), stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)
        with open(f"target/benches/{bench}.txt", "w", encoding="utf-8") as kept:
            kept.write(ran.stdout)
        for name, pattern, unit, goal in rows:
            found = re.findall(pattern, ran.stdout, re.MULTILINE)
            if not found:
                table.append((name, "missing", f"{goal:.4g} {unit}", "not met", bench))
                good = False
                continue
            value = measured(found, unit)
            met = value <= goal
            good &= met
            table.append((name, f"{value:.4g} {unit}", f"{goal:.4g} {unit}", "met" if met else "not met", bench))
    print(f"load at the end {os.getloadavg()[0]:.1f}\n")
    print("| what | measured | goal | | bench |\n|---|---|---|---|---|")
    for row in table:
        print("| " + " | ".join(cell.strip() for cell in row) + " |")
    sys.exit(0 if good else "a goal is not met")


main()
