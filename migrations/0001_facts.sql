-- The whole fact model, and the journal that is the one door to it.
--
-- Facts are what the owner states and what happened; steps and plans are derived and never stored here (kept_plan
-- is what people expect and loses no fact when lost). Every fact row has a UUID as text; nothing is deleted, a row
-- that no longer holds has `ended_at`. Codes are labels that people read: two rows with one code are a finding, not
-- a constraint that would stop a replay. Quantities are whole numbers in the unit of the column's name.

CREATE TABLE site (
  id TEXT PRIMARY KEY, ended_at INTEGER,
  name TEXT NOT NULL,
  latitude_udeg INTEGER CHECK (latitude_udeg BETWEEN -90000000 AND 90000000),
  longitude_udeg INTEGER CHECK (longitude_udeg BETWEEN -180000000 AND 180000000),
  time_zone TEXT,
  units TEXT NOT NULL DEFAULT 'si' CHECK (units IN ('us','si')),
  terms TEXT NOT NULL DEFAULT 'us' CHECK (terms IN ('us','elsewhere')),
  currency TEXT NOT NULL DEFAULT 'USD',
  level_limit_pct INTEGER CHECK (level_limit_pct BETWEEN 1 AND 100),
  level_limit_in TEXT CHECK (level_limit_in IN ('hardware','software')),
  frame_rate_hz INTEGER CHECK (frame_rate_hz BETWEEN 1 AND 120),
  show_network TEXT, home_network TEXT,
  place_minutes INTEGER CHECK (place_minutes BETWEEN 0 AND 120),
  ladder_minutes INTEGER CHECK (ladder_minutes BETWEEN 0 AND 120),
  drying_slots INTEGER CHECK (drying_slots >= 0),
  roof_max_gust_mms INTEGER CHECK (roof_max_gust_mms >= 0),
  energy_cents_per_kwh INTEGER CHECK (energy_cents_per_kwh >= 0)
) STRICT;

CREATE TABLE place (
  id TEXT PRIMARY KEY, ended_at INTEGER,
  code TEXT NOT NULL, name TEXT NOT NULL,
  parent_id TEXT REFERENCES place (id),
  access TEXT CHECK (access IN ('ground','step_ladder','extension_ladder','roof')),
  height_mm INTEGER CHECK (height_mm >= 0),
  map_x_mm INTEGER, map_y_mm INTEGER,
  indoors INTEGER NOT NULL DEFAULT 0 CHECK (indoors IN (0,1)),
  cautions TEXT NOT NULL DEFAULT '',
  note TEXT NOT NULL DEFAULT ''
) STRICT;

-- What lies below a place, where a ladder foot stands or a dropped tool lands.
CREATE TABLE fall_line (
  id TEXT PRIMARY KEY, ended_at INTEGER,
  upper_place_id TEXT NOT NULL REFERENCES place (id),
  lower_place_id TEXT NOT NULL REFERENCES place (id),
  CHECK (upper_place_id <> lower_place_id)
) STRICT;

CREATE TABLE product (
  id TEXT PRIMARY KEY, ended_at INTEGER,
  code TEXT NOT NULL, name TEXT NOT NULL,
  kind TEXT NOT NULL DEFAULT '',
  role TEXT NOT NULL DEFAULT 'prop' CHECK (role IN ('prop','mount','lead','adaptor','supply','controller','box',
    'network','player','sound','tool','ladder','consumable','part')),
  serves_as TEXT,
  volts_mv INTEGER CHECK (volts_mv > 0),
  load_model TEXT CHECK (load_model IN ('constant_current','constant_power','current_with_knee')),
  pixels INTEGER CHECK (pixels >= 0),
  pixel_ma INTEGER CHECK (pixel_ma >= 0), pixel_mw INTEGER CHECK (pixel_mw >= 0),
  cutoff_mv INTEGER CHECK (cutoff_mv >= 0), knee_mv INTEGER CHECK (knee_mv >= 0), off_mv INTEGER CHECK (off_mv >= 0),
  lowest_mv INTEGER CHECK (lowest_mv >= 0),
  load_mw INTEGER CHECK (load_mw >= 0),
  chip TEXT, channels_per_pixel INTEGER CHECK (channels_per_pixel BETWEEN 1 AND 8),
  pitch_mm INTEGER CHECK (pitch_mm > 0), wire TEXT, length_mm INTEGER CHECK (length_mm > 0),
  output_mv INTEGER CHECK (output_mv > 0), rated_mw INTEGER CHECK (rated_mw > 0),
  efficiency_pct INTEGER CHECK (efficiency_pct BETWEEN 1 AND 100),
  ports INTEGER CHECK (ports >= 0), port_pixels INTEGER CHECK (port_pixels >= 0), fuse_ma INTEGER CHECK (fuse_ma > 0),
  ip_class TEXT,
  width_mm INTEGER CHECK (width_mm > 0), height_mm INTEGER CHECK (height_mm > 0), depth_mm INTEGER CHECK (depth_mm > 0),
  mass_g INTEGER CHECK (mass_g > 0), max_load_g INTEGER CHECK (max_load_g > 0),
  solid_pct INTEGER CHECK (solid_pct BETWEEN 1 AND 100),
  counted INTEGER NOT NULL DEFAULT 0 CHECK (counted IN (0,1)),
  keep_from_frost INTEGER NOT NULL DEFAULT 0 CHECK (keep_from_frost IN (0,1)),
  min_handling_mc INTEGER,
  cautions TEXT NOT NULL DEFAULT '',
  note TEXT NOT NULL DEFAULT ''
) STRICT;

-- The ends of a product: which plug, which way the data runs, at which voltage.
CREATE TABLE product_end (
  id TEXT PRIMARY KEY, ended_at INTEGER,
  product_id TEXT NOT NULL REFERENCES product (id),
  end_name TEXT NOT NULL, direction TEXT NOT NULL DEFAULT 'either' CHECK (direction IN ('in','out','either')),
  plug_family TEXT, pins INTEGER CHECK (pins BETWEEN 1 AND 50),
  sex TEXT CHECK (sex IN ('pins','sockets','neutral')),
  conductor_order TEXT, volts_mv INTEGER CHECK (volts_mv > 0)
) STRICT;

CREATE TABLE container (
  id TEXT PRIMARY KEY, ended_at INTEGER,
  code TEXT NOT NULL, name TEXT NOT NULL,
  kind TEXT NOT NULL DEFAULT 'tote', parent_id TEXT REFERENCES container (id),
  frost_free INTEGER NOT NULL DEFAULT 0 CHECK (frost_free IN (0,1)),
  length_mm INTEGER CHECK (length_mm > 0), width_mm INTEGER CHECK (width_mm > 0), height_mm INTEGER CHECK (height_mm > 0),
  max_mass_g INTEGER CHECK (max_mass_g > 0),
  bench INTEGER NOT NULL DEFAULT 0 CHECK (bench IN (0,1)),
  note TEXT NOT NULL DEFAULT ''
) STRICT;

CREATE TABLE piece (
  id TEXT PRIMARY KEY, ended_at INTEGER,
  code TEXT NOT NULL, product_id TEXT NOT NULL REFERENCES product (id),
  name TEXT NOT NULL DEFAULT '', batch TEXT NOT NULL DEFAULT '',
  condition TEXT NOT NULL DEFAULT 'good' CHECK (condition IN ('good','faulty','lent','lost','scrapped')),
  home_id TEXT REFERENCES container (id),
  got_on TEXT, source TEXT NOT NULL DEFAULT '', price_cents INTEGER CHECK (price_cents >= 0),
  tag_mv INTEGER CHECK (tag_mv > 0),
  in_plug TEXT, out_plug TEXT, address TEXT, firmware TEXT,
  length_mm INTEGER CHECK (length_mm > 0),
  looked_over_on TEXT,
  note TEXT NOT NULL DEFAULT ''
) STRICT;

CREATE TABLE stock (
  id TEXT PRIMARY KEY, ended_at INTEGER,
  code TEXT NOT NULL, product_id TEXT NOT NULL REFERENCES product (id),
  home_id TEXT REFERENCES container (id), use_by TEXT, batch TEXT NOT NULL DEFAULT '',
  frozen INTEGER NOT NULL DEFAULT 0 CHECK (frozen IN (0,1)),
  note TEXT NOT NULL DEFAULT ''
) STRICT;

-- Stock changes by movements: `counted` sets, the others add or take. On hand is the last count and what came after.
CREATE TABLE stock_move (
  id TEXT PRIMARY KEY, ended_at INTEGER,
  stock_id TEXT NOT NULL REFERENCES stock (id),
  kind TEXT NOT NULL CHECK (kind IN ('counted','bought','used','found','lost','scrapped')),
  quantity INTEGER NOT NULL CHECK (quantity >= 0),
  at_ms INTEGER NOT NULL, season_id TEXT REFERENCES season (id), why TEXT NOT NULL DEFAULT ''
) STRICT;

CREATE TABLE person (
  id TEXT PRIMARY KEY, ended_at INTEGER,
  code TEXT NOT NULL, name TEXT NOT NULL, skills TEXT NOT NULL DEFAULT '', mass_g INTEGER CHECK (mass_g > 0),
  note TEXT NOT NULL DEFAULT ''
) STRICT;

CREATE TABLE season (
  id TEXT PRIMARY KEY, ended_at INTEGER,
  code TEXT NOT NULL, name TEXT NOT NULL, show TEXT NOT NULL DEFAULT '',
  lights_on TEXT, lights_off TEXT, rehearsal TEXT, rehearsal_dark TEXT,
  work_from TEXT, down_from TEXT,
  nightly_from TEXT, nightly_to TEXT,
  buffer_days INTEGER NOT NULL DEFAULT 4 CHECK (buffer_days BETWEEN 0 AND 60),
  average_level_pct INTEGER CHECK (average_level_pct BETWEEN 0 AND 100),
  budget_cents INTEGER CHECK (budget_cents >= 0),
  closed_on TEXT, note TEXT NOT NULL DEFAULT ''
) STRICT;

-- Dated duties of a season: permits, buried-line request, town hours, look-overs.
CREATE TABLE duty (
  id TEXT PRIMARY KEY, ended_at INTEGER,
  code TEXT NOT NULL, season_id TEXT NOT NULL REFERENCES season (id),
  title TEXT NOT NULL, kind TEXT NOT NULL CHECK (kind IN ('buried_lines','permit','town','neighbours','look_over','other')),
  opens_on TEXT, due_on TEXT, expires_on TEXT, lead_days INTEGER CHECK (lead_days BETWEEN 0 AND 400),
  minutes_s INTEGER NOT NULL DEFAULT 900 CHECK (minutes_s >= 0), note TEXT NOT NULL DEFAULT ''
) STRICT;

CREATE TABLE caution (
  id TEXT PRIMARY KEY, ended_at INTEGER,
  code TEXT NOT NULL, text TEXT NOT NULL, source TEXT NOT NULL
) STRICT;

CREATE TABLE method (
  id TEXT PRIMARY KEY, ended_at INTEGER,
  code TEXT NOT NULL, name TEXT NOT NULL, also TEXT NOT NULL DEFAULT '',
  stays INTEGER NOT NULL DEFAULT 0 CHECK (stays IN (0,1)), note TEXT NOT NULL DEFAULT ''
) STRICT;

CREATE TABLE recipe_step (
  id TEXT PRIMARY KEY, ended_at INTEGER,
  code TEXT NOT NULL, method_id TEXT NOT NULL REFERENCES method (id),
  position INTEGER NOT NULL, phase TEXT NOT NULL CHECK (phase IN ('once','bench','up','tonight','down','change')),
  deed TEXT NOT NULL CHECK (deed IN ('make','cure','look_over','bench_test','mark','drive','ground_light','prepare','raise',
    'hang','set','tie','connect','test','tension','adjust','power','disconnect','release','lower','pull','dry','pack',
    'care','check','desk','other')),
  title TEXT NOT NULL,
  fixed_s INTEGER NOT NULL DEFAULT 0 CHECK (fixed_s >= 0), piece_s INTEGER NOT NULL DEFAULT 0 CHECK (piece_s >= 0),
  metre_s INTEGER NOT NULL DEFAULT 0 CHECK (metre_s >= 0), stake_s INTEGER NOT NULL DEFAULT 0 CHECK (stake_s >= 0),
  hands INTEGER NOT NULL DEFAULT 1 CHECK (hands BETWEEN 1 AND 9),
  skills TEXT NOT NULL DEFAULT '', equipment TEXT NOT NULL DEFAULT '',
  access TEXT NOT NULL DEFAULT 'place' CHECK (access IN ('place','ground','step_ladder','extension_ladder','roof','bench')),
  light TEXT NOT NULL DEFAULT 'access' CHECK (light IN ('access','day','twilight','lamp','dark','indoors')),
  wait_s INTEGER NOT NULL DEFAULT 0 CHECK (wait_s >= 0), wait_kind TEXT CHECK (wait_kind IN ('cure','dry','other')),
  cure_rule TEXT CHECK (cure_rule IN ('concrete','adhesive','tape')),
  within_s INTEGER CHECK (within_s >= 0), same_day INTEGER NOT NULL DEFAULT 0 CHECK (same_day IN (0,1)),
  min_mc INTEGER, max_gust_mms INTEGER CHECK (max_gust_mms >= 0),
  dry INTEGER NOT NULL DEFAULT 0 CHECK (dry IN (0,1)), unfrozen INTEGER NOT NULL DEFAULT 0 CHECK (unfrozen IN (0,1)),
  not_alone INTEGER NOT NULL DEFAULT 0 CHECK (not_alone IN (0,1)),
  box_mode TEXT CHECK (box_mode IN ('off','on')),
  applies TEXT NOT NULL DEFAULT 'always' CHECK (applies IN ('always','seasonal','permanent','above_reach')),
  after TEXT NOT NULL DEFAULT '',
  cautions TEXT NOT NULL DEFAULT ''
) STRICT;

-- What a recipe step uses up.
CREATE TABLE recipe_use (
  id TEXT PRIMARY KEY, ended_at INTEGER,
  recipe_step_id TEXT NOT NULL REFERENCES recipe_step (id),
  product_id TEXT NOT NULL REFERENCES product (id),
  per_placement INTEGER NOT NULL DEFAULT 0 CHECK (per_placement >= 0),
  per_piece INTEGER NOT NULL DEFAULT 0 CHECK (per_piece >= 0),
  per_metre INTEGER NOT NULL DEFAULT 0 CHECK (per_metre >= 0)
) STRICT;

CREATE TABLE placement (
  id TEXT PRIMARY KEY, ended_at INTEGER,
  code TEXT NOT NULL, name TEXT NOT NULL,
  season_id TEXT NOT NULL REFERENCES season (id),
  product_id TEXT REFERENCES product (id), piece_id TEXT REFERENCES piece (id),
  count INTEGER NOT NULL DEFAULT 1 CHECK (count BETWEEN 1 AND 10000),
  place_id TEXT REFERENCES place (id), method_id TEXT REFERENCES method (id),
  mount_id TEXT REFERENCES piece (id), carried_by_id TEXT REFERENCES placement (id),
  permanent INTEGER NOT NULL DEFAULT 0 CHECK (permanent IN (0,1)),
  worth INTEGER NOT NULL DEFAULT 3 CHECK (worth BETWEEN 1 AND 5),
  length_mm INTEGER CHECK (length_mm > 0), stakes INTEGER CHECK (stakes >= 0), height_mm INTEGER CHECK (height_mm > 0),
  measures TEXT NOT NULL DEFAULT '', photo_id TEXT REFERENCES attachment (id),
  wished INTEGER NOT NULL DEFAULT 0 CHECK (wished IN (0,1)), held_why TEXT,
  cautions TEXT NOT NULL DEFAULT '',
  note TEXT NOT NULL DEFAULT ''
) STRICT;

-- Which labelled pieces a placement puts out.
CREATE TABLE placement_piece (
  id TEXT PRIMARY KEY, ended_at INTEGER,
  placement_id TEXT NOT NULL REFERENCES placement (id), piece_id TEXT NOT NULL REFERENCES piece (id)
) STRICT;

CREATE TABLE circuit (
  id TEXT PRIMARY KEY, ended_at INTEGER,
  code TEXT NOT NULL, name TEXT NOT NULL,
  breaker_ma INTEGER CHECK (breaker_ma > 0), volts_mv INTEGER CHECK (volts_mv > 0), note TEXT NOT NULL DEFAULT ''
) STRICT;

CREATE TABLE outlet (
  id TEXT PRIMARY KEY, ended_at INTEGER,
  code TEXT NOT NULL, circuit_id TEXT REFERENCES circuit (id), place_id TEXT REFERENCES place (id),
  residual_group TEXT, trip_ma INTEGER CHECK (trip_ma > 0), ready_on TEXT, note TEXT NOT NULL DEFAULT ''
) STRICT;

-- One lead in use: mains, dc, data, network or sound, from an end to an end. `season_id` empty: every season.
CREATE TABLE link (
  id TEXT PRIMARY KEY, ended_at INTEGER,
  code TEXT NOT NULL, kind TEXT NOT NULL CHECK (kind IN ('mains','dc','data','network','sound')),
  season_id TEXT REFERENCES season (id),
  from_outlet_id TEXT REFERENCES outlet (id), from_piece_id TEXT REFERENCES piece (id),
  from_placement_id TEXT REFERENCES placement (id), from_port TEXT,
  to_piece_id TEXT REFERENCES piece (id), to_placement_id TEXT REFERENCES placement (id), to_end TEXT,
  at_pixel INTEGER CHECK (at_pixel >= 1),
  lead_id TEXT REFERENCES piece (id), wire TEXT, length_mm INTEGER CHECK (length_mm > 0), fuse_ma INTEGER CHECK (fuse_ma > 0),
  colour TEXT NOT NULL DEFAULT '', start_universe INTEGER CHECK (start_universe BETWEEN 1 AND 63999),
  start_slot INTEGER CHECK (start_slot BETWEEN 1 AND 512), card_stale INTEGER NOT NULL DEFAULT 0 CHECK (card_stale IN (0,1)),
  note TEXT NOT NULL DEFAULT ''
) STRICT;

CREATE TABLE session (
  id TEXT PRIMARY KEY, ended_at INTEGER,
  code TEXT NOT NULL, starts TEXT NOT NULL, ends TEXT NOT NULL,
  work_lights INTEGER NOT NULL DEFAULT 0 CHECK (work_lights IN (0,1)),
  visitor TEXT NOT NULL DEFAULT '',
  forecast_on TEXT, rain INTEGER CHECK (rain IN (0,1)), snow INTEGER CHECK (snow IN (0,1)), ice INTEGER CHECK (ice IN (0,1)),
  frozen INTEGER CHECK (frozen IN (0,1)), gust_mms INTEGER CHECK (gust_mms >= 0), low_mc INTEGER,
  lost INTEGER NOT NULL DEFAULT 0 CHECK (lost IN (0,1)), note TEXT NOT NULL DEFAULT ''
) STRICT;

CREATE TABLE session_person (
  id TEXT PRIMARY KEY, ended_at INTEGER,
  session_id TEXT NOT NULL REFERENCES session (id), person_id TEXT NOT NULL REFERENCES person (id),
  comes TEXT, goes TEXT
) STRICT;

CREATE TABLE desk_task (
  id TEXT PRIMARY KEY, ended_at INTEGER,
  code TEXT NOT NULL, season_id TEXT NOT NULL REFERENCES season (id), title TEXT NOT NULL,
  minutes_s INTEGER NOT NULL CHECK (minutes_s >= 0), placement_id TEXT REFERENCES placement (id),
  after_placement INTEGER NOT NULL DEFAULT 0 CHECK (after_placement IN (0,1)),
  due_on TEXT, skills TEXT NOT NULL DEFAULT '', note TEXT NOT NULL DEFAULT ''
) STRICT;

-- What happened to a step: rows are added, never changed. The step's key, title, planned minutes and cautions as they stood.
CREATE TABLE tick (
  id TEXT PRIMARY KEY, ended_at INTEGER,
  step_key TEXT NOT NULL, kind TEXT NOT NULL CHECK (kind IN ('start','done','count','hold','skip','reopen','note')),
  at_ms INTEGER, began_ms INTEGER, person_id TEXT REFERENCES person (id), session_id TEXT REFERENCES session (id),
  season_id TEXT REFERENCES season (id), placement_id TEXT REFERENCES placement (id),
  recipe_step TEXT NOT NULL DEFAULT '',
  done_count INTEGER CHECK (done_count >= 0), of_count INTEGER CHECK (of_count >= 0),
  title TEXT NOT NULL DEFAULT '', planned_s INTEGER CHECK (planned_s >= 0), taken_s INTEGER CHECK (taken_s >= 0),
  bunched INTEGER NOT NULL DEFAULT 0 CHECK (bunched IN (0,1)),
  cautions TEXT NOT NULL DEFAULT '', why TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX tick_step ON tick (step_key);

CREATE TABLE fault (
  id TEXT PRIMARY KEY, ended_at INTEGER,
  code TEXT NOT NULL, piece_id TEXT REFERENCES piece (id), placement_id TEXT REFERENCES placement (id),
  season_id TEXT REFERENCES season (id), symptom TEXT NOT NULL, at_pixel INTEGER CHECK (at_pixel >= 1), segment TEXT,
  found_ms INTEGER NOT NULL, person_id TEXT REFERENCES person (id), weather TEXT NOT NULL DEFAULT '',
  dark_hours INTEGER CHECK (dark_hours >= 0), note TEXT NOT NULL DEFAULT ''
) STRICT;

CREATE TABLE repair_entry (
  id TEXT PRIMARY KEY, ended_at INTEGER,
  fault_id TEXT NOT NULL REFERENCES fault (id), at_ms INTEGER NOT NULL,
  deed TEXT NOT NULL CHECK (deed IN ('looked','patched','switched_off','waiting_part','mended','tested','scrapped','replaced','reopened')),
  cause TEXT, minutes_s INTEGER CHECK (minutes_s >= 0), person_id TEXT REFERENCES person (id),
  part_id TEXT REFERENCES product (id), parts_used INTEGER CHECK (parts_used >= 0),
  spare_id TEXT REFERENCES piece (id), note TEXT NOT NULL DEFAULT ''
) STRICT;

CREATE TABLE need (
  id TEXT PRIMARY KEY, ended_at INTEGER,
  code TEXT NOT NULL, product_id TEXT REFERENCES product (id), title TEXT NOT NULL, quantity INTEGER NOT NULL CHECK (quantity > 0),
  season_id TEXT REFERENCES season (id), need_by TEXT,
  reason TEXT NOT NULL CHECK (reason IN ('scrapped','lost','repair','spare','consumable','new_build','improvement','shortfall','noted')),
  fault_id TEXT REFERENCES fault (id), worth INTEGER NOT NULL DEFAULT 3 CHECK (worth BETWEEN 1 AND 5),
  met_on TEXT, note TEXT NOT NULL DEFAULT ''
) STRICT;

CREATE TABLE vendor (
  id TEXT PRIMARY KEY, ended_at INTEGER,
  code TEXT NOT NULL, name TEXT NOT NULL, local INTEGER NOT NULL DEFAULT 0 CHECK (local IN (0,1)),
  min_order_cents INTEGER NOT NULL DEFAULT 0 CHECK (min_order_cents >= 0),
  handling_days INTEGER NOT NULL DEFAULT 0 CHECK (handling_days >= 0), closed INTEGER NOT NULL DEFAULT 0 CHECK (closed IN (0,1)),
  trip_cents INTEGER NOT NULL DEFAULT 0 CHECK (trip_cents >= 0), note TEXT NOT NULL DEFAULT ''
) STRICT;

CREATE TABLE shipping_tier (
  id TEXT PRIMARY KEY, ended_at INTEGER,
  vendor_id TEXT NOT NULL REFERENCES vendor (id),
  from_subtotal_cents INTEGER NOT NULL CHECK (from_subtotal_cents >= 0), fee_cents INTEGER NOT NULL CHECK (fee_cents >= 0),
  transit_days INTEGER NOT NULL DEFAULT 0 CHECK (transit_days >= 0)
) STRICT;

CREATE TABLE offer (
  id TEXT PRIMARY KEY, ended_at INTEGER,
  code TEXT NOT NULL, vendor_id TEXT NOT NULL REFERENCES vendor (id), product_id TEXT NOT NULL REFERENCES product (id),
  pack INTEGER NOT NULL DEFAULT 1 CHECK (pack > 0), price_cents INTEGER NOT NULL CHECK (price_cents >= 0),
  min_packs INTEGER NOT NULL DEFAULT 1 CHECK (min_packs >= 1), max_packs INTEGER CHECK (max_packs >= 1),
  lead_days INTEGER NOT NULL DEFAULT 0 CHECK (lead_days >= 0),
  sale_from TEXT, sale_to TEXT, priced_on TEXT, note TEXT NOT NULL DEFAULT ''
) STRICT;

CREATE TABLE purchase_order (
  id TEXT PRIMARY KEY, ended_at INTEGER,
  code TEXT NOT NULL, vendor_id TEXT NOT NULL REFERENCES vendor (id), ordered_on TEXT NOT NULL, expected_on TEXT,
  shipping_cents INTEGER NOT NULL DEFAULT 0 CHECK (shipping_cents >= 0), tax_cents INTEGER NOT NULL DEFAULT 0 CHECK (tax_cents >= 0),
  note TEXT NOT NULL DEFAULT ''
) STRICT;

CREATE TABLE order_line (
  id TEXT PRIMARY KEY, ended_at INTEGER,
  order_id TEXT NOT NULL REFERENCES purchase_order (id), product_id TEXT NOT NULL REFERENCES product (id),
  offer_id TEXT REFERENCES offer (id), packs INTEGER NOT NULL CHECK (packs > 0), pack INTEGER NOT NULL DEFAULT 1 CHECK (pack > 0),
  price_cents INTEGER NOT NULL CHECK (price_cents >= 0),
  received INTEGER NOT NULL DEFAULT 0 CHECK (received >= 0), received_on TEXT
) STRICT;

CREATE TABLE attachment (
  id TEXT PRIMARY KEY, ended_at INTEGER,
  sha256 TEXT NOT NULL, name TEXT NOT NULL, mime TEXT NOT NULL DEFAULT '',
  bytes TEXT NOT NULL CHECK (length(bytes) <= 11184812), -- base64 of at most 8 MiB, so that row images stay text
  piece_id TEXT REFERENCES piece (id), fault_id TEXT REFERENCES fault (id), noted_on TEXT
) STRICT;

-- The journal: every change to a table above is one line of one entry.
CREATE TABLE journal_entry (
  id INTEGER PRIMARY KEY,
  device TEXT NOT NULL, number INTEGER NOT NULL, clock_ms INTEGER NOT NULL, clock_tie INTEGER NOT NULL,
  verb TEXT NOT NULL, what TEXT NOT NULL, undoes_device TEXT, undoes_number INTEGER,
  UNIQUE (device, number)
) STRICT;

CREATE INDEX journal_clock ON journal_entry (clock_ms, clock_tie);

CREATE TABLE journal_line (
  entry_id INTEGER NOT NULL REFERENCES journal_entry (id), line INTEGER NOT NULL,
  table_name TEXT NOT NULL, row_id TEXT NOT NULL, before TEXT, after TEXT NOT NULL,
  PRIMARY KEY (entry_id, line)
) STRICT, WITHOUT ROWID;
CREATE INDEX journal_line_row ON journal_line (table_name, row_id);

-- A column that two laptops changed apart: both values, until the owner decides.
CREATE TABLE conflict (
  id INTEGER PRIMARY KEY, table_name TEXT NOT NULL, row_id TEXT NOT NULL, column_name TEXT NOT NULL,
  stands TEXT NOT NULL, other TEXT NOT NULL, decided TEXT
) STRICT;

-- This file: its yard, this device, the demo's clock shift. Not facts.
CREATE TABLE meta (key TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT, WITHOUT ROWID;

-- What people expect: the plan as last kept. Replaced as a whole, outside the journal.
CREATE TABLE kept_plan (
  step_key TEXT PRIMARY KEY, season_code TEXT NOT NULL, phase TEXT NOT NULL, position INTEGER NOT NULL,
  session_code TEXT, from_text TEXT, to_text TEXT, people TEXT NOT NULL DEFAULT ''
) STRICT, WITHOUT ROWID;
