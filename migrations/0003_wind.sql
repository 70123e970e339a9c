-- How things stand in the wind, the forecast of a night, and nights that stayed dark.
--
-- What stands free or on guys, its anchors and its ballast were not facts; without them no gust can be named at which
-- it must be lowered. The forecast of a night without a session had no row either, and a dark night no place to be
-- remembered. A recipe step of the nightly round now says how often it is done.

ALTER TABLE site ADD COLUMN wind_method TEXT CHECK (wind_method IN ('asce_7_16','simple'));
ALTER TABLE site ADD COLUMN wind_exposure TEXT CHECK (wind_exposure IN ('b','c','d'));
ALTER TABLE site ADD COLUMN design_gust_mms INTEGER CHECK (design_gust_mms >= 0);

ALTER TABLE recipe_step ADD COLUMN every TEXT CHECK (every IN ('night','week','ice','wind'));

CREATE TABLE stand (
  id TEXT PRIMARY KEY, ended_at INTEGER,
  code TEXT NOT NULL, mount_id TEXT REFERENCES piece (id), placement_id TEXT REFERENCES placement (id),
  kind TEXT NOT NULL CHECK (kind IN ('guyed','weight','arch')),
  area_cm2 INTEGER CHECK (area_cm2 >= 0), centroid_mm INTEGER CHECK (centroid_mm >= 0),
  drag_pct INTEGER CHECK (drag_pct BETWEEN 10 AND 300), tube_mm INTEGER CHECK (tube_mm >= 1),
  guy_height_mm INTEGER CHECK (guy_height_mm >= 1), guy_stiffness_mn INTEGER CHECK (guy_stiffness_mn >= 0),
  pretension_mn INTEGER CHECK (pretension_mn >= 0), strap_limit_mn INTEGER CHECK (strap_limit_mn >= 0),
  half_base_mm INTEGER CHECK (half_base_mm >= 1), ballast_g INTEGER CHECK (ballast_g >= 0),
  friction_pct INTEGER CHECK (friction_pct BETWEEN 0 AND 100),
  lower_gust_mms INTEGER CHECK (lower_gust_mms >= 0), lay_down TEXT NOT NULL DEFAULT '',
  lay_down_s INTEGER NOT NULL DEFAULT 900 CHECK (lay_down_s >= 0),
  hands INTEGER NOT NULL DEFAULT 1 CHECK (hands BETWEEN 1 AND 9), note TEXT NOT NULL DEFAULT ''
) STRICT;

CREATE TABLE guy (
  id TEXT PRIMARY KEY, ended_at INTEGER,
  code TEXT NOT NULL, stand_id TEXT NOT NULL REFERENCES stand (id),
  azimuth_deg INTEGER NOT NULL CHECK (azimuth_deg BETWEEN 0 AND 360), radius_mm INTEGER CHECK (radius_mm >= 1),
  rise_mm INTEGER, holding_mn INTEGER CHECK (holding_mn >= 0),
  holding_by TEXT CHECK (holding_by IN ('tested','declared','untested')), note TEXT NOT NULL DEFAULT ''
) STRICT;

CREATE TABLE night (
  id TEXT PRIMARY KEY, ended_at INTEGER,
  night_on TEXT NOT NULL, forecast_on TEXT,
  rain INTEGER CHECK (rain IN (0,1)), snow INTEGER CHECK (snow IN (0,1)), ice INTEGER CHECK (ice IN (0,1)),
  frozen INTEGER CHECK (frozen IN (0,1)), gust_mms INTEGER CHECK (gust_mms >= 0), low_mc INTEGER,
  note TEXT NOT NULL DEFAULT ''
) STRICT;

CREATE TABLE dark_time (
  id TEXT PRIMARY KEY, ended_at INTEGER,
  season_id TEXT NOT NULL REFERENCES season (id), placement_id TEXT REFERENCES placement (id),
  night_on TEXT NOT NULL, dark_s INTEGER NOT NULL CHECK (dark_s >= 0), at_ms INTEGER NOT NULL,
  why TEXT NOT NULL DEFAULT ''
) STRICT;
