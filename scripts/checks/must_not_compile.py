"""Builds one case twice: as it stands it must compile, with -DMUST_FAIL it must not.

The case names the error it expects in a line "// error: <regular expression>", so that it cannot fail
for another reason.

usage: must_not_compile.py COMPILER ROOT CASE.cpp
"""
import pathlib
import re
import subprocess
import sys


def compile_case(compiler, root, case, *extra):
    return subprocess.run(
        [compiler, "-std=c++20", "-fsyntax-only", f"-I{root}/include", *extra, str(case)],
        capture_output=True, text=True, check=False, env={"LC_ALL": "C", "PATH": "/usr/bin:/bin"})


def main():
    compiler, root, case = sys.argv[1], sys.argv[2], pathlib.Path(sys.argv[3])
    expected = re.search(r"^// error: (.+)$", case.read_text(encoding="utf-8"), re.M)
    if not expected:
        print(f"{case.name}: has no '// error:' line")
        return 1
    good = compile_case(compiler, root, case)
    if good.returncode != 0:
        print(f"{case.name}: the part that must compile does not:\n{good.stderr}")
        return 1
    bad = compile_case(compiler, root, case, "-DMUST_FAIL")
    if bad.returncode == 0:
        print(f"{case.name}: compiles with MUST_FAIL, and must not")
        return 1
    if not any(re.search(expected[1], line) for line in bad.stderr.splitlines() if "error:" in line):
        print(f"{case.name}: fails, but not with '{expected[1]}':\n{bad.stderr}")
        return 1
    print(f"{case.name}: refused as expected")
    return 0


if __name__ == "__main__":
    sys.exit(main())
