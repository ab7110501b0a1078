"""What there is to say about a flat table, gathered row by row and capped."""

from __future__ import annotations

from collections import Counter

from handling_db.findings import Finding, Place, Verdict

MAX_LISTED = 1000

RULE = "table"
MASSES_DIFFER = "masses-differ"
CENTRES_DIFFER = "centres-differ"
NAMES_DIFFER = "names-differ"


class FileFindings:
    """Gathers findings about one file; of each verdict at most `MAX_LISTED`, the rest are counted.

    Parameters
    ----------
    file : str
        How the file is called in messages.
    """

    def __init__(self, file: str) -> None:
        self.file = file
        self._listed: list[Finding] = []
        self._counts: Counter[Verdict] = Counter()
        self.belongs_nowhere = False  # of a row with a fault it is not known what it belongs to

    def copy(self) -> FileFindings:
        """The same, to go back to where a way of reading turns out to be the wrong one."""
        again = FileFindings(self.file)
        again._listed, again._counts = list(self._listed), Counter(self._counts)
        again.belongs_nowhere = self.belongs_nowhere
        return again

    @property
    def faults(self) -> int:
        """How many faults there are so far, listed or not."""
        return self._counts[Verdict.FAULT]

    @property
    def total(self) -> int:
        """How many findings of any verdict there are so far, listed or not."""
        return self._counts.total()

    def fault(self, line: int, column: str, sentence: str, remedy: str, about: str = "") -> None:
        """Something that cannot be read, or makes no sense as written."""
        self.add(Finding(RULE, Verdict.FAULT, about, sentence, remedy, Place(self.file, line), column))

    def remark(
        self, line: int, column: str, sentence: str, remedy: str, about: str = "", rule: str = RULE
    ) -> None:
        """Something that was read, in a way the writer should know of."""
        self.add(Finding(rule, Verdict.REMARK, about, sentence, remedy, Place(self.file, line), column))

    def add(self, finding: Finding) -> None:
        """Take a finding in, or only count it once there are many of its verdict."""
        self._counts[finding.verdict] += 1
        if self._counts[finding.verdict] <= MAX_LISTED:
            self._listed.append(finding)

    def findings(self) -> tuple[Finding, ...]:
        """All that is listed in the order of lines, then how many more there are of each verdict."""
        listed = sorted(self._listed, key=lambda finding: finding.place.line if finding.place else 0)
        for verdict in Verdict:
            more = self._counts[verdict] - MAX_LISTED
            if more > 0:
                told = f"{more} more of the same verdict ({verdict}) are not listed;"
                remedy = "deal with those above, then read the table again."
                listed.append(Finding(RULE, verdict, "", told, remedy, Place(self.file, 1)))
        return tuple(listed)
