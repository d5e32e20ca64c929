#!/usr/bin/env python3
"""The real window on a Wayland display without a monitor: it opens, measures and is drawn.

    window_under_wayland.py PROGRAM

Needs the compositor weston. Exits with 0, with 1 where the program fails, and with 77 where no
compositor runs here. Only Python's standard library and the files beside this one are used.
"""

import os, pathlib, subprocess, sys, tempfile, time

sys.dont_write_bytecode = True
sys.path.insert(0, str(pathlib.Path(__file__).parent))
import independent_reader

NO_COMPOSITOR = 77
PATIENCE_S = 60


def until(condition):
    end = time.monotonic() + PATIENCE_S
    while time.monotonic() < end:
        if found := condition():
            return found
        time.sleep(0.05)
    return None


def compositor(folder):
    """A compositor with its screen in memory; none where it does not start."""
    environment = {**os.environ, "XDG_RUNTIME_DIR": str(folder)}
    command = ["weston", "--backend=headless-backend.so", "--socket=bench", "--idle-time=0"]
    try:
        with open(folder / "weston.log", "wb") as log:
            process = subprocess.Popen(command, env=environment, stdout=log, stderr=log)
    except FileNotFoundError:
        return None
    until(lambda: (folder / "bench").exists() or process.poll() is not None)
    if (folder / "bench").exists() and process.poll() is None:
        return process
    process.kill()
    return None


def measured(program, folder):
    """The demonstration, which begins by itself once the window is there."""
    environment = {name: value for name, value in os.environ.items() if name != "DISPLAY"}
    environment |= {
        "XDG_RUNTIME_DIR": str(folder),
        "WAYLAND_DISPLAY": "bench",
        "FITLEDGER_FRAME_LOG": str(folder / "frames"),
    }
    workspace = folder / "workspace"
    with open(folder / "said", "wb") as said:
        process = subprocess.Popen(
            [program, "--workspace", str(workspace)], env=environment, stdout=said, stderr=said)
    frames = folder / "frames"
    drawn = lambda: len(frames.read_text().splitlines()) if frames.exists() else 0
    journals = lambda: list(workspace.glob("sessions/*.jsonl"))
    verdicts = lambda: [one for one in journals() if b'"verdict_given"' in one.read_bytes()]
    try:
        done = until(lambda: (drawn() > 3 and verdicts()) or process.poll() is not None)
        if not done or process.poll() is not None:
            return f"exit {process.poll()}, {drawn()} frames: {(folder / 'said').read_text()}"
        print(f"  {drawn()} frames, {verdicts()[0].stat().st_size} bytes recorded")
    finally:
        process.kill()
        process.wait(20)
    state = independent_reader.check(journals()[0].read_bytes())["state"]
    return None if state in ("sound", "not_closed", "torn_tail") else f"the record is {state}"


def main(program):
    with tempfile.TemporaryDirectory() as place:
        folder = pathlib.Path(place)
        folder.chmod(0o700)
        screen = compositor(folder)
        if screen is None:
            print("no compositor runs here")
            return NO_COMPOSITOR
        try:
            fault = measured(os.path.abspath(program), folder)
        finally:
            screen.kill()
            screen.wait(20)
    print(fault or "the window opens under Wayland")
    return 1 if fault else 0


sys.exit(main(sys.argv[1]))
