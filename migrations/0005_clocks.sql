-- What the clock of a copy itself said at a deed, where the journal's clock had to be later: a copy whose clock runs
-- ahead no longer dates every later deed. Order still follows the journal's clock, so nothing is done again.

ALTER TABLE journal_entry ADD COLUMN own_ms INTEGER;
