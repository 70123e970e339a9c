-- What the guide by symptom was answered stays with the fault; the time of a step is put right after a long pause;
-- what was done differently waits for the close of its season, which asks once whether it is kept.

ALTER TABLE repair_entry ADD COLUMN tried TEXT NOT NULL DEFAULT '';
ALTER TABLE repair_entry ADD COLUMN result TEXT NOT NULL DEFAULT '';

-- The tick itself is never changed; an empty time says that none is known.
CREATE TABLE time_correction (
  id TEXT PRIMARY KEY, ended_at INTEGER,
  step_key TEXT NOT NULL, ticked_ms INTEGER NOT NULL, at_ms INTEGER NOT NULL,
  taken_s INTEGER CHECK (taken_s >= 0), why TEXT NOT NULL DEFAULT ''
) STRICT;

CREATE TABLE season_difference (
  id TEXT PRIMARY KEY, ended_at INTEGER,
  season_id TEXT NOT NULL REFERENCES season (id), placement_id TEXT REFERENCES placement (id),
  what TEXT NOT NULL CHECK (what IN ('port','lead','place','count','level')), link_code TEXT,
  before_text TEXT NOT NULL DEFAULT '', after_text TEXT NOT NULL DEFAULT '', at_ms INTEGER NOT NULL,
  decision TEXT NOT NULL DEFAULT 'open' CHECK (decision IN ('open','kept','dropped'))
) STRICT;
