-- Where a labelled piece was last seen and how it was: put into a tote by hand, taken out, counted, missed, wet as it
-- came off. Rows are added; the latest of them and of the ticks says where the piece is now.

CREATE TABLE piece_look (
  id TEXT PRIMARY KEY, ended_at INTEGER,
  piece_id TEXT NOT NULL REFERENCES piece (id), container_id TEXT REFERENCES container (id),
  kind TEXT NOT NULL CHECK (kind IN ('put','taken','counted','missing','good','wet','worn','faulty')),
  at_ms INTEGER NOT NULL, why TEXT NOT NULL DEFAULT ''
) STRICT;
