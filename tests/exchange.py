"""Reports for other programs, checked by programs that share nothing with this one.

    python3 tests/exchange.py PROGRAM FOLDER

Exports every kept record, and a session with hostile texts, as table, JSON and exchange file;
FOLDER holds exchange files that the tests made by hand. Exchange files are validated by xmllint
against the published schemas, and spoiled copies must be refused; tables are read by Python's csv
and compared with the JSON field by field; their descriptions must describe exactly their header;
the JSON must be in its canonical form. Standard library only.
"""

import csv
import json
import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

ROOT = pathlib.Path(__file__).resolve().parent.parent
SCHEMAS = ROOT / "tests" / "qif" / "xsd"
SCHEMA = SCHEMAS / "QIFApplications" / "QIFDocument.xsd"
# The published set, with the signature schema and the catalogue that keeps the network out of it.
SCHEMA_FILES = 24

HOSTILE = [
    "=1+1", "+1", "-1", "@SUM(A1)", "'=1", 'she said "20 k6"', "a,b;c", "]]>", "&amp; <b> ' >",
    "<script>alert(1)</script>", "\u202eoG\u200b", "Größe Ø20 中文 \U0001f600", "../../x", "CON",
    "\x0b\x1b[31m\x7f", "two\nlines", "\tx",
]

PLAN = """[part]
name = {text}
drawing = {text}
revision = {text}
customer = {text}
order = {text}
material_lot = {text}

[[feature]]
id = "A"
callout = "20 k6"
name = {text}

[[feature]]
id = "T"
callout = "M10-6g"
name = {text}
elements = ["pitch", "go_ring", "no_go_ring"]

[[feature]]
id = "B"
callout = "30° ±0.5°"
"""


def run(program, folder, *arguments, typed=""):
    environment = dict(os.environ, FITLEDGER_WORKSPACE=str(folder), TMPDIR=str(folder))
    done = subprocess.run(
        [program, *map(str, arguments)], cwd=folder, env=environment, input=typed,
        capture_output=True, text=True, check=False,
    )
    return done


def validate(path):
    """What xmllint says of a file, and whether it is valid."""
    environment = dict(os.environ, XML_CATALOG_FILES=str(SCHEMAS / "catalog.xml"))
    done = subprocess.run(
        ["xmllint", "--nonet", "--noout", "--schema", str(SCHEMA), str(path)],
        env=environment, capture_output=True, text=True, check=False,
    )
    return done.returncode == 0, done.stderr


def check_valid(path):
    valid, told = validate(path)
    if not valid:
        sys.exit(f"{path} is refused by the schemas:\n{told[:3000]}")


def spoiled(text):
    """Copies of an exchange file with one thing wrong, each with its name."""
    def replaced(pattern, new):
        changed, count = re.subn(pattern, new, text, count=1, flags=re.S)
        assert count == 1 and changed != text, pattern
        return changed

    device = r"(<MeasurementDeviceIds n=\"1\">\s*<Id>)\d+"
    yield "a device that is not there", replaced(device, r"\g<1>999999")
    nominal = r"(<CharacteristicNominalId>)\d+"
    yield "a nominal that is not there", replaced(nominal, r"\g<1>999999")
    thread = re.search(r'<ThreadCharacteristicItem id="(\d+)"', text).group(1)
    diameter = r"(<DiameterCharacteristicMeasurement id.*?<CharacteristicItemId>)\d+"
    yield "a diameter of a thread's item", replaced(diameter, rf"\g<1>{thread}")
    status = r"(<CharacteristicStatusEnum>)[A-Z_]+"
    yield "a status that is no word of it", replaced(status, r"\g<1>GOOD")
    yield "an id that is no UUID", replaced(r"(<QPId>)[^<]+", r"\g<1>not-an-id")
    yield "a decimal comma", replaced(r"(<Value decimalPlaces=\"\d+\"[^>]*>\d+)\.", r"\g<1>,")


def canonical(value):
    """RFC 8785 for what has no fractions and ASCII keys alone."""
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False)


def unguarded(field):
    rest = field.lstrip("'")
    starts = rest[:1] in ("=", "+", "-", "@", "\t", "\r", "\n", "\0", "＝", "＋", "－", "＠")
    return field[1:] if field.startswith("'") and rest and starts else field


def compare(table, description, report):
    """Every field of the table against the JSON; the number of fields compared."""
    raw = table.read_bytes()
    assert raw.endswith(b"\r\n")
    with open(table, encoding="utf-8", newline="") as file:
        header, *rows = csv.reader(file, strict=True)
    assert all(len(row) == len(header) for row in rows), table
    described = json.loads(description.read_bytes())
    columns = [column["name"] for column in described["tableSchema"]["columns"]]
    assert columns == header, "the description is of another table"
    assert described["url"] == table.name
    text = report.read_text(encoding="utf-8")
    whole = json.loads(text)
    assert text == canonical(whole), f"{report} is not in canonical form"
    readings = [(part, one) for part in whole["parts"] for one in part["readings"]]
    readings += [({}, one) for one in whole["record"]["other_readings"]]
    assert len(readings) == len(rows)
    compared = 0
    same = {
        "time": "time", "gauge": "gauge", "origin": "origin", "raw": "raw", "value": "value",
        "value_unit": "unit", "operator": "operator", "end": "end", "verdict": "verdict",
        "reason": "reason", "voided_by": "by", "zero_offset_mm": "zero_offset", "stage": "stage",
        "part_temperature_celsius": "part_temperature",
        "gauge_temperature_celsius": "gauge_temperature",
    }
    job = {
        "part_name": "part_name", "drawing": "drawing", "revision": "revision",
        "customer": "customer", "order": "order", "material_lot": "material_lot",
        "machine": "machine", "plan": "plan_name",
    }
    for row, (part, one) in zip(rows, readings):
        fields = {name: unguarded(field) for name, field in zip(header, row)}
        assert fields["reading"] == str(one["line"])
        assert fields["part"] == str(part.get("number", ""))
        assert fields["serial"] == part.get("serial", "")
        assert fields["record_head"] == whole["record"]["head"]
        for column, key in same.items():
            assert fields[column] == one.get(key, ""), (table, column, fields[column], one)
            compared += 1
        for column, key in job.items():
            assert fields[column] == whole["job"].get(key, ""), (table, column)
            compared += 1
        for field in row:
            is_number = re.fullmatch(r"-?[0-9]+(\.[0-9]+)?", field)
            assert is_number or field[:1] not in tuple("=+-@\t\r\0") or not field, field
    return compared


def compare_batch(table, description, report):
    """The table of all parts together against the JSON; the number of fields compared."""
    whole = json.loads(report.read_text(encoding="utf-8"))
    batch = whole.get("batch")
    assert table.is_file() == (batch is not None), table
    if batch is None:
        return 0
    with open(table, encoding="utf-8", newline="") as file:
        header, *rows = csv.reader(file, strict=True)
    described = json.loads(description.read_bytes())
    assert [column["name"] for column in described["tableSchema"]["columns"]] == header
    assert described["url"] == table.name
    assert len(rows) == len(batch["characteristics"])
    compared = 0
    same = ["unit", "mean", "sd", "smallest", "largest", "range", "offset"]
    stands = ["go", "no_go", "doubt", "noted", "open", "not_selected"]
    for row, facts in zip(rows, batch["characteristics"]):
        fields = {name: unguarded(field) for name, field in zip(header, row)}
        assert fields["characteristic"] == str(facts["number"])
        assert fields["record_head"] == whole["record"]["head"]
        for name in same:
            # A plus says nothing that the number does not say.
            assert fields[name] == facts.get(name, "").removeprefix("+"), (table, name)
            compared += 1
        for name in stands:
            assert fields[f"parts_{name}"] == str(facts["stands"][name]), (table, name)
            compared += 1
        for index in facts["indices"]:
            name = index["name"].lower()
            for column, key in ((name, "estimate"), (f"{name}_lower", "lower")):
                assert fields[column] == index.get(key, ""), (table, column)
                compared += 1
        asked = whole["asked"][facts["number"] - 1]
        for name in ("feature", "callout"):
            assert fields[name] == asked[name]
            compared += 1
    return compared


def hostile_session(program, folder, text):
    """A session with that text wherever a text goes; its journal."""
    folder.mkdir()
    # A plan refuses control characters itself; then the text stands in the operator's name alone.
    in_plan = text if all(c >= " " and c != "\x7f" for c in text) else "plain"
    plan = PLAN.replace("{text}", toml_text(in_plan))
    (folder / "shaft.toml").write_text(plan, encoding="utf-8")
    typed = "20.009\n8.9\n+\n-\n30.1\n"
    done = run(
        program, folder, "inspect", "--plan", "shaft.toml", "--gauge", "typed", "--json",
        f"--operator={text}", typed=typed,
    )
    journals = list((folder / "sessions").glob("*.jsonl"))
    assert len(journals) == 1, (text, done.stdout, done.stderr)
    return journals[0]


def toml_text(text):
    """A basic string of TOML."""
    plain = lambda c: c >= " " and c not in '"\\\x7f'
    return '"' + "".join(c if plain(c) else f"\\u{ord(c):04X}" for c in text) + '"'


def main(program, made_by_hand):
    files = [path for path in SCHEMAS.rglob("*") if path.is_file()]
    if len(files) != SCHEMA_FILES or not SCHEMA.is_file():
        sys.exit(f"the schemas are not complete: {len(files)} files in {SCHEMAS}")
    if shutil.which("xmllint") is None:
        sys.exit("xmllint is not here: install libxml2-utils")
    program = str(pathlib.Path(program).resolve())
    scratch = pathlib.Path(tempfile.mkdtemp())
    valid = compared = in_batches = refused = 0
    try:
        by_hand = sorted(pathlib.Path(made_by_hand).glob("*.qif"))
        assert len(by_hand) >= 30, f"{len(by_hand)} files made by hand: run cargo test first"
        for path in by_hand:
            check_valid(path)
            valid += 1
        journals = sorted((ROOT / "sessions").glob("example-*.jsonl"))
        continued = {name for path in journals for name in continued_by(path)}
        journals = [path for path in journals if path.name not in continued]
        assert len(journals) >= 5
        journals += [
            hostile_session(program, scratch / f"hostile-{at}", text)
            for at, text in enumerate(HOSTILE)
        ]
        for at, journal in enumerate(journals):
            made = {}
            for form in ("csv", "json", "qif"):
                out = scratch / f"{at}.{form}"
                done = run(program, scratch, "export", journal, "--format", form, "--out", out)
                assert done.returncode == 0, (journal, done.stderr)
                made[form] = out
            check_valid(made["qif"])
            valid += 1
            description = scratch / f"{at}.csv-metadata.json"
            compared += compare(made["csv"], description, made["json"])
            of_batch = scratch / f"{at}-batch.csv"
            description = scratch / f"{at}-batch.csv-metadata.json"
            in_batches += compare_batch(of_batch, description, made["json"])
        text = (pathlib.Path(made_by_hand) / "by-hand.qif").read_text(encoding="utf-8")
        for name, copy in spoiled(text):
            path = scratch / "spoiled.qif"
            path.write_text(copy, encoding="utf-8")
            was_valid, _ = validate(path)
            assert not was_valid, f"{name} is not refused"
            refused += 1
        assert refused == 6
        assert in_batches > 50, in_batches
    finally:
        shutil.rmtree(scratch)
    print(
        f"{valid} exchange files valid, {refused} spoiled ones refused, "
        f"{compared} fields of {len(journals)} tables and {in_batches} of batches compared"
    )


def continued_by(path):
    first = json.loads(path.open(encoding="utf-8").readline())
    return [first["body"]["file"]] if first["kind"] == "continuation_opened" else []


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2])
