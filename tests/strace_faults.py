#!/usr/bin/env python3
"""Faults of the real system under the real program: what it printed must be on the disk.

Each run is `fitledger inspect --json --demo` under strace, which lets one system call on a journal
fail, come back short, be interrupted, or kill the program; or it is the same on a file system that
runs full. After every run
  - each verdict that was printed is in the journals, word for word, in a line that counts;
  - every journal is readable: sound, not closed or torn at its end, never damaged;
  - the exit code is 3 after a fault of the disk, the signal after a kill, else the usual one;
  - what a killed program left is taken up again, and closed and sound after that.

    strace_faults.py PROGRAM [--full-disk]   needs strace; --full-disk needs to be allowed to mount

Only Python's standard library and tests/independent_reader.py are used.
"""

import datetime, json, os, pathlib, signal, subprocess, sys, tempfile

sys.dont_write_bytecode = True
sys.path.insert(0, str(pathlib.Path(__file__).parent))
import independent_reader

PARTS = "2"
SECONDS = 30  # a run that takes longer hangs; none needs two
READABLE = ("sound", "not_closed", "torn_tail")


class Failed(Exception):
    """What was promised and not kept."""


def journal_paths(folder):
    """Names that a journal of the next minute may have: strace looks at these files only."""
    now = datetime.datetime.now(datetime.timezone.utc)
    for second in range(SECONDS):
        stamp = (now + datetime.timedelta(seconds=second)).strftime("%Y-%m-%d-%H%M%S")
        for place in ("sessions", "rescue/fitledger-sessions"):
            for end in ("", "-2", "-2-2", "-2-3"):
                yield folder / place / f"{stamp}-pump-shaft-demo{end}.jsonl"


def run(program, folder, fault=None, parts=PARTS):
    """Runs the demonstration, under strace when a fault is to be put in."""
    (folder / "rescue").mkdir(parents=True, exist_ok=True)
    command = [program, "--workspace", str(folder), "inspect", "--json", "--demo", "--parts", parts]
    if fault is not None:
        watched = [option for path in journal_paths(folder) for option in ("-P", str(path))]
        call = fault.split(":")[0]
        trace = ["-o", str(folder / "trace"), "-e", f"trace={call}", "-e", f"inject={fault}"]
        command = ["strace", "-f", "-qq", *trace, *watched, *command]
    environment = {**os.environ, "TZ": "UTC", "TMPDIR": str(folder / "rescue")}
    done = subprocess.run(
        command, env=environment, stdin=subprocess.DEVNULL, capture_output=True, timeout=SECONDS
    )
    return done.returncode, done.stdout.decode().splitlines(), done.stderr.decode()


def counting_lines(folder):
    """Kind and body of each line that counts, by number, over all journals of the folder."""
    files, ends = {}, {}
    for path in sorted(folder.glob("**/*.jsonl")):
        content = path.read_bytes()
        report = independent_reader.check(content)
        if report["state"] not in READABLE:
            raise Failed(f"{path.name} is {report['state']}: {report['findings']}")
        lines = [independent_reader.line_of(raw) for raw in content.split(b"\n")]
        lines = [line for line in lines if not isinstance(line, str)]
        files[path] = lines
        if lines and lines[0].kind == "continuation_opened":
            name, (last, _) = lines[0].origin
            ends[name] = last
    counting = {}
    for path, lines in files.items():
        for line in lines:
            if line.seq > ends.get(path.name, line.seq):
                continue
            # What a failed retry left behind holds its first line only, and nothing follows it.
            if line.seq in counting and line.kind != "continuation_opened":
                raise Failed(f"line {line.seq} is in two journals")
            counting[line.seq] = (line.kind, line.body)
    return counting


def check_printed(folder, printed):
    """How many verdicts were printed; each must be recorded as it was printed."""
    counting = counting_lines(folder)
    verdicts = 0
    for text in printed:
        try:
            answer = json.loads(text)
        except ValueError as fault:
            raise Failed(f"no JSON was printed: {text!r}") from fault
        if "verdict" not in answer:
            continue
        verdicts += 1
        kind, body = counting.get(answer["event"], (None, {}))
        wanted = "cutting_noted" if answer["verdict"] == "CUTTING" else "verdict_given"
        if kind != wanted or body["reading"] != answer["reading"]:
            raise Failed(f"event {answer['event']} was printed and is not recorded: {answer}")
        if wanted == "verdict_given" and body["verdict"] != answer["verdict"]:
            raise Failed(f"event {answer['event']} says {body['verdict']}, printed: {answer}")
        if body["value_at_20"] != answer["value_at_20"]:
            raise Failed(f"event {answer['event']} has another value than was printed: {answer}")
        if counting.get(answer["reading"], (None,))[0] != "reading_received":
            raise Failed(f"the reading of event {answer['event']} is not recorded")
    return verdicts


def calls_of(program):
    """How often the undisturbed program writes to and syncs its journal, and its exit code."""
    counts = {}
    for call in ("write", "fdatasync"):
        with tempfile.TemporaryDirectory() as scratch:
            folder = pathlib.Path(scratch)
            # An injected delay of nothing disturbs nothing and leaves a trace.
            code, printed, said = run(program, folder, f"{call}:delay_enter=0")
            verdicts = check_printed(folder, printed)
            counts[call] = (folder / "trace").read_text().count(f"{call}(")
    if code not in (0, 1) or verdicts < 10 or min(counts.values()) < 10:
        raise Failed(f"the undisturbed run: exit {code}, {verdicts} verdicts, {counts}: {said}")
    return counts, code


def take_up(program, folder):
    """What a killed program left is taken up again, and then closed and sound."""
    for path in (folder / "sessions").glob("*.jsonl"):
        found = independent_reader.check(path.read_bytes())
        if not found["events"] or found["state"] == "sound":
            continue  # killed before its first line, or after its last
        environment = {**os.environ, "TZ": "UTC"}
        workspace = [program, "--workspace", str(folder)]
        command = [*workspace, "inspect", "--json", "--continue", str(path)]
        done = subprocess.run(
            command, env=environment, stdin=subprocess.DEVNULL, capture_output=True, timeout=SECONDS
        )
        # 2 is right as well: the simulated gauge sends bytes now and then that are no reading.
        if done.returncode not in (0, 1, 2):
            raise Failed(f"taking up again: exit {done.returncode}: {done.stderr.decode()}")
        check_printed(folder, done.stdout.decode().splitlines())
        verified = subprocess.run(
            [*workspace, "verify", "--json", str(path)], capture_output=True, timeout=SECONDS
        )
        state = json.loads(verified.stdout)["state"]
        if verified.returncode != 0 or state != "sound":
            raise Failed(f"after taking up again the record is {state}")


def faults(counts, undisturbed):
    """Every fault: its name, what strace is told, and the exit codes that are right."""
    for call, most in counts.items():
        errors = ("EIO", "ENOSPC") if call == "write" else ("EIO",)
        for at in range(1, most + 1):
            for error in errors:
                yield f"{call} fails once with {error}", f"{call}:error={error}:when={at}", {3}
            yield f"{call} is interrupted", f"{call}:error=EINTR:when={at}", {undisturbed}
            killed = {-signal.SIGKILL, 128 + signal.SIGKILL}
            yield f"killed at a {call}", f"{call}:signal=SIGKILL:when={at}", killed
        for at in range(1, most + 1, 9):
            error = errors[-1]
            yield f"{call} fails for good with {error}", f"{call}:error={error}:when={at}+", {3}
    for at in range(1, counts["write"] + 1):
        yield "write takes only 7 bytes", f"write:retval=7:when={at}", {3}
    yield "write takes nothing for good", "write:retval=0:when=20+", {3}


def under_strace(program):
    counts, undisturbed = calls_of(program)
    print(f"undisturbed: {counts['write']} writes, {counts['fdatasync']} syncs, exit {undisturbed}")
    tally, failures = {}, []
    for name, fault, codes in faults(counts, undisturbed):
        with tempfile.TemporaryDirectory() as scratch:
            folder = pathlib.Path(scratch)
            runs, verdicts = tally.get(name, (0, 0))
            try:
                code, printed, said = run(program, folder, fault)
                if "INJECTED" not in (folder / "trace").read_text() and "SIGKILL" not in fault:
                    raise Failed("the fault did not happen")
                verdicts += check_printed(folder, printed)
                if code not in codes:
                    raise Failed(f"exit {code}, not one of {sorted(codes)}: {said}")
                if "SIGKILL" in fault:
                    take_up(program, folder)
            except (Failed, subprocess.TimeoutExpired) as failure:
                failures.append(f"{fault}: {failure}")
            tally[name] = (runs + 1, verdicts)
    for name, (runs, verdicts) in tally.items():
        print(f"{name}: {runs} runs, {verdicts} printed verdicts found in the journals")
    return sum(runs for runs, _ in tally.values()), failures


def check_followed(program, folder, printed):
    """The program finds both files of a session that went on in another folder."""
    environment = {**os.environ, "TMPDIR": str(folder / "rescue")}
    last = json.loads(printed[-1]).get("journal", "") if printed else ""
    if "rescue" not in last:
        raise Failed(f"the session did not go on in the other folder: {printed[-1:]}")
    for command in (["verify", "--json", last], ["list", "--json"]):
        command = [program, "--workspace", str(folder), *command]
        done = subprocess.run(command, env=environment, capture_output=True, timeout=SECONDS)
        answers = [json.loads(line) for line in done.stdout.decode().splitlines()]
        found = [answer for answer in answers if answer["files"] in (2, first_and_last(folder, last))]
        if done.returncode != 0 or [answer["state"] for answer in found] != ["sound"]:
            raise Failed(f"{command} does not follow the session: {answers}")


def first_and_last(folder, last):
    """The names of the session's first file and of its last."""
    first = min((path.name for path in (folder / "sessions").glob("*.jsonl")), key=len)
    return [first, pathlib.Path(last).name]


def on_a_full_disk(program):
    """A file system of a few pages, with and without another place to go on."""
    runs, failures = 0, []
    for pages in (1, 2, 3, 5, 8, 13, 21, 34):
        for rescued in (False, True):
            with tempfile.TemporaryDirectory() as scratch:
                folder = pathlib.Path(scratch)
                small = folder / "sessions" if rescued else folder
                small.mkdir(exist_ok=True)
                size = f"size={pages * 4096}"
                subprocess.run(["mount", "-t", "tmpfs", "-o", size, "tmpfs", small], check=True)
                runs += 1
                try:
                    code, printed, said = run(program, folder, parts="12")
                    verdicts = check_printed(folder, printed)
                    if code != 3:
                        raise Failed(f"exit {code}, not 3: {said}")
                    if rescued and verdicts and code == 3:
                        check_followed(program, folder, printed)
                    place = "another folder to go on in" if rescued else "nowhere to go on"
                    print(f"{pages * 4} KiB, {place}: {verdicts} printed verdicts found")
                except (Failed, subprocess.TimeoutExpired) as failure:
                    failures.append(f"full disk of {pages} pages, rescued {rescued}: {failure}")
                finally:
                    subprocess.run(["umount", small], check=True)
    return runs, failures


def main(arguments):
    program = str(pathlib.Path(arguments[0]).resolve())
    kind = on_a_full_disk if "--full-disk" in arguments else under_strace
    runs, failures = kind(program)
    print(f"{runs} runs with a fault, {len(failures)} failed", *failures, sep="\n")
    return 1 if failures or not runs else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
