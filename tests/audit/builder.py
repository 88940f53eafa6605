"""Episodes made by hand from the short notation of settings.csv."""

import re

from pipeline.foods.names import FoodNames
from pipeline.hear.numbers import NumberReader, NumberWords
from pipeline.read.transcript import Line, Transcript
from pipeline.record import Amount, Duration, Episode, Evidence, FoodRef, Ingredient, Recipe, Source, Step, Temperature

CAUTION = "Not medical advice."
SECONDS = {"second": 1, "min": 60, "hour": 3600, "day": 86400}
KINDS = {"oven", "food", "oil", "water", "fridge", "freezer", "room", "other"}
GAS = {2: 150, 4: 180, 6: 200, 7: 220}
NOTE = re.compile(
    r"(?P<of>\S+) (?P<low>[\d.]+)(?:-(?P<high>[\d.]+))?(?P<unit>[A-Za-z]+)(?P<open>\?)?"
    r"(?P<elapsed> elapsed)? #(?P<line>\d+)"
)
STAMP = re.compile(r"@(\d+):(\d\d) ")


def transcript(said: str) -> Transcript:
    """Lines parted by ` / `, five seconds each; `@m:ss` sets the time of a line."""
    lines = []
    start = 0.0
    for number, text in enumerate(said.split(" / "), 1):
        if stamp := STAMP.match(text):
            start = 60.0 * int(stamp[1]) + int(stamp[2])
            text = text[stamp.end() :]
        lines.append(Line(number, start, start + 5, text))
        start += 5
    return Transcript("invented.txt", "0" * 64, "plain", tuple(lines))


def episode(title: str, foods: str, heard: Transcript, settings: str) -> Episode:
    """One dish over the whole of the transcript, each line a step."""
    heats, times = [], []
    for note in filter(None, (part.strip() for part in settings.split(";"))):
        match = NOTE.fullmatch(note)
        assert match, note
        (heats if match["of"] in KINDS else times).append(_setting(match, heard))
    recipe = Recipe(
        id="dish",
        title=title,
        start=0,
        end=heard.duration,
        ingredients=tuple(_ingredient(n, name.strip()) for n, name in enumerate(foods.split(";"), 1)),
        method=tuple(
            Step(n=line.number, text=line.text, start=line.start, end=line.end, evidence=(_evidence(line),))
            for line in heard.lines
        ),
        temperatures=tuple(heats),
        times=tuple(times),
    )
    source = Source(file=heard.file, sha256=heard.sha256, format=heard.format, duration=heard.duration)
    return Episode(source=source, rules="test", caution=CAUTION, recipes=(recipe,))


def _evidence(line: Line, words: str = "") -> Evidence:
    return Evidence(start=line.start, end=line.end, words=words or line.text, rule="test")


def _setting(match: re.Match[str], heard: Transcript) -> Temperature | Duration:
    low, line = float(match["low"]), heard.lines[int(match["line"]) - 1]
    high = float(match["high"] or low)
    if match["of"] in KINDS:
        unit = match["unit"]
        celsius = GAS[int(low)] if unit == "gas" else (low - 32) * 5 / 9 if unit == "F" else low
        said = _evidence(line, _figure(line.text, low))
        return Temperature(
            value=low, unit=unit, celsius=celsius, of=match["of"], unit_said=not match["open"], evidence=(said,)
        )
    unit = match["unit"]
    return Duration(
        low=low,
        high=high,
        unit={"min": "minute"}.get(unit, unit),
        seconds=(low * SECONDS[unit], high * SECONDS[unit]),
        for_=match["of"],
        kind="elapsed" if match["elapsed"] else "planned",
        evidence=(_evidence(line, _figure(line.text, low)),),
    )


def _figure(text: str, value: float) -> str:
    """The words of the figure with the word after it; the whole line where it is not there in plain numbers."""
    words = text.split()
    for start in range(len(words)):
        figure = NUMBERS.joined(words, start) or NUMBERS.at(words, start)
        if figure and value in {figure.low, figure.high}:
            return " ".join(words[start : figure.end + 1])
    return text


def _ingredient(number: int, name: str) -> Ingredient:
    entry = FOODS.lookup(name)
    food = FoodRef(id=entry.food, name=entry.name, score=1) if entry else None
    return Ingredient(id=f"line-{number}", name=name, amount=Amount(basis="unsaid"), food=food)


FOODS = FoodNames.load()
NUMBERS = NumberReader(NumberWords.load())
