//! Why a network has no answer.

use super::solution::{PixelPoint, Solution};
use crate::calc::refusal::Refusal;

/// A network that can't be solved, with the part that is to blame.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NetworkError {
    #[error("the network has no supply: add the supply that feeds it")]
    NoSupply,
    #[error("two {what} are called {name}: give each its own name")]
    Doubled { what: &'static str, name: String },
    #[error("cable {cable} ends at {point}, which is not there: add it, or move the cable's end")]
    Absent { cable: String, point: String, code: &'static str },
    #[error("both ends of cable {cable} are at {point}: move one end")]
    CableToItself { cable: String, point: String },
    #[error("chain {chain} has {what} at pixel {pixel}, outside {low} to {high}: correct the pixel number")]
    PixelOutside { chain: String, what: &'static str, pixel: u32, low: u32, high: u32 },
    #[error("chain {chain}: {refusal}")]
    Load { chain: String, refusal: Refusal },
    #[error("{pixels} pixels are more than {most} in one network: split it where nothing joins the parts")]
    TooManyPixels { pixels: u64, most: usize },
    #[error("{part} is not connected to any supply: add the missing cable")]
    Floating { part: String },
    #[error("{} join in a ring without resistance, {volts} V apart: give one its real resistance or take it out", .parts.join(", "))]
    ZeroResistanceLoop { parts: Vec<String>, volts: f64 },
    #[error(
        "no working point: chain {} falls to {:.3} V at pixel {}, where its pixels stop holding their power: \
         feed it at more points, use thicker wire or a lower level",
        .pixel.chain, .pixel.v, .pixel.pixel
    )]
    NoWorkingPoint {
        pixel: PixelPoint,
        /// Where the voltages end when they have fallen through, for display.
        fallen: Box<Solution>,
    },
    #[error(
        "the voltages do not settle within {steps} steps ({volts} V still moving): check the loads' voltages"
    )]
    NotSettled { steps: usize, volts: f64 },
}

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
