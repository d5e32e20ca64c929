#!/usr/bin/env python3
"""Statistics over a million values: numpy and scipy beside Fitledger, in turns, in one run.

    session_stats.py [BENCH] [TURNS]     BENCH: the built bench `session_stats` (built when missing)

Each turn times one operation of the library and then the same one of the project, which runs as
`session_stats serve FILE` on the same values. The median of the paired ratios is judged against the
goal, and the results against the library's. It fails when a goal is missed or a result differs.
Needs Python with numpy and scipy.
"""

import json, os, subprocess, sys, tempfile, time, warnings

import numpy as np
import scipy
from scipy import stats

COUNT = 1_000_000
SHARES = [0.00135, 0.25, 0.5, 0.75, 0.99865]
LOWER, UPPER = 9.98, 10.02
SHAPIRO_COUNT = 5000


def summary_and_capability(x):
    mean, deviation = np.mean(x), np.std(x, ddof=1)
    cp = (UPPER - LOWER) / (6 * deviation)
    cpk = min(UPPER - mean, mean - LOWER) / (3 * deviation)
    return [mean, deviation, np.min(x), np.max(x), cp, cpk]


def anderson_darling(x):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return [stats.anderson(x).statistic]


# Name, how the library does it, goal (project / library), how far results may differ, relative.
ROWS = [
    ("summary_and_capability", summary_and_capability, 0.6, 1e-12),
    ("quantiles", lambda x: list(np.quantile(x, SHARES)), 0.5, 1e-12),
    ("mean_moving_range", lambda x: [np.mean(np.abs(np.diff(x)))], 0.5, 1e-12),
    ("anderson_darling", anderson_darling, 0.4, 1e-9 * max(1, COUNT / 1e4)),
    ("shapiro_wilk", lambda x: list(stats.shapiro(x[:SHAPIRO_COUNT])), 0.6, 1e-9),
]
# One reading more: sums, signals, chart limits, capability. Judged as it is, in nanoseconds.
INCREMENTAL_NS_MAX = 1000


def built():
    command = "cargo bench --no-default-features --bench session_stats --no-run --message-format=json"
    lines = subprocess.run(command.split(), stdout=subprocess.PIPE, text=True, check=True).stdout
    found = [json.loads(line).get("executable") for line in lines.splitlines() if line[:1] == "{"]
    return [path for path in found if path and "session_stats" in path][-1]


class Project:
    def __init__(self, bench, path):
        self.process = subprocess.Popen(
            [bench, "serve", path], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )
        self.operations = self.process.stdout.readline().split()

    def ask(self, name):
        self.process.stdin.write(name + "\n")
        self.process.stdin.flush()
        answer = json.loads(self.process.stdout.readline())
        if "problem" in answer:
            sys.exit(f"{name}: {answer['problem']}")
        return answer["ns"], answer["values"]


def main():
    bench = sys.argv[1] if len(sys.argv) > 1 else built()
    turns = int(sys.argv[2]) if len(sys.argv) > 2 else 25
    x = np.random.default_rng(7).normal(10.0, 0.005, COUNT)
    failed = False
    with tempfile.TemporaryDirectory() as folder:
        path = os.path.join(folder, "values")
        x.astype("<f8").tofile(path)
        project = Project(bench, path)
        print(f"numpy {np.__version__}, scipy {scipy.__version__}, {COUNT} values, {turns} turns, ", end="")
        print(f"load {os.getloadavg()[0]:.1f}")
        print(f"{'operation':<24}{'library ms':>11}{'project ms':>11}{'ratio':>7}  quartiles     goal")
        for name, library, goal, allowed in ROWS:
            if name not in project.operations:
                print(f"{name:<24} not offered by this bench")
                continue
            pairs = []
            for _ in range(turns + 1):
                start = time.perf_counter_ns()
                expected = library(x)
                took = time.perf_counter_ns() - start
                ns, found = project.ask(name)
                pairs.append((took, ns))
            # The first turn warms up.
            theirs, ours = np.array(pairs[1:]).T
            quarter, ratio, three = np.quantile(ours / theirs, [0.25, 0.5, 0.75])
            print(
                f"{name:<24}{np.median(theirs) / 1e6:>11.3f}{np.median(ours) / 1e6:>11.3f}"
                f"{ratio:>7.3f}  {quarter:.3f}-{three:.3f}  {goal:>6}"
            )
            differs = [abs(a - b) > allowed * abs(b) for a, b in zip(found, expected, strict=True)]
            if any(differs):
                print(f"  differs: {found} instead of {expected}")
            failed |= ratio > goal or any(differs)
        times = []
        for _ in range(turns + 1):
            ns, _ = project.ask("incremental")
            times.append(ns / COUNT)
        per_reading = np.median(times[1:])
        print(f"{'one more reading':<24}{per_reading:>18.0f} ns  goal {INCREMENTAL_NS_MAX}")
        failed |= per_reading > INCREMENTAL_NS_MAX
        project.process.stdin.close()
        project.process.wait()
    sys.exit("a goal is missed or a result differs" if failed else 0)


main()
