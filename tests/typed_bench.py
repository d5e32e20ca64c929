"""The real program with readings typed into it, for the tests of the real system.

A reading is acknowledged when the program prints its answer; it is readable when a record holds it
in a line that counts, as tests/independent_reader.py reads it. Only Python's standard library.
"""

import json, os, pathlib, random, subprocess, sys, threading, time

sys.dont_write_bytecode = True
sys.path.insert(0, str(pathlib.Path(__file__).parent))
import independent_reader

NIGHTLY = bool(os.environ.get("FITLEDGER_NIGHTLY"))
SECONDS = 60  # none needs more than two; what takes longer hangs
READABLE = ("sound", "not_closed", "torn_tail")


class Failed(Exception):
    """What was promised and not kept."""


def demand(holds, sentence):
    if not holds:
        raise Failed(sentence)


def value(number):
    """Reading `number`: each is another one, all are inside the limits of 25 H7."""
    return f"25.0{number % 20_000:05}"


class Session:
    """A run of `fitledger inspect` in a workspace. `rescue` is where it may go on when that fails."""

    def __init__(self, program, workspace, rescue, journal=None, before=(), **other):
        self.workspace, self.rescue = workspace, rescue
        job = ["--continue", str(journal)] if journal else ["--callout", "25 H7"]
        command = [*before, program, "--workspace", str(workspace), "inspect", "--json", *job]
        command += ["--gauge", "typed"] + ([] if journal else ["--advance", "always"])
        self.environment = {**os.environ, "TMPDIR": str(rescue), "TZ": "UTC"}
        pipes = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE, "stderr": subprocess.PIPE}
        self.process = subprocess.Popen(command, env=self.environment, **{**pipes, **other})
        self.sent, self.acknowledged, self.errors, self.last = [], [], [], {}
        self.said, self.changed = b"", threading.Condition()
        self.readers = [threading.Thread(target=read) for read in (self.listen, self.overhear)]
        for reader in self.readers:
            reader.start()

    def listen(self):
        for line in self.process.stdout or ():
            try:
                answer = json.loads(line)
            except ValueError:
                continue  # cut off by a kill
            with self.changed:
                if "verdict" in answer:
                    self.acknowledged.append((answer["reading"], answer["value"]))
                elif "error" in answer:
                    self.errors.append(answer)
                else:
                    self.last = answer
                self.changed.notify_all()

    def overhear(self):
        self.said = self.process.stderr.read() if self.process.stderr else b""

    def send(self, values):
        self.sent += values
        try:
            self.process.stdin.write("".join(f"{text}\n" for text in values).encode())
            self.process.stdin.flush()
        except OSError:
            pass  # it has ended

    def wait_for(self, holds, sentence="what was waited for did not come"):
        with self.changed:
            demand(self.changed.wait_for(holds, SECONDS), f"{sentence}: {self.errors[-2:]}")

    def answered(self, count):
        """Waits until so many readings have been acknowledged or told to be NOT RECORDED."""
        self.wait_for(lambda: len(self.acknowledged) + self.told() >= count)

    def told(self):
        """How many readings were told to be NOT RECORDED; each is told once."""
        return sum(1 for one in self.errors if one.get("input"))

    def kill(self):
        self.process.kill()
        self.ended()

    def end(self):
        """The end of input: the program closes the session."""
        try:
            self.process.stdin.close()
        except OSError:
            pass
        return self.ended()

    def ended(self):
        code = self.process.wait(SECONDS)
        for reader in self.readers:
            reader.join(SECONDS)
        try:
            self.process.stdin.close()
        except OSError:
            pass
        return code


def records(*folders):
    """The journals in these folders, sessions and where they may have gone on."""
    found = []
    for folder in folders:
        for place in ("sessions", "fitledger-sessions"):
            found += sorted((folder / place).glob("*.jsonl"))
    return found


def readings(paths, damage_is_right=False):
    """Number and value of every reading in lines that count, over the files of one session."""
    ends, found = {}, {}
    for path in paths:
        content = path.read_bytes()
        report = independent_reader.check(content)
        right = report["state"] in READABLE or damage_is_right
        demand(right, f"{path} is {report['state']}: {report['findings'][:3]}")
        lines = [independent_reader.line_of(raw) for raw in content.split(b"\n")]
        lines = [line for line in lines if not isinstance(line, str)]
        if lines and lines[0].origin:
            name, (last, _) = lines[0].origin
            ends[name] = max(last, ends.get(name, 0))
        found[path.name] = lines
    counting = {}
    for name, lines in found.items():
        for line in lines:
            if line.kind == "reading_received" and line.seq <= ends.get(name, line.seq):
                demand(line.seq not in counting, f"reading {line.seq} is in two journals")
                counting[line.seq] = line.body["value"]
    return counting


def check(session, paths, earlier=()):
    """acknowledged <= readable <= acknowledged + in flight, each as it was sent and in order.

    `earlier` are the readings of earlier runs: one that had no verdict yet gets it when the session
    is taken up. Gives the count acknowledged in this run, and all readings by number.
    """
    counting = readings(paths)
    for number, shown in session.acknowledged:
        demand(counting.get(number) == shown, f"reading {number} was acknowledged and is not there")
    demand(all(number in counting for number in earlier), "a reading of an earlier run is gone")
    acknowledged = {number for number, _ in session.acknowledged}.difference(earlier)
    readable = [counting[number] for number in sorted(counting) if number not in earlier]
    demand(readable == session.sent[: len(readable)], "what is recorded is not what was sent")
    counts = len(acknowledged), len(readable), len(session.sent)
    demand(counts[0] <= counts[1] <= counts[2], f"{counts} acknowledged, readable, sent")
    return counts[0], counting


def verified(program, journal, *states):
    command = [program, "verify", "--json", journal]
    done = subprocess.run(command, capture_output=True, timeout=SECONDS)
    answer = json.loads(done.stdout)
    demand(answer.get("state") in states, f"{journal} is {answer}")
    return answer


def finish(name, cases, failures, since, *more):
    """The last line of every such test."""
    for failure in failures:
        print(failure)
    print(f"{name}: {cases} cases, {len(failures)} failed, {time.monotonic() - since:.1f} s", *more)
    sys.exit(1 if failures or not cases else 0)


def seeded(arguments):
    """The seed, printed, so that a failure can be had again."""
    given = [int(argument) for argument in arguments if argument.isdigit()]
    seed = given[0] if given else random.SystemRandom().randrange(10**6)
    print(f"seed {seed}")
    return random.Random(seed)
