"""The Batch room in the real window: the run, the control chart with its signal, the table, and a
chart that is kept, while readings come in; by the keypad alone. Used by window_under_xvfb.py."""

from virtual_bench import ONE, Bench, check

STEADY = "20.008 20.010 20.007 20.009 20.008 20.010 20.008 20.007 20.009 20.008".split()


def batch(program, screen, folder):
    """Pages, a signal at the part that caused it, the table, PNG and SVG; a session goes on."""
    bench = Bench(program, screen, folder, ONE)
    reports = bench.workspace / "reports"
    try:
        bench.open()
        bench.alive_until(lambda: bench.events("session_opened"), "session in the journal")
        for value in STEADY:
            check(bench.answer(value)["verdict"] == "GO", bench.events()[-1])
        # Into the room by the keypad: the list of the Bench, where to.
        bench.keys("KP_Enter")
        bench.changes(lambda: bench.keys("KP_Decimal"), "the list")
        bench.changes(lambda: bench.keys("KP_0"), "where to")
        bench.changes(lambda: bench.keys("KP_4"), "the room")
        bench.still()
        bench.picture("batch-run")
        # Beyond the control limits, inside those of size: the room shows it by itself.
        before = bench.events("verdict_given")
        bench.changes(lambda: bench.gauge.show("20.0135"), "the newest part")
        bench.more("verdict_given", before)
        bench.changes(lambda: bench.keys("KP_2"), "the control chart")
        bench.still()
        bench.picture("batch-control")
        for key, name in [("KP_4", "histogram"), ("KP_5", "capability"), ("KP_6", "trend"),
                          ("KP_7", "advice"), ("KP_0", "table")]:
            bench.changes(lambda key=key: bench.keys(key), name)
            bench.still()
            bench.picture(f"batch-{name}")
        bench.changes(lambda: bench.keys("KP_1"), "the run")
        bench.still()
        kept(bench, reports)
        bench.changes(lambda: bench.keys("KP_Decimal"), "the Bench")
        bench.answer("20.008")
        bench.check_sound()
        bench.check_closes()
        bench.check_sound()
    finally:
        bench.end()


def kept(bench, reports):
    """A picture and a drawing, whole files in the folder of reports."""
    bench.changes(lambda: bench.keys("KP_Divide"), "how to keep it")
    bench.picture("batch-keep")
    bench.keys("KP_1")
    png = bench.alive_until(lambda: sorted(reports.glob("*.png")), "a picture", 30)[0]
    bench.alive_until(lambda: png.read_bytes().endswith(b"IEND\xaeB`\x82"), "a whole picture")
    bench.still()
    bench.changes(lambda: bench.keys("KP_Divide"), "how to keep it")
    bench.keys("KP_2")
    svg = bench.alive_until(lambda: sorted(reports.glob("*.svg")), "a drawing", 30)[0]
    bench.alive_until(lambda: svg.read_text().endswith("</svg>\n"), "a whole drawing")
    check("20 k6, bearing seat, left: run of values" in svg.read_text(), svg)
    print(f"  charts: {sorted(path.name for path in reports.iterdir())}")
