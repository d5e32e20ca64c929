"""A study of a gauge in the real window: asked for with the digit keys, measured with the gauge's
button alone, and the gauge unplugged in the middle. Used by window_under_xvfb.py."""

from virtual_bench import Bench, check

REGISTER = """\
[[gauge]]
id = "mic-25"
kind = "outside_micrometer"
range = [0, 25]
resolution = 0.001
mpe = 0.002
port = {{ path = "{port}", adapter = "line-free" }}
"""
# Two bushes, two people, twice each: what the gauge shows, µm above 20 mm, by part and person.
READ = {("1", "A"): [1, 2], ("1", "B"): [3, 3], ("2", "A"): [11, 12], ("2", "B"): [13, 14]}


def study(program, screen, folder):
    """Every reading is a press of the gauge's button; its result goes into the register."""
    bench = Bench(program, screen, folder)
    register = bench.workspace / "gauges.toml"
    register.write_text(REGISTER.format(port=bench.gauge.path))
    try:
        bench.open(["window"])
        begun(bench)
        plan = bench.events("study_opened")[0]["body"]
        taken = {}
        for turn, (part, operator, trial) in enumerate(plan["order"]):
            if turn == 3:
                unplugged(bench)
            name = (plan["parts"][part - 1]["name"], plan["operators"][operator - 1])
            um = READ[name][trial - 1]
            before = bench.events("study_cell_filled")
            bench.changes(lambda um=um: bench.gauge.show(f"20.{um:03}"), "the reading")
            cell = bench.more("study_cell_filled", before)["body"]
            found = (cell["part"], cell["operator"], cell["trial"])
            check(found == (part, operator, trial), (cell, turn))
            taken.setdefault(name, []).append(um)
        check(taken == READ, taken)
        bench.still()
        bench.picture("study-result")
        entered(bench, register)
        closed = bench.events("session_closed")
        bench.keys("Return")
        bench.more("session_closed", closed)
        bench.still()
        bench.picture("study-closed")
        readings = bench.events("reading_received")
        check(all(one["body"]["origin"] == "sent" for one in readings), readings)
        bench.check_closes()
        bench.check_sound()
    finally:
        bench.end()


def begun(bench):
    """From the first screen to the study by F6 and the digits of the keyboard."""
    bench.changes(lambda: bench.keys("F6"), "the Gauges room")
    bench.changes(lambda: bench.keys("8"), "the page")
    bench.changes(lambda: bench.keys("Return"), "the first question")
    bench.picture("study-asked")
    # Two parts, two people, twice, sizes not known, limits 0.02 wide.
    for answer in (["2"], ["2"], ["2"], []):
        bench.changes(lambda answer=answer: bench.keys(*answer, "Return"), f"answer {answer}")
    bench.keys("0", "period", "0", "2", "Return")
    opened = bench.more("study_opened", [])["body"]
    wanted = (len(opened["parts"]), opened["operators"], opened["trials"], opened["tolerance"])
    check(wanted == (2, ["A", "B"], 2, "0.020"), opened)
    bench.more("gauge_state_changed", [])
    bench.still()
    bench.picture("study-first")


def unplugged(bench):
    """Half a reading, then the cable is out: told, and nothing is filled; then it is back."""
    filled = len(bench.events("study_cell_filled"))
    refused = bench.events("reading_refused")
    bench.gauge.send(b"20.0")
    bench.gauge.all_read()
    before = bench.events("gauge_state_changed")
    bench.changes(bench.gauge.unplug, "drawing the cable")
    bench.more("gauge_state_changed", before)
    check(bench.more("reading_refused", refused)["body"]["code"] == "truncated", "half a reading")
    bench.still()
    bench.picture("study-unplugged")
    before = bench.events("gauge_state_changed")
    bench.gauge.plug_in()
    changed = bench.more("gauge_state_changed", before, 20)
    check(changed["body"]["state"] == "attached", changed)
    # What comes first could be the rest of that reading.
    aside = bench.events("reading_set_aside")
    bench.changes(lambda: bench.gauge.show("13"), "what is set aside")
    reason = bench.more("reading_set_aside", aside)["body"]["reason"]
    check("broke off" in reason, reason)
    bench.picture("study-rest")
    check(len(bench.events("study_cell_filled")) == filled, "half a reading filled a cell")


def entered(bench, register):
    """One person's readings of one part differ by 1, 0, 1 and 1 µm: s is sqrt(3/8) µm."""
    bench.changes(lambda: bench.keys("plus"), "+")
    line = next(one for one in register.read_text().splitlines() if "repeatability" in one)
    check("s = 0.000613, n = 5" in line, line)
    check("line-free" in register.read_text(), "the rest of the register is gone")
    print(f"  {line}")
