-- Readings of the load rehearsal beside what was computed, and what power and signal ask the owner: how far a reading
-- may differ, how numbers are laid, start-up currents, how a protective device trips at once, whether minus is joined.
-- Nothing is told where a column is empty; it then limits nothing.

ALTER TABLE site ADD COLUMN reading_limit_pct INTEGER CHECK (reading_limit_pct BETWEEN 1 AND 100);
ALTER TABLE season ADD COLUMN numbering TEXT CHECK (numbering IN ('run_on','no_split','fresh'));
ALTER TABLE product ADD COLUMN startup_ma INTEGER CHECK (startup_ma >= 0);
ALTER TABLE circuit ADD COLUMN trip_curve TEXT CHECK (trip_curve IN ('b','c','d'));
ALTER TABLE link ADD COLUMN minus_joined INTEGER CHECK (minus_joined IN (0,1));
ALTER TABLE link ADD COLUMN pixel_split INTEGER CHECK (pixel_split IN (0,1));
ALTER TABLE link ADD COLUMN plus_cut INTEGER CHECK (plus_cut IN (0,1));

-- Rows are added, never changed: what was read, what was expected then, and the fault it raised.
CREATE TABLE meter_reading (
  id TEXT PRIMARY KEY, ended_at INTEGER,
  step_key TEXT NOT NULL, season_id TEXT NOT NULL REFERENCES season (id),
  piece_id TEXT REFERENCES piece (id), circuit_id TEXT REFERENCES circuit (id),
  read_ma INTEGER NOT NULL CHECK (read_ma >= 0), expected_ma INTEGER CHECK (expected_ma >= 0),
  limit_pct INTEGER NOT NULL CHECK (limit_pct BETWEEN 1 AND 100),
  at_ms INTEGER NOT NULL, fault_id TEXT REFERENCES fault (id), note TEXT NOT NULL DEFAULT ''
) STRICT;
