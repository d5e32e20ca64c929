#!/usr/bin/env python3
"""The libraries that are in the program, with their licences and what those ask to be passed on.

    crates.py TARGET     writes to standard output; TARGET is a triple such as `rustc -vV` tells

Of each library: name, version, licence, and the texts of its licence files, each text once.
"""
import json
import os
import subprocess
import sys

target = sys.argv[1]


def cargo(*arguments):
    answer = subprocess.run(["cargo", *arguments, "--locked"], stdout=subprocess.PIPE, check=True)
    return answer.stdout.decode()


# Not for tests alone, nor for building alone; with the features that the program asks for.
tree = cargo("tree", "--edges", "normal", "--prefix", "none", "--format", "{p}", "--target", target)
seen = {tuple(line.replace(" v", " ").split()[:2]) for line in tree.splitlines()[1:] if line}
metadata = json.loads(cargo("metadata", "--format-version", "1", "--filter-platform", target))
packages = [one for one in metadata["packages"] if (one["name"], one["version"]) in seen]
assert len(packages) == len(seen), "a library is there twice, or not at all"

texts, without = {}, []
print("Libraries in this program, and their licences")
# The MPL-2.0 asks that it be said where the source is; the others lose nothing by it.
print("The source of each, unchanged: https://crates.io/crates/NAME/VERSION\n")
for package in sorted(packages, key=lambda one: (one["name"], one["version"])):
    print(f"{package['name']} {package['version']}: {package['license'] or package['license_file']}")
    folder = os.path.dirname(package["manifest_path"])
    names = [name for name in sorted(os.listdir(folder))
             if name.upper().startswith(("LICENSE", "LICENCE", "COPYING", "NOTICE", "UNLICENSE"))]
    # Faces in a library have licences of their own, in texts beside them.
    faces = os.path.join(folder, "fonts")
    if os.path.isdir(faces):
        names += [f"fonts/{name}" for name in sorted(os.listdir(faces)) if name.endswith(".txt")]
    names = [name for name in names if os.path.isfile(os.path.join(folder, name))]
    for name in names:
        with open(os.path.join(folder, name), encoding="utf-8", errors="replace") as source:
            texts.setdefault(source.read().strip(), []).append(f"{package['name']} ({name})")
    if not names:
        without.append(package["name"])
if without:
    print(f"\nWithout a licence text of their own: {', '.join(without)}.")
for text, those in texts.items():
    print(f"\n{'=' * 72}\n{', '.join(those)}\n{'-' * 72}\n{text}")
