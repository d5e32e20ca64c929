#!/usr/bin/env python3
"""Checks Fitledger journals from the description of their form alone (sessions/FORMAT.md).

It shares no code with Fitledger and needs only Python's standard library (3.8 or later).

    independent_reader.py FILE...      one JSON object a file; exit 1 when one is not right
    independent_reader.py --golden DIR every DIR/*/*.jsonl against its .expected.json beside it
"""

import datetime, hashlib, json, pathlib, re, sys

LONGEST_LINE = 65_536
LARGEST_WHOLE = 2**53 - 1
GENESIS = "0" * 64
BOM = b"\xef\xbb\xbf"
FORM = re.compile(
    rb'\{"v":1,"seq":([1-9][0-9]{0,15}),"time":"([0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9:]{8}\.[0-9]{3}Z)",'
    rb'"mono":(0|[1-9][0-9]{0,15}),"kind":"([a-z][a-z0-9_]{0,63})",'
    rb'"body":(\{[^\x00-\x1f]*\}),"prev":"([0-9a-f]{64})","hash":"([0-9a-f]{64})"\}'
)
NEWER = re.compile(rb'\{"v":([0-9]+)(?:,.*)?,"hash":"([0-9a-f]{64})"\}', re.DOTALL)
STRING = re.compile(r'"(?:[^"\\\x00-\x1f]|\\.)*"')


class Line:
    """A line that checks itself."""

    def __init__(self, raw):
        match = FORM.fullmatch(raw)
        if match is None or len(raw) >= LONGEST_LINE:
            raise ValueError("not_a_line")
        seq, time, mono, kind, body, prev, self.hash = (part.decode() for part in match.groups())
        datetime.datetime.strptime(time, "%Y-%m-%dT%H:%M:%S.%fZ")
        self.seq, self.kind, self.body, self.prev = int(seq), kind, body, prev
        if max(self.seq, int(mono)) > LARGEST_WHOLE:
            raise ValueError("not_a_line")
        if hash_of(raw) != self.hash:
            raise ValueError("altered")

    def body_is_right(self):
        try:
            json.loads(self.body)
        except (ValueError, RecursionError):
            return False
        return not re.search(r"\s", STRING.sub("", self.body))


def hash_of(raw):
    """SHA-256 of one zero byte and everything before `,"hash"`."""
    return hashlib.sha256(b"\0" + raw[: raw.rindex(b',"hash"')]).hexdigest()


def damage(raw, finished):
    """The name of a stretch that is no line."""
    if b"}\r{" in raw:
        return "line_ends_converted"
    if not finished:
        return "torn_tail"
    if raw in (b"", b"\r"):
        return "blank_line"
    if not raw.strip(b"\0"):
        return "zeros"
    if len(raw) >= LONGEST_LINE:
        return "too_long"
    newer = NEWER.fullmatch(raw)
    if newer and newer[1] != b"1" and hash_of(raw) == newer[2].decode():
        return "newer_version"
    try:
        Line(raw)
    except UnicodeDecodeError:
        return "not_a_line"
    except ValueError as fault:
        return "altered" if str(fault) == "altered" else "not_a_line"
    return None


def check(content):
    """The report on one file, with the same fields as `fitledger verify --json`."""
    findings, events, head, offset = [], 0, None, 0
    closed, torn, previous, after_damage = False, False, None, False
    for number, raw in enumerate(re.findall(rb"[^\n]*\n|[^\n]+", content), 1):
        place = {"line": number, "offset": offset, "length": len(raw)}

        def find(kind, **other):
            findings.append({"kind": kind, **place, **other})

        offset += len(raw)
        finished, text = raw.endswith(b"\n"), raw.rstrip(b"\n")
        if number == 1 and text.startswith(BOM):
            text = text[3:]
            find("byte_order_mark", offset=0, length=3)
        if finished and text.endswith(b"\r") and damage(text[:-1], True) is None:
            text = text[:-1]
            if not any(found["kind"] == "line_ends_converted" for found in findings):
                find("line_ends_converted")
        if damage(text, True):
            find(damage(text, finished))
            torn = torn or findings[-1]["kind"] == "torn_tail"
            previous, after_damage = place, True
            continue
        line = Line(text)
        events += 1
        if not finished:
            torn = True
            find("line_end_missing")
        if not line.body_is_right():
            find("bad_body")
        if closed:
            find("after_close")
        closed = closed or line.kind == "session_closed"
        opens = line.kind == "continuation_opened"
        if head is None:
            origin = json.loads(line.body) if opens else {"seq": 0, "hash": GENESIS}
            head = (origin["seq"], origin["hash"])
        elif opens:
            find("bad_link")
        in_order = line.seq == head[0] + 1 and line.prev == head[1]
        if line.seq <= head[0]:
            find("duplicate" if (line.seq, line.hash) == head else "out_of_order")
        elif line.seq > head[0] + 1 and not after_damage:
            find("missing")
        elif line.seq == head[0] + 1 and not in_order:
            find("chain_broken")
        if line.kind == "tail_damaged":
            void = {"bytes": 0, "offset": place["offset"] - 1}
            if after_damage:
                void = {"bytes": previous["length"] - 1, "offset": previous["offset"]}
            if json.loads(line.body) != void or (after_damage and not in_order):
                find("bad_link")
            elif after_damage:
                findings[-1]["kind"] = "torn_tail_continued"
        head = max(head, (line.seq, line.hash), key=lambda link: link[0])
        previous, after_damage = place, False
    harmless = {"torn_tail", "line_end_missing", "torn_tail_continued"}
    state = "torn_tail" if torn else "sound" if closed else "not_closed"
    if any(found["kind"] not in harmless for found in findings):
        state = "damaged"
    head = head[1] if head else GENESIS
    return {"state": state, "events": events, "head": head, "findings": findings}


def main(arguments):
    if arguments[:1] == ["--golden"]:
        files = sorted(pathlib.Path(arguments[1]).glob("*/*.jsonl"))
        told = [json.loads(file.with_suffix(".expected.json").read_text()) for file in files]
        wrong = [file for file, right in zip(files, told) if check(file.read_bytes()) != right]
        print(f"{len(files)} journals, {len(wrong)} not as expected", *wrong, sep="\n")
        return 1 if wrong or not files else 0
    reports = [{"journal": name, **check(pathlib.Path(name).read_bytes())} for name in arguments]
    for report in reports:
        print(json.dumps(report, separators=(",", ":")))
    return 0 if all(report["state"] in ("sound", "not_closed") for report in reports) else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
