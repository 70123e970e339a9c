-- The power factor of what hangs on the mains, from its label: amperes are more than watts over volts say.

ALTER TABLE product ADD COLUMN power_factor_pct INTEGER CHECK (power_factor_pct BETWEEN 1 AND 100);
