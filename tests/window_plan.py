"""The Plan room in the real window: a plan is edited by keys while a session goes on, saved, changed
by somebody else meanwhile, and saved on a full disk. Used by window_under_xvfb.py."""

import shutil, subprocess, time

from virtual_bench import ONE, Bench, check
from virtual_screen import wait_until

# As a person wrote it; what is edited below is named in the cases.
COMMENTED = "# The seat runs in the bearing.\n" + ONE + "points = 1   # until the tool is changed\n"


def edited_callout(bench, text):
    """Opens the fields of the first feature and writes its callout."""
    bench.changes(lambda: bench.keys("Return"), "the fields")
    bench.keys("Down")
    bench.changes(lambda: bench.keys("Return"), "the callout is typed into")
    bench.keys("BackSpace", "BackSpace")
    bench.changes(lambda: bench.keys(*text), f"typed {text}")


def plan(program, screen, folder):
    """Keys, an edit, saving, the file read back; a change from outside, put together; a new plan."""
    bench = Bench(program, screen, folder, COMMENTED)
    file = folder / "plan.toml"
    try:
        bench.open()
        bench.alive_until(lambda: bench.events("session_opened"), "session in the journal")
        check(bench.answer("20.008")["verdict"] == "GO", bench.events()[-1])
        bench.changes(lambda: bench.keys("F2"), "the Plan room")
        bench.picture("plan-open")
        edited_callout(bench, "m6")
        bench.picture("plan-typed")
        check(file.read_text() == COMMENTED, "the file was written before it was saved")
        bench.changes(lambda: bench.keys("Return"), "taken")
        bench.changes(lambda: bench.keys("s"), "saved")
        check(file.read_text() == COMMENTED.replace("20 k6", "20 m6"), file.read_text())
        # The file is watched, and nothing is painted for it.
        bench.still(1)
        frames = len(bench.frame_lines())
        time.sleep(3)
        painted = len(bench.frame_lines()) - frames
        check(painted == 0, f"{painted} frames while nothing happened")
        # The session goes on with the plan that it began with, and hears its gauge: 20 m6 would
        # be 20.008 to 20.021 (ISO 286-1, by hand).
        before = bench.events("verdict_given")
        bench.gauge.show("20.007")
        check(bench.more("verdict_given", before)["body"]["verdict"] == "GO", "another plan")
        # Somebody else changes the file while something is typed here.
        bench.keys("Escape")
        edited_callout(bench, "n6")
        bench.changes(lambda: bench.keys("Return"), "taken")
        theirs = file.read_text().replace("# until", "# GP-07: until").replace("GP-07\"", "GP-08\"")
        bench.changes(lambda: file.write_text(theirs), "the change from outside")
        bench.picture("plan-overtaken")
        bench.changes(lambda: bench.keys("s"), "the question")
        bench.picture("plan-question")
        check(file.read_text() == theirs, "written over what somebody else wrote")
        bench.changes(lambda: bench.keys("1"), "put together")
        bench.changes(lambda: bench.keys("s"), "saved")
        check(file.read_text() == theirs.replace("20 m6", "20 n6"), file.read_text())
        check(sorted(path.name for path in folder.glob("*.toml")) == ["plan.toml"], "left beside it")
        # Closing asks while something is not saved, and Escape stays.
        bench.keys("Escape")
        bench.changes(lambda: bench.keys("x"), "taken out")
        bench.changes(bench.ask_to_close, "closing")
        bench.picture("plan-closing")
        bench.changes(lambda: bench.keys("Escape"), "staying")
        bench.changes(lambda: bench.keys("u"), "taken back")
        bench.changes(lambda: bench.keys("period"), "the Bench")
        bench.answer("20.008")
        bench.check_sound()
        bench.check_closes()
        bench.check_sound()
    finally:
        bench.end()


def plan_full_disk(program, screen, folder):
    """A full disk: saving says so, the file stays whole, the edits stay; with room they are saved."""
    bench = Bench(program, screen, folder, COMMENTED)
    plans = bench.workspace / "plans"
    plans.mkdir()
    size = f"size={2 * 4096}"
    subprocess.run(["mount", "-t", "tmpfs", "-o", size, "tmpfs", plans], check=True)
    file = plans / "shaft.toml"
    try:
        file.write_text(COMMENTED)
        (plans / "filler").write_bytes(b"x" * 4096)
        bench.open(["window", "--plan", str(file), *bench.gauge_argument()])
        bench.changes(lambda: bench.keys("F2"), "the Plan room")
        edited_callout(bench, "m6")
        bench.changes(lambda: bench.keys("Return"), "taken")
        bench.changes(lambda: bench.keys("s"), "not saved")
        bench.picture("plan-full-disk")
        check(file.read_text() == COMMENTED, "the file is not as it was")
        left = sorted(path.name for path in plans.iterdir())
        check(left == ["filler", "shaft.toml"], f"left behind: {left}")
        (plans / "filler").unlink()
        bench.keys("s")
        wanted = COMMENTED.replace("20 k6", "20 m6")
        wait_until(lambda: file.read_text() == wanted, "the saved plan")
        check(sorted(path.name for path in plans.iterdir()) == ["shaft.toml"], "left behind")
        bench.still()
        bench.check_closes()
    finally:
        bench.end()
        subprocess.run(["umount", plans], check=True)
        shutil.rmtree(plans, ignore_errors=True)
