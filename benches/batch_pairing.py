#!/usr/bin/env python3
"""Pairing of a batch: scipy's general assignment solver beside Fitledger, in turns, in one run.

    batch_pairing.py [BENCH] [TURNS]     BENCH: the built bench `batch_pairing` (built when missing)

Both get the same sizes and find the pairs whose clearances are nearest to the wanted one all
together; the sums must be equal to the nanometre. Then a hundred thousand pairs are timed alone. It
fails when a goal is missed or a sum differs. Needs Python with numpy and scipy.
"""

import json, os, subprocess, sys, tempfile, time

import numpy as np
import scipy
from scipy.optimize import linear_sum_assignment

GOAL = 1 / 1000
COUNT, MANY, MANY_MS_MAX = 2000, 100_000, 50
WANTED = 24_000


def built():
    command = "cargo bench --no-default-features --bench batch_pairing --no-run --message-format=json"
    lines = subprocess.run(command.split(), stdout=subprocess.PIPE, text=True, check=True).stdout
    found = [json.loads(line).get("executable") for line in lines.splitlines() if line[:1] == "{"]
    return [path for path in found if path and "batch_pairing" in path][-1]


def sizes(random, holes, shafts):
    return random.normal(25_010_500, 5000, holes).astype("<i8"), random.normal(24_986_500, 4000, shafts).astype("<i8")


class Project:
    def __init__(self, bench, folder, holes, shafts):
        path = os.path.join(folder, f"{len(holes)}-{len(shafts)}")
        np.concatenate([[len(holes), WANTED], holes, shafts]).astype("<i8").tofile(path)
        self.process = subprocess.Popen(
            [bench, "serve", path], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )

    def ask(self, name):
        self.process.stdin.write(name + "\n")
        self.process.stdin.flush()
        return json.loads(self.process.stdout.readline())

    def end(self):
        self.process.stdin.close()
        self.process.wait()


def main():
    bench = sys.argv[1] if len(sys.argv) > 1 else built()
    turns = int(sys.argv[2]) if len(sys.argv) > 2 else 9
    random, failed = np.random.default_rng(11), False
    print(f"numpy {np.__version__}, scipy {scipy.__version__}, {turns} turns, load {os.getloadavg()[0]:.1f}")
    with tempfile.TemporaryDirectory() as folder:
        for more in (0, COUNT // 10):
            holes, shafts = sizes(random, COUNT, COUNT + more)
            project, ratios, theirs = Project(bench, folder, holes, shafts), [], []
            for _ in range(turns + 1):
                start = time.perf_counter_ns()
                cost = np.abs(holes[:, None] - shafts[None, :] - WANTED)
                rows, columns = linear_sum_assignment(cost)
                took = time.perf_counter_ns() - start
                wanted, found = int(cost[rows, columns].sum()), project.ask("nearest")
                if found["off_nm"] != wanted or found["pairs"] != COUNT:
                    print(f"  differs: {found} instead of {wanted}")
                    failed = True
                theirs.append(took / 1e6)
                ratios.append(found["ns"] / took)
            project.end()
            ratio = np.median(ratios[1:])
            print(f"{COUNT} holes, {COUNT + more} shafts: library {np.median(theirs):.1f} ms, ratio {ratio:.6f} (goal {GOAL})")
            failed |= ratio > GOAL
        for more in (0, MANY // 10):
            project = Project(bench, folder, *sizes(random, MANY, MANY + more))
            for name in ("nearest", "most"):
                ms = np.median([project.ask(name)["ns"] / 1e6 for _ in range(turns + 1)][1:])
                print(f"{name}, {MANY} holes, {MANY + more} shafts: {ms:.1f} ms (goal {MANY_MS_MAX})")
                failed |= ms > MANY_MS_MAX
            project.end()
    sys.exit("a goal is missed or a sum differs" if failed else 0)


main()
