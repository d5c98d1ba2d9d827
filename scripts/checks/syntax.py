"""Runs a compiler's front end over many files, two at a time, and remembers which ones passed.

usage: syntax.py headers COMPILER ROOT CACHE         each public header alone, included twice
       syntax.py sources COMPILER ROOT CACHE DATABASE  every unit of compile_commands.json

A file is checked again when it, or anything it includes, has changed since it passed.
"""
import concurrent.futures
import hashlib
import json
import os
import pathlib
import shlex
import subprocess
import sys

WARNINGS = ["-Wall", "-Wextra", "-Werror"]


def fingerprint(path):
    try:
        found = os.stat(path)
    except OSError:
        return None
    return [found.st_mtime_ns, found.st_size]


def dependencies(text):
    """The file names of a make rule as the compiler writes it."""
    body = text.partition(":")[2].replace("\\\n", " ")
    return [name.replace("\\ ", " ") for name in shlex.split(body, posix=False)]


def run_one(name, command, text, cache):
    key = hashlib.sha256(json.dumps([command, text]).encode()).hexdigest()
    stamp = cache / f"{key}.json"
    if stamp.exists():
        known = json.loads(stamp.read_text(encoding="utf-8"))
        if all(fingerprint(path) == seen for path, seen in known.items()):
            return name, True, "", False
    rule = cache / f"{key}.d"
    done = subprocess.run([*command, "-MD", "-MF", str(rule), "-MT", "x"], input=text,
                          capture_output=True, text=True, check=False)
    if done.returncode == 0:
        files = [f for f in dependencies(rule.read_text(encoding="utf-8")) if f != "-"]
        stamp.write_text(json.dumps({f: fingerprint(f) for f in files}), encoding="utf-8")
    rule.unlink(missing_ok=True)
    return name, done.returncode == 0, done.stderr, True


def header_jobs(compiler, root):
    for path in sorted((root / "include").rglob("*.hpp")):
        name = str(path.relative_to(root / "include"))
        command = [compiler, "-std=c++20", "-fsyntax-only", *WARNINGS, f"-I{root}/include", "-x", "c++", "-"]
        yield name, command, f'#include "{name}"\n#include "{name}"\n'


def source_jobs(compiler, root, database):
    for entry in json.loads(pathlib.Path(database).read_text(encoding="utf-8")):
        words = shlex.split(entry["command"])
        kept = ["-std=c++20", "-fsyntax-only", *WARNINGS]
        take_next = False
        for word in words:
            if take_next:
                kept.append(word)
                take_next = False
            elif word == "-isystem":
                kept.append(word)
                take_next = True
            elif word.startswith(("-I", "-D")):
                kept.append(word)
        path = pathlib.Path(entry["file"])
        name = str(path.relative_to(root)) if path.is_relative_to(root) else str(path)
        yield name, [compiler, *kept, str(path)], ""


def main():
    mode, compiler, root, cache = sys.argv[1], sys.argv[2], pathlib.Path(sys.argv[3]), pathlib.Path(sys.argv[4])
    cache.mkdir(parents=True, exist_ok=True)
    jobs = header_jobs(compiler, root) if mode == "headers" else source_jobs(compiler, root, sys.argv[5])
    total = failed = again = 0
    with concurrent.futures.ThreadPoolExecutor(max_workers=2) as pool:
        for name, good, text, ran in pool.map(lambda job: run_one(*job, cache), jobs):
            total += 1
            again += ran
            if not good:
                failed += 1
                print(f"FAILED {name}\n{text}")
    print(f"{total} files, {again} compiled now, {total - again} unchanged since they passed, {failed} failed")
    return 1 if failed or not total else 0


if __name__ == "__main__":
    sys.exit(main())
