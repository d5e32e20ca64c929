#!/usr/bin/env python3
"""T11: the record's folder may not be written, or the file is taken from under the program while a
session runs. No reading is silently unsaved: each is acknowledged and readable, or told.

    lost_folders.py PROGRAM     needs root, setpriv, chattr and to be allowed to mount
"""

import pathlib, shutil, subprocess, sys, tempfile, time

from typed_bench import Failed, Session, demand, finish, readings, records, value

NOBODY = ["setpriv", "--reuid", "65534", "--regid", "65534", "--clear-groups"]


def refused(program, workspace, rescue, before=()):
    """No session begins: exit 3, one error that names the folder, nothing acknowledged."""
    session = Session(program, workspace, rescue, before=before)
    session.send([value(0)])
    code = session.end()
    told = [one["error"]["message"] for one in session.errors]
    demand(code == 3 and not session.acknowledged, f"exit {code}, {session.acknowledged}")
    demand(told and str(workspace) in told[0], f"the folder is not named: {told}")
    demand(not records(workspace, rescue), "a record was made all the same")


def without_rights(program, folder):
    folder.chmod(0o755)
    (folder / "sessions").mkdir(mode=0o555)
    refused(program, folder, folder / "rescue", NOBODY)


def immutable(program, folder):
    (folder / "sessions").mkdir()
    subprocess.run(["chattr", "+i", folder / "sessions"], check=True)
    try:
        refused(program, folder, folder / "rescue")
    finally:
        subprocess.run(["chattr", "-i", folder / "sessions"], check=True)


def mounted_read_only(program, folder):
    (folder / "small").mkdir()
    subprocess.run(["mount", "-t", "tmpfs", "-o", "ro", "tmpfs", folder / "small"], check=True)
    try:
        refused(program, folder / "small", folder / "rescue")
    finally:
        subprocess.run(["umount", folder / "small"], check=True)


def during_a_session(deed, rescued=True):
    """Readings, the deed, readings: all of the later ones are readable somewhere, or told."""

    def case(program, folder):
        rescue = folder / "rescue"
        if not rescued:
            rescue = folder / "nowhere"
            rescue.write_text("a file where a folder would be")
        session = Session(program, folder, rescue)
        session.send([value(number) for number in range(3)])
        session.answered(3)
        kept = deed(records(folder)[0], folder)
        session.send([value(number) for number in range(3, 6)])
        session.answered(6)
        code = session.end()
        paths = records(folder, rescue) + ([kept] if kept else [])
        counting = readings(paths, damage_is_right=True)
        later = [one for one in session.acknowledged[3:] if counting.get(one[0]) != one[1]]
        demand(not later, f"acknowledged and in no record: {later}")
        told = {one["error"]["code"] for one in session.errors}
        demand("not_recorded" in told and code == 3, f"not told: exit {code}, {told}")
        if rescued:
            demand(len(session.acknowledged) == 6, f"the session did not go on: {session.errors}")

    return case


def folder_removed(path, folder):
    shutil.rmtree(path.parent)


def file_removed(path, folder):
    path.unlink()


def file_renamed(path, folder):
    return path.rename(folder / path.name)


def file_replaced(path, folder):
    shutil.copy(path, folder / "other")
    (folder / "other").rename(path)


def file_cut(path, folder):
    with open(path, "r+b") as file:
        file.truncate(path.stat().st_size - 10)


def file_added_to(path, folder):
    with open(path, "ab") as file:
        file.write(b"not ours\n")


def made_immutable(path, folder):
    subprocess.run(["chattr", "+i", path], check=True)


CASES = {
    "a folder without rights, as an ordinary user": without_rights,
    "an immutable folder": immutable,
    "a file system mounted read-only": mounted_read_only,
    "the folder removed": during_a_session(folder_removed),
    "the folder removed, no other place": during_a_session(folder_removed, rescued=False),
    "the file removed": during_a_session(file_removed),
    "the file renamed": during_a_session(file_renamed),
    "the file replaced by a copy": during_a_session(file_replaced),
    "the file cut by another program": during_a_session(file_cut),
    "the file added to by another program": during_a_session(file_added_to),
    "the file made immutable": during_a_session(made_immutable),
}


def main(program):
    since, failures = time.monotonic(), []
    for name, case in CASES.items():
        begun = time.monotonic()
        with tempfile.TemporaryDirectory() as scratch:
            folder = pathlib.Path(scratch)
            (folder / "rescue").mkdir()
            try:
                case(program, folder)
                print(f"{name}: {time.monotonic() - begun:.1f} s")
            except Failed as failure:
                failures.append(f"{name}: {failure}")
            finally:
                subprocess.run(["chattr", "-R", "-i", folder], capture_output=True)
    finish("T11 lost folders", len(CASES), failures, since)


main(str(pathlib.Path(sys.argv[1]).resolve()))
