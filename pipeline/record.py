"""The episode record: what one transcript becomes, and what every later stage and exporter reads.

Times are seconds from the start of the recording. All models are frozen; field order is the order on disk.
"""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

RECORD_VERSION: Literal["stillroom-episode/1"] = "stillroom-episode/1"

Unit = Literal[
    "teaspoon", "tablespoon", "cup", "fluid_ounce", "pint", "quart", "gallon", "millilitre", "litre", "gram",
    "kilogram", "ounce", "pound", "each", "clove", "stick", "can", "slice", "sprig", "bunch", "head", "stalk",
    "leaf", "pinch", "dash", "handful", "inch", "package", "piece",
]  # fmt: skip


class Model(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True)


class Evidence(Model):
    """The transcript's own words for a value, and the name of the rule that read them."""

    start: float
    end: float
    words: str
    rule: str


class Range(Model):
    low: float
    best: float
    high: float


class Amount(Model):
    """An amount as spoken; figures and unit are null where basis is `unsaid` or the words carry none."""

    low: float | None = None
    best: float | None = None
    high: float | None = None
    unit: Unit | None = None
    basis: Literal["said", "vague", "unsaid"]
    words: str = ""


class Grams(Model):
    """Grams of edible food. `how` says in words what was multiplied, `source` where the weights come from."""

    low: float
    best: float
    high: float
    basis: Literal["weight", "volume", "count", "vague", "typical"]
    how: str = ""
    source: str = ""


class FoodRef(Model):
    """The row of the food table; score 0..1, with the next best row where the match was not exact."""

    id: str
    name: str
    score: float
    runner_up: str | None = None


class Ingredient(Model):
    id: str
    name: str
    component: str | None = None
    amount: Amount
    or_: Amount | None = Field(default=None, alias="or")
    grams: Grams | None = None
    food: FoodRef | None = None
    preparation: tuple[str, ...] = ()
    optional: bool = False
    alternatives: tuple[str, ...] = ()
    discarded: float = 0.0
    evidence: tuple[Evidence, ...] = ()


DOUBTED = "doubted"


class Mention(Model):
    """A food spoken of and kept out of the recipe, with the reason; DOUBTED where it is only likely that it is none."""

    name: str
    why: str
    evidence: tuple[Evidence, ...] = ()


class Step(Model):
    n: int
    component: str | None = None
    text: str
    start: float
    end: float
    evidence: tuple[Evidence, ...] = ()


class Temperature(Model):
    """A temperature that was said; it does not hold where it is `taken_back`: another was put in its place at once."""

    value: float
    unit: Literal["F", "C", "gas"]
    celsius: float
    of: Literal["oven", "food", "oil", "water", "fridge", "freezer", "room", "other"]
    for_: str = Field(default="", alias="for")
    unit_said: bool = True
    taken_back: bool = False
    evidence: tuple[Evidence, ...] = ()


class Duration(Model):
    low: float
    high: float
    unit: Literal["second", "minute", "hour", "day"]
    seconds: tuple[float, float]
    for_: str = Field(default="", alias="for")
    kind: Literal["planned", "elapsed"]
    evidence: tuple[Evidence, ...] = ()


class Claim(Model):
    food: str
    nutrient: str
    sense: Literal["low", "high", "none", "added-none"]
    evidence: tuple[Evidence, ...] = ()


class Servings(Model):
    low: float
    best: float
    high: float
    basis: Literal["said", "inferred", "assumed"]
    evidence: tuple[Evidence, ...] = ()


class Renal(Model):
    """What renal teams look at besides the sums, of the whole recipe.

    `phosphorus_by_source` (mg) is by the kind of food that carries it, `absorbable_phosphorus_mg` after the shares of
    the literature; `additive_share` is the share 0..1 of the phosphorus that is from additives and leavenings.
    `pral_meq` is the acid load of the recipe, `neap_meq` that of a day on nothing else. A ratio is null where its
    divisor may be nought. `incomplete` names the fields that a figure not known may move either way.
    """

    phosphorus_by_source: dict[str, Range] = Field(default_factory=dict)
    absorbable_phosphorus_mg: Range | None = None
    phosphorus_per_protein: Range | None = None
    additive_share: Range | None = None
    pral_meq: Range | None = None
    neap_meq: Range | None = None
    incomplete: tuple[str, ...] = ()


class Load(Model):
    """Totals by nutrient; `at_least` names the nutrients where a figure or a weight is not known.

    Low and high are bounds. `band` and `serving_band` hold the 80 % band of a simulation, its median as `best`.
    `grams` is the weight of all that goes in and is not thrown away, before cooking; `per_100g` is of that weight.
    """

    servings: Range | None = None
    per_recipe: dict[str, Range] = Field(default_factory=dict)
    per_serving: dict[str, Range] | None = None
    at_least: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()
    grams: Range | None = None
    per_100g: dict[str, Range] | None = None
    per_component: dict[str, dict[str, Range]] = Field(default_factory=dict)
    band: dict[str, Range] = Field(default_factory=dict)
    serving_band: dict[str, Range] | None = None
    renal: Renal | None = None


class Finding(Model):
    rule: str
    level: Literal["stop", "caution", "note"]
    text: str
    about: str
    evidence: tuple[Evidence, ...] = ()
    sources: tuple[str, ...] = ()


class Question(Model):
    text: str
    about: str
    effect: str
    evidence: tuple[Evidence, ...] = ()


class Recipe(Model):
    id: str
    title: str
    start: float
    end: float
    servings: Servings | None = None
    components: tuple[str, ...] = ()
    ingredients: tuple[Ingredient, ...] = ()
    mentions: tuple[Mention, ...] = ()
    method: tuple[Step, ...] = ()
    temperatures: tuple[Temperature, ...] = ()
    times: tuple[Duration, ...] = ()
    claims: tuple[Claim, ...] = ()
    load: Load | None = None
    findings: tuple[Finding, ...] = ()
    questions: tuple[Question, ...] = ()

    @property
    def standing_temperatures(self) -> tuple[Temperature, ...]:
        """Those that the speaker did not take back."""
        return tuple(said for said in self.temperatures if not said.taken_back)


class Decided(Model):
    """A person's decision about the record; `unplaced` says why it could not be carried out, empty where it was."""

    recipe: str
    text: str
    who: str
    when: str
    why: str
    unplaced: str = ""


class Review(Model):
    """Who reviewed the recipes, when (ISO date), and the hash of the content that was reviewed."""

    by: str
    credential: str
    date: str
    content: str


class Source(Model):
    file: str
    sha256: str
    format: str
    duration: float


class Episode(Model):
    """One transcript's record. `rules` is the version of the program and its rule files that wrote it.

    `decisions` are what people decided about it, in order; `review` is the latest, whether or not it is out of date.
    """

    record: Literal["stillroom-episode/1"] = RECORD_VERSION
    source: Source
    rules: str
    caution: str
    recipes: tuple[Recipe, ...] = ()
    decisions: tuple[Decided, ...] = ()
    review: Review | None = None

    def to_json(self) -> str:
        """The record as it is written to disk: UTF-8 JSON, two-space indent, final newline."""
        return self.model_dump_json(indent=2, by_alias=True) + "\n"
