//! Why a network has no answer.

use std::fmt;

use super::solution::{PixelPoint, Solution};
use crate::calc::refusal::Refusal;

/// A network that can't be solved, with the part that is to blame.
#[derive(Debug, Clone, PartialEq)]
pub enum NetworkError {
    NoSupply,
    /// Two parts of one kind with one name.
    Doubled {
        what: &'static str,
        name: String,
    },
    /// A cable that ends at nothing.
    Absent {
        cable: String,
        point: String,
        code: &'static str,
    },
    CableToItself {
        cable: String,
        point: String,
    },
    /// A cut or another load beyond the string.
    PixelOutside {
        chain: String,
        what: &'static str,
        pixel: u32,
        low: u32,
        high: u32,
    },
    /// A load outside its range.
    Load {
        chain: String,
        refusal: Refusal,
    },
    TooManyPixels {
        pixels: u64,
        most: usize,
    },
    /// A terminal that no conductor joins to a supply.
    Floating {
        part: String,
    },
    /// Conductors and stiff supplies in a ring, whose current nothing limits.
    ZeroResistanceLoop {
        parts: Vec<String>,
        volts: f64,
    },
    NoWorkingPoint {
        pixel: PixelPoint,
        /// Where the voltages end when they have fallen through, for display.
        fallen: Box<Solution>,
    },
    NotSettled {
        steps: usize,
        volts: f64,
    },
}

impl fmt::Display for NetworkError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoSupply => write!(f, "the network has no supply: add the supply that feeds it"),
            Self::Doubled { what, name } => {
                write!(f, "two {what} are called {name}: give each its own name")
            }
            Self::Absent { cable, point, .. } => write!(
                f,
                "cable {cable} ends at {point}, which is not there: add it, or move the cable's end"
            ),
            Self::CableToItself { cable, point } => {
                write!(f, "both ends of cable {cable} are at {point}: move one end")
            }
            Self::PixelOutside { chain, what, pixel, low, high } => write!(
                f,
                "chain {chain} has {what} at pixel {pixel}, outside {low} to {high}: correct the pixel number"
            ),
            Self::Load { chain, refusal } => write!(f, "chain {chain}: {refusal}"),
            Self::TooManyPixels { pixels, most } => write!(
                f,
                "{pixels} pixels are more than {most} in one network: split it where nothing joins the parts"
            ),
            Self::Floating { part } => {
                write!(f, "{part} is not connected to any supply: add the missing cable")
            }
            Self::ZeroResistanceLoop { parts, volts } => write!(
                f,
                "{} join in a ring without resistance, {volts} V apart: give one its real resistance or take it out",
                parts.join(", ")
            ),
            Self::NoWorkingPoint { pixel: PixelPoint { chain, pixel, v }, .. } => write!(
                f,
                "no working point: chain {chain} falls to {v:.3} V at pixel {pixel}, where its pixels stop holding \
                 their power: feed it at more points, use thicker wire or a lower level"
            ),
            Self::NotSettled { steps, volts } => write!(
                f,
                "the voltages do not settle within {steps} steps ({volts} V still moving): check the loads' voltages"
            ),
        }
    }
}

impl std::error::Error for NetworkError {}

impl NetworkError {
    /// The stable code.
    pub const fn code(&self) -> &'static str {
        match self {
            Self::NoSupply => "no_supply",
            Self::Doubled { .. } => "doubled_name",
            Self::Absent { code, .. } => code,
            Self::CableToItself { .. } => "cable_to_itself",
            Self::PixelOutside { .. } => "pixel_outside",
            Self::Load { refusal, .. } => refusal.code,
            Self::TooManyPixels { .. } => "too_many_pixels",
            Self::Floating { .. } => "floating",
            Self::ZeroResistanceLoop { .. } => "zero_resistance_loop",
            Self::NoWorkingPoint { .. } => "no_working_point",
            Self::NotSettled { .. } => "not_settled",
        }
    }
}
