//! Words that stand for one kind of place, and those that make holes, stick, or forbid.

/// Groups of words, by the capitals that stand for them.
pub(super) const GROUPS: &[(&str, &str)] = &[
    ("GLASS", "window glass pane windowpane glazing skylight"),
    ("TREE", "tree branch limb bough trunk oak maple pine fir birch willow"),
    (
        "BEAM",
        "beam rafter pergola joist arbor arbour gazebo carport crossbar overhang lintel swing trellis truss",
    ),
    (
        "RAIL",
        "rail railing handrail banister balustrade balcony fence gate bannister baluster picket lattice",
    ),
    ("POST", "post pillar column pole lamppost newel"),
    (
        "SHRUB",
        "bush shrub hedge boxwood topiary shrubbery conifer holly foliage ivy azalea rhododendron yew privet laurel lavender",
    ),
    ("EDGE", "gutter shingle rainwater"),
    ("EAVES", "eave fascia soffit ceiling gable bargeboard roofline"),
    (
        "SOIL",
        "ground soil earth dirt lawn grass turf bed yard garden border mulch flower flowerbed sod field",
    ),
    (
        "FLOOR",
        "porch deck patio driveway path step sill ledge table shelf floor bench mantel windowsill stoop doorstep \
         plinth pedestal terrace pavement sidewalk stair decking paving tabletop walkway",
    ),
    ("ROOF", "roof rooftop ridge chimney dormer"),
];

/// Words that make holes by themselves and not in many a compound.
pub(super) const DOUBTFUL: &[&str] = &["hook", "tack"];
/// What makes holes: taken out of the question by "no drilling".
pub(super) const DRILLS: &[&str] =
    &["bracket", "hook", "hang_plain", "clamp", "trim_channel", "trim_tape", "strut_frame", "roof_strap"];
/// What sticks: taken out of the question by "no glue".
pub(super) const BONDS: &[&str] = &["glue", "tape", "adhesive_hook", "magnet", "trim_tape", "roof_strap"];
pub(super) const HOLE_WORDS: &[&str] = &["drill", "screw", "nail", "hole", "bolt", "staple"];
pub(super) const BOND_WORDS: &[&str] = &["glue", "adhesive", "stick", "sticky", "tape", "bond", "residue"];
/// Words under which nothing may hang: refused with the reason.
pub(super) const LINES: &[&str] = &[
    "power line",
    "power pole",
    "utility pole",
    "telephone pole",
    "telegraph pole",
    "service drop",
    "overhead line",
    "electric pole",
    "mains line",
    "power cable",
];
/// What is not laid, weighed down or draped on a roof: people walk there to do it.
pub(super) const NOT_ON_A_ROOF: &[&str] =
    &["laid", "weigh", "drape", "throw", "hang_from", "wrap", "set_out"];
