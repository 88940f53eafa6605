"""The compact notation of the answers in files/: one row a line of speech, then its words and the problems.

12 | 1.5-4 | Fenella | text of the line       line number in the file, seconds, speaker
12 | 1.5-4 |  | - text of the line            a mark says that another speaker begins here
   : peel 1-1.5, the 1.5-2                    words that carry times
? end.missing 12                              code and line number of a problem
"""

from pipeline.read import Transcript


def written(transcript: Transcript) -> str:
    rows = [transcript.format]
    for line in transcript.lines:
        said = "- " * line.turn + line.text
        rows.append(f"{line.number} | {line.start:g}-{line.end:g} | {line.speaker or ''} | {said}")
        if line.words:
            rows.append("  : " + ", ".join(f"{word.text} {word.start:g}-{word.end:g}" for word in line.words))
    rows.extend(f"? {problem.code} {problem.line}" for problem in transcript.problems)
    return "\n".join(rows) + "\n"
