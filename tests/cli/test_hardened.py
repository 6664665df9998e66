#!/usr/bin/python3
"""What the program and the library are built with against faults in memory, read from their ELF files.

Needs Python 3.11, its standard library only; readelf and objdump, which come with the linker.
Environment: COAMING, the program; COAMING_LIBRARY, the shared library; COAMING_OBJECTS, a folder with the
object files of the library.
"""

import os
import platform
import re
import subprocess
import unittest
from pathlib import Path

PROGRAM, LIBRARY = Path(os.environ["COAMING"]), Path(os.environ["COAMING_LIBRARY"])
BOTH = (PROGRAM, LIBRARY)
X86 = platform.machine() in ("x86_64", "i686")


def told(*words):
    return subprocess.run([*map(str, words)], check=True, capture_output=True, text=True,
                          env=os.environ | {"LC_ALL": "C"}).stdout


class Hardened(unittest.TestCase):
    def test_the_program_lies_anywhere_in_memory(self):
        self.assertRegex(told("readelf", "-hW", PROGRAM), r"Type:\s+DYN")
        self.assertRegex(told("readelf", "-dW", PROGRAM), r"FLAGS_1\).*\bPIE\b")

    def test_places_of_functions_are_read_only_once_it_runs(self):
        for file in BOTH:
            self.assertRegex(told("readelf", "-lW", file), r"GNU_RELRO", file)
            self.assertRegex(told("readelf", "-dW", file), r"FLAGS_1\).*\bNOW\b", file)
            self.assertNotIn("TEXTREL", told("readelf", "-dW", file), file)

    def test_nothing_is_written_to_and_run(self):
        for file in BOTH:
            segments = told("readelf", "-lW", file)
            self.assertRegex(segments, r"GNU_STACK\s+(0x\w+\s+){5}RW ", file)
            self.assertNotRegex(segments, r"LOAD\s+(0x\w+\s+){5}RWE", file)

    def test_the_stack_is_guarded(self):
        for file in BOTH:
            symbols = told("readelf", "--dyn-syms", "-W", file)
            self.assertRegex(symbols, r"UND __stack_chk_fail\b", file)

    def test_the_c_library_looks_whether_it_fits(self):
        for file in BOTH:
            symbols = told("readelf", "--dyn-syms", "-W", file)
            checked = set(re.findall(r"UND __(\w+)_chk\b", symbols)) - {"stack"}
            self.assertIn("snprintf", checked, file)  # where the size of what it writes to is known
            unchecked = set(re.findall(r"UND (f?printf|vf?printf)\b", symbols))
            self.assertEqual(unchecked, set(), file)

    @unittest.skipUnless(X86, "an instruction of x86")
    def test_jumps_go_where_they_may(self):
        """Each object is marked; the whole only is where the system's own first object is, which Debian's is
        not. The public functions begin with the mark."""
        objects = [o for o in Path(os.environ["COAMING_OBJECTS"]).rglob("*.o")]
        self.assertGreater(len(objects), 200)
        for file in objects:
            self.assertRegex(told("readelf", "-nW", file), r"x86 feature: IBT, SHSTK", file)
        code = told("objdump", "-d", "--no-show-raw-insn", LIBRARY)
        starts = re.findall(r"<(coaming_\w+)>:\n\s+\w+:\s+(\w+)", code)
        self.assertGreater(len(starts), 300)
        public = set(re.findall(r" FUNC +GLOBAL +DEFAULT +\d+ (coaming_\w+)", told("readelf", "--dyn-syms", "-W", LIBRARY)))
        self.assertEqual([name for name, first in starts if name in public and first not in ("endbr64", "endbr32")], [])

    @unittest.skipUnless(X86, "an instruction of x86")
    def test_big_frames_touch_each_page(self):
        self.assertRegex(told("objdump", "-d", "--no-show-raw-insn", PROGRAM), r"\bor[lq]\s+\$0x0,(0x\w+)?\(%[re]sp\)")

    def test_nothing_is_looked_for_in_folders_of_this_machine(self):
        for file in BOTH:
            for path in re.findall(r"R(?:UN)?PATH\).*\[(.*)\]", told("readelf", "-dW", file)):
                for folder in filter(None, path.split(":")):
                    self.assertTrue(folder.startswith("$ORIGIN"), (file, path))


if __name__ == "__main__":
    unittest.main()
