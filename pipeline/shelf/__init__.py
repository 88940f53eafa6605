"""The back-catalogue: episode records in one SQLite file, and what is asked of them.

    faults        what SQLite says                       -> StoreError
    migrations/   the tables, one numbered file a version
    store         path                                   -> an open store of this version
    entry         record and transcript                  -> the rows of an episode
    drafting      transcript or record as bytes          -> Entry, in a worker process
    executors     number of workers, or a scheduler      -> Executor
    keeping       Entry                                  -> store
    vocabulary    names and groups of foods              -> store
    adding        files, folders, lines, old episodes    -> store, through an Executor
    words         a word for food, a nutrient, a range   -> what is looked for
    question      what is looked for                     -> SQL
    finding       question                               -> hits
    alike         recipe                                 -> recipes like it
    reports       store                                  -> what is used most, trends, audits
    upkeep        store                                  -> check, backup, export

What answers a question imports nothing heavy: no pydantic, no numbers library, no language model.
"""
