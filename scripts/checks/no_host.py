"""Fails when the program could hold the clock, a path or the name of the machine that built or runs it.

The same inputs must give the same bytes anywhere, and results are handed to other people.

usage: no_host.py sources ROOT
       no_host.py program FILE FORBIDDEN_TEXT...
"""
import pathlib
import re
import subprocess
import sys

# Word -> why. std::chrono::steady_clock is allowed: it measures spans and knows no date.
FORBIDDEN = {
    r"__DATE__|__TIME__|__TIMESTAMP__": "puts the build time into the program",
    r"system_clock|gettimeofday|\bstd::time\(|\btime\(\s*(NULL|nullptr|0)\s*\)|strftime|CLOCK_REALTIME": "reads the date",
    r"gethostname|\buname\(|getlogin|getpwuid|HOSTNAME": "asks for the machine's or the user's name",
    r"\bstd::random_device": "gives another number each run",
    r"\b(normal|uniform_real|uniform_int)_distribution": "differs between standard libraries",
}
COMMENT = re.compile(r"//[^\n]*|/\*.*?\*/", re.S)


def check_sources(root):
    problems, count = [], 0
    for top in ("include", "src"):
        for path in sorted((root / top).rglob("*")):
            if path.suffix not in (".hpp", ".cpp", ".h", ".inc"):
                continue
            count += 1
            text = path.read_text(encoding="utf-8")
            text = COMMENT.sub(lambda m: "\n" * m.group().count("\n"), text)
            for number, line in enumerate(text.splitlines(), 1):
                for pattern, why in FORBIDDEN.items():
                    found = re.search(pattern, line)
                    if found:
                        problems.append(f"{path.relative_to(root)}:{number}: {found.group()} {why}")
    print(f"{count} files read")
    if not count:
        problems.append("no sources were found")
    return problems


def check_program(program, forbidden):
    done = subprocess.run(["/usr/bin/strings", "-a", program], capture_output=True, text=True,
                          errors="replace", check=True)
    problems = []
    for line in done.stdout.splitlines():
        for text in forbidden:
            if text in line:
                problems.append(f"{pathlib.Path(program).name} holds '{line.strip()[:200]}'")
    print(f"{len(done.stdout.splitlines())} strings read")
    return problems


def main():
    if sys.argv[1] == "sources":
        problems = check_sources(pathlib.Path(sys.argv[2]))
    else:
        problems = check_program(sys.argv[2], sys.argv[3:])
    for problem in problems:
        print(problem)
    return 1 if problems else 0


if __name__ == "__main__":
    sys.exit(main())
