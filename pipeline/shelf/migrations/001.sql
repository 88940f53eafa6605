-- The back-catalogue, version 1. Times are seconds from the start of the recording.

-- One row an episode. The record is kept whole; every other table can be made again from this one.
CREATE TABLE episode (
    id INTEGER PRIMARY KEY,
    sha256 TEXT NOT NULL UNIQUE,   -- of the transcript's bytes: the same transcript is the same episode
    file TEXT NOT NULL,            -- its name, without the folder
    rules TEXT NOT NULL,           -- version of the program and rules that wrote the record
    date TEXT,                     -- ISO date of the programme, null where not known
    duration REAL NOT NULL,
    record TEXT NOT NULL,          -- the episode record as JSON on one line
    digest BLOB NOT NULL,          -- SHA-256 of `record`
    transcript BLOB,               -- the transcript's bytes, deflated; null where only the record was added
    amendments TEXT,               -- the file of people's decisions, whole; null where there is none
    measures TEXT                  -- whose cups were asked for when it was drafted, null where nobody did
) STRICT;
CREATE INDEX episode_file ON episode (file);
CREATE INDEX episode_date ON episode (date);

-- One row a recipe, kept narrow: what is asked of all of them.
CREATE TABLE recipe (
    id INTEGER PRIMARY KEY,
    episode INTEGER NOT NULL REFERENCES episode ON DELETE CASCADE,
    slug TEXT NOT NULL,            -- the recipe's id in its record
    title TEXT NOT NULL,
    start REAL NOT NULL,
    stop REAL NOT NULL,
    reviewed INTEGER NOT NULL,     -- 1 where a review stands for the content as it is
    time_low REAL,                 -- planned times added up; null where none was said
    time_high REAL,
    date TEXT,                     -- that of the episode
    UNIQUE (episode, slug)
) STRICT;
CREATE INDEX recipe_title ON recipe (title COLLATE NOCASE);
CREATE INDEX recipe_slug ON recipe (slug);

-- The texts in which words are sought.
CREATE TABLE recipe_text (
    recipe INTEGER PRIMARY KEY REFERENCES recipe ON DELETE CASCADE,
    title TEXT NOT NULL,
    foods TEXT NOT NULL,           -- names of the ingredients, one a line
    method TEXT NOT NULL,          -- steps, one a line
    spoken TEXT NOT NULL,          -- what was said about it, one line of the transcript a line
    moments TEXT NOT NULL          -- when each line of `spoken` begins, parted by spaces
) STRICT;

-- Foods: the rows of the food table, and names in recipes that fit no row.
CREATE TABLE food (
    id INTEGER PRIMARY KEY,
    key TEXT NOT NULL UNIQUE,      -- id of the food table, or the name
    name TEXT NOT NULL,
    listed INTEGER NOT NULL        -- 1 for a row of the food table
) STRICT;
CREATE INDEX food_not_listed ON food (name) WHERE listed = 0;

CREATE TABLE recipe_food (
    food INTEGER NOT NULL REFERENCES food,
    recipe INTEGER NOT NULL REFERENCES recipe ON DELETE CASCADE,
    PRIMARY KEY (food, recipe)
) STRICT, WITHOUT ROWID;
CREATE INDEX recipe_food_recipe ON recipe_food (recipe);

-- What a word for food stands for: word -> sense -> foods. `inside` marks foods that hold it as a part of them.
CREATE TABLE food_word (
    word TEXT PRIMARY KEY,
    sense INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
CREATE TABLE sense_food (
    sense INTEGER NOT NULL,
    food INTEGER NOT NULL REFERENCES food,
    inside INTEGER NOT NULL,
    PRIMARY KEY (sense, food)
) STRICT, WITHOUT ROWID;

-- Load: bounds and likeliest value, in the unit that the nutrient's name ends with.
CREATE TABLE nutrient (
    id INTEGER PRIMARY KEY,
    name TEXT NOT NULL UNIQUE      -- sodium_mg, protein_g ...
) STRICT;
CREATE TABLE recipe_load (
    nutrient INTEGER NOT NULL REFERENCES nutrient,
    per INTEGER NOT NULL,          -- 0 recipe, 1 serving, 2 100 g
    recipe INTEGER NOT NULL REFERENCES recipe ON DELETE CASCADE,
    low REAL NOT NULL,
    best REAL NOT NULL,
    high REAL NOT NULL,
    at_least INTEGER NOT NULL,     -- 1 where a figure or a weight is not known: `high` is then no upper end
    PRIMARY KEY (nutrient, per, recipe)
) STRICT, WITHOUT ROWID;
CREATE INDEX recipe_load_recipe ON recipe_load (recipe);
CREATE INDEX recipe_load_high ON recipe_load (nutrient, per, high);

-- Temperatures that were said.
CREATE TABLE recipe_heat (
    recipe INTEGER NOT NULL REFERENCES recipe ON DELETE CASCADE,
    celsius REAL NOT NULL,
    what TEXT NOT NULL,            -- oven, oil, food ...
    PRIMARY KEY (recipe, celsius, what)
) STRICT, WITHOUT ROWID;
CREATE INDEX recipe_heat_celsius ON recipe_heat (celsius);

-- Findings of review and audit.
CREATE TABLE recipe_finding (
    recipe INTEGER NOT NULL REFERENCES recipe ON DELETE CASCADE,
    n INTEGER NOT NULL,
    rule TEXT NOT NULL,
    level TEXT NOT NULL,           -- stop, caution or note
    text TEXT NOT NULL,
    start REAL,                    -- when the words it is about were said, null where it is about none
    PRIMARY KEY (recipe, n)
) STRICT, WITHOUT ROWID;
CREATE INDEX recipe_finding_rule ON recipe_finding (rule);
CREATE INDEX recipe_finding_level ON recipe_finding (level);

-- Small facts about the store itself, such as the hash of the food names it was filled with.
CREATE TABLE fact (
    name TEXT PRIMARY KEY,
    value TEXT NOT NULL
) STRICT, WITHOUT ROWID;

-- Words in titles, foods, methods and speech. The index holds no text of its own; triggers keep it in step.
CREATE VIRTUAL TABLE recipe_words USING fts5 (
    title, foods, method, spoken,
    content = 'recipe_text', content_rowid = 'recipe', tokenize = 'porter unicode61 remove_diacritics 2'
);
CREATE TRIGGER recipe_text_added AFTER INSERT ON recipe_text BEGIN
    INSERT INTO recipe_words (rowid, title, foods, method, spoken)
    VALUES (new.recipe, new.title, new.foods, new.method, new.spoken);
END;
CREATE TRIGGER recipe_text_removed AFTER DELETE ON recipe_text BEGIN
    INSERT INTO recipe_words (recipe_words, rowid, title, foods, method, spoken)
    VALUES ('delete', old.recipe, old.title, old.foods, old.method, old.spoken);
END;
