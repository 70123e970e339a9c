-- Tests that run by themselves: somebody starts them and somebody looks, and meanwhile they only want somebody there.

CREATE TABLE recipe_run (
  id TEXT PRIMARY KEY, ended_at INTEGER,
  recipe_step_id TEXT NOT NULL REFERENCES recipe_step (id),
  start_s INTEGER NOT NULL CHECK (start_s >= 0), runs_s INTEGER NOT NULL CHECK (runs_s >= 0)
) STRICT;

-- How many of them run side by side at the bench: room, supplies and outlets.
ALTER TABLE site ADD COLUMN bench_tests INTEGER CHECK (bench_tests BETWEEN 1 AND 100);

-- What a session costs besides its work: fetching, opening, tidying up.
ALTER TABLE site ADD COLUMN session_minutes INTEGER CHECK (session_minutes BETWEEN 0 AND 120);
