//! Mounting methods, their recipe steps and cautions.

use super::cell::{Words, choice};
use super::fact::fact;
use super::product::ProductId;
use crate::units::{Span, Speed, Temperature};

fact! {
    /// A caution shown at the steps that name it.
    Caution, CautionId, "caution" {
        code: String,
        text: String,
        source: String,
    }
}

fact! {
    /// A mounting method: a recipe of steps.
    Method, MethodId, "method" {
        code: String,
        name: String,
        also: String,
        stays: bool,
        note: String,
    }
}

choice! {
    /// When in the year a recipe step is done.
    Phase {
        Once => "once",
        Bench => "bench",
        Up => "up",
        Tonight => "tonight",
        Down => "down",
        Change => "change",
    }
}

choice! {
    /// What is done, for the rules that order steps.
    StepDeed {
        Make => "make",
        Cure => "cure",
        LookOver => "look_over",
        BenchTest => "bench_test",
        Mark => "mark",
        Drive => "drive",
        GroundLight => "ground_light",
        Prepare => "prepare",
        Raise => "raise",
        Hang => "hang",
        Set => "set",
        Tie => "tie",
        Connect => "connect",
        Test => "test",
        Tension => "tension",
        Adjust => "adjust",
        Power => "power",
        Disconnect => "disconnect",
        Release => "release",
        Lower => "lower",
        Pull => "pull",
        Dry => "dry",
        Pack => "pack",
        Care => "care",
        Check => "check",
        Desk => "desk",
        Other => "other",
    }
}

choice! {
    /// How a step is reached; `place` means as its place is.
    RecipeAccess {
        Place => "place",
        Ground => "ground",
        StepLadder => "step_ladder",
        ExtensionLadder => "extension_ladder",
        Roof => "roof",
        Bench => "bench",
    }
}

choice! {
    /// The light a step needs; `access` means as its access asks.
    RecipeLight {
        Access => "access",
        Day => "day",
        Twilight => "twilight",
        Lamp => "lamp",
        Dark => "dark",
        Indoors => "indoors",
    }
}

choice! {
    /// Why a step is waited for.
    WaitKind {
        Cure => "cure",
        Dry => "dry",
        Other => "other",
    }
}

choice! {
    /// Which table lengthens a cure in the cold.
    CureRule {
        Concrete => "concrete",
        Adhesive => "adhesive",
        Tape => "tape",
    }
}

choice! {
    /// Whether the box that feeds a placement is off or on during a step.
    BoxMode {
        Off => "off",
        On => "on",
    }
}

choice! {
    /// For which placements a recipe step is done.
    Applies {
        Always => "always",
        Seasonal => "seasonal",
        Permanent => "permanent",
        AboveReach => "above_reach",
    }
}

choice! {
    /// How often a step of the nightly round is done.
    Every {
        Night => "night",
        Week => "week",
        /// After snow or ice.
        Ice => "ice",
        /// When the forecast gust asks for it.
        Wind => "wind",
    }
}

fact! {
    /// One step of a method's recipe.
    RecipeStep, RecipeStepId, "recipe_step" {
        /// Made once and never used again.
        code: String,
        method_id: MethodId,
        position: i64,
        phase: Phase,
        deed: StepDeed,
        title: String,
        fixed_s: Span,
        piece_s: Span,
        metre_s: Span,
        stake_s: Span,
        hands: i64,
        skills: Words,
        /// Equipment words, each at most once.
        equipment: Words,
        access: RecipeAccess,
        light: RecipeLight,
        wait_s: Span,
        wait_kind: Option<WaitKind>,
        cure_rule: Option<CureRule>,
        within_s: Option<Span>,
        same_day: bool,
        min_mc: Option<Temperature>,
        max_gust_mms: Option<Speed>,
        dry: bool,
        unfrozen: bool,
        not_alone: bool,
        box_mode: Option<BoxMode>,
        applies: Applies,
        /// Codes of earlier steps of the recipe; empty means the one before.
        after: Words,
        cautions: Words,
        /// How often, for steps of phase tonight; every night where not told.
        every: Option<Every>,
    }
}

fact! {
    /// A recipe step that runs by itself: somebody starts it, it runs, somebody looks. Told for bench tests.
    RecipeRun, RecipeRunId, "recipe_run" {
        recipe_step_id: RecipeStepId,
        /// What it takes to start it.
        start_s: Span,
        /// How long it runs; of the step's own minutes so much is no work.
        runs_s: Span,
    }
}

fact! {
    /// What a recipe step uses up.
    RecipeUse, RecipeUseId, "recipe_use" {
        recipe_step_id: RecipeStepId,
        product_id: ProductId,
        per_placement: i64,
        per_piece: i64,
        per_metre: i64,
    }
}
