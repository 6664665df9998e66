"""The list of changes that no test need kill, each with its reason.

An entry is a paragraph of four lines; it holds for each place of the file where the line reads so:

    file: src/analyse/flood/level.c
    line: for (int step = 0; step < 100; step++) {
    change: step < 100 -> step <= 100
    why: a limit that is never met
"""

WORDS = ("file", "line", "change", "why")


class Explained:
    def __init__(self, path):
        self.path = path
        self.entries, self.faults = {}, []
        paragraphs = path.read_text().split("\n\n") if path.exists() else []
        at = 1
        for paragraph in paragraphs:
            rows = [row for row in paragraph.splitlines() if row and not row.startswith("#")]
            if rows:
                self.take(at, rows)
            at += paragraph.count("\n") + 2

    def take(self, at, rows):
        said = dict(row.split(": ", 1) for row in rows if ": " in row)
        if tuple(said) != WORDS or len(rows) != 4 or " -> " not in said["change"] or not said["why"].strip():
            self.faults.append(f"{self.path}:{at}: four lines are wanted: {', '.join(WORDS)}")
        else:
            self.entries[(said["file"], said["line"], said["change"])] = (at, said["why"])

    def key(self, site):
        return site.path, site.text, f"{site.before} -> {site.after}"

    def why(self, site):
        return self.entries.get(self.key(site), (0, ""))[1]

    def stale(self, found):
        """What is wrong with the list: entries of files that were looked through and have no such change."""
        there = {self.key(site) for path in found for site in found[path]}
        return self.faults + [f"{self.path}:{at}: no such change any more: {key[0]}: {key[2]}"
                              for key, (at, _) in self.entries.items() if key[0] in found and key not in there]
