//! Wire sizes: American wire gauge or square millimetres, never converted on the way in.

use super::parse::{UnitError, parse_number, trim_number};

/// Which table a wire size belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum GaugeSystem {
    Awg,
    Mm2,
}

/// A wire size as sold: `18 AWG` or `1.5 mm2`, kept in its own system.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Gauge {
    system: GaugeSystem,
    /// The gauge number, or hundredths of a square millimetre.
    size: i64,
}

impl Gauge {
    /// An AWG number, 0 to 40.
    pub fn awg(number: i64) -> Option<Self> {
        (0..=40).contains(&number).then_some(Self { system: GaugeSystem::Awg, size: number })
    }

    /// Square millimetres, 0.05 to 120.
    pub fn mm2(area: f64) -> Option<Self> {
        (0.05..=120.0)
            .contains(&area)
            .then(|| Self { system: GaugeSystem::Mm2, size: (area * 100.0).round() as i64 })
    }

    pub fn system(self) -> GaugeSystem {
        self.system
    }

    /// The AWG number, where it is one.
    pub fn awg_number(self) -> Option<i64> {
        (self.system == GaugeSystem::Awg).then_some(self.size)
    }

    /// Copper area in square millimetres. AWG by ASTM B258: d = 0.127 mm x 92^((36-n)/39).
    pub fn area_mm2(self) -> f64 {
        match self.system {
            GaugeSystem::Mm2 => self.size as f64 / 100.0,
            GaugeSystem::Awg => {
                let d = 0.127 * 92_f64.powf((36.0 - self.size as f64) / 39.0);
                std::f64::consts::FRAC_PI_4 * d * d
            }
        }
    }

    /// Reads `18 AWG`, `18`, `1.5 mm2`, `1,5 mm²`; a bare number is a gauge number.
    pub fn parse(text: &str) -> Result<Self, UnitError> {
        let refuse = || UnitError::new("wire size", text, "18 AWG, 1.5 mm2");
        let tidy = text.trim().to_lowercase().replace('²', "2");
        if let Some(area) = tidy.strip_suffix("mm2") {
            return parse_number(area).and_then(Self::mm2).ok_or_else(refuse);
        }
        let number = tidy.trim_end_matches("awg").trim_start_matches('#').trim();
        number.parse().ok().and_then(Self::awg).ok_or_else(refuse)
    }

    /// `18 AWG` or `1.5 mm²`.
    pub fn show(self) -> String {
        match self.system {
            GaugeSystem::Awg => format!("{} AWG", self.size),
            GaugeSystem::Mm2 => format!("{} mm²", trim_number(self.size as f64 / 100.0, 2)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn gauges_keep_their_system() {
        assert_eq!(Gauge::parse("18").map(Gauge::show), Ok("18 AWG".to_owned()));
        assert_eq!(Gauge::parse("1,5 mm²").map(Gauge::show), Ok("1.5 mm²".to_owned()));
        assert!(Gauge::parse("99 AWG").is_err());
    }

    /// ASTM B258-14, table 1: 18 AWG is 0.0403 in (1.024 mm) thick.
    #[test]
    fn awg_18_has_its_published_area() {
        let area = Gauge::awg(18).map_or(0.0, Gauge::area_mm2);
        assert!((area - 0.823).abs() < 0.001, "{area}");
    }
}
