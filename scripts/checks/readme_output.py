"""Compares README's console blocks with what the program prints now.

usage: readme_output.py README.md PROGRAM SOURCE_ROOT [--write]
A block is checked when the line before its fence is an HTML comment `<!-- prints: ARGUMENTS -->`: PROGRAM is run with these
arguments in a copy-free way from SOURCE_ROOT; `OUT` stands for a temporary folder. --write puts the present output in.
`<!-- prints: ARGUMENTS (first N lines, last M) -->` shows only these, and between them how many lines are left out.
"""
import difflib
import pathlib
import re
import subprocess
import sys
import tempfile

BLOCK = re.compile(r"(<!-- prints: (?P<args>.*?)(?: \(first (?P<first>\d+) lines, last (?P<last>\d+)\))? -->\n```\n)(?P<text>.*?)(```\n)", re.S)


def output(program, arguments, root):
    with tempfile.TemporaryDirectory() as folder:
        words = [word.replace("OUT", folder + "/out") for word in arguments.split()]
        done = subprocess.run([program, *words], cwd=root, capture_output=True, text=True, check=False)
    if done.returncode != 0:
        sys.exit(f"{program} {arguments}: exit code {done.returncode}\n{done.stderr}")
    return done.stdout


def shown(block, program, root):
    text = output(program, block.group("args"), root)
    if not block.group("first"):
        return text
    lines, first, last = text.splitlines(True), int(block.group("first")), int(block.group("last"))
    left_out = len(lines) - first - last
    if left_out <= 0:
        return text
    return "".join([*lines[:first], f"[… {left_out} lines more …]\n", *lines[-last:]])


def main():
    readme, program, root = pathlib.Path(sys.argv[1]), sys.argv[2], sys.argv[3]
    text = readme.read_text(encoding="utf-8")
    blocks = list(BLOCK.finditer(text))
    if not blocks:
        sys.exit(f"{readme}: no block with a `prints:` comment")
    if "--write" in sys.argv:
        text = BLOCK.sub(lambda m: m.group(1) + shown(m, program, root) + m.groups()[-1], text)
        readme.write_text(text, encoding="utf-8")
        return 0
    bad = 0
    for block in blocks:
        now = shown(block, program, root)
        if now != block.group("text"):
            bad += 1
            print(f"README shows another output of `curbshed {block.group('args')}`:")
            print("".join(difflib.unified_diff(block.group("text").splitlines(True), now.splitlines(True), "README", "now")))
    print(f"{len(blocks)} blocks checked, {bad} differ")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
