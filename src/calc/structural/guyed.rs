//! A mast pinned at its foot and held by one level of guys.

use super::force::{self, Load, Part, Wind};
use super::guy_solver::{Spring, pulls};
use super::{HIGHEST_M, sensible, within};
use crate::calc::refusal::Refusal;
use crate::calc::source::{Source, Standing};
use crate::units::si::{Degrees, Metres, Newtons};

pub const SOURCE: Source = Source {
    title: "Statics: rigid mast pinned at the foot, elastic guys that pull only",
    edition: "",
    clause: "H = M / guy height; T = H / cos slope of one guy; stiffness EA/L; worst of all directions by degrees",
    standing: Standing::Published,
};

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Guy {
    /// Direction of the anchor from the mast, clockwise from north.
    pub azimuth: Degrees,
    /// Anchor from the mast's foot, level.
    pub radius: Metres,
    /// Anchor above (or below) the mast's foot, in metres, -5 to 5.
    pub anchor_height: f64,
    /// E A, the pull that would double its length.
    pub stiffness: Newtons,
    pub pretension: Newtons,
}

/// What an anchor holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Anchor {
    /// Along the guy.
    pub holding: Newtons,
    /// Soil and wetness against that of the holding, 0 to 2.
    pub soil_factor: f64,
    pub count: u32,
    /// A pull test was made; otherwise it must be said that it was not.
    pub tested: bool,
}

#[derive(Debug, Clone, PartialEq)]
pub struct Input {
    pub wind: Wind,
    /// Where the wind blows to, clockwise from north.
    pub toward: Degrees,
    pub parts: Vec<Part>,
    pub guy_height: Metres,
    pub guys: Vec<Guy>,
    /// Mast and all it carries.
    pub weight: Newtons,
    /// One for each guy, or none where not told.
    pub anchors: Vec<Anchor>,
    /// Factor asked of the anchors, 1 to 10; common practice 1.5, and 2 where not pull-tested.
    pub required_factor: f64,
    /// Working load limit of the straps, where told.
    pub strap_limit: Option<Newtons>,
}

/// One guy in the stated wind and at its worst.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GuyPull {
    pub length: Metres,
    pub slope: Degrees,
    /// In the stated wind.
    pub pull: Newtons,
    pub uplift: Newtons,
    pub horizontal: Newtons,
    /// Largest over all directions.
    pub worst: Newtons,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AnchorCheck {
    pub capacity: Newtons,
    /// Capacity over the worst pull; nothing where the guy never pulls.
    pub factor: Option<f64>,
    pub ok: bool,
    pub tested: bool,
}

#[derive(Debug, Clone, PartialEq)]
pub struct Output {
    pub load: Load,
    /// What the guys must hold at their level.
    pub guy_level: Newtons,
    /// At the foot, in N; below zero where the guys hold more than the wind pushes.
    pub base_shear: f64,
    pub guys: Vec<GuyPull>,
    /// On the foot in the stated wind.
    pub compression: Newtons,
    pub worst: Newtons,
    pub worst_toward: Degrees,
    pub worst_guy: usize,
    pub anchors: Vec<AnchorCheck>,
    /// Nothing where no limit is told.
    pub straps_ok: Option<bool>,
}

/// Steepest guy: beyond it guys lose their use fast.
const STEEPEST_DEG: f64 = 70.0;
/// Anchors nearer than this stand in the base.
const NEAREST_M: f64 = 0.3;
/// Most guys on one level.
const MOST_GUYS: usize = 16;

/// Pulls in the stated wind and the worst over all directions in steps of one degree.
pub fn solve(input: &Input) -> Result<Output, Refusal> {
    let height =
        within("guy_height", "guy height", input.guy_height.get(), "m", (0.5, HIGHEST_M), "ask an engineer")?;
    within("guy_count", "guys", input.guys.len() as f64, "", (2.0, MOST_GUYS as f64), "use three or more")?;
    let required = within(
        "guy_factor",
        "factor asked",
        input.required_factor,
        "",
        (1.0, 10.0),
        "1.5 is usual, 2 untested",
    )?;
    if !input.anchors.is_empty() && input.anchors.len() != input.guys.len() {
        let (anchors, guys) = (input.anchors.len() as f64, input.guys.len() as f64);
        within("guy_anchors", "anchors", anchors, "", (guys, guys), "tell one for each guy, or none")?;
    }
    let load = force::on_parts(input.wind, &input.parts)?;
    let level = load.moment / height;
    let shapes = input.guys.iter().map(|g| shape(*g, height)).collect::<Result<Vec<_>, _>>()?;
    let springs: Vec<Spring> = shapes.iter().map(|s| s.spring).collect();
    let at = |degrees: f64| {
        let a = degrees.to_radians();
        pulls(&springs, (level * a.sin(), level * a.cos())).ok_or(Refusal {
            code: "guys_do_not_hold",
            what: "wind direction that the guys do not hold",
            value: degrees,
            unit: "°",
            range: (0.0, 360.0),
            remedy: "set guys all around: no gap of half a turn or more",
        })
    };
    let stated = at(input.toward.get())?;
    let mut most = vec![0.0; springs.len()];
    let (mut worst, mut worst_toward, mut worst_guy) = (0.0, 0.0, 0);
    for degree in 0..360 {
        let direction = f64::from(degree);
        for (guy, (pull, slot)) in at(direction)?.into_iter().zip(&mut most).enumerate() {
            *slot = pull.max(*slot);
            // Ties of a symmetric ring stay with the first.
            if pull > worst * (1.0 + 1e-9) {
                (worst, worst_toward, worst_guy) = (pull, direction, guy);
            }
        }
    }
    let newtons = |n: f64| Newtons::new(n).map_err(sensible);
    let mut guys = Vec::with_capacity(shapes.len());
    let mut compression = input.weight.get();
    for ((shape, pull), worst) in shapes.iter().zip(&stated).zip(&most) {
        compression += pull * shape.sin;
        guys.push(GuyPull {
            length: Metres::new(shape.length).map_err(sensible)?,
            slope: Degrees::new(shape.slope).map_err(sensible)?,
            pull: newtons(*pull)?,
            uplift: newtons(pull * shape.sin)?,
            horizontal: newtons(pull * shape.spring.cos)?,
            worst: newtons(*worst)?,
        });
    }
    let mut anchors = Vec::with_capacity(input.anchors.len());
    for (anchor, worst) in input.anchors.iter().zip(&most) {
        let soil =
            within("anchor_soil", "soil factor", anchor.soil_factor, "", (0.0, 2.0), "1 as tested, 0.5 wet")?;
        let capacity = anchor.holding.get() * soil * f64::from(anchor.count);
        let factor = (*worst > 1e-9 * level).then(|| capacity / worst);
        anchors.push(AnchorCheck {
            capacity: newtons(capacity)?,
            factor,
            ok: factor.is_none_or(|f| f >= required),
            tested: anchor.tested,
        });
    }
    Ok(Output {
        guy_level: newtons(level)?,
        base_shear: load.force.get() - level,
        load,
        guys,
        compression: newtons(compression)?,
        worst: newtons(worst)?,
        worst_toward: Degrees::new(worst_toward).map_err(sensible)?,
        worst_guy,
        anchors,
        straps_ok: input.strap_limit.map(|limit| worst <= limit.get()),
    })
}

/// The mast with each guy lost in turn; refused with `guys_do_not_hold` where the others can't hold every direction.
pub fn one_lost(input: &Input) -> Vec<Result<Output, Refusal>> {
    (0..input.guys.len())
        .map(|lost| {
            let mut rest = input.clone();
            rest.guys.remove(lost);
            if lost < rest.anchors.len() {
                rest.anchors.remove(lost);
            }
            solve(&rest)
        })
        .collect()
}

struct Shape {
    spring: Spring,
    length: f64,
    /// Degrees.
    slope: f64,
    sin: f64,
}

fn shape(guy: Guy, height: f64) -> Result<Shape, Refusal> {
    let radius = within(
        "anchor_near",
        "anchor from the mast",
        guy.radius.get(),
        "m",
        (NEAREST_M, 50.0),
        "set it outside the base",
    )?;
    let low = within(
        "anchor_height",
        "height of the anchor",
        guy.anchor_height,
        "m",
        (-5.0, 5.0),
        "check the height",
    )?;
    let rise = within(
        "anchor_level",
        "guy level above the anchor",
        height - low,
        "m",
        (0.1, 2.0 * HIGHEST_M),
        "an anchor lies below the guys' level",
    )?;
    let slope = within(
        "guy_slope",
        "slope of the guy",
        rise.atan2(radius).to_degrees(),
        "°",
        (1.0, STEEPEST_DEG),
        "set the anchor farther out",
    )?;
    let stiffness = within(
        "guy_stiffness",
        "stiffness EA",
        guy.stiffness.get(),
        "N",
        (100.0, 1e8),
        "see the strap's sheet",
    )?;
    let pretension = within(
        "guy_pretension",
        "pretension",
        guy.pretension.get(),
        "N",
        (0.0, 20_000.0),
        "slacken the guys",
    )?;
    let Geometry { length, cos, sin } = geometry(radius, rise);
    let azimuth = guy.azimuth.get().to_radians();
    Ok(Shape {
        spring: Spring {
            towards: (azimuth.sin(), azimuth.cos()),
            cos,
            stiffness: stiffness / length,
            pretension,
        },
        length,
        slope,
        sin,
    })
}

/// Length of a guy and the cosine and sine of its slope.
struct Geometry {
    length: f64,
    cos: f64,
    sin: f64,
}

fn geometry(radius: f64, rise: f64) -> Geometry {
    let length = radius.hypot(rise);
    Geometry { length, cos: radius / length, sin: rise / length }
}

#[cfg(test)]
#[path = "guyed_tests.rs"]
mod tests;
